"""Stations: where extension lines stand along a direction of a view, and the legs between them.

Words used here and in the modules about chains:

line      all dimensions of one view that run in one direction
station   one extension-line position along a line; lines that coincide are one station
leg       one printed size between two stations, with what print rounding can hide (`half`)
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audit.checks.grouping import SURE_RANGE, SURE_SIGMAS, cluster_ends, group_boxes, paper_box
from audit.geometry import angle_between
from audit.lengths import MM_PER_INCH, Callout, Length, Mark, Unit
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
from audit.scale import printed_size
from audit.uncertainty import real_matrix
from audit.uncertainty.measure import (
    EXACT_FLOOR_PT,
    FREE_FLOOR_PT,
    FREE_FLOOR_PX,
    SNAPPED_FLOOR_PX,
)

Floats = NDArray[np.float64]

LEAST_SIGMA = 1e-9  # nothing is placed better; a file may say 0
SAME_PAPER_MM = 0.3  # extension lines nearer than a pen width are one station
SAME_DIRECTION_DEG = 0.5  # lines of one view drawn parallel differ by less
WIDEST_DIRECTION_DEG = 3.0  # a short dimension on a scan may lean as much
REDUCED = 4.9  # real to paper: 1:5 and smaller
SEES_PART_MM = 0.25  # U that still tells half a millimetre from none
REGION_PAPER_MM = 6.0  # around what stands alone; the first dimension line is 10 mm off (Y14.5)
WHOLE_SHEET = 0.6  # a view as large as this is no single view
CHAINED = frozenset({DimensionKind.DISTANCE, DimensionKind.ORDINATE})
UNSURE_SIZE = frozenset(
    {Mark.MAXIMUM, Mark.MINIMUM, Mark.TO_FIT, Mark.TO_SUIT, Mark.APPROXIMATE, Mark.STOCK}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One position along a line.

    Attributes
    ----------
    place : float
        Real mm along the line; mm of paper where the view has no scale.
    sigma : float
        Standard uncertainty of the drawn place, same unit.
    spread : float
        Between the outermost ends taken as this station.
    doubtful : bool
        Its ends stand further apart than their uncertainty explains.
    drawn : bool
        Whether `place` may speak for a size at all.
    """

    place: float
    sigma: float
    spread: float = 0.0
    doubtful: bool = False
    drawn: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One printed size from station `a` to station `b`, which lies ahead of it.

    Attributes
    ----------
    dimension : int
        Id of the dimension that prints it.
    a, b : int
        Places in the list of stations.
    value : Fraction
        Printed, in the unit of the line, `times` included.
    half : Fraction
        What print rounding can hide: value ± half.
    times : int
        How often the printed size is taken.
    reference : bool
        For information only: compared afterwards, never used.
    gaps : tuple of float
        How far its two ends stand from their stations, real mm.
    governed : bool
        Printed elsewhere: a typical size that holds here too, as the drawing shows.
    assumed : bool
        That it is rounded is only the custom at the scale of its view; neither print nor drawing
        shows it.
    """

    dimension: int
    a: int
    b: int
    value: Fraction
    half: Fraction = Fraction(0)
    times: int = 1
    reference: bool = False
    gaps: tuple[float, float] = (0.0, 0.0)
    governed: bool = False
    assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLine:
    """The stations and legs of one direction of one view.

    `u_scale` is the relative standard uncertainty of the view's scale along it, `None` where the
    drawing cannot speak (no scale, broken or pictorial view).
    """

    view: int
    sheet: int
    direction: float
    unit: Unit
    stations: tuple[Station, ...]
    legs: tuple[Leg, ...]
    u_scale: float | None = None

    @property
    def used(self) -> tuple[Leg, ...]:
        """The legs that count: all but reference values."""
        return tuple(leg for leg in self.legs if not leg.reference)

    def drawn_between(self, a: int, b: int) -> tuple[float, float] | None:
        """Return how far two stations are drawn apart, and U of it, in the line's unit."""
        ends = (self.stations[a], self.stations[b])
        if self.u_scale is None or not all(end.drawn for end in ends):
            return None
        drawn = abs(ends[1].place - ends[0].place)
        expanded = 2 * math.hypot(ends[0].sigma, ends[1].sigma, drawn * self.u_scale)
        per_unit = float(MM_PER_INCH) if self.unit is Unit.IN else 1.0
        return drawn / per_unit, expanded / per_unit


