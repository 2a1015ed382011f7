"""Local stretch: lengths of one sheet drawn larger at one end of it than at the other.

A flatbed's lamp runs unevenly, a feeder slips, paper that got wet dries out of shape: the sizes of
one end then come out longer than those of the other, which no single scale can show.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.records import Finding, NoScale, Place, Scale, Sheet, View
from audit.scale.findings import say
from audit.scale.pairs import Pair
from audit.uncertainty import real_length

Array = NDArray[np.float64]

LEAST_LENGTHS = 10  # along one direction
ALONG_DEG = 15.0  # a length within this of an axis counts for that axis
CHANCE_Z = 3.2905  # of the normal distribution, two-sided chance 1 in 1,000 (`least_ratio`)
LEAST_CHANGE = 0.002  # relative, over the reach of the lengths; less does no harm
ROBUST = 3.0  # scatters; lengths further off are wrong, not stretched
LEAST_REACH = 0.15  # of the sheet that the middles of the lengths must span


@dataclass(frozen=True, slots=True, kw_only=True)
class Unevenness:
    """How much longer lengths come out at the far end of an axis than at the near one."""

    axis: str  # "x" or "y" of the frame: along which the change runs
    change: float
    u: float


def find_unevenness(
    pairs: Sequence[Pair], views: Sequence[View], *, sheet: Sheet
) -> Unevenness | None:
    """Find a change of stretch along the sheet, of the lengths that run the same way.

    Parameters
    ----------
    pairs : sequence of Pair
        The usable dimensions of the sheet.
    views : sequence of View
        With their scales.
    sheet : Sheet

    Returns
    -------
    Unevenness or None
        `None` where none can be told.
    """
    scales = {v.id: v.scale for v in views}
    rows = [
        (axis, p, math.log(real_length((p.dx, p.dy), scale) / p.real))
        for p in pairs
        if isinstance(scale := scales.get(p.view, NoScale(reason="")), Scale)
        and (axis := _axis(p)) is not None
    ]
    found = [_along(axis, rows, sheet) for axis in ("x", "y")]
    clear = [f for f in found if f is not None]
    return max(clear, key=lambda f: abs(f.change) / f.u, default=None)


def _axis(pair: Pair) -> str | None:
    slope = math.degrees(math.atan2(abs(pair.dy), abs(pair.dx)))
    if slope <= ALONG_DEG:
        return "x"
    return "y" if slope >= 90 - ALONG_DEG else None


def _along(axis: str, rows: Sequence[tuple[str, Pair, float]], sheet: Sheet) -> Unevenness | None:
    """Fit a straight change of the stretch along an axis to the lengths that run along it."""
    own = [(p, off) for a, p, off in rows if a == axis]
    if len(own) < LEAST_LENGTHS:
        return None
    size = sheet.width if axis == "x" else sheet.height
    at = np.array([(p.middle.x if axis == "x" else p.middle.y) / size for p, _ in own])
    off = np.array([o for _, o in own])
    width = np.array([max(p.u_paper / p.drawn, p.tolerance / 4 / p.real, 1e-6) for p, _ in own])
    use = np.ones(len(own), bool)
    slope, u = 0.0, math.inf
    for _ in range(4):
        if use.sum() < LEAST_LENGTHS or float(np.ptp(at[use])) < LEAST_REACH:
            return None
        model = np.column_stack([np.ones(use.sum()), at[use]]) / width[use, None]
        normal = np.linalg.inv(model.T @ model)
        fit = normal @ model.T @ (off[use] / width[use])
        left = (off - fit[0] - fit[1] * at) / width
        middle = 1.4826 * float(np.median(np.abs(left[use])))
        whole = math.sqrt(float((left[use] ** 2).sum()) / (use.sum() - 2))
        scatter = max(middle, whole, 0.3)
        slope, u = float(fit[1]), scatter * math.sqrt(float(normal[1, 1]))
        use = np.abs(left) <= ROBUST * scatter
    change = slope * float(np.ptp(at[use]))
    if abs(slope) < least_ratio(int(use.sum()) - 2) * u or abs(change) < LEAST_CHANGE:
        return None
    return Unevenness(axis=axis, change=change, u=u * float(np.ptp(at[use])))


def least_ratio(dof: int) -> float:
    """Return from how many standard uncertainties on a slope is no chance.

    Parameters
    ----------
    dof : int, >0
        Degrees of freedom of the scatter it is judged by.

    Returns
    -------
    float
        Quantile of Student's t at a two-sided chance of 1 in 1,000.

    References
    ----------
    Abramowitz, Stegun, "Handbook of mathematical functions", 26.7.5 (from memory): expansion about
    the normal quantile; a test compares it with scipy's.

    Examples
    --------
    >>> round(least_ratio(10), 2), round(least_ratio(1000), 2)
    (4.58, 3.3)
    """
    z = CHANCE_Z
    first = (z**3 + z) / 4
    second = (5 * z**5 + 16 * z**3 + 3 * z) / 96
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    return z + first / dof + second / dof**2 + third / dof**3


def unevenness_findings(
    pairs: Sequence[Pair], views: Sequence[View], *, sheet: Sheet
) -> tuple[Finding, ...]:
    """Tell of a stretch that changes along the sheet (S108).

    Parameters
    ----------
    pairs : sequence of Pair
    views : sequence of View
        Of this sheet.
    sheet : Sheet
        A vector page has none.

    Returns
    -------
    tuple of Finding
        None or one.
    """
    if sheet.is_drawn_at(sheet.box.centre):
        return ()
    found = find_unevenness(pairs, views, sheet=sheet)
    if found is None:
        return ()
    larger, smaller = _name_ends(sheet, found)
    much = f"{abs(found.change):.2%} (give or take {2 * found.u:.2%})"
    text = (
        f"{sheet.name} is stretched unevenly: lengths at the {larger} come out {much} longer than "
        f"at the {smaller}, as a scanner or copier with an uneven feed makes them. Scaled values "
        "are not corrected for it: give a known size near what matters."
    )
    return (say("S108", text, places=[Place(sheet=sheet.id, box=sheet.box)]),)


def _name_ends(sheet: Sheet, found: Unevenness) -> tuple[str, str]:
    """Name the end with the longer lengths, and the other one, as the sheet is seen upright."""
    upright = (found.axis == "y") is (sheet.turn % 180 == 0)
    ends = ("bottom", "top") if upright else ("right", "left")
    kept = (0, 90) if upright else (0, 270)  # turns after which the far end is named first
    far = found.change if sheet.turn in kept else -found.change
    if sheet.mirrored and found.axis == "x":
        far = -far
    return ends if far > 0 else ends[::-1]
