"""Four photographs of a printed grid of known size: rectified, measured, and refused a scale."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest

from audit.checks import judge
from audit.lengths import Length, Unit
from audit.records import (
    DimensionKind,
    KnownSize,
    NoScale,
    Scale,
    ScaleFrom,
    View,
    ViewKind,
)
from audit.scale import fix_scales
from audit.uncertainty import measure
from tests.checks.simulated import reading_of
from tests.outside.dots import (
    ACROSS,
    ALL_PAIRS,
    CORNERS,
    DOWN,
    FOUND_TO_PX,
    PITCH_MM,
    PLACES,
    SIDE_MM,
    dimension_of,
    ends_of,
    find_dots,
    flat_photo,
    photo,
    true_mm,
)

pytestmark = pytest.mark.xdist_group("outside")

PHOTOS = ("grid36-01.pgm", "grid36-02.pgm", "grid36-03.pgm", "grid36-04.pgm")
# What the scale of the top row makes of the bottom row, true 150 mm (measured before, elsewhere).
BOTTOM_BY_TOP = dict(zip(PHOTOS, (169.07, 159.11, 121.27, 172.34), strict=True))
EXACT = Scale(x=1.0, y=1.0, covariance=((0.0,) * 3,) * 3, source=ScaleFrom.KNOWN)
TOP, BOTTOM = ((0, 0), (0, 5)), ((5, 0), (5, 5))


def errors(path: Path, pairs) -> np.ndarray:
    """Measured minus true, and the stated U, for each pair of dots; mm, shape (n, 2)."""
    dots = find_dots(path)
    sheet = flat_photo(dots)
    rows = []
    for a, b in pairs:
        ends = ends_of(dots, a, b)
        got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=EXACT)
        rows.append((got.value - true_mm(a, b), got.expanded))
    return np.array(rows)


def best_flat(path: Path) -> dict:
    """All dots on the paper by OpenCV's homography through all 36, mm."""
    dots = find_dots(path)
    seen = np.array([dots[p] for p in PLACES])
    true = np.array([(c * PITCH_MM, r * PITCH_MM) for r, c in PLACES])
    matrix, _ = cv2.findHomography(seen, true, 0)
    return dict(zip(PLACES, cv2.perspectiveTransform(seen[None], matrix)[0], strict=True))


def test_every_pitch_of_one_photo_is_right_within_half_a_millimetre(outside_if_there):
    off, _ = errors(outside_if_there(PHOTOS[0]), ACROSS + DOWN).T
    assert len(off) == 60
    assert np.abs(off).max() <= 0.25


@pytest.mark.hard
@pytest.mark.parametrize("name", PHOTOS)
def test_every_pitch_across_is_right_within_half_a_millimetre(outside, name):
    off, _ = errors(outside(name), ACROSS).T
    assert np.abs(off).max() <= 0.5


@pytest.mark.hard
@pytest.mark.parametrize("name", PHOTOS)
def test_every_pitch_down_is_right_as_far_as_the_paper_lies_flat(outside, name):
    """At the left edge of photo 3 the paper bulges: two pitches are off by .63 and .51 mm there.

    No plane view explains that: through all 36 dots OpenCV's best homography leaves .56 mm.
    """
    path = outside(name)
    off, _ = errors(path, DOWN).T
    wrong = [pair for pair, e in zip(DOWN, off, strict=True) if abs(e) > 0.5]
    if name != PHOTOS[2]:
        assert wrong == []
        return
    assert wrong == [((2, 0), (3, 0)), ((2, 1), (3, 1))]
    assert np.abs(off).max() < 0.65
    flat = best_flat(path)
    left = np.hypot(*(flat[3, 0] - flat[2, 0])) - PITCH_MM
    assert left < -0.5


@pytest.mark.hard
def test_intervals_hold_for_95_in_100_lengths_between_dots(outside):
    """All 630 lengths in each photo, pitches and longer, measured from four corner dots.

    The scatter of photographs (`PHOTO_SCATTER`) was set by 01 and 02; 03 and 04 had no say.
    Lengths of one photo share its corners: four photos say less than 2,520 lengths seem to.
    Measured: 95.0 % in all, pitches 98.3 %, 03 and 04 alone 94.9 %; without the scatter of
    photographs 28.5 %.
    """
    inside = {name: [abs(e) <= u for e, u in errors(outside(name), ALL_PAIRS)] for name in PHOTOS}
    assert 0.93 <= np.mean([inside[name] for name in PHOTOS]) <= 0.97
    assert 0.92 <= np.mean([inside[name] for name in PHOTOS[2:]]) <= 0.97
    pitches = [abs(e) <= u for n in PHOTOS for e, u in errors(outside(n), ACROSS + DOWN)]
    assert 0.93 <= np.mean(pitches) <= 0.995


