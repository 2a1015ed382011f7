"""What there is to tell of a sheet's print: not true to size, stretched, to be enlarged."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from audit.lengths import Unit
from audit.records import Finding, Place, Scale, Sheet, View
from audit.scale.findings import join_words, name_view, say, scale_of
from audit.scale.naming import NamedView, relative_u

SIGNIFICANT = 4.0  # standard uncertainties; a stretch is a warning, and must be certain
LEAST_STRETCH = 0.002  # relative; less does no harm on a sheet
PART_IN, PART_MM = 12, 300  # what an error of the print is shown on
LEAST_SHEAR = 0.001  # cosine between the axes; less does no harm on a sheet


def print_findings(
    named: Sequence[NamedView], *, sheet: Sheet, unit: Unit | None = None
) -> tuple[Finding, ...]:
    """Tell when the print is not true to size (S102), or stretched (S105), once a sheet.

    Parameters
    ----------
    named : Sequence[NamedView]
        The scaled views.
    sheet : Sheet
        Where the size of the paper is a guess nothing is told.
    unit : Unit or None
        Of the plan; `None`, as inches.

    Returns
    -------
    tuple[Finding, ...]
        At most one of each.
    """
    if not sheet.paper_known:
        return ()
    stretched = [n for n in named if _stretch(n.view) is not None]
    off = [n for n in named if n.name.print_factor not in (None, 1.0) and not _is_mainly_bent(n)]
    found = []
    if off:
        found.append(_print_factor(off, sheet, unit))
    if stretched:
        found.append(_stretched(stretched, sheet, unit))
    return tuple(found)


def _is_mainly_bent(named: NamedView) -> bool:
    """Whether a print is off mainly by its stretch: then its mean size says nothing more."""
    stretch, factor = _stretch(named.view), named.name.print_factor
    return stretch is not None and factor is not None and abs(math.log(factor)) < abs(stretch)


def _print_factor(off: Sequence[NamedView], sheet: Sheet, unit: Unit | None) -> Finding:
    """One sentence for the view whose scale is known best; the others share its print."""
    best = min(off, key=lambda n: relative_u(scale_of(n.view)))
    factor = best.name.print_factor or 1.0
    spread = 2 * relative_u(scale_of(best.view)) * factor
    story = f", as {best.name.explained} would be" if best.name.explained else ""
    drawn = f" (drawn at {best.name.drawn})" if best.name.drawn not in (None, "1:1") else ""
    seems = "is" if best.stated is not None else "states no scale; it fits one"
    text = (
        f"{sheet.name} {seems} printed at {factor:.1%} of its size{drawn}, give or take "
        f"{max(spread, 0.0005):.1%}{story}. A pattern of a {_part(unit)} part traced from it "
        f"comes out {_traced(factor, unit)}; printed at {1 / factor:.1%} it would be true. "
        "Scaled values here allow for it."
    )
    return say(
        "S102",
        text,
        places=[Place(sheet=sheet.id, box=n.view.box) for n in off],
        rests_on=[f"the scale of {name_view(best.view)}"],
    )


def _stretch(view: View) -> float | None:
    """Return ln x - ln y when it is significant."""
    scale = scale_of(view)
    stretch = math.log(scale.x / scale.y)
    (xx, xy, _), (_, yy, _), _ = scale.covariance
    u = math.sqrt(max(xx + yy - 2 * xy, 0.0))
    if scale.isotropic or abs(stretch) <= max(SIGNIFICANT * u, LEAST_STRETCH):
        return None
    return stretch


def _stretched(stretched: Sequence[NamedView], sheet: Sheet, unit: Unit | None) -> Finding:
    views = [n.view for n in stretched]
    best = min(stretched, key=lambda n: relative_u(scale_of(n.view)))
    scale = scale_of(best.view)
    across, upright = scale.x, scale.y
    if sheet.turn % 180:
        across, upright = upright, across
    by = upright / across  # paper for each real mm, across over up
    way = "wide for its height" if by > 1 else "high for its width"
    sizes, parts = "", (1.0, across / upright)
    if best.name.factor is not None:
        parts = (float(best.name.factor) / across, float(best.name.factor) / upright)
        sizes = f" ({parts[0]:.1%} of its size across, {parts[1]:.1%} up and down)"
    text = (
        f"{sheet.name} is stretched: {max(by, 1 / by) - 1:.2%} too {way}{sizes}. "
        f"A {_part(unit)} square traced from it comes out {_traced(parts[0], unit)} wide "
        f"and {_traced(parts[1], unit)} high, a circle as an oval"
        f"{_say_shear(scale)}; scaled values here allow for it."
    )
    return say(
        "S105",
        text,
        places=[Place(sheet=sheet.id, box=v.box) for v in views],
        rests_on=[f"the scale of {join_words([name_view(v) for v in views])}"],
    )


def _say_shear(scale: Scale) -> str:
    """Tell how far the axes of a print are from square, when that is certain."""
    u = math.sqrt(max(scale.covariance[2][2], 0.0))
    if abs(scale.shear) <= max(SIGNIFICANT * u, LEAST_SHEAR):
        return ""
    return f", and its corners are off square by {math.degrees(math.asin(abs(scale.shear))):.2f}°"


def _part(unit: Unit | None) -> str:
    return f"{PART_MM}-mm" if unit is Unit.MM else f"{PART_IN}-in"


def _traced(factor: float, unit: Unit | None) -> str:
    """What `_part` comes out as when a print is so many times as large as it should be."""
    return f"{PART_MM * factor:.1f} mm" if unit is Unit.MM else f"{PART_IN * factor:.2f} in"


def enlarge_findings(
    named: Sequence[NamedView], *, sheet: Sheet, unit: Unit | None = None
) -> tuple[Finding, ...]:
    """Tell whether a print has been enlarged as its sheet says (S109), once a sheet.

    Parameters
    ----------
    named : Sequence[NamedView]
        The scaled views.
    sheet : Sheet
        Where they are.
    unit : Unit or None
        Of the plan; `None`, as inches.

    Returns
    -------
    tuple[Finding, ...]
        None or one.
    """
    told = [n for n in named if n.enlarge is not None]
    if not told:
        return ()
    by = told[0].enlarge or Fraction(1)
    if all(n.enlarged for n in told):
        text = f"{sheet.name} says to enlarge it by {float(by):.0%}, and this print has been."
    else:
        text = (
            f"{sheet.name} says to enlarge it by {float(by):.0%}, and this print has not been: a "
            f"pattern of a {_part(unit)} part traced from it comes out "
            f"{_traced(float(1 / by), unit)}. Scaled values here allow for it."
        )
    return (say("S109", text, places=[Place(sheet=sheet.id, box=n.view.box) for n in told]),)
