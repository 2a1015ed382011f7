"""The picture as a witness of a page's own text: whether its letters look like what the file says.

A font with private codes turns Ø into P or n, a lying character map 5 into 6. So texts that may be
sizes are rendered and read by the network, until every character of every font was looked at.

Legend: a *pair* is a character of a font as the file says it, and as the picture shows it.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from audit.geometry import Box
from audit.lengths import Unit, is_size_like, parse_callouts
from audit.reading import TextLine, normalise_vote, vote
from audit.reading.network import NetworkReader
from audit.records import Candidate, Reading, Sheet
from audit.sheets import LoadedPlan, cut_upright

DPI, LARGE_DPI = 300.0, 200.0
LARGE_PT = 1300.0  # sides beyond a tabloid sheet's: rendered coarser, to stay quick
MARGIN = 0.25  # of the letter height, kept around a text
EACH = 2  # texts looked at for every character of a font
MOST_LOOKED = 120  # texts of one page
LONGEST = 28  # characters; longer texts are notes
LARGEST_PT = (1000.0, 100.0)  # a side of a text's box, its letters; larger texts are no sizes
SURE = 0.95  # of what the network reads, to speak against the file
BELIEVED = 0.9  # of what it reads, to stand for letters that the file does not know

# Characters that pass for each other in many faces: no proof that a font lies.
_GROUPS = ("0OØQD", "1IL|/", ".,", "5S", "2Z", "8B", "-=_~", "'°\"´`", "X×", "([{", ")]}")
LOOK_ALIKE = {c: frozenset(group) for group in _GROUPS for c in group}

Pair = tuple[str, str, str]  # font, character in the file, character in the picture
Said = tuple[Candidate, ...]


@dataclass(frozen=True, slots=True)
class WitnessedPage:
    """The texts of a page after its picture was heard.

    `lines` are the page's, with what the picture shows in the place of letters the file does not
    know; `said` what the picture says, by the text's box, where that speaks against the file or
    for it alone.
    """

    lines: tuple[TextLine, ...]
    said: Mapping[Box, Said] = field(default_factory=dict)

    def settle(self, reading: Reading, *, unit: Unit | None) -> Reading:
        """Put the picture's word beside the file's; the reading as it is where it has none."""
        said = self.said.get(reading.box, ())
        if not said:
            return reading
        heard = (*(c for c in reading.candidates if c.text != said[0].text), *said)
        settled = vote(heard, box=reading.box, angle=reading.angle, unit=unit)
        return reading if settled is None else settled


def witness_texts(plan: LoadedPlan, sheet: Sheet, lines: Sequence[TextLine]) -> WitnessedPage:
    """Compare the text layer of a drawn page with its picture.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
        A page that draws its texts.
    lines : sequence of TextLine
        Of its text layer.

    Returns
    -------
    WitnessedPage
        Everything as the file says where the network is missing, or nothing speaks against it.
    """
    asked = [line for line in lines if _is_asked(line)]
    if not asked or not NetworkReader().is_available():
        return WitnessedPage(tuple(lines))
    heard = _look(plan, sheet, choose_texts(asked))
    lies = find_lies(heard)
    more = [t for t in asked if t.box not in heard and _holds(t, lies)][:MOST_LOOKED]
    heard |= _look(plan, sheet, more)
    said = {box: votes for box, (line, votes) in heard.items() if _counts(line, votes, lies)}
    return WitnessedPage(tuple(_replaced(line, said) for line in lines), said)


def _is_asked(line: TextLine) -> bool:
    if not line.visible or "\n" in line.text or not 0 < len(line.text) <= LONGEST:
        return False
    if max(line.box.width, line.box.height) > LARGEST_PT[0] or line.height > LARGEST_PT[1]:
        return False
    return not line.trusted or is_size_like(line.text) or any(c.isdigit() for c in line.text)


def choose_texts(lines: Sequence[TextLine]) -> list[TextLine]:
    """Choose texts until every character of every font is among them `EACH` times.

    Those whose letters the file does not know are all chosen.
    """
    seen: Counter[tuple[str, str]] = Counter()
    chosen: list[TextLine] = []
    for line in sorted(lines, key=lambda t: t.trusted):
        needed = set(_characters(line))
        if line.trusted and all(seen[one] >= EACH for one in needed):
            continue
        if len(chosen) < MOST_LOOKED:
            seen.update(needed)
            chosen.append(line)
    return chosen


def _characters(line: TextLine) -> Iterable[tuple[str, str]]:
    for run in line.runs:
        for c in run.text:
            if not c.isspace():
                yield run.font, c


def _look(
    plan: LoadedPlan, sheet: Sheet, lines: Sequence[TextLine]
) -> dict[Box, tuple[TextLine, Said]]:
    """Render texts and hear what the network reads in them."""
    if not lines:
        return {}
    large = max(sheet.width, sheet.height) > LARGE_PT
    image = plan.gray(sheet, dpi=LARGE_DPI if large else DPI)
    to_px = image.to_frame.inverse()
    crops = []
    for line in lines:
        box = line.box.grown(MARGIN * line.height)
        box_px = Box.around([to_px.apply(corner) for corner in box.corners])
        crops.append(cut_upright(image.pixels, box_px, angle=line.angle, mirrored=sheet.mirrored))
    said = NetworkReader().read(crops)
    return {line.box: (line, votes) for line, votes in zip(lines, said, strict=True)}


def find_lies(heard: Mapping[Box, tuple[TextLine, Said]]) -> frozenset[Pair]:
    """Pairs in which file and picture differ wherever the character was looked at.

    A misread text differs once and agrees elsewhere; a lying font differs every time.
    """
    agreed: set[tuple[str, str]] = set()
    differing: Counter[Pair] = Counter()
    for line, votes in heard.values():
        if not votes or votes[0].confidence < SURE or not line.trusted:
            continue
        pairs = pair_characters(line.text, votes[0].text)
        fonts = {run.font for run in line.runs}
        for font in fonts if pairs is not None else ():
            own = {c for run in line.runs if run.font == font for c in run.text}
            for mine, shown in pairs or ():
                if mine not in own:
                    continue
                if mine == shown or {mine, shown} <= LOOK_ALIKE.get(mine, frozenset()):
                    agreed.add((font, mine))
                else:
                    differing[font, mine, shown] += 1
    return frozenset(pair for pair in differing if (pair[0], pair[1]) not in agreed)


def pair_characters(written: str, shown: str) -> list[tuple[str, str]] | None:
    """Characters of two spellings of one text beside each other; `None` where they don't match up.

    Examples
    --------
    >>> pair_characters("P 1/4", "Ø 1/4")
    [('P', 'Ø'), ('1', '1'), ('/', '/'), ('4', '4')]
    >>> pair_characters("1/4", "SEE NOTE 4") is None
    True
    """
    a, b = _folded(written), _folded(shown)
    pairs: list[tuple[str, str]] = []
    for what, i, j, k, n in difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        if what in ("equal", "replace") and j - i == n - k:
            pairs += zip(a[i:j], b[k:n], strict=True)
        else:
            return None
    return pairs


def _folded(text: str) -> str:
    return normalise_vote(text).replace(" ", "")


def _holds(line: TextLine, lies: Iterable[Pair]) -> bool:
    own = set(_characters(line))
    return any((font, mine) in own for font, mine, _ in lies)


def _counts(line: TextLine, votes: Said, lies: frozenset[Pair]) -> bool:
    """Whether the picture's word is to be heard beside the file's."""
    if not votes or _folded(votes[0].text) == _folded(line.text):
        return False
    return not line.trusted or (votes[0].confidence >= SURE and _holds(line, lies))


def _replaced(line: TextLine, said: Mapping[Box, Said]) -> TextLine:
    """Put what the picture shows in the place of letters that the file does not know."""
    votes = said.get(line.box, ())
    if line.trusted or not votes or votes[0].confidence < BELIEVED:
        return line
    if not parse_callouts(votes[0].text, unit=None):
        return line
    return replace(line, text=votes[0].text, trusted=True)
