"""Holes: how many a callout gives against how many are drawn.

What is seen in one view is no count by itself: holes may be hidden, on a far side, or in another
view. It is a warning only where none of that explains the number; what can, makes it a note.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from audit.geometry import Box
from audit.lengths import Callout, Mark
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    Finding,
    Place,
    Repeats,
    Severity,
    Side,
    UserSet,
    Verdict,
    View,
    ViewKind,
    Witness,
    WitnessKind,
)
from audit.scale import printed_size
from audit.scale.findings import name_view, say

FACE_ON = frozenset({ViewKind.TRUE, ViewKind.UNKNOWN, ViewKind.FLAT_PATTERN})
MOVED = frozenset({UserSet.ENDS, UserSet.KIND, UserSet.VIEW})
OPEN = frozenset({Verdict.DISAGREES, Verdict.NOT_CRITICAL, Verdict.NOT_A_DIMENSION})
LEAST_SEEN = 2  # of a single one the others are often only marked by their centres
MOSTLY = 0.5  # of a number: where fewer are drawn, the others may be so marked (judgement)
ON_PLACE = 0.2  # of a diameter: a callout so near to a circle's middle is that circle's


def check_hole_counts(audit: Audit) -> tuple[Finding, ...]:
    """Compare the number of every hole's callout with the circles of its size in its view.

    Parameters
    ----------
    audit : Audit
        Judged.

    Returns
    -------
    tuple[Finding, ...]
        P110, once for holes of one size in a view.
    """
    views = {v.id: v for v in audit.views if v.kind in FACE_ON}
    told: list[Finding] = []
    heard: set[int] = set()
    for dimension in audit.dimensions:
        view = views.get(dimension.view)
        if view is None or dimension.repeats is None or dimension.id in heard:
            continue
        sharing = _sharing(dimension, audit.dimensions)
        heard |= {d.id for d in sharing}
        if all(_is_sure(d, audit) for d in sharing):
            told += _compare(dimension, sharing, view)
    return tuple(told)


def _sharing(dimension: Dimension, dimensions: Iterable[Dimension]) -> list[Dimension]:
    """Return all callouts of the circles of one size in a view, each circle's first."""
    seen = dimension.repeats
    places = seen.places if seen is not None else ()
    size = _drawn(dimension)
    found: list[Dimension] = [dimension]
    for other in dimensions:
        if other.view != dimension.view or other.kind is not DimensionKind.DIAMETER:
            continue
        middle = other.middle
        taken = any(d.middle.distance(middle) <= ON_PLACE * size for d in found)
        alike = abs(_drawn(other) - size) <= ON_PLACE * size
        if alike and not taken and any(p.distance(middle) <= ON_PLACE * size for p in places):
            found.append(other)
    return found


def _drawn(dimension: Dimension) -> float:
    return dimension.ends[0].point.distance(dimension.ends[1].point)


def _is_sure(dimension: Dimension, audit: Audit) -> bool:
    """Whether a callout is read for sure, says how many it means, and is of what it points at."""
    callout = _callout(dimension)
    if callout is None or printed_size(dimension, audit.settings) is None:
        return False
    if dimension.verdict in OPEN or dimension.user_set & MOVED:
        return False
    return callout.count is not None or Mark.TYPICAL not in callout.marks


def _callout(dimension: Dimension) -> Callout | None:
    return dimension.reading.callout if dimension.reading is not None else None


def _compare(dimension: Dimension, sharing: Sequence[Dimension], view: View) -> list[Finding]:
    seen = dimension.repeats
    if seen is None:
        return []
    asked = sum((c.count or 1) for d in sharing if (c := _callout(d)) is not None)
    least, most = len(seen.places), len(seen.places) + seen.partly
    if least <= asked <= most or least < LEAST_SEEN:
        return []
    if asked < least and not seen.exact:
        return []  # on a picture another ring may be as large
    if asked in (least + seen.elsewhere, most + seen.elsewhere):
        return []
    return [_tell(dimension, sharing, view, seen=seen, asked=asked)]


def _tell(
    dimension: Dimension, sharing: Sequence[Dimension], view: View, *, seen: Repeats, asked: int
) -> Finding:
    drawn = len(seen.places)
    said = " and ".join(f"“{d.reading.text}”" for d in sharing if d.reading is not None)
    verb = "asks" if len(sharing) == 1 else "ask"
    where = _explained(seen, asked)
    text = f"{said} {verb} for {asked} holes, but {drawn} of that size are drawn in "
    text += f"{name_view(view)}."
    text += f" {where}" if where else " Count the places they are needed in before you drill."
    half = _drawn(dimension) / 2
    circles = [p for x, y in seen.places for p in ((x - half, y - half), (x + half, y + half))]
    boxes = [d.reading.box for d in sharing if d.reading is not None]
    places = [Place(sheet=dimension.sheet, box=box) for box in (*boxes, Box.around(circles))]
    return say(
        "P110",
        text,
        places=places,
        dimensions=[d.id for d in sharing],
        severity=Severity.NOTE if where else None,
        witnesses=[
            Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says=f"{asked} are printed"),
            Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says=f"{drawn} are drawn"),
        ],
        rests_on=[f"{name_view(view)} showing every hole of that size"],
    )


def _explained(seen: Repeats, asked: int) -> str:
    """Say what may explain the number; empty when nothing usual does."""
    drawn = len(seen.places)
    if drawn < asked and asked % drawn == 0:
        return "The others may stand on a side that this view does not show."
    if drawn < MOSTLY * asked:
        return "The others may be marked by their centres only, or be in a half that is not drawn."
    if drawn < asked <= drawn + seen.partly + seen.elsewhere:
        return "Some may be those in other views of this sheet."
    if drawn > asked and drawn % asked == 0:
        return "Some may be the same holes seen again, or holes without a callout."
    return ""
