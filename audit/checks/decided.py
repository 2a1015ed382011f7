"""Sums made by hand, and all sums again on the values that were decided."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from audit.checks.loops import LegNetwork
from audit.checks.places import place_of
from audit.checks.stations import StationLine, find_lines
from audit.checks.sums import (
    Sum,
    add_up,
    chain_members,
    decided_sizes,
    say_gap,
    say_sum,
    spell_sum,
)
from audit.checks.words import say_length
from audit.errors import BadUsage
from audit.lengths import Length
from audit.records import Audit, Dimension, Finding, HandChain, Side, Witness, WitnessKind
from audit.scale.findings import join_words, say


def check_decided(audit: Audit) -> tuple[Finding, ...]:
    """Add up hand-made chains, and every chain again with the decided values.

    Parameters
    ----------
    audit : Audit
        With decisions and hand-made chains.

    Returns
    -------
    tuple[Finding, ...]
        For hand-made chains C102 where they are open, else C108; C106 for decisions that leave
        a chain open.
    """
    by_id = {d.id: d for d in audit.dimensions}
    found = [finding for chain in audit.chains for finding in _check_by_hand(chain, audit)]
    return (*found, *_check_decisions(audit, by_id))


def _check_decisions(audit: Audit, by_id: dict[int, Dimension]) -> list[Finding]:
    sizes = decided_sizes(audit)
    if not sizes:
        return []
    lines = find_lines(
        audit.dimensions, audit.views, audit.sheets, settings=audit.settings, sizes=sizes
    )
    told = []
    for line in lines:
        loop = LegNetwork(line.used, len(line.stations)).find_open_loop()
        if loop is None:
            continue
        legs = [line.used[k] for k, _ in loop.legs]
        decided = [leg.dimension for leg in legs if leg.dimension in sizes]
        if decided:
            told.append(
                _tell_decided(line, [leg.dimension for leg in legs], decided, by_id, loop.gap)
            )
    return told


def _tell_decided(
    line: StationLine,
    legs: list[int],
    decided: list[int],
    by_id: dict[int, Dimension],
    gap: Fraction,
) -> Finding:
    off = say_length(Length(abs(gap), line.unit))
    names = join_words([_name(by_id[n]) for n in decided])
    text = (
        f"With what was decided for {names} a chain of {len(legs)} sizes is open by {off}. "
        "Decide one of the others too, or take the decision back."
    )
    return say("C106", text, places=[place_of(by_id[n]) for n in legs], dimensions=decided)


def _name(dimension: Dimension) -> str:
    reading = dimension.reading
    return f"“{reading.text}”" if reading is not None else f"dimension {dimension.id}"


def _check_by_hand(chain: HandChain, audit: Audit) -> list[Finding]:
    """Add up a chain as a person picked or typed it, and again on what was decided."""
    try:
        added = add_up(chain, audit)
    except BadUsage as error:
        return [_tell_sum("C108", chain, f"cannot be added up: {error.problem}.", audit)]
    if added.closes is not False:
        told = [_tell_sum("C108", chain, f"{_say_closed(added)}.", audit)]
    else:
        told = [_tell_open_sum(chain, added, audit)]
    return told + _stand_against(chain, audit)


def _say_closed(added: Sum) -> str:
    gap = say_gap(added)
    return f"{say_sum(added)}{f', {gap}' if gap else ''}"


def _tell_open_sum(chain: HandChain, added: Sum, audit: Audit) -> Finding:
    assert added.overall is not None  # only a chain with one can be open
    assert added.gap is not None
    comes = spell_sum(added.total, added)
    should = spell_sum(added.overall.size, added)
    text = (
        f"its legs add up to {comes}, not {should}; {say_length(abs(added.gap))} "
        f"{'short' if added.gap.value > 0 else 'too much'}."
    )
    if added.worst.value:
        text += f" Rounding explains {spell_sum(added.worst, added)} at most."
    against = Witness(kind=WitnessKind.CHAIN, side=Side.AGAINST, says=f"{comes}, not {should}")
    return _tell_sum("C102", chain, text, audit, witnesses=[against])


def _stand_against(chain: HandChain, audit: Audit) -> list[Finding]:
    """Tell when a chain that closes as printed is open on what was decided."""
    sizes = decided_sizes(audit)
    decided = [n for n in chain_members(chain) if n in sizes]
    if not decided or chain.overall is None:
        return []
    try:
        added = add_up(chain, audit, decided=sizes)
    except BadUsage:
        return []
    if added.closes is not False or added.gap is None:
        return []
    by_id = {d.id: d for d in audit.dimensions}
    names = join_words([_name(by_id[n]) for n in decided])
    text = (
        f"{chain.name}: with what was decided for {names} it is open by "
        f"{say_length(abs(added.gap))} ({say_sum(added)}). Decide one of the others too, or take "
        "the decision back."
    )
    places = [place_of(by_id[n]) for n in chain_members(chain) if n in by_id]
    return [say("C106", text, places=places, dimensions=decided)]


def _tell_sum(
    code: str,
    chain: HandChain,
    text: str,
    audit: Audit,
    *,
    witnesses: Sequence[Witness] = (),
) -> Finding:
    by_id = {d.id: d for d in audit.dimensions}
    mine = [n for n in chain_members(chain) if n in by_id]
    return say(
        code,
        f"{chain.name}: {text}",
        places=[place_of(by_id[n]) for n in mine],
        witnesses=witnesses,
        rests_on=["the legs as picked by hand", *([chain.reason] if chain.reason else [])],
        dimensions=mine,
    )
