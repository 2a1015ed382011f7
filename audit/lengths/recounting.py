"""A callout meant anew, once it is known what its bare number counts."""

from __future__ import annotations

from fractions import Fraction

from audit.lengths.callout import Callout
from audit.lengths.callouts import parse_callouts
from audit.lengths.length import Unit, is_metric

UNITS = (Unit.IN, Unit.MM, Unit.CM, Unit.M)


def count_as(callout: Callout, text: str, unit: Unit) -> Callout:
    """Mean a callout again whose bare number counts a unit.

    Parameters
    ----------
    callout : Callout
        As it was meant so far.
    text : str
        What it was read from.
    unit : Unit

    Returns
    -------
    Callout
        The same of an angle, where its unit is printed, of a shop fraction where the unit is
        metric, and where the text has no such meaning. Of a text with several meanings the one
        that was chosen stays.

    Examples
    --------
    >>> [bare] = parse_callouts("60", unit=Unit.MM)
    >>> count_as(bare, "60", Unit.CM).size
    Length(value=Fraction(600, 1), unit=<Unit.MM: 'mm'>)
    >>> [said] = parse_callouts("60 mm", unit=Unit.MM)
    >>> count_as(said, "60 mm", Unit.CM) is said
    True
    """
    if callout.unit_printed or _says_unit(callout, text, unit):
        return callout
    for words in dict.fromkeys((text, callout.text)):
        meanings = parse_callouts(words, unit=unit)
        if callout in meanings:
            return callout
        meant = next((m for m in meanings if _number(m, unit) in _numbers(callout, words)), None)
        if meant is not None:
            return meant
    return callout


def _says_unit(callout: Callout, text: str, unit: Unit) -> bool:
    """Whether it is an angle, or a shop fraction where millimetres are to be counted."""
    if callout.size is None:
        return False
    inches = callout.size.unit is Unit.IN and "/" in text and is_metric(unit)
    return inches or callout.size.unit is Unit.DEG


def _number(callout: Callout, unit: Unit) -> Fraction | None:
    return None if callout.size is None else callout.size.value / unit.times


def _numbers(callout: Callout, words: str) -> set[Fraction]:
    """Numbers that the callout may have been meant by, whatever they counted."""
    found = set()
    for was in UNITS:
        before = parse_callouts(words, unit=was)
        if callout in before or callout.size is None:
            found |= {_number(before[0] if callout.size is None else callout, was)}
    return {number for number in found if number is not None}