@dataclass(frozen=True, slots=True)
class _Run:
    """A dimension with its two ends in real mm."""

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
        return float(np.hypot(*(self.ends[1] - self.ends[0])))


def find_lines(
    dimensions: Iterable[Dimension],
    views: Iterable[View],
    sheets: Iterable[Sheet],
    *,
    settings: Settings | None = None,
    sizes: dict[int, Length] | None = None,
) -> tuple[StationLine, ...]:
    """Find the stations of every view and direction from the ends of its dimensions.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Of the audit; those without a size that may be used are passed over.
    views : Iterable[View]
        Of the audit, scaled.
    sheets : Iterable[Sheet]
        Of the audit.
    settings : Settings | None
        `None`: the usual ones.
    sizes : dict[int, Length] | None
        Sizes to take instead of the printed ones, by dimension (build-to values).

    Returns
    -------
    tuple[StationLine, ...]
        Those with any leg.
    """
    settings = settings or Settings()
    by_sheet = {s.id: s for s in sheets}
    mine = list(dimensions)
    lines: list[StationLine] = []
    for view in views:
        sheet = by_sheet.get(view.sheet)
        if sheet is None or view.kind in (ViewKind.PICTORIAL,):
            continue
        inside = [d for d in mine if d.view == view.id and d.sheet == sheet.id]
        runs = [r for d in inside if (r := _run(d, view, sheet, settings, sizes or {}))]
        for region in _regions(runs, view, sheet):
            for group in _directions(region):
                line = _make_line(group, view, sheet)
                if line.legs:
                    lines.append(line)
    return tuple(lines)


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


