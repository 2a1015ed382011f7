"""Drawn sheets as a scanner or a phone would see them, with the way from paper to pixels."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
import pymupdf
from numpy.typing import NDArray

from audit.geometry import Transform

Gray = NDArray[np.uint8]
PHOTO_TURN = 0.05  # share by which a photo's corners are drawn in


@dataclass(frozen=True, slots=True, kw_only=True)
class WornSheet:
    """A raster, and the transform from pt of the page to its px."""

    pixels: Gray
    from_pt: Transform
    dpi: float
    turn: int


def render(pdf: bytes, *, dpi: float) -> tuple[Gray, int]:
    """Render a one-page PDF in its own unrotated frame; second: its /Rotate."""
    document = pymupdf.open(stream=pdf, filetype="pdf")
    page = document[0]
    turn = int(page.rotation)
    page.set_rotation(0)
    pixels = page.get_pixmap(matrix=pymupdf.Matrix(dpi / 72, dpi / 72), colorspace="gray")
    rows = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)
    return rows[:, : pixels.width].copy(), turn


def wear(
    pdf: bytes, *, dpi: float, how: str, rng: np.random.Generator, flat: bool = True
) -> WornSheet:
    """Render a sheet and wear it in one of the ways of `WEARS`; photos are made flat if wished."""
    pixels, turn = render(pdf, dpi=dpi)
    moved, from_px = WEARS[how](pixels, rng)
    if how == "photo" and flat:
        moved, from_px = _flattened(moved, from_px, pixels.shape)
    from_pt = Transform.scaling(dpi / 72).then(Transform(from_px))
    return WornSheet(pixels=moved, from_pt=from_pt, dpi=dpi, turn=turn)


Matrix = tuple[tuple[float, float, float], ...]
Worn = tuple[Gray, Matrix]
_SAME: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def _scan(pixels: Gray, rng: np.random.Generator) -> Worn:
    """A flatbed: a little blur, a little grain, paper not quite white."""
    return _grain(cv2.GaussianBlur(pixels, (0, 0), 0.6), rng, 4.0, paper=240, ink=40), _SAME


def _bilevel(pixels: Gray, rng: np.random.Generator) -> Worn:
    soft = _grain(cv2.GaussianBlur(pixels, (0, 0), 0.8), rng, 10.0, paper=245, ink=30)
    return np.where(soft > rng.uniform(130, 175), 255, 0).astype(np.uint8), _SAME


def _skewed(pixels: Gray, rng: np.random.Generator) -> Worn:
    """Turned by up to a degree, and stretched by up to two percent one way."""
    turn = math.radians(float(rng.uniform(0.3, 1.0) * rng.choice([-1, 1])))
    sx, sy = 1 + float(rng.uniform(-0.01, 0.01)), 1 + float(rng.uniform(-0.01, 0.01))
    h, w = pixels.shape
    c, s = math.cos(turn), math.sin(turn)
    spin = np.array([[c * sx, -s * sy, 0.0], [s * sx, c * sy, 0.0], [0.0, 0.0, 1.0]])
    return _warped(pixels, spin @ _centred(w, h), rng)


def _hard(pixels: Gray, rng: np.random.Generator) -> Worn:
    """A poor copy: blurred, faint, packed as a coarse JPEG."""
    soft = cv2.GaussianBlur(pixels, (0, 0), 1.1)
    faint = _grain(
        soft, rng, 6.0, paper=int(rng.integers(190, 225)), ink=int(rng.integers(80, 120))
    )
    done, packed = cv2.imencode(".jpg", faint, [cv2.IMWRITE_JPEG_QUALITY, 55])
    assert done
    return np.asarray(cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE), np.uint8), _SAME


def _photo(pixels: Gray, rng: np.random.Generator) -> Worn:
    """Seen slightly askew, unevenly lit, as a phone sees a sheet on a table."""
    h, w = pixels.shape
    corners = np.array([[0, 0], [w, 0], [w, h], [0, h]], np.float32)
    away = rng.uniform(0.0, PHOTO_TURN, (4, 2)) * np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
    target = (corners + away * np.array([w, h])).astype(np.float32)
    matrix = cv2.getPerspectiveTransform(corners, target).astype(float)
    seen = cv2.warpPerspective(
        pixels, _at_centres(matrix), (w, h), flags=cv2.INTER_AREA, borderValue=(110,)
    )
    light = cv2.resize(rng.uniform(0.62, 1.0, (3, 3)).astype(np.float32), (w, h))
    lit = np.asarray(cv2.GaussianBlur(seen, (0, 0), 0.9), np.float32) * light
    noisy = np.clip(lit + rng.normal(0, 4.0, lit.shape), 0, 255).astype(np.uint8)
    done, packed = cv2.imencode(".jpg", noisy, [cv2.IMWRITE_JPEG_QUALITY, 80])
    assert done
    rows = tuple(tuple(float(v) for v in row) for row in matrix)
    return np.asarray(cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE), np.uint8), rows


def _hand(pixels: Gray, rng: np.random.Generator) -> Worn:
    """As if drawn and lettered by hand: lines waver, swell and thin, figures differ."""
    h, w = pixels.shape
    columns, rows = np.meshgrid(np.arange(w, dtype=np.float32), np.arange(h, dtype=np.float32))
    for reach, far in ((12.0, 0.55), (45.0, 0.6)):
        columns += _waver(rng, (h, w), reach) * np.float32(far)
        rows += _waver(rng, (h, w), reach) * np.float32(far)
    moved = cv2.remap(pixels, columns, rows, cv2.INTER_CUBIC, borderValue=(255,))
    soft = np.asarray(cv2.GaussianBlur(moved, (0, 0), 0.9), np.float32)
    swollen = np.clip((soft - 140.0 - 16.0 * _waver(rng, (h, w), 12.0)) * 2.2 + 128.0, 0, 255)
    inked = np.asarray(swollen, np.uint8)
    return _grain(cv2.GaussianBlur(inked, (0, 0), 0.6), rng, 5.0, paper=232, ink=55), _SAME


def _blueprint(pixels: Gray, rng: np.random.Generator) -> Worn:
    """White on blue: mottled and stained, pale along two folds, as gray values."""
    h, w = pixels.shape
    soft = 1.0 - np.asarray(cv2.GaussianBlur(pixels, (0, 0), 0.9), np.float32) / 255.0
    ground = 88.0 + 7.0 * _waver(rng, (h, w), 60.0) + 3.0 * _waver(rng, (h, w), 4.0)
    at_x, at_y = (rng.uniform(0.3, 0.7, 2) * np.array([w, h])).astype(int)
    ground[:, at_x : at_x + 3] += 35.0
    ground[at_y : at_y + 3] += 35.0
    line = 205.0 + 12.0 * _waver(rng, (h, w), 9.0)
    level = ground + soft * (line - ground) + rng.normal(0, 5.0, (h, w))
    return np.clip(level, 0, 255).astype(np.uint8), _SAME


def _waver(rng: np.random.Generator, shape: tuple[int, int], reach: float) -> NDArray[np.float32]:
    """A smooth random field of unit spread that changes over about `reach` px."""
    step = max(1.0, reach / 2)
    small = (math.ceil(shape[0] / step) + 2, math.ceil(shape[1] / step) + 2)
    rough = cv2.GaussianBlur(rng.normal(0, 1, small).astype(np.float32), (0, 0), 1.0)
    field = cv2.resize(rough / rough.std(), (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(field, np.float32)


def _flattened(pixels: Gray, matrix: Matrix, shape: tuple[int, ...]) -> Worn:
    """Undo the perspective, as the tool does once four corners are known."""
    back = cv2.warpPerspective(
        pixels,
        _at_centres(np.array(matrix)),
        (shape[1], shape[0]),
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderValue=(255,),
    )
    return np.asarray(back, np.uint8), _SAME


def _grain(pixels: Gray, rng: np.random.Generator, sigma: float, *, paper: int, ink: int) -> Gray:
    level = ink + pixels.astype(np.float32) * ((paper - ink) / 255.0)
    return np.clip(level + rng.normal(0, sigma, level.shape), 0, 255).astype(np.uint8)


def _centred(w: int, h: int) -> NDArray[np.float64]:
    return np.array([[1.0, 0.0, -w / 2], [0.0, 1.0, -h / 2], [0.0, 0.0, 1.0]])


def _warped(pixels: Gray, matrix: NDArray[np.float64], rng: np.random.Generator) -> Worn:
    h, w = pixels.shape
    corners = matrix @ np.array([[0, w, w, 0], [0, 0, h, h], [1, 1, 1, 1]], float)
    low, high = corners[:2].min(axis=1), corners[:2].max(axis=1)
    moved = np.array([[1.0, 0.0, -low[0]], [0.0, 1.0, -low[1]], [0.0, 0.0, 1.0]]) @ matrix
    size = tuple(int(v) for v in np.ceil(high - low))
    turned = cv2.warpPerspective(
        pixels, _at_centres(moved), size, flags=cv2.INTER_CUBIC, borderValue=(255,)
    )
    rows = tuple(tuple(float(v) for v in row) for row in moved)
    return _scan(np.asarray(turned, np.uint8), rng)[0], rows


def _at_centres(matrix: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a matrix between pixel corners for a library that counts pixel centres."""
    half = np.array([[1.0, 0.0, 0.5], [0.0, 1.0, 0.5], [0.0, 0.0, 1.0]])
    return np.asarray(np.linalg.inv(half) @ matrix @ half)


WEARS: dict[str, Callable[[Gray, np.random.Generator], Worn]] = {
    "scan": _scan,
    "bilevel": _bilevel,
    "skewed": _skewed,
    "hard": _hard,
    "photo": _photo,
    "hand": _hand,
    "blueprint": _blueprint,
}
