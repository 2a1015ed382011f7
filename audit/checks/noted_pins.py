"""Round parts that only a note sizes: ``PIN IS Ø 5/16 DOWEL``, ``PEGS ARE Ø9, LOOSE IN SIDES``.

They stand on no drawing and in no list, and yet a hole is bored for them. What the rest of the
sentence says of them, or another note, is read as that of any part.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.checks.names import match_name, read_words
from audit.checks.parts import PlanPart
from audit.checks.relations import Joint, read_joints
from audit.checks.said_fits import MARK, PINS, bare_unit
from audit.lengths import FormKind, Length, StatementForm, Unit, find_length
from audit.records import Audit, Statement, StatementKind

_FRACTION = r"(?:\d+[ -])?\d+/\d+|\d*[.,]?\d+"
_SIZED = re.compile(
    rf"\b(?P<name>(?:[A-Z]+ )??{PINS}) (?:IS|ARE)(?: OF| MADE OF| CUT FROM)?(?: AN?)? ?"
    rf"(?P<sign>[Ø⌀] ?)?(?P<size>{_FRACTION})(?P<mark>{MARK})?"
    r" ?(?P<round>DIA(?:M(?:ETER)?)?\b\.?|DOWELS?\b|RODS?\b)?(?: DOWELS?\b| RODS?\b)?"
)
_SAID = frozenset({StatementKind.NOTE, StatementKind.STOCK})


@dataclass(frozen=True, slots=True, kw_only=True)
class NotedPin:
    """A round part of a note, the note, and the sentence without the size."""

    part: PlanPart
    note: Statement
    rest: str


def find_noted_pins(audit: Audit, names: Sequence[str]) -> tuple[NotedPin, ...]:
    """Find the pins that a note gives a diameter, and that the plan names nowhere else.

    Parameters
    ----------
    audit : Audit
        Read.
    names : Sequence[str]
        Of the parts that are drawn or listed: what their drawing and row say goes before a note.

    Returns
    -------
    tuple of NotedPin
        None of a name that two notes size.
    """
    found = [
        pin
        for note in audit.statements
        if note.kind in _SAID and (pin := _read_pin(note, audit)) is not None
        if match_name(pin.part.name, names) is None
    ]
    told = [pin.part.name for pin in found]
    return tuple(pin for pin in found if told.count(pin.part.name) == 1)


def joints_of(pins: Sequence[NotedPin], names: Sequence[str]) -> list[tuple[Joint, Statement]]:
    """Read how pins go together with other parts by the sentences that size them.

    Parameters
    ----------
    pins : Sequence[NotedPin]
        From `find_noted_pins`.
    names : Sequence[str]
        Of all parts, the pins among them.

    Returns
    -------
    list of tuple of Joint and Statement
    """
    return [(joint, pin.note) for pin in pins for joint in read_joints(pin.rest, names)]


def _read_pin(note: Statement, audit: Audit) -> NotedPin | None:
    text = " ".join(note.text.upper().split())
    match = _SIZED.search(text)
    if match is None or not (match["sign"] or match["round"]):
        return None
    unit = note.value.unit if note.value is not None else bare_unit(audit)
    written = match["size"].replace(",", ".") + (match["mark"] or "")
    size = find_length(written, unit=Unit.IN if "/" in written else unit)
    if size is None or size.value <= 0:
        return None
    rest = text[match.end() :].lstrip(" ,;")
    name = " ".join(read_words(match["name"]))
    row = replace(note, subject=name, form=_row(name, size, text))
    return NotedPin(part=PlanPart(name=name, rows=(row,)), note=note, rest=f"{name} {rest}")


def _row(name: str, size: Length, text: str) -> StatementForm:
    return StatementForm(
        kind=FormKind.PARTS_ROW,
        text=text,
        subject=name,
        sizes=(size,),
        columns=("D",),
        material="DOWEL",
    )
