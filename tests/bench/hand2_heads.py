"""What stands at the ends of the held-out hands' dimension lines, no two quite alike."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tests.bench.hand2_pen import Mark, Tool, draw_path, fill
from tests.bench.hand_pen import XY, Floats, Rng

LOOSE_MM = 0.12  # how far a head's tip stands from where it should


def draw_head(kind: str, tip: XY, towards: XY, *, size: float, tool: Tool, rng: Rng) -> list[Mark]:
    """Draw a head at a tip that points along a unit vector; `size` in mm."""
    at = np.array(tip) + rng.normal(0, LOOSE_MM, 2)
    return HEADS[kind](at, np.array(towards), size * float(rng.uniform(0.75, 1.25)), tool, rng)


def _turned(u: Floats, degrees: float) -> Floats:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([c * u[0] - s * u[1], s * u[0] + c * u[1]])


def _vee(tip: Floats, u: Floats, size: float, tool: Tool, rng: Rng) -> list[Mark]:
    """One stroke to the tip and back, open."""
    one, two = (tip - size * float(rng.uniform(0.85, 1.1)) * _turned(u, a) for a in _leans(rng))
    return [draw_path(np.stack([one, tip, two]), tool, rng, width=tool.thin)]


def _leans(rng: Rng) -> tuple[float, float]:
    half = float(rng.uniform(14, 27))
    return half + float(rng.normal(0, 3)), -half + float(rng.normal(0, 3))


def _sliver(tip: Floats, u: Floats, size: float, tool: Tool, rng: Rng) -> list[Mark]:
    """A long thin filled one, its back a little hollow."""
    across = np.array([-u[1], u[0]])
    half = size * rng.uniform(0.1, 0.17, 2)
    back = tip - size * u
    shape = np.stack(
        [tip, back + half[0] * across, back + 0.12 * size * u, back - half[1] * across]
    )
    return [fill(shape, tool), draw_path(np.stack([tip, back]), tool, rng, width=tool.thin)]


def _outlined(tip: Floats, u: Floats, size: float, tool: Tool, rng: Rng) -> list[Mark]:
    """A triangle of three strokes, empty."""
    one, two = (tip - size * _turned(u, a) for a in _leans(rng))
    return [draw_path(np.stack([tip, one, two, tip]), tool, rng, width=tool.thin)]


def _slash(tip: Floats, u: Floats, size: float, tool: Tool, rng: Rng) -> list[Mark]:
    """A short stroke through the crossing, leant to the right."""
    lean = float(rng.uniform(35, 62))
    way = _turned(u if u[0] > 0 or (u[0] == 0 and u[1] < 0) else -u, -lean)
    reach = size * rng.uniform(0.35, 0.6, 2)
    ends = np.stack([tip - reach[0] * way, tip + reach[1] * way])
    return [draw_path(ends, tool, rng, width=1.25 * tool.thin)]


def _spot(tip: Floats, u: Floats, size: float, tool: Tool, rng: Rng) -> list[Mark]:
    """A spot, the pencil turned on its point."""
    turn = np.linspace(0, 2 * math.pi, 12)
    far = (0.2 * size + 0.15) * rng.uniform(0.8, 1.2, 12)
    return [fill(tip + np.stack([far * np.cos(turn), far * np.sin(turn)], axis=1), tool)]


def _none(tip: Floats, u: Floats, size: float, tool: Tool, rng: Rng) -> list[Mark]:
    """Nothing: the line runs up to the other."""
    return []


Draw = Callable[[Floats, Floats, float, Tool, Rng], list[Mark]]
HEADS: dict[str, Draw] = {
    "vee": _vee,
    "sliver": _sliver,
    "outlined": _outlined,
    "slash": _slash,
    "spot": _spot,
    "none": _none,
}
CROSSING = ("slash", "spot")  # heads whose line runs on past them
