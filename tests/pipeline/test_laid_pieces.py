"""Pieces laid on the drawing, on the shop sheet: a crop with the piece, and each edge in words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.pipeline.laid_pieces import laid_blocks
from audit.pipeline.unpacking import open_plans_of
from audit.records import (
    Audit,
    Fold,
    Heading,
    KnownSize,
    LaidPiece,
    NoScale,
    PieceShape,
    Scale,
    ScaleFrom,
    View,
)
from audit.sheets import load_plan
from audit.store import AddKnownSize, LayPiece, SetFolds, create_audit

MM_PER_PX = 0.1
TO_SCALE = Scale(x=1.0, y=1.0, covariance=((0.0,) * 3,) * 3, source=ScaleFrom.KNOWN)


@pytest.fixture
def file(tmp_path):
    """A scan at 254 dpi with a box of 60 × 40 mm around (500, 400) px."""
    pixels = np.full((800, 1000), 250, np.uint8)
    cv2.rectangle(pixels, (200, 200), (800, 600), 20, 3)
    path = tmp_path / "box.png"
    cv2.imwrite(str(path), pixels)
    with load_plan([path]) as plan:
        sheet = plan.sheets[0]
    paper = sheet.to_paper.scaling(MM_PER_PX)
    sheet = replace(sheet, to_paper=paper, paper_known=True, stated_dpi=254.0)
    view = View(id=1, sheet=1, box=Box(100, 100, 900, 700), scale=TO_SCALE, title="BOX")
    with create_audit(tmp_path / "box.audit", name="box") as file:
        file.add_source(path, "box.png")
        file.add_run(Audit(name="box", sheets=(sheet,), views=(view,)), revision=file.revision)
        yield file


def lay(file, wide, high, *, view=1):
    size = [Length(Fraction(v), Unit.MM) for v in (wide, high)]
    piece = LaidPiece(
        name="first cut", sheet=1, view=view, shape=PieceShape.RECTANGLE, width=size[0],
        height=size[1], centre=Point(500.5, 400.5),
    )  # fmt: skip
    file.record(LayPiece(piece=piece), revision=file.revision)
    with open_plans_of(file) as opened:
        return laid_blocks(opened)


def test_without_a_laid_piece_there_is_no_section(file):
    with open_plans_of(file) as opened:
        assert laid_blocks(opened) == ()


def test_each_edge_is_told_and_the_piece_is_shaded_where_it_lies(file):
    """60 mm wide as drawn, 42 mm high where 40 are drawn: 1 mm over at top and bottom."""
    heading, _, block = lay(file, 60, 42)
    assert isinstance(heading, Heading)
    assert "first cut: 60 x 42 mm on" in block.head
    told = dict(block.facts)
    assert told["left"].startswith("flush ±")
    assert told["right"].startswith("flush ±")
    assert told["top"].startswith("1.0 mm over ±")
    assert told["bottom"].startswith("1.0 mm over ±")
    pixels = block.crop.pixels
    rows, columns = pixels.shape
    shaded = float(
        np.median(pixels[rows // 2 - 20 : rows // 2 + 20, columns // 2 - 20 : columns // 2 + 20])
    )
    bare = float(np.median(pixels[: rows // 10, : columns // 10]))
    assert shaded == pytest.approx(0.82 * bare, abs=4)
    dark = pixels[rows // 2] < 0.5 * bare  # the drawn sides, under the outline of the piece
    share = (np.flatnonzero(dark)[[0, -1]] + 0.5) / columns
    assert share == pytest.approx([0.5 - 30 / 102, 0.5 + 30 / 102], abs=0.02)


def test_a_piece_whose_view_lost_its_scale_says_so(file):
    lay(file, 60, 40)
    with open_plans_of(file) as opened:
        bare = tuple(replace(v, scale=NoScale(reason="none")) for v in opened.audit.views)
        _, _, block = laid_blocks(replace(opened, audit=replace(opened.audit, views=bare)))
    assert block.crop is None
    assert "no scale" in dict(block.facts)["not laid"]


def test_an_edge_across_a_fold_is_told_only_when_the_step_is_known(file):
    """A fold at x = 650 px, right of the middle; then a known size on one side and one across."""
    file.record(
        SetFolds(sheet=1, folds=(Fold(a=Point(650, 0), b=Point(650, 800)),)), revision=file.revision
    )
    _, _, block = lay(file, 60, 42)
    told = dict(block.facts)
    assert told["right"] == "across a fold of unknown step"
    assert told["left"].startswith("flush ±")
    for x0, x1, long in ((100, 600, 50), (600, 900, 29)):
        a, b, length = Point(x0, 300), Point(x1, 300), Length(Fraction(long), Unit.MM)
        known = KnownSize(sheet=1, a=a, b=b, length=length)
        file.record(AddKnownSize(known=known), revision=file.revision)
    with open_plans_of(file) as opened:
        _, _, block = laid_blocks(opened)
    told = dict(block.facts)["right"]
    assert float(told.split("± ")[1].split()[0]) >= 2.0  # the step of 1 mm, k = 2
