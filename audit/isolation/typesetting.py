"""Set plain text beautifully on fresh PDF pages: embedded fonts, stacked fractions, wrapped lines.

Words used here: a *piece* is text in one style; a *word* is what no line break divides; a *line*
is the words that fit. All lengths are pt, places are from the top left of the page, y down.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import pymupdf as _pymupdf

from audit.errors import one_line
from audit.isolation.drawing_signs import BOLD_STROKE, SIGNS, STROKE
from audit.records import Rgb

pymupdf: Any = _pymupdf  # ships without types

INK: Rgb = (0.122, 0.161, 0.200)
SOFT: Rgb = (0.373, 0.424, 0.482)
RULE: Rgb = (0.847, 0.827, 0.776)
WHITE: Rgb = (1.0, 1.0, 1.0)

# A stacked fraction, shares of the type size: digits of 0.72 em capitals set at 0.66, a bar on
# the axis of the figures, and a little white above and below it.
FRACTION_SIZE, AXIS, BAR, BAR_GAP, FIGURE_HEIGHT = 0.66, 0.36, 0.05, 0.085, 0.72
FRACTION_SIDE = 0.05  # white before and after a fraction, ems
DRAWN = "drawn"  # in place of a font's name: signs that are strokes
LEADING = 1.38  # from line to line, type sizes; leaves room for stacked fractions

# after R, Ø and X a fraction is one; after other letters it is part of a name
_FRACTION = re.compile(r"(?<![\d/.A-QS-WYZ_a-z])(?:(\d{1,4}) )?(\d{1,3})/(\d{1,3})(?![\w/])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Text in one style; `plain` keeps ``3/4`` on the line (file names)."""

    text: str
    size: float = 9.5
    bold: bool = False
    colour: Rgb = INK
    plain: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """Piece of a word: a run of glyphs, or a fraction.

    A fraction has its numerator in `text`, its denominator in `under`, and in `whole` the whole
    number before it.
    """

    text: str
    style: Piece
    under: str = ""
    whole: str = ""
    width: float = 0.0


@dataclass(slots=True)
class _Word:
    parts: list[_Part] = field(default_factory=list)
    space: float = 0.0

    @property
    def width(self) -> float:
        return sum(part.width for part in self.parts)


class _Glyph(NamedTuple):
    """A character in a font: the glyph's number, and how far it moves on, in font sizes."""

    number: int
    advance: float


