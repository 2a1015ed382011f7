"""Lines of long dashes led on: the first dash tells the direction of its line none too well.

From dash to dash the line is fitted again, and so finds the next one: drawn by hand, or worn, each
of them leans a little.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from audit.dimensions.ink import Indices, Ink, Line, merge_spans

JOINED_PT = 3.5  # between dashes of one line
LOOSE_PT = 0.3  # how much further off than usual they may lie
MOST_STEPS = 16  # dashes that a line is led on by, to either side
FURTHER_PT = 1.0  # by which a step must lead on


def lead_on(ink: Ink, line: Line, start: float, bridged: Sequence[tuple[float, float]]) -> Line:
    """Fit a line again through all its dashes.

    Parameters
    ----------
    ink : Ink
    line : Line
        As its first dash tells.
    start : float
        Where on it that dash is, pt.
    bridged : sequence of (float, float)
        Stretches of it that are left out for a text, pt.

    Returns
    -------
    Line
        Through the foot of the same point, the same way.
    """
    reach = 0.0
    for _ in range(MOST_STEPS):
        strokes, pieces = ink.on_line(line, beside=LOOSE_PT)
        spans = merge_spans(np.array([*pieces, *bridged], float).reshape(-1, 2), JOINED_PT)
        run = next(((a, b) for a, b in spans if a - JOINED_PT < start < b + JOINED_PT), None)
        if run is None or run[1] - run[0] < reach + FURTHER_PT:
            break
        reach = run[1] - run[0]
        own = strokes[(pieces[:, 0] > run[0] - FURTHER_PT) & (pieces[:, 1] < run[1] + FURTHER_PT)]
        line = fit_strokes(ink, own, line) if len(own) > 1 else line
    return line


def fit_strokes(ink: Ink, which: Indices, line: Line) -> Line:
    """Fit a line through strokes by least squares, the longer the weightier.

    Parameters
    ----------
    ink : Ink
    which : (n,) array
        Strokes.
    line : Line
        About along them.

    Returns
    -------
    Line
        The same way, from the foot of the same point on.
    """
    weights = np.repeat(ink.lengths[which], 2)
    points = ink.ends[which].reshape(-1, 2)
    middle = np.average(points, axis=0, weights=weights)
    _, _, ways = np.linalg.svd((points - middle) * np.sqrt(weights)[:, None], full_matrices=False)
    ux, uy = (float(v) for v in ways[0] * np.sign(ways[0] @ [line.ux, line.uy]))
    fitted = Line(float(middle[0]), float(middle[1]), ux, uy)
    at = fitted.at(fitted.place((line.x, line.y))[0])
    return Line(at.x, at.y, ux, uy)
