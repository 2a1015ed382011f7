"""A dimension: the size of a feature, printed, scaled, or both."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records.reading import Reading
from audit.records.user import UserSet


class DimensionKind(StrEnum):
    """What is measured between or around the points of a dimension."""

    DISTANCE = "distance"
    ORDINATE = "ordinate"
    RADIUS = "radius"
    DIAMETER = "diameter"
    ANGLE = "angle"
    CHAMFER = "chamfer"
    TAPER = "taper"
    ARC_LENGTH = "arc length"
    THICKNESS = "thickness"
    DEPTH = "depth"
    THREAD = "thread"


class EndKind(StrEnum):
    """What a point of a dimension stands on; fixes how well it is known.

    EXTENSION and CENTRE count at the centre of their line; OUTLINE carries half its line width;
    EXACT is a vector end; FREE was set by hand where nothing was found.
    """

    EXTENSION = "extension"
    OUTLINE = "outline"
    CENTRE = "centre"
    CORNER = "corner"
    CROSSING = "crossing"
    TIP = "tip"
    EXACT = "exact"
    FREE = "free"


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One point of a dimension, with how well it is known.

    Attributes
    ----------
    point : Point
        In the sheet's frame.
    kind : EndKind
    sigma : float
        Standard uncertainty of the place across the measured direction, sheet frame units.
    line_width : float
        Width of the line it stands on, sheet frame units; 0 when unknown.
    along : float or None
        Direction in which the place is well known, degrees; `None`: in every direction.
    """

    point: Point
    kind: EndKind = EndKind.FREE
    sigma: float = 0.0
    line_width: float = 0.0
    along: float | None = None


class FoundBy(StrEnum):
    """Who put a dimension there."""

    TOOL = "tool"
    USER = "user"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scaled:
    """A size measured on the drawing.

    `value` and `expanded` (U, k = 2) are in `unit`; `nearest` and `candidates` are shop values
    spelled without unit marks, all multiples of the plan's finest step inside value ± U.
    """

    value: float
    expanded: float
    unit: Unit
    nearest: str | None
    candidates: tuple[str, ...] = ()


class Verdict(StrEnum):
    """What comparing printed with scaled came to."""

    AGREES = "agrees"
    DISAGREES = "disagrees"
    TOO_CLOSE = "too-close"
    NOT_PRINTED = "not-printed"
    NOT_SCALED = "not-scaled"
    NOT_CHECKED = "not-checked"
    NOT_CRITICAL = "not-critical"
    NOT_A_DIMENSION = "not-a-dimension"


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeats:
    """How often the circle of a diameter is drawn, as the tool found it.

    Attributes
    ----------
    places : tuple of Point
        Middles of the circles of its size in its view, itself among them; sheet frame.
    partly : int
        More of them of which only a part is seen: dashed, half, or crossed out by other lines.
    elsewhere : int
        Circles of its size in the rest of the sheet.
    exact : bool
        Counted by exact circles of a drawn page; else by rings of a picture, about as large.
    """

    places: tuple[Point, ...]
    partly: int = 0
    elsewhere: int = 0
    exact: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """The size of a feature.

    Attributes
    ----------
    id : int
        Unique in the audit, shared number series with findings, never reused.
    sheet, view : int
    kind : DimensionKind
    ends : tuple of End
        Distance: the two ends, already projected on the dimension's own direction. Radius: centre
        and a point on the arc. Diameter: two opposite points. Angle: vertex, then a point on each
        leg. Ordinate: datum and the feature.
    line : tuple of Point
        The drawn dimension line or leader, for marks and for placing; may be empty.
    reading : Reading or None
        The printed text; `None` when nothing is printed.
    scaled : Scaled or None
    difference : float or None
        Printed minus scaled, in the scaled unit.
    tolerance : float or None
        T as applied, in the scaled unit.
    verdict : Verdict
    why : str or None
        Why it was not compared, or what would settle it.
    build_to : Length or None
        The decided value.
    found_by : FoundBy
    score : float
        How sure the finder is that this is a dimension at all, 0 to 1.
    across_break : bool
        Runs across a break in the view: never scaled.
    sweep : float or None
        Radius and diameter: degrees of arc really drawn (360: a full circle); `None`: unknown.
    tolerance_set : Length or None
        The tolerance a person gave this dimension; `None`: that of its view or of the audit.
    user_set : frozenset of UserSet
        What a person set here (reading, ends, kind, verdict, tolerance, view).
    found_ends : tuple of End
        Where the tool last found the ends that a person moved; empty otherwise.
    repeats : Repeats or None
        Diameter printed with a number, seen as a whole circle: how many are drawn.
    """

    id: int
    sheet: int
    view: int
    kind: DimensionKind
    ends: tuple[End, ...]
    line: tuple[Point, ...] = ()
    reading: Reading | None = None
    scaled: Scaled | None = None
    difference: float | None = None
    tolerance: float | None = None
    verdict: Verdict = Verdict.NOT_CHECKED
    why: str | None = None
    build_to: Length | None = None
    found_by: FoundBy = FoundBy.TOOL
    score: float = 1.0
    across_break: bool = False
    sweep: float | None = None
    tolerance_set: Length | None = None
    user_set: frozenset[UserSet] = frozenset()
    found_ends: tuple[End, ...] = ()
    repeats: Repeats | None = None

    @property
    def printed(self) -> Length | None:
        """The printed size, exact; `None` when nothing usable is printed."""
        if self.reading is None or self.reading.callout is None:
            return None
        return self.reading.callout.size

    @property
    def middle(self) -> Point:
        """Half way between its first and its last end, in the sheet's frame: it has two or more."""
        return self.ends[0].point.midpoint(self.ends[-1].point)
