"""What goes over the wire: JSON models of the page's state and of its actions."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from audit.records import (
    DimensionKind,
    Drafting,
    PieceShape,
    Severity,
    Verdict,
    ViewKind,
)

XY = Annotated[tuple[float, float], Field(description="x, y in the sheet's own frame")]
BoxJson = tuple[float, float, float, float]
# No sheet is so large; the audit file refuses numbers whose powers are none.
Coordinate = Annotated[float, Field(ge=-1e9, le=1e9)]
Row = tuple[float, float, float]
Revision = Annotated[int, Field(ge=0, description="the revision of the audit that was seen")]
Text = Annotated[str, Field(max_length=200)]


class Model(BaseModel):
    """Base of all models: no unknown fields, no infinities."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class ErrorBody(Model):
    """What is wrong, and what to do."""

    code: str
    problem: str
    advice: str


class ErrorJson(Model):
    """The one shape of an error."""

    error: ErrorBody


class MarkJson(Model):
    """How a verdict or finding is marked: shape, sign, colour, word."""

    shape: str
    sign: str
    colour: str
    word: str


class CoverageJson(Model):
    """Size-like texts that were checked, of all there are."""

    checked: int
    texts: int


class TabState(StrEnum):
    """What a sheet's tab tells."""

    NOT_BEGUN = "not-begun"
    ALL_AGREE = "all-agree"
    DISAGREES = "disagrees"
    OPEN = "open"


class TabJson(Model):
    """One sheet in the row of tabs."""

    id: int
    name: str
    state: TabState
    count: int = Field(description="of what asks for a decision, or of what is not settled")
    coverage: CoverageJson


class BusyJson(Model):
    """What is being looked for just now."""

    name: str
    says: str
    left: int


class OverviewJson(Model):
    """The audit as a whole."""

    revision: int
    name: str
    unit: str
    tolerance: str
    angle_tolerance: str
    finest: str
    drafting: str
    thickness: str
    can_undo: bool
    can_redo: bool
    busy: BusyJson | None
    coverage: CoverageJson
    sheets: tuple[TabJson, ...]
    remarks: tuple[str, ...]


class CandidateJson(Model):
    """One way to read a text."""

    text: str
    confidence: float
    by: str


class PrintedJson(Model):
    """What is printed, as it was read."""

    text: str
    value: str | None = Field(description="the size it says, without unit marks")
    unit: str | None
    box: BoxJson
    angle: float
    confidence: float
    by: str
    confirmed: bool
    doubt: str
    candidates: tuple[CandidateJson, ...]


class ScaledJson(Model):
    """What was measured on the drawing; U at k = 2."""

    value: float
    says: str
    uncertainty: float | None
    uncertainty_says: str
    unit: str
    nearest: str | None
    candidates: tuple[str, ...]


class OptionJson(Model):
    """One thing to build to."""

    basis: str
    value: str
    needs_reason: bool


class DecisionJson(Model):
    """What was decided."""

    basis: str
    value: str | None
    reason: str
    hold: bool


class EndJson(Model):
    """One point of a dimension: where, on what, how well known (sheet frame units)."""

    point: XY
    kind: str
    sigma: float


class RowJson(Model):
    """One line of the ledger: a dimension, or a finding that no single dimension stands for."""

    key: str = Field(description="d12 a dimension, f40 a finding")
    number: int
    feature: str
    view: str
    kind: DimensionKind | None
    mark: MarkJson
    verdict: Verdict | None
    severity: Severity | None
    code: str | None
    printed: PrintedJson | None
    scaled: ScaledJson | None
    says: str
    why: str
    sentence: str
    evidence: tuple[str, ...]
    ends: tuple[EndJson, ...]
    line: tuple[XY, ...]
    boxes: tuple[BoxJson, ...] = Field(description="what it speaks of, sheet frame")
    dimensions: tuple[int, ...] = Field(description="of a finding: the dimensions it speaks of")
    findings: tuple[int, ...] = Field(description="of a dimension: findings shared with others")
    options: tuple[OptionJson, ...]
    preselected: str | None
    decision: DecisionJson | None
    tolerance: str | None
    shows: str
    by_hand: bool
    needs_you: bool


class MarkPlaceJson(Model):
    """Where a mark stands, in map px, so that it keeps off what is printed and drawn."""

    key: str
    label: str
    mark: MarkJson
    centre: XY
    radius: float
    inside: bool
    leader: tuple[XY, ...]


class UncheckedJson(Model):
    """Texts that were not checked, and why."""

    key: str
    label: str
    head: str
    why: str
    boxes: tuple[BoxJson, ...]
    texts: tuple[str, ...]


class KnownJson(Model):
    """A known size, and how it stands to the others of its sheet."""

    number: int
    a: XY
    b: XY
    length: str
    residual: str = Field(description="how much longer the others make it; empty: it stands alone")
    fits: bool | None = Field(description="false: it does not fit the others")
    across_fold: bool = Field(description="it measures the step of a fold, and sets no scale")


class FoldJson(Model):
    """A fold or taped joint, from edge to edge of the sheet."""

    number: int
    a: XY
    b: XY
    step: str = Field(description="as stated; empty: nobody has")
    across: int = Field(description="dimensions that run across it")
    says: str


