"""A4 or Letter: the shape of an edge seen askew leaves it open, sizes on the sheet decide."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Box, Point, Transform
from audit.lengths import Length, Unit
from audit.pipeline.laying_flat import LaidFlat, PaperChoice
from audit.pipeline.settling_paper import settle_paper
from audit.pipeline.sheet import FoundSheet
from audit.pipeline.texts import SheetUnit
from audit.pipeline.viewing import NO_SCALE_YET
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    Finding,
    KnownSize,
    PageKind,
    Settings,
    Severity,
    View,
)
from audit.sheets.papers import find_paper
from tests.checks.simulated import make_sheet, reading_of

CORNERS = [(310.0, 220.0), (1690.0, 260.0), (1820.0, 2050.0), (150.0, 1980.0)]
RAW = replace(make_sheet(PageKind.SCAN, width=2000, height=2300, dpi=200), paper_known=False)
TRUE = find_paper("letter")


def flat_by(name):
    wide, high = (float(v.value) for v in find_paper(name).sides(upright=True))
    corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    return replace(RAW, to_paper=Transform.from_points(CORNERS, corners))


def note(code, text):
    return Finding(id=0, code=code, severity=Severity.NOTE, places=(), text=text)


LAID = LaidFlat(
    sheet=RAW,
    findings=(note("D107", "not used"),),
    choices=tuple(
        PaperChoice(
            paper=find_paper(n), sheet=flat_by(n), findings=(note("D106", f"flat by {n}."),)
        )
        for n in ("a4", "letter")
    ),
)


def in_px(mm):
    back = flat_by("letter").to_paper.inverse()
    return Point(*map(float, back.apply_many([mm])[0]))


def dimension(number, a, b, mm):
    ends = tuple(End(point=in_px(p), kind=EndKind.EXTENSION, sigma=0.3) for p in (a, b))
    middle = ends[0].point.midpoint(ends[1].point)
    box = Box(middle.x - 20, middle.y - 10, middle.x + 20, middle.y + 10)
    return Dimension(
        id=number, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=ends,
        reading=reading_of(Length(Fraction(mm), Unit.MM), box=box),
    )  # fmt: skip


def looked_at(*, across=8, down=8, known=()):
    rng = np.random.default_rng(11)
    made = []
    for k in range(across + down):
        x, y, size = rng.uniform(15, 90), rng.uniform(15, 140), int(rng.integers(40, 100))
        end = (x + size, y) if k < across else (x, y + size)
        made.append(dimension(k + 1, (x, y), end, size))
    view = View(id=1, sheet=1, box=RAW.box, scale=NO_SCALE_YET)
    return FoundSheet(
        sheet=LAID.looked_at, views=(view,), dimensions=tuple(made), known_sizes=known,
        unit=SheetUnit(Unit.MM, "said"),
    )  # fmt: skip


def known(a, b, mm):
    length = Length(Fraction(mm), Unit.MM)
    return KnownSize(sheet=1, a=in_px(a), b=in_px(b), length=length, u_ends=0.5)


def test_printed_sizes_in_both_directions_decide():
    settled = settle_paper(looked_at(), LAID, Settings())
    assert settled.sheet.to_paper == flat_by("letter").to_paper
    assert [f.code for f in settled.findings] == ["D106"]
    assert "decided between Letter and A4" in settled.findings[0].text
    assert not settled.sheet.paper_known


def test_two_known_sizes_decide_without_any_print():
    sizes = (known((20, 30), (180, 30), 160), known((30, 20), (30, 240), 220))
    settled = settle_paper(looked_at(across=0, down=0, known=sizes), LAID, Settings())
    assert settled.sheet.to_paper == flat_by("letter").to_paper


@pytest.mark.parametrize(
    "given", [{"across": 0}, {"across": 0, "down": 0}, {"across": 2, "down": 1}]
)
def test_sizes_that_run_one_way_or_are_too_few_decide_nothing(given):
    settled = settle_paper(looked_at(**given), LAID, Settings())
    assert settled.sheet.to_paper == RAW.to_paper
    assert [f.code for f in settled.findings] == ["D107"]


def test_sizes_that_fit_neither_shape_decide_nothing():
    """A copy 4.5 % too wide lies half way between A4 and Letter."""
    base = looked_at(across=8, down=8)
    wide = tuple(
        replace(
            d,
            reading=reading_of(
                Length(d.printed.value * Fraction(209, 200), Unit.MM), box=d.reading.box
            ),
        )
        if d.id <= 8
        else d
        for d in base.dimensions
    )
    settled = settle_paper(replace(base, dimensions=wide), LAID, Settings())
    assert [f.code for f in settled.findings] == ["D107"]
