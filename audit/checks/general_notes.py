"""What general notes give where nothing is printed: radii and holes, besides thickness.

ALL CORNERS R 1/8 UNLESS NOTED gives every unprinted radius that is drawn as large, and no other:
one drawn otherwise may be meant otherwise, and stays unprinted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.checks.parts import PlanPart
from audit.checks.places import place_of
from audit.checks.words import say_length
from audit.lengths import CalloutKind, Length, Unit
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    Finding,
    Statement,
    StatementKind,
    Verdict,
)
from audit.scale.findings import join_words, say

STEP_IN = 1 / 64  # a drawn size so near the note's, beyond its own uncertainty, is meant by it
STEP_MM = 0.4
_KINDS = {
    DimensionKind.RADIUS: (CalloutKind.RADIUS, "radius", "radii", "R "),
    DimensionKind.DIAMETER: (CalloutKind.DIAMETER, "hole", "holes", "Ø "),
}


def check_general_notes(
    parts: Sequence[PlanPart], audit: Audit
) -> tuple[list[Finding], list[Statement]]:
    """Find sizes that only a general note gives.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        Judged.

    Returns
    -------
    tuple[list[Finding], list[Statement]]
        M101 for each note that gives something, and those notes.
    """
    told: list[Finding] = []
    used: list[Statement] = []
    for kind, (wanted, *_) in _KINDS.items():
        notes = [n for n in audit.statements if _gives(n, wanted)]
        if len({n.value for n in notes}) != 1:
            continue
        note = notes[0]
        meant = [d for d in audit.dimensions if d.kind is kind and _is_meant(d, note)]
        if meant and note.value is not None:
            told.append(_tell(note, note.value, meant, parts))
            used.append(note)
    return told, used


def _gives(note: Statement, kind: CalloutKind) -> bool:
    return (
        note.kind is StatementKind.NOTE
        and note.value is not None
        and note.form is not None
        and note.form.value_kind is kind
    )


def _is_meant(dimension: Dimension, note: Statement) -> bool:
    """Whether nothing is printed, and the drawing shows what the note gives."""
    if dimension.verdict is not Verdict.NOT_PRINTED or dimension.scaled is None:
        return False
    if note.value is None or note.value.unit is Unit.DEG or dimension.scaled.unit is Unit.DEG:
        return False
    step = STEP_IN if dimension.scaled.unit is Unit.IN else STEP_MM
    size = float(note.value.to(dimension.scaled.unit))
    return abs(dimension.scaled.value - size) <= step / 2 + dimension.scaled.expanded


def _tell(
    note: Statement, value: Length, meant: Sequence[Dimension], parts: Sequence[PlanPart]
) -> Finding:
    _, one, many, mark = _KINDS[meant[0].kind]
    names = [p.name for p in parts if any(d in p.dimensions for d in meant)]
    where = f" of {join_words(names)}" if names else ""
    what = f"one {one}" if len(meant) == 1 else f"{len(meant)} {many}"
    text = (
        f"No size is printed on {what}{where}; the note “{note.text}” gives {mark}"
        f"{say_length(value)}, as drawn (implied by the general note)."
    )
    finding = say(
        "M101",
        text,
        places=[place_of(d) for d in meant],
        dimensions=[d.id for d in meant],
        rests_on=[f"the note “{note.text}”"],
    )
    return replace(finding, suggestion=say_length(value).removesuffix(" in").removesuffix(" mm"))
