"""What is on a picture: its texts read, its dimensions found, all in the sheet's frame."""

from __future__ import annotations

import logging
import math
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from audit.dimensions import FoundPage
from audit.dimensions.raster import find_in_picture
from audit.dimensions.raster_page import trace_page
from audit.dimensions.raster_recut import recut_texts
from audit.dimensions.texts import sizes_on_lines
from audit.geometry import Box, Point, Transform
from audit.lengths import Unit
from audit.networks.at_once import Beside
from audit.networks.page import run_page
from audit.pipeline.blank_lines import doubt_blank_lines
from audit.pipeline.centred_texts import trust_centred
from audit.pipeline.cut_short import doubt_cut_short
from audit.pipeline.fine_lettering import (
    FAR_OFF,
    LETTER_MM,
    doubt_fineness,
    is_coarse,
    lettering_px,
    make_lettering_finer,
)
from audit.pipeline.half_fractions import doubt_half_fractions
from audit.pipeline.lone_marks import find_before
from audit.pipeline.lone_signs import find_lone_signs, join_lone_signs
from audit.pipeline.outside_texts import hand_outside_texts
from audit.pipeline.parted_texts import part_texts
from audit.pipeline.placing import SnapGround, end_in_frame
from audit.pipeline.second_look import look_again
from audit.pipeline.seen import SeenPicture
from audit.pipeline.seen_doubts import doubt_seen
from audit.pipeline.signs import settle_signs
from audit.pipeline.stacked_rows import join_stacked_rows
from audit.pipeline.steady import doubt_unsteady
from audit.pipeline.tiny_texts import doubt_tiny
from audit.pipeline.torn_words import mend_torn_words
from audit.pipeline.turned_texts import hear_turned
from audit.reading import Reader, TextLine, TextSpot, vote
from audit.reading.beside import cut_along_lines
from audit.reading.decimal_marks import settle_decimal_marks
from audit.reading.find_text import Known, find_text
from audit.reading.lost_gaps import settle_lost_gaps
from audit.reading.off_marks import clear_of_extension_lines, clear_of_marks, cut_shorter
from audit.reading.readers import glance_at
from audit.reading.stray_points import doubt_stray_points
from audit.records import Candidate, Dimension, ReadBy, Reading, Sheet, View

log = logging.getLogger(__name__)

USUAL_HEIGHT = 1.3  # stacked fractions stand this much higher than letters, or more
WORDS = re.compile(r"[A-Za-z]{3,}")
SURE_OF_WORDS = 0.5  # of a reading: below this it may as well be a misread size
ASKED = 6  # texts read both ways up, to see which way is up
MIN_LONG = 2.5  # heights: shorter texts read the same way up and down
USUAL_DPI, LONG_SIDE_IN = 200.0, 22.0
SAME_ENOUGH = 1.35  # lettering differs by as much from plan to plan
READABLE = 25.0  # heights: what our network reads of longer lines, of running text, is chance
# The same at a glance, which sees less: times as much as the other way, and half a text more.
UP_AT_A_GLANCE, HALF_A_TEXT = 2.0, 0.5
UP_MARGIN = 1.15  # how much better the other way up must read to be believed