class ArrowJson(Model):
    """How far a place lies aside of where it should, drawn many times as long."""

    at: XY
    tip: XY


class FlatnessJson(Model):
    """What is left after a photo was made flat."""

    says: str
    longest: str = Field(description="what the longest arrow stands for")
    arrows: tuple[ArrowJson, ...]


class ViewJson(Model):
    """A view: a region of the sheet drawn at one scale."""

    number: int
    name: str
    title: str
    kind: ViewKind
    box: BoxJson
    scale: str
    stated_scale: str
    has_scale: bool
    tolerance: str
    dimensions: int
    by_hand: bool = Field(description="a person drew its box")


class PieceJson(Model):
    """A piece that is kept on the sheet."""

    name: str
    view: int
    shape: PieceShape
    size: str
    centre: XY
    angle: float
    outline: tuple[XY, ...] = Field(description="empty where its view has no scale now")


class DrawnCountJson(Model):
    """What was counted on the sheet."""

    name: str
    example: BoxJson
    places: tuple[XY, ...]
    printed: int | None
    says: str


class LegJson(Model):
    """One leg of a chain, or its overall."""

    dimension: int | None
    says: str
    count: int


class ChainJson(Model):
    """A chain: legs, their exact sum, the overall, and the gap between them."""

    finding: int | None
    name: str
    legs: tuple[LegJson, ...]
    total: str
    overall: LegJson | None
    gap: str
    rounding: str
    text: str
    closes: bool


class SheetJson(Model):
    """One sheet as the page shows it."""

    revision: int
    id: int
    name: str
    width: int = Field(description="of the map, px")
    height: int
    from_frame: tuple[Row, Row, Row] = Field(description="sheet frame to map px, row-major")
    frame: str
    sharp: bool = Field(description="whether there are tiles finer than the map")
    coarsest: int = Field(description="lowest zoom that has tiles")
    digest: str
    coverage: CoverageJson
    says: str
    remarks: tuple[str, ...]
    unit: str
    rows: tuple[RowJson, ...]
    marks: tuple[MarkPlaceJson, ...]
    unchecked: tuple[UncheckedJson, ...]
    known_sizes: tuple[KnownJson, ...]
    chains: tuple[ChainJson, ...]
    views: tuple[ViewJson, ...]
    pieces: tuple[PieceJson, ...]
    drawn_counts: tuple[DrawnCountJson, ...]
    folds: tuple[FoldJson, ...]
    flatness: FlatnessJson | None = Field(description="of a photo made flat by what is seen on it")
    paper_known: bool
    paper_by_hand: bool = Field(description="flattened by the corners a person gave")
    has_scale: bool


class SnapJson(Model):
    """Where a point will be put, and to what it snaps."""

    point: XY
    kind: str
    sigma: float
    sigma_px: float


class DoneJson(Model):
    """What an action came to."""

    revision: int
    key: str | None = Field(default=None, description="the row to look at")
    row: RowJson | None = Field(default=None, description="that row as it stands now")
    says: str = ""


class AddedJson(Model):
    """The sheets of a plan that was taken in."""

    revision: int
    sheets: tuple[int, ...]


class Seen(Model):
    """An action on the audit as it was seen."""

    revision: Revision


class Placed(Seen):
    """Points placed on a sheet; `free` names those (0, 1, …) that must stay where they are."""

    sheet: int
    points: Annotated[tuple[XY, ...], Field(min_length=2, max_length=3)]
    free: Annotated[tuple[int, ...], Field(max_length=3)] = ()


class AddKnown(Placed):
    """Give a known size."""

    length: Text


class AddDimension(Placed):
    """Place a dimension."""

    kind: DimensionKind
    text: Text = ""


class MovePoints(Seen):
    """Put the points of a dimension somewhere else."""

    points: Annotated[tuple[XY, ...], Field(min_length=2, max_length=3)]
    free: Annotated[tuple[int, ...], Field(max_length=3)] = ()


class TypeReading(Seen):
    """Say what is printed; `text` null: nothing is."""

    text: Text | None


class MakeDecision(Seen):
    """Choose what to build to."""

    basis: Annotated[str, Field(pattern="^(printed|chain|scaled|another|hold)$")]
    value: Text = ""
    reason: Text = ""


class SetStanding(Seen):
    """Judge a dimension, or set it aside."""

    standing: Annotated[str, Field(pattern="^(judged|not-critical|not-a-dimension)$")]
    reason: Text = ""


class SetTolerance(Seen):
    """Give one dimension its own tolerance; null: that of the audit."""

    tolerance: Text | None


class PutAside(Seen):
    """Say that a text needs no check."""

    sheet: int
    box: tuple[Coordinate, Coordinate, Coordinate, Coordinate]
    text: Text
    why: Text


class ChangeSettings(Seen):
    """Judge by other settings; an empty text means: as usual, null: as it is."""

    unit: Annotated[str, Field(pattern="^(in|mm|cm|m|)$")] | None = None
    tolerance: Text | None = None
    angle_tolerance: Text | None = None
    finest: Annotated[str, Field(pattern="^(1/(2|4|8|16|32|64)|)$")] | None = None
    drafting: Drafting | Literal[""] | None = None
    thickness: Text | None = None
    name: Text | None = Field(default=None, description="of the audit")
