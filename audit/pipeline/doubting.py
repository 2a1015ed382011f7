"""Doubt the reading of a size: it is asked about, and calls nothing wrong."""

from __future__ import annotations

from dataclasses import replace

from audit.geometry import Point
from audit.records import Dimension, DimensionKind, Reading
from audit.records.doubts import is_measured_away

DOUBTED = 0.5  # the most a doubted reading is given


def unconfirmed(dimension: Dimension) -> Reading | None:
    """Return the reading of a dimension, if there is one that nobody has confirmed."""
    reading = dimension.reading
    return None if reading is None or reading.confirmed else reading


def doubt_size(dimension: Dimension, reading: Reading, why: str) -> Dimension:
    """Give a dimension its reading with a doubt; one that is doubted already keeps its reason.

    But a reason that the drawing may settle gives way to one that it may not.

    Parameters
    ----------
    dimension : Dimension
    reading : Reading
        Its own.
    why : str
        For the user.

    Returns
    -------
    Dimension
    """
    confidence = min(reading.confidence, DOUBTED)
    keeps = reading.doubt and (is_measured_away(why) or not is_measured_away(reading.doubt))
    doubted = replace(reading, confidence=confidence, doubt=reading.doubt if keeps else why)
    return replace(dimension, reading=doubted)


def measured_line(dimension: Dimension) -> tuple[Point, float, float, float] | None:
    """Return where a distance begins, how long it is, and its direction; `None` for others."""
    if dimension.kind is not DimensionKind.DISTANCE or len(dimension.ends) != 2:
        return None
    a, b = (end.point for end in dimension.ends)
    far = a.distance(b)
    return (a, far, (b.x - a.x) / far, (b.y - a.y) / far) if far > 0 else None
