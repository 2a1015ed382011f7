"""Which way up a crop is: text at any quarter turn, or slanted, brought upright before reading.

Some texts read as others when turned by half a turn (.091 and 160., 96 and 96). Both readings are
handed on; the way up that drawings are made to be read by counts as the likelier.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from audit.geometry.levels import level_at
from audit.networks.crops import Gray, find_ink, settle_polarity, tighten
from audit.networks.decoding import NetCandidate, merge_candidates
from audit.networks.reader import read_crops

# How likely a text stands at a turn at all, by quarter turns that bring it upright,
# counter-clockwise. Drawings are read from below or from the right (ISO 129-1, from memory).
WAYS = {0: 0.93, 3: 0.9, 1: 0.3, 2: 0.06}
# From here the first look at a level crop is believed without turning it.
BELIEVED = 0.9
# From here that it lies level is believed too, whatever its outline: no slanted text is so sure.
LEVEL = 0.97
# Crops higher than this many widths hold upright-running text, or a lone stack.
TALL = 1.25
# Of text so much wider than high, only a single thin character can stand at a quarter turn.
WIDE, WIDE_TURNED = 1.25, 0.3
# How likely a slant is that a crop's outline seems to have: leaning letters show one too. Where the
# same text is surer when it is levelled, it is slanted.
SLANTED = 0.8
# Slants under this are left to the network, which reads them (degrees).
LEAST_SLANT_DEG = 4.0
# Only crops this much longer than high show their slant well enough.
LEAST_ASPECT = 1.4
SMALLEST_PX = 8

# What was read at each slant (degrees) and way up (quarter turns).
Heard = dict[tuple[float, int], tuple[NetCandidate, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class Upright:
    """A crop brought upright.

    `angle` is the direction its text runs in, degrees, counter-clockwise as seen; `candidates`
    are what it says, best first, what it says upside down among them where that is possible.
    """

    picture: Gray
    angle: float
    candidates: tuple[NetCandidate, ...]


def read_any_turn(crops: Sequence[Gray]) -> tuple[Upright, ...]:
    """Read crops that may lie any way.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays

    Returns
    -------
    tuple of Upright
        In the same order; no candidates where nothing is printed.
    """
    heard: list[Heard] = [{(0.0, 0): said} for said in read_crops(crops)]
    tries: list[tuple[int, float, int]] = []
    for k, crop in enumerate(crops):
        if min(crop.shape, default=0) < SMALLEST_PX or _is_settled(crop, heard[k][0.0, 0]):
            continue
        slants = {0.0, measure_slant(crop)}
        tries += [(k, slant, way) for slant in slants for way in WAYS if slant or way]
    turned = [np.rot90(turn_level(crops[k], slant), way).copy() for k, slant, way in tries]
    # a try that turns out well is read again, with all care
    for (k, slant, way), said in zip(tries, read_crops(turned, clear=False), strict=True):
        heard[k][slant, way] = said
    return tuple(_decide(crop, said) for crop, said in zip(crops, heard, strict=True))


def _is_settled(crop: Gray, said: Sequence[NetCandidate]) -> bool:
    """Whether the first look at the level crop is enough."""
    if not said:
        return False
    tall = crop.shape[0] > TALL * crop.shape[1]
    if said[0].confidence < BELIEVED or tall or looks_turnable(said[0].text):
        return False
    return said[0].confidence >= LEVEL or measure_slant(crop) == 0.0


def looks_turnable(text: str) -> bool:
    """Whether a text may be another one upside down.

    Examples
    --------
    >>> looks_turnable(".091"), looks_turnable("3 5/8")
    (True, False)
    """
    return len(text) > 1 and set(text) <= set("01689HINOSXZ .,-/")


def _decide(crop: Gray, heard: Heard) -> Upright:
    """Weigh the ways up by how likely they are and how sure each reading is."""
    turned = WIDE_TURNED if len(heard) > 1 and _is_wide(crop) else 1.0
    level = heard.get((0.0, 0), ())[:1]
    weighed = {
        (slant, way): WAYS[way]
        * said[0].confidence
        * (_slanted(level, said) if slant else turned if way % 2 else 1.0)
        for (slant, way), said in heard.items()
        if said
    }
    if not weighed:
        return Upright(crop, 0.0, ())
    slant, way = max(weighed, key=lambda how: weighed[how])
    opposite = (slant, (way + 2) % 4)
    share = weighed[slant, way] / (weighed[slant, way] + weighed.get(opposite, 0.0))
    found = [NetCandidate(c.text, c.confidence * share) for c in heard[slant, way]]
    found += [NetCandidate(c.text, c.confidence * (1 - share)) for c in heard.get(opposite, ())]
    angle = (slant - 90.0 * way + 180.0) % 360.0 - 180.0
    picture = np.rot90(turn_level(crop, slant), way).copy() if slant or way else crop
    return Upright(picture, angle, merge_candidates(found))


def _slanted(level: Sequence[NetCandidate], levelled: Sequence[NetCandidate]) -> float:
    """How likely a slant is, by what was read as the crop lies and levelled."""
    same = bool(level) and level[0].text == levelled[0].text
    return 1.0 if same and levelled[0].confidence > level[0].confidence else SLANTED


def _is_wide(crop: Gray) -> bool:
    """Whether the text in a crop runs along rather than up, by its shape alone."""
    height, width = tighten(settle_polarity(crop)).shape
    return bool(width >= WIDE * height)


def measure_slant(crop: Gray) -> float:
    """Direction of a slanted line of text, degrees, counter-clockwise; 0 when it is near level."""
    if min(crop.shape, default=0) < SMALLEST_PX:
        return 0.0
    ink = find_ink(settle_polarity(crop))
    if ink is None:
        return 0.0
    ys, xs = np.nonzero(ink)
    hull = cv2.convexHull(np.column_stack([xs, ys]).astype(np.int32))
    _, (a, b), turn = cv2.minAreaRect(hull)
    if min(a, b) < 1 or max(a, b) < LEAST_ASPECT * min(a, b):
        return 0.0
    long_way = -turn if a >= b else -turn - 90.0
    angle = (long_way + 90.0) % 180.0 - 90.0
    near_axis = min(abs(angle), 90.0 - abs(angle))
    return angle if near_axis >= LEAST_SLANT_DEG else 0.0


def turn_level(crop: Gray, slant: float) -> Gray:
    """Turn a crop so that text slanted by `slant` runs level; paper fills the corners."""
    if slant == 0.0:
        return crop
    height, width = crop.shape
    matrix = cv2.getRotationMatrix2D((width / 2, height / 2), -slant, 1.0)
    cos, sin = abs(matrix[0, 0]), abs(matrix[0, 1])
    size = (round(width * cos + height * sin), round(width * sin + height * cos))
    matrix[:, 2] += (size[0] / 2 - width / 2, size[1] / 2 - height / 2)
    paper = level_at(crop, 90)
    turned = cv2.warpAffine(
        crop, matrix, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_CONSTANT, borderValue=paper
    )
    return np.asarray(turned, np.uint8)
