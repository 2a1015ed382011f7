"""Lines that run right through a crop of text though no ruler drew them: they lean and waver.

A straight line is told by its length (`erasing`); one by hand, or grained by a scan, is followed
from row to row instead. Beside a text it reads as a 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.reading.erasing import FRAY_PX

Mask = NDArray[np.uint8]
_Rows = list[bytes]

LEAN = 0.3  # of its length: how far a line ends aside of where it began
THICK = (0.12, 2.0)  # of the crop's height, and px: a thicker stroke is no line
CROSSED = (1.6, 1.5)  # times as wide as the line, and px: a figure that it runs through
THROUGH = 0.93  # of the crop that shows the line
NARROW = 0.5  # of the crop in which nothing crosses it
LEAST_PX = 12  # of a crop
GAP_PX = 3  # of grain
FOLLOWS = 0.3  # of a row's offset: a line turns no faster


def wandering_uprights(ink: Mask) -> NDArray[np.bool_]:
    """Mark lines that run from the top of a crop to its foot, but not what crosses them.

    Parameters
    ----------
    ink : (h, w) uint8 array
        1 where ink is.

    Returns
    -------
    (h, w) bool array

    Examples
    --------
    >>> ink = np.zeros((40, 30), np.uint8)
    >>> for y in range(40):  # leans by a sixth of its length
    ...     ink[y, 5 + y // 6 : 8 + y // 6] = 1
    >>> ink[10:30, 20:23] = 1  # a 1
    >>> gone = wandering_uprights(ink)
    >>> bool(gone[2, 6]), bool(gone[38, 12]), bool(gone[:, 18:].any())
    (True, True, False)
    """
    gone = np.zeros(ink.shape, np.bool_)
    if len(ink) < LEAST_PX:
        return gone
    rows = [row.tobytes() for row in ink]  # looking into bytes is quicker than into an array
    for row in (len(ink) // 4, 3 * len(ink) // 4):
        for first, last in _runs(rows[row]):
            if not gone[row, first]:
                _mark(gone, _follow(rows, row=row, first=first, last=last))
    if not gone.any():
        return gone
    fray = np.ones((1, 2 * FRAY_PX + 1), np.uint8)
    grown = cv2.dilate(gone.astype(np.uint8), fray) > 0
    return np.asarray(grown & ~((ink > 0) & ~gone), np.bool_)


def _mark(gone: NDArray[np.bool_], line: list[tuple[int, int, int]]) -> None:
    for y, x0, x1 in line:
        gone[y, x0:x1] = True


def _run_at(row: bytes, x: int) -> tuple[int, int]:
    """Where the run of ink that a px belongs to begins and ends."""
    end = row.find(0, x)
    return row.rfind(0, 0, x) + 1, end if end >= 0 else len(row)


def _runs(row: bytes) -> Iterator[tuple[int, int]]:
    """Runs of ink in a row: first px, and the one behind the last."""
    at = row.find(1)
    while at >= 0:
        first, last = _run_at(row, at)
        yield first, last
        at = row.find(1, last)


def _follow(ink: _Rows, *, row: int, first: int, last: int) -> list[tuple[int, int, int]]:
    """Follow a line both ways: its rows with their first px and the one behind their last.

    Nothing where it does not run through.
    """
    high = len(ink)
    if last - first > THICK[0] * high + THICK[1]:
        return []
    walk = partial(_walk, ink, at=(first + last - 1) / 2, wide=float(last - first))
    up, down = walk(rows=range(row, -1, -1)), walk(rows=range(row + 1, high))
    seen, found = up[0] + down[0], up[1] + down[1]
    return found if seen >= THROUGH * high and len(found) >= NARROW * high else []


def _walk(
    ink: _Rows, *, at: float, wide: float, rows: range
) -> tuple[int, list[tuple[int, int, int]]]:
    """Follow a line one way: how many rows show it, and those in which nothing crosses it."""
    found: list[tuple[int, int, int]] = []
    start, seen, missed, most = at, 0, 0, CROSSED[0] * wide + CROSSED[1]
    for y in rows:
        x = _ink_at(ink[y], at, wide)
        missed = 0 if x is not None else missed + 1
        if missed > GAP_PX or abs(at - start) > LEAN * len(ink):
            break
        if x is None:
            continue
        seen += 1
        x0, x1 = _run_at(ink[y], x)
        if x1 - x0 <= most:
            at += FOLLOWS * ((x0 + x1 - 1) / 2 - at)
            found.append((y, x0, x1))
    return seen, found


def _ink_at(row: bytes, at: float, wide: float) -> int | None:
    """Where a line is in a row, from where it was in the last one."""
    near = (round(at + aside) for aside in (0.0, -wide / 2, wide / 2))
    return next((x for x in near if 0 <= x < len(row) and row[x]), None)
