"""Sizes of a picture that are off by far more than people err: likelier another line's number.

Whoever prints a wrong number swaps digits, halves a fraction, loses an inch, or takes one from a
size a little larger or smaller. Where no such slip explains a difference of a quarter of the size
and more, on a picture, the number and the line hardly belong together. On drawn pages lines and
texts are exact, and what a person placed or read stands.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from audit.checks.slips import name_slip
from audit.geometry import Point
from audit.lengths import MM_PER_INCH, Unit, parse_callouts
from audit.records import (
    Dimension,
    DimensionKind,
    FoundBy,
    ReadBy,
    Scale,
    UserSet,
    Verdict,
    View,
)

FAR = 1.25  # ratio; on real sheets whose numbers are right, what is off by more is another line's
FAR_MM = 4.0  # and by as much on paper: an eighth of an inch too much is an error of any size
# Of a length: known no better, or with so wide a tolerance, it fits one slip or another by chance.
KNOWN, WIDE = 0.025, 0.1
ALONG_DEG = 15.0  # from level or upright; edges that run backwards lean by 30 or 45 degrees
ROUND = (DimensionKind.RADIUS, DimensionKind.DIAMETER)
SAME_CIRCLE = 0.2  # of its radius: two tracings of one circle are nearer
HALVES = ("half of it fits", "twice as much fits")
OTHER_SIDE = "its supplement"  # two lines make two angles, and a tool may find the other one
ONE_STEP = "its line spans one step, though its sum is printed with it"
NOT_ITS_LINE = "check whether this is its line: a number so far off is likelier that of another"
ONE_OF_MANY = "check whether this is its line: too many sizes of this view are off to be mistakes"
ASKED_LINES = frozenset({NOT_ITS_LINE, ONE_OF_MANY})


def doubt_far_off(dimension: Dimension, view: View) -> Dimension:
    """Ask about a size that disagrees by far more than a slip explains.

    Parameters
    ----------
    dimension : Dimension
        Judged.
    view : View
        Its own.

    Returns
    -------
    Dimension
        Not checked, where it was a tool that found the line and read the text off a picture; and
        where the line of ``4X 25 (=100)`` is that of one step, on every sheet.
    """
    reading = dimension.reading
    if dimension.verdict is not Verdict.DISAGREES or reading is None or reading.confirmed:
        return dimension
    if _spans_one_step(dimension):
        return _not_compared(dimension, ONE_STEP)
    if not _is_by_tool(dimension) or not _is_far(dimension, view) or _is_slip(dimension):
        return dimension
    return _not_compared(dimension, NOT_ITS_LINE)


def doubt_swapped(dimensions: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Ask about two sizes that are wrong, but each right on the line of the other.

    Two numbers that were taken for each other's are one mistake, and likelier the tool's.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one view, judged.

    Returns
    -------
    tuple of Dimension
        In their order; both not checked, where a tool found them on a picture.
    """
    off = [d for d in dimensions if d.verdict is Verdict.DISAGREES and _is_by_tool(d)]
    swapped = {
        d.id
        for a, b in combinations(off, 2)
        if _fits_line_of(a, b) and _fits_line_of(b, a)
        for d in (a, b)
    }
    return tuple(_not_compared(d, NOT_ITS_LINE) if d.id in swapped else d for d in dimensions)


