"""Printed text: what was read, by whom, how sure, and where each text ended up."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from audit.geometry import Box
from audit.lengths import Callout


class ReadBy(StrEnum):
    """Who read a text."""

    PDF = "pdf"
    NET = "net"
    TESSERACT = "tesseract"
    USER = "user"


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One way to read a text: as printed, fractions as ``a b/c``, with its probability."""

    text: str
    confidence: float
    by: ReadBy


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A callout or statement as read.

    Attributes
    ----------
    text : str
        The best candidate.
    callout : Callout or None
        Its meaning; `None` when it is no callout.
    confidence : float
        Probability that `text` is what is printed, 0 to 1.
    by : ReadBy
    confirmed : bool
        A person said so.
    candidates : tuple of Candidate
        All, best first, the votes of every reader among them.
    box : Box
        Upright box around the text, in the sheet's frame.
    angle : float
        Direction the text runs, degrees, counter-clockwise as seen (0: left to right).
    doubt : str
        Why it is unsure, for the user ("the picture shows another text"); empty when sure.
    """

    text: str
    callout: Callout | None
    confidence: float
    by: ReadBy
    confirmed: bool = False
    candidates: tuple[Candidate, ...] = ()
    box: Box
    angle: float = 0.0
    doubt: str = ""


class TextState(StrEnum):
    """Where a size-like text ended up; coverage counts these."""

    COMPARED = "compared"
    ARITHMETIC = "arithmetic"
    SET_ASIDE = "set-aside"
    NOT_CHECKED = "not-checked"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetText:
    """One text on a sheet that looks like a size, note or count, and what became of it."""

    sheet: int
    text: str
    box: Box
    angle: float = 0.0
    confidence: float = 1.0
    by: ReadBy = ReadBy.PDF
    state: TextState
    why: str | None = None
