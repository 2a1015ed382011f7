"""Drawn sizes and where their uncertainty comes from."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Point, Transform
from audit.lengths import Length, Unit
from audit.records import (
    DimensionKind,
    Edge,
    End,
    EndKind,
    Fold,
    KnownSize,
    PageKind,
    Scale,
    ScaleFrom,
)
from audit.scale import pairs_of_known, scale_from_known
from audit.uncertainty import combine, covariance, measure, photo_scatter
from tests.checks.simulated import make_sheet

uncertainties = pytest.importorskip("uncertainties")
umath = pytest.importorskip("uncertainties.umath")

MM = 25.4
NONE = ((0.0, 0.0, 0.0),) * 3
UNIT = Scale(x=1.0, y=1.0, covariance=NONE, source=ScaleFrom.KNOWN)
SHEET = make_sheet(PageKind.SCAN, width=10_000, height=8_000, dpi=MM)  # 1 px = 1 mm of paper


def snapped(x, y, *, sigma=1.0, kind=EndKind.EXTENSION, width=0.0, along=None):
    return End(point=Point(x, y), kind=kind, sigma=sigma, line_width=width, along=along)


def scale_of_reference(pixels, *, inches=12, u_inches=0.0):
    known = KnownSize(
        sheet=1,
        a=Point(0, 0),
        b=Point(pixels, 0),
        length=Length(Fraction(inches), Unit.IN),
        u_length=u_inches,
        u_ends=1.0,
    )
    return scale_from_known(pairs_of_known([known], sheet=SHEET), page=PageKind.SCAN).scale


def along_x(pixels, scale):
    ends = (snapped(0, 50), snapped(pixels, 50))
    return measure(ends, kind=DimensionKind.DISTANCE, sheet=SHEET, scale=scale, stretch=0.0)


@pytest.mark.parametrize(
    ("reference", "u_inches", "feature", "length", "u"),
    [
        (3600, 0.0, 1350, 4.5, 0.005035),
        (3600, 1 / 64 / math.sqrt(3), 1350, 4.5, 0.006066),
        (900, 0.0, 9000, 120.0, 0.1895),
    ],
)
def test_feature_measured_by_a_printed_reference(reference, u_inches, feature, length, u):
    """A 12 in reference over so many pixels, 1 px a click; computed with GTC and uncertainties."""
    got = along_x(feature, scale_of_reference(reference, u_inches=u_inches))
    assert got.value / MM == pytest.approx(length)
    assert got.u / MM == pytest.approx(u, rel=2e-4)


def test_end_shared_by_reference_and_feature_is_counted_once():
    """The same example with one common click: u = .004125 in (GTC, uncertainties)."""
    shared, far, near = snapped(0, 0), snapped(3600, 0), snapped(1350, 0)
    reference = measure((shared, far), kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT)
    feature = measure((shared, near), kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT)
    common = covariance(reference, feature)
    assert common == pytest.approx(1.0)
    length = 12 * feature.value / reference.value
    gradient = [length / feature.value, -length / reference.value]
    spread = [[feature.u**2, common], [common, reference.u**2]]
    assert combine(gradient, spread) == pytest.approx(0.004125, abs=5e-7)


def test_chained_lengths_share_an_end_with_opposite_signs():
    a, b, c = snapped(0, 0), snapped(100, 0), snapped(250, 0)
    first = measure((a, b), kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT)
    second = measure((b, c), kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT)
    assert covariance(first, second) == pytest.approx(-1.0)
    apart = measure((snapped(0, 9), c), kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT)
    assert covariance(first, apart) == 0.0


def test_lengths_of_one_scale_share_its_uncertainty():
    spread = ((1e-6, 1e-6, 0.0), (1e-6, 1e-6, 0.0), (0.0, 0.0, 0.0))
    scale = replace(UNIT, covariance=spread)
    first, second = along_x(100, scale), along_x(300, scale)
    apart = replace(second, ends=(snapped(1, 1), snapped(2, 2)))
    assert covariance(first, apart, scale=scale) == pytest.approx(100 * 300 * 1e-6)


def anisotropic(shear=0.02):
    spread = np.array([[4e-6, 1e-6, 2e-7], [1e-6, 9e-6, 0.0], [2e-7, 0.0, 1e-6]])
    return Scale(
        x=2.0,
        y=1.9,
        shear=shear,
        covariance=tuple(map(tuple, spread)),
        source=ScaleFrom.KNOWN,
    ), spread


def in_library(spread, shear=0.02):
    """The same metric in the library `uncertainties`, written out by hand."""
    log_x, log_y, s = uncertainties.correlated_values([math.log(2.0), math.log(1.9), shear], spread)
    x, y = umath.exp(log_x), umath.exp(log_y)

    def real(dx, dy):
        return x * dx + y * s * dy, y * umath.sqrt(1 - s * s) * dy

    return real


def test_slanting_length_in_a_sheared_metric_against_uncertainties():
    scale, spread = anisotropic()
    ends = (snapped(10, 20), snapped(310, 420))
    got = measure(ends, kind=DimensionKind.DISTANCE, sheet=SHEET, scale=scale, stretch=0.0)
    x0, y0, x1, y1 = (uncertainties.ufloat(v, 1.0) for v in (10, 20, 310, 420))
    u, v = in_library(spread)(x1 - x0, y1 - y0)
    length = umath.sqrt(u * u + v * v)
    assert got.value == pytest.approx(length.nominal_value)
    # the library lets both coordinates of an end move; so does a sigma in every direction
    assert got.u == pytest.approx(length.std_dev, rel=1e-6)


@pytest.mark.parametrize("sense", [1, -1])
def test_angle_in_a_sheared_metric_against_uncertainties(sense):
    scale, spread = anisotropic()
    points = [(100.0, 100.0), (400.0, 100.0 + sense * 50), (160.0, 100.0 + sense * 420)]
    ends = tuple(snapped(*p) for p in points)
    got = measure(ends, kind=DimensionKind.ANGLE, sheet=SHEET, scale=scale, stretch=0.0)
    x, y = zip(*[[uncertainties.ufloat(v, 1.0) for v in p] for p in points], strict=True)
    real = in_library(spread)
    a, b = (real(x[k] - x[0], y[k] - y[0]) for k in (1, 2))
    cross, dot = a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]
    angle = umath.degrees(umath.atan2(sense * cross, dot))
    assert got.value == pytest.approx(angle.nominal_value)
    assert got.u == pytest.approx(angle.std_dev, rel=1e-6)


def test_an_angle_does_not_care_for_an_equal_scale_both_ways():
    spread = ((1e-4, 1e-4, 0.0), (1e-4, 1e-4, 0.0), (0.0, 0.0, 0.0))
    ends = (snapped(0, 0), snapped(100, 0), snapped(50, 80))
    sizes = [
        measure(ends, kind=DimensionKind.ANGLE, sheet=SHEET, scale=s, stretch=0.0)
        for s in (UNIT, replace(UNIT, x=7.0, y=7.0, covariance=spread))
    ]
    assert sizes[0].value == pytest.approx(sizes[1].value)
    assert sizes[0].u == pytest.approx(sizes[1].u)
    assert sizes[1].part("scale") == pytest.approx(0.0, abs=1e-9)


def test_length_on_a_photo_against_a_simulation():
    """Ends through a homography: first-order propagation against 40,000 random draws."""
    tilt = Transform(((0.9, 0.1, 3.0), (-0.05, 1.1, 8.0), (2e-4, 3e-4, 1.0)))
    sheet = replace(SHEET, to_paper=tilt, width=1000, height=800)
    ends = (snapped(200, 150, sigma=2.0), snapped(800, 600, sigma=2.0))
    got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=UNIT, stretch=0.0)
    rng = np.random.default_rng(8)
    a = tilt.apply_many(rng.normal((200, 150), 2.0, (40_000, 2)))
    b = tilt.apply_many(rng.normal((800, 600), 2.0, (40_000, 2)))
    lengths = np.hypot(*(b - a).T)
    assert got.part("ends") == pytest.approx(lengths.std(), rel=0.02)


def test_outline_ends_carry_that_a_line_may_be_drawn_beside_its_measure_until_that_is_settled():
    """One line in ten is: then by half its width at each end."""
    ends = tuple(snapped(x, 0, kind=EndKind.OUTLINE, width=6.0) for x in (0, 100))
    sizes = {
        edge: measure(ends, kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT, edge=edge)
        for edge in (None, *Edge)
    }
    assert sizes[None].value == 100.0
    assert sizes[None].part("edge") == pytest.approx(6.0 * math.sqrt(0.1))
    assert sizes[Edge.OUTSIDE].value == 106.0
    assert sizes[Edge.INSIDE].value == 94.0
    assert sizes[Edge.CENTRE].value == 100.0
    assert all(sizes[e].part("edge") == 0.0 for e in Edge)


def test_extension_and_centre_lines_count_at_their_middle():
    ends = (
        snapped(0, 0, kind=EndKind.EXTENSION, width=6.0),
        snapped(100, 0, kind=EndKind.CENTRE, width=6.0),
    )
    got = measure(ends, kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT)
    assert got.part("edge") == 0.0


def test_vector_ends_have_a_floor():
    sheet = make_sheet(PageKind.VECTOR, width=612, height=792)
    ends = (snapped(0, 0, sigma=0.0, kind=EndKind.EXACT), snapped(72, 0, sigma=0.0))
    got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=UNIT)
    assert got.u == pytest.approx(0.01 * math.sqrt(2) * MM / 72)


def test_extension_line_that_runs_along_the_length_fixes_it_badly():
    square = (snapped(0, 0, along=0.0), snapped(100, 0, along=0.0))
    slanting = (snapped(0, 0, along=60.0), snapped(100, 0, along=60.0))
    sizes = [
        measure(e, kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT) for e in (square, slanting)
    ]
    assert sizes[1].u == pytest.approx(2 * sizes[0].u)


def test_ordinate_counts_only_along_its_direction():
    ends = (snapped(0, 0), snapped(300, 400, along=0.0))
    got = measure(ends, kind=DimensionKind.ORDINATE, sheet=SHEET, scale=UNIT)
    assert got.value == pytest.approx(300.0)


def test_stretch_grows_with_the_way_from_where_the_scale_was_taken():
    near = replace(UNIT, anchors=(Point(50, 50),))
    far = replace(UNIT, anchors=(Point(9000, 7000),))
    ends = (snapped(0, 50), snapped(100, 50))
    parts = [
        measure(ends, kind=DimensionKind.DISTANCE, sheet=SHEET, scale=s).part("stretch")
        for s in (near, far)
    ]
    assert parts[0] == 0.0
    assert parts[1] == pytest.approx(100 * 5e-4)
    vector = make_sheet(PageKind.VECTOR, width=612, height=792)
    got = measure(ends, kind=DimensionKind.DISTANCE, sheet=vector, scale=far)
    assert got.part("stretch") == 0.0


def test_contributions_add_up_to_the_whole():
    scale = replace(anisotropic()[0], anchors=(Point(0, 0),))
    fold = Fold(a=Point(1000, 0), b=Point(1000, 9), step=Length(Fraction(1), Unit.MM))
    sheet = replace(SHEET, u_paper=0.4, folds=(fold,))
    ends = (snapped(0, 0), snapped(3000, 2000, kind=EndKind.OUTLINE, width=4.0))
    got = measure(ends, kind=DimensionKind.RADIUS, sheet=sheet, scale=scale, drafting=0.3)
    names = [c.name for c in got.contributions]
    assert names == ["ends", "scale", "rectification", "stretch", "drafting", "edge", "fold"]
    assert all(c.u > 0 for c in got.contributions)
    assert got.u**2 == pytest.approx(sum(c.u**2 for c in got.contributions))
    assert got.largest.u == max(c.u for c in got.contributions)


def test_a_photo_rectified_from_four_noisy_corners_keeps_its_promise():
    """What rectifying adds, with the sheets layer's own u_paper: 92 to 98 % inside U.

    Corners are picked with a scatter of 2 px, and all places depart from the plane besides.
    """
    from audit.sheets.rectify import rectify

    corners_mm = [(0, 0), (279.4, 0), (279.4, 215.9), (0, 215.9)]
    seen = [(300, 250), (2700, 180), (2900, 2000), (150, 2200)]
    true = Transform.from_points(corners_mm, seen)
    sheet = make_sheet(PageKind.SCAN, width=3000, height=2400, dpi=200)
    rng, inside = np.random.default_rng(4), []
    for _ in range(120):
        noisy = rng.normal(seen, math.hypot(2.0, photo_scatter(sheet)))
        size = (Length(Fraction(11), Unit.IN), Length(Fraction(17, 2), Unit.IN))
        flat = rectify(sheet, noisy, *size, sigma=2.0)
        for _ in range(8):
            a = rng.uniform((10, 10), (270, 206))
            b = rng.uniform((10, 10), (270, 206))
            places = rng.normal([true.apply(p) for p in (a, b)], photo_scatter(sheet))
            ends = tuple(snapped(*p, sigma=0.1) for p in places)
            got = measure(ends, kind=DimensionKind.DISTANCE, sheet=flat, scale=UNIT)
            inside.append(abs(got.value - np.hypot(*(b - a))) <= got.expanded)
    assert 0.92 <= np.mean(inside) <= 0.98


def test_only_photographs_depart_from_a_plane_view():
    """A flatbed scan has its own local stretch, a vector page is exact."""
    tilt = Transform(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1e-5, 0.0, 1.0)))
    ends = (snapped(0, 0), snapped(3000, 0))

    def part(sheet):
        got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=UNIT)
        return got.part("rectification")

    assert part(SHEET) == 0.0
    assert part(replace(SHEET, to_paper=tilt, kind=PageKind.VECTOR)) == 0.0
    diagonal = math.hypot(SHEET.width, SHEET.height)
    mid = math.sqrt(1.05**-3)  # how lengths shrink at the middle, x = 5000
    wanted = math.sqrt(2) * 3.3e-4 * diagonal * mid
    assert part(replace(SHEET, to_paper=tilt)) == pytest.approx(wanted)


@pytest.mark.parametrize("kind", [DimensionKind.THREAD, DimensionKind.DEPTH, DimensionKind.CHAMFER])
def test_what_is_no_drawn_length_is_refused(kind):
    with pytest.raises(ValueError, match=kind.value):
        measure((snapped(0, 0), snapped(1, 0)), kind=kind, sheet=SHEET, scale=UNIT)


def test_two_ends_in_one_place_are_refused():
    with pytest.raises(ValueError, match="coincide"):
        measure(
            (snapped(5, 5), snapped(5, 5)), kind=DimensionKind.DISTANCE, sheet=SHEET, scale=UNIT
        )
