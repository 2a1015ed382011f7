"""Sizes of a piece as they are typed: ``3/4 x 2``, ``Ø 1/2``."""

from __future__ import annotations

import re

from audit.errors import BadUsage
from audit.lengths import Length, Unit
from audit.pipeline.acting import type_length
from audit.records import PieceShape

_TIMES = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_ROUND = re.compile(r"\s*(?:Ø|DIA\.?|D\s)\s*", re.IGNORECASE)
_UNIT = re.compile(r"(in|inch|inches|mm|\"|″)\s*$", re.IGNORECASE)
LARGEST_MM = 100_000.0  # a piece larger than this lies on no sheet


def parse_size(text: str, *, shape: PieceShape, unit: Unit | None) -> tuple[Length, Length | None]:
    """Read the size of a piece.

    Parameters
    ----------
    text : str
        Width and height with an ``x`` between; of a circle its diameter. A unit after the height
        counts for both.
    shape : PieceShape
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    width : Length
    height : Length or None
        `None` for a circle.

    Raises
    ------
    BadUsage
        If it is no such size.
    """
    parts = [part for part in _TIMES.split(_ROUND.sub("", text).strip()) if part]
    wanted = 1 if shape is PieceShape.CIRCLE else 2
    if len(parts) != wanted:
        advice = "write its diameter: 1/2" if wanted == 1 else "write width x height: 3/4 x 2"
        raise BadUsage(f"'{text}' is no size of a {shape.value}", advice=advice)
    own = _UNIT.search(parts[-1])
    if own and not _UNIT.search(parts[0]):
        parts[0] = f"{parts[0]} {own[1]}"
    sizes = [type_length(part, unit=unit) for part in parts]
    for size in sizes:
        if size.unit is Unit.DEG or float(size.to(Unit.MM)) > LARGEST_MM:
            raise BadUsage(f"'{text}' is no size of a piece", advice="write 3/4 x 2")
    return sizes[0], sizes[1] if wanted == 2 else None