def _run(
    dimension: Dimension,
    view: View,
    sheet: Sheet,
    settings: Settings,
    sizes: dict[int, Length],
) -> _Run | None:
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
    return _Run(
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


def _per_paper(view: View) -> float:
    """Real mm for each mm of paper, roughly."""
    return math.sqrt(view.scale.x * view.scale.y) if isinstance(view.scale, Scale) else 1.0


def _regions(runs: Sequence[_Run], view: View, sheet: Sheet) -> list[list[_Run]]:
    """Part what stands apart, where no views were found and one covers the whole sheet.

    Extension lines of two parts that happen to stand in one row are no common station.
    """
    if len(runs) < 2 or _share_of_sheet(view, sheet) < WHOLE_SHEET:
        return [list(runs)]
    boxes = [paper_box(r.dimension, sheet).grown(REGION_PAPER_MM) for r in runs]
    return [[runs[k] for k in group] for group in group_boxes(boxes)]


def _share_of_sheet(view: View, sheet: Sheet) -> float:
    box, whole = view.box, sheet.box
    wide = min(box.x1, whole.x1) - max(box.x0, whole.x0)
    high = min(box.y1, whole.y1) - max(box.y0, whole.y0)
    return max(wide, 0.0) * max(high, 0.0) / max(whole.width * whole.height, 1e-9)


def _directions(runs: Sequence[_Run]) -> list[list[_Run]]:
    """Group runs that are parallel as far as they can tell, the longest first."""
    groups: list[list[_Run]] = []
    for run in sorted(runs, key=lambda r: (-r.length, r.dimension.id)):
        lean = math.degrees(math.hypot(*run.sigmas) / run.length)
        allowed = min(max(SAME_DIRECTION_DEG, SURE_SIGMAS * lean), WIDEST_DIRECTION_DEG)
        near = [g for g in groups if angle_between(g[0].along, run.along) <= allowed]
        if near:
            min(near, key=lambda g: angle_between(g[0].along, run.along)).append(run)
        else:
            groups.append([run])
    return groups


def _make_line(group: Sequence[_Run], view: View, sheet: Sheet) -> StationLine:
    direction = _mean_direction(group)
    ahead = np.array([math.cos(math.radians(direction)), math.sin(math.radians(direction))])
    places = np.array([[float(end @ ahead) for end in run.ends] for run in group])
    sigmas = np.array([run.sigmas for run in group])
    same = SAME_PAPER_MM * _per_paper(view)
    owners = cluster_ends(places, sigmas, same=same)
    can_speak = isinstance(view.scale, Scale) and view.kind is not ViewKind.NOT_TO_SCALE
    broken = view.kind is ViewKind.BROKEN or any(r.dimension.across_break for r in group)
    drafting = (view.drafting or 0.0) * _per_paper(view) / math.sqrt(2)
    stations = tuple(
        _make_station(
            places[owners == k],
            sigmas[owners == k],
            drafting=drafting,
            drawn=can_speak and not broken,
        )
        for k in range(int(owners.max()) + 1)
    )
    unit = _unit_of(group)
    legs = [
        _make_leg(r, o, p, stations, unit) for r, o, p in zip(group, owners, places, strict=True)
    ]
    return StationLine(
        view=view.id,
        sheet=sheet.id,
        direction=direction,
        unit=unit,
        stations=stations,
        legs=tuple(sorted((g for g in legs if g.a != g.b), key=lambda g: (g.a, g.b, g.dimension))),
        u_scale=_u_scale(view) if can_speak and not broken else None,
    )


def _mean_direction(group: Sequence[_Run]) -> float:
    """Mean direction, 0 to 180 degrees, longer runs counting more (they lean less)."""
    first = group[0].along
    leans = [((r.along - first + 90.0) % 180.0) - 90.0 for r in group]
    weights = [r.length**2 for r in group]
    return (first + float(np.average(leans, weights=weights))) % 180.0


def _unit_of(group: Sequence[_Run]) -> Unit:
    inches = sum(r.size.unit is Unit.IN for r in group)
    return Unit.IN if 2 * inches >= len(group) else Unit.MM


def _u_scale(view: View) -> float:
    if not isinstance(view.scale, Scale):
        return 0.0
    return math.sqrt(max(view.scale.covariance[0][0], view.scale.covariance[1][1], 0.0))


def _make_station(places: Floats, sigmas: Floats, *, drafting: float, drawn: bool) -> Station:
    weights = 1.0 / np.maximum(sigmas, LEAST_SIGMA) ** 2
    spread = float(places.max() - places.min())
    usual = SURE_RANGE * math.hypot(float(sigmas.max()), drafting)
    return Station(
        place=float(np.average(places, weights=weights)),
        sigma=math.hypot(float(weights.sum() ** -0.5), drafting),
        spread=spread,
        doubtful=spread > usual,
        drawn=drawn,
    )


def _make_leg(
    run: _Run, owners: NDArray[np.int64], places: Floats, stations: Sequence[Station], unit: Unit
) -> Leg:
    low, high = (0, 1) if places[0] <= places[1] else (1, 0)
    a, b = int(owners[low]), int(owners[high])
    callout = run.dimension.reading.callout if run.dimension.reading is not None else None
    to_unit = Length(run.half, run.size.unit).to(unit).value
    return Leg(
        dimension=run.dimension.id,
        a=a,
        b=b,
        value=run.size.to(unit).value,
        half=to_unit,
        times=run.times,
        reference=callout is not None and callout.reference,
        assumed=run.assumed,
        gaps=(
            float(places[low]) - stations[a].place,
            float(places[high]) - stations[b].place,
        ),
    )
