"""Dimension lines, numbers and notes of the later working drawings, once a view is drawn.

A number takes the first place on, over or beside its line where it stands on nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tests.bench.hand_views import Drawn
from tests.bench.plates_pen import XY, Floats, Lettered, Mark
from tests.bench.plates_work2_board import CENTRE, INK, LETTERS, Asked, Board, Noted
from tests.bench.plates_work2_heads import CROSSES, ENDS
from tests.bench.plates_work2_letters import Lettering, letter
from tests.bench.plates_work2_ways import Ways, spell

PAD = 0.9  # mm of a line left out beside its number
ABOVE = 0.9  # mm from a line to the number on it
FREE = 0.4  # mm about a number
NEAR_EDGE = 1.2  # mm between a number and an end's head
TAIL = 2.4  # heads long is the line outside of a short size
OVERSHOOT = 1.2  # mm that a line goes past its tick
ON_LETTERS, OTHER_PLACE = 30.0, 0.3  # what a place costs, in points of ink
LINE_ON_LETTERS, NOTE_AWAY, OVER_NEXT = 3.0, 0.25, 2.0
ON_EDGE = 0.3  # mm from ink within which a foot stands on it
ALONG = (0.5, 0.42, 0.58, 0.35, 0.65, 0.27, 0.73, 0.2, 0.8)
SIDES = {"N": (1, -1.0), "S": (1, 1.0), "E": (0, 1.0), "W": (0, -1.0)}  # axis across, outwards
TURNS = (0, 20, -20, 40, -40, 65, -65, 100, -100, 140, -140, 180)  # degrees a leader may swing
ELBOWS = ((4, 6), (7, 9), (10, 4), (15, 10), (19, 5), (24, 12))  # mm from a line to its leader's
LONGER = (1.0, 1.5, 2.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a number may stand: its middle, its turn, what becomes of its line."""

    middle: Floats
    turn: float = 0.0
    cut: float = 0.0  # mm of the line left out about the number
    out: bool = False  # heads stand outside
    tails: XY = (0.0, 0.0)  # mm that the line goes past a and b
    leader: tuple[Floats, ...] = ()
    dear: float = 0.0


def dimension(board: Board) -> None:
    """Draw what is asked for: extension lines, dimension lines, ends, numbers, notes."""
    settle_feet(board)
    _rows(board)
    _extension_lines(board)
    for k, asked in enumerate(board.asked):
        board.keep_off(np.array(asked.ends), k)
    for k, asked in enumerate(board.asked):
        _tails_first(board, k, asked)
    blanks: list[Mark] = []
    for k in sorted(range(len(board.asked)), key=lambda k: board.asked[k].long):
        _number(board, k, blanks)
    for noted in board.notes:
        _note(board, noted)
    board.marks = [*board.under, *blanks, *board.marks]
    board.under = []


# feet of extension lines


def settle_feet(board: Board) -> None:
    """Move feet that stand in the air to the nearest ink behind them, as a ruler finds it."""
    body = np.concatenate([p for p, owner in board.cloud if owner == INK])
    for asked in board.asked:
        if asked.axis != "s":
            a, b = (_settled(asked, foot, body) for foot in asked.feet)
            asked.feet = a, b


def _settled(asked: Asked, foot: Floats, body: Floats) -> Floats:
    across = 1 if asked.axis == "h" else 0  # the way of its extension line
    outer = float(np.sign(foot[across] - asked.line))
    inwards = -SIDES[asked.side][1] if asked.side else outer
    off = (body[:, across] - foot[across]) * inwards
    on = np.abs(body[:, 1 - across] - foot[1 - across]) < ON_EDGE
    near = off[on & (off > -ON_EDGE)]
    if not inwards or not len(near) or near.min() < ON_EDGE:
        return foot
    moved = foot.copy()
    moved[across] += inwards * near.min()
    return moved


# rows of dimension lines


