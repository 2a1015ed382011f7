"""Every kind of entry by its name, those of the tool itself, and a line of the history as stored.

*Machine entries* (a run, a judgement, a source) and the markers `Undone` and `Redone` cannot be
undone; what a person did (`audit.store.entries`) can.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from audit.geometry import Box
from audit.records import (
    Audit,
    Finding,
    Scaled,
    Settings,
    SheetText,
    Verdict,
    View,
)
from audit.store.entries import USER_KINDS, UserEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class Created:
    """The first entry of every file."""

    name: str
    settings: Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceAdded:
    """The bytes of a plan file were taken in."""

    digest: str
    name: str
    size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RunInfo:
    """What made a run: its number (1, 2, …), when, with which settings, options and versions."""

    number: int
    at: str
    settings: Settings
    options: tuple[tuple[str, str], ...] = ()
    versions: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What one run found, in the audit's own numbers."""

    info: RunInfo
    found: Audit


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedDimension:
    """What judging said of one dimension."""

    id: int
    scaled: Scaled | None
    difference: float | None
    tolerance: float | None
    verdict: Verdict
    why: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedText:
    """Where judging put one text: the `nth` (0, 1, …) in the list with this sheet and box."""

    nth: int
    text: SheetText


@dataclass(frozen=True, slots=True, kw_only=True)
class TextPlace:
    """A text that is no size, note or count after all."""

    sheet: int
    box: Box
    nth: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What judging changed; everything not named here stays as it was.

    Of `views` only what judging says of a view is taken (scale, what it shows, settled edge), not
    what was found or set by a person. `added_texts` are all texts that judging put beside those of
    the runs (the text of a dimension added by hand); `findings` are new or changed, `gone` the
    numbers of those that no longer hold.
    """

    dimensions: tuple[JudgedDimension, ...] = ()
    views: tuple[View, ...] = ()
    texts: tuple[JudgedText, ...] = ()
    dropped_texts: tuple[TextPlace, ...] = ()
    added_texts: tuple[SheetText, ...] = ()
    findings: tuple[Finding, ...] = ()
    gone: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone:
    """Marks that the entry named in `undoes` no longer counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Redone:
    """Marks that the undoing named in `undoes` no longer counts."""


MachineEntry = Created | SourceAdded | Ran | Judged
Marker = Undone | Redone
Entry = UserEntry | MachineEntry | Marker

KIND_NAMES: dict[str, type[Any]] = {
    **USER_KINDS,
    "created": Created,
    "source": SourceAdded,
    "run": Ran,
    "judged": Judged,
    "undo": Undone,
    "redo": Redone,
}
MACHINE_KINDS = frozenset({"created", "source", "run", "judged"})
MARKER_KINDS = frozenset({"undo", "redo"})
NAME_OF = {kind: name for name, kind in KIND_NAMES.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class LogEntry:
    """One line of the history, as stored.

    Attributes
    ----------
    seq : int
        1, 2, 3 … without gaps; the revision of the audit right after it.
    at : datetime
        When, UTC.
    actor : str
        Who: ``user``, ``tool``, or a name the caller gave.
    kind : str
        A key of `KIND_NAMES`.
    payload : str
        JSON of the entry's class.
    undoes : int or None
        `undo`: the entry that no longer counts; `redo`: the `undo` that no longer counts.
    """

    seq: int
    at: datetime
    actor: str
    kind: str
    payload: str
    undoes: int | None = None

    @property
    def by_user(self) -> bool:
        """Whether a person's action stands here, which can be undone."""
        return self.kind not in MACHINE_KINDS and self.kind not in MARKER_KINDS
