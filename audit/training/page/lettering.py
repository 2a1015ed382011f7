"""What dimensions say, as masks of letters: set in type, leaning, or lettered by hand."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image, ImageFont

from audit.training.page.canvas import OVER, stacked_tile, text_tile
from audit.training.page.styles import Style

LONE = 0.2  # of whole numbers are a 1: a stroke like those about it
FRACTIONS = ("fraction", "stack", "slanted")
BEFORE = ("", "", "", "", "", "R", "Ø", "ø ", "2X ", "4X Ø", "(", "R ")
AFTER = ("", "", "", "", '"', '"', " TYP", " DIA", " REF", ")", " THRU", "°", " mm", " D.")


def random_number(rng, unit: str) -> tuple[str, str, str]:
    """Whole, numerator, denominator; the last two empty when there is no fraction."""
    if unit == "digit":
        return "1" if rng.random() < LONE else str(rng.integers(1, 13)), "", ""
    whole = str(rng.integers(1, 40)) if rng.random() < 0.6 else ""
    if unit in FRACTIONS:
        d = int(rng.choice([2, 4, 8, 16, 32, 64]))
        if rng.random() < 0.75 or not whole:
            return whole, str(rng.integers(1, d)), str(d)
        return whole, "", ""
    if unit == "decimal":
        return f"{rng.uniform(0, 30):.{rng.integers(1, 5)}f}".lstrip("0"), "", ""
    if unit == "feet":
        return f"{rng.integers(1, 30)}'-{rng.integers(0, 12)}\"", "", ""
    return str(rng.integers(1, 900)), "", ""


def callout_tile(rng, s: Style) -> Image.Image:
    """Return the mask of one dimension text."""
    whole, n, d = random_number(rng, s.unit)
    before, after = str(rng.choice(BEFORE)), str(rng.choice(AFTER))
    if n and s.unit in ("stack", "slanted"):
        make = stacked_tile if s.unit == "stack" else _slanted_tile
        tile = make(before + whole, n, d, s.font, s.small)
        if after:
            tile = _beside(tile, text_tile(after, s.font), s)
        return lean_tile(tile, s.lean)
    text = before + whole + (f" {n}/{d}" if n and whole else f"{n}/{d}" if n else "") + after
    return words_tile(rng, s, text, s.font)


def words_tile(rng, s: Style, text: str, font: ImageFont.FreeTypeFont) -> Image.Image:
    """Return the mask of one line of text in a drawing's lettering."""
    if s.hand.letter and len(text) < 14:
        tile = _lettered_tile(rng, text, font, s.hand.letter)
    else:
        tile = text_tile(text, font)
    return lean_tile(tile, s.lean)


def lean_tile(tile: Image.Image, degrees: float) -> Image.Image:
    """Lean a mask over to the right."""
    if not degrees:
        return tile
    k = math.tan(math.radians(degrees))
    aside = abs(k) * tile.height
    start = k * tile.height if k > 0 else 0.0
    return tile.transform(
        (math.ceil(tile.width + aside), tile.height),
        Image.Transform.AFFINE,
        (1, k, -start, 0, 1, 0),
        resample=Image.Resampling.BILINEAR,
    )


def _lettered_tile(rng, text: str, font, unlike: float) -> Image.Image:
    """Letters one by one: turned, lifted, of unlike size and spacing."""
    pieces = []
    wide = float(rng.uniform(0.0, 0.25))
    for letter in text:
        if letter == " ":
            pieces.append(None)
            continue
        tile = text_tile(letter, font)
        size = 1 + 0.12 * unlike * float(rng.uniform(-1, 1))
        tile = tile.resize((max(2, round(tile.width * size)), max(2, round(tile.height * size))))
        tile = tile.rotate(
            unlike * float(rng.normal(0, 4)), resample=Image.Resampling.BILINEAR, expand=True
        )
        low = font.getbbox(letter)[3]
        pieces.append((tile, low))
    high = font.getbbox("H")[3] - font.getbbox("H")[1]
    space = round(0.4 * high)
    total = sum(space if p is None else p[0].width + round(wide * high) for p in pieces) + 4
    out = Image.new("L", (max(4, total), round(2.2 * high)), 0)
    x, base = 2, font.getbbox("H")[3]
    for piece in pieces:
        if piece is None:
            x += space
            continue
        tile, low = piece
        y = round(
            1.5 * high + (low - base) - tile.height + unlike * float(rng.normal(0, 0.05)) * high
        )
        out.paste(255, (x, y), tile)
        x += tile.width + round(wide * high + unlike * float(rng.normal(0, 0.03)) * high)
    box = out.getbbox()
    return out if box is None else out.crop(box)


def _slanted_tile(whole: str, top: str, bottom: str, font, small) -> Image.Image:
    """A whole number beside a fraction with a slanted bar."""
    n, d = text_tile(top, small), text_tile(bottom, small)
    w = text_tile(whole, font) if whole else Image.new("L", (1, 1), 0)
    bar = text_tile("/", font)
    high = round(max(w.height, bar.height, 1.35 * n.height))
    start = w.width + (n.height // 4 if whole else 0)
    tight = round(0.25 * bar.width)
    tile = Image.new("L", (start + n.width + bar.width + d.width, high), 0)
    if whole:
        tile.paste(w, (0, (high - w.height) // 2))
    tile.paste(255, (start, 0), n)
    at = start + n.width - tight
    tile.paste(255, (at, (high - bar.height) // 2), bar)
    tile.paste(255, (at + bar.width - tight, high - d.height), d)
    return tile


def _beside(first: Image.Image, second: Image.Image, s: Style) -> Image.Image:
    gap = round(s.text * OVER * 0.15)
    tile = Image.new("L", (first.width + gap + second.width, max(first.height, second.height)), 0)
    tile.paste(first, (0, (tile.height - first.height) // 2))
    tile.paste(second, (first.width + gap, (tile.height - second.height) // 2))
    return tile


def angle_text(rng) -> str:
    """A number of degrees."""
    return str(
        rng.choice(
            [f"{rng.integers(5, 150)}°", f"{rng.uniform(5, 90):.1f}°", "22 1/2°", "45°", "7°"]
        )
    )


def pick_words(rng, words: tuple[str, ...], most: int) -> str:
    """Some words in a row."""
    return " ".join(str(w) for w in rng.choice(np.array(words), int(rng.integers(1, most + 1))))