def view_of(sheet):
    return View(id=1, sheet=1, kind=ViewKind.TRUE, box=sheet.box, scale=NoScale(reason="not yet"))


def printed(dots, pairs):
    made = []
    for number, (a, b) in enumerate(pairs, start=1):
        size = Length(Fraction(true_mm(a, b)).limit_denominator(1000), Unit.MM)
        made.append(dimension_of(dots, a, b, number=number, reading=reading_of(size)))
    return made


@pytest.mark.hard
def test_intervals_hold_when_the_printed_sizes_themselves_set_the_scale(outside):
    """The whole chain: rectified, scale by consensus, each size judged without itself.

    Measured: 98 % of 720, because a plotted drawing is never taken as truer than 0.1 mm. Nothing
    is called wrong that is right.
    """
    pairs = [(a, b) for a, b in ALL_PAIRS if a[0] == b[0] or a[1] == b[1]]
    inside, verdicts = [], set()
    for name in PHOTOS:
        dots = find_dots(outside(name))
        sheet = flat_photo(dots)
        dimensions = printed(dots, pairs)
        judged = judge(fix_scales(sheet, [view_of(sheet)], dimensions=dimensions), dimensions)
        for d, (a, b) in zip(judged.dimensions, pairs, strict=True):
            assert d.scaled is not None
            inside.append(abs(d.scaled.value - true_mm(a, b)) <= d.scaled.expanded)
            verdicts.add(d.verdict.value)
    assert len(inside) == 720
    assert 0.93 <= np.mean(inside) <= 0.99
    assert verdicts <= {"agrees", "too-close"}


def known(dots, pair):
    a, b = (dots[p] for p in pair)
    return KnownSize(sheet=1, a=a, b=b, length=SIDE_MM, u_ends=FOUND_TO_PX)


@pytest.mark.hard
@pytest.mark.parametrize("name", PHOTOS)
def test_one_scale_for_a_slanting_photo_reads_wrong_and_is_flagged(outside, name):
    """Scaled by its top row alone the bottom row is 6 to 19 % wrong; a second known size tells."""
    dots = find_dots(outside(name))
    sheet = photo()
    top, bottom = (dots[a].distance(dots[b]) for a, b in (TOP, BOTTOM))
    assert 150 * bottom / top == pytest.approx(BOTTOM_BY_TOP[name], abs=0.3)
    ends = ends_of(dots, *BOTTOM)
    top_mm = 25.4 / 200 * top
    one = Scale(x=150 / top_mm, y=150 / top_mm, covariance=EXACT.covariance, source=ScaleFrom.KNOWN)
    got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=one)
    assert got.value == pytest.approx(BOTTOM_BY_TOP[name], abs=0.3)
    scaled = fix_scales(
        sheet, [view_of(sheet)], known_sizes=[known(dots, p) for p in (TOP, BOTTOM)]
    )
    told = {f.code: f.text for f in scaled.findings}
    assert "S101" in told
    assert "known sizes 150 mm and 150 mm" in told["S101"]
    assert isinstance(scaled.views[0].scale, NoScale)


@pytest.mark.hard
@pytest.mark.parametrize("name", PHOTOS)
def test_a_slanting_photo_without_rectangle_is_never_scaled_in_silence(outside, name):
    """One known size and all that is printed: the sizes themselves speak against one scale."""
    dots = find_dots(outside(name))
    sheet = photo()
    sides = [((r, 0), (r, 5)) for r in range(1, 6)] + [((0, c), (5, c)) for c in range(6)]
    dimensions = printed(dots, sides)
    scaled = fix_scales(
        sheet, [view_of(sheet)], dimensions=dimensions, known_sizes=[known(dots, TOP)]
    )
    judged = judge(scaled, dimensions)
    told = {f.code for f in (*scaled.findings, *judged.findings)}
    assert told & {"S101", "V101", "A101"}


def test_corner_dots_land_where_they_are_printed(outside_if_there):
    dots = find_dots(outside_if_there(PHOTOS[0]))
    sheet = flat_photo(dots)
    places = [sheet.to_paper.apply(dots[place]) for place in CORNERS]
    assert np.array(places) == pytest.approx(
        np.array([(0, 0), (150, 0), (150, 150), (0, 150)], float), abs=1e-6
    )
