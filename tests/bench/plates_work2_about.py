"""What stands about the views of the later working drawings: frames, title blocks, zones, text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tests.bench.plates_pen import XY, Lettered, Mark
from tests.bench.plates_work2_desk import Desk
from tests.bench.plates_work2_letters import Lettering, letter
from tests.bench.plates_work2_ways import Ways

MARGIN = 11.0
Box = tuple[float, float, float, float]
FOOT = {"school": 20.0, "magazine": 40.0, "office": 30.0, "club": 12.0, "leaflet": 10.0}
TOP = {"school": 2.0, "magazine": 14.0, "office": 3.0, "club": 3.0, "leaflet": 18.0}
REMARKS = (
    "ALL STOCK TO BE DRY AND STRAIGHT", "SCREWS {} LONG, HEADS SUNK", "ROUND EDGES SLIGHTLY",
    "GLUE AND CLAMP OVER NIGHT", "LEAVE {} FOR FITTING", "TWO COATS OF OIL", "SAND WITH THE GRAIN",
    "CHECK ALL SIZES ON THE JOB", "NAILS {} APART", "DRILL BEFORE BENDING",
)  # fmt: skip
PROSE = (
    "the pieces are cut to the sizes given and planed to a good surface before any joint is laid "
    "out on them mark all of the legs together so that the shoulders fall in one line and cut the "
    "waste away with a sharp chisel working from both sides when the glue is hard clean up the "
    "work with a scraper and fine paper then give it two coats of thin varnish rubbing each one "
    "down a beginner will do well to try the parts together dry and to number every joint before "
    "the clamps are put on for the metal parts any small shop can turn and drill them from stock"
)
WORDS = PROSE.split()


def room_of(ways: Ways, paper: XY) -> Box:
    """Where views may stand, mm."""
    m, sheet = MARGIN + (5.0 if ways.sheet == "office" else 2.0), ways.sheet
    return m, m + TOP[sheet], paper[0] - m, paper[1] - m - FOOT[sheet]


def about(desk: Desk, paper: XY, title: str, stated: str) -> list[Mark | Lettered]:
    """All that this kind of sheet has."""
    scale = f"SCALE {stated}" if stated else ""
    return {"school": _school, "magazine": _magazine, "office": _office, "club": _club,
            "leaflet": _leaflet}[desk.ways.sheet](desk, paper, title, scale)  # fmt: skip


def remarks(desk: Desk, box: Box) -> list[Mark | Lettered]:
    """Numbered notes where a sheet has room left; some tell lengths."""
    how = _text(desk, 0.92 * desk.ways.height)
    step = 2.0 * how.height
    count = min(len(REMARKS), int((box[3] - box[1] - 6.0) / step))
    if count < 3:
        return []
    picked = desk.rng.permutation(len(REMARKS))[: min(count - 1, int(desk.rng.integers(3, 8)))]
    lines = ["NOTES", *(f"{k}. {REMARKS[j]}" for k, j in enumerate(map(int, picked), start=1))]
    said = [line.format(desk.say(desk.some(0.25, 9.0))) for line in lines]
    marks = [letter(line, how, desk.rng) for line in said]
    spare = max(box[2] - box[0] - max(m.size[0] for m in marks), 0.0)
    left = box[0] + float(desk.rng.uniform(0, 0.8)) * spare
    top = box[3] - len(marks) * step
    return [m.moved((left + m.size[0] / 2, top + k * step)) for k, m in enumerate(marks)]


def _school(desk: Desk, paper: XY, title: str, scale: str) -> list[Mark | Lettered]:
    """A border, a strip of cells along the foot."""
    wide, high = paper
    m, low = 9.0, high - 24.0
    marks = [_frame(desk, paper, m, 0.7), _rule([(m, low), (wide - m, low)], 0.5)]
    cells = ("DRAWN BY", title, scale or "SCALE", f"PLATE {int(desk.rng.integers(2, 40))}")
    xs = np.linspace(m, wide - m, 5) + np.array([0.0, -4.0, 8.0, 6.0, 0.0])
    marks += [_rule([(float(x), low), (float(x), high - m)], 0.35) for x in xs[1:-1]]
    words: list[Mark | Lettered] = []
    for text, a, b in zip(cells, xs[:-1], xs[1:], strict=True):
        words.append(
            _word(desk, text, ((a + b) / 2, low + 7.5), min(2.6, 0.8 * (b - a) / len(text)))
        )
    return [*marks, *words]


def _magazine(desk: Desk, paper: XY, title: str, scale: str) -> list[Mark | Lettered]:
    """A heading, columns of text below, a page number."""
    wide, high = paper
    marks: list[Mark | Lettered] = [
        _word(desk, title.title() + " You Can Build", (wide / 2, 15.0), 4.2)
    ]
    marks.append(_rule([(MARGIN, 20.5), (wide - MARGIN, 20.5)], 0.3))
    column = (wide - 2 * MARGIN - 10.0) / 3
    for k in range(3):
        left, y = MARGIN + k * (column + 5.0), high - 44.0
        while y < high - 15.0:
            marks.append(_prose(desk, left, y, column))
            y += 3.4
    marks.append(_word(desk, str(int(desk.rng.integers(60, 190))), (wide / 2, high - 8.0), 2.0))
    if scale:
        marks.append(_word(desk, scale, (wide - 34.0, high - 50.0), 1.8))
    return marks


def _prose(desk: Desk, left: float, y: float, column: float) -> Lettered:
    """One line of text that fills its column."""
    how = _text(desk, 1.5)
    start = int(desk.rng.integers(len(WORDS) - 14))
    count = 5
    mark = letter(" ".join(WORDS[start : start + count]), how, desk.rng)
    while count < 14:
        longer = letter(" ".join(WORDS[start : start + count + 1]), how, desk.rng)
        if longer.size[0] > column:
            break
        mark, count = longer, count + 1
    return mark.moved((left + mark.size[0] / 2, y))


def _office(desk: Desk, paper: XY, title: str, scale: str) -> list[Mark | Lettered]:
    """A border with zones, a title block, a note on tolerances."""
    wide, high = paper
    marks: list[Mark | Lettered] = [
        _frame(desk, paper, 5.0, 0.25),
        _frame(desk, paper, MARGIN, 0.7),
    ]
    for k in range(4):
        x = MARGIN + (k + 0.5) * (wide - 2 * MARGIN) / 4
        marks += [_word(desk, str(k + 1), (x, y), 2.0) for y in (8.0, high - 8.0)]
        if k:
            edge = MARGIN + k * (wide - 2 * MARGIN) / 4
            marks += [_rule([(edge, y), (edge, y + 6.0)], 0.25) for y in (5.0, high - MARGIN)]
    for k, name in enumerate("AB"):
        y = MARGIN + (k + 0.5) * (high - 2 * MARGIN) / 2
        marks += [_word(desk, name, (x, y), 2.0) for x in (8.0, wide - 8.0)]
    x0, y0, x1, y1 = wide - 116.0, high - MARGIN - 27.0, wide - MARGIN, high - MARGIN
    marks += [_rule([(x0, y1), (x0, y0), (x1, y0)], 0.5), _rule([(x0, y0 + 9), (x1, y0 + 9)], 0.25),
              _rule([(x0, y0 + 18), (x1, y0 + 18)], 0.25)]  # fmt: skip
    marks += [_rule([(x, y0 + 9), (x, y1)], 0.25) for x in (x0 + 40, x0 + 74)]
    within = "0,5" if desk.ways.comma else "0.5"
    cells = (
        ("DRAWN", 20, 13),
        ("DATE", 57, 13),
        ("SHEET 1", 90, 13),
        (scale or "DO NOT SCALE", 20, 22.5),
        ("UNITS mm", 57, 22.5),
        (f"TOL ±{within}", 90, 22.5),
    )
    marks.append(_word(desk, title, (x0 + 52, y0 + 4.5), 3.2))
    marks += [_word(desk, text, (x0 + x, y0 + y), 1.9) for text, x, y in cells]
    return marks


def _club(desk: Desk, paper: XY, title: str, scale: str) -> list[Mark | Lettered]:
    """A thin border, a title low at the right."""
    wide, high = paper
    marks: list[Mark | Lettered] = [_frame(desk, paper, 7.0, 0.35)]
    marks.append(_word(desk, title, (wide - 52.0, high - 17.0), 4.0))
    marks.append(_rule([(wide - 88.0, high - 13.4), (wide - 16.0, high - 13.4)], 0.5))
    return [*marks, _word(desk, scale or f"SHEET {int(desk.rng.integers(1, 6))} OF 6",
                          (wide - 52.0, high - 10.4), 2.0)]  # fmt: skip


def _leaflet(desk: Desk, paper: XY, title: str, scale: str) -> list[Mark | Lettered]:
    """A heavy bar with a heading, a line of small print."""
    wide, high = paper
    bar = _rule([(MARGIN, 23.0), (wide - MARGIN, 23.0)], 1.6)
    head = _word(desk, f"PROJECT No. {int(desk.rng.integers(3, 90))}", (44.0, 16.0), 3.0)
    name = _word(desk, title, (wide - 58.0, 16.0), 4.2)
    foot = scale or "READ ALL STEPS BEFORE YOU BEGIN"
    return [bar, head, name, _word(desk, foot, (wide / 2, high - 11.0), 1.9)]


def _text(desk: Desk, high: float) -> Lettering:
    return replace(desk.letters, height=high, loose=desk.letters.loose / 2)


def _word(desk: Desk, text: str, at: XY, high: float) -> Lettered:
    return letter(text, _text(desk, high), desk.rng).moved((float(at[0]), float(at[1])))


def _rule(points: Sequence[XY], width: float) -> Mark:
    return Mark(points=np.array(points, float), width=width)


def _frame(desk: Desk, paper: XY, m: float, width: float) -> Mark:
    wide, high = paper
    return _rule([(m, m), (wide - m, m), (wide - m, high - m), (m, high - m), (m, m)], width)
