"""What a pencil, a ballpoint or a nib leaves of a line, and the papers they are drawn on.

Lines are made as marks in mm first, so that a view can be moved before anything is inked; `ink`
lays them on a page of 600 dpi and `wear` gives the page its grain, its squares, its smudges.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.hand_pen import PX_PER_MM, XY, Floats, Ink, Rng

STEP_MM = 1.2  # between places at which a stroke may turn
BITS = 4  # of a px that strokes are placed to
LEAST_MM = 0.3  # of a stroke
MISS_MM = 1.6  # furthest that a line runs past its end
DOUBLED_MM = 0.16  # how far the second pass of a pencil lies off
FINEST_PX = 2
FAINT = 232  # of printed squares


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """What is drawn with, and how: lengths in mm.

    `kind` is pencil, ballpoint or nib; `level` the grey of a line, 0 black; `stray` how far a line
    bows, `tremor` how far it trembles, `over` how far it misses its ends, `twice` the share of
    lines gone over a second time, `grain` how much of its ink the paper's tooth leaves out.
    """

    kind: str
    thin: float
    thick: float
    level: int
    stray: float
    tremor: float
    over: float
    twice: float
    grain: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One stroke, or one filled shape where `width` is 0: points in mm, grey 0 to 255."""

    points: Floats
    width: float
    level: int

    def moved(self, by: XY) -> Mark:
        """Return the same elsewhere."""
        return Mark(points=self.points + np.array(by), width=self.width, level=self.level)


def draw_line(a: XY, b: XY, tool: Tool, rng: Rng, *, width: float, over: float) -> list[Mark]:
    """Draw a line from end to end, a little past them or short, sometimes twice."""
    p, q = np.array(a, float), np.array(b, float)
    length = max(float(np.hypot(*(q - p))), LEAST_MM)
    u = (q - p) / length
    miss = np.clip(rng.normal(0.5 * over, over, 2), -0.15 * length, MISS_MM)
    ends = np.stack([p - miss[0] * u, q + miss[1] * u])
    marks = [_mark(_bowed(ends, tool, rng), tool, rng, width)]
    if rng.random() < tool.twice:
        first, last = sorted(rng.uniform(0, 1, 2)) if rng.random() < 0.6 else (0.0, 1.0)
        again = np.stack([ends[0] + s * (ends[1] - ends[0]) for s in (first, last)])
        again += rng.normal(0, DOUBLED_MM, 2) + rng.normal(0, 0.05, (2, 2))
        marks.append(_mark(_bowed(again, tool, rng), tool, rng, width))
    return marks


def draw_path(points: Floats, tool: Tool, rng: Rng, *, width: float) -> Mark:
    """Draw along points without ends run over: curves, circles, heads."""
    path = resample(points)
    path = path + _tremble(rng, path.shape, 0.6 * tool.tremor)
    return _mark(path, tool, rng, width)


def draw_dashes(
    a: XY, b: XY, pattern: Sequence[float], tool: Tool, rng: Rng, *, width: float
) -> list[Mark]:
    """Draw dashes and gaps of so many mm in turn, no two quite alike."""
    p, q = np.array(a, float), np.array(b, float)
    length, at, k, marks = float(np.hypot(*(q - p))), 0.0, 0, []
    while at < length - LEAST_MM:
        step = pattern[k % len(pattern)] * float(rng.uniform(0.7, 1.3))
        ends = np.stack([p + s / length * (q - p) for s in (at, min(at + step, length))])
        if k % 2 == 0:
            marks.append(_mark(_bowed(ends, tool, rng), tool, rng, width))
        at, k = at + step, k + 1
    return marks


def fill(points: Floats, tool: Tool) -> Mark:
    """Fill a shape."""
    return Mark(points=points, width=0.0, level=tool.level)


def resample(points: Floats) -> Floats:
    """Points along a path, `STEP_MM` apart."""
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = np.linspace(0.0, far[-1], max(3, round(far[-1] / STEP_MM) + 1))
    return np.stack([np.interp(at, far, points[:, k]) for k in range(2)], axis=1)


def _bowed(ends: Floats, tool: Tool, rng: Rng) -> Floats:
    path = resample(ends)
    length = float(np.hypot(*(ends[1] - ends[0])))
    u = (ends[1] - ends[0]) / max(length, LEAST_MM)
    s = np.linspace(0.0, 1.0, len(path))
    reach = tool.stray * min(1.0, length / 50.0)
    aside = reach * (
        rng.normal() * np.sin(math.pi * s) + 0.5 * rng.normal() * np.sin(2 * math.pi * s)
    )
    aside = aside + 0.4 * reach * rng.normal() * np.sin(math.pi * s * max(2.0, length / 12.0))
    path = path + aside[:, None] * np.array([-u[1], u[0]])
    return np.asarray(path + _tremble(rng, path.shape, tool.tremor))


