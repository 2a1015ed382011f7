"""The printed text of dimensions placed on a picture: found near them, and read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from audit.geometry import Box, Point, angle_between, direction_deg
from audit.lengths import CalloutKind, Unit
from audit.pipeline.looking import see_picture
from audit.pipeline.placing import SnapGround, prepare_ground
from audit.pipeline.seen import SeenPicture
from audit.pipeline.shown import shown_by, with_shown
from audit.reading import Reader, TextSpot, available_readers, find_text_near, hear_readers, vote
from audit.reading.tesseract import count_unheard
from audit.records import (
    Dimension,
    DimensionKind,
    Finding,
    Place,
    Reading,
    Sheet,
)
from audit.scale.findings import say
from audit.sheets import LoadedPlan

SURE = 0.9  # of a reading
STROKES = frozenset("1/|-.' ")  # what a dash or two of a line may be read as
SHARED_END = 6.0  # sheet units within which two ends are one
SAME_LINE_DEG = 5.0
RADII = frozenset({CalloutKind.RADIUS, CalloutKind.SPHERICAL_RADIUS})
DIAMETERS = frozenset({CalloutKind.DIAMETER, CalloutKind.SPHERICAL_DIAMETER})
IN_LINE, OVER_LINE = 0.6, 1.3  # heights of a text from the line it stands in, or over
MIDDLE_SHARE = 0.25  # of a line, either side of its middle, where a text over it stands


def look_at_picture(plan: LoadedPlan, sheet: Sheet) -> SeenPicture:
    """Look at a sheet that is a picture: the network's pass, its texts, what readers say."""
    return see_ground(prepare_ground(plan, sheet), sheet)


def see_ground(ground: SnapGround, sheet: Sheet) -> SeenPicture:
    """Look at the raster of a sheet that is a picture."""
    seen = see_picture(ground, available_readers(), turn=sheet.turn)
    if seen.traced is None or sheet.to_paper.is_affine:
        return seen
    return replace(seen, traced=with_shown(seen.traced, shown_by(ground, sheet)))


def read_placed(
    ground: SnapGround,
    sheet: Sheet,
    placed: Sequence[Dimension],
    *,
    found: Sequence[Dimension] = (),
    texts: Sequence[Box] | None = None,
    unit: Unit | None,
) -> tuple[Dimension, ...]:
    """Read the texts of placed dimensions that nobody typed.

    Parameters
    ----------
    ground : SnapGround
        Of the sheet.
    sheet : Sheet
    placed : sequence of Dimension
        Ends snapped, in the sheet's frame.
    found : sequence of Dimension
        What the tool found there itself; a placed dimension takes the text of its twin.
    texts : sequence of Box or None
        Where texts of the sheet are; a 1 or a letter that stands nowhere there is believed only
        when it is read surely: a dash or a ring of the drawing looks like it. `None`: nobody
        looked.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    tuple of Dimension
        With readings where a text was found.
    """
    readers = _readers()
    read = [_read_one(ground, d, found, readers, turn=sheet.turn, unit=unit) for d in placed]
    return tuple(
        d if before.reading is not None or _is_text(d.reading, texts) else replace(d, reading=None)
        for before, d in zip(placed, read, strict=True)
    )


def _is_text(reading: Reading | None, texts: Sequence[Box] | None) -> bool:
    if reading is None or texts is None or reading.confidence >= SURE:
        return True
    if not set(reading.text) <= STROKES and any(s.isdigit() or s == "?" for s in reading.text):
        return True
    return any(reading.box.overlaps(box) for box in texts)


def tell_unread(sheet: Sheet, dimensions: Sequence[Dimension]) -> tuple[Finding, ...]:
    """Say that nothing here can read pictures (D103), when something was to be read."""
    unread = any(d.reading is None or d.reading.text == "?" for d in dimensions)
    return (_no_reader(sheet),) if unread and not _readers() else ()


def _read_one(
    ground: SnapGround,
    dimension: Dimension,
    found: Sequence[Dimension],
    readers: Sequence[Reader],
    *,
    turn: int,
    unit: Unit | None,
) -> Dimension:
    if dimension.reading is not None:
        return _find_typed(ground, dimension, dimension.reading, turn=turn)
    twin = next((f for f in found if f.reading is not None and is_twin(f, dimension)), None)
    if twin is not None:
        return replace(dimension, reading=twin.reading)
    return _read(ground, dimension, readers, turn=turn, unit=unit)