def see_picture(ground: SnapGround, readers: Sequence[Reader], *, turn: int) -> SeenPicture:
    """Look at a picture and read every text on it.

    Parameters
    ----------
    ground : SnapGround
    readers : sequence of Reader
    turn : int
        Degrees clockwise that bring the picture upright, as the file says.
    """
    ground = doubt_fineness(ground, partial(_glimpse_texts, turn=turn))
    gray = ground.image.pixels
    fineness = ground.px_per_mm or guess_by_size(gray.shape)
    maps = run_page(gray, px_per_mm=fineness)
    with Beside() as beside:
        trace = None
        if ground.px_per_mm is not None and not is_coarse(ground):
            trace = beside.start(partial(trace_page, gray, maps, px_per_mm=fineness))
        known: Known = {}
        spots = find_text(gray, fineness, turn=float(turn), maps=maps, known=known)
        finer = make_lettering_finer(ground, spots)
        if finer is not ground:
            return see_picture(finer, readers, turn=turn)
        if ground.px_per_mm is None:
            better = guess_by_lettering(spots, fineness)
            if not 1 / FAR_OFF < better / fineness < FAR_OFF:
                maps, known = run_page(gray, px_per_mm=better), {}
                spots = find_text(gray, better, turn=float(turn), maps=maps, known=known)
            fineness = better
        trace = trace or beside.start(partial(trace_page, gray, maps, px_per_mm=fineness))
        upright = find_upright(spots, readers, turn=float(turn))
        if upright != turn:
            spots = find_text(gray, fineness, turn=upright, maps=maps, known=known)
        _read_ahead(spots, readers)
        traced = trace()
    recut = recut_texts(gray, maps, spots, px_per_mm=fineness, level=upright, traced=traced)
    parted = clear_of_extension_lines(gray, maps, recut.spots)
    cleared = clear_of_marks(gray, maps, parted)
    others = {
        id(new): (*clear_of_extension_lines(gray, maps, cuts), *cut_shorter(old, new))
        for old, new, cuts in zip(parted, cleared, recut.others, strict=True)
    }
    spots, votes = hear_turned(
        part_texts(gray, cleared, traced, readers),
        readers,
        upright=upright,
        cut=lambda s: cut_along_lines(gray, maps, s, level=upright),
        others=lambda s: others.get(id(s), ()),
    )
    votes = doubt_stray_points(settle_lost_gaps(settle_decimal_marks(votes)))
    spots, votes = find_before(gray, spots, votes, readers)
    spots, votes = mend_torn_words(gray, spots, votes, readers)
    spots, votes = join_lone_signs(gray, spots, votes, readers)
    return SeenPicture(ground, maps, spots, votes, upright, fineness, tuple(readers), traced)


def _glimpse_texts(ground: SnapGround, *, turn: int) -> tuple[TextSpot, ...]:
    """Find the texts of a ground, for their height alone."""
    gray = ground.image.pixels
    fineness = guess_by_size(gray.shape)
    maps = run_page(gray, px_per_mm=fineness)
    return tuple(find_text(gray, fineness, turn=float(turn), maps=maps))


def _read_ahead(spots: Sequence[TextSpot], readers: Sequence[Reader]) -> None:
    """Let our network read texts that may yet be cut otherwise: it remembers what it has read."""
    if readers and readers[0].name is ReadBy.NET:
        readers[0].read([s.crop for s in spots])


def guess_by_size(shape: tuple[int, ...]) -> float:
    """Guess px to a mm of paper that nobody measured: 200 dpi, or a sheet of 22 in if larger.

    Examples
    --------
    >>> round(25.4 * guess_by_size((2200, 1700))), round(25.4 * guess_by_size((9000, 13200)))
    (200, 600)
    """
    return max(USUAL_DPI, max(shape) / LONG_SIDE_IN) / 25.4


def guess_by_lettering(spots: Sequence[TextSpot], fineness: float) -> float:
    """Guess px to a mm of paper by the height of the lettering, which varies little."""
    height = lettering_px(spots)
    if height is None:
        return fineness
    guess = height / LETTER_MM
    # within what lettering varies by anyway, the first guess stands
    return guess if not 1 / SAME_ENOUGH < guess / fineness < SAME_ENOUGH else fineness


