"""A sheet on a bench, photographed by hand: perspective, a lamp to one side, a turned camera."""

from __future__ import annotations

import math

import numpy as np

from drawing.hand import by_hand
from drawing.marks import Point
from drawing.plane import Plane, shift, stretch, turn
from drawing.raster import Bytes, ink_of
from drawing.sheet import Paper
from drawing.texture import Floats, clouds, grain, soften, to_bytes

PRINT = 0.97  # the copier made it smaller
WIDTH, HEIGHT = 2592, 1944  # as stored; held upright, so the picture lies on its side
ORIENTATION = 6  # EXIF: turn clockwise by a quarter to look at
FOCAL = 2750.0  # px
FAR = 13.95  # inches from the lens to the sheet's centre
TILT_DEG, PAN_DEG, ROLL_DEG = -15.0, 5.5, 1.4
MIDDLE = (HEIGHT / 2 + 42, WIDTH / 2 - 40)  # where the sheet's centre comes, held upright
SEED = 31
GRAIN = 2.6
WHITE = (236.0, 231.0, 219.0)
INK = (46.0, 46.0, 52.0)
BAND = 243  # rows worked on at once


def warp_of(paper: Paper) -> Plane:
    """Map inches of the original drawing to pixels: copier, then camera."""
    return _copier(paper).then(camera(paper)).rounded()


def corners_of(paper: Paper) -> tuple[Point, ...]:
    """Pixels of the paper's corners, clockwise from the drawing's top left."""
    warp, w, h = camera(paper).rounded(), paper.width, paper.height
    return tuple(warp(p) for p in ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h)))


def _copier(paper: Paper) -> Plane:
    x, y = paper.width / 2, paper.height / 2
    return shift(-x, -y).then(stretch(PRINT, PRINT)).then(shift(x, y))


def camera(paper: Paper) -> Plane:
    """Map inches of the paper to stored pixels."""
    t, p = math.radians(TILT_DEG), math.radians(PAN_DEG)
    right = (math.cos(p), -math.sin(p) * math.sin(t), math.sin(p) * math.cos(t))
    down = (0.0, math.cos(t), math.sin(t))
    seen = Plane(rows=tuple((right[i], down[i], FAR if i == 2 else 0.0) for i in range(3)))
    centred = shift(-paper.width / 2, -paper.height / 2).then(seen)
    upright = centred.then(turn(ROLL_DEG)).then(stretch(FOCAL, FOCAL)).then(shift(*MIDDLE))
    return upright.then(Plane(rows=((0.0, 1.0, 0.0), (-1.0, 0.0, float(HEIGHT)), (0.0, 0.0, 1.0))))


def photo_of(paper: Paper) -> Bytes:
    """Return the photo's pixels as stored, colour."""
    warp = warp_of(paper)
    lines, wedges = by_hand(paper.marks, SEED)
    ink = ink_of(lines, wedges, warp=warp, scale=warp.scale, width=WIDTH, height=HEIGHT)
    soft = soften(ink.astype(np.float64), 2) / 255
    inverse = camera(paper).rounded().inverse()
    noise = grain(HEIGHT, WIDTH, SEED) * GRAIN
    bands = []
    for top in range(0, HEIGHT, BAND):
        rows = slice(top, top + BAND)
        bands.append(_band(paper, inverse, top, soft[rows], noise[rows]))
    return np.concatenate(bands)


def _band(paper: Paper, inverse: Plane, top: int, ink: Floats, noise: Floats) -> Bytes:
    x = np.arange(WIDTH)[None, :] + 0.5
    y = top + np.arange(ink.shape[0])[:, None] + 0.5
    (a, b, c), (d, e, f), (g, h, i) = inverse.rows
    w = g * x + h * y + i
    u, v = (a * x + b * y + c) / w, (d * x + e * y + f) / w
    inside = np.minimum(np.minimum(u, paper.width - u), np.minimum(v, paper.height - v)) * 200.0
    cover = np.clip(inside + 0.5, 0.0, 1.0)
    light = _light(u / paper.width, v / paper.height)
    wood = _wood(u, v) * (1.0 - 0.55 * _shadow(paper, u, v))
    tone = 1.0 + 0.02 * (clouds(u / 1.7, v / 1.7, 5) - 0.5)
    layers = []
    for channel, (white, dark) in enumerate(zip(WHITE, INK, strict=True)):
        sheet = white * tone
        sheet = sheet - ink * (sheet - dark)
        bench = (118.0, 84.0, 56.0)[channel] * wood
        layers.append(to_bytes((bench * (1 - cover) + sheet * cover) * light + noise))
    return np.stack(layers, axis=2)


def _light(across: Floats, along: Floats) -> Floats:
    """Brightness: a lamp at the upper left, falling off with the square of the distance."""
    away = (across - 0.15) * (across - 0.15) * 0.75 + (along - 0.1) * (along - 0.1)
    return np.asarray(1.04 / (1.0 + 0.55 * away))


def _shadow(paper: Paper, u: Floats, v: Floats) -> Floats:
    """Shadow that the sheet throws on the bench, down and to the right."""
    wide, deep = u - 0.09, v - 0.11
    inside = np.minimum(np.minimum(wide, paper.width - wide), np.minimum(deep, paper.height - deep))
    return np.clip(inside * 6.0 + 1.0, 0.0, 1.0)


def _wood(u: Floats, v: Floats) -> Floats:
    """Brightness of a planed board whose grain runs across the sheet."""
    bend = v * 5.0 + 2.2 * clouds(u / 5.0, v / 2.0, 7)
    rings = clouds(u / 9.0, bend * 1.6, 8)
    fine = clouds(u / 1.6, v * 34.0, 9)
    seam = np.abs(v - 12.6)
    joint = np.clip(1.0 - seam * 22.0, 0.0, 1.0)
    return np.asarray((0.78 + 0.32 * rings + 0.16 * fine) * (1.0 - 0.6 * joint))
