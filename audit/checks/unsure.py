"""Readings that are not sure enough to judge by: asked about, never silently dropped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from audit.checks.far_off import ASKED_LINES
from audit.checks.vouching import compare_size
from audit.checks.words import name_dimension, say_measured
from audit.geometry import Box
from audit.records import Dimension, Finding, Place, Settings, Sheet, Verdict
from audit.scale import NOT_SURELY_FOUND, why_not_read
from audit.scale.findings import say

HEARD = 0.1  # confidence from which another reading of a text is worth telling
MOST_HEARD = 2


def place_of(dimension: Dimension, sheet: Sheet) -> Place:
    """Return where a dimension stands, its text included.

    Parameters
    ----------
    dimension : Dimension
        With its ends.
    sheet : Sheet

    Returns
    -------
    Place
    """
    box = Box.around([e.point for e in dimension.ends] + list(dimension.line))
    if dimension.reading is not None:
        box = box.union(dimension.reading.box)
    return Place(sheet=sheet.id, box=box)


def tell_unsure(
    dimensions: Sequence[Dimension], *, sheet: Sheet, settings: Settings
) -> list[Finding]:
    """Say once a sheet which readings are not sure enough to judge by (A104).

    Parameters
    ----------
    dimensions : sequence of Dimension
        Judged, of this sheet.
    sheet : Sheet
    settings : Settings
        Its `confidence_limit` counts.

    Returns
    -------
    list of Finding
        Texts with what else was heard, first those that, as read, would disagree with what was
        measured; and lengths that may be no dimensions.
    """
    unsure = [
        d
        for d in dimensions
        if d.verdict is Verdict.NOT_CHECKED
        and d.reading is not None
        and (why_not_read(d, settings) or "").startswith("check the reading")
    ]
    return _tell_readings(unsure, sheet) + _tell_lines(dimensions, sheet)


def _tell_lines(dimensions: Iterable[Dimension], sheet: Sheet) -> list[Finding]:
    """Say which lengths would disagree, but may be no dimensions at all, or another number's."""
    every = list(dimensions)
    lone = [d for d in every if d.why == NOT_SURELY_FOUND]
    strange = [d for d in every if d.why in ASKED_LINES]
    told = []
    if lone:
        are = "are dimensions" if len(lone) > 1 else "is a dimension"
        told.append(_ask(_look_whether(lone, are, sheet), lone, sheet))
    if strange:
        are = "are those of their numbers" if len(strange) > 1 else "is that of its number"
        told.append(_ask(_look_whether(strange, are, sheet), strange, sheet))
    return told


def _look_whether(lines: Sequence[Dimension], are: str, sheet: Sheet) -> str:
    many = len(lines) > 1
    return (
        f"Look whether {len(lines)} line{'s' if many else ''} on {sheet.name} "
        f"{are}: {'; '.join(map(_say_drawn, lines))}. "
        f"Until a person has, {'they are' if many else 'it is'} not compared."
    )


def _tell_readings(unsure: list[Dimension], sheet: Sheet) -> list[Finding]:
    if not unsure:
        return []
    odd = [d for d in unsure if _would_disagree(d)]
    unsure = odd + [d for d in unsure if d not in odd]
    names = ", ".join(_name_heard(d) for d in unsure)
    text = (
        f"Check the reading of {len(unsure)} text{'s' if len(unsure) > 1 else ''} on "
        f"{sheet.name}: {names}. Until a person has, "
        f"{'they are' if len(unsure) > 1 else 'it is'} not compared."
    )
    if odd:
        text += f" As read, not all of them fit the drawing: {'; '.join(map(_say_drawn, odd))}."
    return [_ask(text, unsure, sheet)]


def _ask(text: str, about: Sequence[Dimension], sheet: Sheet) -> Finding:
    return say(
        "A104",
        text,
        places=[place_of(d, sheet) for d in about],
        dimensions=[d.id for d in about],
    )


def _would_disagree(dimension: Dimension) -> bool:
    """Whether a size, if it was read right, disagrees with what was measured."""
    printed = dimension.printed
    return printed is not None and compare_size(dimension, printed) is Verdict.DISAGREES


def _name_heard(dimension: Dimension) -> str:
    """Name a text with what else was heard in it."""
    reading = dimension.reading
    heard = [] if reading is None else [c for c in reading.candidates if c.confidence >= HEARD]
    said = dict.fromkeys(c.text for c in sorted(heard, key=lambda c: -c.confidence))
    others = [f"“{text}”" for text in said if reading is not None and text != reading.text]
    name = name_dimension(dimension)
    return f"{name} (or {' or '.join(others[:MOST_HEARD])})" if others else name


def _say_drawn(dimension: Dimension) -> str:
    scaled = dimension.scaled
    if scaled is None:
        raise ValueError("only a measured dimension is said")
    drawn = say_measured(scaled.value, scaled.expanded, unit=scaled.unit)
    return f"{name_dimension(dimension)} is drawn as {drawn}"
