"""One thing to tell the user."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from audit.geometry import Box
from audit.records.codes import Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A box on a sheet, in that sheet's frame."""

    sheet: int
    box: Box


class WitnessKind(StrEnum):
    """Independent sources for a size."""

    PRINTED = "printed"
    DRAWN = "drawn"
    CHAIN = "chain"
    VIEW = "other view"
    MATING = "mating part"
    STATEMENT = "statement"


class Side(StrEnum):
    """Whether a witness speaks for the printed number or against it."""

    FOR = "for"
    AGAINST = "against"


@dataclass(frozen=True, slots=True, kw_only=True)
class Witness:
    """One independent source for a size, and what it says, in one phrase."""

    kind: WitnessKind
    side: Side
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing to tell the user.

    Attributes
    ----------
    id : int
        Same number series as dimensions.
    code : str
        Stable, a row of docs/findings.md.
    severity : Severity
    grade : str
        The kinds of the witnesses against, joined by ``+`` ("drawing+chain"); empty otherwise.
    places : tuple of Place
    dimensions : tuple of int
    witnesses : tuple of Witness
    rests_on : tuple of str
        What must hold for the finding to hold ("the scale of view 2").
    text : str
        One or two sentences, complete in themselves.
    suggestion : str or None
        A value (``3 3/8``), without unit marks.
    """

    id: int
    code: str
    severity: Severity
    grade: str = ""
    places: tuple[Place, ...] = ()
    dimensions: tuple[int, ...] = ()
    witnesses: tuple[Witness, ...] = ()
    rests_on: tuple[str, ...] = ()
    text: str
    suggestion: str | None = None
