"""Sums as a person types them: ``3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/4``, ``#12 + #13 = #14``."""

from __future__ import annotations

import re

from audit.errors import BadUsage
from audit.lengths import Unit
from audit.pipeline.acting import type_length
from audit.records import ChainLeg, HandChain

FORM = "write 3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/4"
MOST_LEGS = 200  # of one sum; more is no chain of a drawing
MOST_ALIKE = 1000
_COUNT = re.compile(r"\s*\(?(\d{1,4})\)?\s*[x×*]\s*(.+)", re.IGNORECASE | re.DOTALL)
_NUMBER = re.compile(r"#\s*(\d{1,9})")


def parse_sum(text: str, *, name: str, unit: Unit | None, reason: str = "") -> HandChain:
    """Read a sum as typed.

    Parameters
    ----------
    text : str
        Legs joined by ``+``, what they should come to after ``=`` (may be missing). A leg is a
        length, or ``#12`` for what dimension 12 prints; ``4X`` before it: four equal ones.
    name : str
        What the sum is called.
    unit : Unit or None
        What a bare number counts; `None`: inches, the arithmetic is the same for all.
    reason : str

    Returns
    -------
    HandChain

    Raises
    ------
    BadUsage
        If it has another form.
    """
    sides = text.split("=")
    if len(sides) > 2 or not text.strip():
        raise BadUsage("this is no sum", advice=FORM)
    parts = [part.strip() for part in sides[0].split("+")]
    if not all(parts) or len(parts) > MOST_LEGS or (len(sides) == 2 and not sides[1].strip()):
        raise BadUsage("something is missing in this sum", advice=FORM)
    legs = tuple(parse_leg(part, unit=unit) for part in parts)
    overall = parse_leg(sides[1], unit=unit) if len(sides) == 2 else None
    return HandChain(name=name, legs=legs, overall=overall, reason=reason)


def parse_leg(text: str, *, unit: Unit | None) -> ChainLeg:
    """Read one leg of a sum.

    Parameters
    ----------
    text : str
    unit : Unit or None

    Returns
    -------
    ChainLeg

    Raises
    ------
    BadUsage
        If it is no length above zero, or counts more than there can be.
    """
    found = _COUNT.fullmatch(text)
    count, size = (int(found[1]), found[2]) if found else (1, text)
    if not 1 <= count <= MOST_ALIKE:
        raise BadUsage(f"'{text}' counts {count}", advice=f"equal legs are 1 to {MOST_ALIKE}")
    number = _NUMBER.fullmatch(size.strip())
    if number:
        return ChainLeg(dimension=int(number[1]), count=count)
    length = type_length(size.strip(), unit=unit or Unit.IN)
    return ChainLeg(length=length, count=count, text=size.strip())


def spell_sum(chain: HandChain) -> str:
    """Spell a sum as it could be typed."""
    legs = " + ".join(_spell_leg(leg) for leg in chain.legs)
    return legs if chain.overall is None else f"{legs} = {_spell_leg(chain.overall)}"


def _spell_leg(leg: ChainLeg) -> str:
    size = f"#{leg.dimension}" if leg.dimension is not None else leg.text
    return f"{leg.count}X {size}" if leg.count > 1 else size
