"""Points that a person gave, made into dimensions with snapped ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.geometry import Point, Transform
from audit.isolation import GrayImage
from audit.lengths import Unit
from audit.pipeline.polarity import lay_dark_on_light
from audit.reading import read_typed
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    FoundBy,
    Frame,
    KnownSize,
    Sheet,
)
from audit.sheets import LoadedPlan, PointRow, check_on_sheet
from audit.sheets.broken_lines import mend_broken_lines
from audit.sheets.flat import flatten
from audit.sheets.light import even_light
from audit.sheets.load import resample
from audit.snapping import SnappedEnds, snap_angle, snap_distance, snap_round

VECTOR_SNAP_DPI = 400.0  # a vector page is drawn this fine to snap on; strokes stay under 12 px
FREE_SIGMA_MM = 0.2  # a point of a vector page set by hand where nothing is drawn
SAME_KNOWN = 2.0  # sheet units; a known size given again is snapped to the same marks
COARSE_DPI = 120.0  # the page network was not trained for less
USUAL_DPI = 150.0
LEAST_DPI = 50.0  # coarser pictures show no numbers
MOST_PX = 30e6  # of a picture made finer: a 34 x 22 in sheet at 200 dpi
MOST_SIDE_PX = 32000.0  # more cannot be turned by OpenCV
ALIKE = 1.65  # interpolated px are not independent; measured: ends on pictures made 2 and 3 times
# finer are off by 3.3 and 6.0 times what is told of them
TRACED_PX = 0.25  # a place that was traced, not fitted, is known so well on stored px
SMALL_PX = 1650.0  # the long side of a letter-size page at 150 dpi
ROUND = (DimensionKind.RADIUS, DimensionKind.DIAMETER)


@dataclass(frozen=True, slots=True)
class SnapGround:
    """A raster to snap on, with its way to the sheet's frame and its fineness on paper.

    `finer`: px of it to one that is stored.
    """

    image: GrayImage
    from_frame: Transform
    px_per_mm: float | None
    finer: float = 1.0


def prepare_ground(plan: LoadedPlan, sheet: Sheet) -> SnapGround:
    """Return the raster on which the points of a sheet are snapped.

    A vector page is drawn finely; a photo is flattened first, so that parallel lines of the
    paper are parallel.
    """
    if sheet.frame is Frame.PT and sheet.stated_dpi is None:
        image = plan.gray(sheet, dpi=VECTOR_SNAP_DPI)
        return SnapGround(image, image.to_frame.inverse(), _fineness(image, sheet))
    stored = _whole_lines(_as_paper(plan.gray(sheet), sheet))
    image = make_finer(stored, px_per_mm=_fineness(stored, sheet))
    finer = image.pixels.shape[1] / stored.pixels.shape[1]
    return SnapGround(image, image.to_frame.inverse(), _fineness(image, sheet), finer)


def _whole_lines(image: GrayImage) -> GrayImage:
    mended = mend_broken_lines(image.pixels)
    return image if mended is image.pixels else GrayImage(pixels=mended, to_frame=image.to_frame)


def _fineness(image: GrayImage, sheet: Sheet) -> float | None:
    """Px of a raster to a mm of the paper, in its middle; `None` where nobody knows the paper."""
    rows, columns = image.pixels.shape
    centre = (columns / 2, rows / 2)
    on_sheet = sheet.box.grown(1e6).contains(image.to_frame.apply(centre))
    if not (sheet.paper_known and on_sheet):
        return None
    to_mm = image.to_frame.then(sheet.to_paper).jacobian(centre)
    return 1.0 / math.sqrt(abs(float(np.linalg.det(to_mm))))


def make_finer(image: GrayImage, *, px_per_mm: float | None) -> GrayImage:
    """Interpolate a coarse picture, so that strokes and letters are as wide as usual ones.

    Nothing is seen that was not there before; but what looks for lines and letters was made for
    the fineness that scanners have.

    Parameters
    ----------
    image : GrayImage
    px_per_mm : float or None
        Of its paper; `None`: unknown, and a small picture is taken for a coarse one.

    Returns
    -------
    GrayImage
        The picture itself where it is fine enough, or large: then what it says of its paper is
        hardly so.
    """
    rows, columns = image.pixels.shape
    dpi = USUAL_DPI * max(rows, columns) / SMALL_PX if px_per_mm is None else px_per_mm * 25.4
    if dpi >= COARSE_DPI:
        return image
    room = min(math.sqrt(MOST_PX / (rows * columns)), MOST_SIDE_PX / max(rows, columns))
    times = min(math.ceil(USUAL_DPI / max(dpi, LEAST_DPI)), math.floor(room))
    return resample(image, factor=times) if times > 1 else image


def _as_paper(image: GrayImage, sheet: Sheet) -> GrayImage:
    """Lay ink dark on light; flatten a photo and take its light off, turn over a mirrored scan.

    The edge of a shadow is taken for ink where paper beside it is the measure.
    """
    leans = not sheet.to_paper.is_affine
    straight = _turned_over(image) if sheet.mirrored and not leans else image
    flat = lay_dark_on_light(flatten(straight, sheet=sheet))
    if not leans and (sheet.paper_known or sheet.frame is not Frame.PX):
        return flat  # a scanner has light of its own
    return GrayImage(pixels=even_light(flat.pixels), to_frame=flat.to_frame)


def snap_row(ground: SnapGround, kind: DimensionKind, points: Sequence[Point]) -> SnappedEnds:
    """Snap the points of one dimension; ends come back in the sheet's frame."""
    px = [ground.from_frame.apply(p) for p in points]
    gray = ground.image.pixels
    if kind is DimensionKind.ANGLE:
        found = snap_angle(gray, px[0], px[1], px[2])
    elif kind in ROUND:
        found = snap_round(gray, kind, px[0], px[1], px_per_mm=ground.px_per_mm)
    else:
        found = snap_distance(gray, px[0], px[1], px_per_mm=ground.px_per_mm)
    return replace(found, ends=tuple(end_in_frame(end, ground) for end in found.ends))


