"""Counts: what is printed against what the assembly needs, and the plan against itself.

Only printed numbers are compared here. What is seen in a view is no count: hidden, mirrored and
other-hand copies are not drawn.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from audit.checks.parts import PlanPart
from audit.checks.relations import Need, read_needs
from audit.records import (
    Audit,
    Finding,
    Place,
    Side,
    Statement,
    StatementKind,
    Witness,
    WitnessKind,
)
from audit.scale.findings import join_words, say

SPARE_SHARE = 0.10  # of small parts, common shop practice, no source
LEAST_SPARES = 2
SURE = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class CountsChecked:
    """Findings of counts, and the statements that were compared."""

    findings: tuple[Finding, ...] = ()
    used: tuple[Statement, ...] = ()


@dataclass(frozen=True, slots=True)
class _Needed:
    """How many of a part the notes ask for, and the notes."""

    count: int
    words: tuple[str, ...]
    notes: tuple[Statement, ...]


def check_counts(parts: Sequence[PlanPart], audit: Audit) -> CountsChecked:
    """Compare the counts of every part with each other and with what the notes need.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        For its notes.

    Returns
    -------
    CountsChecked
        Findings P102 and P103.
    """
    by_name = {p.name: p for p in parts}
    needs, notes = _read_notes(parts, audit)
    findings: list[Finding] = []
    used: list[Statement] = list(notes)
    for part in parts:
        said = [*part.rows, *part.counts]
        said = [s for s in said if s.count is not None]
        needed = _add_up(part.name, needs, by_name)
        if len(said) > 1 or needed is not None:
            used += [s for s in said if s.kind is StatementKind.COUNT]
            used += [s for s in said if s.kind is StatementKind.PARTS_ROW]
        findings += _tell_difference(part, said, needed)
        if needed is not None and said:
            findings += _tell_too_few(part, said, needed)
    findings += _tell_stated(needs, by_name)
    return CountsChecked(findings=tuple(findings), used=tuple(dict.fromkeys(used)))


def _read_notes(
    parts: Sequence[PlanPart], audit: Audit
) -> tuple[list[tuple[Need, Statement]], list[Statement]]:
    names = [p.name for p in parts]
    needs = [
        (need, note)
        for note in audit.statements
        if note.kind in (StatementKind.NOTE, StatementKind.COUNT)
        for need in read_needs(note.text, names)
    ]
    return needs, list(dict.fromkeys(note for _, note in needs))


def count_of(part: PlanPart) -> int | None:
    """Return the number of a part to make; `None` when nothing or different things are said."""
    said = {s.count for s in (*part.rows, *part.counts) if s.count is not None}
    return said.pop() if len(said) == 1 else None


def _add_up(
    name: str, needs: Iterable[tuple[Need, Statement]], by_name: dict[str, PlanPart]
) -> _Needed | None:
    """Add what each other part needs of one; `None` when any of them has no sure number."""
    total, words, notes = 0, [], []
    for need, note in needs:
        if need.part != name:
            continue
        others = count_of(by_name[need.of])
        if others is None and need.stated is None:
            return None
        times = others if others is not None else need.stated or 0
        total += need.count * times
        words.append(f"{need.count} for each of {times} × {need.of}")
        notes.append(note)
    return _Needed(total, tuple(words), tuple(notes)) if notes else None


def _tell_difference(
    part: PlanPart, said: Sequence[Statement], needed: _Needed | None
) -> list[Finding]:
    """Tell when the list and the drawing ask for different numbers."""
    by_count: dict[int, list[Statement]] = defaultdict(list)
    for statement in said:
        by_count[statement.count or 0].append(statement)
    # several drawings of one part may each carry a share; only a listed count speaks for all
    if len(by_count) < 2 or not any(s.kind is StatementKind.PARTS_ROW for s in said):
        return []
    listed = sum(s.count or 0 for s in part.rows)
    drawn = [s for s in part.counts if s.count is not None]
    if not drawn or sum(s.count or 0 for s in drawn) == listed:
        return []
    words = join_words([f"“{s.text}”" for s in drawn])
    text = f"The parts list asks for {listed} × {part.name}, its drawing says {words}."
    suggestion = None
    if needed is not None and needed.count in by_count:
        suggestion = str(needed.count)
        text += f" The notes need {needed.count}."
    finding = say(
        "P102",
        text,
        places=_places(part, said),
        witnesses=[
            _witness(f"the parts list says {listed}"),
            _witness(f"the drawing says {words}"),
        ],
    )
    return [replace(finding, suggestion=suggestion)]


def _tell_too_few(part: PlanPart, said: Sequence[Statement], needed: _Needed) -> list[Finding]:
    most = max(s.count or 0 for s in said)
    if most >= needed.count:
        return []
    asked = join_words([f"“{n.text.rstrip('. ')}”" for n in dict.fromkeys(needed.notes)])
    text = (
        f"{part.name}: the plan says {most}, but the notes need {needed.count} "
        f"({join_words(needed.words)}): {asked}."
    )
    finding = say(
        "P103",
        text,
        places=[*_places(part, said), *(Place(sheet=n.sheet, box=n.box) for n in needed.notes)],
        witnesses=[
            Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says=f"the plan says {most}"),
            *(_witness(n.text) for n in dict.fromkeys(needed.notes)),
        ],
        rests_on=[f"the count of {need}" for need in needed.words],
    )
    return [replace(finding, suggestion=str(needed.count))]


def _tell_stated(
    needs: Iterable[tuple[Need, Statement]], by_name: dict[str, PlanPart]
) -> list[Finding]:
    """Tell when a note counts the pieces otherwise than the list or the drawing."""
    told = []
    for need, note in needs:
        made = count_of(by_name[need.of])
        if need.stated is None or made is None or need.stated == made:
            continue
        text = f"The note “{note.text}” speaks of {need.stated} × {need.of}, the plan makes {made}."
        places = [Place(sheet=note.sheet, box=note.box), *_places(by_name[need.of], ())]
        told.append(say("P102", text, places=places, witnesses=[_witness(note.text)]))
    return told


def _places(part: PlanPart, said: Iterable[Statement]) -> list[Place]:
    places = [Place(sheet=s.sheet, box=s.box) for s in said]
    return places or [Place(sheet=s.sheet, box=s.box) for s in (*part.rows, *part.counts)]


def _witness(says: str) -> Witness:
    return Witness(kind=WitnessKind.STATEMENT, side=Side.AGAINST, says=says)


def spare_count(count: int) -> int:
    """Return how many spares the shop rule of thumb asks for: a tenth more, two at least.

    Parameters
    ----------
    count : int
        Needed.

    Returns
    -------
    int
        To make besides.

    Examples
    --------
    >>> spare_count(6), spare_count(40), spare_count(0)
    (2, 4, 0)
    """
    return max(math.ceil(SPARE_SHARE * count), LEAST_SPARES) if count > 0 else 0


def spares_for(count: int, *, spoiled: float) -> int:
    """Return the spares with which enough are good, 95 times in 100.

    Each piece is spoiled by itself with the same chance. A set-up that drifts spoils whole
    batches, which no number of spares from the same batch covers.

    Parameters
    ----------
    count : int
        Needed.
    spoiled : float
        Share that goes wrong, 0 to below 1.

    Returns
    -------
    int
        Least number of spares.

    Raises
    ------
    ValueError
        If the share is not from 0 to below 1.

    Examples
    --------
    >>> spares_for(40, spoiled=0.05), spares_for(6, spoiled=0.0)
    (5, 0)
    """
    if not 0 <= spoiled < 1:
        raise ValueError("the share of spoiled pieces is 0 or more and below 1")
    spares = 0
    while _chance_of_enough(count, count + spares, spoiled) < SURE:
        spares += 1
    return spares


def _chance_of_enough(count: int, made: int, spoiled: float) -> float:
    """Chance of at least `count` good ones of those made; scipy would say it, but loads slowly."""
    if spoiled == 0:
        return 1.0
    good, bad = math.log1p(-spoiled), math.log(spoiled)
    return sum(
        math.exp(
            math.lgamma(made + 1) - math.lgamma(k + 1) - math.lgamma(made - k + 1)
            + k * good + (made - k) * bad
        )
        for k in range(count, made + 1)
    )  # fmt: skip
