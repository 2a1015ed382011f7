"""Boxes that can be asked which of them lie near another, without looking at all of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from audit.geometry.plane import Box


class BoxIndex:
    """Boxes in the order of their left sides.

    Parameters
    ----------
    boxes : sequence of Box
    """

    def __init__(self, boxes: Sequence[Box]) -> None:
        table = np.array(boxes, float).reshape(-1, 4)
        self._order = np.argsort(table[:, 0], kind="stable")
        self._table = table[self._order]
        self._widest = float((table[:, 2] - table[:, 0]).max(initial=0.0))

    def meeting(self, box: Box, *, aside: float = 0.0, above: float = 0.0) -> list[int]:
        """Tell which boxes touch one, or come near it.

        Parameters
        ----------
        box : Box
        aside : float
            Gap to the left and right that still counts.
        above : float
            Gap above and below that still counts.

        Returns
        -------
        list of int
            Places in the sequence of boxes, ascending.

        Examples
        --------
        >>> index = BoxIndex([Box(5, 0, 6, 1), Box(0, 0, 1, 1), Box(2, 0, 3, 1)])
        >>> index.meeting(Box(1, 0, 2, 1)), index.meeting(Box(1, 0, 2, 1), aside=3)
        ([1, 2], [0, 1, 2])
        """
        x0, x1 = box.x0 - aside, box.x1 + aside
        starts = self._table[:, 0]
        first, last = (
            np.searchsorted(starts, x0 - self._widest),
            np.searchsorted(starts, x1, "right"),
        )
        part = self._table[first:last]
        met = (part[:, 2] >= x0) & (part[:, 1] <= box.y1 + above) & (part[:, 3] >= box.y0 - above)
        return sorted(self._order[first:last][met].tolist())
