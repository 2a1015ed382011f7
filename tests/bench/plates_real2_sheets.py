"""Sheets of the held-out bought plans: views set out on a page, what stands about them, one error.

Written by somebody who did not know how the tool finds.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from tests.bench.hand_views import Drawn
from tests.bench.plates_letters import Letters
from tests.bench.plates_pen import XY, Lettered, Mark, Rng, Ruler
from tests.bench.plates_real2_desk import Desk, Thing
from tests.bench.plates_real2_ink import Tint
from tests.bench.plates_real2_made import clock, guitar, hitch, marble_wheel
from tests.bench.plates_real2_numbers import number_view
from tests.bench.plates_real2_things import bookcase, loft_bed, picnic_table, planter
from tests.bench.plates_real2_views import Sheetview, write
from tests.bench.plates_real2_ways import WAYS, Ways, unit_of, vary, wrong_of

THINGS: tuple[Thing, ...] = (
    picnic_table, guitar, bookcase, loft_bed, planter, marble_wheel, clock, hitch,
)  # fmt: skip
PAPERS = ((216.0, 279.0), (210.0, 297.0), (216.0, 279.0), (203.0, 260.0), (229.0, 305.0))
METRIC_THINGS = ("guitar",)
MARGIN, BETWEEN, CAPTION = 13.0, 7.0, 1.15
FULL = 30.0  # mm of paper to an inch, at most
ROUNDS = 5  # of finding the scale that fills the page
COPIED = 0.2  # of the sheets have a pale word across
PALE = 0.12  # of its letters' ink
LONG_MM = 12.0  # of paper: on a shorter size 6 % is what a pen strays
SLIP, WITHIN = Fraction(6, 100), (0.045, 0.078)
SCALES = (1, 2, 4, 5, 8, 10, 12, 16, 20, 24)
TITLES = {
    "picnic_table": "PICNIC TABLE", "guitar": "SOLID BODY", "bookcase": "BOOKCASE",
    "loft_bed": "LOFT BED", "planter": "PATIO PLANTER", "marble_wheel": "MARBLE LIFT",
    "clock": "MANTEL CLOCK", "hitch": "TOW HITCH",
}  # fmt: skip
FindFace = Callable[[str], Path | None]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """A sheet before it is printed, mm of the paper; `ruler` is how steady its lines are."""

    size: XY
    marks: tuple[Mark | Lettered, ...]
    drawn: tuple[Drawn, ...]
    kind: str
    ruler: Ruler


def make_bought(seed: int, number: int, *, find_face: FindFace, planted: bool) -> Bought:
    """Draw one sheet.

    Parameters
    ----------
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
    thing = THINGS[number % len(THINGS)]
    ways = vary(WAYS[number % len(WAYS)], rng)
    ways = unit_of(ways, "mm" if thing.__name__ in METRIC_THINGS else "")
    letters = Letters(
        face=find_face(ways.face), height=ways.height, loose=ways.loose, slant=ways.slant,
        fraction=ways.fraction, narrow=ways.narrow,
    )  # fmt: skip
    wide, high = PAPERS[int(rng.integers(len(PAPERS)))]
    desk = Desk(ways, letters, 1.0, rng)
    scale, paper = max(
        (_fill(thing, desk, paper, [seed, number, 2]), paper)
        for paper in ((wide, high), (high, wide))
    )
    desk, stated = _usual(replace(desk, scale=scale))
    rows = _drawn(thing, desk, [seed, number, 2], [seed, number, 3] if planted else None)
    marks, drawn = _set_out(rows, _room(paper, ways))
    marks += _about(desk, paper, TITLES[thing.__name__], stated)
    if rng.random() < COPIED:
        marks.append(_watermark(desk, paper))
    return Bought(
        size=paper, marks=tuple(marks), drawn=tuple(drawn),
        kind=f"{thing.__name__}, {ways.face} {ways.height:.1f}, {ways.unit}, {ways.head}",
        ruler=Ruler(waver=ways.waver, swell=0.02 + 2 * ways.waver),
    )  # fmt: skip


def _room(paper: XY, ways: Ways) -> Box:
    """Where views may stand."""
    top = {"headed": 20.0, "frame": 4.0}.get(ways.sheet, 2.0)
    foot = {"block": 24.0, "frame": 12.0, "bare": 12.0}.get(ways.sheet, 4.0)
    return MARGIN, MARGIN + top, paper[0] - MARGIN, paper[1] - MARGIN - foot


