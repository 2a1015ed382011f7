"""Small holes, whose bits are too short to be traced as chords.

Where they are the network says: the arrowhead of a leader stands on the rim and points at the
centre, more or less; or the hole looks like a ring to it, as they end dimension lines. The circle
that is drawn all round there, with paper on both sides of its line, is the hole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.raster_arcs import DrawnArc
from audit.dimensions.raster_lines import Dark
from audit.geometry import Point
from audit.networks.page import Terminator

Floats = NDArray[np.float64]

RADII_PX = np.arange(6.5, 20.5, 0.5)  # larger circles are traced, smaller ones may be blots
ASIDE_DEG = np.arange(-24.0, 25.0, 6.0)  # by which an arrow may miss the centre
SHORT_PX = np.arange(-2.0, 3.5, 1.0)  # by which a tip may stop short of the rim, or pass it
OFF_PX = np.arange(-3.0, 3.5, 1.0)  # by which the middle of a ring may be off
TURNS = np.radians(np.arange(0.0, 360.0, 15.0))  # where a rim is looked at
INK = 0.25  # darkness
STRAYS_PX = 1.0  # by which a hand's circle may leave a true one
TRUE = 0.75  # share of a true circle that must be inked: less is inscribed between other lines
ROUND = 0.9  # share that must be inked there or as near as that
CLEAR = 0.65  # share by which a ring outside the rim must be less inked; holes had .7 and more
HOLLOW = 0.25  # the same of one inside, where centre lines, a leader and its marks meet; no dot's
LINE_PX = 2.0  # wide, before it is measured
BESIDE_PX = (3.5, 5.0)  # from the middle of its line, thin or thick: paper, but for what crosses
APART_PX = 12.0  # nearer to a hole the open barbs of an arrowhead look like another one
ON_KNOWN_PX = 4.0  # a tip this near to the rim of a traced circle points at that


def find_holes(dark: Dark, tips: Sequence[Terminator], known: Sequence[DrawnArc]) -> list[DrawnArc]:
    """Find small circles at the tips of arrows, and where the network sees rings.

    Parameters
    ----------
    dark : (h, w) float32 array
    tips : sequence of Terminator
        In px of `dark`.
    known : sequence of DrawnArc
        Circles found already; tips on them are left alone.

    Returns
    -------
    list of DrawnArc
        Rough, in px of `dark`.
    """
    found: list[tuple[float, DrawnArc]] = []
    for tip in tips:
        if _is_on(tip.point, known):
            continue
        guesses = _around(tip.point) if tip.direction is None else _ahead(tip.point, tip.direction)
        hole = _best(dark, *guesses)
        if hole is not None:
            found.append(hole)
    return _clearest(found)


def _clearest(found: Sequence[tuple[float, DrawnArc]]) -> list[DrawnArc]:
    """Of circles that cut or nearly touch each other the clearest one."""
    kept: list[DrawnArc] = []
    for _, one in sorted(found, key=lambda f: -f[0]):
        far = [one.centre.distance(k.centre) for k in kept]
        if all(d > one.radius + k.radius + APART_PX for d, k in zip(far, kept, strict=True)):
            kept.append(one)
    return kept


def _is_on(p: Point, circles: Sequence[DrawnArc]) -> bool:
    return any(abs(p.distance(c.centre) - c.radius) < ON_KNOWN_PX for c in circles)


def _ahead(tip: Point, body_deg: float) -> tuple[Floats, Floats, Floats]:
    """Centres (x, y) and radii of the circles that an arrow may point at."""
    short, aside, radius = (
        v.ravel() for v in np.meshgrid(SHORT_PX, np.radians(ASIDE_DEG), RADII_PX, indexing="ij")
    )
    way = math.radians(body_deg + 180.0)
    x = tip.x + short * math.cos(way) + radius * np.cos(way + aside)
    y = tip.y - short * math.sin(way) - radius * np.sin(way + aside)
    return x, y, radius


def _around(middle: Point) -> tuple[Floats, Floats, Floats]:
    """Centres (x, y) and radii of the circles that what looks like a ring may be."""
    x, y, radius = (v.ravel() for v in np.meshgrid(OFF_PX, OFF_PX, RADII_PX, indexing="ij"))
    return middle.x + x, middle.y + y, radius


def _best(dark: Dark, x: Floats, y: Floats, radius: Floats) -> tuple[float, DrawnArc] | None:
    """Return the one of some circles that is drawn all round and clearest, and how clear it is."""
    true = np.flatnonzero(_inked(dark, x, y, radius) >= TRUE)
    x, y, radius = x[true], y[true], radius[true]
    on = _inked(dark, x, y, radius, play=STRAYS_PX)
    near = np.flatnonzero(on >= ROUND)
    if not len(near):
        return None
    x, y, radius, on = x[near], y[near], radius[near], on[near]
    outside, inside = (
        np.min([_inked(dark, x, y, radius + way * off) for off in BESIDE_PX], axis=0)
        for way in (1.0, -1.0)
    )
    clear = on - outside
    clear[on - inside < HOLLOW] = 0.0
    best = int(np.argmax(clear))
    if clear[best] < CLEAR:
        return None
    middle = Point(float(x[best]), float(y[best]))
    return float(clear[best]), DrawnArc(middle, float(radius[best]), 0.0, 360.0, LINE_PX)


def _inked(dark: Dark, x: Floats, y: Floats, radius: Floats, *, play: float = 0.0) -> Floats:
    """Share of each of n circles that runs on ink, or `play` beside it, looked at in `TURNS`."""
    h, w = dark.shape
    hit = np.zeros((len(x), len(TURNS)), np.bool_)
    for by in (-play, 0.0, play) if play else (0.0,):
        column = np.floor(x[:, None] + (radius[:, None] + by) * np.cos(TURNS)).astype(int)
        row = np.floor(y[:, None] - (radius[:, None] + by) * np.sin(TURNS)).astype(int)
        inside = (column >= 0) & (row >= 0) & (column < w) & (row < h)
        value = dark[np.clip(row, 0, h - 1), np.clip(column, 0, w - 1)]
        hit |= (value > INK) & inside
    return np.asarray(hit.mean(axis=1), np.float64)
