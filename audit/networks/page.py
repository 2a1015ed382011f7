"""The page network at work: where terminators, text and thin lines are on a whole sheet.

The pass runs once a sheet, tile by tile, and tiles without ink are skipped. Everything comes back
in the pixels of the raster that was given in; the maps themselves are coarser.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from threading import Lock

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.networks.at_once import one_ahead
from audit.networks.engine import Engine, load_engine

Gray = NDArray[np.uint8]
Floats = NDArray[np.float32]

STRIDE = 2  # px of the network's input to a px of its maps
FINER = 2  # by which the maps are finer than what the network gives
SECTORS = 8
TILE_PX = 1024  # of the input; the fewer, the less is looked at twice in their rims
TILE_STEP_PX = 16  # the network halves its input four times
RIM_PX = 48  # the network looks about this far around a px
BLANK = 0.16  # darkness below which a tile is paper
INK_LEVEL = 0.9  # darkness given to the sheet's full ink
FAINTEST_INK = 0.12  # of paper white: fainter ink is not stretched further, noise would be
PAPER_PX = 31  # reach of the search for paper around a px, at an eighth of the size
TEXT, LINE, EXTENSION = 2 + SECTORS, 3 + SECTORS, 4 + SECTORS
COS, SIN = 5 + SECTORS, 6 + SECTORS
FINE_DPI, COARSE_DPI = 200.0, 150.0
FINE_PIXELS = 9_000_000  # larger sheets are looked at coarsely, to stay in time
LEAST_SCORE = 0.15
HARDLY_TEXT = 26  # of 255: what is less likely text has no direction to be told
LEAST_SHARE = 0.45  # of a whole direction that its sectors must carry
MIN_APART_DEG = 80.0  # between two arrowheads on one tip
_ONE_AT_A_TIME = Lock()  # a tile takes a third of a gigabyte: no two threads at once


@dataclass(frozen=True, slots=True)
class Terminator:
    """A possible end of a dimension line.

    `direction` is where the body of an arrowhead lies as seen from its tip, degrees,
    counter-clockwise as seen; `None` for a tick or dot. `score` is the network's, 0 to 1.
    """

    point: Point
    direction: float | None
    score: float


@dataclass(frozen=True, slots=True, eq=False)
class PageMaps:
    """What the network sees on a sheet.

    Attributes
    ----------
    terminators : tuple of Terminator
        In px of the raster given in.
    text, line, extension : (h, w) uint8 arrays
        Probability times 255 that a map px is text, dimension line, extension line.
    turn : (h, w) uint8 array
        Direction of text modulo 180 degrees, in steps of 2; 0 where there is surely none.
    dark : (2 h, 2 w) uint8 array
        What the network was shown: 0 paper to 255 ink, at its own scale.
    factor : float
        Of that scale: px of `dark` to a px of the raster given in.
    """

    terminators: tuple[Terminator, ...]
    text: Gray
    line: Gray
    extension: Gray
    turn: Gray
    dark: Gray
    factor: float

    @property
    def px_per_map_px(self) -> float:
        """Pixels of the raster given in to a px of the maps."""
        return STRIDE / self.factor


def darken(gray: Gray) -> Floats:
    """Turn a raster into darkness: 0 paper, about 0.9 its full ink, whatever the light.

    Examples
    --------
    >>> float(darken(np.full((64, 64), 190, np.uint8)).max())
    0.0
    """
    h, w = gray.shape
    small = cv2.resize(gray, (max(1, w // 8), max(1, h // 8)), interpolation=cv2.INTER_AREA)
    lit = cv2.dilate(cv2.medianBlur(small, 3), np.ones((PAPER_PX, PAPER_PX), np.uint8))
    paper = cv2.resize(cv2.blur(lit, (PAPER_PX, PAPER_PX)), (w, h), interpolation=cv2.INTER_LINEAR)
    # scanners do not print white as one value: the usual level, not the brightest, is paper
    depth = cv2.subtract(paper, gray)
    usual = float(np.median(depth[:: max(1, h // 800), :: max(1, w // 800)]))
    # in place: a sheet is large, and new memory takes longer than the arithmetic
    dark: Floats = depth.astype(np.float32)
    dark -= np.float32(usual)
    np.maximum(dark, 0.0, out=dark)
    dark /= np.maximum(paper, 40)
    ink = dark[dark > FAINTEST_INK]
    full = float(np.percentile(ink, 90)) if len(ink) else 1.0
    dark *= np.float32(INK_LEVEL / full)
    return np.minimum(dark, 1.0, out=dark)


def run_page(gray: Gray, *, px_per_mm: float | None = None) -> PageMaps:
    """Look at a whole sheet.

    Parameters
    ----------
    gray : (h, w) uint8 array
        Dark on light; light may vary.
    px_per_mm : float, optional
        Pixels to a millimetre of paper. Unknown: the raster is taken as it is.

    Returns
    -------
    PageMaps
    """
    factor = working_factor(gray.shape, px_per_mm=px_per_mm)
    small = scale_gray(gray, factor)
    dark = darken(small)
    h, w = dark.shape
    shape = (math.ceil(h / STRIDE), math.ceil(w / STRIDE))
    text, line, extension, turn = (np.zeros(shape, np.uint8) for _ in range(4))
    tips: list[Terminator] = []
    for (row, column), maps in one_ahead(_tiles(dark)):
        part = np.s_[
            row // STRIDE : min((row + TILE_PX) // STRIDE, shape[0]),
            column // STRIDE : min((column + TILE_PX) // STRIDE, shape[1]),
        ]
        rim = RIM_PX // STRIDE
        size = (part[0].stop - part[0].start, part[1].stop - part[1].start)
        own = np.s_[rim : rim + size[0], rim : rim + size[1]]
        for target, channel in ((text, TEXT), (line, LINE), (extension, EXTENSION)):
            target[part] = np.round(255 * _sigmoid(maps[channel][own]))
        some = text[part] >= HARDLY_TEXT
        angle = np.degrees(np.arctan2(maps[SIN][own][some], maps[COS][own][some])) / 2
        turn[part][some] = np.round((angle % 180.0) / 2.0) % 90
        tips += _peaks(maps, size, corner=(column, row), factor=factor)
    seen = np.asarray(np.round(255 * dark), np.uint8)
    return PageMaps(tuple(tips), text, line, extension, turn, seen, factor)


def working_factor(shape: tuple[int, ...], *, px_per_mm: float | None) -> float:
    """Share by which a raster is made smaller before the network looks at it, at most 1.

    Examples
    --------
    >>> working_factor((2200, 1700), px_per_mm=200 / 25.4)
    1.0
    >>> round(working_factor((6600, 10200), px_per_mm=300 / 25.4), 3)
    0.5
    """
    if px_per_mm is None:
        return 1.0
    dpi = px_per_mm * 25.4
    fine = min(1.0, FINE_DPI / dpi)
    if shape[0] * shape[1] * fine * fine <= FINE_PIXELS:
        return fine if fine < 0.96 else 1.0
    coarse = min(1.0, COARSE_DPI / dpi)
    return coarse if coarse < 0.96 else 1.0


def scale_gray(gray: Gray, factor: float) -> Gray:
    """Make a raster smaller by averaging; the same raster where `factor` is 1."""
    if factor == 1.0:
        return gray
    size = (max(16, round(gray.shape[1] * factor)), max(16, round(gray.shape[0] * factor)))
    return np.asarray(cv2.resize(gray, size, interpolation=cv2.INTER_AREA), np.uint8)


def load_network() -> None:
    """Read the weights, which takes a moment, before they are needed."""
    _network()


@cache
def _network() -> Engine:
    data = resources.files("audit.networks").joinpath("weights/page.onnx").read_bytes()
    return load_engine(np.frombuffer(data, np.uint8))


def _tiles(dark: Floats) -> Iterator[tuple[tuple[int, int], Floats]]:
    """Yield the corner of each inked tile and the network's maps of it, rim included."""
    h, w = dark.shape
    net = _network()
    for row in range(0, h, TILE_PX):
        for column in range(0, w, TILE_PX):
            own = dark[row : row + TILE_PX, column : column + TILE_PX]
            if float(own.max()) < BLANK:
                continue
            # padded tile by tile: a sheet may be millions of pixels wide and a few high
            steps = [math.ceil((side + 2 * RIM_PX) / TILE_STEP_PX) for side in own.shape]
            tile = np.zeros([TILE_STEP_PX * n for n in steps], np.float32)
            top, left = max(0, row - RIM_PX), max(0, column - RIM_PX)
            part = dark[top : row + TILE_PX + RIM_PX, left : column + TILE_PX + RIM_PX]
            y, x = top - row + RIM_PX, left - column + RIM_PX
            tile[y : y + part.shape[0], x : x + part.shape[1]] = part
            with _ONE_AT_A_TIME:
                maps = unfold(net.run(tile[None, None])[0])
            yield (row, column), maps


