"""Words of the held-out hands: every letter its own size, lean and place; gaps judged by eye.

A word is a picture, ink on white, level, 600 dpi. Fractions have a level bar, a slanted one, or
stand in the line.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from tests.bench.hand2_pen import BITS, FINEST_PX
from tests.bench.hand2_strokes import HANDS, OTHERWISE
from tests.bench.hand_pen import PX_PER_MM, Floats, Ink, Rng

GRID = 9.0
SELDOM = 0.2  # share of letters written in the other way
FACE_PX = 140
INKED = 200
PARTS = re.compile(r"(\s*\d+/\d+)")
FRACTION = re.compile(r"(\d+)/(\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Script:
    """How somebody letters: one of `HANDS`, or the file of a face.

    `height` of figures and `width` of strokes in mm; `lean` in degrees; `uneven` is how much
    letters differ, as a share; `tight` how narrow they are; `gap` between them as a share of the
    height; `fraction` is "bar", "slant" or "line", its figures `small` as high as others.
    """

    hand: str = ""
    face: Path | None = None
    height: float
    width: float
    lean: float
    uneven: float
    tight: float
    gap: float
    fraction: str
    small: float
    level: int


def write(text: str, script: Script, rng: Rng) -> Ink:
    """Write a text; fractions as `a/b`, a space before them where a whole number stands."""
    high = script.height
    size = (high * (2.5 + 1.2 * len(text)), 4.2 * high)
    page = np.full((round(size[1] * PX_PER_MM), round(size[0] * PX_PER_MM)), 255, np.uint8)
    _Writer(page, script, rng).write(text)
    return _trim(page)


class _Writer:
    """Writes on a page in one script; places are mm."""

    def __init__(self, page: Ink, script: Script, rng: Rng) -> None:
        self.page, self.script, self.rng = page, script, rng
        self.drift = float(rng.normal(0, 0.25 * script.uneven))  # of the foot, going along

    def write(self, text: str) -> None:
        """Write a text from the left on."""
        high = self.script.height
        x, foot = high, 2.6 * high
        before = " "
        for part in PARTS.split(text):
            found = FRACTION.search(part)
            if found is None:
                x = self.word(part, x, foot, high)
            else:
                away = 0.6 if before.isalpha() or self.script.fraction == "line" else 0.22
                x = self.fraction(found[1], found[2], x + away * high * (part[0] == " "), foot)
            before = part[-1:] or before

    def word(self, text: str, x: float, foot: float, high: float) -> float:
        """Write letters; returns where the next one begins."""
        uneven, rng = self.script.uneven, self.rng
        for one in text:
            if one == " ":
                x += high * float(rng.uniform(0.45, 0.7))
                continue
            size = high * (1 + uneven * float(rng.normal(0, 0.7)))
            at = foot + high * uneven * float(rng.normal(0, 0.45)) + self.drift * (x - high)
            draw = self._stroke_letter if self.script.face is None else self._set_letter
            x = draw(one, x, at, size) + high * self.script.gap * float(rng.uniform(0.6, 1.5))
        return x

    def fraction(self, top: str, bottom: str, x: float, foot: float) -> float:
        """Write a fraction in this script's way; returns where the next letter begins."""
        high, rng = self.script.height, self.rng
        if self.script.fraction == "line":
            return self.word(f"{top}/{bottom}", x, foot, high)
        small = high * self.script.small
        middle = foot - 0.5 * high + 0.1 * high * float(rng.normal())
        if self.script.fraction == "slant":
            return self._slanted(top, bottom, (x, middle), small)
        clear = small * float(rng.uniform(0.14, 0.3))
        above = self.word(top, x, middle - clear, small)
        below = self.word(bottom, x, middle + clear + small, small)
        tilt = float(rng.normal(0, 0.06)) * high
        ends = [[x - 0.12 * high, middle + tilt], [max(above, below) + 0.02 * high, middle - tilt]]
        self._stroke(np.array(ends))
        return max(above, below) + 0.15 * high

    def _slanted(self, top: str, bottom: str, at: tuple[float, float], small: float) -> float:
        """Write one figure up on the left, the other down on the right of a slash."""
        high, rng, (x, middle) = self.script.height, self.rng, at
        after = self.word(top, x, middle + 0.05 * high, small)
        run, rise = (high * float(rng.uniform(*ends)) for ends in ((0.45, 0.75), (0.65, 0.85)))
        start = after - 0.02 * high
        ends = np.array([[start, middle + rise], [start + run, middle - rise]])
        self._stroke(ends)
        return self.word(bottom, start + 0.75 * run, middle + 0.2 * high + small, small)

    def _stroke_letter(self, one: str, x: float, foot: float, high: float) -> float:
        """Draw one letter in strokes; returns where it ends."""
        script, rng = self.script, self.rng
        written = HANDS[script.hand].get(one.upper())
        if rng.random() < SELDOM:
            written = OTHERWISE[script.hand].get(one, written)
        if written is None:
            return x + 0.4 * high
        paths = [(_points(piece), piece[0] == "~") for piece in written.split()]
        left = min(float(p[:, 0].min()) for p, _ in paths)
        right = max(float(p[:, 0].max()) for p, _ in paths)
        bend = np.eye(2) + rng.normal(0, 0.45 * script.uneven, (2, 2))
        lean = math.tan(math.radians(script.lean + 30 * script.uneven * float(rng.normal())))
        for points, bent in paths:
            rough = points - [left, 0] + rng.normal(0, 2.2 * script.uneven, points.shape)
            unit = (_round(rough) if bent and len(rough) > 2 else rough) / GRID @ bend.T
            across = x + high * (script.tight * unit[:, 0] + lean * unit[:, 1])
            self._stroke(np.stack([across, foot - high * unit[:, 1]], axis=1))
        return x + high * script.tight * (right - left) / GRID

    def _set_letter(self, one: str, x: float, foot: float, high: float) -> float:
        """Set one letter of a face, bent a little; returns where it ends."""
        script, rng = self.script, self.rng
        assert script.face is not None
        face, tall, stem = _open(script.face)
        scale, side = high * PX_PER_MM / tall, 3 * FACE_PX
        tile = Image.new("L", (side, side), 0)
        bold = round(max(0.0, script.width * PX_PER_MM / scale - stem) / 2)
        place = (side // 3, 2 * side // 3)
        ImageDraw.Draw(tile).text(place, one, font=face, fill=255, anchor="ls", stroke_width=bold)
        lean = math.tan(math.radians(script.lean + 30 * script.uneven * float(rng.normal())))
        bend = scale * np.array(
            [[script.tight, -lean], [script.uneven * float(rng.normal(0, 0.3)), 1]]
        )
        shift = np.array([x, foot]) * PX_PER_MM - bend @ np.array(place)
        h, w = self.page.shape
        laid = cv2.warpAffine(
            np.asarray(tile), np.column_stack([bend, shift]), (w, h), flags=cv2.INTER_AREA
        )
        tone = 255.0 - laid.astype(np.float32) * (255 - script.level) / 255.0
        np.minimum(self.page, tone.astype(np.uint8), out=self.page)
        return x + float(face.getlength(one)) * scale * script.tight / PX_PER_MM

    def _stroke(self, points: Floats) -> None:
        ends = np.round(points * PX_PER_MM * 2**BITS).astype(int)
        press = self.rng.uniform(-0.15, 0.15, len(ends))
        for k in range(len(ends) - 1):
            thick = max(FINEST_PX, round(self.script.width * (1 + float(press[k])) * PX_PER_MM))
            p, q = ends[k].tolist(), ends[k + 1].tolist()
            cv2.line(self.page, p, q, self.script.level, thick, cv2.LINE_AA, BITS)


def _points(piece: str) -> Floats:
    digits = piece.lstrip("~")
    return np.array(
        [(int(a), int(b)) for a, b in zip(digits[::2], digits[1::2], strict=True)], float
    )


def _round(points: Floats) -> Floats:
    """Round a broken line off: corners are cut twice (Chaikin), its ends stay."""
    for _ in range(2):
        a, b = points[:-1], points[1:]
        cut = np.stack([0.75 * a + 0.25 * b, 0.25 * a + 0.75 * b], axis=1).reshape(-1, 2)
        points = np.concatenate([points[:1], cut[1:-1], points[-1:]])
    return points


_OPEN: dict[Path, tuple[ImageFont.FreeTypeFont, float, float]] = {}


def _open(path: Path) -> tuple[ImageFont.FreeTypeFont, float, float]:
    """Open a face: with the height of its figures and the width of its strokes, px."""
    if path not in _OPEN:
        face = ImageFont.truetype(str(path), FACE_PX)
        left, _, right, _ = face.getbbox("l")
        _OPEN[path] = face, float(-face.getbbox("4", anchor="ls")[1]), float(right - left)
    return _OPEN[path]


def _trim(page: Ink) -> Ink:
    rows, columns = np.nonzero(page < INKED)
    if not len(rows):
        return page[:1, :1]
    return page[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1].copy()
