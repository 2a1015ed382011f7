"""The audit as a whole: settings, known sizes, statements, parts, decisions, coverage."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from audit.geometry import Box, Point
from audit.lengths import Length, StatementForm, Unit
from audit.records.dimension import Dimension
from audit.records.finding import Finding
from audit.records.proposal import Cut, OutsideErrata
from audit.records.reading import SheetText, TextState
from audit.records.sheet import Sheet, View

DEFAULT_TOLERANCE_IN = Length(Fraction(1, 64), Unit.IN)
DEFAULT_TOLERANCE_MM = Length(Fraction(1, 2), Unit.MM)
DEFAULT_TOLERANCE_DEG = Length(Fraction(1), Unit.DEG)


class StatementKind(StrEnum):
    """Printed text that is no dimension but says something."""

    NOTE = "general note"
    STOCK = "stock note"
    PARTS_ROW = "parts-list row"
    ITEM = "item number"
    TITLE = "title"
    SCALE = "scale"
    COUNT = "count"
    UNIT = "unit"
    NOT_TO_SCALE = "not to scale"
    TOLERANCE = "tolerance"
    GRID = "grid"
    ENLARGE = "enlarge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """A statement with what it says, when it says a number.

    `value` is the length it states (1/4 of "all parts 1/4 thick unless noted"), `count` the number
    (6 of "MAKE 6"), `factor` a scale as real over drawn (2 of "SCALE 1:2"), `subject` the rest;
    `form` is everything that was read from the text.
    """

    sheet: int
    kind: StatementKind
    text: str
    box: Box
    value: Length | None = None
    count: int | None = None
    factor: Fraction | None = None
    subject: str = ""
    form: StatementForm | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownSize:
    """A length on a sheet whose true value is given.

    `u_length` is the standard uncertainty of the given length itself, in its unit; `u_ends` that
    of each of the two places, in the sheet's frame. `by_tool`: measured on a printed grid, not
    given by a person.
    """

    sheet: int
    a: Point
    b: Point
    length: Length
    u_length: float = 0.0
    u_ends: float = 0.5
    by_tool: bool = False


class Drafting(StrEnum):
    """How a plan was drawn, which tells how true the drawing itself can be."""

    CAD = "CAD"
    PLOTTED = "plotted"
    HAND = "hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What an audit is judged by.

    `unit` is what bare numbers of the plan count; centimetres and metres are made into millimetres.
    `drafting` `None` means: CAD for vector pages, plotted for scans and photos. `thickness` is that
    of parts for which nothing printed says how thick they are.
    """

    unit: Unit | None = None
    tolerance: Length | None = None
    angle_tolerance: Length = DEFAULT_TOLERANCE_DEG
    confidence_limit: float = 0.9
    finest: Fraction = Fraction(1, 64)
    drafting: Drafting | None = None
    thickness: Length | None = None

    @property
    def length_unit(self) -> Unit | None:
        """The unit that lengths are told in: inches or mm, also where numbers count cm or m."""
        return None if self.unit is None else self.unit.counted


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part to be made; `views` show it, and `dimensions` are its whatever view they stand in."""

    name: str
    count: int | None = None
    material: str = ""
    nominal_thickness: Length | None = None
    measured_thickness: Length | None = None
    hand: str = ""
    views: tuple[int, ...] = ()
    dimensions: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """The user's word that two dimensions are one feature; `same` False: that they are not."""

    first: int
    second: int
    reason: str = ""
    same: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainLeg:
    """One leg of a chain made by hand: a dimension of the audit, or a typed length.

    `length` is `None` when the leg is the printed size of `dimension`; `count` equal legs stand
    in a row; `text` is what was typed.
    """

    dimension: int | None = None
    length: Length | None = None
    count: int = 1
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HandChain:
    """A chain picked or typed by a person; `overall` `None`: only its sum is wanted."""

    name: str
    legs: tuple[ChainLeg, ...]
    overall: ChainLeg | None = None
    reason: str = ""


class PieceShape(StrEnum):
    """What a laid piece looks like from above."""

    RECTANGLE = "rectangle"
    CIRCLE = "circle"


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPiece:
    """A piece of a given size laid on a view, to see where it reaches over what is drawn.

    Attributes
    ----------
    name : str
    sheet, view : int
    shape : PieceShape
    width : Length
        Across at angle 0; the diameter of a circle.
    height : Length or None
        `None` for a circle.
    centre : Point
        In the sheet's frame.
    angle : float
        Degrees it is turned, clockwise as seen on the upright sheet.
    """

    name: str
    sheet: int
    view: int
    shape: PieceShape
    width: Length
    height: Length | None = None
    centre: Point
    angle: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnCount:
    """How often a person counted one thing on a sheet.

    `example` is the box drawn around one of them, `places` the middles of all that count (sheet
    frame), `printed` the number that is printed for it, `None` when none is.
    """

    name: str
    sheet: int
    example: Box
    places: tuple[Point, ...]
    printed: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """The value to build to, with a reason; `value` None and `hold` True: ask, don't cut.

    `cut` tells what came of it once it was cut, `cut_note` in which way.
    """

    dimension: int
    value: Length | None
    reason: str = ""
    hold: bool = False
    basis: str = ""
    cut: Cut | None = None
    cut_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Share of size-like texts that were checked."""

    checked: int
    texts: int

    @classmethod
    def of(cls, texts: tuple[SheetText, ...]) -> Coverage:
        """Count the texts that ended compared, used in arithmetic, or set aside by the user."""
        checked = sum(t.state is not TextState.NOT_CHECKED for t in texts)
        return cls(checked=checked, texts=len(texts))


@dataclass(frozen=True, slots=True, kw_only=True)
class Audit:
    """One job: sheets, what was read and measured, findings, decisions."""

    name: str
    settings: Settings = field(default_factory=Settings)
    sheets: tuple[Sheet, ...] = ()
    views: tuple[View, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    statements: tuple[Statement, ...] = ()
    texts: tuple[SheetText, ...] = ()
    known_sizes: tuple[KnownSize, ...] = ()
    parts: tuple[Part, ...] = ()
    links: tuple[Link, ...] = ()
    decisions: tuple[Decision, ...] = ()
    findings: tuple[Finding, ...] = ()
    chains: tuple[HandChain, ...] = ()
    pieces: tuple[LaidPiece, ...] = ()
    drawn_counts: tuple[DrawnCount, ...] = ()
    outside: tuple[OutsideErrata, ...] = ()

    @property
    def coverage(self) -> Coverage:
        """Coverage over all sheets."""
        return Coverage.of(self.texts)

    def coverage_of(self, sheet: int) -> Coverage:
        """Coverage of one sheet."""
        return Coverage.of(tuple(t for t in self.texts if t.sheet == sheet))
