"""The papers of a third company of drafters: squares, rules, brown paper, a copy's blue ground."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.hand_pen import PX_PER_MM, Ink, Rng

TILE = 1024  # px of noise that a page is covered with
TOOTH = {"lead": 0.5, "ball": 0.16, "felt": 0.1, "nib": 0.14, "ink": 0.06}  # what a paper keeps off
SPREAD = {"lead": 1.0, "ball": 1.2, "felt": 2.6, "nib": 1.6, "ink": 1.1}  # px that ink runs
WHITE = {"brown": 216.0, "tracing": 240.0, "lines": 250.0, "blue": 82.0}
PALE = 222.0  # of the lines of a copy
HALF_TONE = 128.0


def finish(cover: Ink, kind: str, paper: str, rng: Rng) -> Ink:
    """Put what was drawn on its paper.

    Parameters
    ----------
    cover : ndarray of shape (H, W)
        How much ink lies where.
    kind, paper : str
        Of the tool and of the person.
    rng : Generator

    Returns
    -------
    ndarray of shape (H, W)
    """
    kept = _worn(cover, kind, rng)
    ground = _ground(cover.shape, paper, rng)
    if paper == "blue":
        worn = 1.0 - 0.25 * _cloud(cover.shape, 260.0, rng, 0.0, 1.0)
        level = ground + (PALE - ground) * kept * worn
    else:
        level = ground * (1.0 - 0.95 * kept)
    if kind == "lead":
        level -= _rubbed(kept, rng)
    return np.asarray(np.clip(level, 0, 255), np.uint8)


def _worn(cover: Ink, kind: str, rng: Rng) -> NDArray[np.float32]:
    """Share of ink that the paper took: it runs, and it misses the hollows."""
    soft = cv2.GaussianBlur(cover, (0, 0), SPREAD[kind]).astype(np.float32) / 255
    keep = 1.0 - TOOTH[kind] * (0.5 + 0.5 * np.clip(_noise(cover.shape, 1.6, rng), -1, 1))
    return np.asarray(soft * keep, np.float32)


def _rubbed(kept: NDArray[np.float32], rng: Rng) -> NDArray[np.float32]:
    """Lead that a sleeve carried about."""
    small = cv2.resize(kept, None, fx=1 / 16, fy=1 / 16, interpolation=cv2.INTER_AREA)
    near = cv2.GaussianBlur(small, (0, 0), 14.0)
    wide = cv2.resize(near, kept.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(float(rng.uniform(40, 140)) * wide, np.float32)


def _ground(shape: tuple[int, ...], paper: str, rng: Rng) -> NDArray[np.float32]:
    white = WHITE.get(paper, 255.0)
    ground = np.full(shape, white, np.float32)
    match paper:
        case "squares":
            _rule(
                ground, float(rng.choice([4.0, 5.0, 6.35])), float(rng.uniform(208, 230)), both=True
            )
        case "lines":
            _rule(ground, float(rng.uniform(7.0, 8.7)), float(rng.uniform(205, 225)), both=False)
            x = round(float(rng.uniform(20, 26)) * PX_PER_MM)
            ground[:, x : x + 4] = 205
        case "millimetres":
            for pitch, level in ((1.0, 243), (5.0, 233), (10.0, 222)):
                _rule(ground, pitch, level, both=True)
        case "brown":
            ground += 5.0 * _noise(shape, 5.0, rng) + _fibres(shape, rng)
            ground += _cloud(shape, 300.0, rng, -6.0, 6.0)
        case "tracing":
            ground += _cloud(shape, 900.0, rng, -5.0, 4.0) + 1.5 * _noise(shape, 4.0, rng)
            _crease(ground, rng)
        case "blue":
            ground += _cloud(shape, 1100.0, rng, -16.0, 22.0) + _cloud(shape, 130.0, rng, -7.0, 7.0)
            ground += 4.0 * _noise(shape, 3.0, rng) + 0.6 * _fibres(shape, rng)
            _crease(ground, rng)
    return ground


def _rule(ground: NDArray[np.float32], pitch: float, level: float, *, both: bool) -> None:
    """Print faint lines so many mm apart, a little broken."""
    step, first = pitch * PX_PER_MM, 3.1 * PX_PER_MM
    for k in range(int((ground.shape[0] - first) / step) + 1):
        y = round(first + k * step)
        ground[y : y + 3] = np.minimum(ground[y : y + 3], level)
    for k in range(int((ground.shape[1] - first) / step) + 1 if both else 0):
        x = round(first + k * step)
        ground[:, x : x + 3] = np.minimum(ground[:, x : x + 3], level)


def _crease(ground: NDArray[np.float32], rng: Rng) -> None:
    """A fold down the sheet: a line a little darker and lighter."""
    h, w = ground.shape
    x = round(float(rng.uniform(0.45, 0.55)) * w)
    ground[:, x : x + 5] -= 14.0
    ground[:, x + 5 : x + 10] += 8.0
    if rng.random() < 0.5:
        y = round(float(rng.uniform(0.4, 0.6)) * h)
        ground[y : y + 5] -= 12.0


def _fibres(shape: tuple[int, ...], rng: Rng) -> NDArray[np.float32]:
    """Streaks along the paper."""
    tile = rng.normal(0, 1, (TILE, TILE // 16)).astype(np.float32)
    long = cv2.resize(cv2.GaussianBlur(tile, (0, 0), 1.2), (TILE, TILE))
    return np.asarray(6.0 * _tiled(long / long.std(), shape), np.float32)


def _noise(shape: tuple[int, ...], reach: float, rng: Rng) -> NDArray[np.float32]:
    """Noise of unit spread, so many px coarse."""
    rough = rng.normal(0, 1, (TILE, TILE)).astype(np.float32)
    soft = cv2.GaussianBlur(rough, (0, 0), reach, borderType=cv2.BORDER_REFLECT)
    return _tiled(soft / soft.std(), shape)


def _tiled(tile: NDArray[np.float32], shape: tuple[int, ...]) -> NDArray[np.float32]:
    counts = tuple(math.ceil(v / TILE) for v in shape)
    return np.asarray(np.tile(tile, counts)[: shape[0], : shape[1]], np.float32)


def _cloud(
    shape: tuple[int, ...], reach: float, rng: Rng, low: float, high: float
) -> NDArray[np.float32]:
    """Something that changes over so many px, between two values."""
    small = rng.uniform(low, high, tuple(math.ceil(v / reach) + 3 for v in shape))
    field = cv2.resize(small.astype(np.float32), shape[::-1], interpolation=cv2.INTER_CUBIC)
    return np.asarray(field, np.float32)
