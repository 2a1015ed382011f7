"""Pages with more than any plan holds are looked at from the top, and the rest is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pymupdf
import pytest

from audit.geometry import Box, Point, Transform
from audit.pipeline import CheckRequest, check, crowding
from audit.pipeline import sheet as sheets
from audit.pipeline.crowding import tell_crowded, tell_too_many, thin_out
from audit.records import (
    Fill,
    Fills,
    Frame,
    Glyphs,
    PageKind,
    Settings,
    Sheet,
    Stroke,
    Strokes,
    TextState,
    VectorPage,
)


def row(k):
    y = 10.0 * k
    return Stroke(a=Point(0, y), b=Point(50, y + 5), width=1.0, path=k)


def letters(k):
    y = 10.0 * k
    quad = (Point(0, y), Point(9, y), Point(9, y + 5), Point(0, y + 5))
    return Glyphs(text=str(k), origin=quad[3], angle=0.0, size=5.0, font="", quad=quad)


def block(k):
    y = 10.0 * k
    corners = (Point(60, y), Point(70, y), Point(65, y + 5))
    return Fill(points=corners, box=Box.around(corners), path=k)


def page(count):
    return VectorPage(
        width=100.0,
        height=10.0 * count,
        turn=0,
        strokes=Strokes.of(row(k) for k in range(count)),
        fills=Fills.of(block(k) for k in range(count)),
        texts=tuple(letters(k) for k in range(count)),
    )


def sheet(height, *, turn=0):
    return Sheet(
        id=1, name="p.pdf", source="p.pdf", digest="", page=1, frame=Frame.PT,
        kind=PageKind.VECTOR, width=100.0, height=height, to_paper=Transform(), turn=turn,
    )  # fmt: skip


def test_a_page_that_any_plan_may_be_is_left_as_it_is():
    whole = page(40)
    crowd = thin_out(whole)
    assert crowd.page is whole
    assert tell_crowded(sheet(400), crowd) == ()


@pytest.mark.parametrize("limit", ["MOST_STROKES", "MOST_TEXTS", "MOST_NUMBERS"])
def test_what_lies_below_the_most_is_left_out_and_told(limit, monkeypatch):
    monkeypatch.setattr(crowding, limit, 10)
    crowd = thin_out(page(40))
    assert (len(crowd.page.strokes), len(crowd.page.fills), len(crowd.page.texts)) == (10, 10, 10)
    assert crowd.page.strokes.ends[:, 1].max() == 90.0
    assert np.array_equal(crowd.page.fills.outline(9)[:, 1], [90.0, 90.0, 95.0])
    assert [g.text for g in crowd.below] == [str(k) for k in range(10, 10 + len(crowd.below))]
    assert len(crowd.below) == (10 if limit == "MOST_TEXTS" else 30)
    (told,) = tell_crowded(sheet(400), crowd)
    assert told.code == "D102"
    assert "below the first 22 % of its height nothing was checked" in told.text


def test_words_are_no_numbers(monkeypatch):
    """A sheet may hold notes and schedules: only what may be a size is looked for a line."""
    monkeypatch.setattr(crowding, "MOST_NUMBERS", 10)
    whole = page(40)
    words = replace(whole, texts=tuple(replace(t, text=f"NO {t.text}") for t in whole.texts))
    assert thin_out(words).whole
    sizes = replace(whole, texts=tuple(replace(t, text=f"R {t.text}/8") for t in whole.texts))
    assert len(thin_out(sizes).page.texts) == 10


@pytest.mark.parametrize(
    ("turn", "says"),
    [
        (90, "left of the last 22 % of its width"),
        (180, "above the last 22 % of its height"),
        (270, "right of the first 22 % of its width"),
    ],
)
def test_the_part_left_out_of_a_turned_page_is_named_as_it_is_seen(turn, says, monkeypatch):
    """A quarter turn clockwise takes the top of the frame to the right (PDF 32000, /Rotate)."""
    monkeypatch.setattr(crowding, "MOST_TEXTS", 10)
    (told,) = tell_crowded(sheet(400, turn=turn), thin_out(page(40)))
    assert f"{says} nothing was checked" in told.text


def test_texts_that_are_not_even_listed_are_counted(monkeypatch):
    monkeypatch.setattr(crowding, "MOST_TEXTS", 10)
    (told,) = tell_crowded(sheet(400), thin_out(page(40)))
    assert told.text.endswith("20 of the texts there are not even listed.")


def test_more_dimensions_than_are_checked_are_counted():
    assert tell_too_many(sheet(1), crowding.MOST_DIMENSIONS) == ()
    (told,) = tell_too_many(sheet(1), crowding.MOST_DIMENSIONS + 1)
    assert f"holds {crowding.MOST_DIMENSIONS + 1} dimensions" in told.text


def test_texts_that_all_lie_below_are_listed_as_the_file_has_them(tmp_path, monkeypatch):
    """What is left of the page shows no text, but its letters are not drawn as lines."""
    document = pymupdf.open()
    drawn = document.new_page(width=400, height=400)
    for k in range(60):
        drawn.draw_line((20, 20 + 4 * k), (380, 21 + 4 * k))
    drawn.insert_text((60, 380), "3 1/2")
    document.save(tmp_path / "plan.pdf")
    monkeypatch.setattr(crowding, "MOST_STROKES", 40)
    monkeypatch.setattr(sheets, "_look_at_outlined", None)  # it would read all of the page
    audit = check(CheckRequest(plans=(tmp_path / "plan.pdf",), settings=Settings())).audit
    (told,) = audit.texts
    assert (told.text, told.state) == ("3 1/2", TextState.NOT_CHECKED)
    assert told.box.x0 == pytest.approx(60, abs=1)
    assert any(finding.code == "D102" for finding in audit.findings)
