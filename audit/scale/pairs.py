"""Pairs of a drawn length and the length it should have: what scales are estimated from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from audit.geometry import Point
from audit.lengths import MM_PER_INCH, Length, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    Drafting,
    KnownSize,
    PageKind,
    Scale,
    ScaleFrom,
    Settings,
    Sheet,
    View,
)
from audit.records.plan import DEFAULT_TOLERANCE_IN, DEFAULT_TOLERANCE_MM
from audit.scale.usable import printed_size, size_of_ends, why_not_scaled
from audit.uncertainty import folding, measure, rectangular
from audit.uncertainty.measure import SCAN_STRETCH, rectification

LEAST_PAPER_MM = 1.0  # a drawn length below this says nothing about a scale

# Standard uncertainty that the drawing itself adds to a length, mm on the paper.
DRAFTING_FLOOR = {Drafting.CAD: 0.0, Drafting.PLOTTED: 0.1, Drafting.HAND: 0.3}

_NONE = ((0.0, 0.0, 0.0),) * 3
PAPER_ITSELF = Scale(x=1.0, y=1.0, covariance=_NONE, source=ScaleFrom.NONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A drawn paper vector and the real length it stands for.

    Attributes
    ----------
    source : int
        Id of the dimension, or the place in the list of known sizes.
    view : int
        0 for known sizes.
    dx, dy : float
        On the paper, mm.
    real : float
        Given length, mm.
    u_paper : float
        Standard uncertainty of the drawn length, mm of paper, the drawing's own scatter left out.
    u_real : float
        Standard uncertainty of the given length, mm: print rounding, or as stated.
    tolerance : float
        T of the comparison, mm.
    middle : Point
        In the sheet's frame.
    right : float
        Probability that the given length was read right; 1 for what is surely read.
    """

    source: int
    view: int
    dx: float
    dy: float
    real: float
    u_paper: float
    u_real: float
    tolerance: float
    middle: Point
    right: float = 1.0

    @property
    def drawn(self) -> float:
        """Length on the paper, mm."""
        return math.hypot(self.dx, self.dy)


def drafting_floor(sheet: Sheet, settings: Settings) -> float:
    """Return the least scatter the drawing itself is taken to have.

    Parameters
    ----------
    sheet : Sheet
        Its kind decides when nobody said how the plan was drawn.
    settings : Settings
        Its `drafting` counts.

    Returns
    -------
    float
        Standard uncertainty of a length, mm on the paper.
    """
    kind = settings.drafting
    if kind is None:
        kind = Drafting.CAD if sheet.kind is PageKind.VECTOR else Drafting.PLOTTED
    return DRAFTING_FLOOR[kind]


def set_tolerance(dimension: Dimension, view: View, *, settings: Settings, unit: Unit) -> Length:
    """Return the tolerance in force for one dimension, before its printed step is looked at.

    Parameters
    ----------
    dimension : Dimension
        Its own tolerance goes first.
    view : View
        Then that of its view.
    settings : Settings
        Then that of the audit, then 1/64 in, 0.5 mm or 1°.
    unit : Unit
        The unit the result is wanted in.

    Returns
    -------
    Length
        In `unit`.
    """
    if unit is Unit.DEG:
        own = (dimension.tolerance_set, view.tolerance_set)
        angles = [t for t in own if t is not None and t.unit is Unit.DEG]
        return angles[0] if angles else settings.angle_tolerance
    for chosen in (dimension.tolerance_set, view.tolerance_set, settings.tolerance):
        if chosen is not None and chosen.unit is not Unit.DEG:
            return chosen.to(unit)
    return DEFAULT_TOLERANCE_IN if unit is Unit.IN else DEFAULT_TOLERANCE_MM


def full_tolerance(dimension: Dimension, view: View, *, settings: Settings, unit: Unit) -> float:
    """Return T: the set tolerance, or half a step of the printed last place when that is larger.

    Parameters
    ----------
    dimension : Dimension
        With its reading, when there is one.
    view : View
        Of the dimension.
    settings : Settings
        Of the audit.
    unit : Unit
        The unit the result is wanted in.

    Returns
    -------
    float
        T > 0 in `unit`.
    """
    chosen = float(set_tolerance(dimension, view, settings=settings, unit=unit))
    callout = dimension.reading.callout if dimension.reading is not None else None
    if callout is None or callout.size is None or callout.step == 0:
        return chosen
    step = Length(callout.step, callout.size.unit)
    if (step.unit is Unit.DEG) != (unit is Unit.DEG):
        return chosen
    return max(chosen, float(step.to(unit)) / 2)


