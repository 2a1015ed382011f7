"""Circles that can be asked which of them are about as large and lie about as one does."""

from __future__ import annotations

import numpy as np

FIRST_ROOM = 64  # rows


class RoundIndex:
    """Circles in the order in which they were added, asked all at once."""

    def __init__(self) -> None:
        self._rows = np.empty((FIRST_ROOM, 3))  # x and y of the centre, radius
        self._count = 0

    def add(self, centre: tuple[float, float], radius: float) -> None:
        """Add a circle."""
        if self._count == len(self._rows):
            self._rows = np.concatenate([self._rows, np.empty_like(self._rows)])
        self._rows[self._count] = (*centre, radius)
        self._count += 1

    def alike(self, centre: tuple[float, float], radius: float, play: float) -> list[int]:
        """Tell whose centre lies within `play` either way, and whose radius differs by no more.

        Returns
        -------
        list of int
            Places in the order of adding, ascending.

        Examples
        --------
        >>> index = RoundIndex()
        >>> index.add((0.0, 0.0), 5.0)
        >>> index.add((0.0, 9.0), 5.0)
        >>> index.alike((1.0, 1.0), 6.0, 2.0)
        [0]
        """
        off = np.abs(self._rows[: self._count] - (*centre, radius))
        return np.flatnonzero((off <= play).all(axis=1)).tolist()