def find_upright(spots: Sequence[TextSpot], readers: Sequence[Reader], *, turn: float) -> float:
    """Find the direction in which level text runs: the way most text reads best.

    Long texts are notes and titles, which run level on every sheet; which of the two ways along
    them is up, the readers tell.
    """
    long = sorted(
        (s for s in spots if s.length > MIN_LONG * s.height), key=lambda s: -s.length / s.height
    )
    if not long:
        return turn
    along = sum(
        s.length * (1 if abs(math.cos(math.radians(s.angle - turn))) > 0.7 else -1) for s in long
    )
    ways = (turn, turn + 180.0) if along >= 0 else (turn + 90.0, turn - 90.0)
    level = [s for s in long if abs(math.cos(math.radians(s.angle - ways[0]))) > 0.9]
    level = ([s for s in level if s.length < READABLE * s.height] or level)[:ASKED]
    if not readers or not level:
        return ways[0] % 360.0
    lying = [[_lay(s, way) for s in level] for way in ways]
    worth = [sum(glance_at(crops, readers[0])) for crops in lying]
    if max(worth) < UP_AT_A_GLANCE * min(worth) + HALF_A_TEXT:
        heard = [readers[0].read(crops) for crops in lying]
        worth = [sum(v[0].confidence * len(v[0].text) for v in said if v) for said in heard]
    best = ways[0] if worth[0] * UP_MARGIN >= worth[1] else ways[1]
    return best % 360.0


def _lay(spot: TextSpot, way: float) -> NDArray[np.uint8]:
    """Crop of a text, on its head where it runs against a direction."""
    against = math.cos(math.radians(spot.angle - way)) < 0
    return np.ascontiguousarray(np.rot90(spot.crop, 2) if against else spot.crop)


def text_lines(seen: SeenPicture) -> tuple[TextLine, ...]:
    """Make text lines of what was read, in px of the ground, in the order of the spots.

    A text that no reader made sense of stays as one that may be a size.
    """
    heights = [s.height for s in seen.spots]
    usual = USUAL_HEIGHT * float(np.median(heights)) if heights else 0.0
    return tuple(
        _line(spot, votes, usual) for spot, votes in zip(seen.spots, seen.votes, strict=True)
    )


def _line(spot: TextSpot, votes: Sequence[Candidate], usual: float) -> TextLine:
    best = vote(votes, box=spot.box, angle=spot.angle, unit=None)
    text = best.text if best is not None else ""
    trusted = best is not None and (best.callout is not None or _is_sure(votes, best))
    if not trusted and not text:
        text = "?" * max(1, round(1.5 * spot.length / max(spot.height, 1.0)))
    return TextLine(
        text=text,
        box=spot.box,
        angle=spot.angle,
        quad=_quad(spot),
        height=min(spot.height, usual),
        trusted=trusted,
    )


def _is_sure(votes: Sequence[Candidate], best: Reading) -> bool:
    """Whether what is no size is surely none, and no size misread.

    A general reader makes words of stacked fractions: only real words of its are believed.
    """
    sure = max(v.confidence for v in votes if v.by is best.by) > SURE_OF_WORDS
    return sure and (best.by is ReadBy.NET or WORDS.search(best.text) is not None)


def _quad(spot: TextSpot) -> tuple[Point, Point, Point, Point]:
    turn = math.radians(spot.angle)
    ux, uy = math.cos(turn) * spot.length / 2, -math.sin(turn) * spot.length / 2
    nx, ny = math.sin(turn) * spot.height / 2, math.cos(turn) * spot.height / 2
    c = spot.centre
    return (
        Point(c.x - ux - nx, c.y - uy - ny),
        Point(c.x + ux - nx, c.y + uy - ny),
        Point(c.x + ux + nx, c.y + uy + ny),
        Point(c.x - ux + nx, c.y - uy + ny),
    )


def readings_of(seen: SeenPicture, *, unit: Unit | None) -> tuple[Reading, ...]:
    """What each text of a picture was read as, boxes in px of the ground."""
    return tuple(
        vote(votes, box=spot.box, angle=spot.angle, unit=unit) or _unread(spot)
        for spot, votes in zip(seen.spots, seen.votes, strict=True)
    )


def _unread(spot: TextSpot) -> Reading:
    """Say that a text is there, though nobody could read it."""
    return Reading(
        text="?",
        callout=None,
        confidence=0.0,
        by=ReadBy.NET,
        box=spot.box,
        angle=spot.angle,
        doubt="nothing here could read it",
    )


