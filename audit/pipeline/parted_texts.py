"""Texts that run into each other over a chain, parted where the parts read as sizes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from audit.dimensions.raster_page import TracedPage
from audit.dimensions.raster_parting import part_at_lines
from audit.lengths import parse_callouts
from audit.reading import Reader, TextSpot
from audit.records import Dimension, DimensionKind

SAID = 0.3  # of a reading: what is said less surely is nothing
PARALLEL = 0.98  # cosine between a text and its line
OVER_END = 0.2  # of a text's length, between its middle and an end of its line
BESIDE = 2.0  # text heights from the line
LONGEST_ALONE = 1.5  # heights: shorter texts are one
DOUBTED = 0.5


def part_texts(
    gray: np.ndarray[tuple[int, ...], np.dtype[np.uint8]],
    spots: Sequence[TextSpot],
    traced: TracedPage,
    readers: Sequence[Reader],
) -> tuple[TextSpot, ...]:
    """Part texts at the marked lines between them.

    Parameters
    ----------
    gray : (h, w) uint8 array
    spots : sequence of TextSpot
        Texts of the picture.
    traced : TracedPage
        Its strokes and terminators.
    readers : sequence of Reader
        The surest first; without any, texts stay as they are.

    Returns
    -------
    tuple of TextSpot
        In the same order. A text is parted where two parts or more read as sizes, and none as
        anything else: a line may as well run through a note.
    """
    if not readers:
        return tuple(spots)
    parted = part_at_lines(gray, spots, traced)
    asked = [part for parts in parted if len(parts) > 1 for part in parts]
    said = iter(readers[0].read([part.crop for part in asked]) if asked else ())
    settled: list[TextSpot] = []
    for spot, parts in zip(spots, parted, strict=True):
        if len(parts) == 1:
            settled.append(spot)
            continue
        heard = [next(said) for _ in parts]
        texts = [votes[0].text for votes in heard if votes and votes[0].confidence > SAID]
        sizes = [bool(parse_callouts(text, unit=None)) for text in texts]
        settled += parts if len(sizes) > 1 and all(sizes) else (spot,)
    return tuple(settled)


def doubt_joint_texts(dimensions: Iterable[Dimension]) -> tuple[Dimension, ...]:
    """Doubt readings of texts whose middle stands over an end of their own dimension.

    ``150 | 150`` over two links of a chain is read as one number where nothing parted it; a text
    stands between the ends of its line, or past one of them.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one picture.

    Returns
    -------
    tuple of Dimension
        The same, with a doubt where two texts may have run into each other.
    """
    return tuple(_doubting(d) for d in dimensions)


def _doubting(dimension: Dimension) -> Dimension:
    reading = dimension.reading
    if reading is None or reading.confirmed or len(dimension.ends) != 2:
        return dimension
    a, b = (end.point for end in dimension.ends)
    far = a.distance(b)
    if dimension.kind is not DimensionKind.DISTANCE or far == 0:
        return dimension
    ux, uy = (b.x - a.x) / far, (b.y - a.y) / far
    turn = math.radians(reading.angle)
    if abs(ux * math.cos(turn) - uy * math.sin(turn)) < PARALLEL:
        return dimension
    along = [(p[0] - a.x) * ux + (p[1] - a.y) * uy for p in reading.box.corners]
    aside = [(p[1] - a.y) * ux - (p[0] - a.x) * uy for p in reading.box.corners]
    length, height = max(along) - min(along), max(aside) - min(aside)
    middle = (max(along) + min(along)) / 2
    over = min(abs(middle), abs(middle - far)) < OVER_END * length
    beside = abs(max(aside) + min(aside)) / 2 < BESIDE * height
    if not (over and beside and length > LONGEST_ALONE * height):
        return dimension
    confidence = min(reading.confidence, DOUBTED)
    doubt = reading.doubt or "two texts may have run into each other"
    return replace(dimension, reading=replace(reading, confidence=confidence, doubt=doubt))
