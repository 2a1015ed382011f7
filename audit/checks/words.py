"""How sizes and differences are said to a person."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from audit.lengths import Length, Style, Unit, spell, spell_decimal
from audit.records import Dimension, Scale, View
from audit.scale.findings import name_view

MOST_PLACES = 4
FINEST = 64  # denominators go no finer in a shop
# Steps in which the smallest visible error is told, in the unit.
_TOLD_STEPS = {
    Unit.IN: tuple(2.0**-k for k in range(6, -4, -1)),
    Unit.MM: (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0),
    Unit.DEG: (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0),
}
_MARKS = {Unit.IN: " in", Unit.MM: " mm", Unit.DEG: "°"}


def say_length(length: Length) -> str:
    """Say an exact size with its unit.

    Parameters
    ----------
    length : Length
        A length or an angle.

    Returns
    -------
    str
        Inches as fractions, where a rule has such.

    Examples
    --------
    >>> from fractions import Fraction
    >>> say_length(Length(Fraction(105, 32), Unit.IN)), say_length(Length(Fraction(0), Unit.MM))
    ('3 9/32 in', '0 mm')
    >>> say_length(Length(Fraction(21, 100), Unit.IN))
    '0.21 in'
    """
    if length.unit is Unit.IN and FINEST % length.value.denominator:
        return f"{spell_decimal(length.value)}{_MARKS[length.unit]}"
    return f"{spell(length, style=Style.PLAIN)}{_MARKS[length.unit]}"


def say_printed(dimension: Dimension) -> str:
    """Say a printed size as it stands on the sheet, and what it means where that is another number.

    Parameters
    ----------
    dimension : Dimension
        With a printed size.

    Returns
    -------
    str
        ``3 9/32 in``; ``5.500 in`` and ``12,5 mm`` where decimals are printed; ``“31,8” (318 mm)``
        where the plan counts centimetres, ``“3'-6 1/2"” (42 1/2 in)`` where feet as well.

    Raises
    ------
    ValueError
        If nothing is printed.
    """
    size, reading = dimension.printed, dimension.reading
    if size is None or reading is None or reading.callout is None:
        raise ValueError("only a printed size can be said as it is printed")
    said, text = say_length(size), reading.callout.text
    numeral = said.removesuffix(_MARKS[size.unit])
    if re.search(rf"(?<![\d.,/]){re.escape(numeral)}(?![\d.,/])", text.replace("-", " ")):
        return said
    decimals = re.findall(r"\d*[.,]\d+", reading.text)
    same = [d for d in decimals if Fraction(d.replace(",", ".")) == size.value]
    return f"{same[0]}{_MARKS[size.unit]}" if same else f"“{reading.text}” ({said})"


def say_number(value: float, unit: Unit, *, expanded: float) -> str:
    """Say a measured number with as many places as its uncertainty leaves meaning to.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : Unit
        Of the value.
    expanded : float
        U of the value, or any length that sets how fine it is told.

    Returns
    -------
    str
        With the unit.

    Examples
    --------
    >>> say_number(3.37512, Unit.IN, expanded=0.0091), say_number(85.7, Unit.MM, expanded=3.0)
    ('3.3751 in', '85.7 mm')
    """
    return f"{value:.{_places(expanded)}f}{_MARKS[unit]}"


def say_difference(value: float, unit: Unit, *, expanded: float) -> str:
    """Say how far two sizes are apart, in shop fractions where one fits.

    Parameters
    ----------
    value : float
        In `unit`; its sign is not told.
    unit : Unit
        Of the value.
    expanded : float
        U of the value.

    Returns
    -------
    str
        The 64th within the uncertainty, else a decimal.

    Examples
    --------
    >>> say_difference(-0.0937, Unit.IN, expanded=0.0091)
    '3/32 in'
    >>> say_difference(0.0975, Unit.IN, expanded=0.0004), say_difference(2.5, Unit.MM, expanded=0.2)
    ('0.0975 in', '2.50 mm')
    """
    size = abs(value)
    shop = Fraction(round(size * FINEST), FINEST)
    if unit is Unit.IN and shop > 0 and abs(float(shop) - size) <= expanded <= 1 / FINEST:
        return say_length(Length(shop, unit))
    return say_number(size, unit, expanded=expanded)


def say_measured(value: float, expanded: float, *, unit: Unit) -> str:
    """Say a measured size with its uncertainty.

    Parameters
    ----------
    value : float
        In `unit`.
    expanded : float
        U, k = 2; said rounded up.
    unit : Unit
        Of both.

    Returns
    -------
    str
        ``3.3750 ± 0.0091 in``.

    Examples
    --------
    >>> say_measured(3.375, 0.00901, unit=Unit.IN), say_measured(45.0, 0.0, unit=Unit.DEG)
    ('3.3750 ± 0.0091 in', '45.0000 ± 0.0000°')
    """
    places = _places(expanded)
    step = 10.0**-places
    said = math.ceil(expanded / step - 1e-9) * step
    return f"{value:.{places}f} ± {said:.{places}f}{_MARKS[unit]}"


def say_limit(limit: float, unit: Unit) -> str:
    """Say the smallest error a view shows, rounded up to a step people use.

    Parameters
    ----------
    limit : float
        In `unit`, positive.
    unit : Unit
        Of the limit.

    Returns
    -------
    str
        ``1/16 in``.

    Examples
    --------
    >>> say_limit(0.05, Unit.IN), say_limit(0.7, Unit.MM), say_limit(100.0, Unit.MM)
    ('1/16 in', '1 mm', '100 mm')
    """
    step = next((s for s in _TOLD_STEPS[unit] if s >= limit * (1 - 1e-9)), None)
    if step is None:
        return f"{limit:.3g}{_MARKS[unit]}"
    if unit is Unit.IN and step < 1:
        return f"1/{round(1 / step)} in"
    return f"{step:g}{_MARKS[unit]}"


def name_dimension(dimension: Dimension) -> str:
    """Say which dimension is meant.

    Parameters
    ----------
    dimension : Dimension
        With or without a text.

    Returns
    -------
    str
        Its printed text in quotation marks, or its number.
    """
    if dimension.reading is None:
        return f"dimension {dimension.id}"
    return f"“{dimension.reading.text}”"


def _places(expanded: float) -> int:
    """Two significant digits of the uncertainty, one place at least."""
    if not expanded > 0:
        return MOST_PLACES
    return min(max(1 - math.floor(math.log10(expanded)), 1), MOST_PLACES)


def rests_on_scale(view: View) -> tuple[str, ...]:
    """Say what a size measured in a view rests on.

    Parameters
    ----------
    view : View
        With or without a scale.

    Returns
    -------
    tuple[str, ...]
        Empty without a scale.
    """
    if not isinstance(view.scale, Scale):
        return ()
    how = {"known": "known sizes", "consensus": "its printed sizes"}.get(view.scale.source.value)
    return (f"the scale of {name_view(view)}" + (f", from {how}" if how else ""),)