def find_all(
    seen: SeenPicture,
    lines: Sequence[TextLine],
    readings: Sequence[Reading],
    *,
    sheet: Sheet,
    unit: Unit | None = None,
) -> FoundPage:
    """Find the dimensions and views of a picture that was looked at, in the sheet's frame.

    Parameters
    ----------
    seen : SeenPicture
    lines : sequence of TextLine
        Its texts, px of the ground.
    readings : sequence of Reading
        What each was read as.
    sheet : Sheet
    unit : Unit or None
        What a bare number counts.
    """
    found = find_in_picture(
        seen.ground.image.pixels,
        seen.maps,
        lines,
        readings,
        px_per_mm=seen.px_per_mm,
        sheet=sheet.id,
        upright=seen.upright,
        traced=seen.traced,
    )
    dimensions = look_again(seen, found.dimensions, unit=unit)
    dimensions = find_lone_signs(
        dimensions, seen.ground.image.pixels, seen.spots, seen.readers, unit=unit
    )
    dimensions = sizes_on_lines(join_stacked_rows(dimensions, readings, unit=unit), unit=unit)
    dimensions = settle_signs(dimensions, unit=unit, upright=seen.upright)
    dimensions = doubt_seen(dimensions, found.leftover, seen.ground.image.pixels)
    dimensions = doubt_cut_short(dimensions, seen.spots, seen.maps)
    dimensions = doubt_unsteady(dimensions, seen.ground.image.pixels, seen.spots, seen.readers)
    dimensions = doubt_half_fractions(dimensions, seen.ground.image.pixels)
    dimensions = trust_centred(dimensions)  # before what a blank line takes back
    dimensions = doubt_blank_lines(dimensions, seen.ground.image.pixels, px_per_mm=seen.px_per_mm)
    dimensions = hand_outside_texts(dimensions)
    dimensions = doubt_tiny(dimensions, px=1.0 / seen.ground.finer)
    to_frame = seen.ground.image.to_frame
    return FoundPage(
        dimensions=tuple(_dimension_in_frame(d, seen.ground) for d in dimensions),
        leftover=tuple(line_in_frame(t, to_frame) for t in found.leftover),
        views=tuple(_view_in_frame(v, to_frame) for v in found.views),
    )


def _dimension_in_frame(dimension: Dimension, ground: SnapGround) -> Dimension:
    reading, to_frame = dimension.reading, ground.image.to_frame
    return replace(
        dimension,
        ends=tuple(end_in_frame(end, ground) for end in dimension.ends),
        line=tuple(to_frame.apply(p) for p in dimension.line),
        reading=None if reading is None else _reading_in_frame(reading, to_frame),
    )


def _reading_in_frame(reading: Reading, to_frame: Transform) -> Reading:
    """Bring a reading over; on a sheet that is stored mirrored its text runs the other way."""
    over = float(np.linalg.det(to_frame.jacobian(reading.box.centre))) < 0
    angle = math.remainder(180.0 - reading.angle, 360.0) if over else reading.angle
    return replace(reading, box=_box(reading.box, to_frame), angle=angle)


def _view_in_frame(view: View, to_frame: Transform) -> View:
    return replace(view, box=_box(view.box, to_frame))


def line_in_frame(line: TextLine, to_frame: Transform) -> TextLine:
    """Bring a text line from px of the ground into the sheet's frame."""
    a, b, c, d = (to_frame.apply(p) for p in line.quad)
    stretch = math.sqrt(abs(float(np.linalg.det(to_frame.jacobian(line.centre)))))
    return replace(
        line, box=_box(line.box, to_frame), quad=(a, b, c, d), height=line.height * stretch
    )


def _box(box: Box, to_frame: Transform) -> Box:
    return Box.around([to_frame.apply(corner) for corner in box.corners])
