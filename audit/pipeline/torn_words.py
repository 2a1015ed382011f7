"""Words in large letters of which the network saw only pieces: joined by their ink, and read anew.

The page network knows lettering of the size that dimensions have. Of a title it may see one word
whole and of the next a stroke of a letter, which would then be asked about as a size.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from audit.geometry import Box
from audit.pipeline.inked import find_ink
from audit.pipeline.turned_texts import Votes, worth
from audit.reading import Reader, TextSpot, hear_readers
from audit.reading.near import Gray, turn_upright

SURE = 0.9  # of a reading
LEAST_LETTERS = 3  # a word, and no figure with a sign
SMALLER = 0.85  # of the height of the letters: a piece of one is no higher
BESIDE = 4.0  # heights beyond a word within which a piece of the next one lies
WORD_GAP = 1.3  # heights between letters of one line
LETTER_HEIGHTS = (0.6, 1.2)  # of the word's height: so high are the letters beside it
IN_ROW = 0.7  # of a letter's height that lies beside the word
ROOM = 1.6  # heights of the strip that is looked at
MARGIN = 0.12  # of the height, kept around the ink


def mend_torn_words(
    gray: Gray, spots: Sequence[TextSpot], votes: Sequence[Votes], readers: Sequence[Reader]
) -> tuple[tuple[TextSpot, ...], tuple[Votes, ...]]:
    """Make words whole of which doubtful pieces lie beside a sure one.

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
        Pieces that a whole line of words holds are gone.
    tuple of tuple of Candidate
        What the readers say of each.
    """
    mended, said = list(spots), list(votes)
    gone: set[int] = set()
    words = dict.fromkeys(k for k, heard in enumerate(votes) if _is_word(heard))
    doubtful = [j for j, heard in enumerate(votes) if worth(heard) < SURE and j not in words]
    for k in words:
        spot = spots[k]
        pieces = [j for j in doubtful if j not in gone and _lies_beside(spots[j], spot)]
        if not pieces:
            continue
        whole = _whole_line(gray, spot)
        (heard,) = hear_readers([whole.crop], readers[:1])
        held = {j for j in pieces if whole.box.contains(spots[j].centre)}
        if held and _is_word(heard) and len(heard[0].text) > len(votes[k][0].text):
            mended[k], said[k] = whole, heard
            gone |= held
    kept = [k for k in range(len(spots)) if k not in gone]
    return tuple(mended[k] for k in kept), tuple(said[k] for k in kept)


def _is_word(votes: Votes) -> bool:
    if not votes or votes[0].confidence < SURE:
        return False
    text = votes[0].text
    return sum(c.isalpha() for c in text) >= LEAST_LETTERS and not any(c.isdigit() for c in text)


def _lies_beside(piece: TextSpot, word: TextSpot) -> bool:
    """Whether a text lies in the line of a word, no higher than its letters and soon beyond it."""
    if piece is word or piece.height > SMALLER * word.height:
        return False
    turn = math.radians(word.angle)
    dx, dy = piece.centre.x - word.centre.x, piece.centre.y - word.centre.y
    along, up = (
        dx * math.cos(turn) - dy * math.sin(turn),
        -dx * math.sin(turn) - dy * math.cos(turn),
    )
    beyond = abs(along) - word.length / 2
    return abs(up) < word.height / 2 and 0.0 < beyond < BESIDE * word.height


def _whole_line(gray: Gray, word: TextSpot) -> TextSpot:
    """Cut a word with all letters of its height that follow it on both sides."""
    reach = 2 * BESIDE * word.height
    width, height = word.length + 2 * reach, ROOM * word.height
    strip, back = turn_upright(gray, word.centre, angle=word.angle, width=width, height=height)
    rows, columns = strip.shape
    row = Box(
        (columns - word.length) / 2,
        (rows - word.height) / 2,
        (columns + word.length) / 2,
        (rows + word.height) / 2,
    )
    line = row
    waiting = [b for b in _letters(strip) if _is_beside(b, row)]
    while near := [b for b in waiting if _gap(b, line) <= WORD_GAP * word.height]:
        line = Box.around([c for b in (line, *near) for c in b.corners])
        waiting = [b for b in waiting if b not in near]
    cut = line.grown(max(2.0, MARGIN * line.height))
    y0, x0 = max(0, int(cut.y0)), max(0, int(cut.x0))
    corners = [back[:, :2] @ np.array(c) + back[:, 2] for c in line.corners]
    box = Box.around([(float(x), float(y)) for x, y in corners])
    return replace(
        word,
        box=box,
        crop=np.ascontiguousarray(strip[y0 : math.ceil(cut.y1), x0 : math.ceil(cut.x1)]),
        centre=box.centre,
        length=line.width,
        height=line.height,
    )


def _letters(strip: Gray) -> list[Box]:
    """Boxes of what is inked in one piece."""
    ink = find_ink(strip).astype(np.uint8)
    count, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    return [Box(x, y, x + w, y + h) for x, y, w, h, _ in stats[1:count].tolist()]


def _is_beside(letter: Box, row: Box) -> bool:
    low, high = (share * row.height for share in LETTER_HEIGHTS)
    common = min(letter.y1, row.y1) - max(letter.y0, row.y0)
    return low <= letter.height <= high and common >= IN_ROW * letter.height


def _gap(letter: Box, line: Box) -> float:
    return max(letter.x0 - line.x1, line.x0 - letter.x1, 0.0)
