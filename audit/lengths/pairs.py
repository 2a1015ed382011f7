"""Two numbers printed for one size: ``25.4 [1]``, ``1/2 (12.7)``."""

from __future__ import annotations

from fractions import Fraction

from audit.lengths.amounts import Amount, Form
from audit.lengths.length import MM_PER_INCH, Unit

# Converted sizes are rounded to trade sizes (1/4 in for 6 mm is 5.5 % off); further apart, the
# two numbers are not one size. Common practice, no source.
LOOSEST = Fraction(6, 100)
_OTHER = {Unit.IN: Unit.MM, Unit.MM: Unit.IN}


def other_unit(unit: Unit) -> Unit:
    """Return inches for millimetres and the other way round."""
    return _OTHER[unit.counted]


def pair_units(first: Amount, second: Amount, *, unit: Unit | None) -> tuple[Unit, Unit] | None:
    """Tell which of two numbers for one size is in inches and which in millimetres.

    Parameters
    ----------
    first : Amount
    second : Amount
    unit : Unit or None
        Of the caller: what a bare number counts on this sheet.

    Returns
    -------
    tuple of Unit or None
        Units of both; `None` when they are not one size in two units.

    Notes
    -----
    The numbers decide, not the caller: 25.4 [1] is millimetres first on any sheet, since no other
    reading converts. Where both units are printed and differ, they are a pair even if they do not
    convert (that is a mistake to be found, not hidden).
    """
    printed = (first.unit, second.unit)
    if set(printed) == {Unit.IN, Unit.MM}:
        return printed  # type: ignore[return-value]
    if Unit.DEG in printed or unit is Unit.DEG:
        return None
    for units in ((Unit.IN, Unit.MM), (Unit.MM, Unit.IN)):
        allowed = all(p in (None, u) for p, u in zip(printed, units, strict=True))
        if allowed and _converts(first, second, inches_first=units[0] is Unit.IN):
            return units
    return None


def _converts(first: Amount, second: Amount, *, inches_first: bool) -> bool:
    inches, millimetres = (first, second) if inches_first else (second, first)
    if inches.value <= 0 or millimetres.value <= 0:
        return False
    exact = inches.value * MM_PER_INCH
    slack = max(exact * LOOSEST, half_step(millimetres))
    return abs(exact - millimetres.value) <= slack


def half_step(amount: Amount) -> Fraction:
    """Return half of the last printed place; whole numbers of a pair were rounded to units."""
    if amount.form is Form.INTEGER:
        return Fraction(1, 2)
    return amount.step / 2
