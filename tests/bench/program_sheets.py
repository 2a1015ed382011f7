"""Sheets whose dimensions other programs draw: their lines, marks, text placing and fonts.

The truth is where a dimension was asked for, and the text it was given. A program that is not
installed draws nothing.
"""

from __future__ import annotations

import zlib
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pymupdf
from numpy.typing import NDArray

from tests.bench.ezdxf_drawing import BenchSheet, Truth
from tests.bench.program_clutter import make_crowded
from tests.bench.program_parts import make_drawing, with_mistake
from tests.bench.programs import PROGRAMS

STACKING = ("asymptote", "dimline")  # programs that print two lines over each other
Strokes = NDArray[np.float64]

PT = 72 / 25.4
STRAIGHT_PT, STROKE_PT, SLACK_PT, MOVED_PT = 0.05, 4.0, 3.0, 20.0  # of the stroke of a dimension
STYLES = 4
CROWDED = "crowded"  # ends the names of programs whose sheets are full of other things too


def program_sheet(program: str, number: int, *, plant: bool = False) -> BenchSheet:
    """Let a program draw a sheet.

    Parameters
    ----------
    program : str
        One of `PROGRAMS`.
    number : int
        The same number gives the same sheet.
    plant : bool
        Print one number six percent off.
    """
    rng = np.random.default_rng(zlib.crc32(f"{program} {number}".encode()))
    drawing = make_crowded(rng) if program.endswith(CROWDED) else make_drawing(rng)
    if plant:
        drawing = replace(drawing, sizes=tuple(with_mistake(drawing.sizes, rng)))
    drawing = replace(drawing, style=number // 2 % STYLES)
    with TemporaryDirectory() as folder:
        pdf = PROGRAMS[program][1](drawing, Path(folder)).read_bytes()
    high = float(pymupdf.open(stream=pdf)[0].rect.height)
    stacks = program.split(maxsplit=1)[0] in STACKING
    truths = tuple(
        Truth(
            kind="distance",
            ends=tuple((x * PT, high - y * PT) for x, y in s.ends),
            text=s.stacked if stacks else s.row,
            style=program,
            right=s.right,
        )
        for s in drawing.sizes
    )
    if program.startswith("freecad"):
        truths = tuple(on_drawn_line(t, strokes_of(pdf)) for t in truths)
    return BenchSheet(pdf=pdf, truths=truths, style=program)


def strokes_of(pdf: bytes) -> Strokes:
    """Straight strokes of a page, (n, 4) in pt."""
    drawn = [
        (p[1].x, p[1].y, p[2].x, p[2].y)
        for path in pymupdf.open(stream=pdf)[0].get_drawings()
        for p in path["items"]
        if p[0] == "l"
    ]
    return np.array(drawn, float).reshape(-1, 4)


def on_drawn_line(truth: Truth, strokes: Strokes) -> Truth:
    """Move a truth aside onto the line drawn for it, where a program places lines by their texts.

    The line is the nearest stroke along the dimension, between its ends.
    """
    (ax, ay), (bx, by) = truth.ends
    far = float(np.hypot(bx - ax, by - ay))
    ux, uy = (bx - ax) / far, (by - ay) / far
    x, y = strokes[:, 0::2] - ax, strokes[:, 1::2] - ay
    along, aside = x * ux + y * uy, y * ux - x * uy
    fits = (np.ptp(aside, axis=1) < STRAIGHT_PT) & (np.ptp(along, axis=1) > STROKE_PT)
    fits &= (along.min(axis=1) > -SLACK_PT) & (along.max(axis=1) < far + SLACK_PT)
    offs = aside[fits].mean(axis=1)
    offs = offs[np.abs(offs) < MOVED_PT]
    if not len(offs):
        return truth
    off = float(offs[np.argmin(np.abs(offs))])
    return replace(truth, ends=tuple((px - off * uy, py + off * ux) for px, py in truth.ends))
