"""How unsteadily a sheet was drawn: how far its straight strokes stray from straight.

A hand without a ruler, a worn copy or a rough scan all bend lines by more than a machine's pen
does; what is sought along a line must then be sought a little further off it. A hand also lays its
lines a little askew: where along such a line its place is read makes a difference.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Ink
from audit.dimensions.raster_lines import Dark, Pieces, sample_across

MOST = 150  # strokes looked at, the longest
LEAST_PX = 40.0
STEP_PX = 6.0
REACH_PX = 6.0  # across a stroke
STEADY_PX = 0.16  # strokes stray so far by blur, noise and crossings alone
QUARTER = 25.0  # percent: circles are traced as chords, which stray, but are rarely so many
TO_TYPICAL = 1.35  # from that quarter to the typical stroke, measured on sheets drawn by hand
SQUARE_DEG = 3.0  # of the sheet's two directions: lines further off were meant to be slanting
ASKEW_PT = 20.0  # strokes that are long enough to tell
FEWEST_ASKEW = 6  # of each direction
UPPER, TO_SIGMA = 75.0, 1.15  # percent, and its distance in standard deviations
TRUE_PT = 0.1  # programs' lines run no further askew on any scan that was measured


def measure_skewness(ink: Ink) -> float:
    """How far level and upright lines are off at one end, seen from the other; 0 if true.

    The truer of the two directions counts: legs and pickets taper on purpose, but in one of them.

    Parameters
    ----------
    ink : Ink
        Of a traced raster, in pt; it may be turned by a degree, and its two directions may be off
        square.

    Returns
    -------
    float
        Standard deviation, pt. 0 too where lines waver: what their ends are given for that, 1.5
        times the waver, was measured with their skewness in it.
    """
    if ink.waver > 0:
        return 0.0
    long = ink.straight[ink.lengths[ink.straight] > ASKEW_PT]
    units, lengths = ink.units[long], ink.lengths[long]
    turns = np.degrees(np.arctan2(units[:, 1], units[:, 0]))
    sigma = min(_askew(turns, lengths, axis) for axis in (0.0, 90.0))
    return sigma if sigma > TRUE_PT else 0.0


def _askew(turns: NDArray[np.float64], lengths: NDArray[np.float64], axis: float) -> float:
    """Return how far lines near one direction are off it at their ends, pt; 0 for few lines."""
    off = (turns - axis + 90.0) % 180.0 - 90.0
    near = np.abs(off) < SQUARE_DEG
    if np.count_nonzero(near) < FEWEST_ASKEW:
        return 0.0
    askew = np.radians(off[near] - np.median(off[near]))
    return float(np.percentile(np.abs(lengths[near] * np.sin(askew)), UPPER)) / TO_SIGMA


def measure_waver(strokes: Pieces, dark: Dark) -> float:
    """Standard deviation, in px, of the middles of long strokes from straight; 0 if steady.

    Parameters
    ----------
    strokes : Pieces
    dark : (h, w) float32 array
    """
    lengths = strokes.lengths
    order = np.argsort(-lengths, kind="stable")[:MOST]
    asides = [
        aside
        for k in order[lengths[order] > LEAST_PX]
        if (aside := _stray(strokes, int(k), dark)) is not None
    ]
    if not asides:
        return 0.0
    typical = TO_TYPICAL * float(np.percentile(asides, QUARTER))
    return typical if typical > STEADY_PX else 0.0


def _stray(strokes: Pieces, k: int, dark: Dark) -> float | None:
    """How far one stroke's middle strays; what crosses it here and there does not count."""
    a, b = strokes.ends[k, :2], strokes.ends[k, 2:]
    length = float(strokes.lengths[k])
    u = (b - a) / length
    t = np.arange(0.08 * length, 0.92 * length, STEP_PX)
    at = a[None, None, :] + t[None, :, None] * u
    offsets = np.arange(-REACH_PX, REACH_PX + 0.1, 0.5)
    normal = np.array([[-u[1], u[0]]])
    ink = sample_across(dark, at, normal, offsets)[0]
    peak = ink.max(axis=1, keepdims=True)
    ink = np.where(ink > 0.5 * peak, ink, 0.0)
    total = ink.sum(axis=1)
    # as wide as the stroke, not a crossing or the letters beside it
    wide = (ink > 0).sum(axis=1) * 0.5
    good = (total > 0) & (wide < 2.0 * strokes.widths[k] + 2.0) & (peak[:, 0] > 0.2)
    if good.sum() < 5:
        return None
    middle = (ink[good] * offsets).sum(axis=1) / total[good]
    line = np.polyfit(t[good], middle, 1)
    off = np.abs(middle - np.polyval(line, t[good]))
    return 1.4826 * float(np.median(off))
