"""Features repeated round a circle: whether so many go in, and what is left between them.

The circle is the printed bolt circle, or, where none is printed, that on which the drawing shows
the feature about the middle of a larger one; then the finding rests on the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.parts import PlanPart
from audit.checks.places import place_of
from audit.checks.tables import inches_of
from audit.checks.words import say_length
from audit.geometry import Point
from audit.lengths import Callout, CalloutKind, Length, Mark, Unit
from audit.records import Dimension, DimensionKind, Finding, Severity
from audit.scale.findings import say

LEAST_COUNT = 3  # fewer are no row round a circle
ON_CIRCLE = (0.2, 1.15)  # of the large circle's radius: where repeated features stand
ROUND = frozenset({DimensionKind.DIAMETER, DimensionKind.RADIUS})


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """`count` round features of one diameter on a circle; `drawn`: its size is by the drawing."""

    feature: Dimension
    count: int
    diameter: Length
    circle: Length
    drawn: bool


def check_circles(parts: Iterable[PlanPart], dimensions: Sequence[Dimension]) -> list[Finding]:
    """Check every feature that is repeated round a circle.

    Parameters
    ----------
    parts : Iterable[PlanPart]
        From `find_parts`.
    dimensions : Sequence[Dimension]
        Of the audit.

    Returns
    -------
    list[Finding]
        F108.
    """
    told = []
    for dimension in dimensions:
        ring = _printed_ring(dimension) or _drawn_ring(dimension, dimensions)
        if ring is not None and (finding := _tell(ring, parts)) is not None:
            told.append(finding)
    return told


def chord_between(count: int, circle: Length) -> float:
    """Return the distance between neighbours of equally spaced places on a circle.

    Parameters
    ----------
    count : int
        Places, two at least.
    circle : Length
        Its diameter.

    Returns
    -------
    float
        In the circle's unit.

    Examples
    --------
    >>> from fractions import Fraction
    >>> round(chord_between(8, Length(Fraction(2), Unit.IN)), 7)
    0.7653669
    """
    return float(circle) * math.sin(math.pi / count)


def most_around(diameter: Length, circle: Length) -> int:
    """Return how many round features go on a circle side by side.

    Parameters
    ----------
    diameter : Length
        Of each.
    circle : Length
        Diameter of the circle their middles stand on.

    Returns
    -------
    int
        0 when not even two do.

    Examples
    --------
    >>> from fractions import Fraction
    >>> most_around(Length(Fraction(3, 8), Unit.IN), Length(Fraction(1), Unit.IN))
    8
    """
    ratio = float(diameter.to(circle.unit)) / float(circle)
    if not 0 < ratio <= 1:
        return 0
    return math.floor(math.pi / math.asin(ratio) + 1e-9)


def _printed_ring(dimension: Dimension) -> Ring | None:
    """Take apart ``8X Ø 1/4 EQ SP ON Ø 3 B.C.``."""
    callout = dimension.reading.callout if dimension.reading is not None else None
    if callout is None or (callout.count or 0) < LEAST_COUNT:
        return None
    circle = next((c for c in callout.further if Mark.BOLT_CIRCLE in c.marks), None)
    size = _diameter(callout)
    if circle is None or size is None or circle.size is None:
        return None
    whole = circle.size * 2 if circle.kind is CalloutKind.RADIUS else circle.size
    return Ring(
        feature=dimension, count=callout.count or 0, diameter=size, circle=whole, drawn=False
    )


def _diameter(callout: Callout) -> Length | None:
    if callout.size is None or callout.size.unit is Unit.DEG or callout.thread is not None:
        return None
    if callout.kind is CalloutKind.RADIUS:
        return callout.size * 2
    return callout.size if callout.kind is CalloutKind.DIAMETER else None


def _drawn_ring(dimension: Dimension, dimensions: Sequence[Dimension]) -> Ring | None:
    """Find the circle of its view about whose middle a repeated feature is drawn."""
    callout = dimension.reading.callout if dimension.reading is not None else None
    if callout is None or (callout.count or 0) < LEAST_COUNT or dimension.kind not in ROUND:
        return None
    size, place = _diameter(callout), _middle(dimension)
    if size is None or Mark.BOLT_CIRCLE in callout.marks or dimension.scaled is None:
        return None
    if dimension.verdict.value not in ("agrees", "too-close"):
        return None
    best: Ring | None = None
    for other in dimensions:
        if other.view != dimension.view or other is dimension or other.kind not in ROUND:
            continue
        outer = other.reading.callout if other.reading is not None else None
        whole = _diameter(outer) if outer is not None and not outer.count else None
        if whole is None or whole <= size:
            continue
        drawn = place.distance(_middle(other)) / _radius(other)
        if not ON_CIRCLE[0] <= drawn <= ON_CIRCLE[1]:
            continue
        if best is None or whole > best.circle:
            marked = outer is not None and Mark.BOLT_CIRCLE in outer.marks
            circle = whole if marked else _times(whole, drawn)
            best = Ring(
                feature=dimension,
                count=callout.count or 0,
                diameter=size,
                circle=circle,
                drawn=not marked,
            )
    return best


def _times(whole: Length, share: float) -> Length:
    """Diameter by the drawing, to the nearest thousandth."""
    return Length(Fraction(round(float(whole) * share * 1000), 1000), whole.unit)


def _middle(dimension: Dimension) -> Point:
    across = dimension.kind is DimensionKind.DIAMETER
    return dimension.middle if across else dimension.ends[0].point


def _radius(dimension: Dimension) -> float:
    length = dimension.ends[0].point.distance(dimension.ends[-1].point)
    return max(length / 2 if dimension.kind is DimensionKind.DIAMETER else length, 1e-9)


def _tell(ring: Ring, parts: Iterable[PlanPart]) -> Finding | None:
    unit = ring.circle.unit
    size = float(ring.diameter.to(unit))
    wall = chord_between(ring.count, ring.circle) - size
    least = float(inches_of("wall", "least").to(unit))
    if wall >= least * (1 - 1e-9):
        return None
    part = next((p for p in parts if ring.feature in p.dimensions), None)
    where = f" of {part.name}" if part is not None else ""
    circle = f"{float(ring.circle):.4g} {unit.value}" if ring.drawn else say_length(ring.circle)
    each = _say_each(ring)
    if wall < 0:
        most = most_around(ring.diameter, ring.circle)
        text = (
            f"{ring.count} × {each}{where} do not go round a circle of {circle}: neighbours would "
            f"overlap by {-wall:.3f} {unit.value}. {most} at most go in side by side."
        )
    else:
        text = (
            f"Between neighbours of the {ring.count} × {each}{where}, equally spaced on a circle "
            f"of {circle}, {wall:.3f} {unit.value} is left: it may break out. Mind the grain."
        )
    sure = wall < 0 and not ring.drawn
    return say(
        "F108",
        text,
        places=[place_of(ring.feature)],
        dimensions=[ring.feature.id],
        severity=Severity.WARNING if sure else None,
        rests_on=["equal spacing all the way round"]
        + (["where the drawing shows the middle of one"] if ring.drawn else []),
    )


def _say_each(ring: Ring) -> str:
    reading = ring.feature.reading
    callout = reading.callout if reading is not None else None
    if callout is not None and callout.kind is CalloutKind.RADIUS and callout.size is not None:
        return f"R {say_length(callout.size)}"
    return f"Ø {say_length(ring.diameter)}"
