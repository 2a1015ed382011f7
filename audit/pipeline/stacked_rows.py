"""Two rows of a picture that are one size: limits, a size in two units, a size and its count."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.texts import only_counts, stands_under
from audit.lengths import Unit
from audit.pipeline.doubting import unconfirmed
from audit.reading.readers import best_callout
from audit.records import Candidate, Dimension, Reading

WIDEST = 0.05  # of a size, from limit to limit: wider ones are two sizes
ROWS = (0.6, 2.0)  # letter heights between the middles of both rows
CENTRED = 0.8  # letter heights between the middles of both rows along the text
PARALLEL_DEG = 4.0
ALIKE_HIGH = 1.6  # brackets are higher than figures
_SIZE = re.compile(r"[RØ⌀]? ?\d*\.?\d+[\"”″]?")
_BRACKETED = re.compile(r"\[\d*\.?\d+\]|\(\d*\.\d+\)")
_LIMIT = re.compile(r"([RØ⌀]?) ?(\d*\.\d+)([\"”″]?)")


def join_stacked_rows(
    dimensions: Sequence[Dimension], readings: Sequence[Reading], *, unit: Unit | None
) -> tuple[Dimension, ...]:
    """Give dimensions that took one limit the other one too, and a size that its other unit has.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture.
    readings : sequence of Reading
        Of all its texts, in the same frame.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    tuple of Dimension
        Those that stood beside their other limit read ``upper/lower``, those that took ``[1.299]``
        under ``33`` read ``33 [1.299]``, and ``R7`` over ``(2) PLACES`` is read as both; as surely
        as what they are judged by.
    """
    taken = [d.reading.box for d in dimensions if d.reading is not None]
    free = [
        r
        for r in readings
        if (_SIZE.fullmatch(r.text) or only_counts(r.text))
        and not any(box.contains(r.box.centre) for box in taken)
    ]
    return tuple(_joined(d, free, unit) for d in dimensions)


def _joined(dimension: Dimension, free: Sequence[Reading], unit: Unit | None) -> Dimension:
    own = unconfirmed(dimension)
    if own is None:
        return dimension
    sizes = [r for r in free if not only_counts(r.text) and _are_rows(own, r)]
    rows = [(own, r) if _stands_over(own, r) else (r, own) for r in sizes]
    rows += [(own, r) for r in free if only_counts(r.text) and stands_under(r, own)]
    told = [(upper, lower, text) for upper, lower in rows if (text := _as_one(upper, lower))]
    if len(told) != 1:
        return dimension
    upper, lower, text = told[0]
    callout, doubt = best_callout(text, unit=unit)
    if callout is None:
        return dimension
    counts = only_counts(lower.text)
    if counts and (own.callout is None or callout.size != own.callout.size):
        return dimension  # in one row 1 1/2 and 4 HOLES say 1 of 1/2
    beside = _BRACKETED.fullmatch(lower.text) or counts
    said = [upper] if beside else [upper, lower]  # the size it stands for
    confidence = min(r.confidence for r in said)
    joined = replace(
        own,
        text=text,
        callout=callout,
        confidence=confidence,
        candidates=(Candidate(text=text, confidence=confidence, by=own.by),),
        box=upper.box.union(lower.box),
        doubt=next((r.doubt for r in said if r.doubt), doubt),
    )
    return replace(dimension, reading=joined)


def _as_one(upper: Reading, lower: Reading) -> str:
    """What two rows say together; nothing when they are two sizes."""
    if _BRACKETED.fullmatch(lower.text) and not _BRACKETED.fullmatch(upper.text):
        return f"{upper.text} {lower.text}"
    if only_counts(lower.text) and not only_counts(upper.text):
        return f"{upper.text} {lower.text}"
    if _are_limits(upper.text, lower.text):
        return f"{upper.text}/{lower.text.lstrip('RØ⌀ ')}"
    return ""


def _are_limits(upper: str, lower: str) -> bool:
    above, below = _LIMIT.fullmatch(upper), _LIMIT.fullmatch(lower)
    if above is None or below is None or below[1] not in ("", above[1]):
        return False
    more, less = float(above[2]), float(below[2])
    places = {len(m[2].partition(".")[2]) for m in (above, below)}
    return less < more <= (1 + WIDEST) * less and len(places) == 1


def _height(reading: Reading) -> float:
    """Letter height of a text that runs about level or upright."""
    return min(reading.box.width, reading.box.height)


def _apart(one: Reading, other: Reading) -> tuple[float, float]:
    """From the middle of one text to that of another: along the writing, and downwards across."""
    turn = math.radians(one.angle)
    a, b = one.box.centre, other.box.centre
    dx, dy = b.x - a.x, b.y - a.y
    along = dx * math.cos(turn) - dy * math.sin(turn)
    return along, dx * math.sin(turn) + dy * math.cos(turn)


def _are_rows(one: Reading, other: Reading) -> bool:
    turn = abs((one.angle - other.angle + 180.0) % 360.0 - 180.0)
    h, k = _height(one), _height(other)
    if turn > PARALLEL_DEG or max(h, k) > ALIKE_HIGH * min(h, k):
        return False
    along, down = _apart(one, other)
    return abs(along) < CENTRED * h and ROWS[0] * h < abs(down) < ROWS[1] * h


def _stands_over(one: Reading, other: Reading) -> bool:
    return _apart(one, other)[1] > 0
