"""Grain, wood, unevenness: numbers from a hash of the place, the same on every machine."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def scatter(x: ArrayLike, y: ArrayLike, seed: int) -> NDArray[np.uint32]:
    """Return 32 scattered bits for each pair of whole numbers (an integer hash)."""
    h = np.asarray(x).astype(np.uint32) * np.uint32(0x9E3779B1)
    h = h ^ (np.asarray(y).astype(np.uint32) * np.uint32(0x85EBCA77))
    h = h ^ np.uint32((seed * 0xC2B2AE3D) % 2**32)
    for shift, factor in ((15, 0x2C1B3C6D), (12, 0x297A2D39)):
        h = (h ^ (h >> np.uint32(shift))) * np.uint32(factor)
    return np.asarray(h ^ (h >> np.uint32(15)), dtype=np.uint32)


def grain(height: int, width: int, seed: int) -> Floats:
    """Noise for each pixel, bell-shaped, standard deviation 1: four bytes added."""
    h = scatter(np.arange(width)[None, :], np.arange(height)[:, None], seed)
    total = np.zeros((height, width), np.int64)
    for byte in range(4):
        total += ((h >> np.uint32(8 * byte)) & np.uint32(255)).astype(np.int64)
    return (total - 510) / 147.8  # sqrt(4 (256² − 1) / 12)


def clouds(x: Floats, y: Floats, seed: int) -> Floats:
    """Smooth noise between 0 and 1 that changes over one unit of x and y."""
    left, top = np.floor(x), np.floor(y)
    u, v = x - left, y - top
    u, v = u * u * (3 - 2 * u), v * v * (3 - 2 * v)
    column, row = left.astype(np.int64) % 65536, top.astype(np.int64) % 65536
    corner = [[scatter(column + i, row + j, seed) / 4294967295.0 for i in (0, 1)] for j in (0, 1)]
    upper = corner[0][0] * (1 - u) + corner[0][1] * u
    lower = corner[1][0] * (1 - u) + corner[1][1] * u
    return np.asarray(upper * (1 - v) + lower * v)


def soften(picture: Floats, times: int = 1) -> Floats:
    """Blur by (1 2 1)/4 in both directions, `times` over (σ = 0.7 px each)."""
    for _ in range(times):
        wide = np.pad(picture, 1, mode="edge")
        rows = (wide[:-2] + 2 * wide[1:-1] + wide[2:]) / 4
        picture = (rows[:, :-2] + 2 * rows[:, 1:-1] + rows[:, 2:]) / 4
    return picture


def to_bytes(picture: Floats) -> NDArray[np.uint8]:
    return np.floor(np.clip(picture, 0.0, 255.0) + 0.5).astype(np.uint8)
