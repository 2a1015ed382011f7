"""From a later working drawing to the picture of it: what a maker's scanner makes of old paper."""

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
LENS_PX = 0.42  # px of the picture that a scanner's lens spreads
SPECKS = 2.5e-5  # of a copy's pixels
STRETCH = 0.004  # of a sheet that was copied: both ways alike
UNEVEN = 0.0007  # of one way to the other


def scan_work(page: Ink, *, dpi: int, bilevel: bool, rng: Rng) -> Picture:
    """Turn a page, `PX_PER_MM`, into a maker's picture of it.

    Parameters
    ----------
    page : uint8 array
    dpi : int
    bilevel : bool
        Black and white only, else gray.
    rng : Generator

    Returns
    -------
    Picture
    """
    ways: tuple[Callable[..., Ink], ...] = (_line_art, _line_art, _copier) if bilevel else (
        _flatbed, _flatbed, _aged, _aged, _twice_copied, _diazo, _bound,
    )  # fmt: skip
    way = ways[int(rng.integers(len(ways)))]
    lie = _lay(page, rng, bound=way is _bound)
    seen = _look(page, lie, dpi / 25.4)
    return Picture(pixels=way(seen, dpi / 25.4, rng), lie=lie, dpi=dpi)


def _lay(page: Ink, rng: Rng, *, bound: bool) -> Lie:
    """Put a page on the glass; a bound one rises towards its fold."""
    both, one = rng.normal(0, STRETCH), rng.normal(0, UNEVEN)
    return Lie(
        size=(page.shape[1] / PX_PER_MM, page.shape[0] / PX_PER_MM),
        turn=math.radians(float(np.clip(rng.normal(0, 0.55), -1.4, 1.4))),
        stretch=(1.0 + float(both), 1.0 + float(both + one)),
        rise=float(rng.uniform(-0.9, 0.9)) if bound else 0.0,
        squeeze=float(rng.uniform(0.1, 0.6)) if bound else 0.0,
        reach=float(rng.uniform(12, 24)),
    )


def _look(page: Ink, lie: Lie, per_mm: float) -> Gray:
    """The page as it lies."""
    soft = cv2.GaussianBlur(page, (0, 0), LENS_PX * PX_PER_MM / per_mm)
    wide, high = (round(v * per_mm) for v in lie.size)
    x, y = np.meshgrid((np.arange(wide) + 0.5) / per_mm, (np.arange(high) + 0.5) / per_mm)
    from_px: Floats = lie.undo(np.stack([x, y], axis=-1)) * PX_PER_MM - 0.5
    maps = from_px.astype(np.float32)
    seen = cv2.remap(soft, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR, borderValue=(255.0,))
    return np.asarray(seen, np.float32)


def _toned(seen: Gray, paper: float | Gray, dark: float) -> Gray:
    """Ink and paper in their grays."""
    return np.asarray(dark + (paper - dark) * seen / 255.0, np.float32)


def _clouds(shape: tuple[int, ...], mm: float, per_mm: float, rng: Rng) -> Gray:
    """Uneven patches about so large, of unit strength."""
    coarse = max(2, round(shape[0] / (mm * per_mm))), max(2, round(shape[1] / (mm * per_mm)))
    patches = rng.normal(0, 1, coarse).astype(np.float32)
    return np.asarray(cv2.resize(patches, shape[::-1], interpolation=cv2.INTER_CUBIC), np.float32)


def _jpeg(gray: Gray, sigma: float, quality: int, rng: Rng) -> Ink:
    """Through a sensor's noise and a JPEG."""
    noisy = np.clip(gray + rng.normal(0, sigma, gray.shape), 0, 255).astype(np.uint8)
    buffer = BytesIO()
    Image.fromarray(noisy).save(buffer, "JPEG", quality=quality)
    buffer.seek(0)
    return np.asarray(Image.open(buffer), np.uint8)


def _flatbed(seen: Gray, per_mm: float, rng: Rng) -> Ink:
    """A clean sheet on a good scanner."""
    gray = _toned(seen, float(rng.uniform(236, 254)), float(rng.uniform(10, 60)))
    return _jpeg(gray, float(rng.uniform(0.8, 2.5)), int(rng.integers(55, 93)), rng)


