"""What a dimension line ends on: extension lines, outlines, centre lines, curves.

The measured place is where that line crosses the dimension line, never the tip of an arrowhead:
tips are drawn coarsely, lines are exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from audit.dimensions.dashed_crossings import find_dashed
from audit.dimensions.ink import Ink, Line
from audit.dimensions.lines import MarkedLine, Place
from audit.geometry import Point
from audit.records import Arc, End, EndKind

EXACT_PT = 0.01  # standard uncertainty of a vector line
TIP_PT = 0.3  # of an arrowhead with nothing under it
AT_PLACE_PT = 1.0  # how far from the mark the line may cross
MITRED_PT = 1.6  # and a long one square to it: a head with a pen of its own is drawn short of it
REACH_PT = 2.5  # how far short of the dimension line an extension line may stop
AIMED_REACH_PT = 5.0  # and one that is square to it and aims right at the mark
AIMED_PT, SQUARE_DEG = 0.2, 88.0
DRAWN = 1.0  # how sure a mark is that was drawn, not seen on a picture
LONG_PT, ABOUT_AIMED_PT = 6.0, 0.6  # so long a line need not aim so well: tips are drawn coarsely
SHORT = 1.3  # arrowheads long: shorter strokes may be a side of another arrowhead
SHORT_COST = 1.5
EDGE_GAP_PT = 100.0  # 35 mm: what stands in front of an edge parts it by no more to either side
CLOSE_PT = 10.0  # more than places of one crossing stray
DASH_REACH_PT = 10.0  # a centre line may have its gap just here
MIN_TURN_DEG = 15.0
MIN_LENGTH_PT = 1.6
WIDE_RATIO = 1.6  # wider than this many dimension lines: an outline
ON_CURVE_PT = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """The line under one end of a dimension.

    `turn` is its angle to the dimension line, 15 to 90 degrees; `before` and `after` how far it
    reaches to either side of it, pt; `stroke` its index, -1 for a curve.
    """

    end: End
    turn: float
    before: float
    after: float
    stroke: int


def find_crossing(ink: Ink, marked: MarkedLine, place: Place) -> Crossing | None:
    """Find what crosses a dimension line at a place; `None` when nothing does."""
    own = frozenset().union(*(m.strokes for m in place.marks)) | set(map(int, marked.strokes))
    short = SHORT * max((m.size for m in place.marks if m.is_arrow), default=0.0)
    reach = AIMED_REACH_PT + _hidden_by(place)
    best: tuple[float, Crossing] | None = None
    p = marked.line.at(place.along)
    for i in ink.near(p, DASH_REACH_PT):
        if i in own or ink.lengths[i] < MIN_LENGTH_PT or ink.curved[i]:
            continue
        found = _crossing_of(ink, marked, place.along, i, reach)
        if found is None:
            continue
        cost = found[0] + (SHORT_COST if float(ink.lengths[i]) < short else 0.0)
        if best is None or cost < best[0]:
            best = cost, found[1]
    if best is not None:
        return best[1]
    return _curve_crossing(ink, marked, place.along) or _led_crossing(ink, marked, place.along)


def _hidden_by(place: Place) -> float:
    """How much of a line a tick or dot at a place hides: strokes are traced up to its rim alone."""
    seen = (m.size for m in place.marks if not m.is_arrow and m.sure < DRAWN)
    return max(seen, default=0.0)


def _led_crossing(ink: Ink, marked: MarkedLine, along: float) -> Crossing | None:
    """Find what is led to a place: an edge from above and below it, or a line by its dashes."""
    found = find_parted_edge(ink, marked.line, along) or find_dashed(ink, marked.line, along)
    if found is None:
        return None
    at, i = found
    after = float(ink.lengths[i])
    return Crossing(end=_end(ink, marked, i, at), turn=90.0, before=0.0, after=after, stroke=i)


def find_parted_edge(ink: Ink, line: Line, along: float) -> tuple[float, int] | None:
    """Find an edge square to a line at a place that shows on either side, but not at the line.

    Parameters
    ----------
    ink : Ink
    line : Line
    along : float
        Of the place on the line, pt.

    Returns
    -------
    tuple of (float, int) or None
        Where the line crosses the edge, led on from part to part, and the nearer part's stroke.
    """
    parts = _parts_of_edge(ink, line, along)
    if len(parts) < 2:
        return None
    (gap, at, i), (other_gap, other_at, k) = parts
    turned = math.degrees(math.atan2(abs(other_at - at), gap + other_gap))
    if turned > 90.0 - SQUARE_DEG:
        return None
    between = (at * other_gap + other_at * gap) / (gap + other_gap)
    return between, i if gap <= other_gap else k


def _parts_of_edge(ink: Ink, line: Line, along: float) -> list[tuple[float, float, int]]:
    """Nearest strokes square to a line, before it and behind it: gap, place along it, number."""
    which = ink.straight_near(line.at(along), EDGE_GAP_PT + CLOSE_PT, longer=LONG_PT)
    e, u = ink.ends[which], ink.units[which]
    at, aside = line.places(e.reshape(-1, 2, 2))
    near = np.argmin(np.abs(aside), axis=1)[:, None]
    place = np.take_along_axis(at, near, axis=1)[:, 0]
    gap = np.take_along_axis(aside, near, axis=1)[:, 0]
    fits = np.abs(u[:, 0] * line.ux + u[:, 1] * line.uy) < math.cos(math.radians(SQUARE_DEG))
    fits &= aside.prod(axis=1) > 0.0
    fits &= (np.abs(place - along) < ABOUT_AIMED_PT + 2 * ink.waver) & (abs(gap) < EDGE_GAP_PT)
    found = []
    for side in (gap < 0.0, gap > 0.0):
        own = np.flatnonzero(fits & side)
        if len(own):
            k = own[np.argmin(np.abs(gap[own]))]
            found.append((abs(float(gap[k])), float(place[k]), int(which[k])))
    return found


def _crossing_of(
    ink: Ink, marked: MarkedLine, along: float, i: int, reach: float
) -> tuple[float, Crossing] | None:
    line = marked.line
    ux, uy = (float(v) for v in ink.units[i])
    turn = line.turned_from(ux, uy)
    if turn < MIN_TURN_DEG:
        return None
    cross = line.ux * uy - line.uy * ux
    x0, y0 = (float(v) for v in ink.ends[i, :2])
    dx, dy = x0 - line.x, y0 - line.y
    at = (dx * uy - dy * ux) / cross
    s = (dx * line.uy - dy * line.ux) / cross  # from the stroke's first end to the crossing
    length = float(ink.lengths[i])
    gap = max(-s, s - length, 0.0)
    off = abs(at - along)
    through = gap == 0.0 and length > LONG_PT and turn > SQUARE_DEG
    # a long, nearly parallel line crosses far from where it passes
    most = MITRED_PT if through else AT_PLACE_PT
    if off > most + 2 * ink.waver or gap > DASH_REACH_PT:
        return None
    well = ABOUT_AIMED_PT if length > LONG_PT else AIMED_PT
    aimed = gap < reach and off < well and turn > SQUARE_DEG
    if gap > REACH_PT and not aimed and not _goes_on(ink, i, line.at(at)):
        return None
    cost = 2.0 * off + 0.4 * gap + (90.0 - turn) / 30.0 - min(length, 72.0) / 72.0
    return cost, Crossing(
        end=_end(ink, marked, i, at),
        turn=turn,
        before=max(s, 0.0),
        after=max(length - s, 0.0),
        stroke=i,
    )


def _goes_on(ink: Ink, i: int, p: Point) -> bool:
    """Whether a dashed line continues on the other side of a point."""
    line = ink.line_of(i)
    at, _ = line.place(p)
    side = 1.0 if at > float(ink.lengths[i]) / 2 else -1.0
    for k in ink.near(p, DASH_REACH_PT):
        if k == i or ink.lengths[k] < 0.5:
            continue
        a, b = (line.place(q) for q in ink.end_points(k))
        play = 0.3 + 2 * ink.waver
        if abs(a[1]) < play and abs(b[1]) < play and max(side * a[0], side * b[0]) > side * at:
            near = min(abs(a[0] - at), abs(b[0] - at))
            if near < DASH_REACH_PT:
                return True
    return False


def _end(ink: Ink, marked: MarkedLine, i: int, at: float) -> End:
    width = float(ink.widths[i])
    kind = EndKind.EXTENSION
    if width > WIDE_RATIO * max(marked.width, 0.1):
        kind = EndKind.OUTLINE
    elif bool(ink.dashed[i]):
        kind = EndKind.CENTRE
    return End(
        point=marked.line.at(at),
        kind=kind,
        sigma=EXACT_PT,
        line_width=width,
        along=_direction(marked.line),
    )


def _direction(line: Line) -> float:
    turn = math.degrees(math.atan2(-line.uy, line.ux)) % 180.0
    return 0.0 if turn == 180.0 else turn


def _curve_crossing(ink: Ink, marked: MarkedLine, along: float) -> Crossing | None:
    """Find a circle or arc that the dimension line meets at the place."""
    p = marked.line.at(along)
    best: tuple[float, Arc, float] | None = None
    for arc in ink.arcs:
        if abs(p.distance(arc.centre) - arc.radius) > 4 * ON_CURVE_PT or arc.radius < 1.0:
            continue
        at = meet_circle(marked.line, arc.centre, arc.radius, near=along)
        if at is None or abs(at - along) > ON_CURVE_PT or not on_arc(arc, marked.line.at(at)):
            continue
        if best is None or abs(at - along) < best[0]:
            best = (abs(at - along), arc, at)
    if best is None:
        return None
    _, arc, at = best
    end = End(
        point=marked.line.at(at),
        kind=EndKind.EXACT,
        sigma=EXACT_PT,
        line_width=arc.width,
        along=_direction(marked.line),
    )
    return Crossing(end=end, turn=90.0, before=arc.radius, after=arc.radius, stroke=-1)


def meet_circle(line: Line, centre: Point, radius: float, *, near: float) -> float | None:
    """Where a line meets a circle, the place nearest to `near`; the foot if it just misses.

    Examples
    --------
    >>> meet_circle(Line(0, 0, 1, 0), Point(10, 0), 3, near=20)
    13.0
    >>> meet_circle(Line(0, 0, 1, 0), Point(10, 5), 3, near=20) is None
    True
    """
    foot, aside = line.place(centre)
    inside = radius * radius - aside * aside
    if inside < 0:
        return foot if abs(aside) - radius < 0.1 else None
    half = math.sqrt(inside)
    return min((foot - half, foot + half), key=lambda t: abs(t - near))


def on_arc(arc: Arc, p: Point) -> bool:
    """Whether a direction seen from the arc's centre is within its sweep (with a little slack)."""
    if arc.is_circle:
        return True
    turn = math.degrees(math.atan2(arc.centre.y - p.y, p.x - arc.centre.x))
    slack = math.degrees(2.0 / max(arc.radius, 2.0))
    return (turn - arc.start + slack) % 360.0 <= arc.sweep + 2 * slack


def tip_end(marked: MarkedLine, place: Place) -> End:
    """Return the end at a mark that stands on nothing."""
    return End(
        point=marked.line.at(place.along),
        kind=EndKind.TIP,
        sigma=TIP_PT,
        along=_direction(marked.line),
    )
