"""Lettering by hand: single strokes or a handwritten face, fractions slanted, stacked or in line.

The single-stroke alphabets are two draughtsmen's, and those of the held-out sheets; each letter
is bent a little each time.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tests.bench.hand2_strokes import HANDS
from tests.bench.hand_pen import PX_PER_MM, Hand, Ink, Pen, Rng

Floats = NDArray[np.float64]

# Strokes on a grid of 6 x 9, y up: points as xy, strokes parted by spaces, `~` before bent ones.
UPRIGHT = {
    "0": "~391804113051645839",
    "1": "3930",
    "2": "~07195957330060 0060",
    "3": "~082959675525 ~255563511001",
    "4": "4903 0363 4940",
    "5": "590904 ~0455635110",
    "6": "~592603113051533514",
    "7": "095920",
    "8": "~395734052130526435082939",
    "9": "~66592907154567 6840",
    "/": "0069",
    ".": "2021",
    "-": "1454",
    '"': "2927 4947",
    "'": "3937",
    "#": "2910 5940 0363 0666",
    "(": "~492040",
    ")": "~295020",
    "A": "003960 1353",
    "B": "0900 ~0949675505 ~0555635100",
    "C": "~68390603105061",
    "D": "0900 ~0939656300",
    "E": "690900 0545 0060",
    "F": "690900 0545",
    "G": "~68390603205163 6334",
    "H": "0900 6960 0565",
    "I": "3930",
    "J": "~6963300102",
    "K": "0900 6904 2660",
    "L": "090060",
    "M": "0009346960",
    "N": "00096069",
    "O": "~39080130606839",
    "P": "0009 ~0959650504",
    "Q": "~39080130606839 4260",
    "R": "0900 ~0959656504 3560",
    "S": "~683908255462301001",
    "T": "0969 3930",
    "U": "~0902306269",
    "V": "093069",
    "W": "0910364060 4069",
    "X": "0960 6900",
    "Y": "0935 693530",
    "Z": "09690060",
    ":": "2122 2526",
    ",": "2110",
    "&": "~60384916023062",
    "±": "1454 3733 1050",
    "×": "1157 1751",
}
INCLINED = UPRIGHT | {
    "0": "~29050120526949 ~4929",
    "1": "173930",
    "2": "~072959674400 0060",
    "3": "0969 ~693545623001",
    "4": "29040363 5850",
    "5": "6919 1905 ~0556623001",
    "6": "~4916023052531402",
    "7": "0869 ~694530",
    "9": "~583916255469 ~6940",
    "A": "~003960 0464",
    "E": "6909 0900 0060 0444",
    "G": "~68390603205164 3464",
    "M": "0019346950",
    "R": "1900 ~19596504 3460",
    "S": "~683917546230 ~301001",
    "W": "0920374069",
    "Y": "0934 6910",
}
ALPHABETS = {"upright": UPRIGHT, "inclined": INCLINED, **HANDS}
GRID_HIGH = 9.0
ADVANCE = 8.0  # of the grid, from letter to letter
FACE_PX = 120
NARROW = "1./'I,:"
FRACTION = re.compile(r"(\d+)/(\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """How somebody letters: an alphabet of `ALPHABETS` or the file of a face.

    `height` of capitals, mm; `slant` in degrees; `uneven` is how much letters differ, as a share
    of their height; `fractions` are "stacked", "slanted" or "line"; `mark` stands after sizes.
    """

    alphabet: str = ""
    face: Path | None = None
    height: float
    slant: float
    uneven: float
    tight: float
    fractions: str
    mark: str = ""


def letter(text: str, how: Lettering, hand: Hand, rng: Rng) -> Ink:
    """Letter a text: ink on white, level, 600 dpi, cut to its ink.

    Parameters
    ----------
    text : str
        Fractions as `a/b`, a space before them where a whole number stands.
    how : Lettering
    hand : Hand
    rng : numpy.random.Generator

    Returns
    -------
    ndarray of uint8, shape (h, w)
    """
    pen = Pen((how.height * (2 + 1.3 * len(text)), 4.4 * how.height), hand, rng)
    _Writer(pen, how).write(text)
    return _cut(pen.page)


class _Writer:
    """Letters on a pen's page in one way."""

    def __init__(self, pen: Pen, how: Lettering) -> None:
        self.pen, self.how, self.rng = pen, how, pen.rng

    def write(self, text: str) -> None:
        """Letter a text from the left of the page on."""
        high = self.how.height
        x, foot = high, 2.7 * high
        for part in re.split(r"(\s*\d+/\d+)", text):
            found = FRACTION.search(part)
            if found:
                gap = 0.5 if self.how.fractions == "line" else 0.12
                x += gap * high if part[0] == " " else 0.0
                x = self.fraction(found[1], found[2], x, foot)
            else:
                x = self.word(part, x, foot, high)

    def word(self, text: str, x: float, foot: float, high: float) -> float:
        """Letter a word; returns where the next letter begins."""
        for character in text:
            if character == " ":
                x += 0.55 * high
                continue
            scale = high * (1 + self.how.uneven * float(self.rng.normal(0, 0.6)))
            at = foot + self.how.uneven * high * float(self.rng.normal(0, 0.5))
            one = self.draw if self.how.face is None else self.set
            x += one(character, x, at, scale)
        return x

    def fraction(self, top: str, bottom: str, x: float, foot: float) -> float:
        """Letter a fraction; returns where the next letter begins."""
        if self.how.fractions == "line":
            return self.word(f"{top}/{bottom}", x, foot, self.how.height)
        if self.how.fractions == "slanted":
            return self._slanted(top, bottom, x, foot)
        return self._stacked(top, bottom, x, foot)

    def _slanted(self, top: str, bottom: str, x: float, foot: float) -> float:
        high, r = self.how.height, self.rng
        small = high * float(r.uniform(0.62, 0.8))
        after = self.word(top, x, foot - 0.55 * high, small)
        lean = float(r.uniform(0.5, 0.8)) * high
        gap = float(r.uniform(-0.08, 0.1)) * high
        base = np.array([after + gap - 0.25 * lean, foot + 0.15 * high])
        top_end = base + np.array([lean, -1.5 * high])
        self.pen.stroke(np.stack([base, top_end]), waver=0.04)
        return self.word(bottom, after + gap + 0.32 * lean, foot + 0.1 * high, small)

    def _stacked(self, top: str, bottom: str, x: float, foot: float) -> float:
        high, r = self.how.height, self.rng
        small = high * float(r.uniform(0.62, 0.8))
        wide = 0.78 * small * self.how.tight
        width = wide * max(len(top), len(bottom))
        middle = foot - 0.5 * high
        gap = float(r.uniform(0.1, 0.28)) * small
        lean = float(r.normal(0, 0.05)) * high
        bar = [[x - 0.1 * small, middle + lean], [x + width + 0.05 * small, middle - lean]]
        self.pen.stroke(np.array(bar), waver=0.04)
        inset = [(width - wide * len(s)) / 2 for s in (top, bottom)]
        self.word(top, x + inset[0], middle - gap, small)
        self.word(bottom, x + inset[1], middle + gap + small, small)
        return x + width + 0.2 * high

    def draw(self, character: str, x: float, foot: float, high: float) -> float:
        """Draw one letter in single strokes; returns how far the next one stands."""
        how = self.how
        written = ALPHABETS[how.alphabet].get(character.upper())
        if written is None:
            return 0.5 * high
        lean = math.tan(math.radians(how.slant))
        shape = np.eye(2) + self.rng.normal(0, 0.5 * how.uneven, (2, 2))
        for points, bent in _strokes(written):
            rough = points + self.rng.normal(0, 9 * 0.35 * how.uneven, points.shape)
            path = _bent(rough) if bent and len(rough) > 2 else rough
            unit = (path / GRID_HIGH) @ shape.T
            across = x + high * (unit[:, 0] * how.tight + lean * unit[:, 1])
            self.pen.stroke(np.stack([across, foot - high * unit[:, 1]], axis=1), waver=0.0)
        return high * how.tight * (0.62 if character in NARROW else ADVANCE / GRID_HIGH)

    def set(self, character: str, x: float, foot: float, high: float) -> float:
        """Set one letter of a face, bent a little; returns how far the next one stands."""
        pen, how = self.pen, self.how
        assert how.face is not None
        face, capital = _face(how.face)
        scale, side = high * PX_PER_MM / capital, 2 * FACE_PX
        place = (side / 4, 3 * side / 4)
        bold = round(max(0.0, pen.hand.thin * PX_PER_MM / scale - _stem(how.face)) / 2)
        tile = Image.new("L", (side, side), 0)
        ImageDraw.Draw(tile).text(
            place, character, font=face, fill=255, anchor="ls", stroke_width=bold
        )
        lean = math.tan(math.radians(how.slant)) + how.uneven * float(self.rng.normal(0, 0.5))
        tilt = scale * how.uneven * float(self.rng.normal(0, 0.3))
        shape = np.array([[scale * how.tight, -scale * lean], [tilt, scale]])
        shift = np.array([x, foot]) * PX_PER_MM - shape @ np.array(place)
        h, w = pen.page.shape
        matrix = np.concatenate([shape, shift[:, None]], axis=1)
        laid = cv2.warpAffine(np.asarray(tile), matrix, (w, h), flags=cv2.INTER_LINEAR)
        level = 255.0 - laid.astype(np.float32) * ((255 - pen.hand.dark) / 255.0)
        np.minimum(pen.page, level.astype(np.uint8), out=pen.page)
        return float(face.getlength(character)) * scale * how.tight / PX_PER_MM


