"""Sums made by hand, and all sums again on the values that were decided."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from audit.checks.chains import place_of
from audit.checks.loops import LegNetwork
from audit.checks.stations import StationLine, chain_size, find_lines
from audit.checks.words import say_length
from audit.lengths import Length, Style, Unit, spell
from audit.records import Audit, ChainLeg, Dimension, Finding, HandChain, Side, Witness, WitnessKind
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
        C102 for hand-made chains that are open, C106 for decisions that leave a chain open.
    """
    by_id = {d.id: d for d in audit.dimensions}
    found = [f for chain in audit.chains if (f := _check_by_hand(chain, by_id, audit)) is not None]
    return (*found, *_check_decisions(audit, by_id))


def _check_decisions(audit: Audit, by_id: dict[int, Dimension]) -> list[Finding]:
    sizes = {d.id: d.build_to for d in audit.dimensions if d.build_to is not None}
    sizes |= {d.dimension: d.value for d in audit.decisions if d.value is not None}
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


def _check_by_hand(chain: HandChain, by_id: dict[int, Dimension], audit: Audit) -> Finding | None:
    """Add up a chain as a person picked or typed it."""
    if chain.overall is None:
        return None
    terms = [_term(leg, by_id, audit) for leg in (*chain.legs, chain.overall)]
    if any(term is None for term in terms):
        return None
    known = [term for term in terms if term is not None]
    *legs, overall = known
    unit = overall[0].unit
    total = sum((size.to(unit).value for size, _ in legs), Fraction(0))
    worst = sum((Length(half, size.unit).to(unit).value for size, half in known), Fraction(0))
    gap = overall[0].value - total
    if abs(gap) <= worst:
        return None
    should, comes = spell(overall[0], style=Style.PLAIN), _spell(total, unit)
    text = (
        f"{chain.name}: its legs add up to {comes}, not {should}; "
        f"{say_length(Length(abs(gap), unit))} {'short' if gap > 0 else 'too much'}."
    )
    if worst:
        text += f" Rounding explains {say_length(Length(worst, unit))} at most."
    picked = [leg.dimension for leg in (*chain.legs, chain.overall) if leg.dimension in by_id]
    mine = [n for n in picked if n is not None]
    finding = say(
        "C102",
        text,
        places=[place_of(by_id[n]) for n in mine],
        witnesses=[
            Witness(kind=WitnessKind.CHAIN, side=Side.AGAINST, says=f"{comes}, not {should}")
        ],
        rests_on=["the legs as picked by hand", *([chain.reason] if chain.reason else [])],
        dimensions=mine,
    )
    return replace(finding, suggestion=None)


def _spell(value: Fraction, unit: Unit) -> str:
    return spell(Length(value, unit), style=Style.PLAIN)


def _term(
    leg: ChainLeg, by_id: dict[int, Dimension], audit: Audit
) -> tuple[Length, Fraction] | None:
    """Size of a leg of a hand-made chain with its rounding; equal legs are taken as alike."""
    if leg.length is not None:
        return leg.length * leg.count, Fraction(0)
    dimension = by_id.get(leg.dimension) if leg.dimension is not None else None
    said = chain_size(dimension, audit.settings) if dimension is not None else None
    return None if said is None else (said[0] * leg.count, said[1] * leg.count)
