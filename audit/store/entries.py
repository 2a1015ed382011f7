"""What a person did to an audit, one frozen class for each kind of entry; each can be undone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from audit.geometry import Box, Point, Transform
from audit.lengths import Length
from audit.records import (
    Cut,
    Decision,
    Dimension,
    DimensionKind,
    DrawnCount,
    End,
    Flatness,
    Fold,
    HandChain,
    KnownSize,
    LaidPiece,
    Link,
    OutsideErrata,
    Part,
    Reading,
    Settings,
    Verdict,
    View,
    ViewKind,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RenameAudit:
    """Give the audit another name."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSettings:
    """Judge by other settings from now on."""

    settings: Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class AddKnownSize:
    """Give a known size; giving the same one twice changes nothing."""

    known: KnownSize


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveKnownSize:
    """Take a known size away, the tool's own included."""

    known: KnownSize


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeKnownSize:
    """Put another known size in the place of one."""

    known: KnownSize
    becomes: KnownSize


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPaper:
    """Say how a sheet lies on its paper (the corners of a rectangle of known size)."""

    sheet: int
    to_paper: Transform
    paper_known: bool = True
    u_paper: float = 0.0
    scatter: float | None = None
    paper_box: Box | None = None
    flatness: Flatness | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetFolds:
    """Say which folds and taped joints a sheet has; they replace those marked before."""

    sheet: int
    folds: tuple[Fold, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectReading:
    """Confirm or retype what is printed; `reading` `None`: nothing is printed here."""

    dimension: int
    reading: Reading | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveEnds:
    """Put the points of a dimension somewhere else."""

    dimension: int
    ends: tuple[End, ...]
    line: tuple[Point, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeKind:
    """Say that a dimension is of another kind."""

    dimension: int
    kind: DimensionKind


@dataclass(frozen=True, slots=True, kw_only=True)
class AssignView:
    """Say that a dimension belongs to another view of its sheet."""

    dimension: int
    view: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AddDimension:
    """Add a dimension by hand; its `id` is 0 (the file numbers it) or the file's next number."""

    dimension: Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveDimension:
    """Take away a dimension that was added by hand."""

    dimension: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SetVerdict:
    """Not critical, not a dimension, or (`None`) judge it again like any other."""

    dimension: int
    verdict: Verdict | None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetDimensionTolerance:
    """Give one dimension a tolerance of its own, or (`None`) take it away."""

    dimension: int
    tolerance: Length | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetViewTolerance:
    """Give one view a tolerance of its own, or (`None`) take it away."""

    view: int
    tolerance: Length | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EditView:
    """Change what is given of a view; `None` leaves a side as it is."""

    view: int
    kind: ViewKind | None = None
    box: Box | None = None
    title: str | None = None
    stated_scale: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AddView:
    """Add a view by hand; its `id` is 0 (the file numbers it) or the file's next view number."""

    view: View


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeViews:
    """Join a view into another one of its sheet; its dimensions move along."""

    view: int
    into: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """Say that a text needs no check."""

    sheet: int
    box: Box
    text: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeUp:
    """Take a text up again that was set aside."""

    sheet: int
    box: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class Decide:
    """Choose the value to build to, or hold."""

    decision: Decision


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawDecision:
    """Take a decision back."""

    dimension: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkSame:
    """Say that two dimensions are one feature."""

    link: Link


@dataclass(frozen=True, slots=True, kw_only=True)
class Unlink:
    """Say that two dimensions are not one feature after all."""

    first: int
    second: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPart:
    """Add a part, or replace the one called `replaces` (by default, of the same name)."""

    part: Part
    replaces: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovePart:
    """Take a part away, the tool's own included."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetChain:
    """Add a chain made by hand, or replace the one of the same name."""

    chain: HandChain


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveChain:
    """Take a chain made by hand away."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LayPiece:
    """Keep a piece laid on a view, or replace the one of the same name."""

    piece: LaidPiece


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovePiece:
    """Take a laid piece away."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetCount:
    """Keep what was counted on a drawing, or replace the count of the same name."""

    count: DrawnCount


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveCount:
    """Take a count away."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkCut:
    """Say what came of cutting to a decided size; `cut` `None`: it was not cut after all."""

    dimension: int
    cut: Cut | None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeErrata:
    """Take in the errata of another owner, as proposals; the same file again replaces them."""

    errata: OutsideErrata


@dataclass(frozen=True, slots=True, kw_only=True)
class DropErrata:
    """Take the errata of a file away again."""

    digest: str


UserEntry = (
    RenameAudit
    | ChangeSettings
    | AddKnownSize
    | RemoveKnownSize
    | ChangeKnownSize
    | SetPaper
    | SetFolds
    | CorrectReading
    | MoveEnds
    | ChangeKind
    | AssignView
    | AddDimension
    | RemoveDimension
    | SetVerdict
    | SetDimensionTolerance
    | SetViewTolerance
    | EditView
    | AddView
    | MergeViews
    | SetAside
    | TakeUp
    | Decide
    | WithdrawDecision
    | LinkSame
    | Unlink
    | SetPart
    | RemovePart
    | SetChain
    | RemoveChain
    | LayPiece
    | RemovePiece
    | SetCount
    | RemoveCount
    | MarkCut
    | TakeErrata
    | DropErrata
)

# names in the file: never changed, never given to another entry
USER_KINDS: dict[str, type[Any]] = {
    "rename": RenameAudit,
    "settings": ChangeSettings,
    "known-size": AddKnownSize,
    "no-known-size": RemoveKnownSize,
    "change-known-size": ChangeKnownSize,
    "paper": SetPaper,
    "folds": SetFolds,
    "reading": CorrectReading,
    "ends": MoveEnds,
    "kind": ChangeKind,
    "assign-view": AssignView,
    "add-dimension": AddDimension,
    "remove-dimension": RemoveDimension,
    "verdict": SetVerdict,
    "dimension-tolerance": SetDimensionTolerance,
    "view-tolerance": SetViewTolerance,
    "edit-view": EditView,
    "add-view": AddView,
    "merge-views": MergeViews,
    "set-aside": SetAside,
    "take-up": TakeUp,
    "decide": Decide,
    "withdraw": WithdrawDecision,
    "same-as": LinkSame,
    "not-same-as": Unlink,
    "part": SetPart,
    "no-part": RemovePart,
    "chain": SetChain,
    "no-chain": RemoveChain,
    "piece": LayPiece,
    "no-piece": RemovePiece,
    "count": SetCount,
    "no-count": RemoveCount,
    "cut": MarkCut,
    "errata": TakeErrata,
    "no-errata": DropErrata,
}
