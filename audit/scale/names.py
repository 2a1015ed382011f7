"""Names for measured scales: a standard drawing scale times how the print came out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources

from audit.lengths import Unit

NEAR_TRUE = 0.03  # copies and printers stay within 3 % of true unless fitted to a page
FITTED = 0.0015  # a fitted page is this near its ratio: margins and rounding of sheet sizes
LEAST_OFF = 0.001  # a print this near to true is called true to size
SLIGHT = 0.1  # a print effect within 10 % is commoner than a change of sheet size
COVERAGE = 2.0
CERTAIN = 3.0  # standard uncertainties from true size before a print is called off
PREFERRED = {Unit.IN: "arch", Unit.MM: "iso"}


@dataclass(frozen=True, slots=True, kw_only=True)
class StandardScale:
    """A scale drawings are made at: real size over drawn size, its name, its family."""

    factor: Fraction
    name: str
    family: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintRatio:
    """A ratio at which a whole sheet is printed by accident, and what does it."""

    ratio: float
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleName:
    """What a measured scale is called.

    Attributes
    ----------
    drawn : str or None
        A standard scale (``1:2``), `None` when none is near or several are.
    factor : Fraction or None
        Real size over drawn size of that scale.
    print_factor : float or None
        Size of the print over the size it should have; exactly 1.0 when nothing else is shown.
    explained : str
        What print effect the factor looks like; empty when none.
    """

    drawn: str | None
    factor: Fraction | None = None
    print_factor: float | None = None
    explained: str = ""


@cache
def standard_scales() -> tuple[StandardScale, ...]:
    """Return the standard scales of ``scales.txt``, by rising factor."""
    rows = [r for block, r in _rows() if block != "print ratios"]
    scales = [StandardScale(factor=Fraction(f), name=n, family=k) for f, n, k in rows]
    return tuple(sorted(scales, key=lambda s: s.factor))


@cache
def print_ratios() -> tuple[PrintRatio, ...]:
    """Return the print ratios of ``scales.txt``."""
    rows = [r for block, r in _rows() if block == "print ratios"]
    return tuple(PrintRatio(ratio=float(Fraction(r)), name=n) for r, n in rows)


def name_scale(x: float, y: float, *, u_rel: float, unit: Unit | None = None) -> ScaleName:
    """Name a measured scale, claiming no more than it shows.

    A print within its own uncertainty of a standard scale is that scale, true to size. Otherwise
    it is the one standard scale within 3 %, or the one that a known print effect explains; when
    several would do, nothing is named.

    Parameters
    ----------
    x : float
        Real mm for each mm of paper along x.
    y : float
        The same along y.
    u_rel : float
        Relative standard uncertainty.
    unit : Unit | None
        What the plan is in: decides between scales that lie close (1:48 and 1:50).

    Returns
    -------
    ScaleName
        With `drawn` `None` when nothing can be said.

    Examples
    --------
    >>> name_scale(2 / 0.97, 2 / 0.97, u_rel=0.0005).drawn
    '1:2'
    >>> name_scale(4.25, 4.25, u_rel=0.0005).explained
    'a Letter sheet fitted inside 1/4 in margins'
    >>> name_scale(4.5, 4.5, u_rel=0.0005).drawn is None
    True
    """
    measured = math.sqrt(x * y)
    allowed = max(CERTAIN * u_rel, LEAST_OFF)
    true = [s for s in standard_scales() if _off(s, measured, 1.0) <= allowed]
    if true:
        return _named(_preferred(true, unit, measured), measured, exact=True)
    fits = [
        (s, r)
        for s in standard_scales()
        for r in print_ratios()
        if _off(s, measured, r.ratio) <= FITTED + COVERAGE * u_rel
    ]
    near = [s for s in standard_scales() if _off(s, measured, 1.0) <= NEAR_TRUE + allowed]
    if len(near) > 1 and unit is None:
        return ScaleName(drawn=None)
    if near:
        chosen = _preferred(near, unit, measured)
        story = [r.name for s, r in fits if s == chosen]
        return _named(chosen, measured, explained=story[0] if story else "")
    return _by_print_effect(fits, unit, measured)


def _by_print_effect(
    fits: list[tuple[StandardScale, PrintRatio]], unit: Unit | None, measured: float
) -> ScaleName:
    """Prefer slight effects, then reductions; several different scales left: no name."""
    slight = [(s, r) for s, r in fits if abs(math.log(r.ratio)) < SLIGHT]
    mild = slight or [(s, r) for s, r in fits if r.ratio < 1] or fits
    scales = {s for s, _ in mild}
    if not scales:
        return ScaleName(drawn=None)
    if len(scales) > 1:
        scales = {s for s in scales if unit is not None and s.family == PREFERRED.get(unit)}
        if len(scales) != 1:
            return ScaleName(drawn=None)
    chosen = scales.pop()
    ratios = [r for s, r in mild if s == chosen]
    nearest = min(ratios, key=lambda r: _off(chosen, measured, r.ratio))
    return _named(chosen, measured, explained=nearest.name)


def _named(
    scale: StandardScale, measured: float, *, exact: bool = False, explained: str = ""
) -> ScaleName:
    factor = 1.0 if exact else float(scale.factor) / measured
    return ScaleName(
        drawn=scale.name, factor=scale.factor, print_factor=factor, explained=explained
    )


def _off(scale: StandardScale, measured: float, ratio: float) -> float:
    """Relative distance of a measured scale from a standard one printed at a ratio."""
    return abs(math.log(measured * ratio / float(scale.factor)))


def _preferred(scales: list[StandardScale], unit: Unit | None, measured: float) -> StandardScale:
    family = PREFERRED.get(unit) if unit is not None else None
    return min(scales, key=lambda s: (s.family != family, _off(s, measured, 1.0)))


def _rows() -> list[tuple[str, list[str]]]:
    """Return the rows of ``scales.txt`` with the name of their block."""
    text = resources.files("audit.scale").joinpath("scales.txt").read_text(encoding="utf-8")
    block, rows = "", []
    for raw in text.splitlines():
        line = raw.strip()
        if line.startswith("["):
            block = line.strip("[]")
        elif line and not line.startswith(("#", "Source:")):
            rows.append((block, [cell.strip() for cell in line.split("|")]))
    return rows
