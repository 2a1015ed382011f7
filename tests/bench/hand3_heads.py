"""What a third company of drafters ends its dimension lines with."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from tests.bench.hand3_pen import Stroke, Tool, inked, stray, sweep
from tests.bench.hand_pen import XY, Rng

HEADS = ("slim", "vee", "wide", "stroke", "blob", "hollow", "half", "crow", "cross", "leaf")
OVERRUN = ("stroke", "blob", "cross")  # lines run on past these


def draw_head(kind: str, tip: XY, way: XY, *, size: float, tool: Tool, rng: Rng) -> list[Stroke]:
    """End a line at a tip; `way` is where the line comes from, of unit length; `size` in mm."""
    size *= float(rng.uniform(0.82, 1.2))
    match kind:
        case "slim" | "leaf":
            return [_filled(tip, way, size, tool=tool, rng=rng, bent=kind == "leaf")]
        case "vee" | "wide" | "crow":
            spread = {"vee": 17.0, "wide": 33.0, "crow": 24.0}[kind]
            curl = 0.25 if kind == "crow" else 0.0
            return _barbs(tip, way, size, spread=spread, tool=tool, rng=rng, curl=curl)
        case "half":
            return _barbs(tip, way, size, spread=20.0, tool=tool, rng=rng, sides=(1,))
        case "hollow":
            a, b = (_aside(tip, way, size, s * float(rng.uniform(13, 19))) for s in (-1, 1))
            return [_line(p, q, tool, rng) for p, q in ((tip, a), (a, b), (b, tip))]
        case "stroke":
            lean = math.radians(float(rng.normal(45, 5)))
            c, s = math.cos(lean) * size / 2, math.sin(lean) * size / 2
            return [_line((tip[0] - c, tip[1] + s), (tip[0] + c, tip[1] - s), tool, rng, 1.7)]
        case "cross":
            r = 0.4 * size
            ends = [((tip[0] - r, tip[1] + s * r), (tip[0] + r, tip[1] - s * r)) for s in (-1, 1)]
            return [_line(a, b, tool, rng, 1.2) for a, b in ends]
        case _:
            dot = sweep(tip, 0.16 * size, (0, 360), tool, rng, width=tool.light)
            return [replace(dot, solid=True)]


def _line(a: XY, b: XY, tool: Tool, rng: Rng, wide: float = 1.0) -> Stroke:
    return inked(stray(a, b, tool, rng, over=0.12), wide * tool.light, tool, rng)


def _aside(tip: XY, way: XY, size: float, degrees: float) -> XY:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (
        tip[0] + size * (c * way[0] - s * way[1]),
        tip[1] + size * (s * way[0] + c * way[1]),
    )


def _barbs(
    tip: XY, way: XY, size: float,
    *, spread: float, tool: Tool, rng: Rng, curl: float = 0.0, sides: tuple[int, ...] = (-1, 1),
) -> list[Stroke]:  # fmt: skip
    made = []
    for side in sides:
        back = _aside(tip, way, size * float(rng.uniform(0.8, 1.2)), side * rng.normal(spread, 4))
        if not curl:
            made.append(_line(tip, back, tool, rng))
            continue
        middle = _aside(tip, way, 0.55 * size, side * spread * (1 - curl) * 0.6)
        made.append(inked(np.array([tip, middle, back]), tool.light, tool, rng))
    return made


def _filled(tip: XY, way: XY, size: float, *, tool: Tool, rng: Rng, bent: bool) -> Stroke:
    a, b = (_aside(tip, way, size, s * float(rng.uniform(8, 12))) for s in (-1, 1))
    rear = (0.72 if bent else 1.0) * size
    back = (tip[0] + rear * way[0], tip[1] + rear * way[1])
    path = np.array([tip, a, back, b, tip])
    drawn = inked(path, 0.7 * tool.light, tool, rng)
    return replace(drawn, solid=True, dark=np.full(len(path), tool.dark))
