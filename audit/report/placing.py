"""Where a mark goes: beside what it judges, never over a printed number or another mark.

Everything is in the seen frame (pt, y down).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point, project_onto
from audit.geometry.box_index import BoxIndex

CLEAR_PT = 2.0  # white kept between a mark and printed text; a fine pen line and a bit
LEADER_FROM = 0.7  # a leader is drawn when the mark stands further off than this, mark heights
INLINE_REACH = 2.5  # white that keeps two numbers apart, mark heights
RINGS = (0.9, 1.5, 2.2, 3.0, 4.2, 5.6, 7.5, 10.0, 14.0, 20.0)  # search distances, mark heights
RING_DIRECTIONS = 16
NEAR_RINGS = 4  # the rings looked at first
MANY_MARKS = 600  # of a page: with more there is no room further off either
GOOD_ENOUGH = 4.0  # no place on a further ring costs less: its distance alone is as much
TOP_ROWS, TOP_COLUMNS = 8, 24  # places for marks that speak of a whole page
# Costs of a place. A text, a mark or the edge of the page must not be touched at all.
FORBIDDEN = 1e6
COST_LINE = 6.0  # for each dimension line crossed
COST_DISTANCE = 1.0  # for each mark height of white between the mark and what it speaks of
COST_NEARER = 3.0  # for lying nearer to another text: the reader would take it for that one's
COST_INLINE = 4.0  # for a number right in front of a printed one
COST_ASIDE = 1.2  # for standing at the very end of the dimension line rather than in its middle
COST_TEXT_SIDE = 0.25  # for standing on the same side of the dimension line as its text
COST_BESIDE = 0.5  # for standing beside the text rather than beside the dimension line
COST_RING = 1.0  # for standing anywhere else
COST_RANK = 0.02  # keeps the order of places that are equally good
COST_INK = 60.0  # for a place that is all ink; one thin line through it costs some 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """How much is drawn where on a page as seen.

    `sums` is the integral image of a boolean ink map, one row and column of zeros first; `step`
    is points for each of its pixels.
    """

    sums: NDArray[np.int64]
    step: float

    @classmethod
    def of(cls, dark: NDArray[np.bool_], *, step: float) -> Ink:
        """Sum up an ink map (rows, columns), True where something is drawn."""
        sums = np.zeros((dark.shape[0] + 1, dark.shape[1] + 1), dtype=np.int64)
        sums[1:, 1:] = dark.astype(np.int64).cumsum(axis=0).cumsum(axis=1)
        return cls(sums=sums, step=step)

    def share(self, boxes: NDArray[np.float64]) -> NDArray[np.float64]:
        """Share of ink in each box, (n, 4) pt, 0 to 1."""
        limits = np.array([self.sums.shape[1] - 1, self.sums.shape[0] - 1] * 2)
        edges = np.concatenate(
            [np.floor(boxes[:, :2] / self.step), np.ceil(boxes[:, 2:] / self.step)], 1
        )
        x0, y0, x1, y1 = np.clip(edges, 0, limits).astype(int).T
        total = self.sums[y1, x1] - self.sums[y0, x1] - self.sums[y1, x0] + self.sums[y0, x0]
        return np.asarray(total / np.maximum((x1 - x0) * (y1 - y0), 1), dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What stands on a page already: texts in boxes, dimension lines, and the ink if known."""

    page: Box
    texts: tuple[Box, ...] = ()
    lines: tuple[tuple[Point, Point], ...] = ()
    ink: Ink | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A mark that wants a place.

    Attributes
    ----------
    width, height : float
        Of shape and label together, pt.
    text : Box or None
        The printed text it judges.
    line : (Point, Point) or None
        The dimension line.
    around : Box or None
        What it speaks of when there is neither.
    whole_page : bool
        It speaks of the page as a whole and goes into a row at the top left.
    number_beside : bool
        The number stands at the right of the shape, not in it: left of a printed 3/8 it would
        read 16 3/8.
    """

    width: float
    height: float
    text: Box | None = None
    line: tuple[Point, Point] | None = None
    around: Box | None = None
    whole_page: bool = False
    number_beside: bool = False

    @property
    def target(self) -> Box:
        """What the mark speaks of."""
        if self.text is not None:
            return self.text
        if self.line is not None:
            return Box.around(self.line)
        return self.around if self.around is not None else Box(0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """The place found: box of the mark, and a leader when it stands apart."""

    box: Box
    leader: tuple[Point, ...] = ()


def place_marks(wishes: Sequence[Wish], around: Surroundings) -> tuple[Spot, ...]:
    """Find a place for each mark, in the order given (the most important first).

    Parameters
    ----------
    wishes : sequence of Wish
    around : Surroundings

    Returns
    -------
    tuple of Spot
        In the order of the wishes. No spot touches a text or another spot as long as there is
        room anywhere near; on a page that is full it goes where it covers least, and never over
        its own text.
    """
    texts = [box.grown(CLEAR_PT) for box in around.texts]
    blocked = np.empty((len(texts) + len(wishes), 4))
    blocked[: len(texts)] = np.array(texts, dtype=float).reshape(-1, 4)
    near = _Near(around)
    searches = (RINGS[:NEAR_RINGS], RINGS) if len(wishes) <= MANY_MARKS else (RINGS[:NEAR_RINGS],)
    spots = []
    for number, wish in enumerate(wishes, start=len(texts)):
        spot = _place_one(wish, around, near, blocked[:number], searches)
        blocked[number] = spot.box.grown(CLEAR_PT / 2)
        spots.append(spot)
    return tuple(spots)


class _Near:
    """Texts and dimension lines of a page, by where they are."""

    def __init__(self, around: Surroundings) -> None:
        self._around = around
        self._texts = BoxIndex(around.texts)
        self._lines = BoxIndex([Box.around(line) for line in around.lines])

    def texts(self, window: Box) -> list[Box]:
        """Return the texts in a window."""
        return [self._around.texts[k] for k in self._texts.meeting(window)]

    def lines(self, window: Box) -> list[tuple[Point, Point]]:
        """Return the lines whose boxes meet a window."""
        return [self._around.lines[k] for k in self._lines.meeting(window)]


def _place_one(
    wish: Wish,
    around: Surroundings,
    near: _Near,
    blocked: NDArray[np.float64],
    searches: Sequence[tuple[float, ...]],
) -> Spot:
    """Look near first, and further off only where nothing near is good enough."""
    for rings in searches:
        places = np.array(_candidates(wish, rings))
        centres = _clamp(places[:, :2], wish, around.page)
        half = np.array([wish.width / 2, wish.height / 2])
        boxes = np.hstack([centres - half, centres + half])
        cost = places[:, 2] + _cost(boxes, wish, around, near, blocked)
        if cost.min() <= GOOD_ENOUGH:
            break
    best = Box(*boxes[int(np.argmin(cost))].tolist())
    return Spot(box=best, leader=_leader(best, wish))


def _cost(
    boxes: NDArray[np.float64],
    wish: Wish,
    around: Surroundings,
    near: _Near,
    blocked: NDArray[np.float64],
) -> NDArray[np.float64]:
    gaps = _gaps(boxes, wish)
    reach = float(gaps.max()) + INLINE_REACH * wish.height
    window = Box(*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)).grown(reach)
    texts = near.texts(window)
    cost = FORBIDDEN * _overlaps(boxes, blocked)
    if wish.text is not None:
        own = np.array([wish.text.grown(CLEAR_PT / 2)], dtype=float)
        cost = cost + 100 * FORBIDDEN * (_overlaps(boxes, own) > 0)
    cost = cost + COST_LINE * _crossings(boxes, near.lines(window))
    if not wish.whole_page:
        cost = cost + COST_DISTANCE * gaps / wish.height
        cost = cost + COST_NEARER * _nearer_texts(boxes, gaps, texts, wish)
    if wish.number_beside:
        cost = cost + COST_INLINE * _reads_on(boxes, texts, wish)
    if around.ink is not None:
        cost = cost + COST_INK * around.ink.share(boxes)
    return np.asarray(cost, dtype=float)


def _nearer_texts(
    boxes: NDArray[np.float64], gaps: NDArray[np.float64], near: Sequence[Box], wish: Wish
) -> NDArray[np.bool_]:
    """Whether a place lies nearer to some other text than to what the mark speaks of."""
    others = [box for box in near if box != wish.text]
    if not others:
        return np.zeros(len(boxes), dtype=bool)
    texts = np.array(others, dtype=float)
    beyond = np.maximum(
        texts[None, :, :2] - boxes[:, None, 2:], boxes[:, None, :2] - texts[None, :, 2:]
    )
    nearest = np.hypot(*np.moveaxis(np.clip(beyond, 0.0, None), 2, 0)).min(axis=1)
    return np.asarray(nearest < gaps)


def _reads_on(boxes: NDArray[np.float64], texts: Sequence[Box], wish: Wish) -> NDArray[np.bool_]:
    """Whether a number at the right end of a place would read on into a text."""
    every = [*texts, wish.text] if wish.text is not None else list(texts)
    if not every:
        return np.zeros(len(boxes), dtype=bool)
    right = np.array(every, dtype=float)[None]
    white = right[..., 0] - boxes[:, None, 2]
    level = np.minimum(boxes[:, None, 3], right[..., 3]) - np.maximum(
        boxes[:, None, 1], right[..., 1]
    )
    near = (white > -CLEAR_PT) & (white < INLINE_REACH * wish.height)
    return np.asarray((near & (level > 0.25 * wish.height)).any(axis=1))


def _clamp(centres: NDArray[np.float64], wish: Wish, page: Box) -> NDArray[np.float64]:
    """Push places that hang over the edge back onto the page."""
    low = np.array([page.x0 + wish.width / 2 + 1, page.y0 + wish.height / 2 + 1])
    high = np.array([page.x1 - wish.width / 2 - 1, page.y1 - wish.height / 2 - 1])
    return np.asarray(np.maximum(np.minimum(centres, high), low))


def _overlaps(boxes: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.float64]:
    """Share of each box covered by the others, summed; a bare touch counts a little."""
    edge = np.array([*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)])
    others = others[
        (others[:, 0] < edge[2])
        & (others[:, 2] > edge[0])
        & (others[:, 1] < edge[3])
        & (others[:, 3] > edge[1])
    ]
    if not len(others):
        return np.zeros(len(boxes))
    low = np.maximum(boxes[:, None, :2], others[None, :, :2])
    high = np.minimum(boxes[:, None, 2:], others[None, :, 2:])
    sides = np.clip(high - low, 0.0, None)
    area = sides[..., 0] * sides[..., 1]
    own = (boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1])
    return np.asarray((area.sum(axis=1) / own) + 0.02 * (area > 0).sum(axis=1), dtype=float)


def _crossings(
    boxes: NDArray[np.float64], lines: Sequence[tuple[Point, Point]]
) -> NDArray[np.float64]:
    """How many of the lines run through each box (Liang-Barsky clipping)."""
    if not lines:
        return np.zeros(len(boxes))
    ends = np.array([[*a, *b] for a, b in lines], dtype=float)
    start, run = ends[None, :, :2], (ends[:, 2:] - ends[:, :2])[None]
    low, high = boxes[:, None, :2] - start, boxes[:, None, 2:] - start
    with np.errstate(divide="ignore", invalid="ignore"):
        first, second = low / run, high / run
    flat = run == 0
    inside = (low < 0) & (high > 0)
    enter = np.where(flat, np.where(inside, -np.inf, np.inf), np.minimum(first, second))
    leave = np.where(flat, np.where(inside, np.inf, -np.inf), np.maximum(first, second))
    enters = np.maximum(enter.max(axis=2), 0.0)
    leaves = np.minimum(leave.min(axis=2), 1.0)
    return np.asarray((enters < leaves).sum(axis=1), dtype=float)


def _candidates(wish: Wish, rings: tuple[float, ...]) -> list[tuple[float, float, float]]:
    """Places to try, each with what it costs to be there rather than at the best."""
    places: list[tuple[float, float, float]] = []
    if wish.whole_page:
        return _along_top(wish)
    if wish.line is not None:
        places += _along_line(wish, wish.line)
    places += _beside_box(wish, wish.target)
    centre = wish.target.centre
    reach = math.hypot(wish.target.width, wish.target.height) / 2
    if wish.line is not None and wish.text is None:
        reach = wish.height
    for ring in rings:
        radius = min(reach, 6 * wish.height) + ring * wish.height
        for k in range(RING_DIRECTIONS):
            turn = 2 * math.pi * k / RING_DIRECTIONS
            x, y = centre.x + radius * math.cos(turn), centre.y + radius * math.sin(turn)
            places.append((x, y, COST_RING))
    return places


def _along_top(wish: Wish) -> list[tuple[float, float, float]]:
    """Places in rows at the top left of the page."""
    dx, dy = wish.width + 2 * CLEAR_PT, wish.height + 2 * CLEAR_PT
    return [
        (dx * (column + 0.75), dy * (row + 0.75), COST_RANK * (column + 6 * row))
        for row in range(TOP_ROWS)
        for column in range(TOP_COLUMNS)
    ]


def _along_line(wish: Wish, line: tuple[Point, Point]) -> list[tuple[float, float, float]]:
    """Places beside the dimension line, across from its text first."""
    a, b = line
    length = a.distance(b)
    if length == 0:
        return []
    ux, uy = (b.x - a.x) / length, (b.y - a.y) / length
    nx, ny = -uy, ux
    # Half the mark's own extent across the line, and white between.
    off = (abs(nx) * wish.width + abs(ny) * wish.height) / 2 + CLEAR_PT
    text = _beside_line(wish.text, line) if wish.text is not None else None
    places = []
    for share in (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82):
        x, y = a.x + ux * length * share, a.y + uy * length * share
        for side in (1.0, -1.0):
            cost = abs(share - 0.5) * COST_ASIDE
            away = off
            if text is not None:
                aside, extent = text
                cost += COST_TEXT_SIDE if aside * side > 0.2 * extent else 0.0
                if share == 0.5:  # past a text that breaks the line
                    away = max(off, off + extent / 2 + aside * side)
            places.append((x + side * nx * away, y + side * ny * away, cost))
    return places


def _beside_line(text: Box, line: tuple[Point, Point]) -> tuple[float, float]:
    """How far the middle of a text lies aside of a line, and its extent across the line."""
    a, b = line
    _, aside = project_onto(text.centre, a, b)
    length = a.distance(b)
    nx, ny = abs(b.y - a.y) / length, abs(b.x - a.x) / length
    return aside, nx * text.width + ny * text.height


def _beside_box(wish: Wish, box: Box) -> list[tuple[float, float, float]]:
    """Places around a box: right, left, below, above, then the corners."""
    dx, dy = wish.width / 2 + 1.5 * CLEAR_PT, wish.height / 2 + 1.5 * CLEAR_PT
    left, right, up, down = box.x0 - dx, box.x1 + dx, box.y0 - dy, box.y1 + dy
    mid = box.centre
    places = (
        (right, mid.y),
        (left, mid.y),
        (mid.x, down),
        (mid.x, up),
        (right, down),
        (right, up),
        (left, down),
        (left, up),
    )
    return [(x, y, COST_BESIDE + COST_RANK * rank) for rank, (x, y) in enumerate(places)]


def _gaps(boxes: NDArray[np.float64], wish: Wish) -> NDArray[np.float64]:
    """White between each place and the nearest of what the mark speaks of."""
    gaps = np.full(len(boxes), np.inf)
    if wish.text is not None or wish.line is None:
        target = np.array(wish.target, dtype=float)
        apart = np.maximum(target[:2] - boxes[:, 2:], boxes[:, :2] - target[2:])
        gaps = np.hypot(*np.clip(apart, 0.0, None).T)
    if wish.line is None:
        return gaps
    a, b = np.array(wish.line, dtype=float)
    centres = (boxes[:, :2] + boxes[:, 2:]) / 2
    if (a == b).all():
        return np.asarray(np.minimum(gaps, np.hypot(*(centres - a).T)), float)
    along = np.clip((centres - a) @ (b - a) / ((b - a) @ (b - a)), 0.0, 1.0)
    foot = a + along[:, None] * (b - a)
    nearest = np.clip(foot, boxes[:, :2], boxes[:, 2:])
    return np.asarray(np.minimum(gaps, np.hypot(*(foot - nearest).T)), float)


def _gap(box: Box, wish: Wish) -> float:
    """White between one place and the nearest of what the mark speaks of."""
    return float(_gaps(np.array([box], dtype=float), wish)[0])


def _leader(box: Box, wish: Wish) -> tuple[Point, ...]:
    """Thin line from the mark to what it speaks of, when it stands apart."""
    if wish.whole_page or _gap(box, wish) <= LEADER_FROM * wish.height:
        return ()
    targets = [wish.target] if wish.text is not None or wish.line is None else []
    if wish.line is not None:
        middle = wish.line[0].midpoint(wish.line[1])
        targets.append(Box(middle.x, middle.y, middle.x, middle.y))
    ends = [(_nearest_in(t, box.centre), t) for t in targets]
    end = min(ends, key=lambda pair: pair[0].distance(box.centre))[0]
    start = _nearest_in(box, end)
    return (start, end)


def _nearest_in(box: Box, point: Point) -> Point:
    return Point(min(max(point.x, box.x0), box.x1), min(max(point.y, box.y0), box.y1))
