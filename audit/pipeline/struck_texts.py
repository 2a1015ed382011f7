"""Texts that lines run through on a picture: a line looks like a 1, and a 1 like a line."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np

from audit.geometry import Point
from audit.lengths import parse_callouts
from audit.pipeline.doubting import doubt_size, measured_line, unconfirmed
from audit.pipeline.whole_figures import show_every_figure
from audit.reading.near import Gray
from audit.records import Dimension, Reading
from audit.records.doubts import LIKE_A_ONE

SQUARE = 0.98  # cosine between a text and the dimension line, or the sheet's edge
REACH = 2.0  # text heights from the middle of a text to a dimension line above or under it
NEAR = 1.0  # characters between the line and the 1 it may be
SAME_END = 0.02  # of a dimension line's length: ends this near are one, and lines this near too
SMALL = 0.8  # of the usual height of a sheet's figures: those of stacked fractions are smaller
FEW = 4  # sizes in one row, that tell the usual height
_BARE = re.compile(r"\d{1,2}")
_ROW = re.compile(r"[RØ]? ?[\d.,'\"°-]*\d[\d.,'\"°-]*")


def doubt_struck_ones(
    dimensions: Sequence[Dimension], gray: Gray | None = None
) -> tuple[Dimension, ...]:
    """Doubt readings with a 1 where an extension line runs through their text.

    ``1'-10"`` over a link narrower than itself is read as ``11'-10"``.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture.
    gray : (h, w) uint8 array, optional
        The picture, their boxes in its px: where all figures stand apart from any line, none is
        doubted.

    Returns
    -------
    tuple of Dimension
        The same, with a doubt where the text without that 1 is a size as well.
    """
    lines = [line for d in dimensions if (line := measured_line(d)) is not None]
    return tuple(_doubting(d, _feet_past(d, lines), gray) for d in dimensions)


def _feet_past(
    dimension: Dimension, lines: Sequence[tuple[Point, float, float, float]]
) -> list[tuple[Point, float, float]]:
    """Ends of dimension lines whose extension lines may pass the text of a dimension.

    Shorter dimensions within its span stand nearer to the part: their extension lines end there.
    """
    own = measured_line(dimension)
    feet = []
    for a, far, ux, uy in lines:
        b = Point(a.x + far * ux, a.y + far * uy)
        if own is None or not _stands_within(own, (a, b)):
            feet += [(a, ux, uy), (b, ux, uy)]
    return feet


def _stands_within(own: tuple[Point, float, float, float], ends: tuple[Point, Point]) -> bool:
    """Whether a dimension line stands aside of another, along it, and is shorter."""
    start, far, ux, uy = own
    along = [(p.x - start.x) * ux + (p.y - start.y) * uy for p in ends]
    aside = [abs((p.y - start.y) * ux - (p.x - start.x) * uy) for p in ends]
    slack = SAME_END * far
    within = min(along) > -slack and max(along) < far + slack
    return within and max(along) - min(along) < far - slack and min(aside) > slack


def _doubting(
    dimension: Dimension, feet: Sequence[tuple[Point, float, float]], gray: Gray | None
) -> Dimension:
    reading = unconfirmed(dimension)
    if reading is None:
        return dimension
    ones = [k for k, c in enumerate(reading.text) if c == "1" and _is_size_without(reading.text, k)]
    if not ones:
        return dimension
    tx, ty = _way(reading)
    box, level = reading.box, abs(tx) > SQUARE
    if not level and abs(ty) < SQUARE:
        return dimension  # the box around a slanted text does not say where its letters are
    length, height = (box.width, box.height) if level else (box.height, box.width)
    middle = box.centre
    for foot, ux, uy in feet:
        dx, dy = foot.x - middle.x, foot.y - middle.y
        if abs(ux * tx + uy * ty) < SQUARE or abs(dy * tx - dx * ty) > REACH * height:
            continue
        at = ((dx * tx + dy * ty) / length + 0.5) * len(reading.text) - 0.5
        if any(abs(at - k) < NEAR for k in ones):
            if gray is not None and show_every_figure(reading, gray):
                return dimension
            return doubt_size(dimension, reading, LIKE_A_ONE)
    return dimension


def _is_size_without(text: str, k: int) -> bool:
    return bool(parse_callouts((text[:k] + text[k + 1 :]).strip(), unit=None))


def doubt_lone_denominators(dimensions: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Doubt whole numbers in figures as small as those of stacked fractions.

    The numerator of a stacked 1/8 that stands between two lines is easily taken for a line itself.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture.

    Returns
    -------
    tuple of Dimension
        The same, with a doubt where a number is lettered much smaller than the others are.
    """
    rows = [
        _height(d.reading)
        for d in dimensions
        if d.reading is not None and _ROW.fullmatch(d.reading.text) and _is_square(d.reading)
    ]
    if len(rows) < FEW:
        return tuple(dimensions)
    most = SMALL * float(np.median(rows))
    return tuple(
        doubt_size(d, reading, "it may be a part of a fraction")
        if (reading := unconfirmed(d)) is not None
        and _BARE.fullmatch(reading.text)
        and _is_square(reading)
        and _height(reading) < most
        else d
        for d in dimensions
    )


def _is_square(reading: Reading) -> bool:
    """Whether a text runs level or upright, so that its box tells how high its figures are."""
    level, upright = _way(reading)
    return max(abs(level), abs(upright)) > SQUARE


def _way(reading: Reading) -> tuple[float, float]:
    turn = math.radians(reading.angle)
    return math.cos(turn), -math.sin(turn)


def _height(reading: Reading) -> float:
    """Height of figures in one row, the way the text runs."""
    level = abs(math.cos(math.radians(reading.angle))) > math.sqrt(0.5)
    return reading.box.height if level else reading.box.width
