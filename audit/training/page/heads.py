"""Terminators of dimension lines: drawn by machines and by hands, of every size.

The label stands where the dimension ends: an arrow's tip, the middle of a ring, dot, box or tick.
"""

from __future__ import annotations

import math

import numpy as np

from audit.training.page.canvas import Canvas, Tip
from audit.training.page.strokes import pick_ink
from audit.training.page.styles import EVEN, Style, unit_vector

RADIUS = {  # of round and square heads, as a share of the arrow's size
    "dot": (0.15, 0.3), "small dot": (0.07, 0.14), "ring": (0.2, 0.5), "small ring": (0.1, 0.24),
    "origin": (0.2, 0.5), "two rings": (0.25, 0.5), "box": (0.15, 0.4), "blank box": (0.15, 0.45),
}  # fmt: skip
LEAST_PX = 1.7


def head_radius(s: Style, kind: str) -> float:
    """Radius of a round head, the same for a whole drawing; 0 for other kinds."""
    low, high = RADIUS.get(kind, (0.0, 0.0))
    share = 0.5 + 0.5 * math.sin(37.0 * s.slim + 11.0 * s.beyond)  # fixed for a style
    return 0.0 if high == 0 else max(LEAST_PX, s.arrow * (low + (high - low) * share))


def line_stops(s: Style, kind: str) -> float:
    """How far from the end a dimension line stops: at the rim of a ring, say."""
    if kind in ("ring", "small ring", "blank box", "two rings"):
        return head_radius(s, kind)
    return 0.0


def draw_terminator(c: Canvas, s: Style, p, direction: float, *, kind: str | None = None) -> None:
    """Draw one terminator at p whose body lies towards `direction` (degrees)."""
    kind = kind or s.terminator
    if kind == "none":
        return
    p = np.asarray(p, float)
    even = kind in EVEN
    # the same place gives the same head: chains draw their inner ones twice
    seed = [int(abs(v) * 16) for v in p] + ([] if even else [int(direction % 360)])
    rng = np.random.default_rng([*seed, int(s.arrow * 1000)])
    unlike = s.hand.head
    if not even:
        direction += unlike * float(rng.normal(0, 7))
        p = p + unit_vector(direction)[0] * unlike * float(rng.normal(0, 1.0))
    ink = pick_ink(s, rng, thin=s.pale_heads)
    size = s.arrow * (1 + 0.3 * unlike * float(rng.uniform(-1, 1)))
    if even:
        _draw_even(c, s, rng, p, direction, kind, size, ink)
    else:
        _draw_arrow(c, s, rng, p, direction, kind, size, ink)
        if s.barred:
            _bar(c, s, rng, p, direction, ink)
    c.tips.append(Tip(float(p[0]), float(p[1]), None if even else direction))


def _draw_arrow(c: Canvas, s: Style, rng, p, direction, kind, size, ink) -> None:
    u, n = unit_vector(direction)
    unlike = s.hand.head
    half = size * s.slim * (1 + 0.5 * unlike * float(rng.uniform(-1, 1)))
    if kind in ("filled", "blank", "half"):
        base = p + u * size
        lean = u * unlike * size * rng.normal(0, 0.12, 2)[:, None]
        corners = [p, base + n * half + lean[0], base - n * half + lean[1]]
        if kind == "half":
            corners[2] = base
        if kind == "blank":
            if rng.random() < 0.6:
                c.fill(corners, ink=255)
            c.polyline([*corners, corners[0]], s.thin, ink=ink)
        else:
            c.fill(corners, ink=ink)
            c.polyline([*corners, corners[0]], min(s.thin, 1.2), ink=ink)
    elif kind == "foot":  # a triangle that stands on what is measured
        wide = size * 0.55
        corners = [p + n * wide, p - n * wide, p + u * size]
        if rng.random() < 0.5:
            c.fill(corners, ink=ink)
        c.polyline([*corners, corners[0]], s.thin, ink=ink)
    elif kind in ("graved", "swept", "drop"):
        _curved_head(c, s, rng, p, (u, n), kind, size, half, ink)
    elif kind == "blob":
        _blob(c, rng, p, (u, n), (size * 0.8, max(half, size * 0.16)), ink)
    else:
        _barbs(c, s, rng, p, (u, n), kind, size, half, ink)


def _curved_head(c: Canvas, s: Style, rng, p, axes, kind, size, half, ink) -> None:
    """A filled head with hollow sides, two strokes that swing outwards, a drop that hangs back."""
    u, n = axes
    t = np.linspace(0, 1, 8)
    bulge = {"graved": t**1.9, "swept": t ** rng.uniform(1.6, 2.6), "drop": 2 * t**0.5 * (1 - t)}
    unlike = 1 + 0.4 * s.hand.head * rng.uniform(-1, 1, 2)
    sides = [
        p + (size * t)[:, None] * u + (sign * half * by * bulge[kind])[:, None] * n
        for sign, by in zip((1, -1), unlike, strict=True)
    ]
    if kind == "swept":
        for row in sides:
            c.polyline(row, s.thin, ink=ink)
        return
    back = [p + u * size * rng.uniform(0.7, 1.0)] if kind == "graved" else []
    c.fill([*sides[0], *back, *sides[1][::-1]], ink=ink)


