"""Stock as it measures, in the slots and dados that were sized by its name.

Stock is called 3/4 and measures 23/32. A size of just its nominal thickness on another part may be
a slot for it: a labelled one is judged, any other only asked about.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from audit.checks.missing import listed_thickness
from audit.checks.names import find_names, is_same_name, read_words
from audit.checks.parts import PlanPart
from audit.checks.places import place_of
from audit.checks.words import say_length
from audit.lengths import Length
from audit.records import Audit, Dimension, DimensionKind, Finding, Part, Severity
from audit.scale.findings import join_words, say

SLOT_WORDS = frozenset(("SLOT", "DADO", "GROOVE", "RABBET", "MORTISE", "NOTCH", "HOUSING"))


def check_stock(parts: Iterable[PlanPart], audit: Audit) -> list[Finding]:
    """Run slots and dados again with the stock as it measures.

    Parameters
    ----------
    parts : Iterable[PlanPart]
        From `find_parts`.
    audit : Audit
        With the parts a person measured.

    Returns
    -------
    list[Finding]
        F106.
    """
    parts = list(parts)
    told: list[Finding] = []
    for stock in audit.parts:
        nominal, measured = _called(stock, parts), stock.measured_thickness
        if nominal is None or measured is None or nominal == measured:
            continue
        others = [p for p in parts if not is_same_name(p.name, stock.name)]
        told += _judge_slots(stock, nominal, measured, others)
        asked = [(p, d) for p in others for d in p.dimensions if _may_be_slot(d, nominal)]
        if asked:
            told.append(_ask(stock, nominal, measured, asked))
    return told


def _called(stock: Part, parts: Iterable[PlanPart]) -> Length | None:
    """Thickness a part goes by: said by a person, else by the parts list."""
    if stock.nominal_thickness is not None:
        return stock.nominal_thickness
    return next((listed_thickness(p) for p in parts if is_same_name(p.name, stock.name)), None)


def _judge_slots(
    stock: Part, nominal: Length, measured: Length, others: Iterable[PlanPart]
) -> Iterator[Finding]:
    """Judge labelled slots: of the nominal size, or said to be for this part."""
    for part in others:
        for slot in part.dimensions:
            size = slot.printed
            if size is None or not (_is_slot(slot) and (size == nominal or _is_for(slot, stock))):
                continue
            room = size - measured
            if room.value == 0:
                continue
            verb = "too tight" if room.value < 0 else "loose"
            text = (
                f"{stock.name} is called {say_length(nominal)} and measures "
                f"{say_length(measured)}: in the {say_length(size)} slot of {part.name} it "
                f"is {say_length(abs(room))} {verb}."
            )
            meant = size != nominal and room.value > 0  # drawn with room, more or less of it
            yield say(
                "F106",
                text,
                severity=Severity.NOTE if meant else None,
                places=[place_of(slot)],
                dimensions=[slot.id],
            )


def _ask(
    stock: Part,
    nominal: Length,
    measured: Length,
    asked: Sequence[tuple[PlanPart, Dimension]],
) -> Finding:
    """Ask once about sizes that are as wide as the stock is called."""
    names = join_words(list(dict.fromkeys(p.name for p, _ in asked)))
    room = measured - nominal
    verb = "wider" if room.value > 0 else "narrower"
    text = (
        f"{stock.name} is called {say_length(nominal)} and measures {say_length(measured)}. "
        f"Where a {say_length(nominal)} of {names} is a slot or a dado for it, make that "
        f"{say_length(abs(room))} {verb}."
    )
    return say(
        "F106",
        text,
        severity=Severity.NOTE,
        places=[place_of(d) for _, d in asked],
        dimensions=[d.id for _, d in asked],
        rests_on=[f"the thickness measured on {stock.name}"],
    )


def _words(dimension: Dimension) -> str:
    callout = dimension.reading.callout if dimension.reading is not None else None
    return callout.noun if callout is not None else ""


def _is_slot(dimension: Dimension) -> bool:
    return bool(SLOT_WORDS & set(read_words(_words(dimension))))


def _is_for(dimension: Dimension, stock: Part) -> bool:
    return bool(find_names(_words(dimension), [stock.name]))


def _may_be_slot(dimension: Dimension, nominal: Length) -> bool:
    plain = dimension.kind is DimensionKind.DISTANCE and not _is_slot(dimension)
    return plain and dimension.printed == nominal
