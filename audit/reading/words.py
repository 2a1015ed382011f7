"""Words of a text layer, in a frame turned with the writing: x along it, y downwards across it."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.records import Glyphs

Floats = NDArray[np.float64]

CAP = 0.72  # of the font size: letter height of common faces
TIGHT_GAP = 0.14  # of the font size: closer letters belong to one word
OVERLAP_BACK = 0.35  # of the font size: letters may run into each other this much
SAME_BASE = 0.06  # of the font size
SAME_SIZE = 0.12  # relative
READS_ON = 0.03  # of the font size: how exactly a run goes on where the one before it ends
WALL_COVER = 0.25  # of the height of the text
MIXED_WALL_COVER = 0.6
LEADS = 1.5  # of the font size: so near a word ends a dimension line that is broken for it
AT_HALF = 0.3  # of the letter height: between two rows a line stands further from both

_STARTS_FRACTION = re.compile(r"\d{1,3}[/⁄∕]\d")
# Nothing of a number follows an inch mark, and no fraction another fraction.
_FINISHED = re.compile(r"\d/\d+$")
_INCHES = re.compile(r"\d[\"”″]$")
_OWN_SIZE = re.compile(r"(?:\d+[ -])?\d+/\d+|\d+['’′]")
_DECIMAL, _DECIMAL_ON = re.compile(r"\d*\.\d+$"), re.compile(r"\d*\.\d")
_NUMBER = re.compile(r"[\d.,]*\d[\d.,]*")
ENDED = re.compile(r"(?:\d|\d[\"”″])$")


@dataclass(slots=True)
class Word:
    """Text on the way to a line, in the turned frame."""

    text: str
    x0: float
    x1: float
    top: float
    base: float
    size: float
    runs: list[Glyphs]
    fraction: bool = False

    @property
    def middle(self) -> float:
        """Height half way between top and base line."""
        return (self.top + self.base) / 2

    @property
    def cap(self) -> float:
        """Letter height."""
        return CAP * self.size


@dataclass(frozen=True, slots=True)
class Turned:
    """The frame of one direction of writing."""

    ux: float
    uy: float

    def inside(self, p: tuple[float, float]) -> tuple[float, float]:
        """Map a point of the sheet into this frame."""
        return p[0] * self.ux + p[1] * self.uy, p[1] * self.ux - p[0] * self.uy

    def back(self, x: float, y: float) -> Point:
        """Map a place in this frame back to the sheet."""
        return Point(x * self.ux - y * self.uy, x * self.uy + y * self.ux)

    def many(self, ends: Floats) -> Floats:
        """Map lines (n, 4) of the sheet into this frame."""
        x0, y0, x1, y1 = ends.T
        return np.column_stack(
            [
                x0 * self.ux + y0 * self.uy,
                y0 * self.ux - x0 * self.uy,
                x1 * self.ux + y1 * self.uy,
                y1 * self.ux - x1 * self.uy,
            ]
        )


class Walls:
    """Drawn lines across the writing: extension lines and table rules keep numbers apart."""

    def __init__(self, ends: Floats) -> None:
        x0, y0, x1, y1 = ends.T if len(ends) else np.zeros((4, 0))
        steep = np.abs(x1 - x0) < 0.4 * np.abs(y1 - y0)
        order = np.argsort(((x0 + x1) / 2)[steep])
        self.x = ((x0 + x1) / 2)[steep][order]
        self.low = np.minimum(y0, y1)[steep][order]
        self.high = np.maximum(y0, y1)[steep][order]
        flat = np.abs(y1 - y0) < 0.1 * np.abs(x1 - x0)
        self._levels = np.column_stack(
            [np.minimum(x0, x1)[flat], ((y0 + y1) / 2)[flat], np.maximum(x0, x1)[flat]]
        )

    def under(self, upper: Word, lower: Word) -> bool:
        """Whether a line runs along the writing between a word and one under it."""
        low, at, high = self._levels.T
        middle = (max(upper.x0, lower.x0) + min(upper.x1, lower.x1)) / 2
        top, base = upper.base - 0.1 * upper.size, lower.top + 0.1 * lower.size
        return bool(((at > top) & (at < base) & (low < middle) & (high > middle)).any())

    def lead_to(self, word: Word) -> bool:
        """Whether a line broken for a word leads to it, at half its height."""
        low, at, high = self._levels.T
        left, right = word.x0 - high, low - word.x1
        ends = ((left > 0) & (left < LEADS * word.size)) | (
            (right > 0) & (right < LEADS * word.size)
        )
        return bool((ends & (np.abs(at - word.middle) < AT_HALF * word.cap)).any())

    def between(self, a: Word, b: Word) -> bool:
        """Whether a line stands in the gap between two words that end and begin with a digit."""
        if not (ENDED.search(a.text) and b.text[:1] in "0123456789.") or _is_written_on(a, b):
            return False
        slack = 0.1 * min(a.size, b.size)
        i, j = np.searchsorted(self.x, (min(a.x1, b.x0) - slack, max(b.x0, a.x1) + slack))
        low, high = min(a.top, b.top), max(a.base, b.base)
        cover = np.minimum(self.high[i:j], high) - np.maximum(self.low[i:j], low)
        # a whole number before a fraction reads as one size, though a line may reach between them
        mixed = b.fraction or bool(_STARTS_FRACTION.match(b.text))
        share = MIXED_WALL_COVER if mixed else WALL_COVER
        return bool((cover > share * (high - low)).any())


def _is_written_on(a: Word, b: Word) -> bool:
    """Whether a file writes one text in two goes: a word, its space, and the next where it ends."""
    spaces = a.runs[-1].spaces_after
    return spaces > 0 and abs(b.x0 - a.x1 - spaces) < READS_ON * a.size


def make_word(g: Glyphs, frame: Turned) -> Word:
    """Place a run of glyphs in the frame of its direction."""
    x, base = frame.inside(g.origin)
    x1, _ = frame.inside(g.quad[1])
    return Word(
        text=" ".join(g.text.split()),
        x0=x,
        x1=max(x1, x + 0.05 * g.size),
        top=base - CAP * g.size,
        base=base,
        size=g.size,
        runs=[g],
    )


def tight_words(words: list[Word], walls: Walls) -> list[Word]:
    """Join letters that touch: same base line, same size, no gap."""
    words = sorted(words, key=lambda w: (w.base, w.x0))
    rows: list[list[Word]] = []
    for word in words:
        if rows and abs(word.base - rows[-1][0].base) < SAME_BASE * word.size:
            rows[-1].append(word)
        else:
            rows.append([word])
    result: list[Word] = []
    for row in rows:
        row.sort(key=lambda w: w.x0)
        joined: list[Word] = []
        for word in row:
            before = joined[-1] if joined else None
            if before is not None and _touches(before, word) and not walls.between(before, word):
                before.text += word.text
                before.x1 = max(before.x1, word.x1)
                before.runs += word.runs
            else:
                joined.append(word)
        result += joined
    return result


def _touches(a: Word, b: Word) -> bool:
    gap = b.x0 - a.x1
    if _FINISHED.search(a.text) and _OWN_SIZE.match(b.text):
        return False
    if _INCHES.search(a.text) and b.text[:1].isdigit():
        return False
    if _DECIMAL.search(a.text) and _DECIMAL_ON.match(b.runs[0].text.strip()):
        return False
    if abs(gap) > READS_ON * a.size and _are_two_runs(a.runs[-1].text, b.runs[0].text):
        return False
    return (
        abs(a.size - b.size) < SAME_SIZE * max(a.size, b.size)
        and -OVERLAP_BACK * a.size < gap < TIGHT_GAP * a.size
    )


def _are_two_runs(a: str, b: str) -> bool:
    """Whether two runs are numbers that were set whole, as those of two dimensions are."""
    return all(
        len(run) > 1 and _NUMBER.fullmatch(run) is not None for run in (a.strip(), b.strip())
    )