def _bar(c: Canvas, s: Style, rng, p, direction: float, ink: int) -> None:
    """A short bar of its own against which an arrow stands."""
    n = unit_vector(direction)[1] * max(3.0, s.arrow * rng.uniform(0.3, 0.8))
    c.line(p - n, p + n, s.thin, ink=ink, label="extension")


def _blob(c: Canvas, rng, p, axes, reach, ink) -> None:
    """A drop of ink, its point at the tip."""
    u, n = axes
    t = np.linspace(0, 2 * np.pi, 11)[:-1]
    along = (0.5 - 0.5 * np.cos(t)) * reach[0] * rng.uniform(0.85, 1.15, len(t))
    aside = np.sin(t) * (0.4 + 0.6 * along / reach[0]) * reach[1] * rng.uniform(0.6, 1.3, len(t))
    c.fill([p + u * a + n * b for a, b in zip(along, aside, strict=True)], ink=ink)


def _barbs(c: Canvas, s: Style, rng, p, axes, kind, size, half, ink) -> None:
    """Two strokes that meet at the tip, or one; quick ones are curved, unlike, and may miss it."""
    u, n = axes
    unlike = max(s.hand.head, 0.35) if kind in ("quick", "vee") else s.hand.head
    if kind == "open90":
        size = half = size * 0.5
    elif kind == "quick":
        half = size * float(rng.uniform(0.15, 0.6))
    elif kind == "vee":  # short, wide, drawn in two strokes that need not meet
        size *= 0.6
        half = size * float(rng.uniform(0.35, 0.9))
    sides = (float(rng.choice([-1, 1])),) if kind == "barb" else (1.0, -1.0)
    for side in sides:
        start = p + rng.normal(0, 0.8 * unlike, 2)
        if kind == "vee":
            start = start + n * side * rng.uniform(-0.8, 1.4) - u * rng.uniform(-0.5, 1.5)
        reach = size * (1 + unlike * rng.uniform(-0.4, 0.3))
        spread = half * (1 + unlike * rng.uniform(-0.5, 0.5))
        end = p + u * reach + n * side * spread
        bow = n * side * unlike * size * rng.normal(0.03, 0.08)
        if unlike:
            middle = (start + end) / 2 + bow
            t = np.linspace(0, 1, 6)[:, None]
            row = start * (1 - t) ** 2 + 2 * middle * t * (1 - t) + end * t**2
            c.polyline(row, s.thin * (1 + 0.3 * unlike * rng.uniform(-1, 1)), ink=ink)
        else:
            c.line(start, end, s.thin, ink=ink)


def _draw_even(c: Canvas, s: Style, rng, p, direction, kind, size, ink) -> None:
    u, n = unit_vector(direction)
    unlike = s.hand.head
    if kind == "star":
        for turn in np.radians(np.arange(0, 180, 45) + 40 * unlike * rng.uniform(-1, 1)):
            d = (u * math.cos(turn) + n * math.sin(turn)) * size * 0.35
            c.line(p - d, p + d, s.thin, ink=ink)
        return
    if kind == "two ticks":
        for aside in (-0.12, 0.12):
            _slash(c, s, rng, p + u * size * aside, (u, n), "oblique", size, ink)
        return
    if kind in ("tick", "oblique", "swung", "cross"):
        _slash(c, s, rng, p, (u, n), kind, size, ink)
        return
    radius = head_radius(s, kind) * (1 + 0.3 * unlike * float(rng.uniform(-1, 1)))
    t = np.linspace(0, 2 * np.pi, 24)
    round_ = (
        p
        + radius
        * np.column_stack([np.cos(t), np.sin(t)])
        * (1 + 0.12 * unlike * np.sin(2 * t + rng.uniform(0, 6)))[:, None]
    )
    square = [p + radius * (u * i + n * j) for i, j in ((1, 1), (1, -1), (-1, -1), (-1, 1), (1, 1))]
    if kind in ("dot", "small dot"):
        c.fill(round_, ink=ink)
    elif kind == "box":
        c.fill(square, ink=ink)
    elif kind == "blank box":
        c.polyline(square, s.thin, ink=ink)
    else:
        c.polyline(round_, s.thin, ink=ink)
        if kind == "two rings":
            inner = p + (round_ - p) * 0.5
            c.polyline(inner, s.thin, ink=ink)


def _slash(c: Canvas, s: Style, rng, p, axes, kind, size, ink) -> None:
    u, n = axes
    unlike = s.hand.head
    # a slash leans the same way at both ends of a line: the body's direction only flips it
    turn = math.radians(45.0 + unlike * float(rng.normal(0, 10)))
    d = (u * math.cos(turn) + n * math.sin(turn)) * size * (0.65 if kind == "oblique" else 0.5)
    width = s.thin * (2.2 if kind == "tick" else 1.0)
    if kind == "swung":
        aside = np.array([-d[1], d[0]])
        t = np.linspace(-1, 1, 12)[:, None]
        c.polyline(p + d * t + aside * 0.35 * np.sin(np.pi * t), s.thin, ink=ink)
        return
    ends = [
        p - d * (1 + unlike * rng.uniform(-0.4, 0.4)),
        p + d * (1 + unlike * rng.uniform(-0.4, 0.4)),
    ]
    bow = np.array([-d[1], d[0]]) * unlike * rng.normal(0, 0.08)
    c.polyline([ends[0], p + bow, ends[1]], width, ink=ink)
    if kind == "cross":
        e = np.array([-d[1], d[0]])
        c.line(p - e, p + e, width, ink=ink)
