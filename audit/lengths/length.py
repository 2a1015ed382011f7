"""A length or an angle, exact."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

# Exact. NBS Circular 572 addendum (January 1960); Federal Register 24 FR 5348 (1 July 1959).
MM_PER_INCH = Fraction(127, 5)


class Unit(StrEnum):
    """What a number counts: inches, millimetres, or degrees.

    The bare numbers of a sheet may count centimetres or metres as well. No length does: it is
    millimetres then, exactly (`counted`).
    """

    IN = "in"
    MM = "mm"
    DEG = "deg"
    CM = "cm"
    M = "m"

    @property
    def counted(self) -> Unit:
        """The unit of the lengths that numbers in this one are made into.

        Examples
        --------
        >>> Unit.CM.counted, Unit.IN.counted
        (<Unit.MM: 'mm'>, <Unit.IN: 'in'>)
        """
        return Unit.MM if self in _MM_IN else self

    @property
    def times(self) -> int:
        """How many `counted` units one of this unit is."""
        return _MM_IN.get(self, 1)


_MM_IN = {Unit.CM: 10, Unit.M: 1000}  # BIPM, SI Brochure: prefixes centi and milli


def is_metric(unit: Unit | None) -> bool:
    """Whether numbers in a unit are made into millimetres."""
    return unit is not None and unit.counted is Unit.MM


@dataclass(frozen=True, slots=True, order=False)
class Length:
    """An exact size: a fraction of one unit.

    `Unit.DEG` makes it an angle; angles and lengths never mix. Centimetres and metres become
    millimetres as it is made.

    Examples
    --------
    >>> Length(Fraction(6), Unit.CM)
    Length(value=Fraction(60, 1), unit=<Unit.MM: 'mm'>)
    >>> Length(Fraction(3, 8), Unit.IN).to(Unit.MM).value
    Fraction(381, 40)
    >>> Length(Fraction(1), Unit.IN) == Length(Fraction(127, 5), Unit.MM)
    True
    """

    value: Fraction
    unit: Unit

    def __post_init__(self) -> None:
        if self.unit in _MM_IN:
            object.__setattr__(self, "value", self.value * self.unit.times)
            object.__setattr__(self, "unit", self.unit.counted)

    def to(self, unit: Unit) -> Length:
        """Return the same length in another unit, exactly.

        Raises
        ------
        ValueError
            If one of the two units is an angle and the other is not.
        """
        unit = unit.counted
        if unit is self.unit:
            return self
        if Unit.DEG in (unit, self.unit):
            raise ValueError("an angle is no length")
        factor = MM_PER_INCH if unit is Unit.MM else 1 / MM_PER_INCH
        return Length(self.value * factor, unit)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Length):
            return NotImplemented
        if (self.unit is Unit.DEG) != (other.unit is Unit.DEG):
            return False
        return self.value == other.to(self.unit).value

    def __hash__(self) -> int:
        if self.unit is Unit.DEG:
            return hash((self.value, self.unit))
        return hash(self.to(Unit.MM).value)

    def __lt__(self, other: Length) -> bool:
        return self.value < other.to(self.unit).value

    def __le__(self, other: Length) -> bool:
        return self.value <= other.to(self.unit).value

    def __add__(self, other: Length) -> Length:
        return Length(self.value + other.to(self.unit).value, self.unit)

    def __sub__(self, other: Length) -> Length:
        return Length(self.value - other.to(self.unit).value, self.unit)

    def __mul__(self, factor: Fraction | int) -> Length:
        return Length(self.value * factor, self.unit)

    __rmul__ = __mul__

    def __neg__(self) -> Length:
        return Length(-self.value, self.unit)

    def __abs__(self) -> Length:
        return Length(abs(self.value), self.unit)

    def __float__(self) -> float:
        return float(self.value)