def _fill(thing: Thing, desk: Desk, paper: XY, seed: Sequence[int]) -> float:
    """The scale that fills the page, mm to an inch."""
    left, top, right, low = _room(paper, desk.ways)
    scale = 3.0
    for _ in range(ROUNDS):
        wide, high = _extent(_drawn(thing, replace(desk, scale=scale), seed, None))
        scale = min(FULL, 0.97 * scale * min((right - left) / wide, (low - top) / high))
    return scale


def _usual(desk: Desk) -> tuple[Desk, str]:
    """The usual scale just below, which is stated then; or the same, which is not."""
    usual = [k for k in SCALES if 0.8 * desk.scale < 25.4 / k <= desk.scale]
    if not usual or desk.rng.random() < 0.4:
        return desk, ""
    return replace(desk, scale=25.4 / usual[0]), _name_scale(usual[0], desk.ways)


def _name_scale(k: int, ways: Ways) -> str:
    if k == 1:
        return "FULL SIZE"
    feet = {24: '1/2" = 1\'-0"', 12: '1" = 1\'-0"', 8: '1 1/2" = 1\'-0"', 4: '3" = 1\'-0"'}
    return feet[k] if k in feet and ways.unit in ("feet", "fraction") else f"1:{k}"


def _drawn(
    thing: Thing, desk: Desk, seed: Sequence[int], slip: Sequence[int] | None
) -> list[list[Sheetview]]:
    """Draw all views, their numbers and names; `slip` seeds which number is wrong."""
    rows = thing(replace(desk, rng=np.random.default_rng(list(seed))))
    views = [view for row in rows for view in row]
    if slip is not None:
        _plant(views, np.random.default_rng(list(slip)))
    for view in views:
        number_view(view)
        if view.title:
            _caption(view)
    return rows


def _plant(views: Sequence[Sheetview], rng: Rng) -> None:
    """Print one of the longer sizes 6 % off."""
    sizes = [(a, v.ways) for v in views for a in v.asked if a.kind == "distance"]
    for k in rng.permutation(len(sizes)):
        asked, ways = sizes[int(k)]
        wrong = wrong_of(ways, asked.right, SLIP * int(rng.choice([-1, 1])))
        if asked.long > LONG_MM and WITHIN[0] < abs(wrong / asked.right - 1) < WITHIN[1]:
            asked.printed = wrong
            return


def _caption(view: Sheetview) -> None:
    """The name of a view, under or above it, perhaps ruled under."""
    x0, y0, x1, y1 = view.bounds()
    how = view.ways.caption
    mark = write(view.title, view.sized(CAPTION), view.rng)
    away = 2.5 + mark.size[1]
    at = ((x0 + x1) / 2, y0 - away if how == "above" else y1 + away)
    view.marks.append(mark.moved(at))
    if how == "ruled":
        half, y = mark.size[0] / 2 + 1.0, at[1] + mark.size[1] / 2 + 1.0
        line = np.array([(at[0] - half, y), (at[0] + half, y)])
        view.stroke(line, view.ways.thick, body=False)


def _extent(rows: Sequence[Sequence[Sheetview]]) -> XY:
    """Width and height of all views set out, mm."""
    boxes = [[view.bounds() for view in row] for row in rows]
    wide = max(sum(b[2] - b[0] for b in row) + BETWEEN * (len(row) - 1) for row in boxes)
    high = sum(max(b[3] - b[1] for b in row) for row in boxes) + BETWEEN * (len(rows) - 1)
    return wide, high


def _set_out(
    rows: Sequence[Sequence[Sheetview]], room: Box
) -> tuple[list[Mark | Lettered], list[Drawn]]:
    """Views row by row, spread over the room; views of a row stand on one foot."""
    marks: list[Mark | Lettered] = []
    drawn: list[Drawn] = []
    spare = max(room[3] - room[1] - _extent(rows)[1], 0.0) / (len(rows) + 1)
    top = room[1] + min(spare, 10.0)
    for row in rows:
        boxes = [view.bounds() for view in row]
        used, high = sum(b[2] - b[0] for b in boxes), max(b[3] - b[1] for b in boxes)
        gap = (room[2] - room[0] - used) / (len(row) + 1)
        x = room[0] + gap
        for view, box in zip(row, boxes, strict=True):
            by = (x - box[0], top + high - box[3])
            marks += [m.moved(by) for m in view.marks]
            drawn += [_moved(d, by) for d in view.drawn]
            x += box[2] - box[0] + gap
        top += high + BETWEEN + min(spare, 14.0)
    return marks, drawn


