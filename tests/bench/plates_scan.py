"""From a printed page to the picture that somebody gives: ink, paper, a bound book, a scanner."""

from __future__ import annotations

import math
from dataclasses import dataclass
from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.bench.plates_pen import PX_PER_MM, XY, Floats, Ink, Rng

HALF_INKED = 32.0  # gray levels from half inked to wholly


@dataclass(frozen=True, slots=True, kw_only=True)
class Lie:
    """How a page lies on the glass: turned, stretched, and bent towards its fold.

    Attributes
    ----------
    size : tuple of float
        Of the page, mm.
    turn : float
        Radians.
    stretch : tuple of float
        Of the two directions.
    rise : float
        How far lines rise at the fold, mm.
    squeeze : float
        How far the page is drawn together at the fold, mm.
    reach : float
        From the fold, mm.
    """

    size: XY
    turn: float
    stretch: XY
    rise: float
    squeeze: float
    reach: float

    def bend(self, at: Floats) -> Floats:
        """From the flat page to the one that lies in the book, mm."""
        near = np.exp(-at[..., 0] / self.reach)
        return np.stack([at[..., 0] + self.squeeze * near, at[..., 1] - self.rise * near], axis=-1)

    def spin(self, at: Floats) -> Floats:
        """Turn and stretch about the middle."""
        c, s = math.cos(self.turn), math.sin(self.turn)
        middle = np.array(self.size) / 2
        off = (at - middle) * np.array(self.stretch)
        turned = [c * off[..., 0] - s * off[..., 1], s * off[..., 0] + c * off[..., 1]]
        return np.asarray(np.stack(turned, axis=-1) + middle)

    def apply(self, at: Floats) -> Floats:
        """From the flat page to the glass, mm."""
        return self.spin(self.bend(np.asarray(at, float)))

    def undo(self, at: Floats) -> Floats:
        """From the glass to the flat page, mm."""
        c, s = math.cos(self.turn), math.sin(self.turn)
        middle = np.array(self.size) / 2
        off = at - middle
        back = np.stack([c * off[..., 0] + s * off[..., 1], -s * off[..., 0] + c * off[..., 1]], -1)
        bent = back / np.array(self.stretch) + middle
        flat = bent
        for _ in range(4):
            flat = flat + bent - self.bend(flat)
        return np.asarray(flat)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A scanned page, and how it lies."""

    pixels: Ink
    lie: Lie
    dpi: int

    def to_px(self, at: XY) -> XY:
        """From mm of the page to px of the picture."""
        x, y = self.lie.apply(np.array(at)) * self.dpi / 25.4
        return float(x), float(y)


def lay(size: XY, rng: Rng) -> Lie:
    """Put a page on the glass."""
    bound = rng.random() < 0.6
    return Lie(
        size=size,
        turn=math.radians(float(rng.normal(0, 0.4))),
        stretch=(1 + float(rng.normal(0, 0.001)), 1 + float(rng.normal(0, 0.001))),
        rise=float(rng.normal(0, 0.7)) if bound else 0.0,
        squeeze=float(rng.uniform(0, 0.5)) if bound else 0.0,
        reach=float(rng.uniform(14, 30)),
    )


def scan(page: Ink, *, dpi: int, bilevel: bool, rng: Rng) -> Picture:
    """Print and scan a page.

    Parameters
    ----------
    page : uint8 array
        `PX_PER_MM`.
    dpi : int
    bilevel : bool
        Black and white only; else gray, through a JPEG.
    rng : Generator

    Returns
    -------
    Picture
    """
    size = page.shape[1] / PX_PER_MM, page.shape[0] / PX_PER_MM
    lie, per_mm = lay(size, rng), dpi / 25.4
    printed = _print(page, rng)
    soft = cv2.GaussianBlur(printed, (0, 0), 0.4 * PX_PER_MM / per_mm)
    seen = _look(soft, lie, per_mm)
    back = _look(cv2.GaussianBlur(printed, (0, 0), 10.0)[:, ::-1], lie, per_mm)
    ink = (255.0 - seen) / 255.0
    through = (255.0 - back) / 255.0 * float(rng.uniform(0.0, 0.13))
    paper = _paper(seen.shape, per_mm, lie, rng)
    dark = float(rng.uniform(18, 75))
    level = paper * (1.0 - through * (1.0 - ink))
    level = level * (1.0 - ink) + dark * ink + rng.normal(0, float(rng.uniform(1, 4)), seen.shape)
    pixels = np.clip(level, 0, 255).astype(np.uint8)
    if bilevel:
        around = cv2.GaussianBlur(paper.astype(np.float32), (0, 0), 12.0)
        pixels = np.where(level > float(rng.uniform(0.58, 0.74)) * around, 255, 0).astype(np.uint8)
    else:
        pixels = _pack(pixels, quality=int(rng.integers(45, 88)))
    return Picture(pixels=pixels, lie=lie, dpi=dpi)


def _print(page: Ink, rng: Rng) -> Ink:
    """Ink on rough paper: lines swell, thin ones are nicked."""
    soft = cv2.GaussianBlur(page, (0, 0), 0.035 * PX_PER_MM)
    level = _field(rng, page.shape, 0.12 * PX_PER_MM)
    level *= float(rng.uniform(6, 22))
    level += float(rng.uniform(105, 165))
    off = cv2.subtract(soft, level, dtype=cv2.CV_32F)
    return np.asarray(
        cv2.convertScaleAbs(
            np.clip(off, -HALF_INKED, HALF_INKED) + HALF_INKED, alpha=127.5 / HALF_INKED
        ),
        np.uint8,
    )


def _look(page: Ink, lie: Lie, per_mm: float) -> NDArray[np.float32]:
    w, h = (round(v * per_mm) for v in lie.size)
    x, y = np.meshgrid((np.arange(w) + 0.5) / per_mm, (np.arange(h) + 0.5) / per_mm)
    flat = lie.undo(np.stack([x, y], axis=-1)) * PX_PER_MM - 0.5
    maps = flat.astype(np.float32)
    seen = cv2.remap(page, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR, borderValue=(255.0,))
    return np.asarray(seen, np.float32)


def _paper(shape: tuple[int, ...], per_mm: float, lie: Lie, rng: Rng) -> NDArray[np.float32]:
    """Yellowed paper, darker at the fold, with spots."""
    tone = float(rng.uniform(185, 248))
    light = 1 + float(rng.uniform(0.003, 0.014)) * _field(rng, shape, 60 * per_mm)
    light += float(rng.uniform(0.003, 0.012)) * _field(rng, shape, 0.5 * per_mm)
    across = np.arange(shape[1]) / per_mm
    shade = float(rng.uniform(0.05, 0.4)) if lie.squeeze else 0.0
    light *= 1 - shade * np.exp(-across / (0.45 * lie.reach))[None, :]
    for _ in range(int(rng.integers(0, 14))):
        x, y = rng.uniform(0, shape[1]), rng.uniform(0, shape[0])
        size = float(rng.uniform(0.15, 0.9)) * per_mm
        left, top = int(max(x - 4 * size, 0)), int(max(y - 4 * size, 0))
        part = light[top : int(y + 4 * size), left : int(x + 4 * size)]
        if part.size:
            rows, columns = np.mgrid[: part.shape[0], : part.shape[1]]
            away = np.hypot(columns + left - x, rows + top - y) / size
            part *= 1 - float(rng.uniform(0.05, 0.3)) * np.exp(-(away**2))
    return np.asarray(np.minimum(tone * light, 255.0), np.float32)


def _pack(pixels: Ink, *, quality: int) -> Ink:
    buffer = BytesIO()
    Image.fromarray(pixels).save(buffer, "JPEG", quality=quality)
    buffer.seek(0)
    return np.asarray(Image.open(buffer), np.uint8)


def _field(rng: Rng, shape: tuple[int, ...], reach: float) -> NDArray[np.float32]:
    """A smooth random field of unit spread."""
    small = tuple(math.ceil(v / reach) + 3 for v in shape[:2])
    rough = rng.normal(0, 1, small).astype(np.float32)
    smooth = cv2.resize(rough, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(smooth, np.float32)