def _turned_over(image: GrayImage) -> GrayImage:
    """Mirror a picture that is stored mirrored, so that its texts can be read."""
    columns = image.pixels.shape[1]
    back = Transform(((-1.0, 0.0, float(columns)), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    pixels = np.ascontiguousarray(image.pixels[:, ::-1])
    return GrayImage(pixels=pixels, to_frame=back.then(image.to_frame))


def end_in_frame(end: End, ground: SnapGround) -> End:
    """Bring an end from px of a ground into the sheet's frame.

    On a picture that was made finer no more is known of it than on the one that is stored.
    """
    to_frame = ground.image.to_frame
    stretch = math.sqrt(abs(float(np.linalg.det(to_frame.jacobian(end.point)))))
    along = end.along
    if along is not None:
        turn = math.radians(along)
        ahead = end.point.moved(math.cos(turn), -math.sin(turn))
        a, b = to_frame.apply(end.point), to_frame.apply(ahead)
        along = math.degrees(math.atan2(a.y - b.y, b.x - a.x))
    return replace(
        end,
        point=to_frame.apply(end.point),
        sigma=_sigma_stored(end.sigma / ground.finer, ground.finer) * stretch * ground.finer,
        line_width=end.line_width * stretch,
        along=along,
    )


def _sigma_stored(sigma: float, finer: float) -> float:
    """Say how well a place is known on a picture that was made finer, in stored px.

    Only what a fit on interpolated px says is too good; how far a hand strays, or where a stroke
    ends that was only traced, is as true on them as on stored ones.

    Examples
    --------
    >>> round(_sigma_stored(0.02, 2.0), 3), _sigma_stored(0.5, 2.0)
    (0.063, 0.5)
    """
    return max(sigma, min(sigma * math.pow(finer, ALIKE), TRACED_PX))


def place_rows(
    plan: LoadedPlan, sheet: Sheet, rows: Sequence[PointRow], *, unit: Unit | None
) -> tuple[Dimension, ...]:
    """Make dimensions of the rows that lie on one sheet.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
    rows : sequence of PointRow
        Rows of other sheets are left out.
    unit : Unit or None
        What a bare number counts on this sheet.

    Returns
    -------
    tuple of Dimension
        Without scale, in the order of the rows; a typed text is a confirmed reading.

    Raises
    ------
    BadPlace
        If a point lies outside the sheet.
    """
    mine = [row for row in rows if row.sheet == sheet.id]
    if not mine:
        return ()
    ground = prepare_ground(plan, sheet)
    placed = []
    for row in mine:
        check_on_sheet(row.points, sheet=sheet)
        placed.append(_place(ground, sheet, row, unit=unit))
    return tuple(placed)


def _place(ground: SnapGround, sheet: Sheet, row: PointRow, *, unit: Unit | None) -> Dimension:
    found = snap_row(ground, row.kind, row.points)
    ends = tuple(
        replace(end, sigma=_free_sigma(sheet, end)) if end.kind is EndKind.FREE else end
        for end in found.ends
    )
    reading = read_typed(row.text, points=row.points, unit=unit) if row.text.strip() else None
    return Dimension(
        id=0,
        sheet=sheet.id,
        view=0,
        kind=row.kind,
        ends=ends,
        line=tuple(end.point for end in ends),
        reading=reading,
        found_by=FoundBy.USER,
        sweep=found.sweep,
        why=found.remark or None,
    )


def _free_sigma(sheet: Sheet, end: End) -> float:
    """A hand-set point on a vector page is as good as a hand, not as good as a drawn line."""
    if sheet.frame is Frame.PX:
        return end.sigma
    return FREE_SIGMA_MM * 72 / 25.4


def snap_known(plan: LoadedPlan, sheet: Sheet, known: KnownSize) -> KnownSize:
    """Snap the two places of a known size to the marks they were meant for."""
    check_on_sheet((known.a, known.b), sheet=sheet)
    ground = prepare_ground(plan, sheet)
    found = snap_row(ground, DimensionKind.DISTANCE, (known.a, known.b))
    first, second = found.ends
    sigma = math.sqrt((first.sigma**2 + second.sigma**2) / 2)
    return replace(known, a=first.point, b=second.point, u_ends=max(sigma, 1e-3))


def join_known(placed: Sequence[KnownSize], given: Sequence[KnownSize]) -> tuple[KnownSize, ...]:
    """Put known sizes of one sheet together with those that were placed on it before.

    At the same two places the length given now counts; where it is the same, the places stay.
    """
    kept = [old for old in placed if not any(_is_place_of(old, new) for new in given)]
    joined = [
        next((old for old in placed if _is_place_of(old, new) and old.length == new.length), new)
        for new in given
    ]
    return tuple(dict.fromkeys((*kept, *joined)))


def _is_place_of(old: KnownSize, new: KnownSize) -> bool:
    return any(
        old.a.distance(a) <= SAME_KNOWN and old.b.distance(b) <= SAME_KNOWN
        for a, b in ((new.a, new.b), (new.b, new.a))
    )
