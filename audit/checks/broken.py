"""Sizes that may run across a break which a picture does not show plainly.

On drawn pages break lines are found for sure. On a scan they may not be; then the overall of a
shortened part looks like a gross mistake. It is not called one: it is not scaled, and told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.checks.agreement import Judged
from audit.checks.slips import has_swapped_digits
from audit.checks.words import say_measured, say_printed
from audit.geometry import Box, angle_between, direction_deg
from audit.records import (
    CODES,
    Dimension,
    DimensionKind,
    Finding,
    PageKind,
    Place,
    Sheet,
    Verdict,
)

LONGER = 1.25  # times the drawn length: a part is not shortened for less
SLIP = 2.0  # radius for diameter, half size: no break
SLIP_NEAR = 0.03  # relative
SAME_WAY_DEG = 10.0  # sizes of one direction
WHY = "printed is much longer than drawn: if the view is broken here it cannot be scaled"


@dataclass(frozen=True, slots=True)
class _Span:
    dimension: Dimension
    angle: float
    length: float


def doubt_breaks(judged: Judged, *, sheet: Sheet) -> Judged:
    """Take overalls of a picture that may run across a break out of the comparison.

    Parameters
    ----------
    judged : Judged
        Of one sheet.
    sheet : Sheet

    Returns
    -------
    Judged
        Where the longest size of its direction in a view is printed at least a quarter longer
        than drawn, and not twice as long: *not scaled*, with one note instead of its warning.
    """
    if sheet.kind is not PageKind.SCAN:
        return judged
    doubted = [s.dimension for s in _longest(judged.dimensions) if _may_be_broken(s.dimension)]
    if not doubted:
        return judged
    ids = {d.id for d in doubted}
    kept = tuple(f for f in judged.findings if not (f.code == "A101" and set(f.dimensions) & ids))
    return replace(
        judged,
        dimensions=tuple(_unscaled(d) if d.id in ids else d for d in judged.dimensions),
        findings=kept + tuple(_tell(d, sheet) for d in doubted),
    )


def _longest(dimensions: Sequence[Dimension]) -> list[_Span]:
    """Return the distances that no other of their view and direction is longer than."""
    spans = [
        _Span(d, direction_deg(d.ends[0].point, d.ends[-1].point), _drawn(d))
        for d in dimensions
        if d.kind is DimensionKind.DISTANCE and len(d.ends) == 2
    ]
    return [
        s
        for s in spans
        if all(
            o.length <= s.length
            for o in spans
            if o.dimension.view == s.dimension.view
            and angle_between(o.angle, s.angle) < SAME_WAY_DEG
            and _overlap(o.dimension, s.dimension)
        )
    ]


def _drawn(dimension: Dimension) -> float:
    return dimension.ends[0].point.distance(dimension.ends[-1].point)


def _overlap(one: Dimension, other: Dimension) -> bool:
    """Whether two sizes belong to one part: they cover some of the same stretch, not far apart."""
    a, b = (Box.around([e.point for e in d.ends]) for d in (one, other))
    return a.grown(_drawn(other) / 3).overlaps(b)


def _may_be_broken(dimension: Dimension) -> bool:
    printed, scaled = dimension.printed, dimension.scaled
    if dimension.verdict is not Verdict.DISAGREES or printed is None or scaled is None:
        return False
    if scaled.value <= 0:
        return False
    ratio = float(printed.to(scaled.unit)) / scaled.value
    if ratio <= LONGER or math.isclose(ratio, SLIP, rel_tol=SLIP_NEAR):
        return False
    callout = dimension.reading.callout if dimension.reading is not None else None
    allowed = (dimension.tolerance or 0.0) + scaled.expanded
    # 51 for 15 is a slip: a break that leaves just that is less likely
    return callout is None or not has_swapped_digits(callout, scaled.value, allowed=allowed)


def _unscaled(dimension: Dimension) -> Dimension:
    return replace(
        dimension,
        scaled=None,
        difference=None,
        tolerance=None,
        verdict=Verdict.NOT_SCALED,
        why=WHY,
        across_break=True,
    )


def _tell(dimension: Dimension, sheet: Sheet) -> Finding:
    assert dimension.printed is not None  # `_may_be_broken` looked
    assert dimension.scaled is not None
    code = CODES["V102"]
    scaled = dimension.scaled
    drawn = say_measured(scaled.value, scaled.expanded, unit=scaled.unit)
    text = (
        f"{say_printed(dimension)} is printed, but only {drawn} is drawn: "
        "either the view is broken there and cannot be scaled, or the number is wrong. Look at it."
    )
    return Finding(
        id=0,
        code=code.code,
        severity=code.severity,
        places=(Place(sheet=sheet.id, box=Box.around([e.point for e in dimension.ends])),),
        dimensions=(dimension.id,),
        text=text,
    )
