"""Single actions on an open audit: snap, place, move, type.

Everything here takes records and returns records; writing them down is the caller's.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.errors import BadPlace, BadUsage
from audit.geometry import Box, Point, project_onto
from audit.lengths import Length, Unit, is_size_like, parse_length, parse_lengths
from audit.pipeline.lookup import counted_on, find_sheet, find_view
from audit.pipeline.placing import SnapGround, end_in_frame, snap_row
from audit.reading import read_typed, vote
from audit.records import (
    Audit,
    Candidate,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    FoundBy,
    Frame,
    KnownSize,
    Reading,
    Sheet,
    SheetText,
)
from audit.sheets import check_on_sheet
from audit.snapping import SnapKind, snap_point
from audit.snapping.points import FREE_SIGMA_PX

POINTS_OF = {DimensionKind.ANGLE: 3}  # every other kind that is placed by hand has two
PLACEABLE = (
    DimensionKind.DISTANCE,
    DimensionKind.RADIUS,
    DimensionKind.DIAMETER,
    DimensionKind.ANGLE,
)
NEAREST_PX, FARTHEST_PX = 3.0, 14.0  # how far a snap may reach; the windows hold little more
HAND_SIGMA_MM = 0.2  # a point set by hand on a drawn page, as in `placing`
MM_PER_PT = 25.4 / 72
TEXT_REACH = 2.2  # heights of a text: further from the line it belongs to something else
TEXT_BEYOND = 1.0  # heights by which the middle of a text may stand beyond the ends


@dataclass(frozen=True, slots=True, kw_only=True)
class SnapSeen:
    """Where a point will be put, and why there.

    Attributes
    ----------
    point : Point
        Sheet frame.
    kind : SnapKind
    sigma : float
        Standard uncertainty, sheet frame units.
    sigma_px : float
        The same in pixels of the raster that was looked at.
    """

    point: Point
    kind: SnapKind
    sigma: float
    sigma_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """What a person placed: points in the sheet's frame, and which of them must stay put.

    `free` names the points (0, 1, …) that were set with snapping suspended.
    """

    sheet: int
    kind: DimensionKind
    points: tuple[Point, ...]
    free: frozenset[int] = frozenset()
    text: str = ""


def snap_at(ground: SnapGround, near: Point, *, reach: float) -> SnapSeen:
    """Find what a point near `near` would snap to.

    Parameters
    ----------
    ground : SnapGround
    near : Point
        Sheet frame.
    reach : float
        How far the pointer may be off, sheet frame units.

    Returns
    -------
    SnapSeen
        Kind NONE, with the place itself, where there is nothing to snap to.
    """
    px = ground.from_frame.apply(near)
    per_px = _frame_per_px(ground, px)
    radius = min(max(reach / per_px, NEAREST_PX), FARTHEST_PX)
    snap = snap_point(ground.image.pixels, px, radius=radius)
    sigma_px = snap.sigma
    if snap.kind is SnapKind.NONE:  # the hand is no better than the pixel it points at
        sigma_px = max(FREE_SIGMA_PX, radius / 4)
    return SnapSeen(
        point=ground.image.to_frame.apply(snap.point),
        kind=snap.kind,
        sigma=sigma_px * per_px,
        sigma_px=sigma_px,
    )


def _frame_per_px(ground: SnapGround, at_px: Point) -> float:
    (a, b), (c, d) = ground.image.to_frame.jacobian(at_px)
    return math.sqrt(abs(float(a * d - b * c)))


def check_placing(placing: Placing, sheet: Sheet) -> None:
    """Refuse points that make no sense.

    Raises
    ------
    BadUsage
        If the kind cannot be placed by hand, or has another number of points.
    BadPlace
        If two points are the same.
    """
    if placing.kind not in PLACEABLE:
        kinds = ", ".join(kind.value for kind in PLACEABLE)
        raise BadUsage(f"a {placing.kind.value} is not placed by points", advice=f"use {kinds}")
    wanted = POINTS_OF.get(placing.kind, 2)
    if len(placing.points) != wanted:
        advice = f"a {placing.kind.value} has {wanted} points"
        raise BadUsage(f"{len(placing.points)} points were given", advice=advice)
    if len(set(placing.points)) < wanted:
        raise BadPlace("two points are the same place", advice="give different places")
    check_on_sheet(placing.points, sheet=sheet)


def place_ends(
    ground: SnapGround, sheet: Sheet, placing: Placing
) -> tuple[tuple[End, ...], float | None, str]:
    """Turn placed points into ends.

    Parameters
    ----------
    ground : SnapGround
    sheet : Sheet
    placing : Placing

    Returns
    -------
    ends : tuple of End
    sweep : float or None
        Degrees of arc seen, for radius and diameter.
    remark : str
        What the user should know of them.
    """
    check_placing(placing, sheet)
    if placing.free:
        return (
            tuple(_lone_end(ground, sheet, placing, k) for k in range(len(placing.points))),
            None,
            "",
        )
    found = snap_row(ground, placing.kind, placing.points)
    ends = tuple(
        replace(end, sigma=max(end.sigma, _hand_sigma(sheet))) if end.kind is EndKind.FREE else end
        for end in found.ends
    )
    return ends, found.sweep, found.remark


def _lone_end(ground: SnapGround, sheet: Sheet, placing: Placing, k: int) -> End:
    point = placing.points[k]
    px = ground.from_frame.apply(point)
    if k in placing.free:
        sigma = max(FREE_SIGMA_PX * _frame_per_px(ground, px), _hand_sigma(sheet))
        return End(point=point, kind=EndKind.FREE, sigma=sigma)
    snap = snap_point(ground.image.pixels, px)
    kind = _LONE_KINDS.get(snap.kind, EndKind.EXTENSION)
    end = End(point=snap.point, kind=kind, sigma=snap.sigma, line_width=snap.width)
    return end_in_frame(end, ground)


_LONE_KINDS = {
    SnapKind.CORNER: EndKind.CORNER,
    SnapKind.CROSSING: EndKind.CROSSING,
    SnapKind.CENTRE: EndKind.CENTRE,
    SnapKind.TIP: EndKind.TIP,
    SnapKind.NONE: EndKind.FREE,
}


def _hand_sigma(sheet: Sheet) -> float:
    return HAND_SIGMA_MM / MM_PER_PT if sheet.frame is Frame.PT else 0.0


def make_dimension(
    ground: SnapGround, audit: Audit, placing: Placing
) -> tuple[Dimension, Dimension | None]:
    """Make a dimension of placed points, with the text read nearby.

    Parameters
    ----------
    ground : SnapGround
        Of the sheet.
    audit : Audit
    placing : Placing

    Returns
    -------
    made : Dimension
        With id 0, not judged yet.
    twin : Dimension or None
        The one of the audit that stands at the same place already.
    """
    from audit.pipeline.pictures import is_twin, read_placed  # noqa: PLC0415  # loads slowly

    sheet = find_sheet(audit, placing.sheet)
    ends, sweep, remark = place_ends(ground, sheet, placing)
    unit = counted_on(audit, sheet.id)
    made = Dimension(
        id=0,
        sheet=sheet.id,
        view=find_view(audit, sheet, ends),
        kind=placing.kind,
        ends=ends,
        line=tuple(end.point for end in ends),
        reading=_typed(placing.text, ends, unit),
        found_by=FoundBy.USER,
        sweep=sweep,
        why=remark or None,
    )
    own = [d for d in audit.dimensions if d.sheet == sheet.id]
    twin = next((d for d in own if is_twin(d, made)), None)
    if twin is not None or made.reading is not None:
        return made, twin
    reading = read_near(made, own, audit.texts, unit=unit)
    looked_through = any(text.sheet == sheet.id for text in audit.texts)
    if reading is None and not looked_through:
        (made,) = read_placed(ground, sheet, [made], unit=unit)
        return _drop_taken(made, own), None
    return replace(made, reading=reading), None


def _typed(text: str, ends: Sequence[End], unit: Unit | None) -> Reading | None:
    if not text.strip():
        return None
    return read_typed(text, points=[end.point for end in ends], unit=unit)


def _drop_taken(made: Dimension, own: Sequence[Dimension]) -> Dimension:
    """Leave a text with the dimension it belongs to already."""
    if made.reading is None:
        return made
    taken = any(d.reading is not None and _overlap(d.reading.box, made.reading.box) for d in own)
    return replace(made, reading=None) if taken else made


def read_near(
    made: Dimension,
    own: Sequence[Dimension],
    texts: Sequence[SheetText],
    *,
    unit: Unit | None,
) -> Reading | None:
    """Find the text of a placed dimension among those that were read on the sheet already.

    Parameters
    ----------
    made : Dimension
    own : sequence of Dimension
        Of the sheet; a text that one of them holds is not free.
    texts : sequence of SheetText
    unit : Unit or None

    Returns
    -------
    Reading or None
        `None` when no size-like text stands beside the line between the first and the last end.
    """
    held = [d.reading.box for d in own if d.reading is not None]
    a, b = made.ends[0].point, made.ends[-1].point
    near = [
        (distance, text)
        for text in texts
        if text.sheet == made.sheet
        and is_size_like(text.text)
        and not any(_overlap(text.box, box) for box in held)
        and (distance := _beside(text.box, a, b)) is not None
    ]
    if not near:
        return None
    _, best = min(near, key=lambda pair: pair[0])
    heard = Candidate(text=best.text, confidence=best.confidence, by=best.by)
    return vote([heard], box=best.box, angle=best.angle, unit=unit)


def _beside(box: Box, a: Point, b: Point) -> float | None:
    """How far a text stands off the line from a to b; `None` when it does not stand beside it."""
    height = min(box.width, box.height)
    along, aside = project_onto(box.centre, a, b)
    reach = TEXT_BEYOND * height
    if not -reach <= along <= a.distance(b) + reach:
        return None
    off = max(0.0, abs(aside) - height / 2)
    return off if off <= TEXT_REACH * height else None


def _overlap(a: Box, b: Box) -> bool:
    wide = min(a.x1, b.x1) - max(a.x0, b.x0)
    high = min(a.y1, b.y1) - max(a.y0, b.y0)
    smaller = min(a.width * a.height, b.width * b.height)
    return wide > 0 and high > 0 and wide * high >= 0.5 * smaller


def type_reading(audit: Audit, dimension: Dimension, text: str) -> Reading:
    """Take what a person typed as what is printed at a dimension.

    Parameters
    ----------
    audit : Audit
    dimension : Dimension
    text : str

    Returns
    -------
    Reading
        Confirmed; it keeps the place and the candidates of what was read before.

    Raises
    ------
    BadUsage
        If the text is no size, or nothing says what it counts.
    """
    unit = counted_on(audit, dimension.sheet)
    points = [end.point for end in dimension.ends]
    typed = read_typed(text, points=points, unit=unit)
    if typed.callout is None:
        raise BadUsage(f"'{text}' is no size", advice="write it as it is printed: 3 9/32, R 3/8")
    if typed.callout.size is None and unit is None:
        raise BadUsage(f"'{text}' has no unit", advice="write 3 3/8 in or 85.7 mm")
    before = dimension.reading
    if before is None:
        return typed
    return replace(
        typed,
        box=before.box,
        angle=before.angle,
        candidates=(*typed.candidates, *(c for c in before.candidates if c.text != typed.text)),
    )


def type_length(text: str, *, unit: Unit | None) -> Length:
    """Read a length as typed.

    Parameters
    ----------
    text : str
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    Length

    Raises
    ------
    BadUsage
        If it has two meanings, is an angle, or is not above zero.
    """
    length = parse_length(text, unit=unit)
    meanings = {r.length for r in parse_lengths(text, unit=unit) if r.rank <= 1}
    if len(meanings) > 1:
        raise BadUsage(f"'{text}' has two meanings", advice="write 1 1/16 with a space, or 11/16")
    if length.value <= 0:
        raise BadUsage(f"'{text}' is not above zero", advice="give a size")
    return length


def make_known(ground: SnapGround, audit: Audit, placing: Placing, length: str) -> KnownSize:
    """Make a known size of two placed points and a typed length.

    Parameters
    ----------
    ground : SnapGround
    audit : Audit
    placing : Placing
        Of a distance.
    length : str
        As typed.

    Returns
    -------
    KnownSize

    Raises
    ------
    BadUsage
        If the length is an angle.
    """
    sheet = find_sheet(audit, placing.sheet)
    true = type_length(length, unit=counted_on(audit, sheet.id))
    if true.unit is Unit.DEG:
        raise BadUsage("a known size is a length", advice="write 4 in or 100 mm")
    (first, second), _, _ = place_ends(ground, sheet, placing)
    sigma = math.sqrt((first.sigma**2 + second.sigma**2) / 2)
    return KnownSize(
        sheet=sheet.id, a=first.point, b=second.point, length=true, u_ends=max(sigma, 1e-3)
    )