def _rows(board: Board) -> None:
    """Lay dimension lines out in rows, short sizes next to the part."""
    body = np.concatenate([p for p, _ in board.cloud])
    low, high = body.min(axis=0), body.max(axis=0)
    for side, (axis, out) in SIDES.items():
        groups: dict[int, list[Asked]] = {}
        for k, asked in enumerate(a for a in board.asked if a.side == side):
            groups.setdefault(asked.group if asked.group >= 0 else -2 - k, []).append(asked)
        step = _step(board, side, [a for g in groups.values() for a in g])
        edge = (high if out > 0 else low)[axis]
        first = max(board.ways.first, 0.75 * step)
        rows: list[list[Floats]] = []
        for group in sorted(groups.values(), key=lambda g: sum(a.long for a in g) / len(g)):
            spans = [_span(a, 1 - axis) for a in group]
            row = next((r for r in range(len(rows)) if _fits(spans, rows[r:])), len(rows))
            if row == len(rows):
                rows.append([])
            rows[row] += spans
            for asked in group:
                asked.line = float(edge + out * (first + row * step))


def _span(asked: Asked, axis: int) -> Floats:
    return np.sort([foot[axis] for foot in asked.feet])


def _fits(spans: list[Floats], rows: list[list[Floats]]) -> bool:
    """Whether spans keep off all those of a row and of the rows further out."""
    return all(s[0] > t[1] - 0.5 or s[1] < t[0] + 0.5 for s in spans for row in rows for t in row)


def _step(board: Board, side: str, asked: list[Asked]) -> float:
    """From row to row: upright numbers of upright lines need their width."""
    if side in ("N", "S") or not board.ways.upright or not asked:
        return board.ways.step
    texts = (_lettered(board, a, 0.0) for a in asked)
    return max(board.ways.step, 0.62 * max(t.size[0] for t in texts) + 1.5)


def _lettered(board: Board, asked: Asked, turn: float) -> Lettered:
    said = asked.form.format(spell(board.ways, asked.printed))
    return _letters(said, board.letters, len(board.asked), turn)


@lru_cache(maxsize=512)
def _letters(text: str, how: Lettering, seed: int, turn: float) -> Lettered:
    """The same letters when they are measured and when they are drawn."""
    return letter(text, how, np.random.default_rng(seed), turn=turn)


def _extension_lines(board: Board) -> None:
    """From feet to dimension lines; one line serves all sizes that lead from one edge."""
    reach: dict[tuple[str, str, float], tuple[float, float, bool]] = {}
    for asked in board.asked:
        if asked.axis == "s":
            _slope_feet(board, asked)
            continue
        k = 1 if asked.axis == "h" else 0
        for foot, centred in zip(asked.feet, asked.centred, strict=True):
            if abs(foot[k] - asked.line) < 0.3:
                continue
            way = 1.0 if asked.line > foot[k] else -1.0
            key = (asked.axis, f"{asked.side}{way}", round(float(foot[1 - k]), 2))
            old = reach.get(key, (float(foot[k]), asked.line, centred))
            near, far = (min, max) if way > 0 else (max, min)
            reach[key] = near(old[0], foot[k]), far(old[1], asked.line), centred or old[2]
    for (axis, _, across), (foot_at, line, centred) in reach.items():
        _extend(board, axis, across, foot_at, line, centred=centred)


def _extend(
    board: Board, axis: str, across: float, foot: float, line: float, *, centred: bool
) -> None:
    """One extension line, or a centre line drawn out."""
    ways, way = board.ways, 1.0 if line > foot else -1.0
    a = foot - 2.5 * way if centred else foot + way * min(ways.foot, abs(line - foot) / 3)
    ends = [(across, v) if axis == "h" else (v, across) for v in (a, line + way * ways.beyond)]
    board.stroke(np.array(ends), ways.fine, CENTRE if centred else ())


def _slope_feet(board: Board, asked: Asked) -> None:
    ways = board.ways
    for foot, end in zip(asked.feet, asked.ends, strict=True):
        u = (end - foot) / max(math.dist(end, foot), 1e-9)
        board.stroke(np.array([foot + ways.foot * u, end + ways.beyond * u]), ways.fine)


# numbers


