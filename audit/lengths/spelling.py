"""Exact lengths to text: whatever is spelled parses back to the same length."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction

from audit.lengths.length import Length, Unit

# Longest decimal tail spelled out, in places: enough for 1/64 in as mm (.396875) and for 1/4096.
# Beyond it, and for thirds and the like, an exact fraction is shorter than a rounded decimal.
MAX_PLACES = 12


class Style(StrEnum):
    """How a length is written.

    FRACTION ``3 9/32"``, DECIMAL ``3.28125"``, FEET ``3'-6 1/2"``, MM ``82.55 mm``, DEGREES
    ``5°30'``. PLAIN is the spelling of the result JSON: the length in its own unit without a mark,
    inches as ``3 9/32``, millimetres and degrees as ``82.55``.
    """

    PLAIN = "plain"
    FRACTION = "fraction"
    DECIMAL = "decimal"
    FEET = "feet"
    MM = "mm"
    DEGREES = "degrees"


def spell(length: Length, *, style: Style = Style.FRACTION) -> str:
    r"""Write a length so that reading it again gives the same length, exactly.

    Parameters
    ----------
    length : Length
        Angles are written in degrees whatever the style.
    style : Style

    Returns
    -------
    str
        A value that has no finite decimal in the style asked for is written as a fraction: a third
        of an inch is ``1/3"`` in decimal inches and ``8 7/15 mm`` in millimetres.

    Raises
    ------
    ValueError
        If a length is to be written in degrees.

    Examples
    --------
    >>> size = Length(Fraction(105, 32), Unit.IN)
    >>> [spell(size, style=style) for style in (Style.FRACTION, Style.DECIMAL, Style.PLAIN)]
    ['3 9/32"', '3.28125"', '3 9/32']
    >>> spell(Length(Fraction(85, 2), Unit.IN), style=Style.FEET)
    '3\'-6 1/2"'
    >>> spell(Length(Fraction(0), Unit.MM), style=Style.MM)
    '0 mm'
    """
    if length.unit is Unit.DEG:
        return _spell_angle(length.value, style)
    if style is Style.DEGREES:
        raise ValueError("a length is not written in degrees")
    if style is Style.PLAIN:
        return spell_mixed(length.value) if length.unit is Unit.IN else spell_decimal(length.value)
    if style is Style.MM:
        return f"{spell_decimal(length.to(Unit.MM).value)} mm"
    inches = length.to(Unit.IN).value
    if style is Style.FEET:
        return _spell_feet(inches)
    return f'{spell_mixed(inches) if style is Style.FRACTION else spell_decimal(inches)}"'


def spell_fraction(length: Length) -> str:
    """Write the bare exact value in its own unit, as ``105/32`` (`printed.value` in the JSON).

    Examples
    --------
    >>> (
    ...     spell_fraction(Length(Fraction(105, 32), Unit.IN)),
    ...     spell_fraction(Length(Fraction(3), Unit.MM)),
    ... )
    ('105/32', '3')
    """
    return str(length.value)


def spell_mixed(value: Fraction) -> str:
    """Write a number as ``a b/c``.

    Examples
    --------
    >>> spell_mixed(Fraction(23, 16)), spell_mixed(Fraction(-3, 2)), spell_mixed(Fraction(0))
    ('1 7/16', '-1 1/2', '0')
    """
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    if rest == 0:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def spell_decimal(value: Fraction) -> str:
    """Write a number as a decimal when it has a finite one, else as ``a b/c``.

    Examples
    --------
    >>> spell_decimal(Fraction(7, 8)), spell_decimal(Fraction(-12)), spell_decimal(Fraction(1, 3))
    ('0.875', '-12', '1/3')
    """
    places = count_places(value)
    if places is None:
        return spell_mixed(value)
    if places == 0:
        return str(value)
    digits = f"{abs(value) * 10**places}".zfill(places + 1)
    return f"{'-' if value < 0 else ''}{digits[:-places]}.{digits[-places:]}"


def count_places(value: Fraction) -> int | None:
    """Decimal places that write a number exactly; `None` when no finite number (or too many) do.

    Examples
    --------
    >>> count_places(Fraction(1, 64)), count_places(Fraction(5)), count_places(Fraction(1, 7))
    (6, 0, None)
    """
    for places in range(MAX_PLACES + 1):
        if 10**places % value.denominator == 0:
            return places
    return None


def _spell_feet(inches: Fraction) -> str:
    sign = "-" if inches < 0 else ""
    feet, rest = divmod(abs(inches), 12)
    return f"{sign}{feet}'-{spell_mixed(rest)}\""


def _spell_angle(degrees: Fraction, style: Style) -> str:
    if style is Style.PLAIN:
        return spell_decimal(degrees)
    if style is Style.DECIMAL:
        return f"{spell_decimal(degrees)}°"
    if style is Style.FRACTION:
        return f"{spell_mixed(degrees)}°"
    whole, rest = divmod(abs(degrees), 1)
    minutes, rest = divmod(rest * 60, 1)
    seconds = rest * 60
    if count_places(seconds) is None:
        return f"{spell_mixed(degrees)}°"
    tail = ""
    if minutes or seconds:
        tail = f"{minutes}'"
    if seconds:
        tail += f'{spell_decimal(seconds)}"'
    return f"{'-' if degrees < 0 else ''}{whole}°{tail}"
