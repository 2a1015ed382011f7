"""Limits of the tolerance zones and fits of ISO 286 (``H7``, ``g6``, ``H7/g6``).

The standard's tables count, not its formulas, which round otherwise. A zone that is not in the
table has no limits here; nothing is guessed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from audit.lengths.length import Length, Unit
from audit.lengths.tables import read_blocks

_ZONE = re.compile(r"(?P<letter>[A-Za-z]{1,2})(?P<grade>\d{1,2})")
MICRON = Fraction(1, 1000)
K_GRADES = range(4, 8)  # outside these k begins at the nominal size
_BELOW = "shafts from below"
_ABOVE = ("shafts from above", "shafts from above, finer ranges")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Largest and smallest size of a feature with a tolerance zone, mm."""

    upper: Length
    lower: Length


@dataclass(frozen=True, slots=True, kw_only=True)
class FitLimits:
    """A printed fit: limits of hole and shaft, `None` where the fit names only the other.

    `least` and `most` are the clearances, negative for an interference; `None` without both.
    """

    hole: Limits | None
    shaft: Limits | None

    @property
    def least(self) -> Length | None:
        """Clearance of the smallest hole and the largest shaft."""
        if self.hole is None or self.shaft is None:
            return None
        return self.hole.lower - self.shaft.upper

    @property
    def most(self) -> Length | None:
        """Clearance of the largest hole and the smallest shaft."""
        if self.hole is None or self.shaft is None:
            return None
        return self.hole.upper - self.shaft.lower


def find_limits(zone: str, nominal: Length) -> Limits | None:
    """Look up the limits of a tolerance zone.

    Parameters
    ----------
    zone : str
        ``H7``: a hole, in capitals; ``g6``: a shaft.
    nominal : Length
        Its size.

    Returns
    -------
    Limits or None
        `None` for a zone or size the tables do not hold.

    Examples
    --------
    >>> limits = find_limits("g6", Length(Fraction(25), Unit.MM))
    >>> float(limits.upper), float(limits.lower)
    (24.993, 24.98)
    >>> find_limits("zz9", Length(Fraction(25), Unit.MM)) is None
    True
    """
    match = _ZONE.fullmatch(zone.strip())
    if match is None or nominal.unit is Unit.DEG:
        return None
    size = nominal.to(Unit.MM).value
    width = _look_up("standard tolerances", match["grade"], size)
    if width is None:
        return None
    letter, grade = match["letter"], int(match["grade"])
    if letter.lower() == "js":
        return _limits(size, width / 2, -width / 2)
    if letter.isupper():
        start = _look_up(_BELOW, letter.lower(), size)
        return None if start is None else _limits(size, width - start, -start)
    return _find_shaft(letter, grade, size, width)


def _find_shaft(letter: str, grade: int, size: Fraction, width: Fraction) -> Limits | None:
    upper = _look_up(_BELOW, letter, size)
    if upper is not None:
        return _limits(size, upper, upper - width)
    for block in _ABOVE:
        lower = _look_up(block, letter, size)
        if lower is not None:
            lower = Fraction(0) if letter == "k" and grade not in K_GRADES else lower
            return _limits(size, lower + width, lower)
    return None


def _limits(size: Fraction, upper: Fraction, lower: Fraction) -> Limits:
    return Limits(
        upper=Length(size + upper * MICRON, Unit.MM), lower=Length(size + lower * MICRON, Unit.MM)
    )


def _look_up(block: str, name: str, size: Fraction) -> Fraction | None:
    """Value of a row for a size; ranges are over one size up to and including the next."""
    rows = [row.split() for row in read_blocks("iso286.txt")[block].rows]
    ends, *named = rows
    values = next((row[1:] for row in named if row[0] == name), None)
    if values is None or size <= 0:
        return None
    for end, value in zip(ends[1:], values, strict=True):
        if size <= Fraction(end):
            return Fraction(value)
    return None


def read_fit(fit: str, nominal: Length) -> FitLimits | None:
    """Look up the limits of a printed fit.

    Parameters
    ----------
    fit : str
        ``H7/g6``, or one zone alone.
    nominal : Length
        The size it is printed with.

    Returns
    -------
    FitLimits or None
        `None` when any zone of it is not in the tables.

    Examples
    --------
    >>> fit = read_fit("H7/g6", Length(Fraction(25), Unit.MM))
    >>> float(fit.least), float(fit.most)
    (0.007, 0.041)
    """
    zones = [z.strip() for z in fit.split("/")]
    found = [(z, find_limits(z, nominal)) for z in zones]
    if not 1 <= len(found) <= 2 or any(limits is None for _, limits in found):
        return None
    hole = next((limits for z, limits in found if z[:1].isupper()), None)
    shaft = next((limits for z, limits in found if z[:1].islower()), None)
    return FitLimits(hole=hole, shaft=shaft)
