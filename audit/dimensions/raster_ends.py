"""Sub-pixel ends: the lines under a dimension's ends, fitted on the full raster.

The end of a dimension is where the line it stands on crosses its dimension line. Both are fitted
away from the arrowhead, which would pull them aside, and then made to meet. Lines drawn by hand are
taken as traced, over all their length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Ink, Line
from audit.geometry import Point, intersect_lines
from audit.records import End, EndKind
from audit.snapping import SnappedStroke, refine_stroke

Gray = NDArray[np.uint8]

ON_STROKE_PT = 0.5
STOPS_SHORT_PT = 11.0  # how far from the end its line may stop, as a dashed one does
MIN_TURN_DEG = 14.0
AWAY_PT = 14.0  # how far from the arrowhead a line is fitted
FURTHER = 0.15  # of its length, from its ends, where that place does not serve
LEAST_PIECE_PT = 3.0  # of a dimension line
APART, WHOLE = 0.4, 0.6  # of its length: between two pieces, and of one that is nearly all
SAME_DEG = 2.0  # a fit that turned further, or moved further, is that of another line
MOVED_PX, MOVED_PT = 0.8, 0.3  # lines move .01 to .1 px; by more where letters touch them
CROSSED_PX = 5.0  # from the end as traced to where its lines cross
COARSE_SIGMA_PX = 0.25  # of a stroke as traced, when it cannot be fitted again
BY_HAND = 1.5  # times the waver that an end drawn by hand is off, measured on drawn sheets
ROUND_SIGMA_PX = 0.06  # of the radius of a half or full circle, measured on drawn sheets
WORST_SIGMA_PX = 2.0
TIP_SIGMA_PX = 0.8  # the network's tips, measured on drawn sheets


@dataclass(frozen=True, slots=True)
class FittedLine:
    """A line in px, and how well its place across is known near the point asked for."""

    point: Point
    direction: Point
    sigma: float
    width: float


def refine_ends(
    gray: Gray, ink: Ink, ends: tuple[End, ...], *, px_per_pt: float
) -> tuple[End, ...]:
    """Fit the two ends of a distance again on the full raster.

    Parameters
    ----------
    gray : (h, w) uint8 array
    ink : Ink
        Of the traced page, pt.
    ends : tuple of End
        Two ends, pt.
    px_per_pt : float
        Pixels of the raster to a pt of the page.

    Returns
    -------
    tuple of End
        In px of the raster.
    """
    if ink.waver > 0:
        return tuple(_as_traced(ink, end, px_per_pt) for end in ends)
    a, b = ends[0].point, ends[-1].point
    far = max(a.distance(b), 1e-9)
    base = Line(a.x, a.y, (b.x - a.x) / far, (b.y - a.y) / far)
    middle = _fit_base(gray, ink, base, far, px_per_pt)
    return tuple(_refine(gray, ink, end, (base, middle), px_per_pt) for end in ends)


def round_ends(
    ends: tuple[End, ...], sweep: float, *, is_radius: bool, stray: float
) -> tuple[End, ...]:
    """Say how well a circle's radius is known: the shorter its arc, the worse.

    The uncertainty stands on the rim, the centre carries none. A hand that strays by so much at the
    middle of an arc draws another radius: of a quarter circle by more than three times as much.

    Parameters
    ----------
    ends : tuple of End
        Centre and rim of a radius, or both ends of a diameter, px.
    sweep : float
        Of the arc that is drawn, degrees.
    is_radius : bool
    stray : float
        How far lines of the picture waver or lie askew, px, standard deviation.

    Returns
    -------
    tuple of End
    """
    share = max(1.0 - math.cos(math.radians(min(sweep, 180.0) / 2)), 1e-3)
    sigma = max(min(ROUND_SIGMA_PX / share, WORST_SIGMA_PX), ends[-1].sigma)
    sigma = math.hypot(sigma, BY_HAND * stray / share)
    if is_radius:
        centre, rim = ends
        return (
            replace(centre, kind=EndKind.CENTRE, sigma=0.0),
            replace(rim, kind=EndKind.OUTLINE, sigma=sigma),
        )
    half = sigma * math.sqrt(2.0)  # twice the radius's uncertainty over the two ends
    return tuple(replace(end, kind=EndKind.OUTLINE, sigma=half) for end in ends)


def _as_traced(ink: Ink, end: End, px: float) -> End:
    """Leave an end where whole lines cross: a piece of a line that wavers leads astray."""
    return replace(
        end,
        point=Point(end.point.x * px, end.point.y * px),
        sigma=max(end.sigma * px, COARSE_SIGMA_PX, BY_HAND * ink.waver * px),
        line_width=end.line_width * px,
    )


def _fit_base(gray: Gray, ink: Ink, base: Line, length: float, px: float) -> FittedLine:
    """Fit the dimension line itself, where it is drawn; as traced where that fails.

    Of one broken for its text two pieces are fitted: alone a short one says little of its way.
    """
    which, spans = ink.on_line(base)
    drawn = [
        (high - low, int(i), (low + high) / 2)
        for i, (first, last) in zip(which, spans, strict=True)
        for low, high in [(max(float(first), -20.0), min(float(last), length + 20.0))]
        if high - low > LEAST_PIECE_PT
    ]
    drawn.sort(reverse=True)
    apart = [p for p in drawn[1:] if abs(p[2] - drawn[0][2]) > APART * length]
    fits = [
        fitted
        for _, i, middle in [*drawn[:1], *apart[:1]]
        for fitted in [_fit(gray, base.at(middle), base, float(ink.widths[i]), px)]
        if fitted is not None
    ]
    if not fits:
        return FittedLine(
            Point(base.x * px, base.y * px), Point(base.ux, base.uy), COARSE_SIGMA_PX, 0.0
        )
    if drawn[0][0] > WHOLE * length:
        return fits[0]
    if len(fits) == 2:
        one, two = (fit.point for fit in fits)
        far = one.distance(two)
        return replace(fits[0], direction=Point((two.x - one.x) / far, (two.y - one.y) / far))
    return replace(fits[0], direction=Point(base.ux, base.uy))


def _fit(gray: Gray, at: Point, line: Line, width: float, px: float) -> FittedLine | None:
    start = SnappedStroke(
        Point(at.x * px, at.y * px), Point(line.ux, line.uy), 1.0, width * px, (0.0, 0.0), 0.0
    )
    stroke = refine_stroke(gray, start)
    if stroke is None:
        return None
    turn = abs(line.ux * stroke.direction.y - line.uy * stroke.direction.x)
    dx, dy = stroke.point.x - start.point.x, stroke.point.y - start.point.y
    aside = abs(line.ux * dy - line.uy * dx)
    if turn > math.sin(math.radians(SAME_DEG)) or aside > max(MOVED_PX, MOVED_PT * px):
        return None
    return FittedLine(stroke.point, stroke.direction, stroke.sigma, stroke.width)


def _refine(gray: Gray, ink: Ink, end: End, line: tuple[Line, FittedLine], px: float) -> End:
    base, middle = line
    scaled = replace(
        end,
        point=Point(end.point.x * px, end.point.y * px),
        sigma=max(end.sigma * px, COARSE_SIGMA_PX),
        line_width=end.line_width * px,
    )
    if end.kind is EndKind.TIP:
        return replace(scaled, sigma=TIP_SIGMA_PX)
    found = _stroke_under(ink, end.point, base)
    if found is None:
        return scaled
    places, under, width = found
    fits = (_fit(gray, at, under, width, px) for at in places)
    fitted = next((fit for fit in fits if fit is not None), None)
    if fitted is None:
        return scaled
    crossing = intersect_lines(
        fitted.point,
        fitted.point.moved(*fitted.direction),
        middle.point,
        middle.point.moved(*middle.direction),
    )
    if crossing is None or crossing.distance(scaled.point) > CROSSED_PX:
        return scaled
    return replace(scaled, point=crossing, sigma=fitted.sigma, line_width=fitted.width)


def _stroke_under(ink: Ink, p: Point, base: Line) -> tuple[list[Point], Line, float] | None:
    """Find the line an end stands on, and places on it clear of the arrowhead, the best first."""
    best: tuple[float, int] | None = None
    for i in ink.near(p, STOPS_SHORT_PT):
        line = ink.line_of(i)
        if ink.curved[i] or line.turned_from(base.ux, base.uy) < MIN_TURN_DEG:
            continue
        along, aside = line.place(p)
        gap = max(-along, along - float(ink.lengths[i]), 0.0)
        if abs(aside) > ON_STROKE_PT or gap > STOPS_SHORT_PT:
            continue
        cost = abs(aside) + 0.05 * gap - 0.02 * min(float(ink.lengths[i]), 40.0)
        if best is None or cost < best[0]:
            best = (cost, i)
    if best is None:
        return None
    i = best[1]
    line = ink.line_of(i)
    along, _ = line.place(p)
    length = float(ink.lengths[i])
    # the longer side of the stroke, half way along what is there
    at = (
        min(along + AWAY_PT, (along + length) / 2)
        if length - along > along
        else max(along - AWAY_PT, along / 2)
    )
    at = min(max(at, 0.0), length)
    # letters may touch it there: then nearer its ends
    elsewhere = sorted((FURTHER * length, (1 - FURTHER) * length), key=lambda t: abs(t - at))
    return [line.at(t) for t in (at, *elsewhere)], line, float(ink.widths[i])
