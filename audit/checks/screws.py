"""Holes that say which screw they are for: whether it goes through, whether it holds.

Wood screws have two holes: one lets the shank through, the other, smaller one is for the thread.
A hole that is neither is told; which of the two is meant is not guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.places import place_of
from audit.checks.said_fits import PINS
from audit.checks.tables import drill_diameter, read_table
from audit.checks.words import say_length
from audit.lengths import Callout, Length, Mark, Style, Unit, find_length, spell
from audit.lengths.tables import screw_sizes
from audit.records import Dimension, Finding, Severity
from audit.scale.findings import say

_FOR = re.compile(
    r"\bFOR (?:AN? )?(?P<name>#\d{1,2}|NO\.? ?\d{1,2}|M\d{1,2}(?:\.\d)?|(?:\d+ )?\d+/\d+)\b"
    r"(?P<rest>.*)"
)
_PILOT = re.compile(r"\bPILOT\b|\bLEAD HOLE\b")
_CLEAR = re.compile(r"\bCLEAR(?:ANCE)?\b|\bSHANK\b|\bBODY\b")
_WOOD = re.compile(r"\bWOOD\b|\bW\.? ?S\.?$|\bF\.? ?H\.? ?SCREW|\bR\.? ?H\.? ?SCREW")
_SCREW = re.compile(r"\bSCREWS?\b")
_PIN = re.compile(
    rf" (?!THREADED)(?:[A-Z]+ )?(?:{PINS}|MARBLES?|BALLS?)(?![A-Z])"
)  # see `said_fits`
_BOLT = re.compile(r"\bBOLTS?\b|\bMACHINE\b|\bSTUD|\bROD\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastener:
    """A screw as a callout names it; `wood` `None`: it does not say of which kind."""

    name: str
    major: Length
    wood: bool | None


def find_fastener(callout: Callout) -> Fastener | None:
    """Find the screw a hole is for.

    Parameters
    ----------
    callout : Callout
        Of the hole.

    Returns
    -------
    Fastener | None
        `None` when it names none.

    Examples
    --------
    >>> from audit.lengths import parse_callouts
    >>> hole = parse_callouts("11/64 DRILL FOR #8 WOOD SCREW", unit=Unit.IN)[0]
    >>> find_fastener(hole).name, find_fastener(hole).wood
    ('#8', True)
    """
    match = _FOR.search(callout.noun)
    if match is None:
        return None
    name = re.sub(r"^NO\.? ?", "#", match["name"])
    rest = match["rest"]
    if name[0].isdigit() and _PIN.match(rest):
        return None
    if re.match(r"-\d", rest):
        wood: bool | None = False  # a thread: 1/4-20
    elif _BOLT.search(rest) or name[0] == "M":
        wood = False
    elif _WOOD.search(rest):
        wood = True
    else:
        wood = None if _SCREW.search(rest) and name[0] == "#" else False
    major = _major(name)
    return None if major is None else Fastener(name=name, major=major, wood=wood)


def _major(name: str) -> Length | None:
    if name[0] == "#":
        return screw_sizes("wood screws").get(name[1:])
    if name[0] == "M":
        return Length(Fraction(name[1:]), Unit.MM)
    return find_length(name, unit=Unit.IN)


def check_screws(dimensions: Iterable[Dimension]) -> list[Finding]:
    """Check the holes that say which screw they are for.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Read.

    Returns
    -------
    list[Finding]
        F107.
    """
    return [f for d in dimensions if (f := _check(d)) is not None]


def _check(dimension: Dimension) -> Finding | None:
    callout = dimension.reading.callout if dimension.reading is not None else None
    if callout is None or callout.size is None or callout.size.unit is Unit.DEG:
        return None
    fastener = find_fastener(callout)
    if fastener is None or callout.thread is not None or Mark.TAP in callout.marks:
        return None
    told = _why_not(callout, callout.size, fastener)
    if told is None:
        return None
    words, sure = told
    text = (
        f"The {say_length(callout.size)} hole for {_article(fastener)} {words} "
        f"The screw is {say_length(fastener.major)} thick by its name; measure those you have."
    )
    return say(
        "F107",
        text,
        places=[place_of(dimension)],
        dimensions=[dimension.id],
        severity=Severity.WARNING if sure else None,
    )


def _why_not(callout: Callout, hole: Length, screw: Fastener) -> tuple[str, bool] | None:
    """Say what is wrong with a hole, and whether its own words make that sure."""
    through = _clearance_words(screw)
    if _PILOT.search(callout.noun):
        words = "is called a pilot hole, but lets the whole screw through: nothing holds."
        return None if hole < screw.major else (f"{words}{_pilot_words(screw)}", True)
    if _CLEAR.search(callout.noun) or Mark.CLEARANCE in callout.marks:
        words = "is called a clearance hole, but the screw does not go through."
        return None if hole > screw.major else (f"{words}{through}", True)
    if hole > screw.major:
        return None
    if screw.wood is False:
        return f"does not let it through.{through}", False
    pilot = _pilot_limits(screw)
    if pilot is None or hole <= pilot[1]:
        return None
    return (
        f"is too small to let the shank through and too large for a pilot hole.{through}"
        f"{_pilot_words(screw)}",
        False,
    )


def _pilot_limits(screw: Fastener) -> tuple[Length, Length] | None:
    row = read_table("wood screws").get(screw.name)
    if row is None:
        return None
    return Length(Fraction(row[1]), Unit.IN), Length(Fraction(row[2]), Unit.IN)


def _pilot_words(screw: Fastener) -> str:
    limits = _pilot_limits(screw) if screw.wood is not False else None
    if limits is None:
        return ""
    low, high = (spell(s, style=Style.PLAIN) for s in limits)
    return f" Pilot holes of {low} (softwood) to {high} in (hardwood) are usual."


def _clearance_words(screw: Fastener) -> str:
    """What is usual, and by which table: there are several conventions."""
    if screw.name[0] == "M":
        row = read_table("metric clearance holes").get(screw.name)
        return f" {row[0]} mm is usual (ISO 273, medium)." if row else ""
    if screw.wood is not False and screw.name in read_table("wood screws"):
        shank = read_table("wood screws")[screw.name][0]
        return f" {shank} in is usual for the shank."
    row = read_table("clearance holes").get(screw.name)
    if row is None:
        return ""
    size = float(drill_diameter(row[0]))
    return f" {row[0]} ({size:.4g} in) is usual (ASME B18.2.8, normal fit)."


def _article(screw: Fastener) -> str:
    kind = "wood screw" if screw.wood else "screw" if screw.name[0] == "#" else "bolt"
    return f"a {screw.name} {kind}"