def without_twins(drawn: Sequence[Dimension], placed: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Leave out what a person has placed already.

    That is what has the same kind and the same ends within a stroke or two, or one of the ends,
    the same line and the same text: then the person knows better where the other end is.
    """
    return tuple(d for d in drawn if not any(is_twin(d, p) or _is_rival(d, p) for p in placed))


def _is_rival(found: Dimension, placed: Dimension) -> bool:
    """Whether a found dimension claims the text of a placed one, from one of its ends."""
    if found.kind is not placed.kind or found.reading is None or placed.reading is None:
        return False
    if found.printed != placed.printed or len(found.ends) != 2 or len(placed.ends) != 2:
        return False
    shared = any(a.point.distance(b.point) <= SHARED_END for a in found.ends for b in placed.ends)
    ways = [direction_deg(d.ends[0].point, d.ends[1].point) for d in (found, placed)]
    return shared and angle_between(ways[0], ways[1]) < SAME_LINE_DEG


def is_twin(one: Dimension, other: Dimension) -> bool:
    """Whether two dimensions are one: same kind, same ends within a stroke or two."""
    if one.kind is not other.kind or len(one.ends) != len(other.ends):
        return False
    first = [end.point for end in one.ends]
    second = [end.point for end in other.ends]
    size = max(1e-9, first[0].distance(first[-1]))
    near = min(0.2 * size, 6.0)
    return _all_near(first, second, near) or _all_near(first, second[::-1], near)


def _all_near(first: Sequence[Point], second: Sequence[Point], near: float) -> bool:
    return all(a.distance(b) <= near for a, b in zip(first, second, strict=True))


@cache
def _readers() -> tuple[Reader, ...]:
    return available_readers()


def count_placed_unheard() -> int:
    """Count texts of placed dimensions, of all sheets, that Tesseract was asked about in vain."""
    return count_unheard(_readers())


def _read(
    ground: SnapGround,
    dimension: Dimension,
    readers: Sequence[Reader],
    *,
    turn: int,
    unit: Unit | None,
) -> Dimension:
    spots = _spots(ground, dimension, turn=turn)
    readings = [r for spot in spots if (r := _read_spot(ground, spot, readers, unit=unit))]
    readings = [r for r in readings if may_name(dimension, r)]
    if not readings:
        return dimension
    return replace(dimension, reading=max(readings, key=_worth))


def may_name(dimension: Dimension, reading: Reading) -> bool:
    """Whether a text may be the print of a placed dimension, by its sign and its place.

    A lone bracket or stroke is a piece of the drawing. An R never names a distance. A Ø may (a rod
    seen from its side), but then it stands in the dimension line or over its middle; elsewhere it
    is on the leader of something else.
    """
    if not any(s.isalnum() or s == "?" for s in reading.text):
        return False
    kind = reading.callout.kind if reading.callout is not None else None
    if dimension.kind is not DimensionKind.DISTANCE or kind not in RADII | DIAMETERS:
        return True
    if kind in RADII:
        return False
    a, b = dimension.ends[0].point, dimension.ends[-1].point
    length, centre = a.distance(b), reading.box.centre
    if length == 0:
        return False
    along = ((centre.x - a.x) * (b.x - a.x) + (centre.y - a.y) * (b.y - a.y)) / length
    off = abs((centre.x - a.x) * (b.y - a.y) - (centre.y - a.y) * (b.x - a.x)) / length
    height = min(reading.box.width, reading.box.height)
    central = abs(along - length / 2) <= MIDDLE_SHARE * length
    return off <= (OVER_LINE if central else IN_LINE) * height


def _find_typed(
    ground: SnapGround, dimension: Dimension, typed: Reading, *, turn: int
) -> Dimension:
    """Give a typed text the place of the printed one, so that marks keep off it."""
    spots = _spots(ground, dimension, turn=turn)
    if not spots:
        return dimension
    box = _in_frame(ground, spots[0])
    return replace(dimension, reading=replace(typed, box=box, angle=spots[0].angle))


def _spots(ground: SnapGround, dimension: Dimension, *, turn: int) -> tuple[TextSpot, ...]:
    ends = [ground.from_frame.apply(end.point) for end in dimension.ends]
    return find_text_near(
        ground.image.pixels, ends[0], ends[-1], px_per_mm=ground.px_per_mm, turn=turn
    )


def _in_frame(ground: SnapGround, spot: TextSpot) -> Box:
    to_frame = ground.image.to_frame
    return Box.around([to_frame.apply(corner) for corner in spot.box.corners])


def _worth(reading: Reading) -> tuple[bool, float]:
    return reading.callout is not None, reading.confidence


def _read_spot(
    ground: SnapGround, spot: TextSpot, readers: Sequence[Reader], *, unit: Unit | None
) -> Reading | None:
    (votes,) = hear_readers([spot.crop], readers)
    return vote(votes, box=_in_frame(ground, spot), angle=spot.angle, unit=unit)


def _no_reader(sheet: Sheet) -> Finding:
    text = (
        f"Nothing here can read the printed sizes of {sheet.name}: type them, or install Tesseract."
    )
    return say("D103", text, places=[Place(sheet=sheet.id, box=sheet.box)])
