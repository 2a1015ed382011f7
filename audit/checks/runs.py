"""Printed sizes that may be added up, with what rounding hides of them and where their ends are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audit.lengths import Callout, Length, Mark, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    Frame,
    Scale,
    Settings,
    Sheet,
    Verdict,
    View,
    ViewKind,
)
from audit.scale import NOT_SURELY_FOUND, printed_size
from audit.uncertainty import real_matrix
from audit.uncertainty.measure import (
    EXACT_FLOOR_PT,
    FREE_FLOOR_PT,
    FREE_FLOOR_PX,
    SNAPPED_FLOOR_PX,
)

Floats = NDArray[np.float64]

REDUCED = 4.9  # real to paper: 1:5 and smaller
SEES_PART_MM = 0.25  # U that still tells half a millimetre from none
CHAINED = frozenset({DimensionKind.DISTANCE, DimensionKind.ORDINATE})
UNSURE_SIZE = frozenset(
    {Mark.MAXIMUM, Mark.MINIMUM, Mark.TO_FIT, Mark.TO_SUIT, Mark.APPROXIMATE, Mark.STOCK}
)


@dataclass(frozen=True, slots=True)
class Run:
    """A dimension with its two ends.

    Attributes
    ----------
    dimension : Dimension
        The one it is made of.
    size, half, times : Length, Fraction, int
        As from `chain_size`.
    ends : tuple of 2 ndarray, shape (2,)
        Real mm; mm of paper where the view has no scale.
    sigmas : tuple of 2 float
        Standard uncertainties of the ends, same unit.
    along : float
        Direction, 0 to 180 degrees.
    assumed : bool
        As in `Leg`.
    """

    dimension: Dimension
    size: Length
    half: Fraction
    times: int
    ends: tuple[Floats, Floats]
    sigmas: tuple[float, float]
    along: float
    assumed: bool = False

    @property
    def length(self) -> float:
        """From end to end, in the unit of `ends`."""
        return float(np.hypot(*(self.ends[1] - self.ends[0])))


def chain_size(dimension: Dimension, settings: Settings) -> tuple[Length, Fraction, int] | None:
    """Return the printed size of a dimension for sums, what rounding hides, how often it counts.

    Parameters
    ----------
    dimension : Dimension
        With or without a reading.
    settings : Settings
        Its confidence limit counts: an unsure reading is never summed.

    Returns
    -------
    tuple[Length, Fraction, int] | None
        `None` when it is no size to add up (MAX, TO FIT, unread, an angle).
    """
    reading = dimension.reading
    callout = reading.callout if reading is not None else None
    if callout is None or callout.size is None or callout.marks & UNSURE_SIZE:
        return None
    if dimension.why == NOT_SURELY_FOUND:
        return None
    times = 1
    if Mark.EQUALLY_SPACED in callout.marks:
        spaced = _spaced(dimension, callout)
        if spaced is None or (reading is not None and not _sure(dimension, settings)):
            return None
        times = spaced
        size: Length | None = callout.size
    else:
        size = printed_size(dimension, settings)
    if size is None or size.unit is Unit.DEG or not size.value > 0:
        return None
    return size * times, callout.step / 2 * times, times


def _sure(dimension: Dimension, settings: Settings) -> bool:
    reading = dimension.reading
    if reading is None or reading.doubt:
        return False
    return reading.confirmed or reading.confidence >= settings.confidence_limit


def _spaced(dimension: Dimension, callout: Callout) -> int | None:
    """How many steps the line of an equally spaced size spans: all of them, or one."""
    if callout.count is None or callout.size is None or dimension.scaled is None:
        return None
    scaled, step = dimension.scaled, float(callout.size.to(dimension.scaled.unit))
    allowed = max(scaled.expanded, 0.02 * step)
    for times in (callout.count, 1):
        if abs(scaled.value - times * step) <= allowed:
            return times
    return None


def find_run(
    dimension: Dimension,
    view: View,
    sheet: Sheet,
    *,
    settings: Settings,
    sizes: dict[int, Length],
) -> Run | None:
    """Find the size of a dimension for sums, and where its two ends are.

    Parameters
    ----------
    dimension : Dimension
        Of the view.
    view : View
        Scaled; without a scale, ends are told in mm of paper.
    sheet : Sheet
        Of the view.
    settings : Settings
        As in `chain_size`.
    sizes : dict[int, Length]
        Sizes to take instead of the printed ones, by dimension.

    Returns
    -------
    Run | None
        `None` when it is no size to add up.
    """
    if dimension.kind not in CHAINED or len(dimension.ends) != 2:
        return None
    if dimension.verdict is Verdict.NOT_A_DIMENSION or _is_halved(dimension, view):
        return None
    said = chain_size(dimension, settings)
    if said is None:
        return None
    size, half, times = said
    assumed = False
    if half == 0 and _is_whole_mm(size):
        shown = _shows_part_of_mm(dimension, size)
        assumed = not shown and _is_reduced(view)
        half = Fraction(times, 2) if shown or assumed else half
    if dimension.id in sizes:
        size, half, assumed = sizes[dimension.id], Fraction(0), False
    matrix = real_matrix(view.scale) if isinstance(view.scale, Scale) else np.eye(2)
    ends = tuple(matrix @ np.asarray(sheet.to_paper.apply(e.point)) for e in dimension.ends)
    sigmas = tuple(_sigma(e, sheet, matrix) for e in dimension.ends)
    run = ends[1] - ends[0]
    if float(np.hypot(*run)) == 0.0:
        return None
    along = _ordinate_direction(dimension, sheet, matrix)
    if along is None:
        along = math.degrees(math.atan2(run[1], run[0]))
    return Run(
        dimension=dimension,
        size=size,
        half=half,
        times=times,
        ends=(ends[0], ends[1]),
        sigmas=(sigmas[0], sigmas[1]),
        along=along % 180.0,
        assumed=assumed,
    )


def _is_whole_mm(size: Length) -> bool:
    return size.unit is Unit.MM and size.value.denominator == 1


def _is_reduced(view: View) -> bool:
    """Whether a view is drawn so small that nobody sees a part of a millimetre.

    Drawings of buildings and frames are printed to the millimetre. Common practice, no source.
    """
    return isinstance(view.scale, Scale) and min(view.scale.x, view.scale.y) > REDUCED


def _shows_part_of_mm(dimension: Dimension, size: Length) -> bool:
    """Whether the drawing shows that whole millimetres are printed for a length that is none."""
    scaled = dimension.scaled
    if scaled is None or scaled.unit is not Unit.MM:
        return False
    off = abs(scaled.value - float(size.value))
    return scaled.expanded < off <= 0.5 + scaled.expanded and scaled.expanded < SEES_PART_MM


def _is_halved(dimension: Dimension, view: View) -> bool:
    """Whether a size that ends on the centre line of a half view may be of the whole."""
    return (
        view.kind is ViewKind.HALF
        and dimension.verdict is not Verdict.AGREES
        and any(e.kind is EndKind.CENTRE for e in dimension.ends)
    )


def _ordinate_direction(dimension: Dimension, sheet: Sheet, matrix: Floats) -> float | None:
    """An ordinate is measured along the direction its extension line fixes, not to its datum."""
    if dimension.kind is not DimensionKind.ORDINATE:
        return None
    datum, feature = dimension.ends
    along = feature.along if feature.along is not None else datum.along
    if along is None:
        return None
    ahead = np.array([math.cos(math.radians(along)), -math.sin(math.radians(along))])
    turned = matrix @ sheet.to_paper.jacobian(feature.point) @ ahead
    return math.degrees(math.atan2(turned[1], turned[0]))


def _sigma(end: End, sheet: Sheet, matrix: Floats) -> float:
    free = end.kind is EndKind.FREE
    if sheet.frame is Frame.PT:
        floor = FREE_FLOOR_PT if free else EXACT_FLOOR_PT
    else:
        floor = FREE_FLOOR_PX if free else SNAPPED_FLOOR_PX
    local = matrix @ sheet.to_paper.jacobian(end.point)
    return max(end.sigma, floor) * math.sqrt(abs(float(np.linalg.det(local))))
