"""From a bought plan to the picture of it: downloaded, scanned, copied, folded, faxed.

Gray lines stay gray here, other than in `plates_scan`, which prints a book.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.bench.plates_pen import PX_PER_MM, Floats, Ink, Rng
from tests.bench.plates_scan import Lie, Picture

Gray = NDArray[np.float32]
SPECK_SHARE = 3e-5  # of a copy's pixels


def scan_bought(page: Ink, *, dpi: int, bilevel: bool, rng: Rng) -> Picture:
    """Turn a page, `PX_PER_MM`, into the picture of it that somebody has.

    Parameters
    ----------
    page : uint8 array
    dpi : int
    bilevel : bool
        Black and white only: faxed, or scanned as a document; else gray.
    rng : Generator

    Returns
    -------
    Picture
    """
    ways: tuple[Callable[..., Ink], ...] = (_fax, _document) if bilevel else (
        _download, _download, _glass, _glass, _glass, _copy, _copy, _folded,
    )  # fmt: skip
    way = ways[int(rng.integers(len(ways)))]
    lie = _lay(page, rng, flat=way is _download, uneven=0.002 if way is _fax else 0.0008)
    seen, off = _look(page, lie, dpi / 25.4)
    return Picture(pixels=way(seen, off, dpi / 25.4, rng), lie=lie, dpi=dpi)


def _lay(page: Ink, rng: Rng, *, flat: bool, uneven: float) -> Lie:
    """Put a page on the glass, a little askew; a download lies straight."""
    turn, both, one = rng.normal(0, 0.5), rng.normal(0, 0.004), rng.normal(0, uneven)
    return Lie(
        size=(page.shape[1] / PX_PER_MM, page.shape[0] / PX_PER_MM),
        turn=0.0 if flat else math.radians(float(turn)),
        stretch=(1.0, 1.0) if flat else (1.0 + float(both), 1.0 + float(both + one)),
        rise=0.0, squeeze=0.0, reach=20.0,
    )  # fmt: skip


def _look(page: Ink, lie: Lie, per_mm: float) -> tuple[Gray, Floats]:
    """The page as it lies, and how far each place is off the paper, mm."""
    soft = cv2.GaussianBlur(page, (0, 0), 0.38 * PX_PER_MM / per_mm)
    w, h = (round(v * per_mm) for v in lie.size)
    x, y = np.meshgrid((np.arange(w) + 0.5) / per_mm, (np.arange(h) + 0.5) / per_mm)
    flat = lie.undo(np.stack([x, y], axis=-1))
    maps = (flat * PX_PER_MM - 0.5).astype(np.float32)
    seen = cv2.remap(soft, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR, borderValue=(255.0,))
    off = np.maximum(np.maximum(-flat, flat - np.array(lie.size)), 0.0).max(axis=-1)
    return np.asarray(seen, np.float32), np.asarray(off)


def _toned(seen: Gray, paper: float, dark: float) -> Gray:
    return np.asarray(dark + (paper - dark) * seen / 255.0, np.float32)


def _noisy(gray: Gray, sigma: float, rng: Rng) -> Ink:
    return np.clip(gray + rng.normal(0, sigma, gray.shape), 0, 255).astype(np.uint8)


def _pack(pixels: Ink, quality: int) -> Ink:
    """Through a JPEG."""
    buffer = BytesIO()
    Image.fromarray(pixels).save(buffer, "JPEG", quality=quality)
    buffer.seek(0)
    return np.asarray(Image.open(buffer), np.uint8)


def _download(seen: Gray, off: Floats, per_mm: float, rng: Rng) -> Ink:
    """A page of a document turned into a picture."""
    pixels = np.clip(seen, 0, 255).astype(np.uint8)
    return _pack(pixels, int(rng.integers(55, 92))) if rng.random() < 0.6 else pixels


def _glass(seen: Gray, off: Floats, per_mm: float, rng: Rng) -> Ink:
    """Laid on a scanner's glass: the lid shows beside the paper, dust leaves a streak."""
    gray = _toned(seen, float(rng.uniform(228, 252)), float(rng.uniform(15, 70)))
    lid = float(rng.choice([250.0, 205.0, 40.0]))
    edge = np.clip(off / 0.3, 0.0, 1.0)
    gray = (gray * (1 - edge) + lid * edge).astype(np.float32)
    shade = np.exp(-np.arange(gray.shape[1]) / (4.0 * per_mm)) * float(rng.uniform(0, 0.2))
    gray *= (1 - shade).astype(np.float32)[None, :]
    if rng.random() < 0.3:
        at = int(rng.integers(gray.shape[1]))
        gray[:, at : at + 1] *= float(rng.uniform(0.75, 0.9))
    return _pack(_noisy(gray, float(rng.uniform(1, 4)), rng), int(rng.integers(40, 88)))