def unfold(coarse: Floats) -> Floats:
    """Put what the network gives, a quarter of its input's size, into maps of half that size.

    Engines can do so too; OpenCV takes as long for it as for three layers.

    Examples
    --------
    >>> unfold(np.arange(4, dtype=np.float32).reshape(4, 1, 1)).tolist()
    [[[0.0, 1.0], [2.0, 3.0]]]
    """
    channels, h, w = coarse.shape
    parts = coarse.reshape(channels // FINER**2, FINER, FINER, h, w)
    return np.ascontiguousarray(parts.transpose(0, 3, 1, 4, 2)).reshape(-1, FINER * h, FINER * w)


def _peaks(
    maps: Floats, size: tuple[int, int], *, corner: tuple[int, int], factor: float
) -> list[Terminator]:
    heat = _sigmoid(maps[:2])
    best = heat.max(axis=0)
    top = cv2.dilate(best, np.ones((5, 5), np.uint8))
    rows, columns = np.nonzero((best == top) & (best > LEAST_SCORE))
    rim = RIM_PX // STRIDE
    found = []
    for r, c in zip(rows.tolist(), columns.tolist(), strict=True):
        if not (rim <= r < rim + size[0] and rim <= c < rim + size[1]):
            continue
        dx, dy = _centroid(best[r - 1 : r + 2, c - 1 : c + 2])
        x = (c - rim + 0.5 + dx) * STRIDE + corner[0]
        y = (r - rim + 0.5 + dy) * STRIDE + corner[1]
        point = Point(x / factor, y / factor)
        score = float(best[r, c])
        arrow = heat[0, r, c] >= heat[1, r, c]
        ways = _directions(maps[2 : 2 + SECTORS, r, c]) if arrow else (None,)
        found += [Terminator(point, way, score) for way in ways]
    return found


def _centroid(patch: Floats) -> tuple[float, float]:
    total = float(patch.sum())
    dx = float((patch[:, 2] - patch[:, 0]).sum()) / total
    dy = float((patch[2] - patch[0]).sum()) / total
    return dx, dy


def _directions(logits: Floats) -> tuple[float, ...]:
    """Directions of the bodies at one tip, degrees: two arrowheads of a chain may share it.

    Examples
    --------
    >>> _directions(np.array([9, -9, -9, -9, 9, -9, -9, -9], np.float32))
    (0.0, 180.0)
    """
    share = _sigmoid(logits)
    whole = np.roll(share, 1) + share + np.roll(share, -1)
    step = 360.0 / SECTORS
    found: list[float] = []
    for k in map(int, np.argsort(-whole, kind="stable")):
        if share[k] < max(share[k - 1], share[(k + 1) % SECTORS]) or whole[k] < LEAST_SHARE:
            continue
        lean = float(share[(k + 1) % SECTORS] - share[k - 1]) / float(whole[k])
        way = (k + lean) * step % 360.0
        if all(abs((way - other + 180.0) % 360.0 - 180.0) > MIN_APART_DEG for other in found):
            found.append(way)
    return tuple(sorted(found)) or (float(np.argmax(whole)) * step,)


def _sigmoid(x: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(x, -30, 30))), np.float32)
