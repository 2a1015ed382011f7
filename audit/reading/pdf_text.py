"""Text lines out of the text layer of a PDF page.

Programs store text in odd runs: letter by letter, whole numbers and fractions apart, fractions as
two small numbers with a bar between that is a drawn line. Words used here:

word      letters that touch each other on one base line
fraction  numerator over (or beside, across a slash) denominator, made one word ``a/b``
line      words of one direction that read on from each other

Everything works in a frame turned with the writing: x along it, y downwards across it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.records import Glyphs, VectorPage

Floats = NDArray[np.float64]

CAP = 0.72  # of the font size
SAME_TURN_DEG = 1.5  # directions closer than this are one
TIGHT_GAP = 0.14  # of the font size: closer letters belong to one word
SPACE_GAP = 0.18  # of the font size
LINE_GAP = 0.75  # of the font size: wider gaps end a line
OVERLAP_BACK = 0.35  # of the font size: letters may run into each other this much
SAME_BASE = 0.06  # of the font size
SAME_SIZE = 0.12  # relative
OVERPRINT = 0.12  # of the font size: the same text drawn again closer than this is one text
BAR_MAX_RATIO = 2.2  # bar over the wider number; a longer line is a table rule
BAR_MIN_RATIO = 0.55
STACK_GAP_WITH_BAR = 1.3  # of the letter height, between numerator and denominator
STACK_GAP_BARE = 0.65
DENOMINATORS = frozenset({2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 32, 64, 100, 128})
WALL_COVER = 0.3  # of the height of the text
ROW_PT = 8.0  # bins that make neighbours quick to find

_DIGITS = re.compile(r"\d{1,3}$")
_BELOW = re.compile(r"(\d{1,3})(\s*(?:[\"”″]|''))?$")
_SLASHES = "/⁄∕"
_SIGNED = re.compile(r"[+±\-−–]\s*\d*[.,]?\d+°?$|0$")
_REMARK = re.compile(
    r"^[(\[]?(?:\d+\s*[xX×]\s*|\(?\d+\)?\s+)?(?:TYP|REF|MAX|MIN|NTS|THRU|THROUGH|DEEP|DP|PLACES?|PLCS?"
    r"|PLS|HOLES?|REQ'?D|EQ\.? ?SP|EQUALLY|SPACED|B\.?C|DIA|DRILL|TAP|REAM|BORE|CBORE|CSK|STK"
    r"|STOCK|EACH|BOTH|ALL|FAR|NEAR|ENDS?|SIDES?|APPROX|TO FIT|TO SUIT|O\.?C|O\.?D|I\.?D|SLOTS?"
    r"|RAD|ON|AND|OPP)\b",
    re.IGNORECASE,
)
_SIZE = re.compile(r"\d")
_ENDED = re.compile(r"(?:\d|\d[\"”″])$")
_FRACTION = re.compile(r"\d{1,3}/\d{1,3}(?!\d)")
_NUMBER = re.compile(r"\d*[.,]?\d+(?:/\d+)?[\"”″]?$")
_BRACKETED = re.compile(r"^[\[(]\s*[\dRØ.].*[\])]$")


@dataclass(frozen=True, slots=True, kw_only=True)
class TextLine:
    """One printed text: a line, or the lines of one callout joined by newlines.

    Attributes
    ----------
    text : str
        As printed, fractions as ``a b/c``.
    box : Box
        Upright box, pt.
    angle : float
        Direction of writing, degrees, counter-clockwise as seen.
    quad : four Points
        Corners in reading order: top left, top right, bottom right, bottom left.
    height : float
        Letter height of the largest run, pt.
    runs : tuple of Glyphs
        What it was joined from.
    trusted : bool
        False when any run's font has no usable character map.
    visible : bool
    """

    text: str
    box: Box
    angle: float
    quad: tuple[Point, Point, Point, Point]
    height: float
    runs: tuple[Glyphs, ...] = ()
    trusted: bool = True
    visible: bool = True

    @property
    def centre(self) -> Point:
        """Middle of the text."""
        return self.quad[0].midpoint(self.quad[2])

    @property
    def length(self) -> float:
        """Extent along the writing, pt."""
        return self.quad[0].distance(self.quad[1])


@dataclass(slots=True)
class _Word:
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
        return (self.top + self.base) / 2

    @property
    def cap(self) -> float:
        return CAP * self.size


@dataclass(frozen=True, slots=True)
class _Turned:
    """The frame of one direction of writing."""

    ux: float
    uy: float

    def inside(self, p: tuple[float, float]) -> tuple[float, float]:
        return p[0] * self.ux + p[1] * self.uy, p[1] * self.ux - p[0] * self.uy

    def back(self, x: float, y: float) -> Point:
        return Point(x * self.ux - y * self.uy, x * self.uy + y * self.ux)

    def many(self, ends: Floats) -> Floats:
        x0, y0, x1, y1 = ends.T
        return np.column_stack(
            [
                x0 * self.ux + y0 * self.uy,
                y0 * self.ux - x0 * self.uy,
                x1 * self.ux + y1 * self.uy,
                y1 * self.ux - x1 * self.uy,
            ]
        )


class _Walls:
    """Drawn lines across the writing: extension lines and table rules keep numbers apart."""

    def __init__(self, ends: Floats) -> None:
        x0, y0, x1, y1 = ends.T if len(ends) else np.zeros((4, 0))
        steep = np.abs(x1 - x0) < 0.4 * np.abs(y1 - y0)
        order = np.argsort(((x0 + x1) / 2)[steep])
        self.x = ((x0 + x1) / 2)[steep][order]
        self.low = np.minimum(y0, y1)[steep][order]
        self.high = np.maximum(y0, y1)[steep][order]

    def between(self, a: _Word, b: _Word) -> bool:
        """Whether a line stands in the gap between two words that end and begin with a digit."""
        if not (_ENDED.search(a.text) and b.text[:1] in "0123456789."):
            return False
        slack = 0.1 * min(a.size, b.size)
        i, j = np.searchsorted(self.x, (min(a.x1, b.x0) - slack, max(b.x0, a.x1) + slack))
        low, high = min(a.top, b.top), max(a.base, b.base)
        cover = np.minimum(self.high[i:j], high) - np.maximum(self.low[i:j], low)
        return bool((cover > WALL_COVER * (high - low)).any())


def join_texts(page: VectorPage) -> tuple[TextLine, ...]:
    """Join the glyph runs of a page to text lines and callouts, in reading order.

    Invisible text (the layer a scanner's text recognition wrote) is joined apart from the rest.
    """
    bars, walls = _short_strokes(page), page.strokes.ends[~page.strokes.curved]
    lines: list[TextLine] = []
    for visible in (True, False):
        runs = [g for g in page.texts if g.visible is visible and g.text.strip()]
        for angle, group in _by_direction(_without_overprints(runs)):
            lines += _join_direction(group, angle, bars, walls)
    return tuple(sorted(lines, key=lambda t: (round(t.box.y0 / 4), t.box.x0)))


def _short_strokes(page: VectorPage) -> Floats:
    e = page.strokes.ends
    length = np.hypot(e[:, 2] - e[:, 0], e[:, 3] - e[:, 1])
    sizes = [g.size for g in page.texts]
    longest = 4 * max(sizes, default=0.0)
    return np.asarray(e[(length < longest) & ~page.strokes.curved], float)


def _without_overprints(runs: Iterable[Glyphs]) -> list[Glyphs]:
    """Drop text drawn twice on the same place (bold by overprinting, fill and stroke)."""
    seen: dict[tuple[str, int, int], list[Glyphs]] = {}
    kept = []
    for run in runs:
        cell = max(OVERPRINT * run.size, 0.05)
        kx, ky = round(run.origin.x / cell), round(run.origin.y / cell)
        near = [
            other
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for other in seen.get((run.text, kx + dx, ky + dy), ())
        ]
        if any(other.origin.distance(run.origin) < cell for other in near):
            continue
        seen.setdefault((run.text, kx, ky), []).append(run)
        kept.append(run)
    return kept


def _by_direction(runs: list[Glyphs]) -> list[tuple[float, list[Glyphs]]]:
    groups: list[tuple[float, list[Glyphs]]] = []
    for run in sorted(runs, key=lambda g: g.angle % 360.0):
        angle = run.angle % 360.0
        if groups and angle - groups[-1][0] < SAME_TURN_DEG:
            groups[-1][1].append(run)
        else:
            groups.append((angle, [run]))
    if len(groups) > 1 and groups[0][0] + 360.0 - groups[-1][0] < SAME_TURN_DEG:
        groups[0][1].extend(groups.pop()[1])
    return groups


def _join_direction(
    runs: list[Glyphs], angle: float, bars: Floats, walls: Floats
) -> list[TextLine]:
    turn = math.radians(float(np.median([_near_angle(g.angle, angle) for g in runs])))
    frame = _Turned(math.cos(turn), -math.sin(turn))
    across = _Walls(frame.many(walls)) if len(walls) else _Walls(walls)
    words = _tight_words([_word(g, frame) for g in runs], across)
    words = _make_fractions(words, frame.many(bars) if len(bars) else bars)
    lines = _join_lines(_stack_tolerances(words), across)
    return [_record(line, frame, math.degrees(turn)) for line in _join_callouts(lines)]


def _near_angle(angle: float, reference: float) -> float:
    return reference + (angle - reference + 180.0) % 360.0 - 180.0


def _word(g: Glyphs, frame: _Turned) -> _Word:
    x, base = frame.inside(g.origin)
    x1, _ = frame.inside(g.quad[1])
    return _Word(
        text=" ".join(g.text.split()),
        x0=x,
        x1=max(x1, x + 0.05 * g.size),
        top=base - CAP * g.size,
        base=base,
        size=g.size,
        runs=[g],
    )


def _tight_words(words: list[_Word], walls: _Walls) -> list[_Word]:
    """Join letters that touch: same base line, same size, no gap."""
    words = sorted(words, key=lambda w: (w.base, w.x0))
    rows: list[list[_Word]] = []
    for word in words:
        if rows and abs(word.base - rows[-1][0].base) < SAME_BASE * word.size:
            rows[-1].append(word)
        else:
            rows.append([word])
    result: list[_Word] = []
    for row in rows:
        row.sort(key=lambda w: w.x0)
        joined: list[_Word] = []
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


def _touches(a: _Word, b: _Word) -> bool:
    gap = b.x0 - a.x1
    return (
        abs(a.size - b.size) < SAME_SIZE * max(a.size, b.size)
        and -OVERLAP_BACK * a.size < gap < TIGHT_GAP * a.size
    )


def _make_fractions(words: list[_Word], bars: Floats) -> list[_Word]:
    """Turn numerator and denominator pairs into one word each."""
    found = _stacked_pairs(words, bars) + _slashed(words)
    found.sort(key=lambda f: f[0])
    used: set[int] = set()
    result = []
    for _, parts, word in found:
        if used.isdisjoint(parts):
            used.update(parts)
            result.append(word)
    return [w for i, w in enumerate(words) if i not in used] + result


_Found = tuple[float, tuple[int, ...], _Word]


def _stacked_pairs(words: list[_Word], bars: Floats) -> list[_Found]:
    numbers = [i for i, w in enumerate(words) if _BELOW.match(w.text)]
    tops = [i for i in numbers if _DIGITS.match(words[i].text)]
    found: list[_Found] = []
    by_top = sorted(numbers, key=lambda i: words[i].top)
    edges = np.array([words[i].top for i in by_top])
    for i in tops:
        n = words[i]
        low = np.searchsorted(edges, n.base - 0.35 * n.cap)
        high = np.searchsorted(edges, n.base + STACK_GAP_WITH_BAR * n.cap)
        for j in by_top[int(low) : int(high)]:
            if j == i:
                continue
            score = _stack_score(n, words[j], bars)
            if score is not None:
                found.append((score, (i, j), _fraction_word(n, words[j])))
    return found


def _stack_score(n: _Word, d: _Word, bars: Floats) -> float | None:
    """How badly two numbers make a stacked fraction; `None` when they don't."""
    below = _BELOW.match(d.text)
    if below is None or abs(n.size - d.size) > 0.2 * n.size:
        return None
    digits = below.group(1)
    width = (d.x1 - d.x0) * len(digits) / max(len(d.text), 1)  # without the inch mark
    aside = abs((n.x0 + n.x1) / 2 - (d.x0 + width / 2))
    if aside > 0.3 * n.size + 0.1 * max(width, n.x1 - n.x0):
        return None
    gap = d.top - n.base
    wide = max(n.x1 - n.x0, width)
    if _has_bar(n, d, wide, bars):
        return aside / n.size + 0.1 * abs(gap) / n.cap
    if gap > STACK_GAP_BARE * n.cap or gap < -0.1 * n.cap:
        return None
    # without a bar only what makes sense as a fraction: columns of numbers stand like this too
    if int(digits) not in DENOMINATORS or not 0 < int(n.text) < int(digits):
        return None
    return 1.0 + aside / n.size + abs(gap) / n.cap


def _has_bar(n: _Word, d: _Word, wide: float, bars: Floats) -> bool:
    if not len(bars):
        return False
    x0, x1 = np.minimum(bars[:, 0], bars[:, 2]), np.maximum(bars[:, 0], bars[:, 2])
    y = (bars[:, 1] + bars[:, 3]) / 2
    centre = (min(n.x0, d.x0) + max(n.x0 + wide, d.x0 + wide)) / 2
    fits = (
        (np.abs(bars[:, 3] - bars[:, 1]) < 0.08 * (x1 - x0))
        & (x1 - x0 > BAR_MIN_RATIO * wide)
        & (x1 - x0 < BAR_MAX_RATIO * wide + 0.3 * n.size)
        & (y > n.base - 0.2 * n.cap)
        & (y < d.top + 0.2 * n.cap)
        & (np.abs((x0 + x1) / 2 - centre) < 0.5 * wide + 0.2 * n.size)
    )
    return bool(fits.any())


def _fraction_word(n: _Word, d: _Word) -> _Word:
    return _Word(
        text=f"{n.text}/{d.text}",
        x0=min(n.x0, d.x0),
        x1=max(n.x1, d.x1),
        top=n.top,
        base=d.base,
        size=max(n.size, d.size),
        runs=[*n.runs, *d.runs],
        fraction=True,
    )


def _slashed(words: list[_Word]) -> list[_Found]:
    """Fractions across a slash whose numerator stands higher than the denominator."""
    order = sorted(range(len(words)), key=lambda i: words[i].x0)
    xs = np.array([words[i].x0 for i in order])
    found: list[_Found] = []
    for i in order:
        n = words[i]
        head = n.text.rstrip(_SLASHES)
        if not _DIGITS.match(head):
            continue
        if head != n.text:
            steps = _following(words, order, xs, n, _DIGITS)
            found += [_slash_found(words, (i, j)) for j in steps if _descends(n, words[j])]
            continue
        for k in _following(words, order, xs, n, re.compile(f"[{_SLASHES}]\\d{{0,3}}$")):
            if len(words[k].text) > 1:
                if _descends(n, words[k]):
                    found.append(_slash_found(words, (i, k)))
                continue
            for j in _following(words, order, xs, words[k], _DIGITS):
                if _descends(n, words[j]):
                    found.append(_slash_found(words, (i, k, j)))
    return found


def _following(
    words: list[_Word], order: list[int], xs: Floats, w: _Word, pattern: re.Pattern[str]
) -> list[int]:
    """Words that start where `w` ends, at about its height."""
    low = np.searchsorted(xs, w.x1 - 0.4 * w.size)
    high = np.searchsorted(xs, w.x1 + 0.3 * w.size)
    return [
        j
        for j in order[int(low) : int(high)]
        if words[j] is not w
        and pattern.match(words[j].text)
        and words[j].top < w.base + 0.5 * w.cap
        and words[j].base > w.top - 0.1 * w.cap
        and 0.4 < words[j].size / w.size < 2.5
    ]


def _descends(n: _Word, d: _Word) -> bool:
    drop = d.base - n.base
    return 0.1 * n.size < drop < 1.2 * n.size


def _slash_found(words: list[_Word], parts: tuple[int, ...]) -> _Found:
    pieces = [words[i] for i in parts]
    text = "".join(p.text for p in pieces)
    for slash in _SLASHES:
        text = text.replace(slash, "/")
    word = _Word(
        text=text,
        x0=pieces[0].x0,
        x1=max(p.x1 for p in pieces),
        top=min(p.top for p in pieces),
        base=max(p.base for p in pieces),
        size=pieces[0].size,
        runs=[r for p in pieces for r in p.runs],
        fraction=True,
    )
    return 0.5, parts, word


def _stack_tolerances(words: list[_Word]) -> list[_Word]:
    """Join an upper and a lower limit printed one over the other: ``+.005`` over ``-.000``."""
    signed = [i for i, w in enumerate(words) if _SIGNED.match(w.text) and not w.fraction]
    used: set[int] = set()
    result = []
    for i in signed:
        up = words[i]
        if i in used or up.text[0] not in "+0":
            continue
        for j in signed:
            down = words[j]
            gap = down.top - up.base
            if (
                j not in used
                and j != i
                and down.text[0] in "-−–0"
                and abs(up.x1 - down.x1) < 0.6 * up.size
                and -0.2 * up.cap < gap < 0.9 * up.cap
            ):
                used |= {i, j}
                text = f"{up.text} {down.text.replace('−', '-').replace('–', '-')}"
                word = _fraction_word(up, down)
                word.text = text
                result.append(word)
                break
    return [w for i, w in enumerate(words) if i not in used] + result


def _join_lines(words: list[_Word], walls: _Walls) -> list[_Word]:
    """Join words that read on from each other; stacked ones count at their middle."""
    ends: list[_Word] = []
    rows: dict[int, list[_Word]] = {}
    for word in sorted(words, key=lambda w: w.x0):
        near = {id(e): e for row in _rows(word) for e in rows.get(row, ())}.values()
        before = max(
            (e for e in near if _reads_on(e, word) and not walls.between(e, word)),
            key=lambda e: e.x1,
            default=None,
        )
        if before is None:
            ends.append(word)
            before = word
        else:
            _append(before, word)
        for row in _rows(before):
            kept = [e for e in rows.get(row, ()) if e is not before]
            # what ended far to the left cannot be read on from any more
            kept = [e for e in kept if e.x1 > word.x0 - ROW_PT - LINE_GAP * e.size * 2]
            rows[row] = [*kept, before]
    return ends


def _rows(word: _Word) -> range:
    return range(math.floor(word.top / ROW_PT), math.floor(word.base / ROW_PT) + 1)


def _reads_on(a: _Word, b: _Word) -> bool:
    size = max(a.size, b.size)
    gap = b.x0 - a.x1
    if not -OVERLAP_BACK * size < gap < LINE_GAP * size:
        return False
    if _are_two_numbers(a.text, b.text):
        return False  # two sizes beside each other belong to two dimensions
    if abs(a.size - b.size) < SAME_SIZE * size and not (a.fraction or b.fraction):
        return abs(a.base - b.base) < 0.2 * size
    low, high = max(a.top, b.top), min(a.base, b.base)
    least = min(a.base - a.top, b.base - b.top)
    return high - low > 0.6 * least and min(a.size, b.size) > 0.4 * size


def _are_two_numbers(a: str, b: str) -> bool:
    """Whether text that ends in a number is followed by another that cannot continue it."""
    if not _ENDED.search(a) or not _NUMBER.match(b):
        return False
    whole = re.search(r"(?:^|[^\d./])\d{1,4}$", a) is not None
    return not (whole and _FRACTION.match(b))


def _append(a: _Word, b: _Word) -> None:
    gap = b.x0 - a.x1
    size = max(a.size, b.size) if not b.fraction else b.size
    text = b.text
    raised = b.size < 0.8 * a.size and b.base < a.base - 0.2 * a.size
    if raised and text in ("o", "O", "0", "º", "˚"):
        text = "°"
    numbers = a.text[-1].isdigit() and text[0].isdigit()
    smaller = abs(a.size - b.size) > SAME_SIZE * max(a.size, b.size)
    glue = " " if gap > SPACE_GAP * size or (numbers and (b.fraction or smaller)) else ""
    if b.fraction and a.text[-1].isalnum():
        glue = " "
    a.text = f"{a.text}{glue}{text}"
    a.x1 = max(a.x1, b.x1)
    if b.size > a.size * (1 + SAME_SIZE) and not b.fraction:
        a.size = b.size
        a.base, a.top = b.base, b.top
        a.fraction = False
    elif a.fraction and not b.fraction:
        a.size, a.base, a.top, a.fraction = b.size, b.base, b.top, False
    a.runs += b.runs


def _join_callouts(lines: list[_Word]) -> list[list[_Word]]:
    """Put remark lines (``4 HOLES``, ``TYP``, ``[25.4]``) under the size they belong to.

    A paragraph of three lines or more is a note and stays apart.
    """
    below: dict[int, int] = {}
    above: dict[int, int] = {}
    order = sorted(range(len(lines)), key=lambda k: lines[k].top)
    tops = np.array([lines[k].top for k in order])
    for i, upper in enumerate(lines):
        low = int(np.searchsorted(tops, upper.base))
        high = int(np.searchsorted(tops, upper.base + 2.4 * upper.cap))
        for j in order[low:high]:
            if i != j and j not in above and _stands_under(upper, lines[j]):
                below[i], above[j] = j, i
                break
    result: list[list[_Word]] = []
    taken: set[int] = set()
    for i, line in enumerate(lines):
        if i in above or i in taken:
            continue
        chain = [i]
        while chain[-1] in below:
            chain.append(below[chain[-1]])
        taken.update(chain)
        if len(chain) == 2 and _is_callout_pair(line.text, lines[chain[1]].text):
            result.append([line, lines[chain[1]]])
        else:
            result += [[lines[k]] for k in chain]
    result += [[w] for k, w in enumerate(lines) if k not in taken]
    return result


def _stands_under(upper: _Word, lower: _Word) -> bool:
    if abs(upper.size - lower.size) > 0.25 * upper.size:
        return False
    gap = lower.top - upper.base
    # the second unit of a size stands across the dimension line
    room = 2.4 if _BRACKETED.match(lower.text) else 1.3
    if not 0.0 < gap < room * upper.cap:
        return False
    width = min(upper.x1 - upper.x0, lower.x1 - lower.x0)
    overlap = min(upper.x1, lower.x1) - max(upper.x0, lower.x0)
    aligned = (
        min(
            abs(upper.x0 - lower.x0),
            abs(upper.x1 - lower.x1),
            abs(upper.x0 + upper.x1 - lower.x0 - lower.x1) / 2,
        )
        < 0.8 * upper.size
    )
    return overlap > 0.5 * width and aligned


def _is_callout_pair(upper: str, lower: str) -> bool:
    if _BRACKETED.match(lower) and _SIZE.search(upper) and not _REMARK.match(upper):
        return len(upper) < 30
    sized = bool(_SIZE.search(upper)) and not upper[-1:].isalpha()
    sized = sized or bool(re.match(r"^(?:\d+[xX]\s*)?(?:R|Ø|⌀)?\s*[\d.]", upper))
    return sized and bool(_REMARK.match(lower)) and len(upper) < 30 and len(lower) < 40


def _record(words: list[_Word], frame: _Turned, angle: float) -> TextLine:
    runs = tuple(r for w in words for r in w.runs)
    corners = [frame.inside(p) for r in runs for p in r.quad]
    x0, y0 = min(c[0] for c in corners), min(c[1] for c in corners)
    x1, y1 = max(c[0] for c in corners), max(c[1] for c in corners)
    quad = (frame.back(x0, y0), frame.back(x1, y0), frame.back(x1, y1), frame.back(x0, y1))
    return TextLine(
        text="\n".join(w.text for w in words),
        box=Box.around(quad),
        angle=(angle + 180.0) % 360.0 - 180.0 if angle % 360.0 != 180.0 else 180.0,
        quad=quad,
        height=CAP * max(w.size for w in words),
        runs=runs,
        trusted=all(r.trusted for r in runs),
        visible=all(r.visible for r in runs),
    )
