"""What another owner of the same plan reports: proposals, never applied by themselves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from audit.geometry import Box
from audit.lengths import Length
from audit.records.codes import Severity


class Cut(StrEnum):
    """What came of cutting to a decided size."""

    FITS = "fits"
    DOES_NOT_FIT = "doesn't fit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """One erratum that somebody else found on the same print.

    Attributes
    ----------
    sheet : int
        Of this audit.
    box : Box
        Where it is, laid onto this sheet by registration; sheet frame.
    dimension : int or None
        The dimension of this audit that stands there, when one does.
    code : str
        Of the finding; empty for a bare decision.
    severity : Severity
    text : str
        In the other owner's words.
    printed : str
        What they read.
    suggestion : str
        What they suggest; may be empty.
    decided : Length or None
        What they build to.
    reason : str
    hold : bool
        They do not cut it.
    cut : Cut or None
        What came of it.
    cut_note : str
    """

    sheet: int
    box: Box
    dimension: int | None = None
    code: str = ""
    severity: Severity = Severity.WARNING
    text: str = ""
    printed: str = ""
    suggestion: str = ""
    decided: Length | None = None
    reason: str = ""
    hold: bool = False
    cut: Cut | None = None
    cut_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideErrata:
    """The errata of one file, as they were taken in.

    `digest` is the SHA-256 of the file, `name` what it was called, `registered` says in a line for
    each sheet how it was recognised.
    """

    digest: str
    name: str
    proposals: tuple[Proposal, ...] = ()
    registered: tuple[str, ...] = ()