def _number(board: Board, k: int, blanks: list[Mark]) -> None:
    """Place a number, draw its line about it."""
    asked, ways = board.asked[k], board.ways
    best: tuple[float, Place, Lettered] | None = None
    cloud, owners = _cloud(board)
    words = cloud[owners == LETTERS]
    letters = {t: _lettered(board, asked, t) for t in {0.0, _turn(asked)}}
    for rank, place in enumerate(_places(asked, ways, {t: m.size for t, m in letters.items()})):
        mark = letters[place.turn].moved(_xy(place.middle))
        cost = _cost(mark, cloud, owners, k) + place.dear + OTHER_PLACE * rank
        if place.out:  # not over the line of the next size: it would be read as that one's
            on_line = cloud[(owners >= 0) & (owners != k)]
            cost += OVER_NEXT * _beside(asked, place, mark, on_line)
        cost += LINE_ON_LETTERS * sum(_near(way, words) for way in _ways_out(asked, place))
        if best is None or cost < best[0]:
            best = cost, place, mark
    assert best is not None
    _, place, mark = best
    _draw_line(board, k, place)
    if _on_hatch(board, mark):
        blanks.append(Mark(points=_grown(mark), blank=True))
    board.put(mark)
    a, b = asked.ends
    corners = mark.corners()
    (left, top), (right, low) = corners.min(axis=0), corners.max(axis=0)
    board.drawn.append(Drawn(
        kind=asked.kind, ends=(_xy(a), _xy(b)), text=asked.form.format(spell(ways, asked.printed)),
        printed=asked.printed, right=asked.right,
        lettered=(float(left), float(top), float(right), float(low)),
    ))  # fmt: skip


def _tails_first(board: Board, k: int, asked: Asked) -> None:
    """Tell numbers of neighbours that a short size will have its heads outside."""
    sizes = {t: _lettered(board, asked, t).size for t in {0.0, _turn(asked)}}
    first = next(_places(asked, board.ways, sizes))
    if first.out and board.ways.head not in CROSSES:
        u, long = _reading(asked), TAIL * board.ways.head_mm
        for end, way in zip(sorted(asked.ends, key=lambda p: float(p @ u)), (-u, u), strict=True):
            board.keep_off(np.array([end, end + long * way]), k)


def _beside(asked: Asked, place: Place, mark: Lettered, lines: Floats) -> float:
    """How many points of others' lines run on along its own, where a number stands outside."""
    u, a = _reading(asked), asked.ends[0]
    if place.leader or not len(lines):
        return 0.0
    off, at = (lines - a) @ np.array([u[1], -u[0]]), (lines - place.middle) @ u
    half = float(np.ptp(mark.corners() @ u)) / 2
    return float(((np.abs(off) < 0.6) & (np.abs(at) < half)).sum())


def _ways_out(asked: Asked, place: Place) -> list[Floats]:
    """Points of what a place draws beyond the ends: tails with their heads, a leader."""
    u = _reading(asked)
    a, b = sorted(asked.ends, key=lambda p: float(p @ u))
    t = np.linspace(0.0, 1.0, 16)[:, None]
    tails = [
        e + t * long * way
        for e, long, way in ((a, place.tails[0], -u), (b, place.tails[1], u))
        if long
    ]
    legs = zip(place.leader[:-1], place.leader[1:], strict=True) if place.leader else ()
    return [*tails, *(p + t * (q - p) for p, q in legs)]


def _turn(asked: Asked) -> float:
    """How a number lies that runs along its line: read from below or from the right."""
    u = _reading(asked)
    return round(math.degrees(math.atan2(-u[1], u[0])), 3)


def _reading(asked: Asked) -> Floats:
    """Along the line, the way that it is read."""
    a, b = asked.ends
    u = (b - a) / max(math.dist(a, b), 1e-9)
    if u[0] < -1e-6 or (abs(u[0]) <= 1e-6 and u[1] > 0):
        return np.asarray(-u)
    return np.asarray(u)


def _places(asked: Asked, ways: Ways, sizes: dict[float, XY]) -> Iterator[Place]:
    """Places for a number, the usual ones first."""
    u, long = _reading(asked), asked.long
    a, b = sorted(asked.ends, key=lambda p: float(p @ u))
    n = np.array([u[1], -u[0]])
    flat = ways.upright and asked.axis != "h"
    turn = 0.0 if flat else _turn(asked)
    w, h = sizes[turn]
    along, across = (
        (abs(u[0]) * w + abs(u[1]) * h, abs(u[1]) * w + abs(u[0]) * h) if flat else (w, h)
    )
    lies = ways.number == "above" and not flat
    off = n * (across / 2 + ABOVE) if lies else 0.0 * n
    cut = 0.0 if lies else along + 2 * (PAD if ways.number == "gap" else 0.5)
    head = 0.0 if ways.head in CROSSES else 1.15 * ways.head_mm
    room = long - 2 * head - along - (NEAR_EDGE if lies else 2 * PAD + NEAR_EDGE)
    if room > 0:
        for t in ALONG:
            if abs(t - 0.5) * long <= room / 2:
                yield Place(middle=a + t * long * u + off, turn=turn, cut=cut)
    tail = TAIL * ways.head_mm if ways.head not in CROSSES else OVERSHOOT
    if along + 1.0 < long and room <= 0:
        yield Place(middle=(a + b) / 2 + off, turn=turn, cut=cut, out=True, tails=(tail, tail))
    yield from _outside(a, b, u, ways, Place(
        middle=off, turn=turn, cut=along, out=room <= 0, tails=(tail, tail),
        dear=0.0 if room <= 0 and ways.outside == "beside" else 3.0,
    ))  # fmt: skip
    yield from _led(asked, (a + b) / 2, ways, sizes[0.0], out=room <= 0, tail=tail)


