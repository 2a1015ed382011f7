"""How dark a picture is at places beside a line."""

from __future__ import annotations

import numpy as np

from audit.dimensions.ink import Floats, Line
from audit.networks.page import PageMaps


def darkness(
    line: Line, along: Floats, aside: Floats | float, maps: PageMaps, scale: float
) -> Floats:
    """Look up how dark it is at places along a line and so far beside it.

    Parameters
    ----------
    line : Line
        In pt.
    along : float array
        Pt.
    aside : float array or float
        Pt; the two broadcast.
    maps : PageMaps
        For the ink.
    scale : float
        Px of the maps' ink to a pt.

    Returns
    -------
    float array
        Of 255; beyond the picture's edge as at it.
    """
    h, w = maps.dark.shape
    column = ((line.x + along * line.ux - aside * line.uy) * scale).astype(int)
    row = ((line.y + along * line.uy + aside * line.ux) * scale).astype(int)
    return np.asarray(maps.dark[np.clip(row, 0, h - 1), np.clip(column, 0, w - 1)], float)
