"""General tolerances of ISO 2768-1, for sizes that print none of their own."""

from __future__ import annotations

import re
from fractions import Fraction

from audit.lengths.length import Length, Unit
from audit.lengths.tables import read_blocks

SMALLEST_MM = Fraction(1, 2)
_CLASS = re.compile(
    r"\bISO\s*2768(?:\s*-\s*1)?\s*[-– ]\s*(?P<class>[FMCV])(?:[HKL]\b|\b)", re.IGNORECASE
)


def read_general_class(text: str) -> str | None:
    """Read which class of general tolerances a note names.

    Parameters
    ----------
    text : str
        A note or a line of the title block.

    Returns
    -------
    str or None
        ``f``, ``m``, ``c`` or ``v``; `None` when it names none.

    Examples
    --------
    >>> read_general_class("GENERAL TOLERANCES ISO 2768-mK"), read_general_class("ISO 2768-1 f")
    ('m', 'f')
    >>> read_general_class("TOLERANCES ±1/64") is None
    True
    """
    match = _CLASS.search(text)
    return match["class"].lower() if match is not None else None


def general_tolerance(nominal: Length, grade: str, *, broken_edge: bool = False) -> Length | None:
    """Look up how far a size without a tolerance of its own may be off.

    Parameters
    ----------
    nominal : Length
        The printed size.
    grade : str
        ``f``, ``m``, ``c`` or ``v``.
    broken_edge : bool
        Whether it is an outer radius or a chamfer.

    Returns
    -------
    Length or None
        Plus or minus, mm; `None` where the standard gives none.

    Examples
    --------
    >>> float(general_tolerance(Length(Fraction(100), Unit.MM), "m"))
    0.3
    >>> general_tolerance(Length(Fraction(2), Unit.MM), "v") is None
    True
    """
    if nominal.unit is Unit.DEG:
        return None
    size = nominal.to(Unit.MM).value
    block = "radii and chamfers" if broken_edge else "lengths"
    ends, *rows = (row.split() for row in read_blocks("iso2768.txt")[block].rows)
    values = next((row[1:] for row in rows if row[0] == grade), None)
    if values is None or size < SMALLEST_MM:
        return None
    for end, value in zip(ends[1:], values, strict=True):
        if size <= Fraction(end):
            return None if value == "-" else Length(Fraction(value), Unit.MM)
    return None
