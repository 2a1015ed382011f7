"""Lettering of the later working drawings: single strokes or type, and fractions three ways."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from tests.bench.plates_pen import PX_PER_MM, Ink, Lettered, Rng
from tests.bench.plates_work2_strokes import HIGH, glyph

FRACTION = re.compile(r"(\d+)/(\d+)")
SMALL = {"stack": 0.72, "raised": 0.68}  # of a fraction's figures, to the others
TIGHT, WORD = 0.16, 0.5  # heights between a figure, or a word, and a fraction
ROOM = 0.9  # heights left free about a run of letters
SUBPIXEL = 4  # bits of a pixel's fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """How a sheet is lettered.

    Attributes
    ----------
    face : Path, optional
        Of the type; none for a pen's single strokes.
    height : float
        Of a capital, mm.
    figures : str
        Whose figures the pen draws.
    weight : float
        Of the pen's stroke, to the height.
    loose : float
        How uneven the pen's letters are; 0 for a template.
    slant : float
        Degrees.
    narrow : float
        Width to the letters' own.
    fraction : str
        "stack", "raised", or "line" for figures of full height.
    """

    face: Path | None
    height: float
    figures: str = "round"
    weight: float = 0.1
    loose: float = 0.0
    slant: float = 0.0
    narrow: float = 1.0
    fraction: str = "stack"

    def sized(self, times: float) -> Lettering:
        """The same, larger or smaller."""
        return replace(self, height=self.height * times)


@dataclass(frozen=True, slots=True)
class Run:
    """Letters, ink 255; `base` is the row of their base line."""

    mask: Ink
    base: int


def letter(text: str, how: Lettering, rng: Rng, *, turn: float = 0.0) -> Lettered:
    """Letters about the origin, turned by degrees."""
    parts = list(_parts(text, how))
    px = how.height * PX_PER_MM
    gaps = [round((WORD if " " in (a[-1], b[0]) else TIGHT) * px) for a, b in pairwise(parts)]
    joined = _row([_part(part, how, rng) for part in parts], gaps)
    return Lettered(mask=_leant(joined, how.slant), at=(0.0, 0.0), turn=turn)


def _parts(text: str, how: Lettering) -> Iterator[str | tuple[str, str]]:
    """Runs of letters, and fractions where they are built up."""
    if how.fraction == "line":
        yield text
        return
    at = 0
    for found in FRACTION.finditer(text):
        before = text[at : found.start()]
        if before:
            yield re.sub(r"(?<=\d) $", "", before)
        yield found[1], found[2]
        at = found.end()
    if at < len(text):
        yield text[at:]


def _part(part: str | tuple[str, str], how: Lettering, rng: Rng) -> Run:
    if isinstance(part, str):
        return _run(part, how, rng)
    small = how.sized(SMALL[how.fraction])
    above, under = (_cut(_run(p, small, rng)).mask for p in part)
    high = round(how.height * PX_PER_MM)
    return _stacked(above, under, high, how) if how.fraction == "stack" else _raised(
        above, under, high, how
    )  # fmt: skip


def _stacked(above: Ink, under: Ink, high: int, how: Lettering) -> Run:
    """Figures over and under a level bar."""
    bar, gap = max(2, round(0.9 * how.weight * high)), round(0.15 * high)
    wide = max(above.shape[1], under.shape[1]) + round(0.14 * high)
    mask = np.zeros((above.shape[0] + under.shape[0] + bar + 2 * gap, wide), np.uint8)
    _put(mask, above, 0, (wide - above.shape[1]) // 2)
    _put(mask, under, mask.shape[0] - under.shape[0], (wide - under.shape[1]) // 2)
    top = above.shape[0] + gap
    mask[top : top + bar] = 255
    return Run(mask, top + bar // 2 + high // 2)


def _raised(above: Ink, under: Ink, high: int, how: Lettering) -> Run:
    """A raised figure, a slant stroke, a lowered one."""
    lean, tall = round(0.36 * high), round(1.06 * high)
    mask = np.zeros((tall, above.shape[1] + lean + under.shape[1]), np.uint8)
    _put(mask, above, 0, 0)
    _put(mask, under, tall - under.shape[0], above.shape[1] + lean)
    x = above.shape[1] + lean // 2
    ends = (x - lean // 2, tall - 2), (x + lean // 2, 1)
    cv2.line(mask, *ends, 255, max(2, round(0.8 * how.weight * high)), cv2.LINE_AA)
    return Run(mask, round(1.02 * high))


def _run(text: str, how: Lettering, rng: Rng) -> Run:
    return _typed(text, how) if how.face else _penned(text, how, rng)


def _penned(text: str, how: Lettering, rng: Rng) -> Run:
    """Draw letters with single strokes."""
    unit = how.height * PX_PER_MM / HIGH
    room = ROOM * HIGH * unit
    wide = math.ceil(2 * room + len(text) * 7.5 * unit)
    mask = np.zeros((math.ceil(HIGH * unit + 2 * room), wide), np.uint8)
    base, x = HIGH * unit + room, room
    thick = max(2, round(how.weight * how.height * PX_PER_MM))
    for sign in text:
        strokes, width = glyph(sign, how.figures)
        small = 0.8 if sign.islower() else 1.0
        size = small * unit * (1 + float(rng.normal(0, how.loose)))
        rise, lean = rng.normal(0, how.loose, 2)
        for stroke in strokes:
            wobble = rng.normal(0, 1.2 * how.loose, stroke.shape) if len(stroke) < 9 else 0.0
            px = (stroke + wobble) * size
            at = np.stack([x + how.narrow * px[:, 0] + lean * px[:, 1],
                           base - px[:, 1] - 3 * rise * unit], axis=1)  # fmt: skip
            fixed = np.round(at * (1 << SUBPIXEL)).astype(np.int32)
            cv2.polylines(mask, [fixed], False, 255, thick, cv2.LINE_AA, SUBPIXEL)
        gap = 1.6 + float(rng.normal(0, 5 * how.loose))
        x += how.narrow * (width * small + max(gap, 1.0)) * unit
    return Run(mask[:, : math.ceil(x + room)], round(base))


def _typed(text: str, how: Lettering) -> Run:
    """Set letters in type."""
    high = how.height * PX_PER_MM
    font = _font(how.face, round(high))
    room = round(ROOM * high)
    size = math.ceil(font.getlength(text)) + 2 * room, math.ceil(high) + 2 * room
    image = Image.new("L", size)
    ImageDraw.Draw(image).text((room, size[1] - room), text, font=font, fill=255, anchor="ls")
    mask = np.asarray(image, np.uint8)
    if how.narrow != 1.0:
        narrow = (max(1, round(size[0] * how.narrow)), size[1])
        mask = np.asarray(cv2.resize(mask, narrow, interpolation=cv2.INTER_AREA), np.uint8)
    return Run(mask, size[1] - room)


@lru_cache(maxsize=64)
def _font(face: Path | None, high: int) -> ImageFont.FreeTypeFont:
    """The face, its capitals so many px high."""
    tall = -ImageFont.truetype(str(face), 400).getbbox("H", anchor="ls")[1]
    return ImageFont.truetype(str(face), 400 * high / tall)


def _row(runs: list[Run], gaps: list[int]) -> Ink:
    """Runs side by side on one base line, cut to their ink."""
    cut = [_sides(run) for run in runs]
    up = max(run.base for run in cut)
    low = max(run.mask.shape[0] - run.base for run in cut)
    wide = sum(run.mask.shape[1] for run in cut) + sum(gaps)
    mask, x = np.zeros((up + low, wide), np.uint8), 0
    for run, gap in zip(cut, [*gaps, 0], strict=True):
        _put(mask, run.mask, up - run.base, x)
        x += run.mask.shape[1] + gap
    return _cut(Run(mask, up)).mask


def _sides(run: Run) -> Run:
    """Cut what is empty at the left and right; a space before or behind goes too."""
    columns = np.nonzero(run.mask.max(axis=0) > 40)[0]
    if not len(columns):
        return Run(run.mask[:, : max(1, run.mask.shape[1] // 4)], run.base)
    return Run(run.mask[:, columns[0] : columns[-1] + 1], run.base)


def _cut(run: Run) -> Run:
    run = _sides(run)
    rows = np.nonzero(run.mask.max(axis=1) > 40)[0]
    if not len(rows):
        return run
    return Run(run.mask[rows[0] : rows[-1] + 1], run.base - int(rows[0]))


def _put(into: Ink, piece: Ink, top: int, left: int) -> None:
    part = into[top : top + piece.shape[0], left : left + piece.shape[1]]
    np.maximum(part, piece[: part.shape[0], : part.shape[1]], out=part)


def _leant(mask: Ink, slant: float) -> Ink:
    lean = math.tan(math.radians(slant))
    if not lean:
        return mask
    high, wide = mask.shape
    shear = np.array([[1.0, -lean, lean * high], [0.0, 1.0, 0.0]])
    leant = cv2.warpAffine(mask, shear, (wide + math.ceil(lean * high), high))
    return _cut(Run(np.asarray(leant, np.uint8), high)).mask
