"""What ends a dimension line: arrowheads, ticks, dots, rings.

A *mark* has the point it stands on and, for arrowheads, the direction it points in. Being a mark
proves nothing yet: a corner of a small box looks like an open arrowhead, a hatch stroke like a
tick. Only a dimension line through it, another mark and a text make a dimension.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.bent_arrows import find_bent_arrows
from audit.dimensions.ink import SHORT_PT, Ink, Line, merge_spans
from audit.dimensions.stemmed_arrows import find_stemmed_arrows
from audit.geometry import Point
from audit.records import VectorPage

Floats = NDArray[np.float64]

MIN_ARROW_PT = 2.0
MAX_ARROW_PT = 30.0
MIN_APEX_DEG, MAX_APEX_DEG = 8.0, 100.0
MAX_ARROW_CORNERS = 24
EVEN_SIDES = 0.12  # relative difference of the two barbs
JOINED_PT = 0.25
MIN_DOT_PT, MAX_DOT_PT = 0.4, 6.0  # radius
COS_FAN = math.cos(math.radians(30.0))  # strokes of one arrowhead point within this
THROUGH_PT = 0.3  # how far from a circle's middle a line through it may pass
CENTRE_MARK, CENTRE_MARK_PT = 3.0, 6.0  # radii, and pt more, that a centre mark reaches at most
EVEN_REACH = 1.3  # ratio of both arms of a centre mark
ROUND = 0.12  # relative scatter of an outline's corners about a circle


class MarkKind(StrEnum):
    """What a mark looks like."""

    FILLED = "filled arrow"
    OPEN = "open arrow"
    BLANK = "blank arrow"
    TICK = "tick"
    DOT = "dot"
    RING = "ring"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A possible end of a dimension line.

    `ux`, `uy` is the direction an arrowhead points in, zero for symmetric marks; `strokes` are the
    strokes it is drawn with (they are no extension lines); `sure` is how sure of it whoever saw it
    is, 0 to 1: 1 where it was drawn. `tailed`: it measures along short lines outside alone, each of
    which may lean a little: its direction is that to the other mark.
    """

    kind: MarkKind
    point: Point
    ux: float = 0.0
    uy: float = 0.0
    size: float
    strokes: frozenset[int] = frozenset()
    sure: float = 1.0
    tailed: bool = False

    @property
    def is_arrow(self) -> bool:
        """Whether it points somewhere."""
        return self.kind in (MarkKind.FILLED, MarkKind.OPEN, MarkKind.BLANK)


def find_marks(page: VectorPage, ink: Ink) -> list[Mark]:
    """All arrowheads, dots and rings of a page (ticks are looked for along dimension lines)."""
    filled = _filled_marks(page) + _stemmed_arrows(page)
    return _without_repeats(filled + _stroked_arrows(ink) + _bent_arrows(ink) + _rings(ink))


def _without_repeats(marks: list[Mark]) -> list[Mark]:
    """Keep one mark where a fill and its outline, or two halves, say the same."""
    order = {MarkKind.FILLED: 0, MarkKind.BLANK: 1, MarkKind.OPEN: 2, MarkKind.DOT: 3}
    kept: list[Mark] = []
    cells: dict[tuple[int, int], list[Mark]] = {}
    for mark in sorted(marks, key=lambda m: (order.get(m.kind, 4), -m.size)):
        cx, cy = round(mark.point.x), round(mark.point.y)
        near = [m for i in (-1, 0, 1) for j in (-1, 0, 1) for m in cells.get((cx + i, cy + j), ())]
        if any(_is_same(mark, m) for m in near):
            continue
        kept.append(mark)
        cells.setdefault((cx, cy), []).append(mark)
    return kept


def _is_same(a: Mark, b: Mark) -> bool:
    if a.point.distance(b.point) > 0.6 or a.is_arrow is not b.is_arrow:
        return False
    return not a.is_arrow or a.ux * b.ux + a.uy * b.uy > math.cos(math.radians(8.0))


# Filled outlines


def _filled_marks(page: VectorPage) -> list[Mark]:
    fills = page.fills
    if not len(fills):
        return []
    starts = fills.starts[:-1]
    low = np.minimum.reduceat(fills.points, starts, axis=0)
    high = np.maximum.reduceat(fills.points, starts, axis=0)
    extent = np.hypot(*(high - low).T)
    small = np.flatnonzero((extent < 1.2 * MAX_ARROW_PT) & (extent > MIN_DOT_PT))
    outlines = [_corners(fills.outline(int(i))) for i in small]
    marks: list[Mark] = []
    for outline in [*outlines, *_united_halves(outlines)]:
        if len(outline) < 3:
            continue
        dot = _dot(outline)
        if dot is not None:
            marks.append(dot)
        elif len(outline) <= MAX_ARROW_CORNERS:
            marks += _arrows_in(outline)
    return marks + _split_dots(fills.paths[small].tolist(), outlines)


