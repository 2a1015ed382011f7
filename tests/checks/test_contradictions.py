"""Sizes of a small view that fit no scale together are told, though the view has none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks.contradictions import tell_contradictions
from audit.geometry import Point
from audit.records import NoScale, PageKind, Settings
from audit.scale import ScaledSheet
from tests.checks.simulated import make_sheet
from tests.checks.test_agreement import size, view

SCAN = make_sheet(PageKind.SCAN, width=792, height=612, dpi=72)
OPEN = replace(view(), id=2, scale=NoScale(reason="only 2 printed sizes to take a scale from"))


def detail(printed, drawn, *, number, turn=False):
    """A size of the view without a scale, drawn so many inches long."""
    base = replace(size(printed, drawn, number=number, sigma=0.05), view=2)
    first, last = base.ends
    slanted = Point(first.point.x + 51 * drawn, first.point.y + 51 * drawn)
    return replace(base, ends=(first, replace(last, point=slanted))) if turn else base


def told(*dimensions, sheet=SCAN, views=None):
    shown = views or (view(), OPEN)
    scaled = ScaledSheet(sheet=sheet, views=shown, findings=(), left_out=())
    return tell_contradictions(scaled, dimensions, settings=Settings())


SIX_PERCENT_OFF = (detail("3", 1.7, number=20), detail("17/8", 1.7 * 2 / 3, number=21))


def test_two_sizes_of_which_one_is_wrong_are_one_warning():
    [finding] = told(*SIX_PERCENT_OFF)
    assert finding.code == "A101"
    assert set(finding.dimensions) == {20, 21}
    assert "by no scale do they all fit" in finding.text
    assert told(SIX_PERCENT_OFF[0], detail("2", 1.7 * 2 / 3, number=21)) == []


def test_the_one_that_two_others_speak_against_comes_first():
    [finding] = told(*SIX_PERCENT_OFF, detail("4", 1.7 * 4 / 3, number=22))
    assert finding.dimensions == (21, 20, 22)


@pytest.mark.parametrize(
    "dimensions",
    [
        (detail("3", 1.7, number=20), detail("4", 1.7 * 2 / 3, number=21)),  # another scale
        (detail("3", 1.7, number=20), detail("17/8", 1.7 * 2 / 3, number=21, turn=True)),
        (SIX_PERCENT_OFF[0], replace(SIX_PERCENT_OFF[1], view=1)),
        [detail("3", 1.5 + 0.08 * k, number=20 + k) for k in range(6)],  # not to scale
        [detail("3", 1.5 + 0.08 * k, number=20 + k) for k in range(3)],  # two mistakes at least
    ],
)
def test_what_may_be_drawn_so_is_no_contradiction(dimensions):
    assert told(*dimensions) == []


def test_nothing_is_told_of_files_and_of_sheets_without_any_scale():
    page = make_sheet(PageKind.VECTOR, width=792, height=612)
    assert told(*SIX_PERCENT_OFF, sheet=page) == []
    assert told(*SIX_PERCENT_OFF, views=(OPEN,)) == []


@pytest.mark.parametrize(("up", "count"), [(1.08, 0), (1.0, 1)])
def test_sizes_both_ways_are_compared_as_the_picture_is_stretched(up, count):
    """3 across and 2 upright, drawn 8 % shorter: right where the other view's scale is so too."""
    upright = detail("2", 1.7 * 2 / 3 / 1.08, number=21)
    first, last = upright.ends
    there = Point(first.point.x, first.point.y + 72 * 1.7 * 2 / 3 / 1.08)
    upright = replace(upright, ends=(first, replace(last, point=there)))
    scaled = replace(view(), scale=replace(view().scale, y=up))
    assert len(told(detail("3", 1.7, number=20), upright, views=(scaled, OPEN))) == count


@pytest.mark.parametrize(("drafting", "count"), [(0.1, 1), (1.0, 0)])
def test_a_contradiction_is_more_than_the_hand_of_the_sheet_misses_by(drafting, count):
    assert len(told(*SIX_PERCENT_OFF, views=(replace(view(), drafting=drafting), OPEN))) == count
