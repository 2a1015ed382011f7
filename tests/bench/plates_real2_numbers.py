"""Numbers and notes of a held-out bought plan's view are placed where there is room for them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from tests.bench.hand_views import Drawn
from tests.bench.plates_pen import PX_PER_MM, Floats, Lettered, Mark
from tests.bench.plates_real2_ends import ENDS, rim_points, run_leader
from tests.bench.plates_real2_ink import Tint
from tests.bench.plates_real2_room import Room
from tests.bench.plates_real2_views import Asked, Noted, Sheetview, write
from tests.bench.plates_real2_ways import spell

AIR_MM = 0.9  # between a number and the line it breaks
OVER_MM = 0.8  # between a number and the line under it
ASIDE_MM = 5.0
ENDLESS = ("stroke", "bead")  # ends that need no room between the lines
LIKED = 0.15  # how much worse the next place is that could be chosen
PLACES = (0.5, 0.44, 0.56, 0.38, 0.62, 0.3, 0.7, 0.22, 0.78)  # along a line
LENGTHS = (1.0, 1.35, 0.75, 1.8, 2.4)  # of a leader, to what was wished
LEANS = (0.0, 18.0, -18.0, 36.0, -36.0, 60.0, -60.0)  # degrees off what was wished


class Standing(NamedTuple):
    """A number about to be placed: how it stands to its line, mm along and across."""

    mark: Lettered
    along: float
    tall: float
    fits: bool
    inside: bool


def number_view(view: Sheetview) -> None:
    """Draw every size and note that was asked for."""
    room = Room.of(view.marks)
    for asked in view.asked:
        room.draw(np.stack(asked.ends))
    for asked in sorted(view.asked, key=lambda one: one.long):
        _number(view, asked, room)
    for noted in view.notes:
        _note(view, noted, room)


def _turn_of(view: Sheetview, u: Floats) -> float:
    if view.ways.level:
        return 0.0
    turn = math.degrees(math.atan2(-u[1], u[0]))
    return turn - 180.0 if view.ways.flip and turn > 80.0 else turn


def _stand(view: Sheetview, asked: Asked, text: str) -> Standing:
    """How a number is lettered, and whether there is room between its ends."""
    ways, u = view.ways, (asked.ends[1] - asked.ends[0]) / asked.long
    turn = _turn_of(view, u)
    mark = write(text, view.letters, view.rng, turn=turn)
    off = math.radians(turn) - math.atan2(-u[1], u[0])
    c, s = abs(math.cos(off)), abs(math.sin(off))
    along, tall = c * mark.size[0] + s * mark.size[1], s * mark.size[0] + c * mark.size[1]
    fits = asked.long > along + (0.6 if ways.place == "above" else 2 * AIR_MM + 0.6)
    need = 0.0 if ways.head in ENDLESS else 2 * ways.head_mm + 0.8
    inside = asked.long > need + (0.0 if ways.place == "above" else along + 2 * AIR_MM)
    return Standing(mark, along, tall, fits, inside)


def _number(view: Sheetview, asked: Asked, room: Room) -> None:
    """Draw a dimension line, its ends and its number; keep what is true of it."""
    text = asked.form.format(spell(view.ways, asked.printed))
    how = _stand(view, asked, text)
    u = (asked.ends[1] - asked.ends[0]) / asked.long
    places = _places(view, asked, how, u)
    own = np.stack(asked.ends)
    scored = [
        (room.cost(_at(how.mark, place), own) + LIKED * k, k) for k, place in enumerate(places)
    ]
    at = places[min(scored)[1]]
    for line in _lines(view, asked, how, at):
        _line(view, line, room)
    _ends(view, asked, how)
    placed = _at(how.mark, at)
    if view.ways.place == "over":
        view.marks.append(Mark(points=_widened(placed), blank=True))
    view.marks.append(placed)
    room.letters.append(placed)
    _tell(view, asked, text, placed)


def _at(mark: Lettered, place: Floats) -> Lettered:
    return replace(mark, at=(float(place[0]), float(place[1])))


def _widened(mark: Lettered) -> Floats:
    corners, middle = mark.corners(), np.array(mark.at)
    half = np.maximum(np.abs(corners - middle), 0.1)
    return np.asarray(middle + (corners - middle) * (1 + 0.6 / half))


def _places(view: Sheetview, asked: Asked, how: Standing, u: Floats) -> list[Floats]:
    """Where a number may stand, what is liked best first."""
    (a, b), ways = asked.ends, view.ways
    turn = math.radians(how.mark.turn)
    up = np.array([-math.sin(turn), -math.cos(turn)])
    standing = ways.level and abs(u[1]) > 0.5
    normals = [np.array([u[1], -u[0]]), np.array([-u[1], u[0]])] if standing else [up]
    lifts = [n * (how.tall / 2 + OVER_MM) for n in normals]
    lifts = lifts if ways.place == "above" else [np.zeros(2)]
    if how.fits:
        room = asked.long - how.along - 1.2 - (2 * ways.head_mm if how.inside else 0.0)
        slides = [(t - 0.5) * asked.long for t in PLACES]
        slides = [s for s in slides if abs(s) <= max(room, 0.0) / 2] or [0.0]
        return [(a + b) / 2 + s * u + lift for s in slides for lift in lifts]
    far = _tail(view) + how.along / 2 + AIR_MM
    if ways.small == "aside":
        off = (how.tall / 2 + ASIDE_MM) * np.array([u[1], -u[0]])
        slide = (how.along / 2 + 2.0) * u
        return [(a + b) / 2 + s * off + t * slide for s in (1, -1) for t in (1, -1, 0.2)]
    return [end + lift for end in (b + far * u, a - far * u) for lift in lifts]


def _tail(view: Sheetview) -> float:
    """How far a line runs on outside, mm."""
    return 1.0 if view.ways.head in ENDLESS else 2.0 * view.ways.head_mm


def _lines(view: Sheetview, asked: Asked, how: Standing, at: Floats) -> list[Floats]:
    """The dimension line: whole, broken by its number, or two ends outside."""
    (a, b), ways = asked.ends, view.ways
    u, reach = (b - a) / asked.long, float((at - a) @ ((b - a) / asked.long))
    half = how.along / 2 + AIR_MM
    if how.inside and how.fits:
        if ways.place == "break":
            return [np.stack([a, a + (reach - half) * u]), np.stack([a + (reach + half) * u, b])]
        return [np.stack([a, b])]
    out, lines = _tail(view), []
    first, last = -out, asked.long + out
    if not how.fits and ways.small == "beyond":
        more = half if ways.place == "above" else -half
        first = min(first, reach - more) if reach < 0 else first
        last = max(last, reach + more) if reach > asked.long else last
    if not how.fits and ways.small == "aside":
        lines.append(_bow(at, (a + b) / 2, how))
    if ways.head in ENDLESS or (ways.place == "above" and how.fits):
        return [*lines, np.stack([a + first * u, a + last * u])]
    return [*lines, np.stack([a + first * u, a]), np.stack([b, a + last * u])]


def _bow(start: Floats, stop: Floats, how: Standing) -> Floats:
    """A bow from a number to its line."""
    u = (stop - start) / math.dist(start, stop)
    first = start + u * (min(how.mark.size) / 2 + 1.2)
    t = np.linspace(0.0, 1.0, 9)[:, None]
    bent = 4 * t * (1 - t) * 0.5 * np.array([-u[1], u[0]])
    return np.asarray(first + t * (stop - first) + bent)


def _line(view: Sheetview, points: Floats, room: Room) -> None:
    room.draw(points)
    view.stroke(points, view.ways.fine, level=view.ways.lines, body=False)


def _ends(view: Sheetview, asked: Asked, how: Standing) -> None:
    """Heads, inside or outside."""
    u = (asked.ends[1] - asked.ends[0]) / asked.long
    turned = 1.0 if how.inside or view.ways.head in ENDLESS else -1.0
    for tip, way in zip(asked.ends, (-u, u), strict=True):
        _head(view, view.ways.head, tip, way * turned)


def _head(view: Sheetview, name: str, tip: Floats, u: Floats) -> None:
    size = view.ways.head_mm * float(view.rng.uniform(0.92, 1.08))
    for m in ENDS[name](tip, u, size, view.rng):
        view.marks.append(Tint(points=m.points, width=m.width, level=view.ways.lines))


def _tell(view: Sheetview, asked: Asked, text: str, placed: Lettered) -> None:
    corners = placed.corners()
    (x0, y0), (x1, y1) = (map(float, end) for end in asked.ends)
    box = (*map(float, corners.min(axis=0)), *map(float, corners.max(axis=0)))
    view.drawn.append(
        Drawn(
            kind=asked.kind, ends=((x0, y0), (x1, y1)), text=text, printed=asked.printed,
            right=asked.right, lettered=(box[0], box[1], box[2], box[3]),
        )
    )  # fmt: skip


# notes


def _note(view: Sheetview, noted: Noted, room: Room) -> None:
    """Draw a note and its leader where they cross least."""
    mark = write(noted.text, view.letters, view.rng)
    tries = [_run(view, noted, mark, long, lean) for long in LENGTHS for lean in LEANS]
    taken = _ringed(mark) if noted.ringed else mark
    costs = [
        room.cost(_at(taken, np.array(m.at))) + room.crossed(line) + LIKED * k
        for k, (line, m) in enumerate(tries)
    ]
    line, placed = tries[int(np.argmin(costs))]
    _line(view, line, room)
    last = line[-1] - line[-2]
    if not noted.ringed:
        _head(view, view.ways.tip, noted.tip, last / math.hypot(*last))
    if noted.ringed:
        ring = rim_points(placed.at, _ring(mark), 0.0, 360.0)
        view.stroke(ring, view.ways.thin, level=view.ways.lines, body=False)
    view.marks.append(placed)
    room.letters.append(placed)
    if noted.size is not None:
        view.drawn.append(noted.size)


def _ring(mark: Lettered) -> float:
    return max(mark.size) / 2 + 1.3


def _ringed(mark: Lettered) -> Lettered:
    """What a ring about letters takes up."""
    side = round(2 * _ring(mark) * PX_PER_MM)
    return replace(mark, mask=np.zeros((side, side), np.uint8))


def _run(
    view: Sheetview, noted: Noted, mark: Lettered, long: float, lean: float
) -> tuple[Floats, Lettered]:
    """One way to run a leader: its points, and its text placed."""
    c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
    x, y = noted.by[0] * long, -noted.by[1] * long
    by = np.array([c * x - s * y, s * x + c * y])
    knee = noted.tip + by
    side = 1.0 if by[0] >= 0 else -1.0
    if noted.ringed:
        u = by / math.hypot(*by)
        return np.stack([knee, noted.tip]), _at(mark, knee + u * _ring(mark))
    wide, how = mark.size[0], view.ways.leader
    line = run_leader(noted.tip, knee, how, side, wide)
    if how == "underline":
        place = knee + np.array([side * (wide / 2 + 0.5), -mark.size[1] / 2 - OVER_MM])
        return line, _at(mark, place)
    return line, _at(mark, line[0] + np.array([side * (wide / 2 + 0.8), 0.0]))