def _stemmed_arrows(page: VectorPage) -> list[Mark]:
    return [
        Mark(
            kind=MarkKind.FILLED,
            point=Point(float(arrow.tip[0]), float(arrow.tip[1])),
            ux=float(arrow.direction[0]),
            uy=float(arrow.direction[1]),
            size=arrow.length,
        )
        for arrow in find_stemmed_arrows(page.fills)
    ]


def _corners(outline: Floats) -> Floats:
    """Outline without repeated and collinear points."""
    keep = np.hypot(*(outline - np.roll(outline, 1, axis=0)).T) > 0.01
    p = outline[keep] if keep.sum() >= 3 else outline
    a, b = p - np.roll(p, 1, axis=0), np.roll(p, -1, axis=0) - p
    cross = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    turn = cross > 0.02 * np.hypot(*a.T) * np.hypot(*b.T)
    return p[turn] if turn.sum() >= 3 else p


def _united_halves(outlines: list[Floats]) -> list[Floats]:
    """Two triangles on one common side, as halves of an arrowhead are drawn, made one outline."""
    sides: dict[tuple[tuple[float, float], ...], list[Floats]] = {}
    for outline in outlines:
        if len(outline) != 3:
            continue
        for k in range(3):
            a, b = outline[k], outline[(k + 1) % 3]
            key = tuple(
                sorted([(round(a[0], 1), round(a[1], 1)), (round(b[0], 1), round(b[1], 1))])
            )
            sides.setdefault(key, []).append(np.vstack([a, b, outline[(k + 2) % 3]]))
    united = []
    for pair in sides.values():
        if len(pair) == 2:
            a, b, c = pair[0]
            united.append(_corners(np.vstack([a, c, b, pair[1][2]])))
    return united


def _dot(outline: Floats) -> Mark | None:
    if len(outline) == 4:
        return _box(outline)
    if len(outline) < 6:
        return None
    low, high = outline.min(axis=0), outline.max(axis=0)
    centre = (low + high) / 2
    r = np.hypot(*(outline - centre).T)
    radius = float(r.mean())
    if not MIN_DOT_PT < radius < MAX_DOT_PT or float(np.ptp(r)) > ROUND * 2 * radius:
        return None
    return Mark(kind=MarkKind.DOT, point=Point(*map(float, centre)), size=2 * radius)


def _box(outline: Floats) -> Mark | None:
    """A small filled square, which stands like a dot."""
    sides = np.hypot(*(outline - np.roll(outline, 1, axis=0)).T)
    diagonals = np.hypot(*(outline[:2] - outline[2:]).T)
    even = float(np.ptp(sides)) < ROUND * float(sides.max())
    square = float(np.ptp(diagonals)) < ROUND * float(diagonals.max())
    if not (even and square and 2 * MIN_DOT_PT < float(sides.mean()) < 2 * MAX_DOT_PT):
        return None
    centre = outline.mean(axis=0)
    return Mark(kind=MarkKind.DOT, point=Point(*map(float, centre)), size=float(sides.mean()))


def _split_dots(paths: list[int], outlines: list[Floats]) -> list[Mark]:
    """Dots drawn as two half discs or half rings."""
    marks = []
    for k in range(len(outlines) - 1):
        a, b = outlines[k], outlines[k + 1]
        if paths[k + 1] - paths[k] > 2 or len(a) < 6 or len(b) < 6:
            continue
        both = np.vstack([a, b])
        low, high = both.min(axis=0), both.max(axis=0)
        if float(np.ptp(high - low)) > ROUND * float((high - low).max()):
            continue
        centre = (low + high) / 2
        radius = float((high - low).mean()) / 2
        far = np.hypot(*(both - centre).T)
        # the outer rim carries half the corners or more, all round
        rim = both[far > 0.9 * radius]
        turn = np.sort(np.arctan2(rim[:, 1] - centre[1], rim[:, 0] - centre[0]))
        if len(rim) < 6 or float(far.max()) > (1 + ROUND) * radius:
            continue
        gaps = np.diff(np.append(turn, turn[0] + 2 * np.pi))
        if float(gaps.max()) < np.pi / 2 and MIN_DOT_PT < radius < MAX_DOT_PT:
            marks.append(Mark(kind=MarkKind.DOT, point=Point(*map(float, centre)), size=2 * radius))
    return marks