def _tremble(rng: Rng, shape: tuple[int, ...], by: float) -> Floats:
    return np.asarray(np.clip(rng.normal(0, by, shape), -2 * by, 2 * by))


def _mark(path: Floats, tool: Tool, rng: Rng, width: float) -> Mark:
    wide = width * float(rng.uniform(0.85, 1.2))
    level = int(np.clip(tool.level + rng.normal(0, 9), 0, 150))
    return Mark(points=path, width=wide, level=level)


def ink(page: Ink, marks: Iterable[Mark], rng: Rng) -> None:
    """Lay marks on a page, the faintest first so that none lightens another."""
    for mark in sorted(marks, key=lambda m: -m.level):
        ends = np.round(mark.points * PX_PER_MM * 2**BITS).astype(np.int32)
        if mark.width == 0.0:
            cv2.fillPoly(page, [ends], mark.level, cv2.LINE_AA, BITS)
            continue
        swell = rng.uniform(-0.12, 0.12, len(ends))
        for k in range(len(ends) - 1):
            thick = max(FINEST_PX, round(mark.width * (1 + float(swell[k])) * PX_PER_MM))
            p, q = ends[k].tolist(), ends[k + 1].tolist()
            cv2.line(page, p, q, mark.level, thick, cv2.LINE_AA, BITS)


def blank(size_mm: XY) -> Ink:
    """Give a clean page of so many mm."""
    return np.full((round(size_mm[1] * PX_PER_MM), round(size_mm[0] * PX_PER_MM)), 255, np.uint8)


def wear(page: Ink, tool: Tool, rng: Rng) -> Ink:
    """Give a page what its tool leaves: a pencil's grain, a ballpoint's skips, a nib's spread."""
    if tool.kind == "nib":
        soft = cv2.GaussianBlur(page, (0, 0), 1.7).astype(np.float32)
        cut = 128 + 18 * _field(rng, page.shape, 11.0)
        return np.asarray(255.0 / (1.0 + np.exp(-(soft - cut) / 16.0)), np.uint8)
    fine = 3.0 if tool.kind == "pencil" else 9.0
    left = np.clip(1.0 - tool.grain * (0.6 + 0.7 * _field(rng, page.shape, fine)), 0.2, 1.0)
    soft = cv2.GaussianBlur(page, (0, 0), 1.1).astype(np.float32)
    return np.asarray(255.0 - (255.0 - soft) * left, np.uint8)


def rule_squares(page: Ink, pitch_mm: float, first: XY, level: int) -> None:
    """Print the squares of squared paper, every fourth line a little stronger."""
    for axis, start in enumerate(first):
        count = int(page.shape[1 - axis] / PX_PER_MM / pitch_mm) + 1
        for k in range(count):
            at = round((start + k * pitch_mm) * PX_PER_MM)
            where = (
                (slice(None), slice(at, at + 3)) if axis == 0 else (slice(at, at + 3), slice(None))
            )
            page[where] = np.minimum(page[where], level - (14 if k % 4 == 0 else 0))


def smudge(page: Ink, rng: Rng, count: int) -> Ink:
    """Leave thumb marks: soft grey patches, drawn out along one way."""
    shade = np.zeros([math.ceil(v / 24) for v in page.shape], np.float32)
    for _ in range(count):
        at = [int(rng.uniform(0.1, 0.9) * v) for v in shade.shape[::-1]]
        axes = (int(rng.uniform(4, 14)), int(rng.uniform(2, 7)))
        cv2.ellipse(
            shade, at, axes, float(rng.uniform(0, 180)), 0, 360, float(rng.uniform(8, 24)), -1
        )
    soft = cv2.resize(cv2.GaussianBlur(shade, (0, 0), 2.5), page.shape[::-1])
    return np.asarray(np.clip(page - soft, 0, 255), np.uint8)


def copy_blue(page: Ink, rng: Rng) -> Ink:
    """Copy a tracing on blueline paper: a mottled ground, lines soft and not quite dark."""
    ground = 20.0 + 5.0 * _field(rng, page.shape, 1600.0) + 2.5 * _field(rng, page.shape, 12.0)
    soft = cv2.GaussianBlur(page, (0, 0), 2.2).astype(np.float32)
    lines = (255.0 - soft) * float(rng.uniform(0.72, 0.86))
    return np.asarray(np.clip(255.0 - np.clip(ground, 4, 40) - lines, 0, 255), np.uint8)


def _field(rng: Rng, shape: tuple[int, ...], reach: float) -> NDArray[np.float32]:
    """A smooth random field of about unit spread, px from hill to hill."""
    small = [math.ceil(v / reach) + 3 for v in shape[:2]]
    rough = rng.standard_normal(small, np.float32)
    laid = cv2.resize(rough, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(laid, np.float32)
