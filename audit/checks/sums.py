"""A sum picked or typed by a person: what it comes to, and what rounding could explain.

The *overall* is what the legs should come to. Each printed size is an interval: fractions are
exact, decimals are known to half their last place, n equal legs are rounded once.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.runs import chain_size
from audit.checks.words import name_dimension
from audit.errors import BadUsage
from audit.lengths import Length, Style, Unit, spell, spell_decimal
from audit.records import Audit, ChainLeg, Dimension, HandChain


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One leg: its size with all equal ones, what rounding hides of it, as said."""

    size: Length
    half: Length
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """What a chain made by hand comes to.

    Attributes
    ----------
    terms : tuple of Term
        In the order of the legs.
    total : Length
        In the unit of the overall, else of the first leg.
    overall : Term or None
    gap : Length or None
        Overall minus total, exact: above zero the legs are short; `None` without an overall.
    worst : Length
        Largest gap that rounding of the printed numbers explains.
    likely : float
        Root of the sum of their squares, in the same unit.
    """

    terms: tuple[Term, ...]
    total: Length
    overall: Term | None
    gap: Length | None
    worst: Length
    likely: float

    @property
    def closes(self) -> bool | None:
        """Whether rounding explains the gap; `None` where there is nothing to come to."""
        return None if self.gap is None else abs(self.gap.value) <= self.worst.value


def add_up(chain: HandChain, audit: Audit, *, decided: Mapping[int, Length] | None = None) -> Sum:
    """Add up a chain as a person picked or typed it.

    Parameters
    ----------
    chain : HandChain
        With one leg at least.
    audit : Audit
        For the printed sizes.
    decided : Mapping[int, Length] | None
        Sizes that take the place of printed ones, by dimension.

    Returns
    -------
    Sum
        Exact.

    Raises
    ------
    BadUsage
        If there is no leg, a leg has no size that can be added, or angles meet lengths.
    """
    if not chain.legs:
        raise BadUsage("a sum needs a leg", advice="pick or type the sizes to add up")
    by_id = {d.id: d for d in audit.dimensions}
    terms = tuple(_term(leg, by_id, audit, decided or {}) for leg in chain.legs)
    overall = _term(chain.overall, by_id, audit, decided or {}) if chain.overall else None
    every = terms if overall is None else (*terms, overall)
    unit = every[-1].size.unit if overall else terms[0].size.unit
    if len({term.size.unit is Unit.DEG for term in every}) > 1:
        raise BadUsage("angles and lengths cannot be added", advice="leave one of them out")
    total = sum((t.size.to(unit).value for t in terms), Fraction(0))
    halves = [t.half.to(unit).value for t in every]
    gap = None if overall is None else Length(overall.size.value - total, unit)
    return Sum(
        terms=terms,
        total=Length(total, unit),
        overall=overall,
        gap=gap,
        worst=Length(sum(halves, Fraction(0)), unit),
        likely=math.sqrt(sum(float(half) ** 2 for half in halves)),
    )


def decided_sizes(audit: Audit) -> dict[int, Length]:
    """Return the sizes to build to that were decided, by dimension."""
    sizes = {d.id: d.build_to for d in audit.dimensions if d.build_to is not None}
    return sizes | {d.dimension: d.value for d in audit.decisions if d.value is not None}


def chain_members(chain: HandChain) -> tuple[int, ...]:
    """Return the numbers of the dimensions in a chain, each once, the overall last."""
    legs = (*chain.legs, chain.overall) if chain.overall else chain.legs
    return tuple(dict.fromkeys(leg.dimension for leg in legs if leg.dimension is not None))


def say_sum(added: Sum) -> str:
    """Say a sum: ``3/4 + 2 × 1 1/8 = 3, not 3 1/8``.

    Parameters
    ----------
    added : Sum
        From `add_up`.

    Returns
    -------
    str
        Without the unit of the total.
    """
    said = " + ".join(term.says for term in added.terms)
    said += f" = {spell_sum(added.total, added)}"
    if added.overall is None or added.gap is None or added.gap.value == 0:
        return said
    return f"{said}, not {spell_sum(added.overall.size, added)}"


