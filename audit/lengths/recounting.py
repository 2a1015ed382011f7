"""Callouts and statements meant anew, once it is known what their bare numbers count."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from itertools import islice

from audit.lengths.callout import Callout
from audit.lengths.callouts import parse_callouts
from audit.lengths.length import Length, Unit, is_metric
from audit.lengths.statement import StatementForm

UNITS = (Unit.IN, Unit.MM, Unit.CM, Unit.M)
ENOUGH = 30  # numbers that tell what those of a plan count; more only take time

_UNIT_PRINTED = re.compile(r"[\"'/″′]|\d\s*(?:[mc]?m|in|ft)\b", re.IGNORECASE)
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?|[.,]\d+")


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


def count_form_as(form: StatementForm, text: str, unit: Unit) -> StatementForm:
    """Mean a statement again whose bare numbers count a unit.

    Parameters
    ----------
    form : StatementForm
        As it was meant so far.
    text : str
        What it was read from, its cells joined where it is a row of a table.
    unit : Unit

    Returns
    -------
    StatementForm
        The same where it tells no length, where a unit or a shop fraction is printed, and where its
        lengths are no numbers of the text.

    Examples
    --------
    >>> row = StatementForm(kind="row", text="SIDE  18", value=Length(Fraction(18), Unit.MM))
    >>> count_form_as(row, row.text, Unit.CM).value
    Length(value=Fraction(180, 1), unit=<Unit.MM: 'mm'>)
    """
    lengths = [*form.sizes, *([form.value] if form.value is not None else [])]
    if not lengths or _UNIT_PRINTED.search(text) or any(n.unit is Unit.DEG for n in lengths):
        return form
    printed = {Fraction(number.replace(",", ".")) for number in _NUMBER.findall(text)}
    for was in UNITS:
        if all(n.unit is was.counted and n.value / was.times in printed for n in lengths):
            return _recounted(form, was, unit)
    return form


def _recounted(form: StatementForm, was: Unit, unit: Unit) -> StatementForm:
    def again(length: Length) -> Length:
        return Length(length.value / was.times, unit)

    value = None if form.value is None else again(form.value)
    return replace(form, value=value, sizes=tuple(map(again, form.sizes)))


def counted_unit(read: Iterable[tuple[Callout, str]]) -> Unit | None:
    """Tell what the bare numbers of some callouts count.

    Parameters
    ----------
    read : iterable of (Callout, str)
        And what each was read from.

    Returns
    -------
    Unit or None
        That of most; `None` where there is no bare number.
    """
    told = ((c, text) for c, text in read if c.size is not None and not c.unit_printed)
    bare = [*islice(told, ENOUGH)]
    votes = Counter(u for c, text in bare for u in UNITS if c in parse_callouts(text, unit=u))
    return max(UNITS, key=lambda u: votes[u]) if votes else None
