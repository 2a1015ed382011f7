"""Whether a short text has an outline of its own: item balloons, revision marks, datum letters."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.records import VectorPage

RAYS = 16  # directions in which a line must stand; a leader or an extension line shuts off few
CHORDS = 24  # of a circle: more than rays
OPEN = 1  # directions that may stay open: a ray through the joint of two sides meets neither
REACH = 2.5  # heights of the text beyond its box: outlines stand near their letters
_TINY = 1e-9


def strokes_and_circles(page: VectorPage | None) -> NDArray[np.float64]:
    """Return what a page draws, its circles as chords.

    Parameters
    ----------
    page : VectorPage, optional

    Returns
    -------
    (n, 4) float array
        Both ends of each piece, in the frame of the page; none without a page.
    """
    if page is None:
        return np.zeros((0, 4))
    turns = np.linspace(0.0, 2.0 * np.pi, CHORDS + 1)
    wheel = np.column_stack([np.cos(turns), np.sin(turns)])
    circles = [
        np.hstack([rim[:-1], rim[1:]])
        for arc in page.arcs
        if arc.is_circle
        for rim in (np.array(arc.centre) + arc.radius * wheel,)
    ]
    return np.vstack([page.strokes.ends, *circles])


def is_framed(text: Box, ends: NDArray[np.float64], *, outside: Box) -> bool:
    """Whether lines stand all around a text and between it and another.

    Parameters
    ----------
    text : Box
        Of the text that may have an outline of its own.
    ends : (n, 4) float array
        Strokes, curves as their chords, in the frame of the box.
    outside : Box
        Of the text that must not stand in the same outline.

    Returns
    -------
    bool
    """
    centre = np.array([text.x0 + text.x1, text.y0 + text.y1]) / 2
    half = np.array([text.x1 - text.x0, text.y1 - text.y0]) / 2
    reach = float(half.max()) + REACH * 2.0 * float(half.min())
    near = ends[
        (np.maximum(ends[:, 0], ends[:, 2]) > centre[0] - reach)
        & (np.minimum(ends[:, 0], ends[:, 2]) < centre[0] + reach)
        & (np.maximum(ends[:, 1], ends[:, 3]) > centre[1] - reach)
        & (np.minimum(ends[:, 1], ends[:, 3]) < centre[1] + reach)
    ]
    turns = np.arange(RAYS) * 2.0 * np.pi / RAYS
    away = np.column_stack([np.cos(turns), np.sin(turns)]) * reach
    if np.count_nonzero(_meets(centre, away, near)) < RAYS - OPEN:
        return False
    nearest = np.array(
        [
            np.clip(centre[0], outside.x0, outside.x1),
            np.clip(centre[1], outside.y0, outside.y1),
        ]
    )
    return bool(_meets(centre, (nearest - centre)[None, :], near)[0])


def _meets(
    start: NDArray[np.float64], rays: NDArray[np.float64], ends: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Return whether each ray, from `start` over its whole length, crosses a stroke."""
    sides = ends[:, 2:] - ends[:, :2]
    to = ends[:, :2] - start
    cross = rays[:, :1] * sides[:, 1] - rays[:, 1:] * sides[:, 0]
    safe = np.where(np.abs(cross) < _TINY, np.inf, cross)
    along_ray = (to[:, 0] * sides[:, 1] - to[:, 1] * sides[:, 0]) / safe
    along_side = (to[:, 0] * rays[:, 1:] - to[:, 1] * rays[:, :1]) / safe
    hit = (along_ray > 0.0) & (along_ray <= 1.0) & (along_side >= 0.0) & (along_side <= 1.0)
    met: NDArray[np.bool_] = np.any(hit & np.isfinite(safe), axis=1)
    return met
