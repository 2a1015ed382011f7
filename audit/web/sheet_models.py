"""Views, paper, laid pieces and counts over the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from audit.records import PieceShape, ViewKind
from audit.web.models import XY, BoxJson, Model, Seen, Text
from audit.web.sum_models import Name


class EditViewBody(Seen):
    """Change what is given of a view; what is null stays as it is."""

    kind: ViewKind | None = None
    title: Text | None = None
    box: BoxJson | None = None
    stated_scale: Text | None = None


class AddViewBody(Seen):
    """Draw a view; what lies in its box goes over to it."""

    sheet: int
    box: BoxJson
    kind: ViewKind = ViewKind.UNKNOWN
    title: Text = ""


class JoinViews(Seen):
    """Join a view into another one of its sheet."""

    into: int


class SetViewToleranceBody(Seen):
    """Give a view a tolerance of its own; null: none."""

    tolerance: Text | None


class AssignViewBody(Seen):
    """Say which view a dimension belongs to."""

    view: int


class FlattenBody(Seen):
    """Four corners of a rectangle, clockwise from the top left, and its size."""

    corners: Annotated[tuple[XY, ...], Field(min_length=4, max_length=4)]
    width: Text
    height: Text


class FoldBody(Seen):
    """Two places on a fold or taped joint, and how far its sides may be shifted; empty: unknown."""

    points: Annotated[tuple[XY, ...], Field(min_length=2, max_length=2)]
    step: Text = ""


class EditFoldBody(Seen):
    """Another step of a fold; empty: not known."""

    step: Text


class ChangeKnown(Seen):
    """Another length for a known size."""

    length: Text


class PieceBody(Model):
    """A piece of a given size: `3/4 x 2`, or for a circle `1/2`."""

    shape: PieceShape = PieceShape.RECTANGLE
    size: Text
    centre: XY
    angle: Annotated[float, Field(ge=-36000, le=36000)] = 0.0


class KeepPiece(Seen, PieceBody):
    """Keep a laid piece under a name."""

    name: Name = ""


class LaidEdgeJson(Model):
    """One edge of a piece against the line drawn there; real sizes."""

    side: str
    at: XY
    line: XY | None
    over: float | None = Field(
        description="how far it reaches over the line, in `unit`; less: short"
    )
    uncertainty: float | None
    says: str
    state: str = Field(description="over, short, flush, unseen")


class LaidJson(Model):
    """A laid piece."""

    view: int
    size: str
    unit: str
    outline: tuple[XY, ...]
    edges: tuple[LaidEdgeJson, ...]


class AskAlike(Model):
    """A box drawn around one of what is to be counted."""

    box: BoxJson
    turned: bool = True
    whole_sheet: bool = False


class AlikeJson(Model):
    """One place that looks like the example."""

    centre: XY
    angle: float
    scale: float
    score: float


class FoundAlike(Model):
    """What was found, best first, and the number that is printed near it."""

    hits: tuple[AlikeJson, ...]
    printed: int | None
    printed_text: str


class KeepCount(Seen):
    """Keep what was counted on a sheet."""

    name: Name = ""
    box: BoxJson
    places: Annotated[tuple[XY, ...], Field(max_length=2000)]
    printed: Annotated[int, Field(ge=0, le=100_000)] | None = None