def _copied(seen: Gray, per_mm: float, rng: Rng) -> Gray:
    """A copy's copy: rough edges, specks, lines a little fuller or finer."""
    rough = cv2.GaussianBlur(rng.normal(0, 1, seen.shape).astype(np.float32), (0, 0), 0.9)
    soft = cv2.GaussianBlur(seen, (0, 0), 0.07 * per_mm) + 55.0 * rough
    level = float(rng.uniform(125, 175))
    ink = np.clip((soft - level) / 50.0 + 0.5, 0.0, 1.0)
    count = int(seen.size * SPECK_SHARE)
    ys, xs = rng.integers(seen.shape[0], size=count), rng.integers(seen.shape[1], size=count)
    ink[ys, xs] = 0.0
    ink[ys[::3], np.minimum(xs[::3] + 1, seen.shape[1] - 1)] = 0.1
    return np.asarray(cv2.GaussianBlur(255.0 * ink, (0, 0), 0.5), np.float32)


def _copy(seen: Gray, off: Floats, per_mm: float, rng: Rng) -> Ink:
    """A photocopy, scanned."""
    copied = _copied(seen, per_mm, rng)
    edge = (off < 0.2) & (off > 0)
    copied[edge] *= 0.5
    gray = _toned(copied, float(rng.uniform(235, 253)), float(rng.uniform(25, 60)))
    return _pack(_noisy(gray, 2.0, rng), int(rng.integers(45, 80)))


def _folded(seen: Gray, off: Floats, per_mm: float, rng: Rng) -> Ink:
    """A sheet that came folded: creases across its middle and thirds, ink worn off there."""
    gray = _toned(seen, float(rng.uniform(205, 238)), float(rng.uniform(30, 70)))
    h, w = gray.shape
    folds = [(0, h / 2), (1, w / 2)] if rng.random() < 0.5 else [(0, h / 3), (0, 2 * h / 3)]
    for axis, at in folds:
        away = (np.arange(gray.shape[axis]) - at - rng.normal(0, 2 * per_mm)) / per_mm
        worn = 0.55 * np.exp(-((away / 0.16) ** 2))
        shade = 0.07 * np.tanh(away / 0.4) * np.exp(-np.abs(away) / 14.0)
        worn, shade = (v[:, None] if axis == 0 else v[None, :] for v in (worn, shade))
        gray = (gray + (225.0 - gray) * worn * (0.6 + 0.4 * rng.random(gray.shape))) * (1 - shade)
    return _pack(_noisy(gray, 2.5, rng), int(rng.integers(50, 85)))


def _document(seen: Gray, off: Floats, per_mm: float, rng: Rng) -> Ink:
    """Scanned in black and white."""
    soft = seen + rng.normal(0, 6.0, seen.shape)
    pixels = np.where(soft > float(rng.uniform(140, 185)), 255, 0).astype(np.uint8)
    if rng.random() < 0.5:
        pixels[off > 0.3] = 0
    return pixels


def _fax(seen: Gray, off: Floats, per_mm: float, rng: Rng) -> Ink:
    """Faxed: rough, with streaks along its way and a few rows sent twice."""
    copied = _copied(seen, per_mm, rng)
    pixels = np.where(copied > 140, 255, 0).astype(np.uint8)
    for at in rng.integers(0, pixels.shape[0] - 1, int(rng.integers(2, 7))):
        pixels[at + 1] = pixels[at]
    for at in rng.integers(0, pixels.shape[1], int(rng.integers(0, 3))):
        long = slice(*sorted(int(v) for v in rng.integers(0, pixels.shape[0], 2)))
        pixels[long, at][rng.random(len(pixels[long, at])) < 0.35] = 0
    return pixels
