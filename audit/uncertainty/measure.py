"""A size measured on the drawing, with everything that makes it uncertain.

The contributions, each a standard uncertainty of the result:

ends
    where the two ends were snapped (`End.sigma`, with a floor);
scale
    the scale's own covariance; grows with the length;
rectification
    what the map from the sheet to the paper brings in (`Sheet.u_paper`), and in a photograph what
    no such map explains;
stretch
    paper stretched otherwise here than where the scale was taken;
drafting
    the drawing itself, as the scatter of its view tells;
edge
    which edge of a thick outline counts;
fold
    a fold or taped joint between the ends (`Fold.u_paper`; one of unknown step brings nothing
    here: such a length is not scaled at all).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point, angle_between, direction_deg
from audit.records import (
    DimensionKind,
    Edge,
    End,
    EndKind,
    Frame,
    PageKind,
    Scale,
    Sheet,
)
from audit.uncertainty.metric import real_changes, real_matrix
from audit.uncertainty.propagation import combine, expand

Array = NDArray[np.float64]

EXACT_FLOOR_PT = 0.01  # vector ends: rounding of coordinates as written in PDF files
SNAPPED_FLOOR_PX = 0.05  # best that was measured for a stroke on a clean render
FREE_FLOOR_PX = 1.0  # a click on nothing
FREE_FLOOR_PT = 0.25
# Of lines that are drawn on the measure itself, as dividers and programs set it off; the others are
# drawn with one of their edges on it, inside as often as outside (judgement, no source).
ON_THE_MEASURE = 0.9
_EDGE_STRAYS = math.sqrt(1 - ON_THE_MEASURE)
LEAST_COSINE = 0.2  # an extension line nearly along the length fixes it no better than 5 sigma

# Share of the sheet's diagonal over which the error of a rectified photo changes its mind:
# simulated photos with four noisy corners (a test repeats it).
SMOOTH_REACH = 0.44

# What no plane seen through a perfect lens explains, as a share of the picture's diagonal, for one
# place along one direction: paper that does not lie flat, the lens, the camera. Photographs of a
# printed grid of 6×6 dots, 640×480 px (ViSP image data set, calibration/grid36): the lengths
# between dots of -01 and -02, rectified by four of them, scatter as much as this makes them; -03
# and -04, which had no say, come to 1.08 times as much. The dots themselves are found to .04 px.
# A lens with barrel distortion of a percent and more departs further.
PHOTO_SCATTER = 3.3e-4

# Relative change of local stretch over half the sheet's diagonal. A4 desktop scanners: rms place
# errors .5 to 3.4 px over 2,500 to 5,000 px (ACRS 1997 study ps3026, table 1), about .05 %.
SCAN_STRETCH = 5e-4

MEASURABLE = frozenset(
    {
        DimensionKind.DISTANCE,
        DimensionKind.ORDINATE,
        DimensionKind.RADIUS,
        DimensionKind.DIAMETER,
        DimensionKind.ANGLE,
        DimensionKind.THICKNESS,
    }
)


@dataclass(frozen=True, slots=True)
class Contribution:
    """One cause of uncertainty and the standard uncertainty it brings, in the result's unit."""

    name: str
    u: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A measured size.

    Attributes
    ----------
    value, u : float
        Real mm; degrees for angles.
    contributions : tuple of Contribution
        Always the seven of this module's list, in that order; their squares add up to u².
    ends : tuple of End
        As used, floors applied.
    gradients : tuple of (float, float)
        Derivative of the value by the place of each end, per unit of the sheet's frame.
    scale_gradient : tuple of three floats
        Derivative by (ln x, ln y, shear).
    """

    value: float
    u: float
    contributions: tuple[Contribution, ...]
    ends: tuple[End, ...]
    gradients: tuple[tuple[float, float], ...]
    scale_gradient: tuple[float, float, float]

    @property
    def expanded(self) -> float:
        """U = 2 u."""
        return expand(self.u)

    @property
    def largest(self) -> Contribution:
        """The contribution that matters most."""
        return max(self.contributions, key=lambda c: c.u)

    def part(self, name: str) -> float:
        """Return the standard uncertainty one named contribution brings."""
        return next(c.u for c in self.contributions if c.name == name)


def measure(
    ends: tuple[End, ...],
    *,
    kind: DimensionKind,
    sheet: Sheet,
    scale: Scale,
    drafting: float = 0.0,
    edge: Edge | None = None,
    stretch: float | None = None,
) -> Measured:
    """Measure a dimension on its sheet.

    Parameters
    ----------
    ends : tuple[End, ...]
        Two for a length (distance, ordinate, radius, diameter, thickness), three for an angle
        (vertex first); in the sheet's frame.
    kind : DimensionKind
        One of `MEASURABLE`.
    sheet : Sheet
        Where it is drawn.
    scale : Scale
        Of its view, estimated without this dimension.
    drafting : float
        Standard uncertainty that the drawing adds to a length, mm on the paper.
    edge : Edge | None
        Which edge of thick outlines counts; `None`: not settled, so each outline end is uncertain
        by half its line width, all of a drawing in the same sense (one pen, one habit).
    stretch : float | None
        Relative local stretch half a sheet away from the scale's anchors; `None`: by the kind of
        page (`SCAN_STRETCH`, or nothing for vector pages).

    Returns
    -------
    Measured
        Value, uncertainty, and where it comes from.

    Raises
    ------
    ValueError
        If the kind cannot be measured, the number of ends is wrong, or two ends coincide.
    """
    needed = 3 if kind is DimensionKind.ANGLE else 2
    if kind not in MEASURABLE or len(ends) != needed:
        raise ValueError(f"a {kind.value} is not measured from {len(ends)} ends")
    ends = _prepared(ends, kind, sheet)
    return (_measure_angle if needed == 3 else _measure_length)(
        ends,
        sheet=sheet,
        scale=scale,
        drafting=drafting,
        edge=edge,
        stretch=_local_stretch(ends, sheet, scale, stretch),
    )


def covariance(first: Measured, second: Measured, *, scale: Scale | None = None) -> float:
    """Covariance of two measured sizes that share ends, and the scale when one is given.

    Two ends are shared when they are equal: one click, one extension line.

    Parameters
    ----------
    first : Measured
        One size.
    second : Measured
        The other.
    scale : Scale | None
        The scale both were measured with; `None` when they were measured with different ones.

    Returns
    -------
    float
        In mm², mm·deg or deg².
    """
    shared = 0.0
    for end, g in zip(first.ends, first.gradients, strict=True):
        for other, h in zip(second.ends, second.gradients, strict=True):
            if end == other:
                shared += end.sigma**2 * (g[0] * h[0] + g[1] * h[1])
    if scale is not None:
        a, b = np.array(first.scale_gradient), np.array(second.scale_gradient)
        shared += float(a @ np.array(scale.covariance) @ b)
    return shared


def _prepared(ends: tuple[End, ...], kind: DimensionKind, sheet: Sheet) -> tuple[End, ...]:
    """Apply the floors, and for an ordinate the direction its extension line fixes."""
    if kind is DimensionKind.ORDINATE:
        ends = _along_ordinate(ends)
    direction = direction_deg(ends[0].point, ends[1].point)
    lengthwise = kind is not DimensionKind.ANGLE
    return tuple(
        End(
            point=e.point,
            kind=e.kind,
            sigma=_sigma(e, sheet, direction if lengthwise else None),
            line_width=e.line_width,
            along=e.along,
        )
        for e in ends
    )


def _along_ordinate(ends: tuple[End, ...]) -> tuple[End, ...]:
    datum, feature = ends
    along = feature.along if feature.along is not None else datum.along
    if along is None:
        return ends
    ux, uy = math.cos(math.radians(along)), -math.sin(math.radians(along))
    run = (feature.point.x - datum.point.x) * ux + (feature.point.y - datum.point.y) * uy
    moved = datum.point.moved(run * ux, run * uy)
    return (
        datum,
        End(
            point=moved,
            kind=feature.kind,
            sigma=feature.sigma,
            line_width=feature.line_width,
            along=along,
        ),
    )


def _sigma(end: End, sheet: Sheet, direction: float | None) -> float:
    """Find the uncertainty of an end along the measured direction, floors applied."""
    if sheet.frame is Frame.PT:
        floor = FREE_FLOOR_PT if end.kind is EndKind.FREE else EXACT_FLOOR_PT
    else:
        floor = FREE_FLOOR_PX if end.kind is EndKind.FREE else SNAPPED_FLOOR_PX
    if end.kind is EndKind.FREE and end.sigma > 0:
        floor = min(floor, end.sigma)
    sigma = max(end.sigma, floor)
    if end.along is None or direction is None:
        return sigma
    return sigma / max(math.cos(math.radians(angle_between(end.along, direction))), LEAST_COSINE)


def _local_stretch(
    ends: tuple[End, ...], sheet: Sheet, scale: Scale, stretch: float | None
) -> float:
    """Find the relative uncertainty from stretch between here and the middle of the anchors."""
    if stretch is None:
        stretch = 0.0 if sheet.is_drawn_at(*(e.point for e in ends)) else SCAN_STRETCH
    if stretch == 0.0 or not scale.anchors:
        return 0.0
    middle = _mean(tuple(e.point for e in ends))
    away = middle.distance(_mean(scale.anchors))
    half_diagonal = math.hypot(sheet.width, sheet.height) / 2
    return stretch * min(away / half_diagonal, 1.0) if half_diagonal > 0 else 0.0


def _mean(points: tuple[Point, ...]) -> Point:
    return Point(
        sum(p.x for p in points) / len(points),
        sum(p.y for p in points) / len(points),
    )


def rectification(paper_length: float, sheet: Sheet) -> float:
    """Find what rectifying adds to the uncertainty of a length on the paper.

    The error of a fitted map is smooth: places nearly half a sheet apart are taken as independent,
    nearer ones share most of it. In a photograph every place departs from that map besides
    (`PHOTO_SCATTER`).

    Parameters
    ----------
    paper_length : float
        In mm.
    sheet : Sheet
        Its `u_paper` is that of one place.

    Returns
    -------
    float
        Standard uncertainty, mm of paper.
    """
    scatter = 0.0 if sheet.to_paper.is_affine else photo_scatter(sheet)
    if sheet.u_paper == 0.0 and scatter == 0.0:
        return 0.0
    # by the middle of the sheet: the corners of a slanting photo may lie beyond the horizon
    at_middle = abs(float(np.linalg.det(sheet.to_paper.jacobian(sheet.box.centre))))
    mm = math.sqrt(at_middle)
    reach = SMOOTH_REACH * mm * math.hypot(sheet.width, sheet.height)
    share = min(paper_length / reach, 1.0) if reach > 0 else 1.0
    return math.sqrt(2.0) * math.hypot(sheet.u_paper * share, scatter * mm)


def folding(a: Point, b: Point, sheet: Sheet) -> float:
    """Find what folds and joints between two places add to the uncertainty of their distance.

    Parameters
    ----------
    a : Point
        In the sheet's frame.
    b : Point
    sheet : Sheet

    Returns
    -------
    float
        Standard uncertainty, mm of paper; folds of unknown step add nothing.
    """
    return math.hypot(*(fold.u_paper or 0.0 for fold in sheet.folds_between(a, b)))


def photo_scatter(sheet: Sheet) -> float:
    """Return how far a place in a photograph departs from a plane seen through a perfect lens.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    float
        Standard uncertainty along one direction, in the sheet's frame; 0 for a vector page. What
        lines followed on this photo show where they do, else what photos usually are like.
    """
    if sheet.kind is PageKind.VECTOR:
        return 0.0
    if sheet.scatter is not None:
        return sheet.scatter
    return PHOTO_SCATTER * math.hypot(sheet.width, sheet.height)


def _measure_length(
    ends: tuple[End, ...],
    *,
    sheet: Sheet,
    scale: Scale,
    drafting: float,
    edge: Edge | None,
    stretch: float,
) -> Measured:
    a, b = ends
    vector = np.subtract(sheet.to_paper.apply(b.point), sheet.to_paper.apply(a.point))
    matrix = real_matrix(scale)
    real = matrix @ vector
    value, paper_length = float(np.hypot(*real)), float(np.hypot(*vector))
    if value == 0.0:
        raise ValueError("the two ends of a length coincide")
    per_paper = real / value @ matrix
    gradients = (
        -per_paper @ sheet.to_paper.jacobian(a.point),
        per_paper @ sheet.to_paper.jacobian(b.point),
    )
    by_scale = real / value @ real_changes(vector, scale)
    factor = value / paper_length
    half_widths = _outline_reach(ends, gradients)
    parts = (
        Contribution("ends", _from_ends(ends, gradients)),
        Contribution("scale", combine(by_scale, scale.covariance)),
        Contribution("rectification", factor * rectification(paper_length, sheet)),
        Contribution("stretch", value * stretch),
        Contribution("drafting", factor * drafting),
        Contribution("edge", half_widths * _EDGE_STRAYS if edge is None else 0.0),
        Contribution("fold", factor * folding(a.point, b.point, sheet)),
    )
    shift = {Edge.INSIDE: -half_widths, Edge.OUTSIDE: half_widths}.get(edge, 0.0) if edge else 0.0
    return _measured(value + shift, parts, ends, gradients, by_scale)


def _measure_angle(
    ends: tuple[End, ...],
    *,
    sheet: Sheet,
    scale: Scale,
    drafting: float,
    edge: Edge | None,  # noqa: ARG001  both legs and the vertex move together: no change
    stretch: float,
) -> Measured:
    places = [np.asarray(sheet.to_paper.apply(e.point)) for e in ends]
    vectors = (places[1] - places[0], places[2] - places[0])
    lengths = [float(np.hypot(*v)) for v in vectors]
    if min(lengths) == 0.0:
        raise ValueError("a leg of an angle has no length")
    matrix = real_matrix(scale)
    first, second = (matrix @ v for v in vectors)
    cross = float(first[0] * second[1] - first[1] * second[0])
    sense = math.copysign(1.0, cross)
    value = math.degrees(math.atan2(abs(cross), float(first @ second)))
    turns = [_turning(u) for u in (first, second)]
    leg = [sense * sign * t @ matrix for sign, t in zip((-1.0, 1.0), turns, strict=True)]
    at = [sheet.to_paper.jacobian(e.point) for e in ends]
    gradients = (-(leg[0] + leg[1]) @ at[0], leg[0] @ at[1], leg[1] @ at[2])
    by_scale = sense * (
        turns[1] @ real_changes(vectors[1], scale) - turns[0] @ real_changes(vectors[0], scale)
    )
    per_leg = [math.degrees(1.0 / length) for length in lengths]
    bend = [rectification(n, sheet) * w for n, w in zip(lengths, per_leg, strict=True)]
    vertex = ends[0].point
    folded = [folding(vertex, e.point, sheet) * w for e, w in zip(ends[1:], per_leg, strict=True)]
    parts = (
        Contribution("ends", _from_ends(ends, gradients)),
        Contribution("scale", combine(by_scale, scale.covariance)),
        Contribution("rectification", math.hypot(*bend)),
        Contribution("stretch", math.degrees(stretch) / 2),
        Contribution("drafting", drafting * math.hypot(*per_leg)),
        Contribution("edge", 0.0),
        Contribution("fold", math.hypot(*folded)),
    )
    return _measured(value, parts, ends, gradients, by_scale)


def _turning(vector: Array) -> Array:
    """Return the derivative of a vector's direction by its components, degrees."""
    return np.degrees(np.array([-vector[1], vector[0]]) / float(vector @ vector))


def _from_ends(ends: tuple[End, ...], gradients: tuple[Array, ...]) -> float:
    return math.sqrt(
        sum((e.sigma * float(np.hypot(*g))) ** 2 for e, g in zip(ends, gradients, strict=True))
    )


def _outline_reach(ends: tuple[End, ...], gradients: tuple[Array, ...]) -> float:
    """How much longer the length is to the outer edges of its outlines than to their middles."""
    return sum(
        e.line_width / 2 * float(np.hypot(*g))
        for e, g in zip(ends, gradients, strict=True)
        if e.kind is EndKind.OUTLINE
    )


def _measured(
    value: float,
    parts: tuple[Contribution, ...],
    ends: tuple[End, ...],
    gradients: tuple[Array, ...],
    by_scale: Array,
) -> Measured:
    return Measured(
        value=value,
        u=math.sqrt(sum(p.u**2 for p in parts)),
        contributions=parts,
        ends=ends,
        gradients=tuple((float(g[0]), float(g[1])) for g in gradients),
        scale_gradient=(float(by_scale[0]), float(by_scale[1]), float(by_scale[2])),
    )
