"""Sentences of notes, joined from the lines they are printed in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from audit.checks.cutters import is_cutter_note
from audit.checks.hands import read_hands
from audit.checks.relations import is_assembly_note, is_exception_note
from audit.geometry import Box
from audit.lengths import read_general_class
from audit.reading import TextLine

LINE_PITCH = 3.2  # letter heights between lines of one note
SAME_LEFT = 0.8  # letter heights between their left ends
SAME_HEIGHT = 0.25
_ENDS = re.compile(r"[.;:]\s*$")
_BEGINS = re.compile(r"^\(?\d{1,2}[.)]\s|^[-•*]\s")
LEAST_WORDS = 3
MOST_LINES = 12  # of one sentence
_LINKS = "OF|IN|ON|AT|THE|THIS|AND|OR|TO|FOR|WITH|FROM|BY|IS|ARE"
_IN_A_SENTENCE = re.compile(rf"^(?:{_LINKS}) | (?:{_LINKS})$", re.IGNORECASE)
_NAME = re.compile(r"[A-Za-z][A-Za-z'&/-]*(?: [A-Za-z'&/-]+){0,3}")
TITLE_PITCH = 4.0  # letter heights from a name to the count under it
LEAN_DEG = 4.0  # between two lines of a photo


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence and the lines it was joined from; `assembly`: it tells of parts together."""

    line: TextLine
    lines: tuple[TextLine, ...]
    assembly: bool


def find_sentences(texts: Iterable[TextLine]) -> tuple[Sentence, ...]:
    """Join lines to the sentences they are parts of.

    Parameters
    ----------
    texts : iterable of TextLine
        Those that no dimension has taken.

    Returns
    -------
    tuple of Sentence
        Sentences of several lines, and single lines that tell of parts together. A line goes on
        in the next only where a full stop ends the sentence at last: labels have none.
    """
    left = [t for t in texts if t.visible and "\n" not in t.text]
    places = _Places(left)
    found = []
    taken: set[int] = set()
    for text in sorted(left, key=lambda t: (t.box.y0, t.box.x0)):
        if id(text) in taken:
            continue
        lines = _sentence_from(text, places, taken)
        joined = " ".join(t.text.strip() for t in lines)
        assembly = _is_for_checks(joined)
        if len(lines) > 1 or assembly:
            taken.update(id(t) for t in lines)
            found.append(Sentence(_join(lines, joined), tuple(lines), assembly))
    return tuple(found)


def _is_for_checks(text: str) -> bool:
    """Whether a sentence says something that the checks of the plan hear."""
    return (
        is_assembly_note(text)
        or is_exception_note(text)
        or is_cutter_note(text)
        or read_general_class(text) is not None
        or (read_hands(text) is not None and not re.search(r"\bMAKE\b|REQ'?D", text, re.IGNORECASE))
    )


@dataclass(frozen=True, slots=True)
class Label:
    """A count with the name that stands right above it."""

    line: TextLine
    name: TextLine


def find_labels(texts: Sequence[TextLine], counts: Iterable[TextLine]) -> tuple[Label, ...]:
    """Find the name under a drawing that a count belongs to.

    Parameters
    ----------
    texts : sequence of TextLine
        Those that no dimension has taken.
    counts : iterable of TextLine
        Those of them that are counts without a name (``MAKE 6``).

    Returns
    -------
    tuple of Label
        For the counts right under a short text of letters.
    """
    names = [t for t in texts if t.visible and _is_name(t.text.strip())]
    found = []
    for count in counts:
        above = [n for n in names if n is not count and _stands_over(n, count)]
        if above:
            found.append(Label(count, min(above, key=lambda n: n.centre.distance(count.centre))))
    return tuple(found)


def _is_name(text: str) -> bool:
    """Whether a text can be what a part is called, and is no piece of a sentence."""
    return _NAME.fullmatch(text) is not None and _IN_A_SENTENCE.search(text) is None


def _stands_over(name: TextLine, count: TextLine) -> bool:
    """Whether a text stands in the line above another, left or middle aligned."""
    if abs(name.angle - count.angle) > LEAN_DEG:
        return False
    height = max(name.height, count.height, 1e-6)
    origin, ahead = count.quad[0], count.quad[1]
    length = max(origin.distance(ahead), 1e-6)
    ux, uy = (ahead.x - origin.x) / length, (ahead.y - origin.y) / length
    dx, dy = count.centre.x - name.centre.x, count.centre.y - name.centre.y
    along, down = dx * ux + dy * uy, dy * ux - dx * uy
    return abs(along) <= 2 * height and 0.5 * height < down <= TITLE_PITCH * height


class _Places:
    """Where texts begin, in cells, so that the next line is found without looking at all."""

    def __init__(self, texts: Iterable[TextLine]) -> None:
        texts = list(texts)
        self.size = max(4.0 * max((t.height for t in texts), default=1.0), 1e-3)
        self.cells: dict[tuple[int, int], list[TextLine]] = {}
        for text in texts:
            self.cells.setdefault(self._cell(text), []).append(text)

    def _cell(self, text: TextLine) -> tuple[int, int]:
        start = text.quad[0]
        return int(start.x // self.size), int(start.y // self.size)

    def find_next(self, line: TextLine, taken: set[int]) -> TextLine | None:
        """Return the line that goes on from another."""
        x, y = self._cell(line)
        near = [t for dx in _NEAR for dy in _NEAR for t in self.cells.get((x + dx, y + dy), ())]
        return next((t for t in near if id(t) not in taken and _goes_on(line, t)), None)


_NEAR = (-1, 0, 1)


def _sentence_from(first: TextLine, places: _Places, taken: set[int]) -> list[TextLine]:
    lines = [first]
    while not _ENDS.search(lines[-1].text):
        if len(lines[-1].text.split()) < LEAST_WORDS or len(lines) > MOST_LINES:
            return [first]
        following = places.find_next(lines[-1], taken)
        if following is None or _BEGINS.match(following.text):
            return [first]
        lines.append(following)
    return lines


def _goes_on(upper: TextLine, lower: TextLine) -> bool:
    """Whether a line stands right under another, as the next line of one paragraph."""
    height = max(upper.height, 1e-6)
    if abs(upper.angle - lower.angle) > 1.0 or abs(lower.height / height - 1) > SAME_HEIGHT:
        return False
    origin, ahead = upper.quad[0], upper.quad[1]
    length = max(origin.distance(ahead), 1e-6)
    ux, uy = (ahead.x - origin.x) / length, (ahead.y - origin.y) / length
    dx, dy = lower.quad[0].x - origin.x, lower.quad[0].y - origin.y
    along, down = dx * ux + dy * uy, dy * ux - dx * uy
    return abs(along) <= SAME_LEFT * height and 0.5 * height < down <= LINE_PITCH * height


def _join(lines: Sequence[TextLine], text: str) -> TextLine:
    corners = [p for t in lines for p in t.quad]
    return replace(
        lines[0],
        text=text,
        box=Box.around(corners),
        runs=tuple(r for t in lines for r in t.runs),
        trusted=all(t.trusted for t in lines),
    )
