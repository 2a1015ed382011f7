"""Rows of text in a patch of ink; what stands over and under a fraction's bar is one row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from audit.geometry import Box

TALL = 0.45  # of the tallest blob: lower ones are points, bars and marks
SAME_ROW = 0.3  # share of their height that blobs of one row have in common
NESTED = (2, 4)  # figures over or under a bar, and of the rest of a mixed number, at most


def rows_of(boxes: list[Box], bars: Sequence[Box] = ()) -> list[list[Box]]:
    """Blobs of a patch in rows of text, each a list; a stacked fraction stays in one row.

    Parameters
    ----------
    boxes : list of Box
    bars : sequence of Box
        Fractions' bars that are no blobs of their own.

    Returns
    -------
    list of list of Box

    Examples
    --------
    >>> [len(row) for row in rows_of([Box(0, 0, 9, 20), Box(12, 0, 21, 20), Box(0, 30, 9, 50)])]
    [2, 1]
    >>> [len(row) for row in rows_of([Box(0, 0, 9, 9), Box(0, 12, 9, 14), Box(0, 17, 9, 26)])]
    [3]
    """
    tallest = max((box.height for box in boxes), default=0.0)
    tall = [box for box in boxes if box.height >= TALL * tallest]
    rows: list[_Row] = []
    for box in sorted(tall, key=lambda b: b.y0):
        mates = [row for row in rows if _overlap(row.around, box) > SAME_ROW]
        joined = _Row(box, [box])
        for row in mates:
            joined.take(row)
        rows = [row for row in rows if row not in mates] if mates else rows
        rows.append(joined)
    rows.sort(key=lambda row: row.around.y0)
    if len(rows) > 1 and not _far_apart(rows, [*boxes, *bars]):
        return [boxes]
    known = set(tall)
    for box in boxes:
        if box not in known and rows:
            middle = box.centre.y
            nearest = min(rows, key=lambda r: abs((r.around.y0 + r.around.y1) / 2 - middle))
            nearest.take(_Row(box, [box]))
    return [row.boxes for row in rows] or ([boxes] if boxes else [])


@dataclass(slots=True, eq=False)
class _Row:
    """Blobs of a row and the box around them, kept along: asked often."""

    around: Box
    boxes: list[Box]

    def take(self, other: _Row) -> None:
        """Take over the blobs of another row."""
        self.boxes += other.boxes
        self.around = self.around.union(other.around)


def _far_apart(rows: list[_Row], boxes: list[Box]) -> bool:
    """Whether rows are rows of text and no numerators over denominators."""
    flat = [b.centre.y for b in boxes if b.width > 2 * b.height]
    for above, below in pairwise(rows):
        one, two = above.around, below.around
        bar = any(one.centre.y < y < two.centre.y for y in flat)
        low, high = sorted((one.width, two.width))
        stack = high < 2.2 * low and min(len(above.boxes), len(below.boxes)) <= 3
        if (
            bar
            or _is_nested(above, below)
            or (stack and two.y0 - one.y1 < 0.6 * min(one.height, two.height))
        ):
            return False
    return True


def _is_nested(above: _Row, below: _Row) -> bool:
    """Whether one of two rows stands in the other: a fraction's bar that touches a figure is none.

    Beside it stands a whole number, which reaches from one row into the other.
    """
    one, two = above.around, below.around
    few, more = sorted((above, below), key=lambda row: len(row.boxes))
    inside = more.around.x0 <= few.around.x0 and few.around.x1 <= more.around.x1
    return (
        two.y0 < one.y1 and inside and len(few.boxes) <= NESTED[0] and len(more.boxes) <= NESTED[1]
    )


def _overlap(one: Box, other: Box) -> float:
    """Share of the lower box's height that two boxes have in common, up and down."""
    common = min(one.y1, other.y1) - max(one.y0, other.y0)
    return common / max(min(one.height, other.height), 1e-9)
