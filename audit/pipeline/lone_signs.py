"""An R, Ø or whole number a letter away from the rest of its size: joined, and read as one text.

Wide letters, as a typewriter's, leave so much room before a number that its sign is found as a text
of its own, and of ``6 1/2`` the 6. The rest alone would then be another size.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.pipeline.cut_short import spot_of
from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.pipeline.inked import find_ink
from audit.pipeline.turned_texts import Votes, worth
from audit.reading import Reader, TextSpot, hear_readers, vote
from audit.reading.near import Gray, turn_upright
from audit.records import Dimension, DimensionKind

SURE = 0.9  # of a lone letter: then it is what it reads, and no sign that a line crosses
HEARD = 0.5  # of the two as one, and of the number: less is no better than the number alone
BARE = re.compile(r"^[.\d][\d\s./⁄'′\"″-]*$")
FRACTION = re.compile(r"^\d{1,2}[/⁄]\d{1,2}(?!\d)")
WHOLE = re.compile(r"^(?:\d+['′]\s*-?\s*)?\d{1,2}$")
SIGNED = re.compile(r"^\s*([RØ])\s*(.*)$")
BEFORE = (0.2, 2.4)  # heights from the number's first figure back to the middle of its sign
SPACE = (0.2, 1.4)  # heights between a whole number and its fraction: a typewriter's space
ALIKE = 2.4  # times as high as a whole number a stacked fraction is, at most
BETWEEN = 0.9  # of a crop's height: ink so high in the gap is a line that parts two sizes
OFF_LINE = 0.75  # heights across: a line that crosses a sign pulls its middle aside
MOST_LONG = (
    2.8  # heights of the number: a lone sign is no longer, not even cut together with a line
)
SAME_DEG = 4.0  # between the directions of both
LOOKED = (1.8, 2.4)  # heights before a number: where a sign begins, in narrow and wide letters
SIGNS = {DimensionKind.RADIUS: "R", DimensionKind.DIAMETER: "Ø"}
HALF_SIGN = 0.75  # heights from its middle to its edge
MARGIN = 0.12  # of the height, kept around the ink


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """A number and a text before it, by their places; `back` from its middle to that one's edge.

    `said` is what both say together, but for a sign that is still to be read.
    """

    number: int
    sign: int
    back: float
    said: str


def join_lone_signs(
    gray: Gray, spots: Sequence[TextSpot], votes: Sequence[Votes], readers: Sequence[Reader]
) -> tuple[tuple[TextSpot, ...], tuple[Votes, ...]]:
    """Join signs to the numbers behind them, where the two read as one say the same number.

    Parameters
    ----------
    gray : (h, w) uint8 array
        The picture.
    spots : sequence of TextSpot
        Its texts.
    votes : sequence of tuple of Candidate
        What the readers say of each.
    readers : sequence of Reader
        The surest first.

    Returns
    -------
    tuple of TextSpot
        Signs that were joined are gone.
    tuple of tuple of Candidate
        What the readers say of each.
    """
    pairs = _pairs(spots, votes)
    joined = [_joined(gray, spots[p.number], p.back) for p in pairs]
    heard = hear_readers([spot.crop for spot in joined], readers[:1])
    mended, said = list(spots), list(votes)
    gone: set[int] = set()
    for pair, spot, read in zip(pairs, joined, heard, strict=True):
        if pair.sign not in gone and _says(read, pair.said) and not _is_parted(spot, pair, spots):
            mended[pair.number], said[pair.number] = spot, read
            gone |= _held(spot, spots, votes) | {pair.sign}
    kept = [k for k in range(len(spots)) if k not in gone]
    return tuple(mended[k] for k in kept), tuple(said[k] for k in kept)


def find_lone_signs(
    dimensions: Sequence[Dimension],
    gray: Gray,
    spots: Sequence[TextSpot],
    readers: Sequence[Reader],
    *,
    unit: Unit | None,
) -> tuple[Dimension, ...]:
    """Look before the bare numbers of circles and arcs for a sign that was not seen as a text.

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
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    tuple of Dimension
        In the same order; those whose number reads the same with the sign of their kind before it
        have it.
    """
    cuts = [
        (k, _joined(gray, number, number.length / 2 + far * number.height))
        for k, dimension in enumerate(dimensions)
        if (number := _unsigned(dimension, spots)) is not None
        for far in LOOKED
    ]
    heard = hear_readers([spot.crop for _, spot in cuts], readers[:1])
    result = list(dimensions)
    for (k, spot), said in zip(cuts, heard, strict=True):
        own = result[k].reading
        if own is None or SIGNED.match(own.text) or not _says(said, own.text):
            continue
        signed = vote(said, box=spot.box, angle=spot.angle, unit=unit)
        if signed is not None and signed.text.strip()[:1] == SIGNS[result[k].kind]:
            read = replace(result[k], reading=signed)
            result[k] = doubt_size(read, signed, own.doubt) if own.doubt else read
    return tuple(result)


def _unsigned(dimension: Dimension, spots: Sequence[TextSpot]) -> TextSpot | None:
    """Find the text of a circle's or an arc's size that is a bare number."""
    reading = unconfirmed(dimension)
    if reading is None or dimension.kind not in SIGNS or dimension.sweep is None:
        return None
    if reading.confidence < HEARD or BARE.match(reading.text) is None:
        return None
    return spot_of(reading.box, spots)


def _pairs(spots: Sequence[TextSpot], votes: Sequence[Votes]) -> list[_Pair]:
    numbers = [k for k, heard in enumerate(votes) if _is_bare(heard)]
    firsts = [j for j, heard in enumerate(votes) if _may_be_sign(heard) or _is_whole(heard)]
    pairs = []
    for k in numbers:
        text = votes[k][0].text
        for j in firsts:
            if j == k:
                continue
            back = _edge_of_sign(spots[j], spots[k]) if _may_be_sign(votes[j]) else None
            if back is not None:
                pairs.append(_Pair(number=k, sign=j, back=back, said=text))
            whole = _edge_of_whole(spots[j], spots[k]) if FRACTION.match(text) else None
            if whole is not None and _is_whole(votes[j]):
                said = f"{votes[j][0].text} {text}"
                pairs.append(_Pair(number=k, sign=j, back=whole, said=said))
    return pairs


def _is_bare(votes: Votes) -> bool:
    return worth(votes) >= HEARD and BARE.match(votes[0].text) is not None


def _is_whole(votes: Votes) -> bool:
    return worth(votes) >= HEARD and WHOLE.match(votes[0].text) is not None


def _may_be_sign(votes: Votes) -> bool:
    if not votes or len(votes[0].text.strip()) > 1:
        return False
    return votes[0].confidence < SURE or votes[0].text.strip() in "RØ"


def _from(number: TextSpot, other: TextSpot) -> tuple[float, float]:
    """How far before the middle of a number another text's is, and across; px."""
    turn = math.radians(number.angle)
    dx, dy = other.centre.x - number.centre.x, other.centre.y - number.centre.y
    back = dy * math.sin(turn) - dx * math.cos(turn)
    return back, dx * math.sin(turn) + dy * math.cos(turn)


