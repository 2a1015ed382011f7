"""What stands together: ends of dimensions on one extension line, boxes that touch."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.records import Dimension, Sheet

Floats = NDArray[np.float64]

SURE_SIGMAS = 3.0
SURE_RANGE = 6.0  # sigmas between the outermost of several ends on one line


def group_boxes(boxes: Sequence[Box]) -> list[list[int]]:
    """Group boxes that overlap, directly or through others.

    Parameters
    ----------
    boxes : Sequence[Box]
        In one frame.

    Returns
    -------
    list[list[int]]
        Places in `boxes`, each group in rising order.

    Examples
    --------
    >>> group_boxes([Box(0, 0, 2, 2), Box(5, 5, 6, 6), Box(1, 1, 3, 3)])
    [[0, 2], [1]]
    """
    root = list(range(len(boxes)))

    def find(k: int) -> int:
        while root[k] != k:
            root[k] = root[root[k]]
            k = root[k]
        return k

    near: list[int] = []  # boxes that still reach as far to the right as the one looked at
    for k in sorted(range(len(boxes)), key=lambda k: boxes[k].x0):
        near = [n for n in near if boxes[n].x1 >= boxes[k].x0]
        for n in near:
            if boxes[n].overlaps(boxes[k]):
                first, second = sorted((find(n), find(k)))
                root[second] = first
        near.append(k)
    groups: dict[int, list[int]] = {}
    for k in range(len(boxes)):
        groups.setdefault(find(k), []).append(k)
    return list(groups.values())


def paper_box(dimension: Dimension, sheet: Sheet) -> Box:
    """Return the box around a dimension on the paper, mm."""
    points = [e.point for e in dimension.ends] + list(dimension.line)
    return Box.around([sheet.to_paper.apply(p) for p in points])


def cluster_ends(places: Floats, sigmas: Floats, *, same: float) -> NDArray[np.int64]:
    """Give every end of every dimension its station.

    Parameters
    ----------
    places : Floats
        Shape (n, 2): the two ends of each dimension along the line.
    sigmas : Floats
        Shape (n, 2), their standard uncertainties.
    same : float
        Ends nearer than this are one station, or nearer than three sigma.

    Returns
    -------
    NDArray[np.int64]
        Shape (n, 2), 0 for the first station along the line. The ends of one dimension are never
        one station: a printed size lies between them.

    Examples
    --------
    >>> places = np.array([[0.0, 10.0], [10.1, 14.0]])
    >>> cluster_ends(places, np.full((2, 2), 0.01), same=0.3).tolist()
    [[0, 1], [1, 2]]
    """
    flat, spread = places.ravel(), sigmas.ravel()
    order = np.argsort(flat, kind="stable")
    groups: list[list[int]] = []
    for k in order:
        if groups:
            last = groups[-1][-1]
            limit = max(same, SURE_SIGMAS * math.hypot(spread[k], spread[last]))
            if flat[k] - flat[last] <= limit:
                groups[-1].append(int(k))
                continue
        groups.append([int(k)])
    parted = [part for group in groups for part in _part(group, flat, spread, same)]
    owners = np.zeros(flat.size, np.int64)
    for number, group in enumerate(parted):
        owners[group] = number
    return owners.reshape(places.shape)


def _part(group: list[int], flat: Floats, spread: Floats, same: float) -> list[list[int]]:
    """Split a run of ends at its widest gap while it is too wide or holds both ends of a size."""
    widest = max(same, SURE_RANGE * float(spread[group].max()))
    both = len({k // 2 for k in group}) < len(group)
    if len(group) < 2 or (not both and flat[group[-1]] - flat[group[0]] <= widest):
        return [group]
    gaps = [flat[b] - flat[a] for a, b in itertools.pairwise(group)]
    cut = int(np.argmax(gaps)) + 1
    return [*_part(group[:cut], flat, spread, same), *_part(group[cut:], flat, spread, same)]