def _arrows_in(outline: Floats) -> list[Mark]:
    """Every way to see an outline as an arrowhead (an equilateral triangle has three)."""
    centre = outline.mean(axis=0)
    if len(outline) <= 4:
        tips = list(range(len(outline)))
    else:
        tips = [int(np.argmax(np.hypot(*(outline - centre).T)))]
    marks = [m for m in (_arrow_at(outline, k) for k in tips) if m is not None]
    if len(marks) > 1:  # the slimmer way of seeing it, unless they are alike
        longest = max(m.size for m in marks)
        marks = [m for m in marks if m.size > 0.93 * longest]
    return marks


def _arrow_at(outline: Floats, tip_index: int) -> Mark | None:
    tip = outline[tip_index]
    n = len(outline)
    a, b = outline[(tip_index - 1) % n] - tip, outline[(tip_index + 1) % n] - tip
    la, lb = float(np.hypot(*a)), float(np.hypot(*b))
    if min(la, lb) < 1e-6 or (n <= 4 and abs(la - lb) > EVEN_SIDES * max(la, lb)):
        return None
    axis = a / la + b / lb
    size = float(np.hypot(*axis))
    if size < 1e-6:
        return None
    axis = axis / size
    apex = 2 * math.degrees(math.acos(max(-1.0, min(1.0, float(axis @ a) / la))))
    along = (outline - tip) @ axis
    across = (outline - tip) @ np.array([-axis[1], axis[0]])
    length = float(along.max())
    if not (MIN_APEX_DEG < apex < MAX_APEX_DEG and MIN_ARROW_PT < length < MAX_ARROW_PT):
        return None
    if float(along.min()) < -0.05 * length or not _widens(along, across, length):
        return None
    return Mark(
        kind=MarkKind.FILLED,
        point=Point(float(tip[0]), float(tip[1])),
        ux=-float(axis[0]),
        uy=-float(axis[1]),
        size=length,
    )


def _widens(along: Floats, across: Floats, length: float) -> bool:
    """Whether an outline grows evenly on both sides from its tip to its back."""
    widths = []
    for share in (0.25, 0.5, 0.7):
        cut = _cut(along, across, share * length)
        if cut is None:
            return False
        low, high = cut
        if abs(low + high) > 0.25 * (high - low):
            return False
        widths.append(high - low)
    return 0.3 * widths[1] < widths[0] < 0.75 * widths[1] and widths[2] > 1.05 * widths[1]


def _cut(along: Floats, across: Floats, at: float) -> tuple[float, float] | None:
    a0, a1 = along, np.roll(along, -1)
    c0, c1 = across, np.roll(across, -1)
    hit = (a0 - at) * (a1 - at) < 0
    if int(hit.sum()) < 2:
        return None
    t = (at - a0[hit]) / (a1[hit] - a0[hit])
    c = c0[hit] + t * (c1[hit] - c0[hit])
    return float(c.min()), float(c.max())


# Stroked arrowheads and rings


def _stroked_arrows(ink: Ink) -> list[Mark]:
    """Pairs of short strokes of one length that meet in a tip."""
    short = ink.straight[
        (ink.lengths[ink.straight] < 1.2 * MAX_ARROW_PT)
        & (ink.lengths[ink.straight] > 0.8 * MIN_ARROW_PT)
    ]
    nodes: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for i in map(int, short):
        for which, p in enumerate(ink.end_points(i)):
            nodes.setdefault((math.floor(p.x * 2), math.floor(p.y * 2)), []).append((i, which))
    marks: list[Mark] = []
    for (cx, cy), own in nodes.items():
        near = own + [
            e
            for dx, dy in ((1, 0), (0, 1), (1, 1), (1, -1))
            for e in nodes.get((cx + dx, cy + dy), ())
        ]
        if len(near) > 40:  # a crowded node of a hatch or a spline is no tip
            continue
        for k, first in enumerate(own):
            marks += [
                m
                for m in (_open_arrow(ink, first, other) for other in near[k + 1 :])
                if m is not None
            ]
    return _widest(marks)


def _bent_arrows(ink: Ink) -> list[Mark]:
    return [
        Mark(kind=MarkKind.OPEN, point=tip, ux=ux, uy=uy, size=length, strokes=strokes)
        for tip, ux, uy, length, strokes in find_bent_arrows(ink)
    ]


