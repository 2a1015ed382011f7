"""Numbers that are off by far more than a slip explains."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import judge
from audit.checks.far_off import NOT_ITS_LINE, ONE_OF_MANY
from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import (
    DimensionKind,
    End,
    EndKind,
    FoundBy,
    PageKind,
    ReadBy,
    Settings,
    UserSet,
    Verdict,
)
from audit.scale import LeftOut, ScaledSheet
from tests.checks.judging import FULL, SHEET, angle, judged, size, verdict, view
from tests.checks.simulated import make_sheet


def read(printed, drawn, *, by=ReadBy.NET, **more):
    """A size as a tool finds it on a picture."""
    base = size(printed, drawn, found_by=FoundBy.TOOL, **more)
    return replace(base, reading=replace(base.reading, by=by))


def test_a_number_far_off_is_asked_about_and_no_alarm():
    done = judged(read("4", 2.9))
    assert (done.dimensions[0].verdict, done.dimensions[0].why) == (
        Verdict.NOT_CHECKED,
        NOT_ITS_LINE,
    )
    assert done.dimensions[0].difference is None  # it is not compared
    assert [f.code for f in done.findings] == ["A104"]
    assert "is that of its number" in done.findings[0].text


def test_numbers_of_other_lines_make_no_view_that_is_not_to_scale():
    """Two far off and one near beside four that agree: too many were all three its own."""
    good = [read(str(k + 2), k + 2.0, number=k) for k in range(4)]
    far = [read("4", 1.7, number=20), read("2", 8.7, number=21)]
    near = read("3", 3.2, number=22)
    done = judged(*good, *far, near)
    assert {d.verdict for d in done.dimensions[:4]} == {Verdict.AGREES}
    assert [d.verdict for d in done.dimensions[4:]] == [
        Verdict.NOT_CHECKED,
        Verdict.NOT_CHECKED,
        Verdict.DISAGREES,
    ]
    # where as many are off as agree nothing is to scale
    assert [f.code for f in judged(*good[:3], *far, near).findings] == ["V101"]


@pytest.mark.parametrize(
    ("sigma", "wanted"), [(0.4, Verdict.DISAGREES), (2.0, Verdict.NOT_CHECKED)]
)
def test_an_inch_less_is_a_slip_where_the_length_is_known_well(sigma, wanted):
    """1 7/8 printed on 2.85: a length known to 3 % is as likely an inch off by chance."""
    assert verdict(read("15/8", 2.85, sigma=sigma)).verdict is wanted


def test_many_sizes_off_where_still_more_agree_are_asked_about_and_no_alarms():
    """Four of eleven: on a picture lines were found wrong, a file is not to scale."""
    good = [read(str(k + 2), k + 2.0, number=k) for k in range(7)]
    off = [read(str(k + 3), 1.07 * (k + 3), number=20 + k) for k in range(4)]
    scan = make_sheet(PageKind.SCAN, width=792, height=612, dpi=72)
    done = judged(*good, *off, sheet=scan)
    assert {d.verdict for d in done.dimensions[:7]} == {Verdict.AGREES}
    assert {d.why for d in done.dimensions[7:]} == {ONE_OF_MANY}
    assert not {"A101", "V101"} & {f.code for f in done.findings}
    assert "V101" in {f.code for f in judged(*good, *off).findings}
    # two are mistakes, however many are asked about beside them
    lone = [replace(d, score=0.0) for d in off[2:]]
    told = [f.code for f in judged(*good[:5], *off[:2], *lone, sheet=scan).findings]
    assert told.count("A101") == 2


@pytest.mark.parametrize(
    ("drawn", "tolerance", "wanted"),
    [(0.875, "1/32", Verdict.DISAGREES), (0.78, "1/8", Verdict.NOT_CHECKED)],
)
def test_what_only_a_wide_tolerance_lets_fit_is_no_slip(drawn, tolerance, wanted):
    """1 7/8 printed, an inch too much: within 1/8 in of a short length one slip or another fits."""
    settings = Settings(tolerance=Length(Fraction(tolerance), Unit.IN))
    assert verdict(read("15/8", drawn), settings=settings).verdict is wanted


@pytest.mark.parametrize(("printed", "drawn"), [("4", 2.0), ("27/2", 6.75)])
def test_half_of_more_than_an_inch_is_likelier_the_line_beside(printed, drawn):
    assert verdict(read(printed, drawn)).why == NOT_ITS_LINE


@pytest.mark.parametrize(
    "still_wrong",
    [
        read("4", 3.76),  # six percent
        read("1/4", 3 / 16),  # a third, but a sixteenth of an inch
        read("3/4", 1.5),  # half the fraction: a slip with a name
        read("13", 31.0),  # swapped digits
        read("4", 2.9, by=ReadBy.PDF),
        replace(read("4", 2.9), user_set=frozenset({UserSet.ENDS})),
        replace(read("4", 2.9), found_by=FoundBy.USER),
    ],
)
def test_other_wrong_numbers_stay_alarms(still_wrong):
    assert verdict(still_wrong).verdict is Verdict.DISAGREES


def test_a_length_known_to_a_third_of_itself_names_no_slip():
    """1 1/2 mm would be an inch and a half read in mm; so would all from .04 to .08 in."""
    assert verdict(read("3/2", 0.06, sigma=0.5)).why == NOT_ITS_LINE
    assert verdict(read("3/2", 0.06)).why == NOT_ITS_LINE  # T is 1/64 in
    assert verdict(read("15", 15 / 25.4)).verdict is Verdict.DISAGREES


@pytest.mark.parametrize(
    ("turn", "drawn", "due"),
    [
        (45, 0.375, Verdict.NOT_CHECKED),  # as in an oblique drawing
        (0, 0.375, Verdict.DISAGREES),
        (45, 1.5, Verdict.DISAGREES),  # nothing is drawn longer for running backwards
    ],
)
def test_a_slanted_length_half_as_long_as_printed_may_run_backwards(turn, drawn, due):
    base = read("3/4", drawn)
    first, last = base.ends
    far = first.point.distance(last.point)
    turned = first.point.moved(
        far * math.cos(math.radians(turn)), far * math.sin(math.radians(turn))
    )
    slanted = replace(base, ends=(first, replace(last, point=turned)))
    assert verdict(slanted).verdict is due


def test_in_a_part_of_a_view_drawn_larger_what_is_far_off_is_so_by_its_own_scale():
    """A detail at full size, in a view at a 25th of it."""
    strange = read("4", 2.9)
    full, small = view(), view(scale=replace(FULL, x=25.0, y=25.0))
    own = LeftOut(dimension=strange.id, scale=full.scale, drafting=0.0)
    scaled = ScaledSheet(sheet=SHEET, views=(small,), findings=(), left_out=(own,))
    assert judge(scaled, [strange]).dimensions[0].why == NOT_ITS_LINE
    assert judge(replace(scaled, views=(full,)), [strange]).dimensions[0].why == NOT_ITS_LINE


@pytest.mark.parametrize(
    ("by", "drawn", "due"),
    [
        (ReadBy.NET, 60, Verdict.NOT_CHECKED),  # the angle on the other side of a line
        (ReadBy.NET, 113, Verdict.DISAGREES),  # six percent
        (ReadBy.PDF, 60, Verdict.DISAGREES),
    ],
)
def test_an_angle_whose_supplement_is_drawn_is_asked_about_on_a_picture(by, drawn, due):
    base = replace(angle(120, drawn), found_by=FoundBy.TOOL)
    assert verdict(replace(base, reading=replace(base.reading, by=by))).verdict is due


@pytest.mark.parametrize(("drawn", "due"), [(25, Verdict.NOT_CHECKED), (94, Verdict.DISAGREES)])
def test_a_sum_on_the_line_of_one_step_is_no_alarm(drawn, due):
    base = size("100", drawn / 25.4, unit=Unit.MM)
    said = replace(base.reading, text="4X 25 (=100)")
    got = verdict(replace(base, reading=said), settings=Settings(unit=Unit.MM))
    assert got.verdict is due


def test_two_numbers_that_fit_on_the_line_of_the_other_are_asked_about():
    """1/2 and 9/16 side by side, each taken for the other's."""
    right = [read("3", 3.0, number=k) for k in range(5)]
    pair = [read("1/2", 0.5625, number=20), read("9/16", 0.5, number=21)]
    done = judged(*right, *pair)
    assert [d.why for d in done.dimensions[5:]] == [NOT_ITS_LINE] * 2
    alone = judged(*right, pair[0], read("9/16", 0.53, number=21))
    assert {d.verdict for d in alone.dimensions[5:]} == {Verdict.DISAGREES}
    placed = [replace(d, user_set=frozenset({UserSet.ENDS})) for d in pair]
    assert {d.verdict for d in judged(*right, *placed).dimensions[5:]} == {Verdict.DISAGREES}


