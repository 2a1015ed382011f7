"""The points of a whole dimension, snapped together: each end knows which way it is measured."""

from __future__ import annotations

import math
from dataclasses import dataclass

from audit.geometry import Point, angle_between, direction_deg, intersect_lines, project_onto
from audit.records import DimensionKind, End, EndKind
from audit.snapping.circles import SnappedCircle, snap_circle
from audit.snapping.points import FREE_SIGMA_PX, Snap, SnapKind, snap_point
from audit.snapping.profile import Gray
from audit.snapping.strokes import SnappedStroke, find_strokes, refine_stroke

SNAP_RADIUS_PX = 8.0  # how far a click may be off
PARALLEL_DEG = 2.5  # extension lines of one dimension; more is a wedge, not a pair
SQUARE_DEG = 12.0  # a pair of strokes is measured square across when the clicks run so
CLICK_SLANT_PX = 4.0  # the clicks themselves may lean by this much
MIN_ROUND_DEG = 75.0  # less of a circle may be two edges that it touches
OUTLINE_PAPER_MM = 0.45  # thicker is a visible edge: wide 0.5-0.7 mm, narrow 0.25-0.35, ISO 128-2
OUTLINE_PX = 4.5  # the same when the paper's scale is not known, at 250 dpi


@dataclass(frozen=True, slots=True)
class SnappedEnds:
    """The ends of one dimension, sheet frame px.

    `sweep` is the arc seen, degrees, for radius and diameter; `remark` what the user should know
    ("nothing to snap to at the second point"), empty when all is well.
    """

    ends: tuple[End, ...]
    sweep: float | None = None
    remark: str = ""


def snap_distance(gray: Gray, a: Point, b: Point, *, px_per_mm: float | None = None) -> SnappedEnds:
    """Snap the two ends of a distance.

    Where both clicks lie on parallel strokes that run across the line between them (extension
    lines, edges), the distance is measured square between the strokes, wherever along them the
    clicks were. Otherwise each end snaps to its own corner, crossing or stroke.

    Parameters
    ----------
    gray : (h, w) uint8 array
    a : Point
    b : Point
    px_per_mm : float, optional
        Pixels to a millimetre of paper, to tell thin lines from outlines.

    Returns
    -------
    SnappedEnds
    """
    radius = min(SNAP_RADIUS_PX, max(2.0, a.distance(b) / 3))
    pair = _parallel_pair(
        find_strokes(gray, a, radius=radius), find_strokes(gray, b, radius=radius), a, b
    )
    if pair is not None:
        return SnappedEnds(_square_ends(*pair, a, b, px_per_mm))
    snaps = (snap_point(gray, a, radius=radius), snap_point(gray, b, radius=radius))
    return SnappedEnds(tuple(_end_of(snap, px_per_mm) for snap in snaps), remark=_remark(snaps))


def _parallel_pair(
    at_a: tuple[SnappedStroke, ...], at_b: tuple[SnappedStroke, ...], a: Point, b: Point
) -> tuple[SnappedStroke, SnappedStroke] | None:
    length = a.distance(b)
    if length == 0:
        return None
    allowed = max(SQUARE_DEG, math.degrees(math.atan2(CLICK_SLANT_PX, length)))
    across = direction_deg(a, b) + 90.0
    best: tuple[float, tuple[SnappedStroke, SnappedStroke]] | None = None
    for first in at_a:
        for second in at_b:
            lean = angle_between(first.angle, across)
            if angle_between(first.angle, second.angle) > PARALLEL_DEG or lean > allowed:
                continue
            if first.point.distance(second.point) < length / 2:
                continue  # one and the same stroke
            cost = first.point.distance(a) + second.point.distance(b) + lean / 4
            if best is None or cost < best[0]:
                best = cost, (first, second)
    return best[1] if best else None


