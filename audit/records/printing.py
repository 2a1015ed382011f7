"""What a page to be printed true to size shows: composed by the report, drawn by the worker.

Places are mm on the paper of the printed page, origin top left, y down.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.records.marking import Rgb

BLACK: Rgb = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintPath:
    """One drawn or filled line.

    Attributes
    ----------
    points : ndarray of float64, shape (n, 2)
        Corners; where `curved`, the start and three control points for each cubic Bézier.
    width : float
        Line width, mm; 0 with a `fill`: no line.
    colour : Rgb
    dashes : tuple of float
        Dash pattern, mm; empty for a solid line.
    closed : bool
    curved : bool
    fill : Rgb or None
    """

    points: NDArray[np.float64]
    width: float = 0.25
    colour: Rgb = BLACK
    dashes: tuple[float, ...] = ()
    closed: bool = False
    curved: bool = False
    fill: Rgb | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintText:
    """One line of text.

    `size` is that of the type in pt; `angle` in degrees, counter-clockwise as seen; `at` is the
    end of the base line that `align` names: 0 its start, 0.5 its middle, 1 its end. A text wider
    than `room` (mm) is set smaller. `ground` is the colour of a box behind it, with a rim of `rim`.
    `plain` keeps ``3/4`` on the line.
    """

    text: str
    at: Point
    size: float = 9.0
    bold: bool = False
    colour: Rgb = BLACK
    angle: float = 0.0
    align: float = 0.0
    room: float | None = None
    ground: Rgb | None = None
    rim: Rgb | None = None
    plain: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintPicture:
    """A gray picture that fills a box; `pixels` are uint8, (rows, columns), 0 black."""

    pixels: NDArray[np.uint8]
    box: Box


PrintItem = PrintPath | PrintText | PrintPicture


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintGroup:
    """Items drawn one after the other, inside `clip` only when there is one."""

    items: tuple[PrintItem, ...]
    clip: Box | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintPage:
    """One page, mm."""

    width: float
    height: float
    groups: tuple[PrintGroup, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintPlan:
    """Pages to be printed at their actual size."""

    title: str
    pages: tuple[PrintPage, ...]
