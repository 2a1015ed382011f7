"""Callouts and statements in plain words: for the table of forms, and for showing a reading."""

from __future__ import annotations

from collections.abc import Iterator

from audit.lengths.callout import Callout, CalloutKind, Mark, PrintedTolerance, Thread
from audit.lengths.length import Length, Unit
from audit.lengths.spelling import Style, spell, spell_mixed
from audit.lengths.statement import FormKind, StatementForm

_FINEST_FRACTION = 64  # inches of a finer or another denominator are written as decimals
_STYLES = {Unit.IN: Style.FRACTION, Unit.MM: Style.MM, Unit.DEG: Style.DEGREES}


def describe_callout(callout: Callout) -> str:
    """Say in one line what a callout says.

    Parameters
    ----------
    callout : Callout

    Returns
    -------
    str
        Everything but its remark and rank: two readings with one description are one reading.

    Examples
    --------
    >>> from audit.lengths.callouts import parse_callouts
    >>> describe_callout(parse_callouts("6X R 3/8 TYP", unit=Unit.IN)[0])
    '6 of: radius 3/8", TYP'
    >>> describe_callout(parse_callouts("DO", unit=Unit.IN)[0])
    'ditto'
    """
    head = _head(callout)
    if callout.count is not None:
        head = f"{callout.count} of: {head}" if head else f"count {callout.count}"
    parts = [part for part in (head, *_details(callout)) if part]
    return "; with ".join([", ".join(parts), *map(describe_callout, callout.further)])


def describe_statement(form: StatementForm) -> str:
    """Say in one line what a statement says.

    Parameters
    ----------
    form : StatementForm

    Returns
    -------
    str

    Examples
    --------
    >>> from audit.lengths.statements import parse_statements
    >>> describe_statement(parse_statements("ALL PARTS 1/4 THICK UNLESS NOTED", unit=Unit.IN)[0])
    'general note: PARTS, thickness 1/4", unless noted'
    """
    details = ", ".join(_statement_details(form))
    return f"{form.kind.value}: {details}" if details else form.kind.value


def spell_marked(length: Length) -> str:
    """Write a length the way its unit is usually written.

    Parameters
    ----------
    length : Length

    Returns
    -------
    str
        Shop fractions of an inch, other inches and millimetres as decimals, degrees and minutes.
    """
    if length.unit is Unit.IN and _FINEST_FRACTION % length.value.denominator:
        return spell(length, style=Style.DECIMAL)
    return spell(length, style=_STYLES[length.unit])


def _head(callout: Callout) -> str:
    if callout.ditto:
        return "ditto"
    if callout.thread is not None:
        return _describe_thread(callout.thread)
    kind = "size" if callout.kind is CalloutKind.DISTANCE else callout.kind.value
    if callout.drill:
        kind = f"drill {callout.drill}, {kind}"
    if callout.ratio is not None and callout.size is None:
        return f"{kind} {callout.ratio.numerator}:{callout.ratio.denominator}"
    if callout.size is not None:
        return f"{kind} {spell_marked(callout.size)}"
    if callout.kind is not CalloutKind.DISTANCE:
        return f"{kind} without a number"
    return "" if callout.count is not None or callout.marks or callout.alternate else "no unit"


def _describe_thread(thread: Thread) -> str:
    parts = [f"{thread.series} thread {thread.size}"]
    if thread.major is not None:
        parts.append(f"major {spell_marked(thread.major)}")
    if thread.threads_per_inch is not None:
        parts.append(f"{thread.threads_per_inch} to the inch")
    if thread.pitch is not None:
        parts.append(f"pitch {spell_marked(thread.pitch)}")
    return ", ".join([*parts, thread.grade] if thread.grade else parts)


def _details(callout: Callout) -> Iterator[str]:
    if callout.tolerance is not None and callout.size is not None:
        yield _describe_tolerance(callout.tolerance, callout.size.unit)
    if callout.fit:
        yield f"fit {callout.fit}"
    if callout.second is not None:
        yield f"by {spell_marked(callout.second)}"
    if callout.alternate is not None:
        yield f"also given as {spell_marked(callout.alternate)}"
    if callout.total is not None:
        yield f"adding up to {spell_marked(callout.total)}"
    yield from sorted(mark.value for mark in callout.marks if mark is not Mark.REFERENCE)
    if callout.reference:
        yield "for reference"
    if callout.noun:
        yield callout.noun


def _describe_tolerance(tolerance: PrintedTolerance, unit: Unit) -> str:
    upper, lower = (
        spell_marked(Length(abs(value), unit)) for value in (tolerance.upper, tolerance.lower)
    )
    if tolerance.upper == -tolerance.lower:
        return f"± {upper}"
    return f"+ {upper} - {lower}"


def _statement_details(form: StatementForm) -> Iterator[str]:
    if form.item:
        yield f"item {form.item}"
    if form.subject:
        yield form.subject
    if form.count is not None and form.kind is not FormKind.ITEM:
        yield f"count {form.count}" if form.kind is FormKind.PARTS_ROW else str(form.count)
    if form.factor is not None:
        yield f"× {spell_mixed(form.factor)}"
    if form.unit is not None and form.kind is FormKind.UNIT:
        yield form.unit.value
    if form.tolerance is not None and form.unit is not None:
        yield _describe_tolerance(form.tolerance, form.unit)
    elif form.sizes:
        yield " × ".join(map(spell_marked, form.sizes))
    elif form.value is not None:
        kind = "" if form.value_kind is None else f"{form.value_kind.value} "
        yield f"{kind}{spell_marked(form.value)}"
    if form.material:
        yield f"of {form.material}"
    if form.unless_noted:
        yield "unless noted"
