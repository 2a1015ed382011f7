"""Sheets of the later working drawings: views set out on a page, what stands about them, one error.

Shops, schools, clubs, magazines and makers' sites issue these. They were drawn by somebody who did
not know how the tool finds. The half to develop on and the one kept back share neither a thing nor
a draughtsman.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from pathlib import Path

import numpy as np

from tests.bench.hand_views import Drawn
from tests.bench.plates_pen import XY, Lettered, Mark, Rng, Ruler
from tests.bench.plates_real2_sheets import Bought
from tests.bench.plates_work2_about import about, remarks, room_of
from tests.bench.plates_work2_board import Board
from tests.bench.plates_work2_desk import Desk, Rows, Thing
from tests.bench.plates_work2_home import cabinet, oar, pram, shed, truck
from tests.bench.plates_work2_letters import Lettering, letter
from tests.bench.plates_work2_metal_held import clock_plate, pulley, tool_rest, tray
from tests.bench.plates_work2_numbers import dimension
from tests.bench.plates_work2_shop import bracket, candlestick, panels, stool
from tests.bench.plates_work2_ways import SHOPS, SHOPS_HELD, Ways, vary, wrong_of
from tests.bench.plates_work2_wood_held import cold_frame, drawer, gate, locomotive, wall_shelf

THINGS: tuple[Thing, ...] = (
    stool, pram, bracket, candlestick, panels, shed, truck, cabinet, oar,
)  # fmt: skip
THINGS_HELD: tuple[Thing, ...] = (
    clock_plate, drawer, pulley, tool_rest, locomotive, cold_frame, wall_shelf, tray, gate,
)  # fmt: skip
PAPERS = {
    "school": ((216.0, 279.0),),
    "magazine": ((203.0, 273.0), (210.0, 280.0)),
    "office": ((297.0, 210.0), (297.0, 210.0), (210.0, 297.0)),
    "club": ((216.0, 330.0), (279.0, 216.0), (254.0, 330.0)),
    "leaflet": ((210.0, 297.0), (216.0, 279.0)),
}
BETWEEN = 9.0  # mm between views
FULL = 25.4  # mm of paper to an inch, at most: parts are drawn full size
FIRST = 2.0  # the scale that is tried first
LEAST_MM = 0.4  # of paper to an inch
TRIES, ROUNDS = 2, 3  # of finding which way a page lies best, and the scale that fills it
LONG_MM = 12.0  # of paper: on a shorter size 6 % is what a pen strays
SLIP, WITHIN = Fraction(6, 100), (0.045, 0.078)
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32)
FEET_SCALES = {12: "1\" = 1'-0\"", 16: "3/4\" = 1'-0\"", 24: "1/2\" = 1'-0\"", 32: "3/8\" = 1'-0\"",
               8: "1 1/2\" = 1'-0\"", 4: "3\" = 1'-0\""}  # fmt: skip
STATED = 0.55  # of the sheets tell a usual scale
CAPTION = 1.1  # height of a view's name, to the numbers
FindFace = Callable[[str], Path | None]


@dataclass(frozen=True, slots=True)
class Set:
    """Who draws a half, and what."""

    things: tuple[Thing, ...]
    shops: tuple[Ways, ...]


def make_work(of: Set, seed: int, number: int, *, find_face: FindFace, planted: bool) -> Bought:
    """Draw one sheet.

    Parameters
    ----------
    of : Set
    seed, number : int
        Of the half, and which of its sheets.
    find_face : callable
        From a file stem to the file of a face, where it is installed.
    planted : bool
        Whether one number is 6 % off.

    Returns
    -------
    Bought
    """
    rng = np.random.default_rng([seed, number, 1])
    thing = of.things[number % len(of.things)]
    count = len(of.shops)  # as many as ways to scan: nobody keeps to one of them
    ways = vary(of.shops[(number + number // count) % count], rng)
    papers = PAPERS[ways.sheet]
    wide, high = papers[int(rng.integers(len(papers)))]
    desk = Desk(ways, _lettering(ways, find_face), FIRST, rng)
    turned = (wide, high) if ways.sheet == "magazine" else (high, wide)
    scale, paper = max(
        (_fill(thing, desk, paper, [seed, number, 2], TRIES), paper)
        for paper in {(wide, high), turned}
    )
    scale = _fill(thing, replace(desk, scale=scale), paper, [seed, number, 2], ROUNDS)
    desk, stated = _usual(replace(desk, scale=scale))
    rows = _drawn(thing, desk, [seed, number, 2], [seed, number, 3] if planted else None)
    room = room_of(ways, paper)
    marks, drawn = set_out(rows, room)
    if ways.sheet != "magazine":
        marks += remarks(desk, (room[0], lowest(marks) + 3.0, room[2], room[3]))
    marks += about(desk, paper, thing.__name__.replace("_", " ").upper(), stated)
    return Bought(
        size=paper, marks=tuple(marks), drawn=tuple(drawn),
        kind=f"{thing.__name__}, {ways.name} {ways.height:.1f}, {ways.unit}, {ways.head}",
        ruler=Ruler(waver=ways.waver, swell=0.02 + 2 * ways.waver),
    )  # fmt: skip


def _lettering(ways: Ways, find_face: FindFace) -> Lettering:
    face = find_face(ways.face) if ways.face else None
    return Lettering(
        face=face, height=ways.height, figures=ways.figures, weight=ways.weight,
        loose=ways.loose, slant=ways.slant, narrow=ways.narrow, fraction=ways.fraction,
    )  # fmt: skip


# scale


def _fill(thing: Thing, desk: Desk, paper: XY, seed: Sequence[int], rounds: int) -> float:
    """The scale that fills the page, mm to an inch, from the desk's on."""
    left, top, right, low = room_of(desk.ways, paper)
    scale = desk.scale
    for _ in range(rounds):
        wide, high = _extent(_drawn(thing, replace(desk, scale=scale), seed, None))
        scale *= 0.97 * min((right - left) / wide, (low - top) / high)
        scale = min(FULL, max(LEAST_MM, scale))
    return scale