def _aged(seen: Gray, per_mm: float, rng: Rng) -> Ink:
    """Yellowed paper, foxed, its back showing through."""
    back = cv2.GaussianBlur(seen[:, ::-1], (0, 0), 0.25 * per_mm)
    through = float(rng.uniform(0.0, 0.09)) * (255.0 - back)
    paper = float(rng.uniform(196, 228)) + 5.0 * _clouds(seen.shape, 30.0, per_mm, rng)
    paper = paper + 2.0 * _clouds(seen.shape, 1.2, per_mm, rng) - through
    for _ in range(int(rng.integers(0, 9))):
        y, x = (int(rng.integers(n)) for n in seen.shape)
        cv2.circle(paper, (x, y), max(1, int(rng.uniform(0.2, 1.0) * per_mm)), (178.0,), -1)
    gray = _toned(
        seen,
        np.asarray(cv2.GaussianBlur(paper, (0, 0), 1.0), np.float32),
        float(rng.uniform(35, 75)),
    )
    return _jpeg(gray, float(rng.uniform(1.5, 3.5)), int(rng.integers(50, 85)), rng)


def _copied(seen: Gray, per_mm: float, rng: Rng) -> Gray:
    """One pass through a copier: rough edges, a level, specks, thin places."""
    grain = cv2.GaussianBlur(rng.normal(0, 1, seen.shape).astype(np.float32), (0, 0), 0.8)
    faint = 1.0 + 0.05 * _clouds(seen.shape, 25.0, per_mm, rng)
    soft = cv2.GaussianBlur(seen, (0, 0), 0.05 * per_mm) * faint + 40.0 * grain
    level = float(rng.uniform(135, 185))
    ink = np.clip((soft - level) / 55.0 + 0.5, 0.0, 1.0).astype(np.float32)
    count = int(seen.size * SPECKS)
    ys, xs = rng.integers(seen.shape[0], size=count), rng.integers(seen.shape[1], size=count)
    ink[ys, xs] *= float(rng.uniform(0.0, 0.4))
    return np.asarray(255.0 * ink, np.float32)


def _twice_copied(seen: Gray, per_mm: float, rng: Rng) -> Ink:
    """A photocopy of a photocopy, scanned in gray."""
    copied = _copied(_copied(seen, per_mm, rng), per_mm, rng)
    copied = np.asarray(cv2.GaussianBlur(copied, (0, 0), 0.5), np.float32)
    gray = _toned(copied, 246.0, float(rng.uniform(20, 50)))
    edge = int(rng.integers(0, max(1, int(2.0 * per_mm))))
    gray[: edge + 1] *= 0.45
    return _jpeg(gray, 2.0, int(rng.integers(45, 80)), rng)


def _diazo(seen: Gray, per_mm: float, rng: Rng) -> Ink:
    """A print from a tracing: mottled ground, lines that are not black."""
    paper = float(rng.uniform(170, 205)) + 7.0 * _clouds(seen.shape, 40.0, per_mm, rng)
    paper = paper + 3.0 * _clouds(seen.shape, 0.8, per_mm, rng)
    dark = float(rng.uniform(60, 95)) + 0.0 * paper
    gray = np.asarray(dark + (paper - dark) * cv2.GaussianBlur(seen, (0, 0), 0.6) / 255.0)
    return _jpeg(gray.astype(np.float32), 2.5, int(rng.integers(60, 88)), rng)


def _bound(seen: Gray, per_mm: float, rng: Rng) -> Ink:
    """A page of a bound volume: it darkens towards the fold."""
    gray = _toned(seen, float(rng.uniform(222, 245)), float(rng.uniform(20, 60)))
    fold = np.exp(-np.arange(gray.shape[1]) / (float(rng.uniform(3.0, 6.0)) * per_mm))
    gray = gray * (1 - float(rng.uniform(0.2, 0.45)) * fold).astype(np.float32)[None, :]
    return _jpeg(gray, float(rng.uniform(1, 3)), int(rng.integers(55, 88)), rng)


def _line_art(seen: Gray, per_mm: float, rng: Rng) -> Ink:
    """Scanned in black and white."""
    soft = seen + rng.normal(0, 5.0, seen.shape)
    return np.where(soft > float(rng.uniform(135, 185)), 255, 0).astype(np.uint8)


def _copier(seen: Gray, per_mm: float, rng: Rng) -> Ink:
    """A photocopy, scanned in black and white."""
    copied = cv2.GaussianBlur(_copied(seen, per_mm, rng), (0, 0), 0.4)
    return np.where(copied > float(rng.uniform(120, 160)), 255, 0).astype(np.uint8)