def _open_arrow(ink: Ink, first: tuple[int, int], second: tuple[int, int]) -> Mark | None:
    (i, wi), (j, wj) = first, second
    if i == j:
        return None
    tip, far = ink.end_points(i)[wi], ink.end_points(i)[1 - wi]
    tip2, far2 = ink.end_points(j)[wj], ink.end_points(j)[1 - wj]
    la, lb = float(ink.lengths[i]), float(ink.lengths[j])
    if tip.distance(tip2) > JOINED_PT or abs(la - lb) > EVEN_SIDES * max(la, lb):
        return None
    ax, ay = (far.x - tip.x) / la, (far.y - tip.y) / la
    bx, by = (far2.x - tip2.x) / lb, (far2.y - tip2.y) / lb
    dot = max(-1.0, min(1.0, ax * bx + ay * by))
    if not MIN_APEX_DEG < math.degrees(math.acos(dot)) < MAX_APEX_DEG:
        return None
    ux, uy = -(ax + bx), -(ay + by)
    size = math.hypot(ux, uy)
    length = la * size / 2
    if not MIN_ARROW_PT < length < MAX_ARROW_PT:
        return None
    base = _base_stroke(ink, far, far2)
    return Mark(
        kind=MarkKind.OPEN if base is None else MarkKind.BLANK,
        point=tip.midpoint(tip2),
        ux=ux / size,
        uy=uy / size,
        size=length,
        strokes=frozenset((i, j) if base is None else (i, j, base)),
    )


def _base_stroke(ink: Ink, a: Point, b: Point) -> int | None:
    for k in ink.near(a, JOINED_PT):
        p, q = ink.end_points(k)
        if (p.distance(a) < JOINED_PT and q.distance(b) < JOINED_PT) or (
            p.distance(b) < JOINED_PT and q.distance(a) < JOINED_PT
        ):
            return k
    return None


def _widest(marks: list[Mark]) -> list[Mark]:
    """Of a fan of strokes from one tip keep the outermost pair, with all strokes of the fan.

    Fans: the shaft between two barbs, or an arrowhead hatched with strokes from its tip.
    """
    result: list[Mark] = []
    cells: dict[tuple[int, int], list[int]] = {}
    for mark in sorted(marks, key=lambda m: (m.kind is not MarkKind.BLANK, m.size)):
        key = (round(mark.point.x), round(mark.point.y))
        for at in cells.get(key, ()):
            old = result[at]
            straight = old.ux * mark.ux + old.uy * mark.uy
            if straight > COS_FAN and old.strokes & mark.strokes:
                result[at] = replace(old, strokes=old.strokes | mark.strokes)
                break
        else:
            cells.setdefault(key, []).append(len(result))
            result.append(mark)
    return result


def _rings(ink: Ink) -> list[Mark]:
    marks: list[Mark] = []
    seen: dict[tuple[int, int, int], float] = {}
    for arc in ink.arcs:
        if not MIN_DOT_PT < arc.radius < MAX_DOT_PT:
            continue
        key = (round(arc.centre.x), round(arc.centre.y), round(arc.radius * 2))
        before = seen.get(key, 0.0)
        seen[key] = before + arc.sweep
        if before < 350.0 <= seen[key] and not _is_hole(ink, arc.centre, arc.radius):
            solid = arc.filled or arc.width > 0.9 * arc.radius
            marks.append(
                Mark(
                    kind=MarkKind.DOT if solid else MarkKind.RING,
                    point=arc.centre,
                    size=2 * arc.radius + arc.width,
                )
            )
    return marks


def _is_hole(ink: Ink, centre: Point, radius: float) -> bool:
    """Whether lines run across a small circle through its middle as centre marks do.

    A dimension line and an extension line cross in a ring as well, but reach further to one side
    than to the other, or run on to the next ring.
    """
    across: list[Line] = []
    marked = False
    for i in ink.near(centre, 1.0):
        line = ink.line_of(i)
        if abs(line.place(centre)[1]) > THROUGH_PT or ink.lengths[i] < SHORT_PT:
            continue
        before, after = _reach_about(ink, line, centre)
        if min(before, after) < radius:
            continue
        across.append(line)
        short = max(before, after) < CENTRE_MARK * radius + CENTRE_MARK_PT
        even = max(before, after) < EVEN_REACH * min(before, after)
        marked |= bool(ink.dashed[i]) or (short and even)
    return marked and any(across[0].turned_from(o.ux, o.uy) > 45.0 for o in across[1:])


def _reach_about(ink: Ink, line: Line, centre: Point) -> tuple[float, float]:
    """How far the ink of a line reaches from a point on it, to either side."""
    at, _ = line.place(centre)
    _, pieces = ink.on_line(line)
    span = next(((a, b) for a, b in merge_spans(pieces, JOINED_PT) if a < at < b), (at, at))
    return at - span[0], span[1] - at
