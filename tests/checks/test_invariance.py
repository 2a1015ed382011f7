"""What must not matter does not: where a sheet lies, how it is turned, how finely it is scanned."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.checks import judge
from audit.geometry import Box, Point, Transform
from audit.lengths import Length, Unit
from audit.records import Dimension, DimensionKind, End, EndKind, PageKind, Verdict
from audit.scale import fix_scales
from tests.checks.simulated import Plan, make_sheet, reading_of, simulate

SHEETS = settings(max_examples=40, deadline=None)
seeds = st.integers(0, 10_000)


def verdicts(sheet, views, dimensions):
    scaled = fix_scales(sheet, views, dimensions=dimensions)
    done = judge(scaled, dimensions)
    return [d.verdict for d in done.dimensions], done, scaled


def moved(sheet, views, dimensions, forward, *, magnify=1.0):
    """The same drawing in other coordinates; the paper sees no difference."""
    back = forward.inverse().then(sheet.to_paper)
    sheet = replace(
        sheet, to_paper=back, width=sheet.width * magnify, height=sheet.height * magnify
    )
    shifted = [
        replace(
            d,
            ends=tuple(
                replace(e, point=forward.apply(e.point), sigma=e.sigma * magnify) for e in d.ends
            ),
        )
        for d in dimensions
    ]
    boxes = [Box.around([forward.apply(c) for c in v.box.corners]) for v in views]
    return sheet, [replace(v, box=b) for v, b in zip(views, boxes, strict=True)], shifted


def mistaken(seed, page=PageKind.SCAN):
    plan = Plan(page=page, dimensions=14, views=2, wrong_share=0.15, wrong_by=1 / 8, sigma=0.3)
    drawing = simulate(plan, np.random.default_rng(seed))
    return drawing.sheet, drawing.views, drawing.dimensions


@SHEETS
@given(seed=seeds, dx=st.floats(-500, 500), dy=st.floats(-500, 500))
def test_moving_a_sheet_changes_no_verdict(seed, dx, dy):
    parts = mistaken(seed)
    shift = Transform(((1.0, 0.0, dx), (0.0, 1.0, dy), (0.0, 0.0, 1.0)))
    assert verdicts(*parts)[0] == verdicts(*moved(*parts, shift))[0]


@SHEETS
@given(seed=seeds, quarters=st.integers(1, 3))
def test_turning_a_sheet_by_quarters_changes_no_verdict(seed, quarters):
    """The paper turns too: a scan put on the glass sideways."""
    sheet, views, dimensions = mistaken(seed)
    c, s = [(0, 1), (-1, 0), (0, -1)][quarters - 1]
    turn = Transform(((c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)))
    there = moved(sheet, views, dimensions, turn)
    sideways = replace(there[0], to_paper=sheet.to_paper)  # not mapped back
    assert verdicts(sheet, views, dimensions)[0] == verdicts(sideways, *there[1:])[0]


@SHEETS
@given(seed=seeds, magnify=st.floats(1.0, 8.0))
def test_scanning_finer_without_seeing_more_changes_no_verdict(seed, magnify):
    parts = mistaken(seed)
    finer = moved(*parts, Transform.scaling(magnify), magnify=magnify)
    assert verdicts(*parts)[0] == verdicts(*finer)[0]


@SHEETS
@given(
    sizes=st.lists(st.integers(16, 512), min_size=4, max_size=20),
    factor=st.sampled_from([1, 2, 4, 10, Fraction(1, 2)]),
    turn=st.floats(0, 180),
)
def test_a_true_drawing_is_never_reproached(sizes, factor, turn):
    """Exact vector lengths in any direction, at any usual scale: no finding of any kind."""
    sheet = make_sheet(PageKind.VECTOR, width=2000, height=2000)
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    dimensions = []
    for k, n in enumerate(sizes):
        u, v = (c, s) if k % 2 else (-s, c)
        drawn = n / 64 / float(factor) * 72
        a = Point(500.0 + 7 * k, 600.0 + 5 * k)
        ends = (End(point=a, kind=EndKind.EXACT),
                End(point=Point(a.x + u * drawn, a.y + v * drawn), kind=EndKind.EXACT))  # fmt: skip
        reading = reading_of(Length(Fraction(n, 64), Unit.IN))
        dimensions.append(
            Dimension(
                id=k, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=ends, reading=reading
            )
        )
    views = [replace(mistaken(0)[1][0], box=sheet.box)]
    found, done, scaled = verdicts(sheet, views, dimensions)
    measurable = [n for n in sizes if n / 64 / float(factor) * 25.4 >= 1.0]
    if len(measurable) < 4:
        return
    assert scaled.findings == ()
    assert Verdict.DISAGREES not in found
    assert not {f.code for f in done.findings} & {"A101", "V101"}
    assert found.count(Verdict.AGREES) == len(found) or any(
        f.code in {"A102", "A103"} for f in done.findings
    )