def _square_ends(
    first: SnappedStroke,
    second: SnappedStroke,
    a: Point,
    b: Point,
    px_per_mm: float | None,
) -> tuple[End, End]:
    """Return where the line through the clicks' middle, square to both strokes, meets them."""
    u = _mean_direction(first, second)
    normal = Point(-u.y, u.x)
    through = a.midpoint(b)
    ends = []
    for stroke in (first, second):
        point = intersect_lines(
            stroke.point,
            stroke.point.moved(*stroke.direction),
            through,
            through.moved(*normal),
        )
        assert point is not None  # the normal is nowhere near parallel to the strokes
        ends.append(
            End(
                point=point,
                kind=_line_kind(stroke.width, px_per_mm),
                sigma=_sigma_at(stroke, point),
                line_width=stroke.width,
                along=direction_deg((0, 0), normal),
            )
        )
    return ends[0], ends[1]


def _mean_direction(first: SnappedStroke, second: SnappedStroke) -> Point:
    """Mean direction, each stroke counting by the square of the length it was followed."""
    flip = (first.direction.x * second.direction.x + first.direction.y * second.direction.y) < 0
    sign = -1.0 if flip else 1.0
    w1, w2 = ((s.reach[1] - s.reach[0]) ** 2 for s in (first, second))
    x = w1 * first.direction.x + sign * w2 * second.direction.x
    y = w1 * first.direction.y + sign * w2 * second.direction.y
    size = math.hypot(x, y)
    return Point(x / size, y / size)


def _sigma_at(stroke: SnappedStroke, point: Point) -> float:
    """Uncertainty across the stroke, grown where the point lies beyond what was followed."""
    along, _ = project_onto(point, stroke.point, stroke.point.moved(*stroke.direction))
    seen = max(stroke.reach[1] - stroke.reach[0], 1.0)
    beyond = max(0.0, along - stroke.reach[1], stroke.reach[0] - along)
    return stroke.sigma * math.hypot(1.0, math.sqrt(12.0) * beyond / seen)


def _line_kind(width_px: float, px_per_mm: float | None) -> EndKind:
    limit = OUTLINE_PAPER_MM * px_per_mm if px_per_mm else OUTLINE_PX
    return EndKind.OUTLINE if width_px > limit else EndKind.EXTENSION


_KINDS = {
    SnapKind.CORNER: EndKind.CORNER,
    SnapKind.CROSSING: EndKind.CROSSING,
    SnapKind.CENTRE: EndKind.CENTRE,
    SnapKind.TIP: EndKind.TIP,
    SnapKind.NONE: EndKind.FREE,
}


def _end_of(snap: Snap, px_per_mm: float | None) -> End:
    kind = _KINDS.get(snap.kind) or _line_kind(snap.width, px_per_mm)
    if snap.kind is SnapKind.CORNER and _line_kind(snap.width, px_per_mm) is EndKind.OUTLINE:
        kind = EndKind.OUTLINE
    return End(point=snap.point, kind=kind, sigma=snap.sigma, line_width=snap.width)


def _remark(snaps: tuple[Snap, ...]) -> str:
    loose = [i for i, snap in enumerate(snaps, start=1) if snap.kind is SnapKind.NONE]
    if not loose:
        return ""
    which = (
        "either point" if len(loose) == 2 else ("the first point", "the second point")[loose[0] - 1]
    )
    return f"nothing to snap to at {which}"


def snap_round(
    gray: Gray, kind: DimensionKind, a: Point, b: Point, *, px_per_mm: float | None = None
) -> SnappedEnds:
    """Snap a radius (centre, point on the arc) or a diameter (two opposite points).

    Parameters
    ----------
    gray : (h, w) uint8 array
    kind : DimensionKind
        RADIUS or DIAMETER.
    a : Point
    b : Point
    px_per_mm : float, optional
        Pixels to a millimetre of paper, to tell thin lines from outlines.

    Returns
    -------
    SnappedEnds
        In the order given. A diameter seen from the side, between two parallel edges, is measured
        as a distance; FREE ends, with a remark, where neither is drawn.

    Raises
    ------
    ValueError
        If `kind` is neither radius nor diameter.
    """
    if kind not in (DimensionKind.RADIUS, DimensionKind.DIAMETER):
        raise ValueError(f"{kind} is not measured on a circle")
    is_radius = kind is DimensionKind.RADIUS
    centre = a if is_radius else a.midpoint(b)
    circle = snap_circle(gray, centre, centre.distance(b))
    if not is_radius and (circle is None or circle.seen < MIN_ROUND_DEG):
        across = snap_distance(gray, a, b, px_per_mm=px_per_mm)
        if not across.remark:
            return across
    if circle is None:
        free = tuple(End(point=p, sigma=FREE_SIGMA_PX) for p in (a, b))
        return SnappedEnds(free, remark="no circle is drawn through these points")
    return SnappedEnds(_round_ends(circle, a, b, is_radius=is_radius), sweep=circle.sweep)


