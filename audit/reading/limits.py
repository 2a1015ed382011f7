"""Limits of a size, the larger over the smaller: one text, though it stands in two rows."""

from __future__ import annotations

import re
from collections import Counter

from audit.reading.words import SAME_SIZE, Walls, Word

APART = 0.95  # letter heights between the rows; two sizes on two dimension lines stand wider apart
CENTRED = 0.6  # of the font size, between the ends or the middles of both rows
WIDEST = 0.05  # of a size, from limit to limit: wider ones are two sizes
_SIGNS, _MARKS = "RØ⌀∅ ", '"”″'
_LIMIT = re.compile(rf"[{_SIGNS}]*\d*\.\d+[{_MARKS}]?")


def join_limits(lines: list[Word], walls: Walls) -> list[Word]:
    """Make one line of two rows that are the limits of one size, upper and lower.

    The two read ``upper/lower``. Rows with a drawn line between them are two sizes, and rows of a
    column of numbers are none.
    """
    numbers = [k for k, line in enumerate(lines) if _LIMIT.fullmatch(line.text)]
    pairs = [(i, j) for i in numbers for j in numbers if _are_rows(lines[i], lines[j], walls)]
    used = Counter(k for pair in pairs for k in pair)
    alone = [pair for pair in pairs if used[pair[0]] == used[pair[1]] == 1]
    gone = {k for pair in alone for k in pair}
    kept = [line for k, line in enumerate(lines) if k not in gone]
    return kept + [_over(lines[i], lines[j]) for i, j in alone]


def _are_rows(upper: Word, lower: Word, walls: Walls) -> bool:
    return upper is not lower and are_limits(upper, lower) and not walls.under(upper, lower)


def are_limits(upper: Word, lower: Word) -> bool:
    """Whether one number stands close over another that is little smaller."""
    if abs(upper.size - lower.size) > SAME_SIZE * upper.size:
        return False
    gap = lower.top - upper.base
    if not -0.1 * upper.cap < gap < APART * upper.cap:
        return False
    off = min(
        abs(upper.x0 - lower.x0),
        abs(upper.x1 - lower.x1),
        abs(upper.x0 + upper.x1 - lower.x0 - lower.x1) / 2,
    )
    if off > CENTRED * upper.size:
        return False
    (first, high), (second, low) = _parts(upper.text), _parts(lower.text)
    if second not in ("", first):
        return False
    more, less = float(high), float(low)
    return less < more <= (1 + WIDEST) * less and _places(high) == _places(low)


def _parts(text: str) -> tuple[str, str]:
    """Sign before a number, and the number."""
    number = text.lstrip(_SIGNS)
    return text[: len(text) - len(number)].strip(), number.rstrip(_MARKS)


def _places(number: str) -> int:
    return len(number.partition(".")[2])


def _over(upper: Word, lower: Word) -> Word:
    """Both rows as one word, as tall as both."""
    return Word(
        text=f"{upper.text}/{lower.text.lstrip(_SIGNS)}",
        x0=min(upper.x0, lower.x0),
        x1=max(upper.x1, lower.x1),
        top=upper.top,
        base=lower.base,
        size=upper.size,
        runs=[*upper.runs, *lower.runs],
        fraction=True,
    )
