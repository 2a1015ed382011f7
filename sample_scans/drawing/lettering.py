"""Lettering: how wide letters are, how a size is laid out, and our single-stroke alphabet."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from drawing.marks import Point

# Advance widths in 1/1000 of the size: Adobe Core 14 metrics, Helvetica (checked in the tests
# against another library's copy).
HELVETICA = {
    " ": 278, "(": 333, ")": 333, "+": 584, ",": 278, "-": 333, ".": 278, "/": 278, ":": 278,
    "A": 667, "B": 667, "C": 722, "D": 722, "E": 667, "F": 611, "G": 778, "H": 722, "I": 278,
    "J": 500, "K": 667, "L": 556, "M": 833, "N": 722, "O": 778, "P": 667, "Q": 778, "R": 722,
    "S": 667, "T": 611, "U": 722, "V": 667, "W": 944, "X": 667, "Y": 667, "Z": 611,
    "Ø": 778, "°": 400, "×": 584,
} | dict.fromkeys("0123456789", 556)  # fmt: skip
HELVETICA_CAPITAL = 0.718  # capital height over size, same source

# Single-stroke letters on a grid 6 high (base line 0, y up): width, then pen lines. A pen line is
# a row of points "x,y" and arcs "@centre x,centre y,radius x,radius y,from,to" (degrees).
ALPHABET: dict[str, tuple[float, tuple[str, ...]]] = {
    " ": (2.2, ()),
    "A": (4.2, ("0,0 2.1,6 4.2,0", "0.7,2 3.5,2")),
    "B": (
        3.8,
        ("0,0 0,6 2.1,6 @2.1,4.6,1.4,1.4,90,-90 0,3.2", "2.1,3.2 @2.1,1.6,1.7,1.6,90,-90 0,0"),
    ),
    "C": (4.0, ("@2.3,3,2.3,3,50,310",)),
    "D": (4.0, ("0,0 0,6 1.4,6 @1.4,3,2.6,3,90,-90 0,0",)),
    "E": (3.4, ("3.4,6 0,6 0,0 3.4,0", "0,3.2 2.7,3.2")),
    "F": (3.3, ("3.3,6 0,6 0,0", "0,3.2 2.6,3.2")),
    "G": (4.2, ("@2.3,3,2.3,3,52,335 4.3,2.8 2.6,2.8",)),
    "H": (4.0, ("0,6 0,0", "4,6 4,0", "0,3.1 4,3.1")),
    "I": (0.4, ("0.2,6 0.2,0",)),
    "J": (3.0, ("3,6 3,1.6 @1.5,1.6,1.5,1.6,0,-170",)),
    "K": (3.8, ("0,6 0,0", "3.7,6 0,2.3", "1.4,3.6 3.8,0")),
    "L": (3.2, ("0,6 0,0 3.2,0",)),
    "M": (4.8, ("0,0 0,6 2.4,1.6 4.8,6 4.8,0",)),
    "N": (4.0, ("0,0 0,6 4,0 4,6",)),
    "O": (4.6, ("@2.3,3,2.3,3,95,455",)),
    "P": (3.7, ("0,0 0,6 2.1,6 @2.1,4.4,1.6,1.6,90,-90 0,2.8",)),
    "Q": (4.6, ("@2.3,3,2.3,3,95,455", "2.9,1.5 4.6,-0.4")),
    "R": (3.8, ("0,0 0,6 2.1,6 @2.1,4.5,1.6,1.5,90,-90 0,3", "1.9,3 3.8,0")),
    "S": (3.6, ("@1.8,4.5,1.7,1.5,35,270 @1.8,1.5,1.8,1.5,90,-145",)),
    "T": (4.0, ("0,6 4,6", "2,6 2,0")),
    "U": (4.0, ("0,6 0,2 @2,2,2,2,180,360 4,6",)),
    "V": (4.2, ("0,6 2.1,0 4.2,6",)),
    "W": (5.4, ("0,6 1.3,0 2.7,5 4.1,0 5.4,6",)),
    "X": (3.9, ("0,6 3.9,0", "3.9,6 0,0")),
    "Y": (4.0, ("0,6 2,3 4,6", "2,3 2,0")),
    "Z": (3.8, ("0,6 3.8,6 0,0 3.8,0",)),
    "0": (3.8, ("@1.9,3,1.9,3,95,455",)),
    "1": (1.4, ("0,4.7 1.1,6 1.1,0",)),
    "2": (3.7, ("@1.85,4.3,1.8,1.7,165,-35 0,0 3.7,0",)),
    "3": (3.6, ("@1.75,4.55,1.6,1.45,150,-80 @1.7,1.55,1.9,1.55,80,-150",)),
    "4": (4.0, ("3,0 3,6 0,1.7 4,1.7",)),
    "5": (3.7, ("3.4,6 0.5,6 0.3,3.3 @1.8,1.95,1.9,1.95,140,-150",)),
    "6": (3.7, ("@2.75,1.9,2.65,4.1,78,180 @1.9,1.85,1.8,1.85,180,540",)),
    "7": (3.6, ("0,6 3.6,6 1.2,0",)),
    "8": (3.7, ("@1.85,4.6,1.5,1.4,-90,270", "@1.85,1.6,1.8,1.6,90,450")),
    "9": (3.7, ("@1.85,4.15,1.8,1.85,0,360 @1.0,4.1,2.65,4.1,0,-102",)),
    "/": (3.0, ("0,-0.4 3,6.4",)),
    ".": (0.6, ("0.2,0 0.4,0.1",)),
    ",": (0.8, ("0.5,0.3 0.1,-1",)),
    ":": (0.6, ("0.2,1.2 0.4,1.3", "0.2,4.2 0.4,4.3")),
    "-": (2.4, ("0.2,2.8 2.2,2.8",)),
    "(": (1.4, ("@3.2,3,3.2,4.2,125,235",)),
    ")": (1.4, ("@-1.8,3,3.2,4.2,55,-55",)),
    "+": (3.4, ("0,3 3.4,3", "1.7,4.7 1.7,1.3")),
    "×": (2.8, ("0,1.2 2.8,4.2", "2.8,1.2 0,4.2")),
    "°": (1.6, ("@0.8,5.3,0.7,0.7,0,360",)),
    "Ø": (4.6, ("@2.3,3,2.1,2.1,60,420", "0.2,-0.3 4.4,6.3")),
}  # fmt: skip
BETWEEN = 1.5  # room between letters, same grid
ARC_STEP_DEG = 22.0


def pen_points(line: str) -> list[Point]:
    """Points of one pen line of the alphabet, on its grid."""
    points: list[Point] = []
    for item in line.split():
        numbers = [float(n) for n in item.lstrip("@").split(",")]
        if not item.startswith("@"):
            points.append((numbers[0], numbers[1]))
            continue
        cx, cy, rx, ry, start, end = numbers
        pieces = max(3, round(abs(end - start) / ARC_STEP_DEG))
        for i in range(pieces + 1):
            turn = math.radians(start + (end - start) * i / pieces)
            points.append((cx + rx * math.cos(turn), cy + ry * math.sin(turn)))
    return points


def width_of(text: str, height: float, *, hand: bool) -> float:
    """Width of a run, inches."""
    if not hand:
        return sum(HELVETICA[c] for c in text) / 1000 * height / HELVETICA_CAPITAL
    return (sum(ALPHABET[c][0] + BETWEEN for c in text) - BETWEEN) * height / 6 if text else 0.0


def spell(size: Fraction) -> str:
    """Spell a size as a shop does: ``3 9/32``."""
    whole, rest = divmod(size, 1)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


@dataclass(frozen=True, kw_only=True)
class Piece:
    """Part of a label: letters, or a bar when `text` is empty.

    `x` from the label's left end, `y` the base line (or the bar) above the middle of its capitals.
    """

    text: str
    x: float
    y: float
    height: float
    width: float


@dataclass(frozen=True, kw_only=True)
class Label:
    """A line of lettering, laid out about the middle of its capitals."""

    text: str
    pieces: tuple[Piece, ...]
    width: float
    above: float
    below: float


STACK_HEIGHT = 0.74  # figures of a stacked fraction over the whole ones
WHOLE_GAP = 0.44  # between a whole number and its fraction, over the whole figures
WORD_GAP = 0.55  # between a fraction and what follows
STACK_GAP = 0.2  # from the bar to the figures, over the whole ones


def lay_out(text: str, height: float, *, hand: bool, stacked: bool) -> Label:
    """Lay a text out; with `stacked`, ``3 9/32`` gets a real bar."""
    pieces: list[Piece] = []
    x, small, is_stack = 0.0, height * STACK_HEIGHT, False
    for part in re.split(r"(\d+/\d+)", text) if stacked else [text]:
        if re.fullmatch(r"\d+/\d+", part) and stacked:
            x += height * WHOLE_GAP if pieces else 0.0
            x += _stack(part, x, height, pieces, hand=hand)
            is_stack = True
        elif part.strip():
            x += height * WORD_GAP if pieces else 0.0
            word, tail = part.strip(), height * 0.18 if part[-1] == " " and stacked else 0.0
            width = width_of(word, height, hand=hand)
            pieces.append(Piece(text=word, x=x, y=-height / 2, height=height, width=width))
            x += width + (tail if not word[-1].isdigit() else 0.0)
    reach = small + STACK_GAP * height if is_stack else height / 2
    return Label(text=text, pieces=tuple(pieces), width=x, above=reach, below=reach)


def _stack(fraction: str, x: float, height: float, pieces: list[Piece], *, hand: bool) -> float:
    top, bottom = fraction.split("/")
    small, gap = height * STACK_HEIGHT, height * STACK_GAP
    widths = [width_of(t, small, hand=hand) for t in (top, bottom)]
    bar = max(widths) + height * 0.14
    for text, width, y in ((top, widths[0], gap), (bottom, widths[1], -gap - small)):
        left = x + (bar - width) / 2
        pieces.append(Piece(text=text, x=left, y=y, height=small, width=width))
    pieces.append(Piece(text="", x=x, y=0.0, height=0.0, width=bar))
    return bar
