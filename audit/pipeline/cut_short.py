"""Sizes of which only a part was read: lettering goes on beyond their text, or stands over it.

A line through a figure, or a neighbour printed over it, parts a number: the rest then reads as a
size of its own, and surely. What the rest says plays no part, nobody could read it. Where another
text runs across right at the end of a number, and its paper was cleared for it, a figure may lie
under it of which nothing is left to see.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.networks.page import STRIDE, PageMaps
from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.reading import TextSpot
from audit.reading.find_text import TEXT_LEVEL
from audit.records import Dimension

# heights beyond the end of a text, in steps: nearer ones are its own edge, further ones a word away
ALONG = np.arange(0.3, 1.25, 0.1)
ACROSS = np.arange(-0.35, 0.4, 0.1)  # heights up and down, within its row
OTHERS = 0.4  # heights about other texts: the network's edge of theirs
SEEN = 0.65  # share of the places beyond an end; right texts of plans show up to .5
INK = 77  # of 255
INKED = 0.4  # share of the steps along with ink: a line that runs across has less, a figure more
SAME_PX = 0.5  # across and down, between the corners of a reading's box and its text's
WHY = "more lettering stands beside it that could not be read"
FIRST = 0.65  # heights beyond the end of a text, in which the next figure would stand
COVERED = 0.9  # share of that place within one other text
ACROSS_DEG = 45.0  # between the directions of texts that run across each other
WRITTEN_OVER = "another text is written where a figure of it may have stood"

Floats = NDArray[np.float64]


def doubt_cut_short(
    dimensions: Sequence[Dimension], spots: Sequence[TextSpot], maps: PageMaps
) -> tuple[Dimension, ...]:
    """Doubt readings that lettering goes on beyond, in no text or in one that runs across.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, in its px.
    spots : sequence of TextSpot
        All its texts.
    maps : PageMaps
        What the network saw on it.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    return tuple(_doubting(d, spots, maps) for d in dimensions)


def _doubting(dimension: Dimension, spots: Sequence[TextSpot], maps: PageMaps) -> Dimension:
    reading = unconfirmed(dimension)
    spot = None if reading is None else spot_of(reading.box, spots)
    if reading is None or spot is None:
        return dimension
    if goes_on(spot, spots, maps):
        return doubt_size(dimension, reading, WHY)
    over = is_written_over(spot, spots)
    return doubt_size(dimension, reading, WRITTEN_OVER) if over else dimension


def spot_of(box: Box, spots: Sequence[TextSpot]) -> TextSpot | None:
    """Find the text of a picture that has a box; `None` where a reading's box is none of theirs."""
    near = (s for s in spots if abs(s.box.x0 - box.x0) < SAME_PX)
    return next((s for s in near if abs(s.box.y0 - box.y0) < SAME_PX), None)


def goes_on(spot: TextSpot, spots: Sequence[TextSpot], maps: PageMaps) -> bool:
    """Whether lettering that is in no other text goes on before a text or behind it.

    Parameters
    ----------
    spot : TextSpot
    spots : sequence of TextSpot
        All texts of the picture.
    maps : PageMaps

    Returns
    -------
    bool
    """
    about = spot.box.grown(2 * spot.height)
    near = [s for s in spots if s is not spot and s.box.overlaps(about)]
    for side in (-1.0, 1.0):
        places = _beyond(spot, side)
        unread = _is_lettered(places, maps)
        for other in near:
            unread &= ~_is_in(places, other)
        if unread.mean() >= SEEN and _share_inked(places, maps) >= INKED:
            return True
    return False


def is_written_over(spot: TextSpot, spots: Sequence[TextSpot]) -> bool:
    """Whether a text that runs across fills the place right before a text or right behind it.

    Parameters
    ----------
    spot : TextSpot
    spots : sequence of TextSpot
        All texts of the picture.

    Returns
    -------
    bool
    """
    about = spot.box.grown(spot.height)
    across = [s for s in spots if _runs_across(s, spot) and s.box.overlaps(about)]
    return any(
        _is_in(_beyond(spot, side, ALONG[ALONG < FIRST]), other, room=0.0).mean() >= COVERED
        for side in (-1.0, 1.0)
        for other in across
    )


def _runs_across(one: TextSpot, other: TextSpot) -> bool:
    turn = abs((one.angle - other.angle + 90.0) % 180.0 - 90.0)
    return turn > ACROSS_DEG and one.length > one.height


def _share_inked(places: Floats, maps: PageMaps) -> float:
    """Share of the steps away from a text at which there is ink."""
    rows, columns = maps.dark.shape
    x, y = (places * maps.factor).astype(int).T
    on = (x >= 0) & (y >= 0) & (x < columns) & (y < rows)
    dark = on & (maps.dark[np.where(on, y, 0), np.where(on, x, 0)] > INK)
    return float(dark.reshape(len(ACROSS), len(ALONG)).any(axis=0).mean())


def _beyond(spot: TextSpot, side: float, steps: Floats = ALONG) -> Floats:
    """Places beyond one end of a text, (n, 2) px."""
    turn, high = math.radians(spot.angle), spot.height
    along, across = np.meshgrid(side * (spot.length / 2 + steps * high), ACROSS * high)
    x = spot.centre.x + along * math.cos(turn) + across * math.sin(turn)
    y = spot.centre.y - along * math.sin(turn) + across * math.cos(turn)
    return np.column_stack([x.ravel(), y.ravel()])


def _is_lettered(places: Floats, maps: PageMaps) -> NDArray[np.bool_]:
    cells = (places * maps.factor).astype(int) // STRIDE
    rows, columns = maps.text.shape
    on = (cells >= 0).all(axis=1) & (cells[:, 0] < columns) & (cells[:, 1] < rows)
    x, y = np.where(on[:, None], cells, 0).T
    return np.asarray(on & (maps.text[y, x] >= TEXT_LEVEL))


def _is_in(places: Floats, other: TextSpot, room: float = OTHERS) -> NDArray[np.bool_]:
    turn, room = math.radians(other.angle), room * other.height
    dx, dy = places[:, 0] - other.centre.x, places[:, 1] - other.centre.y
    along = dx * math.cos(turn) - dy * math.sin(turn)
    across = dx * math.sin(turn) + dy * math.cos(turn)
    inside = np.abs(along) < other.length / 2 + room
    return np.asarray(inside & (np.abs(across) < other.height / 2 + room))
