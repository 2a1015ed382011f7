"""Hole and pin of one sentence: ``1/2 PEG THRU EACH 3/8 HOLE``, ``3/8 HOLE FOR 1/2 DOWEL``.

A sentence with both sizes needs no drawing and no parts list. Only a pin that no driving gets in
is told; a loose one may be meant.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.places import place_of
from audit.checks.words import say_length
from audit.lengths import Length, Unit, find_length
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
from audit.scale import plan_unit
from audit.scale.findings import say

TIGHT_MOST = Length(Fraction(1, 32), Unit.IN)  # no wood is driven into a hole so much smaller
PINS = r"(?:PEG|DOWEL|PIN|ROD|AXLE|SHAFT|SPINDLE|BUTTON|PLUG)S?"

MARK = r" ?(?:\"|IN\.?(?![A-Z])|MM(?![A-Z]))"
# A whole number without a unit may be a count: 4 PEGS IN 6 HOLES. Before a fraction it is one of
# several pins, 4 1/2 PEGS; of a hole it is the size, which is larger then, and nothing is told.
_SIZE = (
    rf"(?<![\d/.,-])(?:(?:(?:\d+[ -])?\d+/\d+|\d*[.,]\d+)(?:{MARK})?|\d+{MARK})"
)  # fmt: skip
_AT = r"(?:DIA(?:M(?:ETER)?)?\.? )?"
_HOLE = rf"(?P<hole>{_SIZE}) ?{_AT}HOLES?(?![A-Z])"
_PIN = rf"(?P<pin>{_SIZE}) ?{_AT}(?P<noun>(?:[A-Z]+ )?{PINS})(?![A-Z])"
_INTO = (
    re.compile(rf"{_PIN} (?:IS |GOES |FITS |DRIVEN )?(?:THRU|THROUGH|INTO|IN)"
               rf" (?:THE |A |EACH |EVERY |BOTH |ALL |\d+ (?!\d+/))*{_HOLE}"),
    re.compile(rf"{_HOLE},? (?:TO TAKE|TAKES?|FOR) (?:THE |A |AN )?{_PIN}"),
)  # fmt: skip
# What is left of a pin's end, or where its hole is not meant to let it in.
_OTHERWISE = re.compile(
    r"\b(?:PILOT|LEAD|TENON|TURN(?:ED| DOWN| TO)|SHOULDER|THREADED|SCREW|TAP|REDUC|NECK|WHITTL)"
)
_UNIT = re.compile(r"\"|IN|MM")
_COUNTED = re.compile(r"^\d+ (?=\d+/)")
Told = tuple[str, Length, Length]  # of a sentence a hole, and its pin
_SAID = frozenset({StatementKind.NOTE, StatementKind.STOCK, StatementKind.ITEM})


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidFit:
    """A hole and the round thing that goes into it, both by their printed sizes."""

    hole: Length
    pin: Length
    noun: str


def read_fits(text: str, *, unit: Unit) -> tuple[SaidFit, ...]:
    """Read holes and what goes into them out of one sentence.

    Parameters
    ----------
    text : str
        Capitals, as statements are.
    unit : Unit
        Of two bare numbers; a fraction is in inches.

    Returns
    -------
    tuple of SaidFit

    Examples
    --------
    >>> [
    ...     (str(f.pin.value), f.noun, str(f.hole.value))
    ...     for f in read_fits("1/2 PEG THRU EACH 3/8 HOLE", unit=Unit.IN)
    ... ]
    [('1/2', 'PEG', '3/8')]
    >>> read_fits("3/8 HOLE FOR 1/2 BOLT", unit=Unit.IN)
    ()
    """
    if _OTHERWISE.search(text):
        return ()
    matches = (m for pattern in _INTO for m in pattern.finditer(text))
    return tuple(fit for m in matches if (fit := _fit(m, unit)) is not None)


def check_said_fits(audit: Audit, told: Collection[Told] = ()) -> list[Finding]:
    """Check the sentences that name a hole and what goes into it.

    Parameters
    ----------
    audit : Audit
        Read.
    told : collection of Told
        What does not go together as it is drawn: not told again.

    Returns
    -------
    list of Finding
        F101.
    """
    findings = []
    for text, place, dimensions, unit in _sentences(audit):
        findings += [
            _tell(fit, text, place, dimensions)
            for fit in read_fits(text, unit=unit)
            if fit.hole - fit.pin < -TIGHT_MOST and (text, fit.hole, fit.pin) not in told
        ]
    return findings


def find_said(audit: Audit) -> list[Statement]:
    """Find the statements whose hole and pin are compared.

    Parameters
    ----------
    audit : Audit
        Read.

    Returns
    -------
    list of Statement
    """
    unit = bare_unit(audit)
    return [s for s in audit.statements if s.kind in _SAID and read_fits(s.text, unit=unit)]


def bare_unit(audit: Audit) -> Unit:
    """Return the unit of a size that a sentence gives none.

    Parameters
    ----------
    audit : Audit
        Read.

    Returns
    -------
    Unit
    """
    return audit.settings.length_unit or plan_unit(audit.dimensions) or Unit.IN


def _fit(match: re.Match[str], unit: Unit) -> SaidFit | None:
    noun = match["noun"]
    size = _COUNTED.sub("", match["pin"]) if noun.endswith("S") else match["pin"]
    unit = _unit_beside(match, unit)
    hole, pin = (
        find_length(t.replace(",", "."), unit=Unit.IN if "/" in t else unit)
        for t in (match["hole"], size)
    )
    if hole is None or pin is None or min(hole.value, pin.value) <= 0:
        return None
    return SaidFit(hole=hole, pin=pin, noun=noun)


def _unit_beside(match: re.Match[str], unit: Unit) -> Unit:
    """Of a bare size: that of the other one, if it has one."""
    marks = _UNIT.findall(match["hole"] + match["pin"])
    return unit if not marks else Unit.MM if "MM" in marks else Unit.IN


def _sentences(audit: Audit) -> Iterator[tuple[str, Place, tuple[int, ...], Unit]]:
    """Every sentence once: its text, where it stands, whose it is, what its numbers count."""
    unit = bare_unit(audit)
    for s in find_said(audit):
        yield s.text, Place(sheet=s.sheet, box=s.box), (), unit
    for d in audit.dimensions:
        callout = d.reading.callout if d.reading is not None else None
        if callout is not None and callout.size is not None:
            yield callout.text, place_of(d), (d.id,), callout.size.unit


def _tell(fit: SaidFit, text: str, place: Place, dimensions: tuple[int, ...]) -> Finding:
    hole, pin, noun = say_length(fit.hole), say_length(fit.pin), fit.noun.lower()
    does, it_is = ("do", "they are") if noun.endswith("s") else ("does", "it is")
    return say(
        "F101",
        f"The {pin} {noun} {does} not go into the {hole} hole that {it_is} for: {it_is} "
        f"{say_length(fit.pin - fit.hole)} too thick, more than can be driven.",
        places=[place],
        dimensions=list(dimensions),
        witnesses=[
            Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says=f"a {hole} hole is printed"),
            Witness(kind=WitnessKind.STATEMENT, side=Side.AGAINST, says=text),
        ],
        rests_on=[f"the text “{text}” being one sentence"],
    )
