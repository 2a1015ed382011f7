"""What a marked-up PDF shows: composed by the report, drawn by the isolation worker.

Every place is in the *seen* frame of its sheet: points of the page as it is read (72 = 1 in of
paper), upright, origin top left, y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from audit.geometry import Box, Point, Transform
from audit.records.sheet import Frame

Rgb = tuple[float, float, float]


class MarkShape(StrEnum):
    """Shape of a mark; it tells the verdict without colour."""

    DIAMOND = "diamond"
    TRIANGLE = "triangle"
    SQUARE = "square"
    QUESTION = "question"
    CIRCLE = "circle"
    DASH = "dash"
    LOZENGE = "lozenge"


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkStyle:
    """Shape, colour (0 to 1 each) and word of a mark.

    `inside` says that the number stands in the shape, otherwise beside it; `solid` that the shape
    is filled with its colour (then the number is white).
    """

    shape: MarkShape
    colour: Rgb
    word: str
    inside: bool = False
    solid: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One numbered mark on a sheet.

    Attributes
    ----------
    key : str
        Unique in the plan: ``d12`` a dimension, ``f40`` a finding, ``t3`` a text.
    label : str
        Number or letter that stands in or beside the shape.
    style : MarkStyle
    shape : Box
        Around the shape, seen frame.
    number : Box
        Where the label stands, centred; inside the shape or beside it.
    size : float
        Of the label's lettering, pt.
    target : Box
        What the mark speaks of; the link to the findings page lies there.
    leader : tuple of Point
        Two points of a thin line to what the mark speaks of; empty when the mark stands beside it.
    title : str
        Subject of the pop-up ("12 disagrees").
    contents : str
        The evidence, in lines.
    """

    key: str
    label: str
    style: MarkStyle
    shape: Box
    number: Box
    size: float
    target: Box
    leader: tuple[Point, ...] = ()
    title: str
    contents: str

    @property
    def box(self) -> Box:
        """Around shape and label."""
        return self.shape.union(self.number)


@dataclass(frozen=True, slots=True, kw_only=True)
class Viewport:
    """The scale of one view, for readers that can measure.

    `x` and `y` are real units for each point of the page as seen; `unit` is ``in`` or ``mm``;
    `denominator` is the finest fraction of an inch, 0 for decimals.
    """

    view: int
    box: Box
    name: str
    ratio: str
    x: float
    y: float
    unit: str
    denominator: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredLine:
    """A dimension drawn over the sheet as a measured line, in the colour of its verdict.

    `mark` is the key of the mark that belongs to it; `view` the viewport whose scale it is
    measured with, `None` when there is no scale; `width` of the band in pt.
    """

    mark: str
    a: Point
    b: Point
    colour: Rgb
    width: float
    view: int | None
    contents: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A fine broken line around a text that was not checked; `mark` is the key of its mark."""

    mark: str
    box: Box
    colour: Rgb


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldLine:
    """A fold or taped joint from edge to edge of a sheet, drawn as a fine broken line."""

    a: Point
    b: Point
    colour: Rgb
    contents: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedSheet:
    """One sheet with what is to be drawn on it.

    `width` and `height` are those of the sheet's frame, `to_seen` leads from it to the seen page;
    `page_width` and `page_height` are the seen page in pt: for a picture the page to be made, for
    a PDF page what the page should have (a page that differs is not the one that was audited).
    """

    id: int
    name: str
    digest: str
    page: int
    frame: Frame
    width: float
    height: float
    to_seen: Transform
    page_width: float
    page_height: float
    marks: tuple[Mark, ...] = ()
    lines: tuple[MeasuredLine, ...] = ()
    viewports: tuple[Viewport, ...] = ()
    outlines: tuple[Outline, ...] = ()
    folds: tuple[FoldLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedText:
    """A line of the findings page about one mark: its text and where it leads."""

    mark: str
    label: str
    style: MarkStyle
    sheet: int | None
    head: str
    text: str = ""
    facts: tuple[str, ...] = ()
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetCoverage:
    """Coverage of one sheet, with every text that was not checked."""

    sheet: int
    name: str
    says: str
    checked: int
    texts: int
    unchecked: tuple[MarkedText, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerRow:
    """One dimension in one line, every cell in words a reader can use.

    `difference` is printed minus scaled as a number in `unit`, `says` the same in words.
    """

    key: str
    number: int
    sheet: int
    view: str
    feature: str
    kind: str
    printed: str
    scaled: str
    uncertainty: str
    unit: str
    difference: float | None
    says: str
    style: MarkStyle
    verdict: str
    why: str
    confidence: float | None
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatPicture:
    """What is left after a photo was made flat, as arrows over the photo as it is seen.

    Attributes
    ----------
    sheet : int
    says : str
        In words, with the rms.
    width, height : float
        Of the photo as seen; the unit is that of the arrows alone.
    arrows : tuple of (Point, Point)
        From a place to where it lies too far, many times as long as it is.
    scale_length : float
        Length of an arrow that stands for `scale_says`.
    scale_says : str
    """

    sheet: int
    says: str
    width: float
    height: float
    arrows: tuple[tuple[Point, Point], ...]
    scale_length: float
    scale_says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkupPlan:
    """Everything a marked-up PDF shows beyond the sheets themselves.

    Attributes
    ----------
    name : str
        Of the audit.
    page_width, page_height : float
        Of the findings pages, pt.
    opening : str
        The first sentence, about coverage.
    remarks : tuple of str
        What the user should know of the sources.
    pictures : tuple of FlatPicture
        Of the photos made flat by what is seen on them.
    """

    name: str
    page_width: float
    page_height: float
    opening: str
    coverage: tuple[SheetCoverage, ...]
    counts: tuple[tuple[MarkStyle, int], ...]
    findings: tuple[MarkedText, ...]
    ledger: tuple[LedgerRow, ...]
    legend: tuple[MarkStyle, ...]
    cautions: tuple[str, ...]
    remarks: tuple[str, ...]
    sheets: tuple[MarkedSheet, ...]
    pictures: tuple[FlatPicture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceFile:
    """A source of an audit as it lies on the disk; `digest` is its SHA-256 in hex."""

    digest: str
    path: Path
