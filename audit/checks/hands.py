"""Left and right hands: what is said to be made in pairs must be counted in pairs.

A plan says it in many ways: LH & RH, 1 AS SHOWN 1 OPPOSITE, AND OPPOSITE HAND.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.checks.names import match_name
from audit.checks.parts import PlanPart, nearest_view
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
from audit.scale.findings import say

_N = r"(?P<{0}>\d{{1,3}}|ONE|TWO|THREE|FOUR|FIVE|SIX)?\s*(?:EA(?:CH)?\.?\s*)?"
_LEFT = r"(?:L\.?\s?H\.?|LEFT(?:[ -]HAND(?:ED)?)?)"
_RIGHT = r"(?:R\.?\s?H\.?|RIGHT(?:[ -]HAND(?:ED)?)?)"
_BOTH = re.compile(
    rf"{_N.format('a')}{_LEFT}(?![A-Z])[,&/ ]*(?:AND )?{_N.format('b')}{_RIGHT}"
    rf"|{_N.format('c')}{_RIGHT}(?![A-Z])[,&/ ]*(?:AND )?{_N.format('d')}{_LEFT}"
)
_SHOWN = re.compile(
    rf"{_N.format('a')}(?:AS )?(?:SHOWN|DRAWN)[,&/; ]*(?:AND )?{_N.format('b')}"
    rf"(?:{_LEFT} |{_RIGHT} )?(?:TO )?(?:THE )?(?:OPP(?:OSITE|\.)?|OTHER HAND|REVERSE)"
)
_OPPOSITE = re.compile(r"\b(?:AND|&) OPP(?:OSITE|\.)?\b|\bIN PAIRS\b|\bBOTH HANDS\b|\bHANDED\b")
_NUMBERS = {"ONE": 1, "TWO": 2, "THREE": 3, "FOUR": 4, "FIVE": 5, "SIX": 6}
_ONE_HAND = re.compile(rf"[,( -]+(?P<hand>{_LEFT}|{_RIGHT})[) ]*$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """How many of each hand a text asks for; `None`: as many of one as of the other."""

    first: int | None = None
    second: int | None = None

    @property
    def total(self) -> int | None:
        """Of both hands, when the text says it."""
        if self.first is None or self.second is None:
            return None
        return self.first + self.second


def read_hands(text: str) -> Hands | None:
    """Read what a text says of hands.

    Parameters
    ----------
    text : str
        A count, a row of the parts list, a note.

    Returns
    -------
    Hands | None
        `None` when it asks for no two hands.

    Examples
    --------
    >>> read_hands("MAKE 4 (2 LH, 2 RH)"), read_hands("1 AS SHOWN, 1 OPPOSITE HAND").total
    (Hands(first=2, second=2), 2)
    >>> read_hands("MAKE 2 AND OPPOSITE"), read_hands("MAKE 2")
    (Hands(first=None, second=None), None)
    """
    plain = " ".join(text.upper().split())
    for pattern in (_BOTH, _SHOWN):
        match = pattern.search(plain)
        if match is not None:
            numbers = [_number(v) for v in match.groupdict().values() if v is not None]
            if len(numbers) == 2:
                return Hands(first=numbers[0], second=numbers[1])
            return Hands()
    return Hands() if _OPPOSITE.search(plain) else None


def _number(word: str) -> int:
    return _NUMBERS[word] if word in _NUMBERS else int(word)


def check_hands(parts: Sequence[PlanPart], audit: Audit) -> list[Finding]:
    """Compare what is said of hands with the counts of every part.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        For its statements and views.

    Returns
    -------
    list[Finding]
        P108.
    """
    told = [f for p in parts if (f := _check_part(p, audit)) is not None]
    return told + _check_pairs(parts)


def _check_part(part: PlanPart, audit: Audit) -> Finding | None:
    """Tell when hands and counts of one part do not go together."""
    mine = [*part.rows, *part.counts]
    mine += [s for s in audit.statements if s not in mine and _is_of(s, part, audit)]
    handed = [(s, hands) for s in mine if (hands := read_hands(s.text)) is not None]
    if not handed:
        return None
    statement, hands = handed[0]
    counts = {s.count for s in (*part.rows, *part.counts) if s.count is not None}
    total = hands.total
    if total is not None:
        # MAKE 2 LH, 2 RH is read as a count of 2: each hand's own number is no contradiction
        wrong = sorted(counts - {total, hands.first, hands.second} - {None})
        if not wrong:
            return None
        asked = f"asks for {hands.first} and {hands.second} of the two hands, {total} in all"
        return _tell(part, statement, f"{asked}, but the plan says {wrong[0]}", suggestion=total)
    odd = sorted(c for c in counts if c % 2 and c > 1)
    if not odd or len(counts) > 1:
        return None
    words = f"asks for both hands: are {odd[0]} to be made of each, or in all? They go in pairs"
    return _tell(part, statement, words, severity=Severity.NOTE)


def _is_of(statement: Statement, part: PlanPart, audit: Audit) -> bool:
    """Whether words on hands, in a line of their own, are of a part: named, or under its view."""
    if read_hands(statement.text) is None:
        return False
    if statement.subject and match_name(statement.subject, [part.name]):
        return True
    view = nearest_view(statement, audit) if statement.kind is StatementKind.NOTE else None
    return view is not None and any(d.view and d.view.id == view.id for d in part.drawings)


def _check_pairs(parts: Sequence[PlanPart]) -> list[Finding]:
    """Tell when a left-hand part and its right-hand one are listed in different numbers."""
    by_base: dict[str, dict[str, PlanPart]] = {}
    for part in parts:
        match = _ONE_HAND.search(part.name.upper())
        if match is not None:
            base = part.name.upper()[: match.start()].strip()
            by_base.setdefault(base, {})[match["hand"][0]] = part
    told = []
    for pair in by_base.values():
        if len(pair) != 2:
            continue
        left, right = pair["L"], pair["R"]
        counts = [{s.count for s in (*p.rows, *p.counts)} - {None} for p in (left, right)]
        if len(counts[0]) == len(counts[1]) == 1 and counts[0] != counts[1]:
            (a,), (b,) = counts
            words = f"is made {a} times, {right.name} {b} times; hands usually go in pairs"
            statement = (*left.rows, *left.counts)[0]
            told.append(_tell(left, statement, words, quote=False))
    return told


def _tell(
    part: PlanPart,
    statement: Statement,
    words: str,
    *,
    suggestion: int | None = None,
    quote: bool = True,
    severity: Severity | None = None,
) -> Finding:
    subject = f"{part.name}: “{statement.text}”" if quote else part.name
    witness = Witness(kind=WitnessKind.STATEMENT, side=Side.AGAINST, says=statement.text)
    finding = say(
        "P108",
        f"{subject} {words}.",
        places=[Place(sheet=s.sheet, box=s.box) for s in (statement, *part.rows, *part.counts)][:3],
        witnesses=[witness] if quote else [],
        severity=severity,
    )
    return replace(finding, suggestion=None if suggestion is None else str(suggestion))
