"""Lettering of printed plates: serif type, and a draughtsman's letters, with fractions built up."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from tests.bench.plates_pen import PX_PER_MM, Ink, Lettered, Rng

PARTS = re.compile(r"(\d+)/(\d+)")
SMALL = {"bar": 0.64, "slant": 0.62}  # digits of a fraction to those beside it


@dataclass(frozen=True, slots=True, kw_only=True)
class Letters:
    """How letters are made: a face (none: the one that Pillow brings), by hand or set in type.

    Attributes
    ----------
    face : Path or None
    height : float
        Of a capital, mm.
    loose : float
        How much letters stand askew and uneven; 0 for type.
    slant : float
        Degrees that upright letters are leant.
    fraction : str
        "bar", "slant" or "line".
    narrow : float
        Width to the face's own.
    """

    face: Path | None
    height: float
    loose: float = 0.0
    slant: float = 0.0
    fraction: str = "bar"
    narrow: float = 1.0


class Piece(NamedTuple):
    """Some letters, ink 255: how far they reach below the base line, and to the next piece, px."""

    picture: Ink
    below: float
    advance: float
    before: float = 0.0


@lru_cache(maxsize=64)
def _font(face: Path | None, height_px: int) -> ImageFont.FreeTypeFont:
    def load(size: float) -> ImageFont.FreeTypeFont:
        font = ImageFont.load_default(size) if face is None else ImageFont.truetype(face, size)
        assert isinstance(font, ImageFont.FreeTypeFont)
        return font

    tall = -load(400).getbbox("H", anchor="ls")[1]
    return load(400 * height_px / tall)


def letter(text: str, letters: Letters, rng: Rng) -> Ink:
    """Draw a line of letters, ink 255, cut to its ink.

    Parameters
    ----------
    text : str
    letters : Letters
    rng : Generator

    Returns
    -------
    uint8 array of shape (height, width), `PX_PER_MM`
    """
    high = letters.height * PX_PER_MM
    parts = [text] if letters.fraction == "line" else _split(text)
    pieces = [piece for part in parts for piece in _draw(part, letters, rng)]
    wide = sum(piece.advance for piece in pieces) + 3 * high
    canvas = np.zeros((math.ceil(4 * high), math.ceil(wide)), np.uint8)
    x, base = high, 2.6 * high
    for piece in pieces:
        left = max(round(x - piece.before), 0)
        _put(canvas, piece.picture, round(base + piece.below - piece.picture.shape[0]), left)
        x += piece.advance
    lean = math.tan(math.radians(letters.slant))
    size = (canvas.shape[1] + math.ceil(2 * lean * high), canvas.shape[0])
    shear = np.array([[letters.narrow, -lean, lean * base], [0.0, 1.0, 0.0]])
    return _cut(cv2.warpAffine(canvas, shear, size, flags=cv2.INTER_LINEAR))


def write(text: str, letters: Letters, rng: Rng, *, turn: float = 0.0) -> Lettered:
    """Letters about the origin."""
    return Lettered(mask=letter(text, letters, rng), at=(0.0, 0.0), turn=turn)


def _split(text: str) -> Iterator[str | tuple[str, str]]:
    at = 0
    for found in PARTS.finditer(text):
        if found.start() > at:
            yield text[at : found.start()].rstrip(" ") or " "
        yield found[1], found[2]
        at = found.end()
    if at < len(text):
        yield text[at:]


def _draw(part: str | tuple[str, str], letters: Letters, rng: Rng) -> list[Piece]:
    high = letters.height * PX_PER_MM
    if isinstance(part, str):
        return _run(part, letters, high, rng)
    small = SMALL[letters.fraction] * high * float(rng.uniform(0.94, 1.06))
    above, under = (_cut(_join(_run(p, letters, small, rng))) for p in part)
    build = _stack if letters.fraction == "bar" else _slant
    picture, below = build(above, under, high)
    gap = 0.16 * high
    return [Piece(picture, below, picture.shape[1] + 2 * gap, before=-gap)]


def _stack(above: Ink, under: Ink, high: float) -> tuple[Ink, float]:
    bar, gap = max(2, round(0.075 * high)), max(3, round(0.16 * high))
    wide = max(above.shape[1], under.shape[1]) + round(0.1 * high)
    tall = above.shape[0] + under.shape[0] + bar + 2 * gap
    picture = np.zeros((tall, wide), np.uint8)
    _put(picture, above, 0, (wide - above.shape[1]) // 2)
    _put(picture, under, tall - under.shape[0], (wide - under.shape[1]) // 2)
    picture[above.shape[0] + gap : above.shape[0] + gap + bar] = 255
    return picture, (tall - high) / 2


def _slant(above: Ink, under: Ink, high: float) -> tuple[Ink, float]:
    run = round(0.42 * high)
    wide, tall = above.shape[1] + under.shape[1] + run // 2, round(1.12 * high)
    picture = np.zeros((tall, wide), np.uint8)
    _put(picture, above, 0, 0)
    _put(picture, under, tall - under.shape[0], wide - under.shape[1])
    middle = above.shape[1] + run // 4
    ends = (middle - run // 2, tall - 1), (middle + run // 2, 0)
    cv2.line(picture, *ends, 255, max(2, round(0.08 * high)), cv2.LINE_AA)
    return picture, 0.06 * high


def _put(picture: Ink, piece: Ink, top: int, left: int) -> None:
    top, left = max(top, 0), max(left, 0)
    into = picture[top : top + piece.shape[0], left : left + piece.shape[1]]
    np.maximum(into, piece[: into.shape[0], : into.shape[1]], out=into)


def _run(text: str, letters: Letters, high: float, rng: Rng) -> list[Piece]:
    words = list(text) if letters.loose else [text]
    return [_glyphs(w, letters, high, rng) for w in words]


def _glyphs(text: str, letters: Letters, high: float, rng: Rng) -> Piece:
    loose = letters.loose
    size = high * (1 + float(rng.normal(0, loose)))
    font = _font(letters.face, max(8, round(size)))
    wide, below, room = font.getlength(text), 0.55 * size, 0.6 * size
    image = Image.new("L", (max(1, round(wide + 2 * room)), round(2.3 * size)))
    at = (room, image.height - below)
    ImageDraw.Draw(image).text(at, text, font=font, fill=255, anchor="ls")
    picture = np.asarray(image, np.uint8)
    if loose:
        h, w = picture.shape
        turn = cv2.getRotationMatrix2D((w / 2, h - below), float(rng.normal(0, 40 * loose)), 1.0)
        turn[1, 2] += float(rng.normal(0, loose * size))
        picture = cv2.warpAffine(picture, turn, (w, h), flags=cv2.INTER_LINEAR)
    return Piece(picture, below, wide, before=room)


def _join(pieces: list[Piece]) -> Ink:
    wide = round(sum(p.advance for p in pieces) + 2 * pieces[0].before)
    canvas = np.zeros((max(p.picture.shape[0] for p in pieces) + 2, wide + 2), np.uint8)
    x, base = 0.0, canvas.shape[0] - pieces[0].below
    for p in pieces:
        _put(canvas, p.picture, round(base + p.below) - p.picture.shape[0], round(x))
        x += p.advance
    return canvas


def _cut(picture: Ink) -> Ink:
    """Cut a picture to its ink."""
    rows, columns = np.nonzero(picture.max(axis=1) > 40)[0], np.nonzero(picture.max(axis=0) > 40)[0]
    if not len(rows):
        return picture[:1, :1]
    return picture[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
