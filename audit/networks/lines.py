"""Callouts of several lines: cut into lines where a band of paper runs across and no bar does."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
import numpy.typing as npt

from audit.networks.crops import Gray, Mask, find_ink, settle_polarity, tighten

# In heights of the text: the least band of paper between lines, the least height of a line.
LEAST_GAP, LEAST_LINE = 0.05, 0.22
# A blob this much wider than high, over most of the narrower neighbour, is a fraction's bar.
BAR_ASPECT, BAR_COVER = 3.0, 0.6
MOST_LINES = 4


def split_lines(gray: Gray) -> tuple[Gray, ...]:
    """Cut a crop into its lines, top first; one piece when it is one line.

    A stacked fraction stays whole: its bar stands between the figures.

    Parameters
    ----------
    gray : (h, w) uint8 array

    Returns
    -------
    tuple of (h, w) uint8 arrays
    """
    if min(gray.shape, default=0) < 12:
        return (gray,)
    crop = tighten(settle_polarity(gray))
    ink = find_ink(crop)
    if ink is None:
        return (gray,)
    rows = _row_runs(np.asarray(_without_rules(ink).any(1), np.bool_), crop.shape[0])
    if not 2 <= len(rows) <= MOST_LINES or _has_bar(ink, rows):
        return (gray,)
    cuts = [0, *(round((a[1] + b[0]) / 2) for a, b in pairwise(rows)), crop.shape[0]]
    return tuple(crop[a:b] for a, b in pairwise(cuts))


def _without_rules(ink: Mask) -> Mask:
    """Ink without specks and lines that run along the whole crop."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    height, width = ink.shape
    speck = (stats[:, 2] < 0.04 * height) & (stats[:, 3] < 0.04 * height)
    rule = (stats[:, 2] > 0.9 * width) & (stats[:, 3] < 0.12 * height)
    keep = ~(speck | rule)
    keep[0] = False
    return np.asarray(keep[labels], np.bool_)


def _row_runs(filled: Mask, height: int) -> list[tuple[int, int]]:
    """Runs of rows with ink; small gaps and low runs join their neighbours."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], filled.astype(np.int8), [0]])))
    runs: list[tuple[int, int]] = []
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        near = runs and start - runs[-1][1] < LEAST_GAP * height
        if near:
            runs[-1] = (runs[-1][0], int(stop))
        else:
            runs.append((int(start), int(stop)))
    if any(stop - start < LEAST_LINE * height for start, stop in runs):
        return []
    return runs


def _has_bar(ink: Mask, rows: list[tuple[int, int]]) -> bool:
    """Whether a level bar stands between two of the lines, or makes up the edge of one."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    blobs: npt.NDArray[np.int32] = stats[1:].astype(np.int32)
    for above, below in pairwise(rows):
        narrow = min(_extent(ink, above), _extent(ink, below))
        flat = blobs[blobs[:, 2] > BAR_ASPECT * blobs[:, 3]]
        middle = flat[:, 1] + flat[:, 3] / 2
        reach = 0.3 * (below[1] - above[0])
        centre = (above[1] + below[0]) / 2
        if np.any((np.abs(middle - centre) < reach) & (flat[:, 2] > BAR_COVER * narrow)):
            return True
    return False


def _extent(ink: Mask, rows: tuple[int, int]) -> int:
    columns = np.flatnonzero(ink[rows[0] : rows[1]].any(0))
    return int(columns[-1] - columns[0] + 1) if len(columns) else 0