def _round_ends(circle: SnappedCircle, a: Point, b: Point, *, is_radius: bool) -> tuple[End, End]:
    length = a.distance(b) or 1.0
    u = Point((b.x - a.x) / length, (b.y - a.y) / length)
    rim = circle.centre.moved(u.x * circle.radius, u.y * circle.radius)
    far = circle.centre.moved(-u.x * circle.radius, -u.y * circle.radius)
    on_rim = {"kind": EndKind.OUTLINE, "line_width": circle.width}
    # the radius is what was fitted; its uncertainty stands on the rim, the centre carries none
    if is_radius:
        return (
            End(point=circle.centre, kind=EndKind.CENTRE, sigma=0.0),
            End(point=rim, sigma=circle.sigma_radius, **on_rim),  # type: ignore[arg-type]
        )
    half = circle.sigma_radius * math.sqrt(2.0)  # 2 sigma_r over the two ends
    return (
        End(point=far, sigma=half, **on_rim),  # type: ignore[arg-type]
        End(point=rim, sigma=half, **on_rim),  # type: ignore[arg-type]
    )


def snap_angle(gray: Gray, vertex: Point, first: Point, second: Point) -> SnappedEnds:
    """Snap an angle: the vertex, and a point on each leg.

    Parameters
    ----------
    gray : (h, w) uint8 array
    vertex : Point
    first : Point
    second : Point

    Returns
    -------
    SnappedEnds
        The vertex is where the two fitted legs cross; each leg's end lies as far from it as the
        click did.
    """
    legs = [_leg(gray, vertex, place) for place in (first, second)]
    if legs[0] is None or legs[1] is None:
        free = tuple(End(point=p, sigma=FREE_SIGMA_PX) for p in (vertex, first, second))
        return SnappedEnds(free, remark="no straight edge under one of the legs")
    crossing = intersect_lines(
        legs[0].point,
        legs[0].point.moved(*legs[0].direction),
        legs[1].point,
        legs[1].point.moved(*legs[1].direction),
    )
    if crossing is None:
        free = tuple(End(point=p, sigma=FREE_SIGMA_PX) for p in (vertex, first, second))
        return SnappedEnds(free, remark="the two legs are parallel")
    ends = [End(point=crossing, kind=EndKind.CROSSING, sigma=0.0)]
    for leg, place in zip(legs, (first, second), strict=True):
        assert leg is not None
        along, _ = project_onto(place, crossing, crossing.moved(*leg.direction))
        foot = crossing.moved(leg.direction.x * along, leg.direction.y * along)
        seen = max(leg.reach[1] - leg.reach[0], 1.0)
        # a leg's direction is known to sqrt(12) sigma over the length seen, at any distance
        sigma = leg.sigma * math.sqrt(12.0) * abs(along) / seen
        ends.append(
            End(
                point=foot,
                kind=EndKind.EXTENSION,
                sigma=sigma,
                line_width=leg.width,
                along=direction_deg(crossing, foot) + 90.0,
            )
        )
    return SnappedEnds(tuple(ends))


def _leg(gray: Gray, vertex: Point, place: Point) -> SnappedStroke | None:
    """Fit the stroke that runs from the vertex to a place."""
    length = vertex.distance(place)
    if length < 2 * CLICK_SLANT_PX:
        return None
    aim = direction_deg(vertex, place)
    allowed = max(4.0, math.degrees(math.atan2(2 * CLICK_SLANT_PX, length)))
    for share in (0.5, 1.0, 0.75):
        at = Point(vertex.x + share * (place.x - vertex.x), vertex.y + share * (place.y - vertex.y))
        for stroke in find_strokes(gray, at, radius=SNAP_RADIUS_PX):
            if angle_between(stroke.angle, aim) <= allowed:
                return refine_stroke(gray, stroke)
    return None
