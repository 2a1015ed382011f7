"""Sizes of a view that its drawing does not show as they are to be built.

A pattern is never bent to a decided size: the number is printed large where it belongs.
"""

from __future__ import annotations

from dataclasses import dataclass

from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import Audit, Decision, Dimension, Verdict
from audit.report.naming import place_of
from audit.report.phrases import (
    spell_length,
    spell_measured,
    spell_printed,
    with_unit,
)

# A decided size this near the drawn one, beyond its ±, is the drawn one; the unit's own shop step.
SLACK = {Unit.IN: 1 / 128, Unit.MM: 0.2, Unit.DEG: 0.5}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedSize:
    """A size that must not be taken off the pattern.

    `large` is printed in place, `small` below it, `says` tells why in a sentence; `at` is the
    middle of its text or line, in the sheet's frame; `hold`: nothing may be cut to it yet.
    """

    dimension: int
    large: str
    small: str
    says: str
    at: Point
    hold: bool = False


def find_changed(audit: Audit, view: int) -> tuple[ChangedSize, ...]:
    """Find what a pattern of a view does not show as it is to be built.

    Parameters
    ----------
    audit : Audit
    view : int

    Returns
    -------
    tuple of ChangedSize
        Holds first.
    """
    decisions = {d.dimension: d for d in audit.decisions}
    found = []
    for dimension in audit.dimensions:
        if dimension.view == view:
            changed = _changed(dimension, decisions.get(dimension.id))
            if changed is not None:
                found.append(changed)
    return tuple(sorted(found, key=lambda c: (not c.hold, c.dimension)))


def _changed(dimension: Dimension, decision: Decision | None) -> ChangedSize | None:
    at = place_of(dimension).centre
    printed = spell_printed(dimension)
    if decision is not None and (decision.hold or decision.value is None):
        says = f"No. {dimension.id} ({printed}): hold, don't cut. {decision.reason}".rstrip()
        return ChangedSize(
            dimension=dimension.id,
            large=f"HOLD {printed}",
            small="don't cut to this",
            says=says,
            at=at,
            hold=True,
        )
    build = decision.value if decision is not None else dimension.build_to
    if build is not None:
        if is_drawn(dimension, build):
            return None
        return _decided(dimension, build, printed, at)
    if dimension.verdict is Verdict.DISAGREES and dimension.scaled is not None:
        drawn = spell_measured(dimension.scaled.value, dimension.scaled.unit)
        says = (
            f"No. {dimension.id}: printed {printed}, drawn {drawn}, and nothing is decided. "
            "Decide before you cut; the outline shows what is drawn."
        )
        return ChangedSize(
            dimension=dimension.id,
            large=f"? {printed}",
            small=f"printed; drawn {drawn}",
            says=says,
            at=at,
            hold=True,
        )
    return None


def is_drawn(dimension: Dimension, build: Length) -> bool:
    """Tell whether the drawing shows a size, within its ± and the finest shop step."""
    scaled = dimension.scaled
    if scaled is None or (scaled.unit is Unit.DEG) != (build.unit is Unit.DEG):
        return False
    value = float(build.to(scaled.unit))
    return abs(value - scaled.value) <= scaled.expanded + SLACK[scaled.unit]


def _decided(dimension: Dimension, build: Length, printed: str, at: Point) -> ChangedSize:
    value = with_unit(spell_length(build), build.unit)
    drawn = "is not scaled"
    if dimension.scaled is not None:
        drawn = f"shows {spell_measured(dimension.scaled.value, dimension.scaled.unit)}"
    says = (
        f"No. {dimension.id}: build to {value} (printed {printed}). The outline {drawn} here; "
        "lay this size out by hand."
    )
    return ChangedSize(dimension=dimension.id, large=value, small="build to this", says=says, at=at)