def _outside(a: Floats, b: Floats, u: Floats, ways: Ways, like: Place) -> Iterator[Place]:
    """Beside a short size: past b, or past a."""
    along, tail = like.cut, like.tails[0]
    lies = bool(np.any(like.middle))
    for sign, end in ((1, b), (-1, a)):
        away = (tail - 0.6 * ways.head_mm if lies else tail) + along / 2 + 0.7
        long = tail + (along + 0.4 if lies else 0.0)
        tails = (tail if like.out else 0.0, long) if sign > 0 else (long, tail if like.out else 0.0)
        yield replace(like, middle=end + sign * away * u + like.middle, cut=0.0, tails=tails)


def _led(
    asked: Asked, middle: Floats, ways: Ways, size: XY, *, out: bool, tail: float
) -> Iterator[Place]:
    """At a leader from the line's middle, level; dear, unless this sheet does so."""
    w, _ = size
    dear = 0.5 if out and ways.outside == "leader" else 5.0
    for x, y in ((i * x, j * y) for x, y in ELBOWS for j in (-1, 1) for i in (1, -1)):
        p = middle + np.array([x, y], float)
        side = 1.0 if x > 0 else -1.0
        shoulder = p + np.array([1.5 * side, 0.0])
        yield Place(
            middle=shoulder + np.array([side * (w / 2 + 0.7), 0.0]), out=out,
            tails=(tail, tail) if out else (0.0, 0.0), leader=(middle, p, shoulder), dear=dear,
        )  # fmt: skip


def _cloud(board: Board) -> tuple[Floats, Floats]:
    points = np.concatenate([p for p, _ in board.cloud])
    return points, np.concatenate([np.full(len(p), k) for p, k in board.cloud])


def _cost(mark: Lettered, cloud: Floats, owners: Floats, own: int) -> float:
    """How much ink a number would stand on."""
    p, q, _, s = mark.corners()
    w, h = math.dist(p, q), math.dist(p, s)
    off = cloud - p
    x, y = off @ (q - p) / w, off @ (s - p) / h
    inside = (x > -FREE) & (x < w + FREE) & (y > -FREE) & (y < h + FREE) & (owners != own)
    return float(inside.sum() + ON_LETTERS * (inside & (owners == LETTERS)).sum())


def _grown(mark: Lettered, by: float = 0.6) -> Floats:
    corners = mark.corners()
    middle = corners.mean(axis=0)
    size = np.array([math.dist(corners[0], corners[1]), math.dist(corners[0], corners[3])])
    away = corners - middle
    u = (corners[1] - corners[0]) / max(size[0], 1e-9)
    n = (corners[3] - corners[0]) / max(size[1], 1e-9)
    return np.asarray(
        corners + by * (np.sign(away @ u)[:, None] * u + np.sign(away @ n)[:, None] * n)
    )


def _on_hatch(board: Board, mark: Lettered) -> bool:
    """Whether hatching runs through a number."""
    corners = mark.corners()
    low, high = corners.min(axis=0), corners.max(axis=0)
    for one in board.under:
        if isinstance(one, Mark) and one.width:
            t = np.linspace(0, 1, 40)[:, None]
            points = one.points[0] + t * (one.points[-1] - one.points[0])
            if ((points > low) & (points < high)).all(axis=1).any():
                return True
    return False


