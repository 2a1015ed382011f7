"""Words on a plate's page: running heads, paragraphs, captions; invented."""

from __future__ import annotations

from dataclasses import replace

from tests.bench.plates_letters import Letters, write
from tests.bench.plates_pen import XY, Lettered, Rng

SENTENCES = (
    "Square the stock carefully and lay out both posts together so that the shoulders come alike.",
    "The rails are 3/4 x 3 in., cut full and planed to the gauge line.",
    "Bore the holes before the curve is sawed, for the bit will not then tear the edge.",
    "A good workman will try each joint dry, and mark it, before any glue is warmed.",
    "The top is got out of two boards, well seasoned, and cleated beneath with 1 1/4-in. strips.",
    "Plain oak, chestnut or whitewood will answer; the grain should run the long way of the piece.",
    "Fasten the back with 1 1/2-in. screws from within, where they will not be seen.",
    "When dry, scrape away what glue was pressed out, and smooth with No. 1 sandpaper on a block.",
    "It is well to leave the ends 1/2 in. long, and to trim them when the whole is together.",
    "Two coats of shellac, rubbed down with oil, make a finish that wears and is soon renewed.",
    "The drawings give every size that is wanted; those not given may be made to suit the stock.",
)
HEADS = ("PLAIN JOINERY", "WORK FOR THE BENCH", "THE HOME JOINER", "EASY PIECES IN WOOD")
CAPTIONS = ("Fig. {}.", "FIG. {}", "Fig. {}.  Working Drawing.", "Details of Fig. {}")
GAP = 0.62  # of a capital, between words


def line_of(
    words: list[str], letters: Letters, at: XY, *, wide: float, full: bool, rng: Rng
) -> list[Lettered]:
    """Set words in a line whose base begins at a place; `full` lines reach from side to side."""
    x, y = at
    pieces = [write(w, letters, rng) for w in words]
    used = sum(p.size[0] for p in pieces)
    gap = letters.height * GAP
    if full and len(pieces) > 1:
        gap = (wide - used) / (len(pieces) - 1)
    placed = []
    for word, piece in zip(words, pieces, strict=True):
        low = letters.height * (0.12 if any(c in word for c in "gjpqy,;") else 0.0)
        tall = any(c.isupper() or c in "bdfhklt/0123456789" for c in word)
        middle = y + low - (letters.height / 2 if tall else letters.height * 0.35)
        placed.append(piece.moved((x + piece.size[0] / 2, middle)))
        x += piece.size[0] + gap
    return placed


def paragraph(letters: Letters, at: XY, *, wide: float, lines: int, rng: Rng) -> list[Lettered]:
    """Some lines of running text under a place."""
    x, top = at
    sentences = [SENTENCES[int(k)] for k in rng.permutation(len(SENTENCES))]
    words = " ".join(sentences * (1 + lines // 8)).split()
    each = wide / (letters.height * 0.68)  # letters that a line holds, roughly
    placed, taken = [], 0
    for k in range(lines):
        first, count = taken, 0
        while taken < len(words) and count < each:
            count += len(words[taken]) + 1
            taken += 1
        base = top + (k + 1) * letters.height * 2.0
        last = k == lines - 1
        line = words[first : taken - 1] if not last else words[first : first + 4]
        taken -= 1
        placed += line_of(line, letters, (x, base), wide=wide, full=not last, rng=rng)
    return placed


def heading(text: str, letters: Letters, x: float, y: float, rng: Rng) -> Lettered:
    """A line about its middle."""
    return write(text, replace(letters, height=letters.height * 1.15), rng).moved((x, y))
