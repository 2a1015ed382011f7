"""Spares of parts that are made in numbers: the shop's rule of thumb, and what stands behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.checks.counts import SURE, count_of, spare_count, spares_for
from audit.checks.parts import PlanPart
from audit.records import Finding, Place
from audit.scale.findings import join_words, say

MANY = 4  # from so many of a part on, spares are worth a set-up; common practice, no source
SPOILED = 0.05  # of the pieces, what careful work spoils; common practice, no source


def check_spares(parts: Sequence[PlanPart]) -> list[Finding]:
    """Say once how many spares to make of what the plan makes in numbers.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.

    Returns
    -------
    list[Finding]
        One P109, or none.
    """
    many = [(p, n) for p in parts if (n := count_of(p)) is not None and n >= MANY]
    if not many:
        return []
    words = join_words([f"{spare_count(n)} for {n} × {p.name}" for p, n in many])
    text = (
        f"Spares worth making in the same set-up: {words} (a tenth more, two at least). A set-up "
        "that drifts spoils the whole batch, spares and all: measure the first piece, and the last."
    )
    finding = say(
        "P109",
        text,
        places=[Place(sheet=s.sheet, box=s.box) for p, _ in many for s in (*p.rows, *p.counts)[:1]],
        rests_on=[say_why(n) for n in sorted({n for _, n in many})],
    )
    return [replace(finding, suggestion=None)]


def say_why(count: int) -> str:
    """Say what stands behind the rule: the spares with which enough are good.

    Parameters
    ----------
    count : int
        Needed.

    Returns
    -------
    str
        By the binomial distribution, each piece spoiled by itself.

    Examples
    --------
    >>> say_why(8).partition(", each by itself, ")[2]
    '2 spares leave 8 good ones at least 95 times in 100'
    """
    spares = spares_for(count, spoiled=SPOILED)
    pieces = "1 spare leaves" if spares == 1 else f"{spares} spares leave"
    return (
        f"with {SPOILED * 100:.0f} of 100 pieces spoiled, each by itself, {pieces} {count} good "
        f"ones at least {SURE * 100:.0f} times in 100"
    )
