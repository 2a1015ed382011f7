"""Two dimensions that are one feature: the user's word, and what may be proposed.

Views aligned by projection share nothing by themselves: a person links what is the same.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from audit.checks.parts import PlanPart
from audit.checks.places import place_of
from audit.checks.runs import chain_size
from audit.checks.words import say_length, say_measured
from audit.lengths import Style, spell
from audit.records import (
    Audit,
    Dimension,
    Finding,
    Link,
    Settings,
    Severity,
    Side,
    Verdict,
    Witness,
    WitnessKind,
)
from audit.scale.findings import say

MOST_PROPOSED = 200


def check_links(audit: Audit) -> tuple[Finding, ...]:
    """Compare the printed sizes of dimensions that a person linked as one feature.

    Parameters
    ----------
    audit : Audit
        With links.

    Returns
    -------
    tuple[Finding, ...]
        C107 for each pair that differs; an error where the drawing of one view speaks too.
    """
    by_id = {d.id: d for d in audit.dimensions}
    told = []
    for link in (link for link in audit.links if link.same):
        pair = (by_id.get(link.first), by_id.get(link.second))
        if pair[0] is not None and pair[1] is not None:
            told += list(_compare(pair[0], pair[1], link, audit.settings))
    return tuple(told)


def _compare(
    first: Dimension, second: Dimension, link: Link, settings: Settings
) -> Iterator[Finding]:
    one, other = chain_size(first, settings), chain_size(second, settings)
    if one is None or other is None:
        return
    allowed = one[1] + Fraction(other[1]) * (1 if one[0].unit is other[0].unit else 0)
    if abs((one[0] - other[0]).value) <= allowed:
        return
    wrong = [d for d in (first, second) if d.verdict is Verdict.DISAGREES]
    right = second if wrong == [first] else first
    said = [say_length(one[0]), say_length(other[0])]
    text = f"Said to be one feature, but {said[0]} and {said[1]} are printed."
    suggestion = None
    witnesses = [Witness(kind=WitnessKind.VIEW, side=Side.AGAINST, says=f"{said[1]} is printed")]
    if len(wrong) == 1 and right.verdict is Verdict.AGREES:
        good = one[0] if right is first else other[0]
        suggestion = spell(good, style=Style.PLAIN)
        [bad] = wrong
        text += f" The drawing agrees with {say_length(good)} in the other view."
        if bad.scaled is not None:
            says = say_measured(bad.scaled.value, bad.scaled.expanded, unit=bad.scaled.unit)
            drawn = Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says=f"drawn as {says}")
            witnesses.insert(0, drawn)
    finding = say(
        "C107",
        text,
        places=[place_of(first), place_of(second)],
        severity=Severity.ERROR if suggestion else None,
        witnesses=witnesses,
        rests_on=[f"the two being one feature{f' ({link.reason})' if link.reason else ''}"],
        dimensions=[first.id, second.id],
    )
    yield replace(finding, suggestion=suggestion)


def propose_links(parts: Sequence[PlanPart], audit: Audit) -> tuple[Link, ...]:
    """Propose which dimensions of two views of one part may be one feature.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        Its own links are not proposed again, refused ones neither.

    Returns
    -------
    tuple[Link, ...]
        Pairs with the same printed size and direction in two views of a part, where no third has
        it: proposals for a person, never used as they are.
    """
    known = {frozenset((link.first, link.second)) for link in audit.links}
    found: list[Link] = []
    for part in parts:
        for one, other in itertools.combinations(part.drawings, 2):
            for first, second in _same_sizes(one.dimensions, other.dimensions, audit.settings):
                if frozenset((first.id, second.id)) not in known:
                    reason = f"the same size in two views of {part.name}"
                    found.append(Link(first=first.id, second=second.id, reason=reason))
    return tuple(found[:MOST_PROPOSED])


def _same_sizes(
    one: Sequence[Dimension], other: Sequence[Dimension], settings: Settings
) -> Iterator[tuple[Dimension, Dimension]]:
    for first in one:
        size = chain_size(first, settings)
        if size is None:
            continue
        mine = [d for d in one if (s := chain_size(d, settings)) is not None and s[0] == size[0]]
        theirs = [
            d
            for d in other
            if d.kind is first.kind
            and (s := chain_size(d, settings)) is not None
            and s[0] == size[0]
        ]
        if len(mine) == 1 and len(theirs) == 1:
            yield first, theirs[0]