def _draw_line(board: Board, k: int, place: Place) -> None:
    """The dimension line with what ends it."""
    asked, ways = board.asked[k], board.ways
    u = _reading(asked)
    a, b = sorted(asked.ends, key=lambda p: float(p @ u))
    outer = OVERSHOOT if ways.head == "tick" and not place.out else 0.0
    first, last = (a - (place.tails[0] or outer) * u), (b + (place.tails[1] or outer) * u)
    gap = abs(float((place.middle - a) @ u)), place.cut / 2
    through = not place.out or ways.head in CROSSES or ways.number == "above"
    if place.cut and not place.leader:
        parts = [(first, a + (gap[0] - gap[1]) * u), (a + (gap[0] + gap[1]) * u, last)]
    elif through:
        parts = [(first, last)]
    else:
        parts = [(first, a), (b, last)]
    if place.out and not through and place.cut:
        parts = [(first, a), (b, last)]
    for p, q in parts:
        if float((q - p) @ u) > 0.3:
            board.stroke(np.array([p, q]), ways.fine, body=False)
            board.keep_off(np.array([p, q]), k)
    for tip, way in ((a, -u), (b, u)):
        board.marks += ENDS[ways.head](tip, -way if place.out else way, ways.head_mm, board.rng)
    if place.leader:
        board.stroke(np.array(place.leader), ways.fine)


# notes


def _note(board: Board, noted: Noted) -> None:
    """A note at the end of a leader, where there is room."""
    mark = letter(noted.text, board.letters.sized(0.9 if noted.size is None else 1.0), board.rng)
    cloud, owners = _cloud(board)
    best: tuple[float, Floats, Floats] | None = None
    for rank, (turn, more) in enumerate((t, m) for m in LONGER for t in TURNS):
        c, s = math.cos(math.radians(turn)) * more, math.sin(math.radians(turn)) * more
        elbow = noted.tip + np.array([c * noted.by[0] - s * noted.by[1],
                                      s * noted.by[0] + c * noted.by[1]])  # fmt: skip
        side = 1.0 if elbow[0] >= noted.tip[0] else -1.0
        shoulder = elbow + np.array([0.0 if noted.ringed else 2.0 * side, 0.0])
        room = (1.4 * mark.size[1] if noted.ringed else mark.size[0] / 2 + 0.7) * side
        middle = shoulder + np.array([room, 0.0])
        cost = _cost(mark.moved(_xy(middle)), cloud, owners, -9) + NOTE_AWAY * rank
        t = np.linspace(0.15, 1, 40)[:, None]
        leader = noted.tip + t * (elbow - noted.tip)
        cost += LINE_ON_LETTERS * _near(leader, cloud[owners == LETTERS])
        if best is None or cost < best[0]:
            best = cost, shoulder, middle
        if cost < 0.8:
            break
    assert best is not None
    _lead(board, noted, mark, best[1], best[2])


def _near(points: Floats, cloud: Floats) -> float:
    """How many points stand on letters."""
    if not len(cloud):
        return 0.0
    low, high = points.min(axis=0) - 1, points.max(axis=0) + 1
    some = cloud[((cloud > low) & (cloud < high)).all(axis=1)]
    return float(sum((np.hypot(*(some - p).T) < 0.5).any() for p in points)) if len(some) else 0.0


def _lead(board: Board, noted: Noted, mark: Lettered, shoulder: Floats, middle: Floats) -> None:
    ways, size = board.ways, noted.size
    side = 1.0 if middle[0] >= noted.tip[0] else -1.0
    elbow = shoulder if noted.ringed else shoulder - np.array([2.0 * side, 0.0])
    board.stroke(np.array([noted.tip, elbow, shoulder]), ways.fine)
    if noted.head:
        u = (noted.tip - elbow) / max(math.dist(noted.tip, elbow), 1e-9)
        head = ways.head if ways.head not in CROSSES else "open"
        board.marks += ENDS[head](noted.tip, u, max(ways.head_mm, 1.5), board.rng)
    if noted.ringed:
        t = np.linspace(0, 2 * math.pi, 40)
        r = max(mark.size) * 0.5 + 1.2
        middle = shoulder + np.array([side * r, 0.0])
        board.stroke(middle + r * np.stack([np.cos(t), np.sin(t)], axis=1), ways.fine)
    placed = mark.moved(_xy(middle))
    board.put(placed)
    if size is not None:
        corners = placed.corners()
        (left, top), (right, low) = corners.min(axis=0), corners.max(axis=0)
        box = (float(left), float(top), float(right), float(low))
        board.drawn.append(replace(size, lettered=box))


def _xy(v: Floats) -> XY:
    return float(v[0]), float(v[1])
