"""A sheet through a document scanner: askew, stretched by the feed, grainy."""

from __future__ import annotations

import numpy as np

from drawing.hand import by_hand
from drawing.plane import Plane, shift, stretch, turn
from drawing.raster import Bytes, ink_of
from drawing.sheet import Paper
from drawing.texture import Floats, clouds, grain, soften, to_bytes

DPI = 200
STRETCH = (1.013, 0.994)  # across and along the feed
SKEW_DEG = 0.7
WIDTH, HEIGHT = 2290, 1750
SEED = 20
PAPER, INK, LID = 243.0, 52.0, 214.0
GRAIN = 4.2
LEVELS = 8  # the scanner tells grey levels this far apart


def warp_of(paper: Paper) -> Plane:
    """Map inches of the drawing to pixels."""
    centred = shift(-paper.width / 2, -paper.height / 2).then(turn(SKEW_DEG))
    fed = centred.then(stretch(DPI * STRETCH[0], DPI * STRETCH[1]))
    return fed.then(shift(WIDTH / 2 + 4, HEIGHT / 2 - 3)).rounded()


def scan_of(paper: Paper) -> Bytes:
    """Return the scan's pixels, grey."""
    warp = warp_of(paper)
    lines, wedges = by_hand(paper.marks, SEED)
    ink = ink_of(lines, wedges, warp=warp, scale=warp.scale, width=WIDTH, height=HEIGHT)
    sheet = _ground(paper, warp)
    picture = sheet - soften(ink.astype(np.float64)) / 255 * (sheet - INK)
    picture += grain(HEIGHT, WIDTH, SEED) * GRAIN
    return np.minimum(to_bytes(picture).astype(int) // LEVELS * LEVELS + LEVELS - 1, 255).astype(
        np.uint8
    )


def _ground(paper: Paper, warp: Plane) -> Floats:
    """Paper, its edge's shadow, and the lid behind it."""
    x, y = np.arange(WIDTH)[None, :] + 0.5, np.arange(HEIGHT)[:, None] + 0.5
    (a, b, c), (d, e, f), _ = warp.inverse().rows
    u, v = a * x + b * y + c, d * x + e * y + f
    inside = np.minimum(np.minimum(u, paper.width - u), np.minimum(v, paper.height - v)) * DPI
    tone = PAPER + 5.0 * (clouds(u / 2.3, v / 2.3, 3) - 0.5) + 3.0 * (clouds(u * 6, v * 6, 4) - 0.5)
    shadow = np.clip(1.0 - np.maximum(-inside, 0.0) / 14.0, 0.0, 1.0)
    lid = LID - 70.0 * shadow * shadow
    cover = np.clip(inside + 0.5, 0.0, 1.0)
    return np.asarray(lid * (1 - cover) + tone * cover)
