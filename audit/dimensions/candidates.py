"""What a search proposes before texts are given out: a candidate with its text places."""

from __future__ import annotations

from dataclasses import dataclass, field

from audit.dimensions.ink import Line
from audit.geometry import Point
from audit.records import DimensionKind, End


@dataclass(frozen=True, slots=True, kw_only=True)
class TextPlace:
    """A stretch of drawn line that a text may belong to.

    `low` and `high` bound it along `line`; `ink` are the parts really drawn, further out too;
    `tail` says that the text stands at the far end (`high`), as at the end of a leader.
    """

    line: Line
    low: float
    high: float
    ink: tuple[tuple[float, float], ...] = ()
    tail: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcPlace:
    """A stretch of drawn arc that a text may belong to; angles in degrees, seen from `centre`."""

    centre: Point
    radius: float
    start: float
    sweep: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A possible dimension without its text.

    Attributes
    ----------
    kind : DimensionKind
    ends : tuple of End
    line : tuple of Point
    strength : float
        How well the drawing itself supports it, 0 to 1, whatever the text says.
    places : tuple of TextPlace
    arcs : tuple of ArcPlace
    claims : frozenset of tuple
        What it uses up: two candidates with a common claim cannot both hold.
    strokes : frozenset of int
        The strokes of its dimension line or leader. Neighbours in a chain may share one stroke,
        a leader and a chain may not.
    leader : bool
        Shown by a leader, not between two marks.
    half : bool
        Ends past a centre line; the second end is the first mirrored.
    plain : bool
        Has no marks; gives way to whatever has.
    strict : bool
        Takes no text but one that `wants` names.
    radius_ends : tuple of End
        For a leader to a circle, which is a diameter or a radius as its text says: the ends it has
        as a radius (`ends` are those of the diameter).
    parted : bool
        Passes over arrowheads that may part it: where more than one number stands along it, they
        do.
    alone : bool
        Strong enough to be reported when no text is found for it.
    wants : frozenset of str
        What the text must be: "length", "radius", "diameter", "angle".
    number : Point or None
        The middle of the number that it was found by: it takes no other.
    sweep : float or None
        Degrees of arc drawn, for radius and diameter.
    unsure : bool
        One of its marks was hardly seen: where its number stands says more.
    """

    kind: DimensionKind
    ends: tuple[End, ...]
    line: tuple[Point, ...]
    strength: float
    places: tuple[TextPlace, ...] = ()
    arcs: tuple[ArcPlace, ...] = ()
    claims: frozenset[tuple[object, ...]] = field(default_factory=frozenset)
    strokes: frozenset[int] = frozenset()
    leader: bool = False
    half: bool = False
    plain: bool = False
    strict: bool = False
    radius_ends: tuple[End, ...] = ()
    parted: bool = False
    alone: bool = False
    wants: frozenset[str]
    number: Point | None = None
    sweep: float | None = None
    unsure: bool = False
