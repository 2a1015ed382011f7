"""Edges that a dimension line ends on and that are too short, or too crowded, to be traced.

The ends of a narrow piece are drawn for a millimetre to either side of the line that points at it,
and hatching touches them: no stroke is traced there. The ink shows the edge all the same.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Line
from audit.dimensions.raster_ink import darkness
from audit.networks.page import PageMaps
from audit.records import End, EndKind

INK = 77  # of 255
STEP_PT = 0.2
REACH_PT = 5.5  # from where a line was traced to, to its edge: less than a head is long
SIDES_PT = (1.5, 3.3)  # beside the line: clear of the head's tip, as far as short edges reach
INKED = 0.95  # share of either side
WIDTH_PT = (0.3, 3.2)  # of an edge: more is a blot
OUTLINE_PT = 1.2  # of an edge that is wider than extension lines are (ISO 128: .35 mm and less)
# Standard uncertainty: a third of a px at 150 dpi, and of the width of the ink: hatching that meets
# an edge makes it look wider, to one side.
SIGMA_PT, SIGMA = 0.15, 0.25


def find_inked_edge(line: Line, at: float, maps: PageMaps, *, px_per_pt: float) -> End | None:
    """Find the edge square to a line that shows in the ink to both sides of a place on it.

    Parameters
    ----------
    line : Line
    at : float
        Of the place along the line, pt.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    End or None
        In pt, in the middle of the edge's ink.
    """
    along = at + np.arange(-REACH_PT, REACH_PT + STEP_PT / 2, STEP_PT)
    aside = np.arange(*SIDES_PT, STEP_PT)
    scale = px_per_pt * maps.factor
    shares = [
        (darkness(line, along[:, None], sign * aside[None, :], maps, scale) > INK).mean(axis=1)
        for sign in (-1.0, 1.0)
    ]
    inked = np.minimum(*shares) >= INKED
    if not inked.any():
        return None
    runs = _runs(inked, len(along) // 2)
    least, most = (v / STEP_PT for v in WIDTH_PT)
    fits = [(a, b) for a, b in runs if least < b - a < most and a > 0 and b < len(along)]
    if not fits:
        return None
    low, high = fits[0]
    width = (high - low) * STEP_PT
    middle = float(along[low:high].mean())
    turn = math.degrees(math.atan2(-line.uy, line.ux)) % 180.0
    return End(
        point=line.at(middle),
        kind=EndKind.OUTLINE if width > OUTLINE_PT else EndKind.EXTENSION,
        sigma=max(SIGMA_PT, SIGMA * width),
        line_width=width,
        along=turn,
    )


def _runs(inked: NDArray[np.bool_], k: int) -> list[tuple[int, int]]:
    """First and last but one place of each run of inked places, the nearest to the k-th first."""
    turns = np.flatnonzero(np.diff(np.concatenate([[False], inked, [False]]).astype(np.int8)))
    runs = [(int(a), int(b)) for a, b in zip(turns[::2], turns[1::2], strict=True)]
    return sorted(runs, key=lambda run: max(run[0] - k, k - run[1] + 1, 0))
