"""What a vector page holds, as plain records in the sheet's frame (pt).

Pickled across the worker's pipe: no library object is in here.
"""

from __future__ import annotations

from dataclasses import dataclass

from audit.geometry import Box, Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A drawn straight piece, or one piece of a flattened curve.

    `path` numbers the drawing operation it came from (pieces of one path share it); `dashes` is
    the PDF dash pattern in pt, empty for a solid line; `grey` 0 black to 1 white; `curved` tells
    a piece of a flattened Bézier from a drawn straight line.
    """

    a: Point
    b: Point
    width: float
    path: int
    dashes: tuple[float, ...] = ()
    grey: float = 0.0
    curved: bool = False

    @property
    def length(self) -> float:
        """Length in pt."""
        return self.a.distance(self.b)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A circle or circular arc recognised in a path (Béziers within 0.01 pt or 0.02 % of one).

    `start` and `sweep` in degrees, counter-clockwise as seen; `sweep` = 360 for a full circle.
    """

    centre: Point
    radius: float
    start: float
    sweep: float
    width: float
    path: int
    dashes: tuple[float, ...] = ()
    filled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A filled outline (arrowheads, dots, outlined text); `points` flattened, closed implied."""

    points: tuple[Point, ...]
    box: Box
    path: int
    grey: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Glyphs:
    """One run of text as the PDF stores it.

    Attributes
    ----------
    text : str
    origin : Point
        Start of the base line.
    angle : float
        Direction of writing in the sheet's frame, degrees, counter-clockwise as seen.
    size : float
        Font size in pt, after every transform.
    font : str
    quad : four Points
        Corners of the run, in reading order: top left, top right, bottom right, bottom left.
    chars : tuple of (str, Box)
        Each character with its upright box.
    visible : bool
        False for an invisible layer (render mode 3), as scanners with text recognition write.
    trusted : bool
        False when the font has no usable character map (private encoding).
    """

    text: str
    origin: Point
    angle: float
    size: float
    font: str
    quad: tuple[Point, Point, Point, Point]
    chars: tuple[tuple[str, Box], ...] = ()
    visible: bool = True
    trusted: bool = True

    @property
    def box(self) -> Box:
        """Upright box around the run."""
        return Box.around(self.quad)


@dataclass(frozen=True, slots=True, kw_only=True)
class VectorPage:
    """Everything drawn on one PDF page, in the sheet's frame.

    `images` are the boxes of pictures on the page; `truncated` says that the page held more than
    the worker's limit and the rest was left out (then nothing may be called complete).
    """

    width: float
    height: float
    turn: int
    strokes: tuple[Stroke, ...]
    arcs: tuple[Arc, ...]
    fills: tuple[Fill, ...]
    texts: tuple[Glyphs, ...]
    images: tuple[Box, ...] = ()
    truncated: bool = False