def doubt_many(dimensions: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Ask about all that disagrees in a view of which more does than people make mistakes.

    Where most of it agrees all the same, the tool found some of its lines wrong.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one view, judged.

    Returns
    -------
    tuple of Dimension
        In their order; not checked, where a tool found them on a picture.
    """
    return tuple(
        _not_compared(d, ONE_OF_MANY) if d.verdict is Verdict.DISAGREES and _is_by_tool(d) else d
        for d in dimensions
    )


def doubt_shared_circles(dimensions: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Ask about a number that is far off at a circle with which another number agrees.

    Of circles about one centre a leader may be taken for that of another one.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one view, judged.

    Returns
    -------
    tuple of Dimension
        In their order; not checked, where a tool found them on a picture.
    """
    circles = [c for d in dimensions if d.verdict is Verdict.AGREES and (c := _circle(d))]
    return tuple(
        _not_compared(d, NOT_ITS_LINE) if _is_at_one_of(circles, d) else d for d in dimensions
    )


def _is_at_one_of(circles: Sequence[tuple[Point, float]], dimension: Dimension) -> bool:
    """Whether a number is off by a quarter and more at one of some circles."""
    own, scaled, printed = _circle(dimension), dimension.scaled, dimension.printed
    if own is None or scaled is None or printed is None or Unit.DEG in (printed.unit, scaled.unit):
        return False
    if dimension.verdict is not Verdict.DISAGREES or not _is_by_tool(dimension):
        return False
    return _ratio(scaled.value, float(printed.to(scaled.unit))) > FAR and any(
        own[0].distance(centre) + abs(own[1] - radius) < SAME_CIRCLE * radius
        for centre, radius in circles
    )


def _circle(dimension: Dimension) -> tuple[Point, float] | None:
    """Centre and radius of the circle that a radius or diameter measures, in the sheet's frame."""
    if len(dimension.ends) != 2 or dimension.kind not in ROUND:
        return None
    a, b = (end.point for end in dimension.ends)
    if dimension.kind is DimensionKind.RADIUS:
        return a, a.distance(b)
    return a.midpoint(b), a.distance(b) / 2


def _fits_line_of(dimension: Dimension, other: Dimension) -> bool:
    printed, scaled = dimension.printed, other.scaled
    if printed is None or scaled is None or Unit.DEG in (printed.unit, scaled.unit):
        return False
    allowed = (other.tolerance or 0.0) + scaled.expanded
    return abs(float(printed.to(scaled.unit)) - scaled.value) <= allowed


def _is_by_tool(dimension: Dimension) -> bool:
    """Whether a tool found the line and read its text off a picture, and no person said so."""
    reading = dimension.reading
    if reading is None or reading.confirmed:
        return False
    placed = dimension.found_by is not FoundBy.TOOL or UserSet.ENDS in dimension.user_set
    return not placed and reading.by in (ReadBy.NET, ReadBy.TESSERACT)


def _not_compared(dimension: Dimension, why: str) -> Dimension:
    return replace(dimension, verdict=Verdict.NOT_CHECKED, why=why, difference=None)


def _spans_one_step(dimension: Dimension) -> bool:
    """Whether a size that was taken for a sum of equal steps is drawn as one of them."""
    scaled, printed = dimension.scaled, dimension.printed
    if scaled is None or printed is None or dimension.reading is None:
        return False
    allowed = (dimension.tolerance or 0.0) + scaled.expanded
    steps = [
        c.size
        for c in parse_callouts(dimension.reading.text, unit=printed.unit)
        if c.count is not None and c.size is not None and c.total == printed
    ]
    return any(abs(float(step.to(scaled.unit)) - scaled.value) <= allowed for step in steps)


def _is_far(dimension: Dimension, view: View) -> bool:
    scaled, printed = dimension.scaled, dimension.printed
    if scaled is None or printed is None or scaled.value <= 0 or printed.value <= 0:
        return False
    if scaled.unit is Unit.DEG:
        return _ratio(scaled.value, float(printed)) > FAR
    size = float(printed.to(scaled.unit))
    per_unit = float(MM_PER_INCH) if scaled.unit is Unit.IN else 1.0
    drawn_at = (view.scale.x * view.scale.y) ** 0.5 if isinstance(view.scale, Scale) else 1.0
    off_mm = abs(size - scaled.value) * per_unit / drawn_at
    return off_mm > FAR_MM and _ratio(scaled.value, size) > FAR


def _may_recede(dimension: Dimension) -> bool:
    """Whether a length may be that of an edge that runs backwards, drawn half as long or so."""
    scaled, printed = dimension.scaled, dimension.printed
    if scaled is None or printed is None or scaled.unit is Unit.DEG or len(dimension.ends) != 2:
        return False
    a, b = (end.point for end in dimension.ends)
    lean = math.degrees(math.atan2(abs(b.y - a.y), abs(b.x - a.x)))
    slants = min(lean, 90.0 - lean) > ALONG_DEG
    return slants and float(printed.to(scaled.unit)) > scaled.value


def _ratio(a: float, b: float) -> float:
    return max(a, b) / min(a, b)


def _is_slip(dimension: Dimension) -> bool:
    scaled, reading = dimension.scaled, dimension.reading
    if scaled is None or reading is None or reading.callout is None:
        return False
    allowed = (dimension.tolerance or 0.0) + scaled.expanded
    if scaled.expanded > KNOWN * scaled.value or allowed > WIDE * scaled.value:
        return False
    if _may_recede(dimension):
        return False
    slip = name_slip(reading.callout, scaled.value, allowed=allowed)
    size = reading.callout.size
    if slip is None or size is None:
        return False
    if scaled.unit is Unit.DEG and slip.startswith(OTHER_SIDE):
        return False
    # people halve fractions and take R for Ø; but of a part that is alike on both sides half and
    # whole are printed beside each other, so that twice as much is likelier another line's number
    return size.value < 1 or not slip.startswith(HALVES)
