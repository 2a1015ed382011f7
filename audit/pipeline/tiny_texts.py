"""Texts so small on a picture that two figures can look the same: they are asked about."""

from __future__ import annotations

from collections.abc import Sequence

from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.records import Dimension, Reading

LEVEL_DEG = 10.0  # from level or upright: the sides of its box are those of the text
TINY_PX = 6.5  # height of figures, stored px. Measured on drawn pages at 100 dpi: of figures over
# this 1 in 60 is read wrong with confidence, of those under it every second


def doubt_tiny(dimensions: Sequence[Dimension], *, px: float) -> tuple[Dimension, ...]:
    """Doubt readings of figures that are hardly more than specks.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Read off a picture.
    px : float
        Stored px in one unit of their boxes.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    return tuple(_doubt(d, px) for d in dimensions)


def _doubt(dimension: Dimension, px: float) -> Dimension:
    reading = unconfirmed(dimension)
    if reading is None:
        return dimension
    height = _height(reading) * px
    if height >= TINY_PX:
        return dimension
    return doubt_size(dimension, reading, f"its figures are only {height:.0f} pixels high")


def _height(reading: Reading) -> float:
    """How high a text is; of a slanting one at least so much."""
    box, lean = reading.box, reading.angle % 180.0
    if min(lean, 180.0 - lean) < LEVEL_DEG:
        return box.height
    return box.width if abs(lean - 90.0) < LEVEL_DEG else max(box.width, box.height)
