"""Texts of neighbouring links that ran into each other."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from audit.dimensions.raster_page import TracedPage
from audit.dimensions.raster_parting import part_at_lines
from audit.lengths import parse_callouts
from audit.pipeline.doubting import doubt_size, measured_line, unconfirmed
from audit.reading import Reader, TextSpot
from audit.records import Candidate, Dimension

SAID = 0.3  # of a reading: what is said less surely is nothing
PARALLEL = 0.98  # cosine between a text and its line
OVER_END = 0.2  # of a text's length, between its middle and an end of its line
BESIDE = 2.0  # text heights from the line
LONGEST_ALONE = 1.5  # heights: shorter texts are one
_FRACTION = re.compile(r"\d+/\d+")
_WHOLE = re.compile(r"(?<![\d/.,])\d+$")  # at the end of a text
# a point within a number, a count before a size, inches after feet: one size, wherever it is cut
_ONE = re.compile(r"[.]\d|^\d+ ?[X×x] ?\d|' ?-? ?\d")


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
        anything else, as a line may run through a note; where each part stands in the middle of
        its link, one may read as anything. Where the lines end short of it, only a text that is no
        size as a whole is parted.
    """
    if not readers:
        return tuple(spots)
    parted = part_at_lines(gray, spots, traced)
    cut = [k for k, parts in enumerate(parted) if len(parts.spots) > 1]
    asked = [spot for k in cut for spot in (spots[k], *parted[k].spots)]
    said = iter(readers[0].read([spot.crop for spot in asked]) if asked else ())
    settled = [parts.spots[:1] for parts in parted]
    for k in cut:
        parts = parted[k]
        whole, *heard = (_best(next(said)) for _ in range(len(parts.spots) + 1))
        apart = are_sizes(whole, heard) or (parts.centred and _mostly_sizes(heard))
        apart &= parts.crossed or not parse_callouts(whole, unit=None)
        settled[k] = parts.spots if apart else (spots[k],)
    return tuple(spot for parts in settled for spot in parts)


def _best(votes: Sequence[Candidate]) -> str:
    """Return what is read most surely; nothing where it is not sure at all."""
    return votes[0].text if votes and votes[0].confidence > SAID else ""


def are_sizes(whole: str, parts: Sequence[str]) -> bool:
    """Whether the parts of a text are sizes of their own, and not one size cut through.

    Parameters
    ----------
    whole : str
        What the text reads as.
    parts : sequence of str
        What its parts read as, empty where they read as nothing.

    Returns
    -------
    bool

    Examples
    --------
    >>> (
    ...     are_sizes("50,50", ["50", "50"]),
    ...     are_sizes("500", ["5", "0"]),
    ...     are_sizes("25.00", ["25", "00"]),
    ... )
    (True, False, False)
    >>> [are_sizes(a + b, [a, b]) for a, b in (("12.", "5"), ("2X ", "50"), ("1'-", '6"'))]
    [False, False, False]
    >>> are_sizes("12.5", ["12", "5"]), are_sizes("1250", ["1", "250"])
    (False, False)
    >>> are_sizes(".875", [".8", "75"]), are_sizes('1 1/4"', ["11", '4"'])
    (False, False)
    >>> are_sizes("3 1/2", ["3", "1/2"]), are_sizes("3 1/2 3 1/2", ["3 1/2", "3 1/2"])
    (False, True)
    >>> are_sizes("R 3 1/2", ["R 3", "1/2"]), are_sizes("1/2 1/8", ["1/2", "1/8"])
    (False, True)
    >>> are_sizes("", ["300", "", "300"]), are_sizes("(2)-HE 300 B", ["(2)-HE 30", "0 B"])
    (True, False)
    """
    said = [part for part in parts if part]
    if len(said) < 2 or not all(parse_callouts(part, unit=None) for part in said):
        return False
    if any(part[0] == "0" and part[1:2].isdigit() for part in said):
        return False
    if any(_WHOLE.search(a) and _FRACTION.match(b) for a, b in pairwise(said)):
        return False  # as well a mixed number
    if parse_callouts(whole, unit=None) and (
        _ONE.search(whole)
        or (len(set(said)) > 1 and min(map(len, said)) == 1)
        or whole.count("/") > "".join(said).count("/")  # its slash was taken for the line
    ):
        return False
    # a line through a figure hides it from the parts, but hardly from the whole
    return not parse_callouts(whole, unit=None) or _figures(whole) == _figures("".join(said))


def _mostly_sizes(parts: Sequence[str]) -> bool:
    """Whether parts that stand like sizes of a chain read like them, but for one at most."""
    odd = sum(not parse_callouts(part, unit=None) for part in parts)
    return odd <= 1 and len(parts) - odd > 1


def _figures(text: str) -> str:
    return "".join(c for c in text if c.isdigit())


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
    reading, line = unconfirmed(dimension), measured_line(dimension)
    if reading is None or line is None:
        return dimension
    a, far, ux, uy = line
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
    return doubt_size(dimension, reading, "two texts may have run into each other")
