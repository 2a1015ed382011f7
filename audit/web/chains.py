"""Chains as the strip below the sheet shows them: legs, exact sum, overall, gap.

A *leg* is a printed size between two stations of one direction of a view; an *overall* is a leg
that others, end to end, run alongside.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from audit.checks.loops import explain_gap
from audit.checks.stations import Leg, StationLine, find_lines
from audit.checks.sums import say_halves
from audit.lengths import Length
from audit.records import Audit, Dimension, Sheet
from audit.report.phrases import spell_length
from audit.web import models as m

CHAIN_GROUP = "C"


def show_chains(audit: Audit, sheet: Sheet) -> tuple[m.ChainJson, ...]:
    """Show every overall of a sheet with the fewest sizes that run alongside it.

    Parameters
    ----------
    audit : Audit
    sheet : Sheet

    Returns
    -------
    tuple of ChainJson
        Those that do not close first.
    """
    own = [d for d in audit.dimensions if d.sheet == sheet.id]
    lines = find_lines(own, audit.views, audit.sheets, settings=audit.settings)
    by_id = {d.id: d for d in own}
    shown = []
    for line in lines:
        for overall in line.legs:
            legs = find_legs(line.legs, overall)
            if legs:
                shown.append(_show(audit, line, legs, overall, by_id))
    return tuple(sorted(shown, key=lambda chain: (chain.closes, len(chain.legs))))


def find_legs(legs: Sequence[Leg], overall: Leg) -> tuple[Leg, ...]:
    """Find the fewest legs that lead end to end from where an overall begins to where it ends.

    Parameters
    ----------
    legs : sequence of Leg
        Of one line; each leads ahead.
    overall : Leg

    Returns
    -------
    tuple of Leg
        Two or more, in order; empty where there are none.
    """
    ways: deque[tuple[Leg, ...]] = deque([()])
    reached = {overall.a}
    while ways:
        way = ways.popleft()
        at = way[-1].b if way else overall.a
        for leg in legs:
            spans_all = (leg.a, leg.b) == (overall.a, overall.b)
            if leg.a != at or leg.b in reached or spans_all:
                continue
            if leg.b == overall.b:
                return (*way, leg)
            reached.add(leg.b)
            ways.append((*way, leg))
    return ()


def _show(
    audit: Audit,
    line: StationLine,
    legs: Sequence[Leg],
    overall: Leg,
    by_id: dict[int, Dimension],
) -> m.ChainJson:
    total = Length(sum((leg.value for leg in legs), start=overall.value * 0), line.unit)
    gap = total - Length(overall.value, line.unit)
    halves = [leg.half for leg in (*legs, overall)]
    members = {leg.dimension for leg in (*legs, overall)}
    told = (f for f in audit.findings if f.code.startswith(CHAIN_GROUP))
    finding = next((f for f in told if members & set(f.dimensions)), None)
    closes = abs(gap.value) <= explain_gap((*legs, overall))
    word = "short by" if gap.value < 0 else "long by"
    says = "closes" if gap.value == 0 else f"{word} {spell_length(abs(gap))}"
    if closes and gap.value:
        says += ", which rounding may explain"
    return m.ChainJson(
        finding=finding.id if finding and not closes else None,
        name="",
        legs=tuple(_leg(leg, by_id) for leg in legs),
        total=spell_length(total),
        overall=_leg(overall, by_id),
        gap=says,
        rounding=say_halves(halves, line.unit, is_open=bool(gap.value)),
        text=finding.text if finding and not closes else "",
        closes=closes,
    )


def _leg(leg: Leg, by_id: dict[int, Dimension]) -> m.LegJson:
    printed = by_id[leg.dimension].printed
    says = spell_length(printed) if printed else "?"
    return m.LegJson(dimension=leg.dimension, says=says, count=leg.times)
