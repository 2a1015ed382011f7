"""What dimension lines and leaders of the held-out bought plans end in, and how leaders run."""

from __future__ import annotations

import math

import numpy as np

from tests.bench.plates_pen import XY, Floats, Head, Mark, Rng


def rim_points(centre: XY, radius: float, start: float, stop: float) -> Floats:
    """Points along an arc, degrees anticlockwise, close enough for a small hole to look round."""
    count = max(4, math.ceil(abs(stop - start) / 9), int(abs(stop - start) * radius / 40))
    turn = np.radians(np.linspace(start, stop, count + 1))
    return np.stack([centre[0] + radius * np.cos(turn), centre[1] - radius * np.sin(turn)], axis=1)


def across(u: Floats) -> Floats:
    """Square to a way."""
    return np.array([-u[1], u[0]])


def dagger(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A filled head, three times as long as wide."""
    n, back = across(u) * size / 6, tip - size * u
    return [Mark(points=np.stack([tip, back + n, back - n]))]


def open_head(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two fine strokes at 15 degrees."""
    n, back = across(u) * size * math.tan(math.radians(15)), tip - size * u
    return [Mark(points=np.stack([back + n, tip, back - n]), width=0.15)]


def broad(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A filled head nearly as wide as long, its back hollow."""
    n, back = across(u) * size * 0.36, tip - size * u
    return [Mark(points=np.stack([tip, back + n, tip - 0.72 * size * u, back - n]))]


def ball(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A round end upon the surface."""
    return [Mark(points=rim_points((float(tip[0]), float(tip[1])), 0.3 * size, 0.0, 360.0))]


def stroke(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A long stroke at 45 degrees, the line running past."""
    way = np.array([1.0, -1.0]) / math.sqrt(2) * size * float(rng.uniform(0.5, 0.65))
    width = float(rng.uniform(0.32, 0.45))
    past = np.stack([tip, tip + u * size * float(rng.uniform(0.5, 0.9))])
    return [Mark(points=np.stack([tip - way, tip + way]), width=width),
            Mark(points=past, width=0.16)]  # fmt: skip


def reed(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A long thin head in two strokes that meet at the tip, ink between them near it."""
    n, back = across(u) * size * float(rng.uniform(0.1, 0.16)), tip - size * u
    near = tip - 0.45 * size * u
    return [Mark(points=np.stack([back + n, tip, back - n]), width=0.2),
            Mark(points=np.stack([tip, near + 0.45 * n, near - 0.45 * n]))]  # fmt: skip


def hooks(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two quick strokes of a ball pen, seldom alike, that may cross at the tip."""
    marks = []
    for side in (-1.0, 1.0):
        long, wide = size * float(rng.uniform(0.7, 1.1)), size * float(rng.uniform(0.28, 0.5))
        start = tip + u * size * float(rng.uniform(-0.04, 0.1))
        end = tip - long * u + side * wide * across(u)
        belly = (start + end) / 2 + side * 0.06 * size * across(u)
        marks.append(Mark(points=np.stack([start, belly, end]), width=0.26))
    return marks


def leaf(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A head whose sides are bellied, pointed behind as well."""
    n = across(u) * size * float(rng.uniform(0.13, 0.18))
    t = np.linspace(0.0, 1.0, 9)[:, None]
    wide = np.sin(math.pi * t**0.75)
    sides = [tip - size * t * u + side * wide * n for side in (1.0, -1.0)]
    return [Mark(points=np.concatenate([sides[0], sides[1][::-1]]))]


def bead(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A large dot where the lines cross."""
    radius = size * float(rng.uniform(0.24, 0.32))
    return [Mark(points=rim_points((float(tip[0]), float(tip[1])), radius, 0.0, 360.0))]


def speck(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A thin filled head as an old plotter fills it, with its outline showing."""
    n, back = across(u) * size * 0.12, tip - size * u
    around = np.stack([tip, back + n, back - n, tip])
    inner = np.stack([back, tip - 0.2 * size * u])
    return [Mark(points=around, width=0.13), Mark(points=inner, width=0.17)]


ENDS: dict[str, Head] = {
    "dagger": dagger,
    "open": open_head,
    "broad": broad,
    "ball": ball,
    "stroke": stroke,
    "reed": reed,
    "hooks": hooks,
    "leaf": leaf,
    "bead": bead,
    "speck": speck,
}


def run_leader(tip: Floats, knee: Floats, how: str, side: float, wide: float) -> Floats:
    """Points of a leader from its text's side to its tip; `wide` is the text's, mm."""
    if how == "straight":
        return np.stack([knee, tip])
    if how == "underline":
        return np.stack([knee + np.array([side * (wide + 1.0), 0.0]), knee, tip])
    tail = knee + np.array([side * 3.0, 0.0])
    if how == "shoulder":
        return np.stack([tail, knee, tip])
    t = np.linspace(0.0, 1.0, 15)[:, None]
    return np.asarray((1 - t) ** 2 * tail + 2 * t * (1 - t) * (knee - (side, 0.0)) + t**2 * tip)