def _strokes(written: str) -> list[tuple[Floats, bool]]:
    strokes = []
    for piece in written.split():
        bent, digits = piece[0] == "~", piece.lstrip("~")
        points = [(int(digits[k]), int(digits[k + 1])) for k in range(0, len(digits) - 1, 2)]
        strokes.append((np.array(points, float), bent))
    return strokes


def _bent(points: Floats) -> Floats:
    """A smooth line through points (Catmull-Rom)."""
    p = np.concatenate([2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]])
    t = np.linspace(0, 1, 6, endpoint=False)[:, None]
    out = []
    for k in range(1, len(p) - 2):
        a, b, c, d = p[k - 1], p[k], p[k + 1], p[k + 2]
        out.append(
            0.5
            * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - a - 3 * c + d) * t**3
            )
        )
    return np.concatenate([*out, points[-1:]])


_FACES: dict[Path, ImageFont.FreeTypeFont] = {}


def _face(path: Path) -> tuple[ImageFont.FreeTypeFont, float]:
    face = _FACES.setdefault(path, ImageFont.truetype(str(path), FACE_PX))
    capital = -face.getbbox("H", anchor="ls")[1]
    return face, float(capital)


def _stem(path: Path) -> float:
    """Width of a face's strokes, px of its pictures."""
    left, _, right, _ = _face(path)[0].getbbox("l")
    return float(right - left)


def _cut(page: Ink) -> Ink:
    rows, columns = np.nonzero(page < 200)
    if not len(rows):
        return page[:1, :1]
    return page[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1].copy()


def paste(page: Ink, tile: Ink, centre: Sequence[float], angle: float) -> None:
    """Lay a lettered text on a page: its middle at so many mm, turned by degrees as seen."""
    h, w = tile.shape
    turn = math.radians(angle)
    reach = math.ceil(math.hypot(h, w) / 2) + 2
    c, s = math.cos(turn), math.sin(turn)
    matrix = np.array(
        [[c, s, reach - c * w / 2 - s * h / 2], [-s, c, reach + s * w / 2 - c * h / 2]]
    )
    side = 2 * reach
    laid = cv2.warpAffine(tile, matrix, (side, side), flags=cv2.INTER_LINEAR, borderValue=(255,))
    x, y = (round(v * PX_PER_MM) - reach for v in centre)
    left, top = max(0, -x), max(0, -y)
    part = page[max(0, y) : y + side, max(0, x) : x + side]
    cut = laid[top : top + part.shape[0], left : left + part.shape[1]]
    np.minimum(part, cut, out=part)
