"""Lines led on through hatching, where no stroke of them is traced: their ink goes on there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Floats, Line
from audit.dimensions.raster_ink import darkness
from audit.networks.page import PageMaps

INK = 77  # of 255
STEP_PT = 0.2
ASIDE_PT = (-0.4, -0.2, 0.0, 0.2, 0.4)  # beside a line, led on from what was traced of it
BLANK_PT = 3.5  # between dashes of one line
INKED = 0.75  # share of what it is led on by: of hatching that it only crosses a third is
LONGEST_PT = 400.0
LEAST_PT = 4.0  # that a line is led on by: less is the ink it ends on


def lead_through_ink(
    line: Line, run: tuple[float, float], maps: PageMaps, *, px_per_pt: float
) -> list[tuple[float, float]]:
    """Find how far a line is drawn beyond what was traced of it, at either end.

    Parameters
    ----------
    line : Line
    run : tuple of (float, float)
        What was traced of it, from and to, pt along it.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    list of (float, float)
        Pieces of it, pt along it; none where nothing goes on.
    """
    scale = px_per_pt * maps.factor
    after = _inked_from(line, run[1], 1.0, maps, scale)
    before = _inked_from(line, run[0], -1.0, maps, scale)
    found = [(run[0] - before, run[0])] if before > LEAST_PT else []
    return [*found, (run[1], run[1] + after)] if after > LEAST_PT else found


def _inked_from(line: Line, start: float, way: float, maps: PageMaps, scale: float) -> float:
    """How far ink goes on along a line from a place, pt; outside the picture there is none."""
    far = np.arange(STEP_PT, LONGEST_PT, STEP_PT)
    along = start + way * far
    dark = darkness(line, along[:, None], np.array(ASIDE_PT)[None, :], maps, scale).max(axis=1)
    inked = np.flatnonzero((dark > INK) & _is_shown(line, along, maps, scale))
    if not len(inked) or far[inked[0]] > BLANK_PT:
        return 0.0
    gaps = np.flatnonzero(np.diff(far[inked]) > BLANK_PT)
    last = int(gaps[0]) if len(gaps) else len(inked) - 1
    return float(far[inked[last]]) if (last + 1) / (inked[last] + 1) >= INKED else 0.0


def _is_shown(line: Line, along: Floats, maps: PageMaps, scale: float) -> NDArray[np.bool_]:
    """Whether places along a line lie in the picture."""
    x, y = (line.x + along * line.ux) * scale, (line.y + along * line.uy) * scale
    high, wide = maps.dark.shape
    return np.asarray((x >= 0) & (x < wide) & (y >= 0) & (y < high), np.bool_)
