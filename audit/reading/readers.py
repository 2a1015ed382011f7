"""What a reader of pictures is, and putting the votes of several readers together.

Every reader is a separate witness; who said what is kept. Neither the scaled value nor whether a
size is usual in a shop ever enters: a reader that prefers likely sizes hides the very errors this
tool looks for.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import compress, groupby
from typing import Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.lengths import (
    Callout,
    Style,
    Unit,
    is_ambiguous,
    parse_callouts,
    spell,
    spell_fraction,
)
from audit.lengths.around import BESIDE_LETTER, LOST_BRACKET
from audit.reading.meanings import sure_of_size
from audit.reading.sense import put_sense_first
from audit.records import Candidate, ReadBy, Reading

Gray = NDArray[np.uint8]

AGREED_GAIN = 0.5  # two readers of different make that agree halve what either leaves in doubt
DISAGREED_CAP = 0.6  # a vote against caps confidence well under the limit of being believed
SETTLED = 0.9  # from here a reading is believed; see records.Settings.confidence_limit
NO_SIZE_CAP = 0.5  # a best text that is no callout at all: something was misread


class Reader(Protocol):
    """Reads upright one-callout pictures."""

    @property
    def name(self) -> ReadBy:
        """Who votes."""
        ...

    def is_available(self) -> bool:
        """Whether it can run here."""
        ...

    def read(self, crops: Sequence[Gray]) -> tuple[tuple[Candidate, ...], ...]:
        """Read each crop; best candidate first, an empty tuple where nothing is printed."""
        ...


@runtime_checkable
class Glancer(Protocol):
    """A reader that can say at a glance whether a crop is worth reading."""

    def glance(self, crops: Sequence[Gray]) -> tuple[float, ...]:
        """Look at each crop once; how likely the likeliest text in it is, 0 to 1."""
        ...


@runtime_checkable
class Glimpser(Protocol):
    """A reader that can say at a glance what a crop seems to say."""

    def glimpse(self, crops: Sequence[Gray]) -> tuple[tuple[Candidate, ...], ...]:
        """Look at each crop once; best candidate first."""
        ...


def glance_at(crops: Sequence[Gray], reader: Reader) -> tuple[float, ...]:
    """Say of each crop how likely the likeliest text in it is at a glance.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays
    reader : Reader

    Returns
    -------
    tuple of float
        In the order of `crops`; 1 where the reader can only read with all care.
    """
    return reader.glance(crops) if isinstance(reader, Glancer) else (1.0,) * len(crops)


def hear_promising(
    crops: Sequence[Gray], reader: Reader, *, least: Sequence[float]
) -> tuple[tuple[Candidate, ...], ...]:
    """Read the crops that say something at a glance; nothing of the others.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays
    reader : Reader
        One that can only read with all care does so with every crop.
    least : sequence of float
        How likely the likeliest text of each must be at a glance.

    Returns
    -------
    tuple of tuple of Candidate
        In the order of `crops`.
    """
    promising = [sure >= need for sure, need in zip(glance_at(crops, reader), least, strict=True)]
    said = iter(reader.read(list(compress(crops, promising))))
    return tuple(next(said) if so else () for so in promising)


def hear_readers(
    crops: Sequence[Gray], readers: Sequence[Reader]
) -> tuple[tuple[Candidate, ...], ...]:
    """Collect the votes on each crop; later readers are asked only where those before are unsure.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays
    readers : sequence of Reader
        The surest first.

    Returns
    -------
    tuple of tuple of Candidate
        In the order of `crops`.
    """
    votes: list[list[Candidate]] = [[] for _ in crops]
    for reader in readers:
        open_crops = [i for i, heard in enumerate(votes) if not _is_settled(heard)]
        for i, said in zip(open_crops, reader.read([crops[i] for i in open_crops]), strict=True):
            votes[i] += said
    return tuple(tuple(heard) for heard in votes)


def _is_settled(heard: Sequence[Candidate]) -> bool:
    """Whether somebody is so sure that a slower, weaker reader would add nothing."""
    return any(c.confidence >= SETTLED for c in heard)


def normalise_vote(text: str) -> str:
    """Spell a text so that two readers that mean the same say the same.

    Examples
    --------
    >>> normalise_vote(" 3  9/32 ″"), normalise_vote("ø 1/4")
    ('3 9/32"', 'Ø1/4')
    """
    folded = " ".join(text.upper().split())
    for variant, plain in _VARIANTS:
        folded = folded.replace(variant, plain)
    return folded


_VARIANTS = (
    ("⌀", "Ø"),
    ("Φ", "Ø"),
    ("”", '"'),
    ("″", '"'),
    ("''", '"'),
    ("’", "'"),
    ("′", "'"),
    (' "', '"'),
    ("Ø ", "Ø"),
    ("R ", "R"),
    ("⁄", "/"),
    ("−", "-"),
    ("–", "-"),
)


def best_callout(text: str, *, unit: Unit | None) -> tuple[Callout | None, str]:
    """Return the likeliest meaning of a text, and what else it may mean as likely, if anything."""
    meanings = parse_callouts(text, unit=unit)
    if not meanings:
        return None, ""
    if not is_ambiguous(meanings):
        return meanings[0], _foreign_unit(meanings[0]) or _what_may_be_lost(meanings[0])
    others = [m for m in meanings[1:] if m.rank <= 1 and m.size is not None]
    spelled = " or ".join(spell(m.size, style=Style.PLAIN) for m in others if m.size)
    return meanings[0], f"it may also mean {spelled}" if spelled else "it has two meanings"


def _what_may_be_lost(callout: Callout) -> str:
    """Say why more may belong to a size than is read."""
    return next((lost for lost in (LOST_BRACKET, BESIDE_LETTER) if lost in callout.remark), "")


def _foreign_unit(callout: Callout) -> str:
    """Say why a size may not count what the sheet's bare numbers count.

    Nobody divides millimetres into eighths: a fraction on a millimetre sheet is bare inches.
    """
    size = callout.size
    if size is None or callout.unit_printed or size.unit is not Unit.MM:
        return ""
    bare = _FRACTION.search(callout.text) is not None
    return f"it may be {spell_fraction(size)} inches on a sheet in mm" if bare else ""


_FRACTION = re.compile(r"(?<![\d.])\d+/\d+(?!\.?\d)")  # and no limits, 12.5/12.4


def vote(
    votes: Sequence[Candidate],
    *,
    box: Box,
    angle: float,
    unit: Unit | None,
) -> Reading | None:
    """Put the votes of all readers on one text together.

    Parameters
    ----------
    votes : sequence of Candidate
        Every reader's candidates, in any order.
    box : Box
        Of the text, sheet frame.
    angle : float
        Direction of the text, degrees.
    unit : Unit or None
        What a bare number counts on this sheet.

    Returns
    -------
    Reading or None
        `None` when nobody read anything. The best candidate is the one its reader is surest of
        among those that make sense (`put_sense_first`), a reader made for the purpose (PDF text,
        our network) before a general one.
    """
    heard = [v for v in votes if v.text.strip()]
    if not heard:
        return None
    by_rank = sorted(heard, key=lambda v: (_RANK[v.by], -v.confidence))
    ranked = [
        one
        for _, said in groupby(by_rank, key=lambda v: _RANK[v.by])
        for one in put_sense_first(list(said))
    ]
    best = ranked[0]
    callout, other = best_callout(best.text, unit=unit)
    if callout is not None:
        best = replace(best, confidence=sure_of_size(best, ranked, callout=callout, unit=unit))
    confidence, doubt = _settle(best, ranked)
    if other:
        confidence, doubt = min(confidence, DISAGREED_CAP), doubt or other
    if callout is None:
        confidence, doubt = min(confidence, NO_SIZE_CAP), doubt or "this is no size we know"
    return Reading(
        text=best.text,
        callout=callout,
        confidence=confidence,
        by=best.by,
        candidates=tuple(ranked),
        box=box,
        angle=angle,
        doubt=doubt,
    )


_RANK = {ReadBy.USER: 0, ReadBy.PDF: 1, ReadBy.NET: 2, ReadBy.TESSERACT: 3}


def _settle(best: Candidate, ranked: Sequence[Candidate]) -> tuple[float, str]:
    """Confidence in the best candidate after hearing each other reader's first choice."""
    confidence, doubt = best.confidence, ""
    mine = normalise_vote(best.text)
    for reader in (ReadBy.PDF, ReadBy.NET, ReadBy.TESSERACT):
        first = next((c for c in ranked if c.by is reader), None)
        if first is None or reader is best.by:
            continue
        if normalise_vote(first.text) == mine:
            confidence = 1.0 - (1.0 - confidence) * AGREED_GAIN
        elif reader is not ReadBy.TESSERACT and first.confidence > DISAGREED_CAP:
            confidence = min(confidence, DISAGREED_CAP)
            doubt = f"the {_WHO[best.by]} says {best.text}, the {_WHO[reader]} {first.text}"
    return confidence, doubt


_WHO = {
    ReadBy.PDF: "text in the file",
    ReadBy.NET: "picture",
    ReadBy.TESSERACT: "picture",
    ReadBy.USER: "user",
}


def read_typed(text: str, *, points: Sequence[tuple[float, float]], unit: Unit | None) -> Reading:
    """Take what a person typed as what is printed: a confirmed reading.

    Parameters
    ----------
    text : str
    points : sequence of points
        Where the text belongs, when its own place is not known: the dimension's points.
    unit : Unit or None
        What a bare number counts.
    """
    callout, _ = best_callout(text, unit=unit)
    spoken = " ".join(text.split())
    return Reading(
        text=spoken,
        callout=callout,
        confidence=1.0,
        by=ReadBy.USER,
        confirmed=True,
        candidates=(Candidate(text=spoken, confidence=1.0, by=ReadBy.USER),),
        box=Box.around(points),
        doubt="" if callout else "this is no size we know",
    )
