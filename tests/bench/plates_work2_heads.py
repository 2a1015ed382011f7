"""What ends the dimension lines of the later working drawings."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tests.bench.plates_pen import Floats, Mark, Rng

End = Callable[[Floats, Floats, float, Rng], list[Mark]]


def _points(tip: Floats, u: Floats, places: list[tuple[float, float]]) -> Floats:
    """Places behind and beside a tip."""
    n = np.array([-u[1], u[0]])
    return np.array([tip - back * u + aside * n for back, aside in places])


def _filled(slim: float, hollow: float = 1.0) -> End:
    """A filled head, so slim, its back drawn in."""

    def draw(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
        w = size * slim * float(rng.uniform(0.85, 1.15)) / 2
        back = [(0.0, 0.0), (size, w), (size * hollow, 0.0), (size, -w)]
        return [Mark(points=_points(tip, u, back))]

    return draw


def _stroked(slim: float, width: float, sides: tuple[int, ...] = (1, -1)) -> End:
    """Two strokes, or one."""

    def draw(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
        w = size * slim * float(rng.uniform(0.8, 1.2)) / 2
        return [Mark(points=_points(tip, u, [(0.0, 0.0), (size, k * w)]), width=width)
                for k in sides]  # fmt: skip

    return draw


def barbed(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two curved strokes, heavy where the pen began."""
    t = np.linspace(0.0, 1.0, 7)
    w = size * float(rng.uniform(0.24, 0.34))
    return [Mark(points=_points(tip, u, [(size * v, k * w * v**1.6) for v in t]), width=0.2)
            for k in (1, -1)]  # fmt: skip


def hollow(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A triangle in outline, white within."""
    w = size * float(rng.uniform(0.2, 0.28))
    corners = _points(tip, u, [(0.0, 0.0), (size, w), (size, -w), (0.0, 0.0)])
    return [Mark(points=corners[:3], blank=True), Mark(points=corners, width=0.16)]


def tick(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A slant stroke through the crossing."""
    turn = math.radians(45.0 + float(rng.normal(0, 3)))
    c, s = math.cos(turn) * size / 2, math.sin(turn) * size / 2
    along = c * u + s * np.array([u[1], -u[0]])
    return [Mark(points=np.array([tip - along, tip + along]), width=0.3)]


def dot(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A dot on the crossing."""
    t = np.linspace(0.0, 2 * math.pi, 16)
    return [Mark(points=tip + size / 2 * np.stack([np.cos(t), np.sin(t)], axis=1))]


def none(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Nothing: the line just meets its extension lines."""
    return []


ENDS: dict[str, End] = {
    "slim": _filled(0.3, 0.9), "short": _filled(0.55), "lance": _filled(0.33),
    "open": _stroked(0.6, 0.17), "slit": _stroked(0.34, 0.18), "barbed": barbed,
    "hollow": hollow, "tick": tick, "dot": dot, "none": none,
}  # fmt: skip
CROSSES = ("tick", "dot", "none")  # that need no room within