def _moved(size: Drawn, by: XY) -> Drawn:
    (a, b), (c, d) = size.ends
    box = size.lettered
    if any(box):
        box = (box[0] + by[0], box[1] + by[1], box[2] + by[0], box[3] + by[1])
    x, y = by
    return replace(size, ends=((a + x, b + y), (c + x, d + y)), lettered=box)


# what stands about the views


def _about(desk: Desk, paper: XY, title: str, stated: str) -> list[Mark | Lettered]:
    """Frame, title block, heading, as this sheet has them."""
    ways, (wide, high) = desk.ways, paper
    scale = f"SCALE {stated}" if stated else ""
    if ways.sheet == "headed":
        return [_word(desk, title.title() + " Plan", (wide / 2, MARGIN + 4), 2.0),
                _word(desk, "Plan sheet 1 of 2", (wide - 40, high - 9), 0.8)]  # fmt: skip
    if ways.sheet == "bare":
        words: list[Mark | Lettered] = [_word(desk, title, (wide / 2, high - MARGIN - 3), 1.5)]
        return words + ([_word(desk, scale, (wide - 42, high - MARGIN - 3), 1.0)] if scale else [])
    corners = [(8.0, 8.0), (wide - 8, 8.0), (wide - 8, high - 8), (8.0, high - 8), (8.0, 8.0)]
    marks: list[Mark | Lettered] = [_ruled(desk, corners, 0.6)]
    if ways.sheet == "frame":
        low = high - 18.0
        marks.append(_ruled(desk, [(8.0, low), (wide - 8, low)], 0.35))
        marks.append(_word(desk, title, (50.0, high - 13), 1.4))
        unit = "DIMENSIONS IN mm" if ways.unit == "mm" else "ALL SIZES IN INCHES"
        marks.append(_word(desk, unit, (wide / 2 + 8, high - 13), 0.9))
        return [*marks, _word(desk, scale or "SHEET 1", (wide - 35, high - 13), 0.9)]
    return marks + _block(desk, paper, title, scale)


def _block(desk: Desk, paper: XY, title: str, scale: str) -> list[Mark | Lettered]:
    """A title block in the lower right corner."""
    x0, y0, x1, y1 = paper[0] - 98.0, paper[1] - 32.0, paper[0] - 8.0, paper[1] - 8.0
    marks: list[Mark | Lettered] = [_ruled(desk, [(x0, y1), (x0, y0), (x1, y0)], 0.5)]
    marks.append(_ruled(desk, [(x0, y0 + 13), (x1, y0 + 13)], 0.25))
    marks += [_ruled(desk, [(x, y0 + 13), (x, y1)], 0.25) for x in (x0 + 32, x0 + 62)]
    date = f"{int(desk.rng.integers(1, 13))}-{int(desk.rng.integers(71, 99))}"
    last = "UNITS mm" if desk.ways.unit == "mm" else "SHEET 1 OF 1"
    cells = [(title, (x0 + 45, y0 + 6.5), 1.5), (scale or "DWG. B-4", (x0 + 16, y0 + 18.5), 0.8),
             (f"DATE {date}", (x0 + 47, y0 + 18.5), 0.8),
             (last, (x0 + 76, y0 + 18.5), 0.8)]  # fmt: skip
    return marks + [_word(desk, text, at, tall) for text, at, tall in cells]


def _ruled(desk: Desk, points: Sequence[XY], width: float) -> Mark:
    return Tint(points=np.array(points, float), width=width, level=desk.ways.body)


def _word(desk: Desk, text: str, at: XY, tall: float) -> Lettered:
    letters = replace(desk.letters, height=min(desk.letters.height, 2.3) * tall)
    return write(text, letters, desk.rng).moved(at)


def _watermark(desk: Desk, paper: XY) -> Lettered:
    """A pale word across the sheet."""
    letters = replace(desk.letters, height=paper[0] / 12, loose=0.0)
    mark = write("FILE COPY", letters, desk.rng, turn=38.0)
    pale = (mark.mask * PALE).astype(np.uint8)
    return replace(mark, mask=pale).moved((paper[0] / 2, paper[1] / 2))
