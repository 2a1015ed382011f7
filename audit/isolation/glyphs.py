"""Runs of text on a page, each with its place, direction, and whether its letters can be trusted.

A PDF keeps character codes; what they mean is said by the font. Fonts without a usable map give
letters that look right in a viewer and read as something else, so their runs are marked
untrusted and nothing is judged by them alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from audit.geometry import Box, Point
from audit.records import Glyphs

Char = tuple[str, Point, float, Box]  # letter, origin, advance in pt, upright box

CAP_HEIGHT = 0.72  # of the font size: digits and capitals of common faces are 0.66 to 0.76
DESCENT = 0.21
DESCENDING = frozenset("gjpqy,;()[]{}Qµ|")
ASIDE_BREAK = 0.08  # of the font size: a base line this far off starts another run
GAP_BREAK = 1.2  # of the font size: a gap this wide starts another run
GAP_SPACE = 0.2  # of the font size: a gap this wide is a space; kerning stays under 0.15
BACK_BREAK = 0.35
INVISIBLE_MODE = 3
WHITE = 0.97
MAX_CHARS = 200_000

# Places of the drawing signs in fonts made of them (common practice, no source).
SIGN_FONT = re.compile(r"gdt|gd&t|geomtol", re.IGNORECASE)
SIGNS = {"n": "Ø", "o": "□", "v": "⌴", "w": "⌵", "x": "↧", "y": "⌲", "z": "⌳"}
_STANDARD_ENCODINGS = ("/WinAnsiEncoding", "/MacRomanEncoding", "/StandardEncoding")


@dataclass(frozen=True, slots=True)
class _Style:
    font: str
    size: float
    ux: float
    uy: float
    visible: bool
    trusted: bool


def extract_glyphs(document: Any, page: Any) -> list[tuple[int, Glyphs]]:
    """Read the text of a page, run by run, each with the number of its drawing operation."""
    private = _untrusted_fonts(document, page)
    result: list[tuple[int, Glyphs]] = []
    count = 0
    for span in page.get_texttrace():
        count += len(span["chars"])
        if count > MAX_CHARS:
            break
        style = _style(span, private)
        for run in _split(_chars(span, style), style):
            glyphs = _glyphs(run, style)
            if glyphs is not None:
                result.append((int(span["seqno"]), glyphs))
    return result


def _style(span: dict[str, Any], private: frozenset[str]) -> _Style:
    ux, uy = span["dir"]
    size = math.hypot(ux, uy)
    font = str(span["font"])
    colour = span.get("color") or (0.0,)
    white = min(float(c) for c in colour) >= WHITE and len(colour) != 4
    opacity = span.get("opacity")
    clear = opacity is not None and float(opacity) < 0.05
    return _Style(
        font=font,
        size=float(span["size"]),
        ux=ux / size if size else 1.0,
        uy=uy / size if size else 0.0,
        visible=span["type"] != INVISIBLE_MODE and not white and not clear,
        trusted=_bare(font) not in private,
    )


def _chars(span: dict[str, Any], style: _Style) -> Iterator[Char]:
    signs = bool(SIGN_FONT.search(style.font))
    c, s = abs(style.ux), abs(style.uy)
    for code, _glyph, origin, bbox in span["chars"]:
        letter = chr(code) if 0 < code < 0x110000 else "\ufffd"
        if signs:
            letter = SIGNS.get(letter, letter)
        x0, y0, x1, y1 = bbox
        # the box is an upright one around a turned rectangle, `size` high and `advance` long
        advance = (x1 - x0 - style.size * s) / c if c >= s else (y1 - y0 - style.size * c) / s
        yield letter, Point(*origin), max(advance, 0.0), Box(x0, y0, x1, y1)


def _split(chars: Iterator[Char], style: _Style) -> Iterator[list[Char]]:
    """Break a span where its letters jump, and put spaces into gaps."""
    run: list[Char] = []
    for char in chars:
        if run:
            gap, aside = _jump(run[-1], char, style)
            apart = abs(aside) > ASIDE_BREAK * style.size
            if apart or gap > GAP_BREAK * style.size or gap < -BACK_BREAK * style.size:
                yield run
                run = []
            elif gap > GAP_SPACE * style.size and run[-1][0] != " " and char[0] != " ":
                end = Point(
                    run[-1][1].x + run[-1][2] * style.ux, run[-1][1].y + run[-1][2] * style.uy
                )
                run.append((" ", end, gap, Box(*end, *end)))
        run.append(char)
    if run:
        yield run


def _jump(before: Char, after: Char, style: _Style) -> tuple[float, float]:
    dx, dy = after[1].x - before[1].x, after[1].y - before[1].y
    along = dx * style.ux + dy * style.uy
    return along - before[2], dy * style.ux - dx * style.uy


def _glyphs(run: list[Char], style: _Style) -> Glyphs | None:
    while run and run[0][0].isspace():
        run = run[1:]
    spaces = 0.0
    while run and run[-1][0].isspace():
        spaces += run[-1][2]
        run = run[:-1]
    if not run or style.size <= 0:
        return None
    text = "".join(c[0] for c in run)
    start, end = run[0][1], run[-1][1]
    length = (end.x - start.x) * style.ux + (end.y - start.y) * style.uy + run[-1][2]
    up = CAP_HEIGHT * style.size
    down = DESCENT * style.size if DESCENDING & set(text) else 0.02 * style.size
    return Glyphs(
        text=text,
        origin=start,
        angle=math.degrees(math.atan2(-style.uy, style.ux)) + 0.0,
        size=style.size,
        font=style.font,
        quad=_quad(start, style, length, up, down),
        chars=tuple((c[0], c[3]) for c in run),
        visible=style.visible,
        trusted=style.trusted and not any(_is_private(c[0]) for c in run),
        spaces_after=spaces,
    )


def _quad(
    start: Point, style: _Style, length: float, up: float, down: float
) -> tuple[Point, Point, Point, Point]:
    ux, uy = style.ux, style.uy
    vx, vy = uy, -ux  # up the page when the text runs left to right
    ex, ey = start.x + length * ux, start.y + length * uy
    return (
        Point(start.x + up * vx, start.y + up * vy),
        Point(ex + up * vx, ey + up * vy),
        Point(ex - down * vx, ey - down * vy),
        Point(start.x - down * vx, start.y - down * vy),
    )


def _is_private(letter: str) -> bool:
    code = ord(letter)
    return letter == "\ufffd" or code < 32 or 0xE000 <= code <= 0xF8FF or 0x80 <= code < 0xA0


def _bare(name: str) -> str:
    """Font name without its subset prefix."""
    return name.split("+", 1)[-1]


def _untrusted_fonts(document: Any, page: Any) -> frozenset[str]:
    return frozenset(
        _bare(str(name))
        for xref, _ext, kind, name, *_ in page.get_fonts(full=True)
        if not _has_character_map(document, int(xref), str(kind), str(name))
    )


def _has_character_map(document: Any, xref: int, kind: str, name: str) -> bool:
    """Whether the font itself says which letters its codes are."""
    if xref <= 0:  # written straight into the page's resources: cannot be looked at
        return True
    if document.xref_get_key(xref, "ToUnicode")[0] != "null":
        return True
    encoding_kind, encoding = document.xref_get_key(xref, "Encoding")
    if kind == "Type0":
        return _known_cids(encoding)
    if encoding_kind == "name" and encoding in _STANDARD_ENCODINGS:
        return kind != "Type3"
    if encoding_kind in ("xref", "dict"):
        return True  # a glyph name without a meaning comes out as U+FFFD and is caught there
    # built-in encoding: the glyph names of a Type 1 program are good; a subset TrueType has none
    embedded = document.xref_get_key(xref, "FontDescriptor")[0] != "null"
    return not embedded or (kind in ("Type1", "MMType1") and "+" not in name)


def _known_cids(encoding: str) -> bool:
    return not encoding.startswith("/Identity")
