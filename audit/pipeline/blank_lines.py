"""Lengths of a picture along whose line little is drawn: their ends may be those of two others."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.pipeline.doubting import unconfirmed
from audit.reading.near import Gray, turn_upright
from audit.records import Dimension, DimensionKind
from audit.scale.usable import SURELY_FOUND

LEAST_MM = 20.0  # of paper that is blank at one place; shorter links have their arrows outside
LEAST_SHARE = 0.4  # of a line, that is
BAND, LEAST_BAND_PX = 0.012, 3.0  # half width: share of the length that lines stray, and least
TEXT_ROOM = 1.5  # heights of the text, beside which its line stops
DEPTH, FAINTEST = 0.35, 20.0  # of the darkest ink; gray levels
UNSURE = SURELY_FOUND - 0.01


def doubt_blank_lines(
    dimensions: Sequence[Dimension], gray: Gray, *, px_per_mm: float
) -> tuple[Dimension, ...]:
    """Take lengths with a long blank in their line for less sure: they call no number wrong.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, places in its px.
    gray : (h, w) uint8 array
    px_per_mm : float
        Px to a mm of paper.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    return tuple(
        replace(d, score=UNSURE)
        if d.score > UNSURE
        and d.kind is DimensionKind.DISTANCE
        and len(d.line) == 2
        and unconfirmed(d) is not None
        and _is_blank(d, gray, LEAST_MM * px_per_mm)
        else d
        for d in dimensions
    )


def _is_blank(dimension: Dimension, gray: Gray, least: float) -> bool:
    a, b = dimension.line
    far = a.distance(b)
    if far <= least:
        return False
    turn = math.degrees(math.atan2(a.y - b.y, b.x - a.x))
    band = 2 * max(BAND * far, LEAST_BAND_PX)
    crop, _ = turn_upright(gray, a.midpoint(b), angle=turn, width=far, height=8 * band)
    depth = float(np.percentile(crop, 90)) - crop.astype(np.float32)
    full = float(np.percentile(depth, 99.5))
    if full < FAINTEST:
        return False
    middle = crop.shape[0] // 2
    half = max(1, round(band / 2))
    dark = depth[middle - half : middle + half + 1] > max(DEPTH * full, FAINTEST / 2)
    inked = np.asarray(dark.any(axis=0), np.bool_)
    if dimension.reading is not None:
        inked |= _beside_text(dimension.reading.box, a, b, len(inked))
    return _longest_blank(inked) > max(least, LEAST_SHARE * far)


def _beside_text(box: Box, a: Point, b: Point, count: int) -> NDArray[np.bool_]:
    """Places along a line that its text keeps free."""
    far = a.distance(b)
    ux, uy = (b.x - a.x) / far, (b.y - a.y) / far
    along = [(p.x - a.x) * ux + (p.y - a.y) * uy for p in box.corners]
    room = TEXT_ROOM * min(box.width, box.height)
    place = np.arange(count)
    return np.asarray((place > min(along) - room) & (place < max(along) + room))


def _longest_blank(inked: NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(np.concatenate([[True], inked, [True]]))
    return int(np.diff(edges).max()) - 1
