"""Where the views of a plate stand on its page, and what is ruled about them; mm of the paper."""

from __future__ import annotations

import numpy as np

from tests.bench.hand_views import Drawn
from tests.bench.plates_pen import XY, Lettered, Mark, Rng
from tests.bench.plates_things import Rows

MARGIN = 14.0
BETWEEN = 8.0  # mm between two views
CELL = 2.2  # mm from a view to the frame that is ruled about it


def extent(rows: Rows) -> tuple[float, float]:
    """Width and height of the views set out, mm."""
    boxes = [[view.bounds() for view in row] for row in rows]
    wide = max(sum(b[2] - b[0] for b in row) + BETWEEN * (len(row) - 1) for row in boxes)
    high = sum(max(b[3] for b in row) - min(b[1] for b in row) for row in boxes)
    return wide, high + BETWEEN * (len(rows) - 1)


def set_out(
    rows: Rows, top: float, wide: float, room: XY, rng: Rng, *, cells: bool
) -> tuple[list[Mark | Lettered], list[Drawn], float]:
    """Place the views row by row, their feet on one line; return how low they reach too."""
    marks: list[Mark | Lettered] = []
    drawn: list[Drawn] = []
    spare = max(room[1] - extent(rows)[1], 0.0) / max(len(rows), 1)
    for row in rows:
        boxes = [view.bounds() for view in row]
        foot = top - min(b[1] for b in boxes)
        used = sum(b[2] - b[0] for b in boxes)
        gap = (room[0] - used) / (len(row) + 1)
        x = (wide - room[0]) / 2 + gap * float(rng.uniform(0.7, 1.3))
        for view, box in zip(row, boxes, strict=True):
            more, sizes = view.moved((x - box[0], foot))
            marks += more
            drawn += sizes
            if cells:
                marks.append(_rule_about(box, (x - box[0], foot)))
            x += box[2] - box[0] + max(gap, BETWEEN * 0.6)
        top = foot + max(b[3] for b in boxes) + BETWEEN + min(spare, 12.0)
    return marks, drawn, top - BETWEEN - min(spare, 12.0)


def _rule_about(box: tuple[float, float, float, float], by: XY) -> Mark:
    """A ruled frame about one view."""
    x0, y0 = box[0] + by[0] - CELL, box[1] + by[1] - CELL
    x1, y1 = box[2] + by[0] + CELL, box[3] + by[1] + CELL
    points = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])
    return Mark(points=points, width=0.3)


def frame(wide: float, top: float, low: float) -> Mark:
    """A ruled frame about everything that is drawn on a page."""
    x0, x1, y0 = MARGIN - 5.0, wide - MARGIN + 5.0, top - 3.5
    points = np.array([(x0, y0), (x1, y0), (x1, low), (x0, low), (x0, y0)])
    return Mark(points=points, width=0.45)
