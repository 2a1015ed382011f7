"""What a pattern is made of: the view with all that is said about it, and how it is printed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from audit.geometry import Box, Point, Transform
from audit.lengths import Unit
from audit.records import Edge, PrintItem, PrintPath, PrintPicture, PrintText, Rgb
from audit.report.pattern_ink import PatternInk
from audit.report.tiling import OVERLAP_MM, Paper

SOFT: Rgb = (0.373, 0.424, 0.482)


class Grain(StrEnum):
    """Which way the grain arrow points."""

    LONG = "long"
    ACROSS = "across"
    DOWN = "down"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedNote:
    """A number printed large in its place, and words below it; real mm."""

    text: str
    small: str
    at: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSubject:
    """One view to be printed, with all that is said about it.

    Attributes
    ----------
    name : str
        Of the part or view.
    where : str
        Sheet and view it is taken from.
    ink : PatternInk
    notes : tuple of PlacedNote
        Changed numbers, printed large in place.
    changed : tuple of str
        The same in sentences, for the first page.
    corrected : tuple of str
        What was taken out of the sheet, and how well it is known.
    edge : Edge or None
        Which edge of the line the printed sizes run to; `None`: not settled.
    """

    name: str
    where: str
    ink: PatternInk
    notes: tuple[PlacedNote, ...] = ()
    changed: tuple[str, ...] = ()
    corrected: tuple[str, ...] = ()
    edge: Edge | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternOptions:
    """How a pattern is printed.

    `printer` are the factors of the printer across and down, as its check bars told; they are
    taken out.
    """

    paper: Paper
    unit: Unit = Unit.IN
    mirror: bool = False
    grain: Grain = Grain.LONG
    overlap: float = OVERLAP_MM
    printer: tuple[float, float] = (1.0, 1.0)


def moved(item: PrintItem, move: Transform) -> PrintItem:
    """Move an item by a shift."""
    match item:
        case PrintPath():
            return replace(item, points=move.apply_many(item.points))
        case PrintText():
            return replace(item, at=move.apply(item.at))
        case PrintPicture():
            corners = [move.apply(corner) for corner in item.box.corners]
            return replace(item, box=Box.around(corners))