def pairs_of_dimensions(
    dimensions: Iterable[Dimension],
    views: Iterable[View],
    *,
    sheet: Sheet,
    settings: Settings,
) -> tuple[Pair, ...]:
    """Collect the dimensions of a sheet that may vote on its scales.

    Left out: angles, references (in parentheses), texts not read surely, and everything that
    cannot be measured in its view.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Of this sheet; others are passed over.
    views : Iterable[View]
        Of this sheet.
    sheet : Sheet
        Where they are drawn.
    settings : Settings
        Confidence limit and tolerances.

    Returns
    -------
    tuple[Pair, ...]
        In the order of the dimensions.
    """
    by_id = {v.id: v for v in views}
    found = (
        _pair(d, by_id[d.view], sheet, settings)
        for d in dimensions
        if d.sheet == sheet.id and d.view in by_id
    )
    return tuple(p for p in found if p is not None)


def _pair(dimension: Dimension, view: View, sheet: Sheet, settings: Settings) -> Pair | None:
    printed = printed_size(dimension, settings)
    if printed is None or printed.unit is Unit.DEG or dimension.reading is None:
        return None
    callout = dimension.reading.callout
    if callout is None or callout.reference:
        return None
    if why_not_scaled(dimension, view, sheet=sheet) is not None:
        return None
    kind = (
        DimensionKind.DISTANCE if dimension.kind is not DimensionKind.ORDINATE else dimension.kind
    )
    drawn = measure(dimension.ends, kind=kind, sheet=sheet, scale=PAPER_ITSELF, edge=view.edge)
    if drawn.value < LEAST_PAPER_MM:
        return None
    times = size_of_ends(dimension)
    first, last = (np.array(sheet.to_paper.apply(e.point)) for e in drawn.ends)
    direction = (last - first) / max(float(np.hypot(*(last - first))), 1e-12)
    dx, dy = direction * drawn.value / times
    step = Length(callout.step, printed.unit)
    return Pair(
        source=dimension.id,
        view=view.id,
        dx=float(dx),
        dy=float(dy),
        real=float(printed.to(Unit.MM)),
        u_paper=drawn.u / times,
        u_real=rectangular(float(step.to(Unit.MM)) / 2),
        tolerance=full_tolerance(dimension, view, settings=settings, unit=Unit.MM),
        middle=dimension.middle,
    )


def usable_known(known: Iterable[KnownSize], *, sheet: Sheet) -> tuple[KnownSize, ...]:
    """Return the known sizes of a sheet that can set its scale.

    They have a length and two different places. One across a fold counts only where a person has
    said how large its step is: what measures the step cannot set the scale too.

    Parameters
    ----------
    known : Iterable[KnownSize]
        Of any sheets.
    sheet : Sheet
        Whose are wanted.

    Returns
    -------
    tuple[KnownSize, ...]
        In their order.
    """
    return tuple(
        k
        for k in known
        if k.sheet == sheet.id
        and k.length.value > 0
        and k.a != k.b
        and all(fold.step is not None for fold in sheet.folds_between(k.a, k.b))
    )


def pairs_of_known(known: Sequence[KnownSize], *, sheet: Sheet) -> tuple[Pair, ...]:
    """Turn known sizes of a sheet into pairs.

    With several of them on a scan each also carries the local stretch of paper, so that good
    ones at different places do not seem to contradict each other.

    Parameters
    ----------
    known : Sequence[KnownSize]
        Usable ones of this sheet.
    sheet : Sheet
        Where they are.

    Returns
    -------
    tuple[Pair, ...]
        `source` is the place in the list, from 0.
    """
    stretch = SCAN_STRETCH if sheet.kind is not PageKind.VECTOR and len(known) > 1 else 0.0
    return tuple(_known_pair(k, place, sheet, stretch) for place, k in enumerate(known))


def _known_pair(known: KnownSize, place: int, sheet: Sheet, stretch: float) -> Pair:
    a, b = np.array(sheet.to_paper.apply(known.a)), np.array(sheet.to_paper.apply(known.b))
    dx, dy = b - a
    length = float(np.hypot(dx, dy))
    unit = np.array([dx, dy]) / length
    across = (unit @ sheet.to_paper.jacobian(p) for p in (known.a, known.b))
    ends = [known.u_ends * float(np.hypot(*g)) for g in across]
    in_mm = float(MM_PER_INCH) if known.length.unit is Unit.IN else 1.0
    return Pair(
        source=place,
        view=0,
        dx=float(dx),
        dy=float(dy),
        real=float(known.length.to(Unit.MM)),
        u_paper=math.hypot(
            *ends,
            stretch * length,
            rectification(length, sheet),
            folding(known.a, known.b, sheet),
        ),
        u_real=known.u_length * in_mm,
        tolerance=float(DEFAULT_TOLERANCE_IN.to(Unit.MM)),
        middle=known.a.midpoint(known.b),
    )
