"""Arrowheads that are one filled outline with their line, as solid drafting makes them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.records import Fills, Strokes, VectorPage

Floats = NDArray[np.float64]

MIN_HEAD_PT, MAX_HEAD_PT = 2.0, 30.0  # from the tip to where the line begins
MAX_HALF_PT = 6.0  # half the width of a head
MAX_STEM_PT = 2.0  # width of a line
WIDER = 1.6  # times the line that a head is, at least
EVEN = 0.25  # relative difference of both sides of a head
ON_AXIS_PT = 0.4
BLUNT_PT = 0.4  # corners so near the tip belong to it
STEM_SHARE = 0.3  # of an outline that its line is, at least
LEAST_PT = 8.0  # shorter is no head with a line to it
MOST_SIDES = 4  # the two of a line are not longer than those of a head where it is short
FEWEST_CORNERS, MOST_CORNERS = 7, 1000


@dataclass(frozen=True, slots=True)
class StemmedArrow:
    """A head at the end of a filled line.

    `tip`, `end` and `direction` are arrays of shape (2,), pt: the line runs from the tip to `end`,
    `width` wide, and the head, `length` long, points in the direction.
    """

    tip: Floats
    direction: Floats
    length: float
    end: Floats
    width: float


def with_stems(page: VectorPage) -> VectorPage:
    """Add the lines of filled arrows to the strokes of a page."""
    arrows = find_stemmed_arrows(page.fills)
    if not arrows:
        return page
    s, n = page.strokes, len(arrows)
    last = int(s.paths.max(initial=-1)) + 1
    strokes = Strokes(
        ends=np.vstack([s.ends, [[*a.tip, *a.end] for a in arrows]]),
        widths=np.append(s.widths, [a.width for a in arrows]),
        paths=np.append(s.paths, np.arange(last, last + n)).astype(s.paths.dtype),
        greys=np.append(s.greys, np.zeros(n)).astype(s.greys.dtype),
        curved=np.append(s.curved, np.zeros(n, np.bool_)),
        pattern=np.append(s.pattern, np.zeros(n)).astype(s.pattern.dtype),
        patterns=s.patterns,
    )
    return replace(page, strokes=strokes)


def find_stemmed_arrows(fills: Fills) -> list[StemmedArrow]:
    """Find heads at the ends of filled outlines that are lines for the most part."""
    if not len(fills):
        return []
    starts = fills.starts[:-1]
    low = np.minimum.reduceat(fills.points, starts, axis=0)
    high = np.maximum.reduceat(fills.points, starts, axis=0)
    corners = np.diff(fills.starts)
    long = np.hypot(*(high - low).T) > LEAST_PT
    found = []
    for k in np.flatnonzero(long & (corners >= FEWEST_CORNERS) & (corners <= MOST_CORNERS)):
        outline = fills.outline(int(k))
        stem = _stem(outline)
        if stem is None:
            continue
        middle, u, width = stem
        at = (outline - middle) @ u
        for way in (1.0, -1.0):
            length = _head(outline - middle, way * u, width)
            if length is None:
                continue
            near, far = (at.max(), at.min()) if way > 0 else (at.min(), at.max())
            found.append(
                StemmedArrow(
                    tip=middle + near * u,
                    direction=way * u,
                    length=length,
                    end=middle + far * u,
                    width=width,
                )
            )
    return found


def _stem(outline: Floats) -> tuple[Floats, Floats, float] | None:
    """A point on the line of an outline, its direction and width; two long sides show it."""
    sides = np.roll(outline, -1, axis=0) - outline
    lengths = np.hypot(*sides.T)
    for first in np.argsort(-lengths)[:MOST_SIDES]:
        found = _stem_along(outline, sides, lengths, int(first))
        if found is not None:
            return found
    return None


def _stem_along(
    outline: Floats, sides: Floats, lengths: Floats, first: int
) -> tuple[Floats, Floats, float] | None:
    u = sides[first] / max(float(lengths[first]), 1e-9)
    normal = np.array([-u[1], u[0]])
    extent = float(np.ptp(outline @ u))
    if float(lengths[first]) < STEM_SHARE * extent or extent < 2 * MIN_HEAD_PT:
        return None
    if float(np.ptp(outline @ normal)) > 2 * MAX_HALF_PT:
        return None
    back = (sides @ u < -0.5 * lengths[first]) & (np.abs(sides @ normal) < 0.02 * lengths)
    if not back.any():
        return None
    second = int(np.argmax(np.where(back, lengths, 0.0)))
    a, b = outline[first], outline[second]
    width = abs(float((b - a) @ normal))
    if not 0.0 < width < MAX_STEM_PT:
        return None
    return a + ((b - a) @ normal) / 2 * normal, u, width


def _head(points: Floats, u: Floats, width: float) -> float | None:
    """Length of the head at the end of a line that `u` points to; `None` when there is none."""
    along = points @ u
    across = points @ np.array([-u[1], u[0]])
    back = float(along.max()) - along
    tip = across[back < BLUNT_PT]
    if float(np.abs(tip).max()) > ON_AXIS_PT:
        return None
    near = back < MAX_HEAD_PT
    wide = near & (np.abs(across) > WIDER * width / 2)
    if not (across[wide] > 0).any() or not (across[wide] < 0).any():
        return None
    left, right = float(across[wide].max()), -float(across[wide].min())
    length = float(back[wide].max())
    if abs(left - right) > EVEN * max(left, right) or not MIN_HEAD_PT < length < MAX_HEAD_PT:
        return None
    # a head is widest near its back, a nib or a knob is not; a bare end is as wide as the line
    widest = float(back[wide][np.argmax(np.abs(across[wide]))])
    grown = _width_at(back, across, 0.5 * widest) > WIDER * width
    return length if widest > 0.5 * length and grown else None


def _width_at(back: Floats, across: Floats, at: float) -> float:
    """Width of an outline across its line, `at` pt from its tip."""
    b0, b1 = back, np.roll(back, -1)
    hit = (b0 - at) * (b1 - at) < 0
    if not hit.any():
        return 0.0
    t = (at - b0[hit]) / (b1[hit] - b0[hit])
    return float(np.ptp(across[hit] + t * (np.roll(across, -1)[hit] - across[hit])))