def spell_sum(value: Length, added: Sum) -> str:
    """Spell a length of a sum as its sizes are: decimals where one of them is rounded."""
    if added.worst.value:
        return spell_decimal(value.value)
    return spell(value, style=Style.PLAIN)


def _term(
    leg: ChainLeg, by_id: Mapping[int, Dimension], audit: Audit, decided: Mapping[int, Length]
) -> Term:
    if leg.count < 1:
        raise BadUsage("a leg counts once at least", advice="give a whole number from 1 on")
    if leg.length is not None:
        hidden = Length(_typed_half(leg.text) * leg.count, leg.length.unit)
        text = leg.text or spell(leg.length, style=Style.PLAIN)
        return Term(size=leg.length * leg.count, half=hidden, says=_times(leg.count, text))
    dimension = by_id.get(leg.dimension) if leg.dimension is not None else None
    if dimension is None:
        raise BadUsage(f"there is no dimension {leg.dimension}", advice="pick another")
    if dimension.id in decided:
        size = decided[dimension.id]
        text = spell(size, style=Style.PLAIN)
        nothing = Length(Fraction(0), size.unit)
        return Term(size=size * leg.count, half=nothing, says=_times(leg.count, text))
    said = chain_size(dimension, audit.settings)
    if said is None:
        raise BadUsage(
            f"{name_dimension(dimension)} has no sure size to add up",
            advice="confirm or type what is printed there",
        )
    size, half, spaced = said
    once = size * Fraction(1, spaced)
    one = spell_decimal(once.value) if half else spell(once, style=Style.PLAIN)
    return Term(
        size=size * leg.count,
        half=Length(half * leg.count, size.unit),
        says=_times(leg.count * spaced, one),
    )


def _typed_half(text: str) -> Fraction:
    """Half of the last place of a typed decimal; fractions and whole numbers are exact."""
    places = re.search(r"\.(\d+)", text)
    return Fraction(1, 2 * 10 ** len(places[1])) if places else Fraction(0)


def _times(count: int, text: str) -> str:
    return f"{count} × {text}" if count > 1 else text


def say_gap(added: Sum) -> str:
    """Say how far the legs are from their overall, and what rounding could explain.

    Parameters
    ----------
    added : Sum
        From `add_up`.

    Returns
    -------
    str
        Empty where there is nothing to come to.
    """
    if added.gap is None:
        return ""
    if added.gap.value == 0:
        return "closes exactly"
    off = f"{spell_sum(abs(added.gap), added)} {'short' if added.gap.value > 0 else 'too long'}"
    return f"{off}, which rounding may explain" if added.closes else off


def say_rounding(added: Sum) -> str:
    """Say what rounding of the printed numbers can explain, at worst and as a rule."""
    every = added.terms if added.overall is None else (*added.terms, added.overall)
    halves = [term.half.to(added.total.unit).value for term in every]
    is_open = added.gap is not None and added.gap.value != 0
    return say_halves(halves, added.total.unit, is_open=is_open)


def say_halves(halves: Sequence[Fraction], unit: Unit, *, is_open: bool) -> str:
    """Say what rounding of printed numbers can explain.

    Parameters
    ----------
    halves : Sequence[Fraction]
        What it hides of each number: value ± half.
    unit : Unit
        Of all of them.
    is_open : bool
        Whether there is anything to explain.

    Returns
    -------
    str
        Worst case and root of the sum of squares.

    Examples
    --------
    >>> say_halves([Fraction(1, 200)] * 4, Unit.IN, is_open=True)
    'rounding explains 0.02 in at worst, 0.01 as a rule (root of the sum of squares)'
    >>> say_halves([], Unit.IN, is_open=True), say_halves([Fraction(0)], Unit.MM, is_open=False)
    ('rounding explains none of it', '')
    """
    worst = sum(halves, Fraction(0))
    if not worst:
        return "rounding explains none of it" if is_open else ""
    likely = math.sqrt(sum(float(half) ** 2 for half in halves))
    mark = "°" if unit is Unit.DEG else f" {unit.value}"
    return (
        f"rounding explains {spell_decimal(worst)}{mark} at worst, "
        f"{likely:.3g} as a rule (root of the sum of squares)"
    )
