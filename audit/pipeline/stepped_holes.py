"""Holes whose callout has a size a step: which of their circles the leader points to is open.

``Ø24 THRU`` over ``⌴ Ø34 ↧ 4`` stands at one leader. ASME Y14.5 lets it end at either circle of
the hole, so a circle that is no 24 proves nothing against the 24.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from audit.geometry import Box
from audit.lengths import CalloutKind, parse_callouts
from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.reading import TextLine
from audit.records import Dimension, DimensionKind
from audit.records.doubts import SECOND_SIZE

NEXT_ROW = 1.2  # letter heights between rows of one callout; their line spacing is up to two
# a size with the sign of a counterbore or a countersink before or behind it
_SUNK = re.compile(
    r"(?:[⌴⌵] ?)?[Ø⌀]? ?\d*[.,]?\d+(?:/\d+)? ?(?:[⌴⌵]|C'?-?BORE|C'?SK|SINK)", re.IGNORECASE
)
ROUND = frozenset({CalloutKind.DIAMETER, CalloutKind.SPHERICAL_DIAMETER})


def doubt_stepped_holes(
    dimensions: Sequence[Dimension], leftover: Sequence[TextLine]
) -> tuple[Dimension, ...]:
    """Doubt a diameter under or over which another one stands that no dimension took.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one sheet, boxes in the frame of `leftover`.
    leftover : sequence of TextLine
        Texts of the sheet that no dimension took.

    Returns
    -------
    tuple of Dimension
        In the same order; a doubt that is there already stays.
    """
    rows = [t.box for t in leftover if t.visible and (_is_diameter(t.text) or _is_sunk(t.text))]
    # a row that lost its Ø to the reader may have gone to another line
    rows += [d.reading.box for d in dimensions if d.reading and _is_sunk(d.reading.text)]
    return tuple(_doubted(d, rows) for d in dimensions)


def _is_sunk(text: str) -> bool:
    return _SUNK.match(text.strip()) is not None


def _is_diameter(text: str) -> bool:
    meanings = parse_callouts(text, unit=None)
    return bool(meanings) and meanings[0].kind in ROUND


def _doubted(dimension: Dimension, rows: Sequence[Box]) -> Dimension:
    reading = unconfirmed(dimension)
    if dimension.kind is not DimensionKind.DIAMETER or reading is None:
        return dimension
    over = any(_are_rows(reading.box, row) for row in rows if row != reading.box)
    return doubt_size(dimension, reading, SECOND_SIZE) if over else dimension


def _are_rows(one: Box, other: Box) -> bool:
    """Whether two texts stand over each other as rows of one callout do, on a level sheet."""
    height = min(one.y1 - one.y0, other.y1 - other.y0)
    gap = max(one.y0, other.y0) - min(one.y1, other.y1)
    shared = min(one.x1, other.x1) - max(one.x0, other.x0)
    narrower = min(one.x1 - one.x0, other.x1 - other.x0)
    return gap < NEXT_ROW * height and shared > narrower / 2