def _usual(desk: Desk) -> tuple[Desk, str]:
    """The usual scale just below, told or not; or the one that fills the page."""
    usual = [k for k in SCALES if 0.78 * desk.scale < 25.4 / k <= desk.scale]
    if not usual or desk.rng.random() > STATED:
        return desk, ""
    k, ways = usual[0], desk.ways
    inches = ways.unit in ("fraction", "feet")
    told = FEET_SCALES.get(k, f"1:{k}") if inches else f"1:{k}"
    return replace(desk, scale=25.4 / k), "FULL SIZE" if k == 1 else told


# views


def _drawn(thing: Thing, desk: Desk, seed: Sequence[int], slip: Sequence[int] | None) -> Rows:
    """Draw all views, their numbers and names; `slip` seeds which number is wrong."""
    rows = thing(replace(desk, rng=np.random.default_rng(list(seed))))
    boards = [board for row in rows for board in row]
    if slip is not None:
        _plant(boards, np.random.default_rng(list(slip)))
    for board in boards:
        if board.asked or board.notes:
            dimension(board)
        if board.title:
            _name(board)
    return rows


def _plant(boards: Sequence[Board], rng: Rng) -> None:
    """Print one of the longer sizes 6 % off."""
    sizes = [(a, b.ways) for b in boards for a in b.asked if a.kind == "distance"]
    for k in rng.permutation(len(sizes)):
        asked, ways = sizes[int(k)]
        wrong = wrong_of(ways, asked.right, SLIP * int(rng.choice([-1, 1])))
        if asked.long > LONG_MM and WITHIN[0] < abs(wrong / asked.right - 1) < WITHIN[1]:
            asked.printed = wrong
            return


def _name(board: Board) -> None:
    """The name of a view under it."""
    x0, _, x1, y1 = board.bounds()
    mark = letter(board.title, board.letters.sized(CAPTION), board.rng)
    board.put(mark.moved(((x0 + x1) / 2, y1 + 2.5 + mark.size[1])))


def _extent(rows: Rows) -> XY:
    """Width and height of all views set out, mm."""
    boxes = [[b.bounds() for b in row] for row in rows]
    wide = max(sum(b[2] - b[0] for b in row) + BETWEEN * (len(row) - 1) for row in boxes)
    high = sum(_height(row) for row in rows) + BETWEEN * (len(rows) - 1)
    return wide, high


def _height(row: list[Board]) -> float:
    """Of a row whose views stand on one base line; lists and pictures stand where they may."""
    on = [b.bounds() for b in row if b.beside]
    off = [b.bounds()[3] - b.bounds()[1] for b in row if not b.beside]
    base = max((b[3] for b in on), default=0.0) - min((b[1] for b in on), default=0.0)
    return max([base, *off])


def set_out(
    rows: Rows, room: tuple[float, float, float, float]
) -> tuple[list[Mark | Lettered], list[Drawn]]:
    """Views row by row, spread over the room; views of a row stand on one base line."""
    marks: list[Mark | Lettered] = []
    drawn: list[Drawn] = []
    heights = [_height(row) for row in rows]
    spare = max(room[3] - room[1] - sum(heights) - BETWEEN * (len(rows) - 1), 0.0)
    top = room[1] + min(spare / (len(rows) + 1), 12.0)
    for row, high in zip(rows, heights, strict=True):
        boxes = [b.bounds() for b in row]
        gap = (room[2] - room[0] - sum(b[2] - b[0] for b in boxes)) / (len(row) + 1)
        up = max((-b[1] for board, b in zip(row, boxes, strict=True) if board.beside), default=0.0)
        x = room[0] + gap
        for board, box in zip(row, boxes, strict=True):
            y = top + up if board.beside else top - box[1] + (high - box[3] + box[1]) / 2
            by = (x - box[0], y)
            marks += [m.moved(by) for m in board.marks]
            drawn += [_moved(d, by) for d in board.drawn]
            x += box[2] - box[0] + gap
        top += high + BETWEEN + min(spare / (len(rows) + 1), 16.0)
    return marks, drawn


def lowest(marks: Sequence[Mark | Lettered]) -> float:
    """How far down marks reach, mm."""
    points = (m.points if isinstance(m, Mark) else m.corners() for m in marks)
    return max(float(p[:, 1].max()) for p in points)


def _moved(size: Drawn, by: XY) -> Drawn:
    (a, b), (c, d) = size.ends
    x, y = by
    left, top, right, low = size.lettered
    return replace(
        size,
        ends=((a + x, b + y), (c + x, d + y)),
        lettered=(left + x, top + y, right + x, low + y),
    )


make_fourth = partial(make_work, Set(THINGS, SHOPS))
make_held = partial(make_work, Set(THINGS_HELD, SHOPS_HELD))
