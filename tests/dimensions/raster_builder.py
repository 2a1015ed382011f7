"""Strokes, maps and terminators made by hand, so that one module of the search is tested alone.

Places are in pt, y down; the raster has 200 dpi. OpenCV draws what must be inked.
"""

from __future__ import annotations

import math

import cv2
import numpy as np

from audit.dimensions.ink import Ink
from audit.dimensions.texts import classify
from audit.geometry import Box, Point
from audit.networks.page import PageMaps, Terminator
from audit.reading import TextLine
from audit.records import Arc, Strokes, VectorPage

PX = 200 / 72


def ink_of(lines, arcs=()):
    """Ink of lines ((x0, y0), (x1, y1)) and arcs (centre, radius, start, sweep)."""
    n = len(lines)
    page = VectorPage(
        width=600,
        height=400,
        turn=0,
        strokes=Strokes(
            ends=np.array(lines, float).reshape(-1, 4),
            widths=np.full(n, 0.6),
            paths=np.arange(n, dtype=np.int32),
            greys=np.zeros(n),
            curved=np.zeros(n, np.bool_),
            pattern=np.zeros(n, np.int32),
        ),
        arcs=tuple(
            Arc(centre=Point(*c), radius=r, start=start, sweep=sweep, width=0.6, path=k)
            for k, (c, r, start, sweep) in enumerate(arcs)
        ),
        texts=(),
    )
    return Ink(page)


def tip(x, y, direction=None, score=0.9):
    return Terminator(Point(x, y), direction, score)


def maps_of(draw):
    """Maps whose ink `draw(canvas)` draws in px; no text anywhere."""
    dark = np.zeros((1112, 1668), np.uint8)
    draw(dark)
    empty = np.zeros((556, 834), np.uint8)
    return PageMaps((), empty, empty, empty, empty, dark, 1.0)


def draw_arc(canvas, centre, radius, start, stop):
    """Draw an arc given in pt, degrees counter-clockwise as seen."""
    turns = np.radians(np.linspace(start, stop, 200))
    x = (centre[0] + radius * np.cos(turns)) * PX - 0.5
    y = (centre[1] - radius * np.sin(turns)) * PX - 0.5
    points = np.round(np.column_stack([x, y]) * 16).astype(np.int32)
    cv2.polylines(canvas, [points], False, 255, 2, cv2.LINE_AA, 4)


def text_at(text, centre, *, angle=0.0, height=8.0):
    """A text that was read, as the search takes it."""
    t = math.radians(angle)
    u = np.array([math.cos(t), -math.sin(t)]) * 0.35 * height * len(text)
    n = np.array([math.sin(t), math.cos(t)]) * height / 2
    c = np.array(centre, float)
    quad = tuple(Point(*map(float, p)) for p in (c - u - n, c + u - n, c + u + n, c - u + n))
    return classify(
        TextLine(
            text=text, box=Box.around(quad), angle=angle, quad=quad, height=height, trusted=True
        )
    )
