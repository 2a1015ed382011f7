"""Callouts of several lines: cut into lines where a band of paper runs across and no bar does."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
import numpy.typing as npt

from audit.geometry.levels import level_at
from audit.networks.crops import Gray, Mask, find_ink, settle_polarity, tighten

# In heights of the text: the least band of paper between lines, the least height of a line.
LEAST_GAP, LEAST_LINE = 0.05, 0.22
# A blob this much wider than high, over most of the narrower neighbour, is a fraction's bar.
BAR_ASPECT, BAR_COVER = 3.0, 0.6
MOST_LINES = 4
# Where two lines reach into each other: in heights, the rows in which a seam may wind between them;
# px by which it rises or falls in a column, what a px of ink costs it; how much longer than high
# either line is.
MIDDLE, STEEPEST, BLOCKED, SEAM_ASPECT = (0.25, 0.8), 2, 1e6, 1.5
# In crop heights: figures so near to a bar stand over or under it.
BAR_REACH = 0.2


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
    if len(rows) < 2:
        return _part_along_seam(crop, ink) or (gray,)
    if len(rows) > MOST_LINES or _has_bar(ink, rows):
        return (gray,)
    cuts = [0, *(round((a[1] + b[0]) / 2) for a, b in pairwise(rows)), crop.shape[0]]
    return tuple(crop[a:b] for a, b in pairwise(cuts))


def _part_along_seam(crop: Gray, ink: Mask) -> tuple[Gray, ...]:
    """Part two lines between which a way through the paper winds; nothing where there is none.

    The foot of a stacked fraction reaches lower than the letters beside it.
    """
    seam = find_seam(ink | _beside_bars(ink))
    if seam is None:
        return ()
    below = np.arange(len(ink))[:, None] > seam[None, :]
    halves, spans = [], []
    for own in (~below, below):
        rows = np.flatnonzero((ink & own).any(1))
        columns = np.flatnonzero((ink & own).any(0))
        if not len(rows) or np.ptp(rows) + 1 < LEAST_LINE * len(ink):
            return ()
        if np.ptp(columns) + 1 < SEAM_ASPECT * (np.ptp(rows) + 1):
            return ()
        spans.append((int(rows[0]), int(rows[-1]) + 1))
        paper = np.uint8(level_at(crop, 90))
        halves.append(np.where(own, crop, paper)[rows[0] : rows[-1] + 1].astype(np.uint8))
    return () if _has_bar(ink, spans) else tuple(halves)


def _beside_bars(ink: Mask) -> Mask:
    """Paper between a level bar and the figures over and under it: no seam runs there."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    reach = round(BAR_REACH * len(ink))
    closed = np.zeros_like(ink)
    for k in np.flatnonzero(stats[:, 2] > BAR_ASPECT * stats[:, 3]):
        if k == 0:
            continue
        x, y, w, h = (int(v) for v in stats[k, :4])
        above, below = ink[max(y - reach, 0) : y, x : x + w], ink[y + h : y + h + reach, x : x + w]
        if above.any() and below.any():
            closed[max(y - reach, 0) : y + h + reach, x : x + w] = True
    return closed


def find_seam(ink: Mask) -> npt.NDArray[np.int64] | None:
    """Row, for each column, of a way through the paper from left to right; `None` without one.

    It keeps to the middle rows, as far from ink as it can, and rises or falls by no more than
    `STEEPEST` px a column.
    """
    height, width = ink.shape
    first, last = round(MIDDLE[0] * height), round(MIDDLE[1] * height) + 1
    if not _is_way_through(~ink[first:last]):
        return None
    away = cv2.distanceTransform((~ink).astype(np.uint8), cv2.DIST_L2, 3)[first:last]
    cost = np.where(ink[first:last], BLOCKED, 1.0 / (1.0 + away) ** 2)
    total, came = cost[:, 0], np.zeros(cost.shape, np.int64)
    padded = np.full(len(cost) + 2 * STEEPEST, np.inf, cost.dtype)
    choices = np.lib.stride_tricks.sliding_window_view(padded, 2 * STEEPEST + 1)
    rows = np.arange(len(cost))
    for x in range(1, width):
        padded[STEEPEST:-STEEPEST] = total
        best = choices.argmin(1)
        came[:, x] = rows + best - STEEPEST
        total = cost[:, x] + choices[rows, best]
    seam = np.empty(width, np.int64)
    seam[-1] = int(total.argmin())
    for x in range(width - 1, 0, -1):
        seam[x - 1] = came[seam[x], x]
    return np.asarray(seam + first, np.int64)


def _is_way_through(paper: Mask) -> bool:
    """Whether a seam can run through the paper at all: far quicker than to find the best one."""
    packed = np.packbits(paper.T, axis=1, bitorder="little")
    columns = [int.from_bytes(column.tobytes(), "little") for column in packed]
    reached = columns[0]
    for column in columns[1:]:
        spread = reached
        for step in range(1, STEEPEST + 1):
            spread |= reached << step | reached >> step
        reached = spread & column
        if not reached:
            return False
    return reached > 0


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