class Typesetter:
    """Writes text and shapes on the pages of a new document.

    Parameters
    ----------
    width : float
        Of every page, pt.
    height : float
        Of every page, pt.
    """

    def __init__(self, *, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.pages: list[list[str]] = []
        self._fonts: dict[str, Any] = {"Fr": pymupdf.Font("helv"), "Fb": pymupdf.Font("hebo")}
        self._names: dict[tuple[str, bool], str] = {}  # fonts by character: asking them is slow
        self._glyphs: dict[tuple[str, str], _Glyph] = {}

    def add_page(self) -> None:
        """Begin a new page; everything goes on the last one."""
        self.pages.append([])

    def font_for(self, character: str, *, bold: bool) -> str:
        """Name of the font that has a character; the fallback is loaded when first needed."""
        name = self._names.get((character, bold))
        if name is None:
            name = self._names[character, bold] = self._find_font(character, bold=bold)
        return name

    def _find_font(self, character: str, *, bold: bool) -> str:
        if character in SIGNS:
            return DRAWN
        name = "Fb" if bold else "Fr"
        if not self._fonts[name].has_glyph(ord(character)):
            name = "Ff"
        if name not in self._fonts:
            self._fonts[name] = pymupdf.Font("cjk")
        return name

    def _glyph(self, name: str, character: str) -> _Glyph:
        """Return a font's glyph of a character."""
        if name == DRAWN:
            return _Glyph(0, SIGNS[character].advance)
        glyph = self._glyphs.get((name, character))
        if glyph is None:
            font = self._fonts[name]
            glyph = _Glyph(
                font.has_glyph(ord(character)), float(font.text_length(character, fontsize=1))
            )
            self._glyphs[name, character] = glyph
        return glyph

    def _length(self, name: str, text: str, size: float) -> float:
        """Width of a text in one font."""
        return sum(self._glyph(name, character).advance for character in text) * size

    def runs(self, text: str, *, bold: bool) -> list[tuple[str, str]]:
        """Split text into runs of one font: pairs of font name and text."""
        runs: list[tuple[str, str]] = []
        for character in text:
            name = self.font_for(character, bold=bold)
            if runs and runs[-1][0] == name:
                runs[-1] = (name, runs[-1][1] + character)
            else:
                runs.append((name, character))
        return runs

    def measure(self, text: str, *, size: float, bold: bool = False) -> float:
        """Width of a text on one line, fractions not stacked."""
        runs = self.runs(text, bold=bold)
        return float(sum(self._length(name, t, size) for name, t in runs))

    def show(self, x: float, y: float, text: str, *, style: Piece) -> float:
        """Write glyphs with their base line at (x, y); return the place behind them."""
        for name, run in self.runs(text, bold=style.bold):
            if name == DRAWN:
                self._draw_signs(x, y, run, style)
                x += self._length(name, run, style.size)
                continue
            glyphs = "".join(f"{self._glyph(name, c).number:04x}" for c in run)
            self._put(
                f"BT {_rgb(style.colour)} rg /{name} {style.size:.3f} Tf "
                f"1 0 0 1 {x:.3f} {self.height - y:.3f} Tm <{glyphs}> Tj ET"
            )
            x += self._length(name, run, style.size)
        return x

    def _draw_signs(self, x: float, y: float, signs: str, style: Piece) -> None:
        """Draw signs that no font has; readers that know ActualText take them for what they are."""
        wide = (BOLD_STROKE if style.bold else STROKE) * style.size
        for sign in signs:
            self._put(f"/Span <</ActualText <feff{ord(sign):04x}>>> BDC")
            self._unseen(" ", x, y, style)
            self._put(
                f"q {_rgb(style.colour)} RG {wide:.3f} w 1 J 1 j "
                f"{SIGNS[sign].path(x, self.height - y, style.size)} S Q EMC"
            )
            x += SIGNS[sign].advance * style.size

    def show_line(self, x: float, y: float, words: Sequence[_Word]) -> float:
        """Write words one after the other on the base line y."""
        for index, word in enumerate(words):
            x += word.space if index else 0.0
            for part in word.parts:
                x = self._show_part(x, y, part)
        return x

    def _show_part(self, x: float, y: float, part: _Part) -> float:
        if not part.under:
            return self.show(x, y, part.text, style=part.style)
        style, size = part.style, part.style.size
        small = Piece(
            text="", size=size * FRACTION_SIZE, bold=style.bold, colour=style.colour, plain=True
        )
        before = self.measure(part.whole, size=size, bold=style.bold) if part.whole else 0.0
        axis, left = y - AXIS * size, x + before + FRACTION_SIDE * size
        inner = part.width - before - 2 * FRACTION_SIDE * size
        figure = FIGURE_HEIGHT * small.size
        # Readers that know ActualText take it; for the others a space and a slash stand there
        # unseen, so that a stacked fraction reads 3 3/8 and never 33 8.
        actual = f"{part.whole} {part.text}/{part.under}".strip().encode("utf-16-be").hex()
        self._put(f"/Span <</ActualText <feff{actual}>>> BDC")
        if part.whole:
            self.show(x, y, part.whole, style=style)
        over = self._centre(part.text, left, inner, small)
        under = self._centre(part.under, left, inner, small)
        self._unseen(" ", left, y, small)
        self.show(over, axis - BAR_GAP * size, part.text, style=small)
        self._unseen("/", left + inner / 2, y, small)
        self.show(under, axis + BAR_GAP * size + figure, part.under, style=small)
        self._put("EMC")
        self.rule(left, axis, left + inner, axis, colour=style.colour, width=BAR * size)
        return x + part.width

    def _centre(self, text: str, left: float, width: float, style: Piece) -> float:
        return left + (width - self.measure(text, size=style.size, bold=style.bold)) / 2

    def _unseen(self, text: str, x: float, y: float, style: Piece) -> None:
        """Write text that is read but not seen (render mode 3)."""
        self._put("3 Tr")
        self.show(x, y, text, style=style)
        self._put("0 Tr")

    def break_lines(self, pieces: Iterable[Piece], width: float) -> list[list[_Word]]:
        """Break pieces into lines no wider than `width`; a longer word is cut."""
        lines: list[list[_Word]] = [[]]
        used = 0.0
        for word in self._words(pieces, width):
            needed = word.width + (word.space if lines[-1] else 0.0)
            if lines[-1] and used + needed > width:
                lines.append([])
                used, needed = 0.0, word.width
            lines[-1].append(word)
            used += needed
        return lines

    def _words(self, pieces: Iterable[Piece], width: float) -> list[_Word]:
        words: list[_Word] = []
        joined = False
        for piece in pieces:
            text = piece.text if piece.text.isspace() else _fold(piece.text)
            space = self.measure(" ", size=piece.size, bold=piece.bold)
            for index, chunk in enumerate(_chunks(text, plain=piece.plain)):
                if index or not joined or text[:1] == " " or not words:
                    words.append(_Word(space=space))
                words[-1].parts.extend(self._cut(chunk, piece))
            joined = bool(text) and not text.endswith(" ")
        return [part for word in words for part in self._split_long(word, width)]

    def _cut(self, chunk: str, piece: Piece) -> list[_Part]:
        """Cut an unbreakable chunk into runs and fractions."""
        parts: list[_Part] = []
        last = 0
        for match in () if piece.plain else _FRACTION.finditer(chunk):
            whole, over, under = match.groups()
            parts += self._run(chunk[last : match.start()], piece)
            parts.append(self._fraction(whole or "", over, under, piece))
            last = match.end()
        return parts + self._run(chunk[last:], piece)

    def _run(self, text: str, piece: Piece) -> list[_Part]:
        if not text:
            return []
        wide = self.measure(text, size=piece.size, bold=piece.bold)
        return [_Part(text=text, style=piece, width=wide)]

    def _fraction(self, whole: str, over: str, under: str, piece: Piece) -> _Part:
        small = piece.size * FRACTION_SIZE
        inner = max(self.measure(t, size=small, bold=piece.bold) for t in (over, under))
        wide = inner + 2 * FRACTION_SIDE * piece.size + 0.08 * piece.size
        wide += self.measure(whole, size=piece.size, bold=piece.bold) if whole else 0.0
        return _Part(text=over, under=under, whole=whole, style=piece, width=wide)

    def _split_long(self, word: _Word, width: float) -> list[_Word]:
        """Cut a word that is wider than a whole line (a long file name)."""
        if word.width <= width or not word.parts:
            return [word]
        pieces: list[_Word] = [_Word(space=word.space)]
        for part in word.parts:
            texts = [part.text] if part.under else list(part.text)
            for text in texts:
                new = part if part.under else self._run(text, part.style)[0]
                if pieces[-1].parts and pieces[-1].width + new.width > width:
                    pieces.append(_Word(space=0.0))
                pieces[-1].parts.append(new)
        return pieces

    def rule(
        self, x0: float, y0: float, x1: float, y1: float, *, colour: Rgb = RULE, width: float = 0.6
    ) -> None:
        """Draw a straight line."""
        h = self.height
        self._put(
            f"q {_rgb(colour)} RG {width:.3f} w {x0:.3f} {h - y0:.3f} m {x1:.3f} {h - y1:.3f} l S Q"
        )

    def fill(self, x0: float, y0: float, x1: float, y1: float, *, colour: Rgb) -> None:
        """Fill a rectangle."""
        self._put(
            f"q {_rgb(colour)} rg {x0:.3f} {self.height - y1:.3f} "
            f"{x1 - x0:.3f} {y1 - y0:.3f} re f Q"
        )

    def stamp(self, operators: str, x: float, y: float) -> None:
        """Place operators written for an origin bottom left, y up, with that origin at (x, y)."""
        self._put(f"q 1 0 0 1 {x:.3f} {self.height - y:.3f} cm {operators} Q")

    def _put(self, operators: str) -> None:
        self.pages[-1].append(operators)

    def to_pdf(self) -> bytes:
        """Write the pages as a PDF with every font embedded."""
        doc = pymupdf.open()
        for operators in self.pages:
            page = doc.new_page(width=self.width, height=self.height)
            for name, font in self._fonts.items():
                page.insert_font(fontname=name, fontbuffer=font.buffer)
            xref = doc.get_new_xref()
            doc.update_object(xref, "<<>>")
            doc.update_stream(xref, "\n".join(operators).encode("ascii"))
            doc.xref_set_key(page.xref, "Contents", f"{xref} 0 R")
        if "Ff" in self._fonts:
            doc.subset_fonts()
        data = doc.tobytes(garbage=3, deflate=True)
        doc.close()
        return bytes(data)


def _chunks(text: str, *, plain: bool) -> list[str]:
    """Split at spaces, but never between a whole number and its fraction."""
    if plain:
        return text.split()
    held = _FRACTION.sub(lambda m: m.group(0).replace(" ", "\x00"), text)
    return [chunk.replace("\x00", " ") for chunk in held.split()]


def _fold(text: str) -> str:
    """One printable line; a space at either end is kept, it joins or parts two pieces."""
    left = " " if text[:1].isspace() else ""
    right = " " if text[-1:].isspace() else ""
    return f"{left}{one_line(text)}{right}"


def _rgb(colour: Rgb) -> str:
    return " ".join(f"{value:.3f}" for value in colour)
