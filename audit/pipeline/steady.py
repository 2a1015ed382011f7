"""Surely read sizes that lines touch, cut once more a little wider: the two readings must agree.

A line that runs through a figure makes another of it, and how it looks to a reader hangs on a pixel
of the crop: R 9/16 read as R 3/16 is sure in one cut and gone in the next. Figures that nothing
touches read alike in every cut. What a size measures plays no part.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from audit.lengths import parse_callouts
from audit.pipeline.cut_short import spot_of
from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.pipeline.inked import find_ink
from audit.reading import Reader, TextSpot, hear_readers
from audit.reading.find_text import MARGIN
from audit.reading.near import Gray, turn_upright
from audit.reading.readers import DISAGREED_CAP
from audit.records import Dimension
from audit.records.doubts import CUT_OTHERWISE

HEARD = 0.4  # of the other cut: less says nothing
LIKE_LINES = frozenset("1/'.")  # what a line, or a piece of one, looks like
HIGHER_PX = 6.0  # of the other cut
_FIGURES = re.compile(r"(?<!\d)\.(?!\d)|['′](?!\s*-?\s*\d)|[^\d./'′]")


def doubt_unsteady(
    dimensions: Sequence[Dimension],
    gray: Gray,
    spots: Sequence[TextSpot],
    readers: Sequence[Reader],
) -> tuple[Dimension, ...]:
    """Doubt sizes that lines touch and that read otherwise in a slightly higher cut.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, in its px.
    gray : (h, w) uint8 array
        The picture.
    spots : sequence of TextSpot
        All its texts.
    readers : sequence of Reader
        The surest first, who is asked.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    crops = {
        k: crop for k, d in enumerate(dimensions) if (crop := _touched(d, gray, spots)) is not None
    }
    heard = hear_readers(list(crops.values()), readers[:1])
    result = list(dimensions)
    for k, said in zip(crops, heard, strict=True):
        reading = dimensions[k].reading
        if reading is None or not said or said[0].confidence < HEARD:
            continue
        other = said[0].text
        if _is_another(figures(other), figures(reading.text)) and parse_callouts(other, unit=None):
            why = f"{CUT_OTHERWISE}{other}"
            result[k] = doubt_size(dimensions[k], reading, why)
    return tuple(result)


def figures(text: str) -> str:
    """Figures of a text with what parts them: signs and marks of inches are left out.

    Examples
    --------
    >>> [figures(text) for text in ("R. 1/8", "1'-5 1/2", ".23", "Ø 45.5'")]
    ['1/8', "1'51/2", '.23', '45.5']
    """
    return _FIGURES.sub("", text)


def _is_another(other: str, own: str) -> bool:
    """Whether a cut says another number, and not what is left of it without some figures.

    Only what a line may be can be too much in the first one: 17 that reads as 7 is another number,
    7/8 that reads as 7 has lost its end.

    Examples
    --------
    >>> [_is_another("7", own) for own in ("17", "7/8", "7", "3")], _is_another("7/8", "7")
    ([True, False, False, True], True)
    """
    before, found, behind = own.partition(other) if other else (own, "", "")
    lost = set(before) | set(behind)
    return not found or bool(lost and lost <= LIKE_LINES)


def _touched(dimension: Dimension, gray: Gray, spots: Sequence[TextSpot]) -> Gray | None:
    """Cut a surely read text a little higher; `None` where no line reaches into that cut."""
    reading = unconfirmed(dimension)
    if reading is None or reading.confidence <= DISAGREED_CAP:
        return None
    spot = spot_of(reading.box, spots)
    if spot is None:
        return None
    room = 2 * max(2.0, MARGIN * spot.height)
    crop, _ = turn_upright(
        gray,
        spot.centre,
        angle=spot.angle,
        width=spot.length + room,
        height=spot.height + room + HIGHER_PX,
    )
    return crop if _reaches_edge(crop) else None


def _reaches_edge(crop: Gray) -> bool:
    """Whether ink meets the edge of a crop."""
    ink = find_ink(crop)
    return bool(ink[[0, -1]].any() or ink[:, [0, -1]].any())
