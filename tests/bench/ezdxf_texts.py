"""Texts of the random sheets as PDF operators: whole, letter by letter, fractions stacked."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

import pymupdf

XY = tuple[float, float]


@dataclass(slots=True)
class Text:
    """A text as it is to be printed: its place in inches, how it is aligned as DXF counts."""

    text: str
    centre: XY
    angle: float
    height: float
    texts: str
    font: str
    align: int = 5


FACES = {"Helvetica": "helv", "Times-Roman": "tiro", "Courier": "cour"}
CAPS = {"Helvetica": 0.718, "Times-Roman": 0.662, "Courier": 0.6}


def width_of(text: str, font: str, size: float) -> float:
    """Width of a text, in the unit of `size`."""
    plain = text.replace("Ø", "O").replace("°", "*")  # as wide, and in every width table
    return float(pymupdf.get_text_length(plain, fontname=FACES[font], fontsize=size))


def text_operators(t: Text) -> str:
    """Spell a text as PDF operators."""
    size = t.height * 72 / CAPS[t.font]
    parts = re.split(r"(\d+/\d+)", t.text) if t.texts not in ("inline", "characters") else [t.text]
    layouts: list[tuple[Callable[..., tuple[str, float]], str]] = []
    for part in parts:
        if part:
            stacked = re.fullmatch(r"\d+/\d+", part) is not None
            layouts.append((LAYOUTS[t.texts] if stacked else LAYOUTS["inline"], part))
    if t.texts == "characters":
        layouts = [(LAYOUTS["characters"], t.text)]
    pieces, x = [], 0.0
    for draw, part in layouts:
        operators, advance = draw(part, x, size, t.font)
        pieces.append(operators)
        x += advance
    a = math.radians(t.angle)
    c, n = math.cos(a), math.sin(a)
    dx = {1: 0.0, 2: x / 2, 0: x}[t.align % 3]
    dy = {0: t.height * 72, 1: t.height * 36, 2: 0.0}[(t.align - 1) // 3]
    px, py = t.centre[0] * 72, t.centre[1] * 72
    ox, oy = px - dx * c + dy * n, py - dx * n - dy * c
    return f"q {c:.6f} {n:.6f} {-n:.6f} {c:.6f} {ox:.4f} {oy:.4f} cm\n" + "\n".join(pieces) + " Q"


def _show(text: str, x: float, y: float, size: float, font: str) -> str:
    safe = text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
    return f"BT /{font} {size:.4f} Tf {x:.4f} {y:.4f} Td ({safe}) Tj ET"


def _inline(text: str, x: float, size: float, font: str) -> tuple[str, float]:
    return _show(text, x, 0, size, font), width_of(text, font, size)


def _characters(text: str, x: float, size: float, font: str) -> tuple[str, float]:
    out, at = [], x
    for letter in text:
        if letter != " ":
            out.append(_show(letter, at, 0, size, font))
        at += width_of(letter, font, size)
    return "\n".join(out), at - x


def _stacked(text: str, x: float, size: float, font: str, bar: str) -> tuple[str, float]:
    top, bottom = text.split("/")
    small = 0.7 * size
    cap = CAPS[font] * size
    wide = max(width_of(top, font, small), width_of(bottom, font, small))
    middle = cap / 2
    lift = 0.12 * size if bar else 0.04 * size
    out = [
        _show(top, x + (wide - width_of(top, font, small)) / 2, middle + lift, small, font),
        _show(
            bottom,
            x + (wide - width_of(bottom, font, small)) / 2,
            middle - lift - CAPS[font] * small,
            small,
            font,
        ),
    ]
    if bar == "stroke":
        out.append(f".5 w {x:.3f} {middle:.3f} m {x + wide:.3f} {middle:.3f} l S")
    if bar == "fill":
        out.append(f"{x:.3f} {middle - 0.25:.3f} {wide:.3f} .5 re f")
    return "\n".join(out), wide + 0.05 * size


def _diagonal(text: str, x: float, size: float, font: str) -> tuple[str, float]:
    top, bottom = text.split("/")
    small = 0.62 * size
    out, at = [], x
    for piece, y, height in (
        (top, 0.3 * size, small),
        ("/", 0.0, size),
        (bottom, -0.05 * size, small),
    ):
        out.append(_show(piece, at, y, height, font))
        at += width_of(piece, font, height)
    return "\n".join(out), at - x


LAYOUTS: dict[str, Callable[..., tuple[str, float]]] = {
    "inline": _inline,
    "words": _inline,
    "characters": _characters,
    "diagonal": _diagonal,
    "stack bar": lambda *a: _stacked(*a, "stroke"),
    "stack fill": lambda *a: _stacked(*a, "fill"),
    "stack bare": lambda *a: _stacked(*a, ""),
}
