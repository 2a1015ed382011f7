"""Two rows that are one size: its limits, the larger over the smaller, or its two units."""

from __future__ import annotations

import re
from collections import Counter

import numpy as np
from numpy.typing import NDArray

from audit.reading.words import SAME_SIZE, Walls, Word

APART = 0.95  # letter heights between limits; two sizes on two dimension lines stand wider apart
ACROSS = 2.2  # letter heights between two units: the dimension line may run between them
CENTRED = 0.6  # of the font size, between the ends or the middles of both rows
WIDEST = 0.05  # of a size, from limit to limit: wider ones are two sizes
MM_IN_INCH = 25.4
LEAST_PLACES = 2  # of inches: coarser ones may be 25.4 times another size by chance
_SIGNS, _MARKS = "RØ⌀∅ ", '"”″'
_NUMBER = re.compile(rf"[{_SIGNS}]*\d*\.?\d+[{_MARKS}]?")


def join_limits(lines: list[Word], walls: Walls) -> list[Word]:
    """Make one line of two rows that are one size.

    Limits read ``upper/lower``, two units ``upper [lower]``. Limits with a drawn line between them,
    or each in its own, are two sizes, and rows of a column of numbers are none.
    """
    numbers = [k for k, line in enumerate(lines) if _NUMBER.fullmatch(line.text)]
    if len(numbers) < 2:
        return lines
    order = sorted(numbers, key=lambda k: lines[k].top)
    places = np.array(
        [(line.top, line.x0, line.x1, line.size) for line in map(lines.__getitem__, order)]
    )
    told: dict[tuple[int, int], str] = {}
    for i in numbers:
        upper = lines[i]
        for at in _next_rows(upper, places):
            j = order[at]
            text = _as_one(upper, lines[j], walls) if j != i else ""
            if text:
                told[i, j] = text
    used = Counter(k for pair in told for k in pair)
    alone = [(i, j) for i, j in told if used[i] == used[j] == 1]
    gone = {k for pair in alone for k in pair}
    kept = [line for k, line in enumerate(lines) if k not in gone]
    return kept + [_over(lines[i], lines[j], told[i, j]) for i, j in alone]


def _next_rows(upper: Word, places: NDArray[np.float64]) -> NDArray[np.intp]:
    """Which rows (top, x0, x1, size; sorted) stand under a text, alike in size, ends in line."""
    low, high = np.searchsorted(
        places[:, 0], (upper.base - 0.1 * upper.cap, upper.base + ACROSS * upper.cap)
    )
    _, x0, x1, size = places[low:high].T
    left, right = np.abs(x0 - upper.x0), np.abs(x1 - upper.x1)
    middle = np.abs(x0 + x1 - upper.x0 - upper.x1) / 2
    off = np.minimum(np.minimum(left, right), middle)
    alike = np.abs(size - upper.size) <= SAME_SIZE * upper.size
    under: NDArray[np.intp] = low + np.flatnonzero(alike & (off < CENTRED * upper.size))
    return under


def _as_one(upper: Word, lower: Word, walls: Walls) -> str:
    """What two rows say together; nothing when they are two sizes."""
    (first, above), (second, below) = _parts(upper.text), _parts(lower.text)
    if second not in ("", first):
        return ""
    if are_units(above, below):
        return f"{upper.text} [{below}]"
    near = lower.top - upper.base < APART * upper.cap
    apart = walls.under(upper, lower) or (walls.lead_to(upper) and walls.lead_to(lower))
    if near and are_limits(above, below) and not apart:
        return f"{upper.text}/{lower.text.lstrip(_SIGNS)}"
    return ""


def are_limits(upper: str, lower: str) -> bool:
    """Whether two numbers are limits of one size.

    Examples
    --------
    >>> are_limits("12.50", "12.45"), are_limits("12.45", "12.50"), are_limits("12.50", "11.50")
    (True, False, False)
    """
    more, less = float(upper), float(lower)
    places = {_places(upper), _places(lower)}
    return less < more <= (1 + WIDEST) * less and len(places) == 1 and 0 not in places


def are_units(one: str, other: str) -> bool:
    """Whether two numbers are one size in inches and in mm, as exactly as they are printed.

    Examples
    --------
    >>> are_units("1.969", "50.0"), are_units("50", "1.969"), are_units("1.969", "50.2")
    (True, True, False)
    """
    inches, mm = sorted((one, other), key=float)
    if _places(inches) < LEAST_PLACES or _places(mm) >= _places(inches):
        return False
    off = abs(float(inches) * MM_IN_INCH - float(mm))
    return off <= (MM_IN_INCH * 10.0 ** -_places(inches) + 10.0 ** -_places(mm)) / 2


def _parts(text: str) -> tuple[str, str]:
    """Sign before a number, and the number."""
    number = text.lstrip(_SIGNS)
    return text[: len(text) - len(number)].strip(), number.rstrip(_MARKS)


def _places(number: str) -> int:
    return len(number.partition(".")[2])


def _over(upper: Word, lower: Word, text: str) -> Word:
    """Both rows as one word, as tall as both."""
    return Word(
        text=text,
        x0=min(upper.x0, lower.x0),
        x1=max(upper.x1, lower.x1),
        top=upper.top,
        base=lower.base,
        size=upper.size,
        runs=[*upper.runs, *lower.runs],
        fraction=True,
    )
