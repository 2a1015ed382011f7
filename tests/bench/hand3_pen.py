"""Ink and lead of a third company of drafters: strokes in mm, and what their tools leave.

A stroke is a path with a width and a darkness at every place of it. Tools differ in how steady
their lines are, where they stop, and what the paper makes of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.hand_pen import PX_PER_MM, XY, Ink, Rng

Path = NDArray[np.float64]
PITCH_MM = 1.1  # between places of a path
SUBPX = 4  # bits that places of a path are rounded to
BROAD = 40.0  # degrees at which a nib is held
FULL = 255.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """What somebody draws with; lengths in mm.

    Attributes
    ----------
    kind : str
        "ink", "lead", "ball", "felt" or "nib".
    heavy, light, letter : float
        Widths of outlines, of lines about them, and of letters.
    dark : float
        How dark it is at best, 0 to 1.
    steady : float
        How far a line strays from straight; without a ruler some 0.3.
    miss : float
        How far corners and ends are missed.
    edge : float
        How far an edge stands from where it was measured off.
    """

    kind: str
    heavy: float
    light: float
    letter: float
    dark: float
    steady: float
    miss: float
    edge: float


@dataclass(frozen=True, slots=True)
class Stroke:
    """A path, mm, with the width, mm, and the darkness, 0 to 1, of each of its places.

    `lettered`: it is of a number that belongs to a size. `solid`: what it goes round is filled.
    """

    path: Path
    width: Path
    dark: Path
    lettered: bool = False
    solid: bool = False

    def moved(self, by: XY) -> Stroke:
        """The same elsewhere."""
        return replace(self, path=self.path + np.array(by))


def stray(a: XY, b: XY, tool: Tool, rng: Rng, *, over: float | None = None) -> Path:
    """The way a pen goes from place to place: not quite straight, nor quite that far."""
    start, end = np.array(a, float), np.array(b, float)
    long = math.dist(a, b)
    u = (end - start) / max(long, 1e-6)
    miss = tool.miss if over is None else over
    first, last = rng.normal(0.3 * miss, 0.6 * miss, 2)
    start, end = start - u * min(first, 0.3 * long), end + u * min(last, 0.3 * long)
    count = max(2, math.ceil((long + miss) / PITCH_MM) + 1)
    t = np.linspace(0, 1, count)
    reach = tool.steady * min(1.0, 0.25 + long / 60)
    bow = rng.normal(0, 0.5 * reach) * np.sin(np.pi * t)
    waves = sum(
        rng.normal(0, reach / (k + 1.5)) * np.sin(2 * np.pi * (k * t * long / 30 + rng.random()))
        for k in (1, 2, 3)
    )
    aside = bow + waves * np.sin(np.pi * np.clip(t, 0.04, 0.96)) ** 0.5
    path = start + t[:, None] * (end - start) + aside[:, None] * np.array([-u[1], u[0]])
    return np.asarray(path, np.float64)


def inked(path: Path, width: float, tool: Tool, rng: Rng, *, dark: float = 1.0) -> Stroke:
    """Draw along a path: how wide and how dark it comes out by the tool."""
    n = len(path)
    slow = np.interp(np.linspace(0, 1, n), np.linspace(0, 1, 6), rng.normal(0, 1, 6))
    wide, tone = np.full(n, width), np.full(n, tool.dark * dark)
    match tool.kind:
        case "lead":
            wide, tone = wide * (1 + 0.13 * slow), tone * (1 + 0.16 * slow + rng.normal(0, 0.08))
        case "ball":
            wide, tone = wide * (1 + 0.06 * slow), tone * (1 + 0.12 * slow)
            tone[rng.random(n) < 0.006] *= 0.6  # it skips
        case "felt":
            wide = wide * (1 + 0.08 * slow)
            wide[[0, -1]] *= float(rng.uniform(1.05, 1.35))  # it bleeds where it rests
        case "nib":
            step = np.gradient(path, axis=0)
            lie = np.arctan2(step[:, 1], step[:, 0]) + math.radians(BROAD)
            wide = wide * (0.7 + 0.5 * np.abs(np.sin(lie))) * (1 + 0.05 * slow)
        case _:
            wide = wide * (1 + 0.04 * slow)
    return Stroke(path, np.clip(wide, 0.1, None), np.clip(tone, 0.06, 1.0))


def rule(
    a: XY, b: XY, tool: Tool, rng: Rng, *, width: float = 0.0, over: float | None = None
) -> Stroke:
    """Draw a line, thin as a rule."""
    return inked(stray(a, b, tool, rng, over=over), width or tool.light, tool, rng)


def dashes(a: XY, b: XY, tool: Tool, rng: Rng, marks: Sequence[float]) -> list[Stroke]:
    """Draw a broken line: dash, space, dash, space in turn, none as long as the last."""
    long, at, k, made = math.dist(a, b), 0.0, 0, []
    u = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
    while at < long:
        reach = min(long, at + marks[k % len(marks)] * float(rng.uniform(0.75, 1.3)))
        if k % 2 == 0 and reach - at > 0.2:
            ends = [(a[0] + u[0] * v, a[1] + u[1] * v) for v in (at, reach)]
            made.append(rule(ends[0], ends[1], tool, rng, over=0.05))
        at, k = reach, k + 1
    return made


def sweep(centre: XY, radius: float, turn: XY, tool: Tool, rng: Rng, *, width: float) -> Stroke:
    """Draw an arc from angle to angle, degrees, y up; with a compass it closes, by hand hardly."""
    count = max(8, math.ceil(abs(turn[1] - turn[0]) / 360 * 2 * np.pi * radius / PITCH_MM) + 1)
    t = np.radians(np.linspace(turn[0] - 1, turn[1] + 1, count))
    loose = 0.5 * tool.steady
    off = rng.normal(0, loose) * np.cos(2 * t + rng.uniform(0, 6)) + rng.normal(0, 0.3 * loose)
    r = radius + 0.5 * off
    path = np.stack([centre[0] + r * np.cos(t), centre[1] - r * np.sin(t)], axis=1)
    return inked(path, width, tool, rng)


def lay(shape: tuple[int, int], strokes: Iterable[Stroke]) -> Ink:
    """Lay strokes on a page of 600 dpi: how much of every place they cover."""
    cover = np.zeros(shape, np.uint8)
    for s in sorted(strokes, key=lambda s: float(s.dark.mean())):
        places = np.round(s.path * PX_PER_MM * (1 << SUBPX)).astype(np.int32)
        if s.solid:
            cv2.fillPoly(cover, [places], FULL * float(s.dark[0]), cv2.LINE_AA, SUBPX)
        thick = np.maximum(1, np.round(s.width * PX_PER_MM)).astype(int)
        for p, q, w, d in zip(places[:-1], places[1:], thick[1:], s.dark[1:], strict=True):
            ends = (int(p[0]), int(p[1])), (int(q[0]), int(q[1]))
            cv2.line(cover, *ends, FULL * float(d), int(w), cv2.LINE_AA, SUBPX)
    return cover
