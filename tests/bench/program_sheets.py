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

from tests.bench.ezdxf_sheets import BenchSheet, Truth
from tests.bench.program_parts import make_drawing, with_mistake
from tests.bench.programs import PROGRAMS

PT = 72 / 25.4
STYLES = 4


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
    drawing = make_drawing(rng)
    if plant:
        drawing = replace(drawing, sizes=tuple(with_mistake(drawing.sizes, rng)))
    drawing = replace(drawing, style=number // 2 % STYLES)
    with TemporaryDirectory() as folder:
        pdf = PROGRAMS[program][1](drawing, Path(folder)).read_bytes()
    high = float(pymupdf.open(stream=pdf)[0].rect.height)
    truths = tuple(
        Truth(
            kind="distance",
            ends=tuple((x * PT, high - y * PT) for x, y in s.ends),
            text=s.text,
            style=program,
            right=s.right,
        )
        for s in drawing.sizes
    )
    return BenchSheet(pdf=pdf, truths=truths, style=program)
