"""Long soft lines that run over a whole sheet, across print and margin: folds, creases, joints.

A fold shows as a shadow, a bright ridge, or both: much fainter than ink, and from edge to edge,
where drawn lines end at the border. Nothing is told of whether the paper is shifted there.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.sheets.sides import MOST_PX

Array = NDArray[np.float64]

WORK_PX = 1400  # long side of the picture in which creases are looked for
RIM_SHARE = 0.006  # of the picture left out at each side, where paper ends and scanners shade
BACKGROUND_PX = 31  # of the small picture: paper around a crease
INK_LEVELS = 26  # gray levels from the paper; a crease differs by less
INK_GROWN_PX = 5  # around ink nothing is looked at: its soft edge is no crease
BANDS = 14  # in each of which it must be seen
SEEN_IN = 0.86  # share of the bands that must show it
LEAST_CLEAR = 0.25  # of a band must be bare paper for it to count
LEAST_BANDS = 9
TILT = 0.04  # rise over run: a fold is made along a side of the sheet
TILTS = 33
SMOOTH_PX = 1.0
CLEAR = 4.5  # scatters of a band's profile
MARGIN_SHARE = 0.03  # of the picture at either end, outside any border; it must go on there
CLEAR_AT_ENDS = 3.0  # scatters; a strip so low is a noisy one
LEAST_LEVELS = 1.2  # gray levels on the average of a band; less is no shadow
MOST_CREASES = 6  # more than this along one way are ruled lines, or a pattern of the copier
APART_PX = 12.0  # of the small picture; nearer ones are one crease, its shadow and its ridge
EDGE_SHARE = 0.05  # of the picture: nearer to its side a shadow is that of the paper's edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Crease:
    """A crease from side to side of a picture, px (the first pixel's centre at .5).

    `levels`: by how much it is darker than the paper (less than 0: brighter), gray levels.
    """

    a: Point
    b: Point
    levels: float


def find_creases(gray: NDArray[np.uint8]) -> tuple[Crease, ...]:
    """Find long creases that run nearly along the sides of a picture.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)
        Of the paper alone, upright to within two degrees.

    Returns
    -------
    tuple of Crease
        The clearest first; those from top to bottom, then those from side to side.
    """
    rows, columns = gray.shape
    if max(rows, columns) > MOST_PX or min(rows, columns) < 200:
        return ()
    factor = min(1.0, WORK_PX / max(rows, columns))
    size = (max(1, round(columns * factor)), max(1, round(rows * factor)))
    small = cv2.resize(gray, size, interpolation=cv2.INTER_AREA)
    soft = np.asarray(small, np.float32)
    paper = np.asarray(cv2.medianBlur(np.asarray(small, np.uint8), BACKGROUND_PX), np.float32)
    off = paper - soft
    clear = _find_clear(off)
    scale = (columns / size[0], rows / size[1])
    down = [_placed(c, scale, turned=False) for c in _find_upright(off, clear)]
    across = [
        _placed(c, scale, turned=True)
        for c in _find_upright(np.ascontiguousarray(off.T), np.ascontiguousarray(clear.T))
    ]
    return (*down, *across)


def _find_clear(off: NDArray[np.float32]) -> NDArray[np.bool_]:
    """Tell where there is bare paper: no ink, and not near any."""
    ink = (np.abs(off) > INK_LEVELS).astype(np.uint8)
    side = 2 * INK_GROWN_PX + 1
    return np.asarray(cv2.dilate(ink, np.ones((side, side), np.uint8)) == 0)


def _placed(found: Crease, scale: tuple[float, float], *, turned: bool) -> Crease:
    a, b = (Point(p.y, p.x) if turned else p for p in (found.a, found.b))
    return Crease(
        a=Point(a.x * scale[0], a.y * scale[1]),
        b=Point(b.x * scale[0], b.y * scale[1]),
        levels=found.levels,
    )


def _find_upright(off: NDArray[np.float32], clear: NDArray[np.bool_]) -> list[Crease]:
    """Find creases from top to bottom."""
    rows, columns = off.shape
    rim = max(1, round(RIM_SHARE * rows))
    edges = np.linspace(rim, rows - rim, BANDS + 1).astype(int)
    strip = round(MARGIN_SHARE * rows)
    bands = [
        (rim, rim + strip),
        *((int(top), int(end)) for top, end in pairwise(edges)),
        (rows - rim - strip, rows - rim),
    ]
    profiles, usable = _profiles(off, clear, bands)
    middles = np.array([(top + end) / 2 for top, end in bands])
    found: list[tuple[float, Crease]] = []
    for tilt in np.linspace(-TILT, TILT, TILTS):
        shifts = np.rint(tilt * (middles - rows / 2)).astype(int)
        levels = np.stack([_shifted(p, -s) for p, s in zip(profiles, shifts, strict=True)])
        seen = np.stack([_shifted(u, -s) for u, s in zip(usable, shifts, strict=True)])
        scatter = np.array([_scatter(p, u) for p, u in zip(levels, seen, strict=True)])
        for sign in (1.0, -1.0):
            found += _along(sign, levels, seen, float(tilt), rows, scatter=scatter)
    return _best(found, columns)


def _profiles(
    off: NDArray[np.float32], clear: NDArray[np.bool_], bands: list[tuple[int, int]]
) -> tuple[Array, Array]:
    """Mean departure from the paper of each column in each band, and where enough is bare."""
    profiles, usable = [], []
    for top, end in bands:
        bare = clear[top:end]
        count = bare.sum(axis=0)
        total = np.where(bare, off[top:end], 0.0).sum(axis=0)
        enough = count >= LEAST_CLEAR * (end - top)
        mean = np.divide(total, count, out=np.zeros(len(total)), where=enough)
        profiles.append(cv2.GaussianBlur(mean[None, :], (0, 0), SMOOTH_PX)[0])
        usable.append(enough.astype(float))
    return np.array(profiles), np.array(usable)


def _shifted(values: Array, by: int) -> Array:
    moved = np.roll(values, by)
    if by > 0:
        moved[:by] = 0.0
    elif by < 0:
        moved[by:] = 0.0
    return moved


def _along(
    sign: float, levels: Array, seen: Array, tilt: float, rows: int, *, scatter: Array
) -> list[tuple[float, Crease]]:
    """Creases of one tilt and sense, each with how clear it is."""
    signed = sign * levels
    least = CLEAR * scatter
    least[[0, -1]] = CLEAR_AT_ENDS * scatter[[0, -1]]
    shows = (signed > least[:, None]) & (signed > LEAST_LEVELS) & (seen > 0)
    inner, usable = shows[1:-1], seen[1:-1]
    bands = usable.sum(axis=0)
    share = np.divide(inner.sum(axis=0), bands, out=np.zeros(len(bands)), where=bands > 0)
    # drawn lines end at the border: in the margins only what is on the paper itself goes on
    good = (bands >= LEAST_BANDS) & (share >= SEEN_IN) & shows[0] & shows[-1]
    strength = np.where(usable > 0, signed[1:-1], 0.0).sum(axis=0) / np.maximum(bands, 1)
    made = []
    for x in np.flatnonzero(good):
        top, end = x + 0.5 - tilt * rows / 2, x + 0.5 + tilt * rows / 2
        crease = Crease(
            a=Point(float(top), 0.0), b=Point(float(end), float(rows)),
            levels=sign * float(strength[x]),
        )  # fmt: skip
        made.append((float(strength[x] * share[x]), crease))
    return made


def _scatter(profile: Array, usable: Array) -> float:
    """Scatter of a band's profile, gray levels; endless where nothing of it is bare."""
    bare = profile[usable > 0]
    return max(1.4826 * float(np.median(np.abs(bare))), 0.15) if len(bare) else np.inf


def _best(found: list[tuple[float, Crease]], columns: int) -> list[Crease]:
    """Of creases that lie together the clearest; none where there are too many."""
    kept: list[Crease] = []
    for _, crease in sorted(found, key=lambda pair: -pair[0]):
        middle = (crease.a.x + crease.b.x) / 2
        if not EDGE_SHARE * columns < middle < (1 - EDGE_SHARE) * columns:
            continue
        if all(abs(middle - (k.a.x + k.b.x) / 2) > APART_PX for k in kept):
            kept.append(crease)
    return kept if len(kept) <= MOST_CREASES else []
