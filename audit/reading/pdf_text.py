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

from audit.geometry import Box, Point
from audit.reading.fractions import make_fractions, stack_tolerances
from audit.reading.limits import join_limits
from audit.reading.words import (
    CAP,
    ENDED,
    OVERLAP_BACK,
    SAME_SIZE,
    Floats,
    Turned,
    Walls,
    Word,
    make_word,
    tight_words,
)
from audit.records import Glyphs, VectorPage

SAME_TURN_DEG = 1.5  # directions closer than this are one
SPACE_GAP = 0.18  # of the font size
LINE_GAP = 0.75  # of the font size: wider gaps end a line
OVERPRINT = 0.12  # of the font size: the same text drawn again closer than this is one text
ROW_PT = 8.0  # bins that make neighbours quick to find

_REMARK = re.compile(
    r"^[(\[]?(?:\d+\s*[xX×]\s*|\(?\d+\)?\s+)?(?:TYP|REF|MAX|MIN|NTS|THRU|THROUGH|DEEP|DP|PLACES?|PLCS?"
    r"|PLS|HOLES?|REQ'?D|EQ\.? ?SP|EQUALLY|SPACED|B\.?C|DIA|DRILL|TAP|REAM|BORE|CBORE|CSK|STK"
    r"|STOCK|EACH|BOTH|ALL|FAR|NEAR|ENDS?|SIDES?|APPROX|TO FIT|TO SUIT|O\.?C|O\.?D|I\.?D|SLOTS?"
    r"|RAD|ON|AND|OPP)\b",
    re.IGNORECASE,
)
_SIZE = re.compile(r"\d")
_FRACTION = re.compile(r"\d{1,3}/\d{1,3}(?!\d)")
_NUMBER = re.compile(r"(?:\d+[ -])?\d*[.,]?\d+(?:/\d+)?[\"”″]?$")
_FEET = re.compile(r"\d+\s*['’′]")
_TOLERANCE = re.compile(r"(?:±|\+ ?/ ?[-−–]) ?\.?\d|\+ ?\.?\d\S* ?/? ?[-−–] ?\.?\d")
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
    frame = Turned(math.cos(turn), -math.sin(turn))
    across = Walls(frame.many(walls)) if len(walls) else Walls(walls)
    words = tight_words([make_word(g, frame) for g in runs], across)
    words = make_fractions(words, frame.many(bars) if len(bars) else bars)
    lines = join_limits(_join_lines(stack_tolerances(words), across), across)
    return [_record(line, frame, math.degrees(turn)) for line in _join_callouts(lines)]


def _near_angle(angle: float, reference: float) -> float:
    return reference + (angle - reference + 180.0) % 360.0 - 180.0


def _join_lines(words: list[Word], walls: Walls) -> list[Word]:
    """Join words that read on from each other; stacked ones count at their middle."""
    ends: list[Word] = []
    rows: dict[int, list[Word]] = {}
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


def _rows(word: Word) -> range:
    return range(math.floor(word.top / ROW_PT), math.floor(word.base / ROW_PT) + 1)


def _reads_on(a: Word, b: Word) -> bool:
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
    if a.endswith(('"', "”", "″")) and (_FEET.match(b) or _NUMBER.match(b)):
        return True
    if not ENDED.search(a) or not _NUMBER.match(b):
        return False
    whole = re.search(r"(?:^|[^\d./])\d{1,4}$", a) is not None
    return not (whole and _FRACTION.match(b))


def _append(a: Word, b: Word) -> None:
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


def _join_callouts(lines: list[Word]) -> list[list[Word]]:
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
    result: list[list[Word]] = []
    taken: set[int] = set()
    for i in range(len(lines)):
        if i in above or i in taken:
            continue
        chain = [i]
        while chain[-1] in below:
            chain.append(below[chain[-1]])
        taken.update(chain)
        result += _parted_chain([lines[k] for k in chain])
    result += [[w] for k, w in enumerate(lines) if k not in taken]
    return result


def _parted_chain(chain: list[Word]) -> list[list[Word]]:
    """Rows under each other, as callouts of two rows and single ones.

    Each size in two units is one callout, however many of them stand under each other.
    """
    if len(chain) == 2 and _is_callout_pair(chain[0].text, chain[1].text):
        return [chain]
    parts: list[list[Word]] = []
    for row in chain:
        above = parts[-1] if parts else []
        if len(above) == 1 and _is_in_two_units(above[0].text, row.text):
            above.append(row)
        else:
            parts.append([row])
    return parts


def _is_in_two_units(upper: str, lower: str) -> bool:
    bare = _SIZE.search(upper) and not _REMARK.match(upper) and not _BRACKETED.match(upper)
    return bool(bare and _BRACKETED.match(lower)) and len(upper) < 30


def _stands_under(upper: Word, lower: Word) -> bool:
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
    if _is_in_two_units(upper, lower):
        return True
    sized = bool(_SIZE.search(upper)) and not upper[-1:].isalpha()
    sized = sized or bool(re.match(r"^(?:\d+[xX]\s*)?(?:R|Ø|⌀)?\s*[\d.]", upper))
    said = _REMARK.match(lower) or _TOLERANCE.match(lower)
    return sized and bool(said) and len(upper) < 30 and len(lower) < 40


def _record(words: list[Word], frame: Turned, angle: float) -> TextLine:
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
