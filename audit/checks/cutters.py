"""Inside corners against the cutter that a note names: a cutter leaves half its diameter.

Common practice, no source: the geometry of a round cutter. Whether a radius is an inside corner
the plan does not say, so it is a question.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from audit.checks.names import find_names
from audit.checks.parts import PlanPart
from audit.checks.places import place_of
from audit.checks.words import say_length
from audit.lengths import CalloutKind, Length, Unit, parse_callouts
from audit.records import Audit, Dimension, DimensionKind, Finding, Statement
from audit.scale.findings import join_words, say

_CUTTER = re.compile(
    r"(?P<size>(?:\d+ )?\d+/\d+|\d*\.\d+|\d+)\s*(?:\"|IN\.?|INCH|MM)?\s*(?:DIA\.? |DIAMETER )?"
    r"(?:STRAIGHT |SPIRAL |ROUTER |END )*(?:BIT|CUTTER|MILL)\b"
)
_WORK = re.compile(r"\b(?:ROUT|ROUTE[DR]?|MILL(?:ED)?|CUT|WITH|USE|BY)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """A cutter that a note names, with the parts it is for; none: for all."""

    size: Length
    note: Statement
    parts: tuple[str, ...] = ()


def is_cutter_note(text: str) -> bool:
    """Tell whether a sentence names the cutter to work with.

    Parameters
    ----------
    text : str
        One sentence.

    Returns
    -------
    bool
        From its words alone.

    Examples
    --------
    >>> is_cutter_note("ROUT POCKETS WITH A 1/4 BIT."), is_cutter_note("A BIT OF GLUE")
    (True, False)
    """
    plain = _plain(text)
    return _CUTTER.search(plain) is not None and _WORK.search(plain) is not None


def _plain(text: str) -> str:
    return " ".join(text.upper().replace("-", " ").split())


def find_cutters(audit: Audit, names: Sequence[str]) -> tuple[Cutter, ...]:
    """Find the cutters that notes name.

    Parameters
    ----------
    audit : Audit
        For its notes.
    names : Sequence[str]
        Of the parts.

    Returns
    -------
    tuple[Cutter, ...]
        In the order of the notes.
    """
    found = []
    for note in audit.statements:
        match = _CUTTER.search(_plain(note.text))
        if match is None or not is_cutter_note(note.text):
            continue
        unit = Unit.MM if "MM" in match[0] else audit.settings.length_unit or Unit.IN
        sizes = parse_callouts(match["size"], unit=unit)
        if sizes and sizes[0].size is not None and sizes[0].size.value > 0:
            parts = tuple(n for _, n in find_names(note.text, names))
            found.append(Cutter(size=sizes[0].size, note=note, parts=parts))
    return tuple(found)


def check_cutters(parts: Iterable[PlanPart], audit: Audit) -> list[Finding]:
    """Ask about radii that the named cutter cannot leave as inside corners.

    Parameters
    ----------
    parts : Iterable[PlanPart]
        From `find_parts`.
    audit : Audit
        With notes and dimensions.

    Returns
    -------
    list[Finding]
        F110, one for each cutter.
    """
    parts = list(parts)
    told = []
    for cutter in find_cutters(audit, [p.name for p in parts]):
        named = [p for p in parts if p.name in cutter.parts]
        dimensions = [d for p in named for d in p.dimensions] if named else audit.dimensions
        small = [d for d in dimensions if _is_smaller(d, cutter)]
        if small:
            told.append(_tell(cutter, small))
    return told


def _is_smaller(dimension: Dimension, cutter: Cutter) -> bool:
    callout = dimension.reading.callout if dimension.reading is not None else None
    if dimension.kind is not DimensionKind.RADIUS or callout is None or callout.size is None:
        return False
    radius = callout.kind is CalloutKind.RADIUS and callout.size.unit is not Unit.DEG
    return radius and callout.size * 2 < cutter.size


def _tell(cutter: Cutter, small: Sequence[Dimension]) -> Finding:
    radii = {d.printed for d in small if d.printed is not None}
    words = join_words([f"R {say_length(r)}" for r in sorted(radii, key=float)])
    half = say_length(Length(cutter.size.value / 2, cutter.size.unit))
    fit = say_length(min(radii, key=float) * 2)
    text = (
        f"The note “{cutter.note.text}” names a {say_length(cutter.size)} cutter, which leaves "
        f"inside corners of R {half} at least. If {words} is an inside corner, it needs a cutter "
        f"of {fit} or less."
    )
    return say(
        "F110",
        text,
        places=[place_of(d) for d in small],
        dimensions=[d.id for d in small],
        rests_on=[f"the note “{cutter.note.text}”"],
    )
