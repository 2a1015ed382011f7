"""Short lengths whose number stands right over the middle of their line: surely found.

Between two ticks the network often takes a short dimension line for an extension line. The ends of
two other dimensions have no number in their middle that runs along the line between them: so had
132 of 134 such lengths on the drawn development sheets, worn in twelve ways.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from audit.records import Dimension, DimensionKind
from audit.scale.usable import SURELY_FOUND

SURE = 0.85  # of the reading: an unsure text may be a piece of a drawn line
LEAST = 0.3  # score of a length that the lines alone make likely at all
PARALLEL = 0.98  # cosine between the text and the line
OFF_MIDDLE = 0.1  # of the line's length
BESIDE = 2.2  # text heights from the line to the middle of the text


def trust_centred(dimensions: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Take lengths for surely found whose text is read surely and stands over their middle.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, in its px.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    return tuple(
        replace(d, score=SURELY_FOUND) if LEAST <= d.score < SURELY_FOUND and _is_centred(d) else d
        for d in dimensions
    )


def _is_centred(dimension: Dimension) -> bool:
    reading = dimension.reading
    if dimension.kind is not DimensionKind.DISTANCE or len(dimension.line) != 2:
        return False
    if reading is None or reading.confidence <= SURE:
        return False
    a, b = dimension.line
    far = max(a.distance(b), 1e-9)
    ux, uy = (b.x - a.x) / far, (b.y - a.y) / far
    turn = math.radians(reading.angle)
    if abs(ux * math.cos(turn) - uy * math.sin(turn)) < PARALLEL:
        return False
    x, y = reading.box.centre.x - a.x, reading.box.centre.y - a.y
    high = min(reading.box.width, reading.box.height)
    off = abs((x * ux + y * uy) / far - 0.5)
    return off < OFF_MIDDLE and abs(y * ux - x * uy) < BESIDE * high
