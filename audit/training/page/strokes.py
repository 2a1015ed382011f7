"""Lines as a pen draws them, by ruler or by hand."""

from __future__ import annotations

import math

import numpy as np

from audit.training.page.canvas import Canvas
from audit.training.page.styles import Style

SHORT_PX = 8.0  # shorter strokes do not waver
STEP_PX = 6.0  # between points of a wavering stroke


FAINTEST = 215  # gray of the palest line drawn


def pick_ink(s: Style, rng: np.random.Generator, *, thin: bool = False) -> int:
    """Pick how dark the next stroke comes out, as a gray value; thin lines may be paler."""
    low, high = s.ink
    value = low if low == high else int(rng.integers(low, high + 1))
    return min(value + s.pale, max(value, FAINTEST)) if thin else value


def draw_stroke(c: Canvas, s: Style, rng, a, b, width: float, label: str = "") -> None:
    """Draw a line; by hand it wavers, swells, runs on or stops short, and may be lifted."""
    ink = pick_ink(s, rng, thin=label != "")
    length = math.dist(a, b)
    if s.hand.steady or length < SHORT_PX:
        c.line(a, b, width, ink=ink, label=label)
        return
    a, b = np.asarray(a, float), np.asarray(b, float)
    u = (b - a) / length
    n = np.array([-u[1], u[0]])
    over = np.minimum(np.abs(rng.normal(0, s.hand.over, 2)) * rng.choice([1, 1, -0.6], 2), 9.0)
    t = np.arange(-over[0], length + over[1], STEP_PX)
    t = np.append(t, length + over[1])
    aside = _waver(rng, t, s)
    points = a + t[:, None] * u + aside[:, None] * n
    first, gap = 0, 0
    if rng.random() < s.hand.lift and len(t) > 9:
        gap = int(rng.integers(3, len(t) - 4))
    for stop in (gap, len(points)):
        part = points[first:stop]
        if len(part) > 1:
            _swelling(c, rng, part, width, s.hand.swell, ink, label)
        first = stop + (int(rng.random() < 0.5) if stop == gap and gap else 0)


def _waver(rng, t: np.ndarray, s: Style) -> np.ndarray:
    knots = max(2, round(float(t[-1] - t[0]) / s.hand.knot) + 1)
    rough = rng.normal(0, s.hand.waver * 0.5, knots)
    rough[[0, -1]] *= 0.5
    place = np.linspace(0, knots - 1, len(t))
    left = np.minimum(place.astype(int), knots - 2)
    share = place - left
    share = share * share * (3 - 2 * share)
    bow = rng.normal(0, 0.4 * s.hand.waver) * np.sin(np.pi * place / (knots - 1))
    return rough[left] * (1 - share) + rough[left + 1] * share + bow


def _swelling(c: Canvas, rng, points: np.ndarray, width: float, swell: float, ink, label) -> None:
    """Draw a row of points in pieces of unlike width."""
    pieces = 1 if swell == 0 else max(1, len(points) // 6)
    for part in np.array_split(np.arange(len(points) - 1), pieces):
        if len(part):
            wide = max(0.7, width * (1 + rng.uniform(-swell, swell)))
            row = points[part[0] : part[-1] + 2]
            c.polyline(row, wide, ink=ink, label=label, joint=None)  # turns too little to show


def draw_dashed(
    c: Canvas, rng, a, b, width: float, *, dashes=None, ink: int = 0, label: str = ""
) -> None:
    """Draw a dashed or dash-dotted line; `label` marks its dashes."""
    pattern = dashes or [(8, 4), (14, 3, 3, 3), (20, 5, 4, 5), (5, 3)][int(rng.integers(4))]
    a, b = np.asarray(a, float), np.asarray(b, float)
    length = math.dist(a, b)
    if length < 1:
        return
    u, at, i = (b - a) / length, 0.0, 0
    unlike = rng.uniform(0, 0.3)
    while at < length:
        step = pattern[i % len(pattern)] * (1 + unlike * rng.uniform(-1, 1))
        if i % 2 == 0:
            c.line(a + u * at, a + u * min(at + step, length), width, ink=ink, label=label)
        at += step
        i += 1


def draw_waved(c: Canvas, s: Style, rng, a, b, width: float) -> None:
    """Draw a line by free hand or by ruler whatever the style, as hatching is."""
    if s.hand.steady:
        c.line(a, b, width, ink=pick_ink(s, rng))
    else:
        draw_stroke(c, s, rng, a, b, width)