def _edge_of_sign(sign: TextSpot, number: TextSpot) -> float | None:
    """From the middle of a number back to the edge of a lone sign in its line, px."""
    high = number.height
    if max(sign.length, sign.height) > MOST_LONG * high:
        return None
    back, across = _from(number, sign)
    low, most = (number.length / 2 + share * high for share in BEFORE)
    return back + HALF_SIGN * high if low < back < most and abs(across) < OFF_LINE * high else None


def _edge_of_whole(whole: TextSpot, number: TextSpot) -> float | None:
    """From the middle of a fraction back to the edge of a whole number in its line, px."""
    if abs(math.remainder(whole.angle - number.angle, 360.0)) > SAME_DEG:
        return None
    if not 1 / ALIKE < number.height / whole.height < ALIKE:
        return None
    back, across = _from(number, whole)
    gap = back - (whole.length + number.length) / 2
    low, most = (share * whole.height for share in SPACE)
    return back + whole.length / 2 if low < gap < most and abs(across) < whole.height / 2 else None


def _joined(gray: Gray, number: TextSpot, back: float) -> TextSpot:
    """Cut a number with what stands before it, from so far back."""
    high = number.height
    length = back + number.length / 2
    turn, off = math.radians(number.angle), number.length / 2 - length / 2
    x, y = number.centre
    centre = Point(x + off * math.cos(turn), y - off * math.sin(turn))
    room = max(2.0, MARGIN * high)
    crop, to_picture = turn_upright(
        gray, centre, angle=number.angle, width=length + 2 * room, height=high + 2 * room
    )
    h, w = crop.shape
    corners = ((room, room), (w - room, room), (room, h - room), (w - room, h - room))
    places = [to_picture[:, :2] @ np.array(c) + to_picture[:, 2] for c in corners]
    box = Box.around([(float(px), float(py)) for px, py in places])
    return replace(number, box=box, crop=crop, centre=centre, length=length)


def _says(joined: Votes, said: str) -> bool:
    """Whether a joined text says a number with a sign, or a whole number with its fraction."""
    if not joined or joined[0].confidence < HEARD:
        return False
    signed = SIGNED.match(joined[0].text)
    heard = joined[0].text if signed is None else signed[2]
    is_mixed = WHOLE.match(said.partition(" ")[0]) is not None and " " in said
    return "".join(heard.split()) == "".join(said.split()) and (is_mixed == (signed is None))


def _is_parted(whole: TextSpot, pair: _Pair, spots: Sequence[TextSpot]) -> bool:
    """Whether a line runs across between a whole number and a fraction: then they are two sizes."""
    number, first = spots[pair.number], spots[pair.sign]
    if SIGNED.match(pair.said) or " " not in pair.said:
        return False
    wide = whole.crop.shape[1]
    room = (wide - whole.length) / 2
    gap = find_ink(whole.crop)[:, int(room + first.length) : int(wide - room - number.length)]
    return gap.size > 0 and bool((gap.mean(axis=0) >= BETWEEN).any())


def _held(whole: TextSpot, spots: Sequence[TextSpot], votes: Sequence[Votes]) -> set[int]:
    """Places of lone letters in a joined text: a sign that a line crosses may be found twice."""
    return {k for k, spot in enumerate(spots) if _may_be_sign(votes[k]) and _is_in(spot, whole)}


def _is_in(spot: TextSpot, whole: TextSpot) -> bool:
    back, across = _from(whole, spot)
    return abs(back) < whole.length / 2 and abs(across) < OFF_LINE * whole.height
