"""Pins, pegs and dowels against the holes they go into: a number that no share of them explains.

A hole takes one pin; a pin may fill two holes that meet, a rod may run through many, some holes may
be for something else, and another round part of that size may take some of them. So a number is
told only where no choice of the holes of its size comes to it, to a multiple of it, or to what it
makes together with other such parts.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.counts import count_of
from audit.checks.fits import Hole, holes_of, pin_size
from audit.checks.parts import PlanPart
from audit.checks.places import place_of
from audit.checks.relations import FREE_INTENTS, read_joints, read_needs
from audit.checks.words import say_length
from audit.lengths import Length, Mark, Unit
from audit.records import (
    Audit,
    Finding,
    Place,
    Severity,
    Side,
    Statement,
    StatementKind,
    Witness,
    WitnessKind,
)
from audit.scale.findings import join_words, say

TIGHTER = Length(Fraction(1, 32), Unit.IN)  # a hole of a pin is at most so much smaller
LOOSER = Length(Fraction(1, 16), Unit.IN)  # and so much larger; common practice, no source
MOST_GROUPS = 8  # all choices of more are not tried
EACH_HOLE = re.compile(r"\b(?:EACH|EVERY|ALL)(?: OF)?(?: THE)? HOLES?\b")


@dataclass(frozen=True, slots=True)
class _Places:
    """Holes of one callout that a pin may go into: how many the plan makes in all."""

    hole: Hole
    each: int
    parts: int

    @property
    def total(self) -> int:
        return self.each * self.parts


def check_pin_counts(parts: Sequence[PlanPart], audit: Audit) -> tuple[Finding, ...]:
    """Compare the number of every round part with the holes of its size.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        For its notes.

    Returns
    -------
    tuple[Finding, ...]
        P111.
    """
    told = []
    for pin in parts:
        made, size = count_of(pin), pin_size(pin, audit)
        if made is None or size is None or _is_needed(pin, parts, audit):
            continue
        notes = _notes_on(pin, parts, audit)
        places = _meant(pin, _places_for(pin, size, parts, audit=audit), notes, parts=parts)
        if made <= 1 or not places:
            continue
        others = _others_for(places, pin, parts, audit=audit)
        if others is not None and not _comes_to(made, [p.total for p in places], others):
            told.append(_tell(pin, made, places, notes=notes))
    return tuple(told)


def _is_needed(pin: PlanPart, parts: Sequence[PlanPart], audit: Audit) -> bool:
    """Whether a note says how many each of another part needs: that is told with the counts."""
    names = [p.name for p in parts]
    return any(
        need.part == pin.name for s in audit.statements for need in read_needs(s.text, names)
    )


def _notes_on(pin: PlanPart, parts: Sequence[PlanPart], audit: Audit) -> tuple[Statement, ...]:
    """Return the notes that say that a pin stays in another part."""
    names = [p.name for p in parts]
    return tuple(
        s
        for s in audit.statements
        if s.kind is StatementKind.NOTE
        and any(
            pin.name in (j.part, j.other) and j.other is not None and j.intent not in FREE_INTENTS
            for j in read_joints(s.text, names)
        )
    )


def _places_for(
    pin: PlanPart, size: Length, parts: Sequence[PlanPart], *, audit: Audit
) -> list[_Places]:
    """Return the holes of other parts that a pin may go into; none where a number is open."""
    found: list[_Places] = []
    for part in parts:
        if part is pin or part.is_round:
            continue
        fitting = [h for h in holes_of(part, audit) if _fits(size, h)]
        if not fitting:
            continue
        made = count_of(part)
        if made is None and (part.rows or part.counts):
            return []
        for hole in fitting:
            reading = hole.dimension.reading
            callout = reading.callout if reading is not None else None
            if callout is None or (callout.count is None and Mark.TYPICAL in callout.marks):
                return []
            found.append(_Places(hole, callout.count or 1, made or 1))
    return found


def _meant(
    pin: PlanPart,
    places: Sequence[_Places],
    notes: Sequence[Statement],
    *,
    parts: Sequence[PlanPart],
) -> list[_Places]:
    """Keep the holes of the part that a note names: GLUE PEGS IN DECK, ONE IN EACH HOLE."""
    names = [p.name for p in parts]
    joints = (j for s in notes if _says_each([s]) for j in read_joints(s.text, names))
    joined = {name for j in joints if pin.name in (j.part, j.other) for name in (j.part, j.other)}
    named = [p for p in places if p.hole.part.name in joined]
    return named or list(places)


def _fits(size: Length, hole: Hole) -> bool:
    return -TIGHTER <= hole.size - size <= LOOSER


def _others_for(
    places: Sequence[_Places], pin: PlanPart, parts: Sequence[PlanPart], *, audit: Audit
) -> list[int] | None:
    """Return how many of each other round part may go into holes; `None` where one is open."""
    numbers: list[int] = []
    for part in parts:
        size = pin_size(part, audit) if part is not pin and part.is_round else None
        if size is None or not any(_fits(size, p.hole) for p in places):
            continue
        made = count_of(part)
        if made is None:
            return None
        numbers.append(made)
    return numbers


def _comes_to(made: int, totals: Sequence[int], others: Sequence[int]) -> bool:
    """Whether some of the holes are as many as the pins, a multiple, or pins and others."""
    if len(totals) > MOST_GROUPS or len(others) > MOST_GROUPS:
        return True
    together = {made + sum(chosen) for chosen in _choices(others)}
    sums = {sum(chosen) for chosen in _choices(totals) if chosen}
    return any(total % made == 0 or total in together for total in sums)


def _choices(numbers: Sequence[int]) -> Iterator[tuple[int, ...]]:
    for many in range(len(numbers) + 1):
        yield from itertools.combinations(numbers, many)


def _tell(
    pin: PlanPart, made: int, places: Sequence[_Places], *, notes: Sequence[Statement]
) -> Finding:
    total = sum(p.total for p in places)
    each = join_words([_say_places(p) for p in places])
    text = f"The plan makes {made} × {pin.name}, but has {total} holes for it: {each}."
    sure = bool(notes) and (made < total or _says_each(notes))
    text += "" if sure else " Spares, or holes for something else, may explain it."
    shown = [place_of(p.hole.dimension) for p in places]
    said = [Place(sheet=s.sheet, box=s.box) for s in (*pin.rows, *pin.counts, *notes)]
    return say(
        "P111",
        text,
        places=[*shown, *said],
        dimensions=[p.hole.dimension.id for p in places],
        severity=None if sure else Severity.NOTE,
        witnesses=[
            Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says=f"{made} are to be made"),
            Witness(kind=WitnessKind.MATING, side=Side.AGAINST, says=f"{total} holes take one"),
            *(
                Witness(kind=WitnessKind.STATEMENT, side=Side.AGAINST, says=note.text)
                for note in notes
            ),
        ],
        rests_on=[f"these holes being those for {pin.name}"],
    )


def _says_each(notes: Sequence[Statement]) -> bool:
    return any(EACH_HOLE.search(note.text.upper()) for note in notes)


def _say_places(places: _Places) -> str:
    hole = places.hole
    size = f"{places.each} × Ø {say_length(hole.size)}"
    if places.parts == 1:
        return f"{size}, in {hole.part.name}"
    return f"{size}, in each of {places.parts} × {hole.part.name}"
