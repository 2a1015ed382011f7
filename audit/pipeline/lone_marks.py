"""Figures before a text that were not seen as text: of an inch mark by itself, or feet.

An upright 1 is a line to the network that finds texts, and a single figure may stand a little
before its mark. Nobody prints a mark without a number, and on a sheet with feet an inch size may
have some before it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audit.pipeline.turned_texts import Votes
from audit.reading import Reader, TextSpot, hear_readers
from audit.reading.find_text import tight_spots
from audit.reading.lone_strokes import FEW, heights_of_figures
from audit.reading.near import Gray, turn_upright
from audit.reading.readers import Glimpser
from audit.reading.room import hear_with_room

HEARD = 0.5  # of a text, and of a mark with the figures before it
SURE = 0.9  # of a size with feet
LOW = 0.7  # of the height of figures: a mark is no higher
FURTHER = 0.3  # of it: so far before a text another figure begins
# In heights of the sheet's figures: what is looked at before a mark and before a size, over and
# under the figures, behind the text, and how far the crop shows lines to run on beyond that.
BEFORE_MARK, BEFORE_SIZE, OVER, UNDER, BEHIND, AROUND = 1.7, 2.6, 0.12, 0.15, 0.12, 0.7
_MARK = re.compile(r"[\"'″′”’]+$")
_SIZE = re.compile(r"(?:\d+['′] ?-? ?)?\d+(?:[ -]\d+/\d+|/\d+)?[\"'″′]$")
_INCHES = re.compile(r"\d{1,2}(?: \d+/\d+)?[\"″]$")
_FEET = re.compile(r"\d+['′]-?")


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """The picture, and how high its figures are, px."""

    gray: Gray
    high: float


def find_before(
    gray: Gray, spots: Sequence[TextSpot], votes: Sequence[Votes], readers: Sequence[Reader]
) -> tuple[tuple[TextSpot, ...], tuple[Votes, ...]]:
    """Look for figures before marks by themselves, and for feet before inches.

    Parameters
    ----------
    gray : (h, w) uint8 array
        The picture.
    spots : sequence of TextSpot
        Its texts.
    votes : sequence of tuple of Candidate
        What the readers say of each.
    readers : sequence of Reader
        The surest first, who is asked.

    Returns
    -------
    tuple of TextSpot
        Texts with the figures before them; texts that those hold are gone.
    tuple of tuple of Candidate
        What the readers say of each.
    """
    heights = heights_of_figures(spots, votes)
    if not readers or len(heights) < FEW:
        return tuple(spots), tuple(votes)
    ground = _Ground(gray, float(np.median(heights)))
    feet = any(_has_feet(said) for said in votes)
    cuts = {
        k: whole
        for k, said in enumerate(votes)
        if _may_go_on(said, feet=feet) and (whole := _with_more(ground, spots[k], said)) is not None
    }
    cuts = {k: whole for k, whole in cuts.items() if _is_promising(votes[k], whole, readers[0])}
    as_cut = hear_readers([whole.crop for whole in cuts.values()], readers[:1])
    heard = hear_with_room([*cuts.values()], as_cut, readers[0])
    mended, said, gone = list(spots), list(votes), set[int]()
    for (k, whole), read in zip(cuts.items(), heard, strict=True):
        held = {j for j, spot in enumerate(spots) if j != k and whole.box.contains(spot.centre)}
        told = _told(votes[k], read)
        if k not in gone and told and all(_is_in(votes[j], told) for j in held):
            mended[k], said[k] = whole, told
            gone |= held
    kept = [k for k in range(len(spots)) if k not in gone]
    return tuple(mended[k] for k in kept), tuple(said[k] for k in kept)


def _has_feet(said: Votes) -> bool:
    return bool(said) and said[0].confidence >= SURE and _FEET.match(said[0].text) is not None


def _may_go_on(said: Votes, *, feet: bool) -> bool:
    if not said or said[0].confidence < HEARD:
        return False
    text = said[0].text.strip()
    return bool(_MARK.match(text) or (feet and _INCHES.match(text)))


def _is_promising(said: Votes, whole: TextSpot, reader: Reader) -> bool:
    """Whether a mark is looked at, or a glance at a size with what stands before it sees feet."""
    if _MARK.match(said[0].text.strip()) or not isinstance(reader, Glimpser):
        return True
    (seen,) = reader.glimpse([whole.crop])
    return any(_FEET.match(c.text) for c in seen)


def _told(before: Votes, said: Votes) -> Votes:
    """Return what a text says with the figures before it; nothing where it says another thing."""
    if not said or said[0].confidence < HEARD:
        return ()
    own, whole = _bare(before[0].text), _bare(said[0].text)
    if _MARK.match(own):
        return said if _SIZE.match(said[0].text) else ()
    more = whole.removesuffix(own)
    with_feet = more != whole and _FEET.fullmatch(more) and said[0].confidence >= SURE
    return said if with_feet else ()


def _bare(text: str) -> str:
    return "".join(text.split())


def _is_in(part: Votes, whole: Votes) -> bool:
    """Whether a text in the way says a part of what the whole one says, or nothing."""
    if not part or part[0].confidence < HEARD or _MARK.match(part[0].text):
        return True
    return _bare(part[0].text) in _bare(whole[0].text)


def _with_more(ground: _Ground, spot: TextSpot, said: Votes) -> TextSpot | None:
    """Cut a text with what stands before it, if anything does."""
    high = ground.high
    if _MARK.match(said[0].text):
        if spot.height > LOW * high:
            return None
        return _cut(ground, spot, before=BEFORE_MARK * high, high=high)
    whole = _cut(ground, spot, before=BEFORE_SIZE * high, high=spot.height)
    return whole if whole and whole.length > spot.length + FURTHER * high else None


def _cut(ground: _Ground, spot: TextSpot, *, before: float, high: float) -> TextSpot | None:
    """Cut a text with what stands up to so far before it, in a row so high from its top, px."""
    over, under, aside, around = (s * ground.high for s in (OVER, UNDER, BEHIND, AROUND))
    width, height = spot.length + before + 2 * aside, high + over + under + 2 * around
    turn, down = math.radians(spot.angle), (high - spot.height + under - over) / 2
    x, y = -before / 2, down
    centre = spot.centre.moved(
        x * math.cos(turn) + y * math.sin(turn), y * math.cos(turn) - x * math.sin(turn)
    )
    crop, back = turn_upright(ground.gray, centre, angle=spot.angle, width=width, height=height)
    mask = np.zeros(crop.shape, np.bool_)
    mask[round(around) : len(mask) - round(around), round(aside) :] = True
    found = tight_spots(crop, mask, back, angle=spot.angle)
    return next((one for one in found if one.box.contains(spot.centre)), None)
