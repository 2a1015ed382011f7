"""A printed booklet: blocks of text, tables and crops that run down its pages.

The report composes it, the worker sets it. Sizes are pt; texts may carry fractions (``3 3/8``),
which are set stacked.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.records.marking import MarkStyle, Rgb


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading over the blocks that follow; `level` 1 is ruled, 2 plain."""

    text: str
    level: int = 1
    aside: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Wrapped text; `soft` is for what matters less, `indent` in pt."""

    text: str
    size: float = 9.5
    bold: bool = False
    soft: bool = False
    indent: float = 0.0
    plain: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bullet:
    """A line with a mark in front: a shape with a label, a tick box, or a dash.

    `lines` stand below it, softer.
    """

    text: str
    head: str = ""
    lines: tuple[str, ...] = ()
    style: MarkStyle | None = None
    label: str = ""
    tick: bool = False
    loud: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table: its heading, its share of the width, and which side it is set to."""

    head: str
    share: float
    right: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell; several `lines` stand one below the other. `colour` for what must be seen."""

    text: str = ""
    lines: tuple[str, ...] = ()
    bold: bool = False
    soft: bool = False
    colour: Rgb | None = None
    tick: bool = False
    plain: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under one heading line, which is repeated where the table runs over a page."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crop:
    """A gray picture of a piece of a sheet, uint8 (rows, columns), and the words below it."""

    pixels: NDArray[np.uint8]
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SideBySide:
    """A crop on the left, and beside it short facts: pairs of a name and what it says."""

    head: str
    crop: Crop | None
    facts: tuple[tuple[str, str], ...]
    style: MarkStyle | None = None
    label: str = ""
    note: str = ""
    tick: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """White space, pt; `new_page` begins a page instead."""

    height: float = 8.0
    new_page: bool = False


Block = Heading | Paragraph | Bullet | Table | SideBySide | Gap


@dataclass(frozen=True, slots=True, kw_only=True)
class Booklet:
    """Everything that is printed.

    `opening` is the first sentence, large; `foot` stands at the foot of every page beside its
    number.
    """

    title: str
    subtitle: str
    opening: str
    page_width: float
    page_height: float
    blocks: tuple[Block, ...]
    foot: str = "Printed dimensions govern. Cut a test piece first."