def ring(
    printed, radius, *, number, kind=DimensionKind.RADIUS, centre=(200.0, 100.0), by=ReadBy.NET
):
    """A radius, or a diameter, of a circle of so many inches about a point, found by a tool."""
    x, y = centre
    low = x if kind is DimensionKind.RADIUS else x - 72 * radius
    ends = tuple(
        End(point=Point(at, y), kind=EndKind.OUTLINE, sigma=0.01) for at in (low, x + 72 * radius)
    )
    return replace(read(printed, 1.0, by=by, kind=kind, number=number), ends=ends)


def about_a_hole(off, hole="1/4", **more):
    """The verdict on a radius that was taken for that of a hole of 1/4 in."""
    right = [read("3", 3.0, number=k) for k in range(5)]
    bore = ring(hole, 1 / 8, number=20, kind=DimensionKind.DIAMETER)
    return judged(*right, bore, ring(off, 1 / 8, number=21, **more)).dimensions[6]


def test_a_radius_at_a_circle_that_another_size_fits_is_asked_about():
    """R 7/32 of the round end about a hole of 1/4, whose leader was taken to end at the hole."""
    found = about_a_hole("7/32")
    assert (found.verdict, found.why) == (Verdict.NOT_CHECKED, NOT_ITS_LINE)


@pytest.mark.parametrize(
    "named",
    [
        about_a_hole("5/32"),  # an error that a person may make, at the same circle
        about_a_hole("7/32", centre=(240.0, 100.0)),  # a circle of its own
        about_a_hole("7/32", hole="5/16"),  # which nothing else fits
        about_a_hole("7/32", by=ReadBy.PDF),
    ],
)
def test_a_wrong_radius_at_a_circle_of_its_own_is_still_named(named):
    assert named.verdict is Verdict.DISAGREES
