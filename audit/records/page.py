"""What a vector page holds, as plain records in the sheet's frame (pt).

Pickled across the worker's pipe: no library object is in here. Pages hold tens of thousands of
lines, so `Strokes` and `Fills` keep arrays and hand out single records when asked for one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A drawn straight piece, or one piece of a flattened curve.

    `path` numbers the drawing operation it came from (pieces of one path share it, later ones are
    painted later); `dashes` is the PDF dash pattern in pt, empty for a solid line; `grey` 0 black
    to 1 white; `curved` tells a piece of a flattened Bézier from a drawn straight line.
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strokes:
    """All strokes of a page, column by column; iterating or indexing gives `Stroke` records.

    `ends` is (n, 4): x and y of both ends in pt. `pattern` indexes `patterns`, whose first entry
    is the solid line. The other columns have n entries each.
    """

    ends: Floats = field(default_factory=lambda: np.zeros((0, 4)))
    widths: Floats = field(default_factory=lambda: np.zeros(0))
    paths: Ints = field(default_factory=lambda: np.zeros(0, np.int32))
    greys: Floats = field(default_factory=lambda: np.zeros(0))
    curved: Bools = field(default_factory=lambda: np.zeros(0, np.bool_))
    pattern: Ints = field(default_factory=lambda: np.zeros(0, np.int32))
    patterns: tuple[tuple[float, ...], ...] = ((),)

    @classmethod
    def of(cls, strokes: Iterable[Stroke]) -> Strokes:
        """Pack single records into columns."""
        rows = tuple(strokes)
        patterns: dict[tuple[float, ...], int] = {(): 0}
        pattern = [patterns.setdefault(s.dashes, len(patterns)) for s in rows]
        return cls(
            ends=np.array([(*s.a, *s.b) for s in rows], float).reshape(-1, 4),
            widths=np.array([s.width for s in rows], float),
            paths=np.array([s.path for s in rows], np.int32),
            greys=np.array([s.grey for s in rows], float),
            curved=np.array([s.curved for s in rows], np.bool_),
            pattern=np.array(pattern, np.int32),
            patterns=tuple(patterns),
        )

    def chosen(self, which: Bools | Ints) -> Strokes:
        """Return some of the strokes.

        Parameters
        ----------
        which : ndarray
            A mask of shape (n,), or places in the order wanted.

        Returns
        -------
        Strokes
        """
        return Strokes(
            ends=self.ends[which],
            widths=self.widths[which],
            paths=self.paths[which],
            greys=self.greys[which],
            curved=self.curved[which],
            pattern=self.pattern[which],
            patterns=self.patterns,
        )

    def __len__(self) -> int:
        return len(self.ends)

    def __getitem__(self, index: int) -> Stroke:
        x0, y0, x1, y1 = (float(v) for v in self.ends[index])
        return Stroke(
            a=Point(x0, y0),
            b=Point(x1, y1),
            width=float(self.widths[index]),
            path=int(self.paths[index]),
            dashes=self.patterns[int(self.pattern[index])],
            grey=float(self.greys[index]),
            curved=bool(self.curved[index]),
        )

    def __iter__(self) -> Iterator[Stroke]:
        return (self[i] for i in range(len(self)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A circle or circular arc recognised in a path (within 0.02 pt or 0.05 % of one).

    Béziers count, and regular polylines with which programs draw curves. `start` and `sweep` in
    degrees, counter-clockwise as seen; `sweep` is positive, 360 for a full circle.
    """

    centre: Point
    radius: float
    start: float
    sweep: float
    width: float
    path: int
    dashes: tuple[float, ...] = ()
    filled: bool = False

    @property
    def is_circle(self) -> bool:
        """Whether it goes all the way round."""
        return self.sweep >= 359.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A filled outline (arrowheads, dots, outlined text); `points` flattened, closed implied."""

    points: tuple[Point, ...]
    box: Box
    path: int
    grey: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fills:
    """All filled outlines of a page; iterating or indexing gives `Fill` records.

    Outline i has the rows `starts[i]` to `starts[i + 1]` of `points` (m, 2).
    """

    points: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    starts: Ints = field(default_factory=lambda: np.zeros(1, np.int32))
    paths: Ints = field(default_factory=lambda: np.zeros(0, np.int32))
    greys: Floats = field(default_factory=lambda: np.zeros(0))

    @classmethod
    def of(cls, fills: Iterable[Fill]) -> Fills:
        """Pack single records into columns."""
        rows = tuple(fills)
        return cls(
            points=np.array([p for f in rows for p in f.points], float).reshape(-1, 2),
            starts=np.cumsum([0, *(len(f.points) for f in rows)]).astype(np.int32),
            paths=np.array([f.path for f in rows], np.int32),
            greys=np.array([f.grey for f in rows], float),
        )

    def __len__(self) -> int:
        return len(self.paths)

    def outline(self, index: int) -> Floats:
        """Return the (k, 2) points of one outline."""
        return self.points[self.starts[index] : self.starts[index + 1]]

    def __getitem__(self, index: int) -> Fill:
        if not -len(self) <= index < len(self):
            raise IndexError(index)
        points = tuple(Point(float(x), float(y)) for x, y in self.outline(index % len(self)))
        return Fill(
            points=points,
            box=Box.around(points),
            path=int(self.paths[index]),
            grey=float(self.greys[index]),
        )

    def __iter__(self) -> Iterator[Fill]:
        return (self[i] for i in range(len(self)))


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
        False for an invisible layer (render mode 3), as scanners with text recognition write, and
        for white text on white.
    trusted : bool
        False when the font has no usable character map (private encoding).
    spaces_after : float
        Room of the spaces that the file writes behind the run, pt along the writing; 0 without.
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
    spaces_after: float = 0.0

    @property
    def box(self) -> Box:
        """Upright box around the run."""
        return Box.around(self.quad)


@dataclass(frozen=True, slots=True, kw_only=True)
class VectorPage:
    """Everything drawn on one PDF page, in the sheet's frame.

    Curves recognised as circular are in `arcs` and not among `strokes`; thin filled rectangles,
    which some programs draw for lines, are among `strokes`; what later white fills cover is left
    out. `images` are the boxes of pictures on the page; `truncated` says that the page held more
    than the worker's limit and the rest was left out (then nothing may be called complete).
    `shown` are the corners, in order, of what a picture shows of the page, where that is not all.
    """

    width: float
    height: float
    turn: int
    strokes: Strokes = field(default_factory=Strokes)
    arcs: tuple[Arc, ...] = ()
    fills: Fills = field(default_factory=Fills)
    texts: tuple[Glyphs, ...] = ()
    images: tuple[Box, ...] = ()
    truncated: bool = False
    shown: tuple[Point, ...] = ()
