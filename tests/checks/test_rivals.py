"""Two sizes that contradict each other are both told where nothing speaks for one of them."""

from __future__ import annotations

import pytest

from audit.checks import judge
from audit.checks.rivals import ALONE, CONTRADICTED
from audit.geometry import Box, Point
from audit.lengths import Unit, parse_callouts
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    NoScale,
    PageKind,
    ReadBy,
    Reading,
    Verdict,
    View,
    ViewKind,
)
from audit.scale import fix_scales
from tests.checks.simulated import make_sheet

DPI = 200.0
MAIN = 24.0  # px to an inch of the front, which has sizes enough
DETAIL = 31.0  # of the view beside it: at no plain ratio to the front
FRONT = [("8", 8.0), ("11", 11.0), ("14 1/2", 14.5), ("6", 6.0), ("9 1/4", 9.25)]


def size(number, view, text, px):
    """A level size on a scan, so many px long, read without doubt."""
    y = 40.0 * number + 1000.0 * (view - 1)
    ends = tuple(End(point=Point(x, y), kind=EndKind.EXTENSION, sigma=0.2) for x in (100, 100 + px))
    reading = Reading(
        text=text,
        callout=parse_callouts(text, unit=Unit.IN)[0],
        confidence=1.0,
        by=ReadBy.NET,
        box=Box(100, y - 9, 140, y - 3),
    )
    return Dimension(
        id=number, sheet=1, view=view, kind=DimensionKind.DISTANCE, ends=ends, reading=reading
    )


def judged(detail, *, per_inch=DETAIL):
    """Verdicts of a view of a few sizes, (printed, true), beside a front; and its findings."""
    sheet = make_sheet(PageKind.SCAN, width=1700.0, height=2200.0, dpi=DPI)
    boxes = [Box(50, 0, 900, 900), Box(50, 1000, 900, 1900)]
    views = [
        View(id=k, sheet=1, kind=ViewKind.TRUE, box=box, title="", scale=NoScale(reason=""))
        for k, box in enumerate(boxes, 1)
    ]
    own = [size(k, 1, text, MAIN * inches) for k, (text, inches) in enumerate(FRONT, 1)]
    own += [size(k, 2, text, per_inch * inches) for k, (text, inches) in enumerate(detail, 11)]
    done = judge(fix_scales(sheet, views, dimensions=own), own)
    verdicts = {d.printed: d.verdict for d in done.dimensions if d.view == 2}
    whys = {d.why for d in done.dimensions if d.view == 2}
    return list(verdicts.values()), whys, [f for f in done.findings if f.code == "A101"]


RIGHT = [("9", 9.0), ("12", 12.0), ("1/4", 0.25)]
WRONG = [("9", 9.0), ("12 3/4", 12.0), ("1/4", 0.25)]
MET = MAIN * 4 / 3 * 12.75 / 12  # px to an inch: by 12 3/4 in it is four thirds of the front


def test_a_wrong_size_that_meets_a_plain_ratio_calls_no_right_one_wrong():
    verdicts, whys, told = judged(WRONG, per_inch=MET)
    assert verdicts[:2] == [Verdict.TOO_CLOSE, Verdict.TOO_CLOSE]
    assert CONTRADICTED in whys
    [finding] = told
    assert finding.dimensions == (11, 12)
    assert finding.text.startswith(
        "9 in and 12 3/4 in contradict each other in view 2: measured by"
    )


def test_a_size_that_alone_tells_the_scale_of_its_view_vouches_for_nothing():
    """11 1/4 over 12 in: by it alone the view is four thirds of the front."""
    wrong = [("11 1/4", 12.0), ("1/4", 0.25), ("3/8", 0.375)]
    verdicts, whys, told = judged(wrong, per_inch=MAIN * 4 / 3 * 11.25 / 12)
    assert verdicts[0] is Verdict.NOT_SCALED
    assert ALONE in whys
    assert not told


def test_a_text_in_degrees_at_a_length_is_no_rival():
    verdicts, _, _ = judged([*WRONG, ("45°", 2.0)], per_inch=MET)
    assert verdicts[:2] == [Verdict.TOO_CLOSE, Verdict.TOO_CLOSE]
    assert verdicts[3] is Verdict.NOT_CHECKED


def test_right_sizes_of_such_a_view_agree():
    verdicts, _, told = judged(RIGHT)
    assert verdicts == [Verdict.AGREES] * 3
    assert not told


@pytest.mark.parametrize(
    ("more", "verdict"), [([], Verdict.TOO_CLOSE), ([("5", 5.0)], Verdict.DISAGREES)]
)
def test_a_third_size_tells_which_of_two_is_wrong(more, verdict):
    verdicts, _, _ = judged([*WRONG[:2], *more, WRONG[2]], per_inch=MET)
    assert verdicts[1] is verdict


def test_a_view_at_the_scale_of_another_is_judged_by_it():
    verdicts, whys, told = judged(WRONG, per_inch=MAIN)
    assert verdicts == [Verdict.AGREES, Verdict.DISAGREES, Verdict.AGREES]
    assert CONTRADICTED not in whys
    assert [f.dimensions for f in told] == [(12,)]
