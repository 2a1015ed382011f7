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
from audit.checks.runs import Run, find_run
from audit.geometry import angle_between
from audit.lengths import MM_PER_INCH, Length, Unit
from audit.records import (
    Dimension,
    Scale,
    Settings,
    Sheet,
    View,
    ViewKind,
)

Floats = NDArray[np.float64]

LEAST_SIGMA = 1e-9  # nothing is placed better; a file may say 0
SAME_PAPER_MM = 0.3  # extension lines nearer than a pen width are one station
SAME_DIRECTION_DEG = 0.5  # lines of one view drawn parallel differ by less
WIDEST_DIRECTION_DEG = 3.0  # a short dimension on a scan may lean as much
REGION_PAPER_MM = 6.0  # around what stands alone; the first dimension line is 10 mm off (Y14.5)
WHOLE_SHEET = 0.6  # a view as large as this is no single view


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
        runs = [
            r
            for d in inside
            if (r := find_run(d, view, sheet, settings=settings, sizes=sizes or {}))
        ]
        for region in _regions(runs, view, sheet):
            for group in _directions(region):
                line = _make_line(group, view, sheet)
                if line.legs:
                    lines.append(line)
    return tuple(lines)


def _per_paper(view: View) -> float:
    """Real mm for each mm of paper, roughly."""
    return math.sqrt(view.scale.x * view.scale.y) if isinstance(view.scale, Scale) else 1.0


def _regions(runs: Sequence[Run], view: View, sheet: Sheet) -> list[list[Run]]:
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


def _directions(runs: Sequence[Run]) -> list[list[Run]]:
    """Group runs that are parallel as far as they can tell, the longest first."""
    groups: list[list[Run]] = []
    for run in sorted(runs, key=lambda r: (-r.length, r.dimension.id)):
        lean = math.degrees(math.hypot(*run.sigmas) / run.length)
        allowed = min(max(SAME_DIRECTION_DEG, SURE_SIGMAS * lean), WIDEST_DIRECTION_DEG)
        near = [g for g in groups if angle_between(g[0].along, run.along) <= allowed]
        if near:
            min(near, key=lambda g: angle_between(g[0].along, run.along)).append(run)
        else:
            groups.append([run])
    return groups


def _make_line(group: Sequence[Run], view: View, sheet: Sheet) -> StationLine:
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


def _mean_direction(group: Sequence[Run]) -> float:
    """Mean direction, 0 to 180 degrees, longer runs counting more (they lean less)."""
    first = group[0].along
    leans = [((r.along - first + 90.0) % 180.0) - 90.0 for r in group]
    weights = [r.length**2 for r in group]
    return (first + float(np.average(leans, weights=weights))) % 180.0


def _unit_of(group: Sequence[Run]) -> Unit:
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
    run: Run, owners: NDArray[np.int64], places: Floats, stations: Sequence[Station], unit: Unit
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
