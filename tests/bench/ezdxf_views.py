"""Views of the random sheets: plates, brackets, shafts, wedges, discs, steps and racks."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from tests.bench.ezdxf_drawing import (
    Drawing,
    dimension_angle,
    dimension_diameter,
    dimension_length,
    dimension_radius,
    dimension_slope,
    draw_centre_line,
    draw_hatch,
    draw_hole,
    draw_line,
    draw_outline,
    round_length,
    spell_length,
)
from tests.bench.ezdxf_texts import CAPS, width_of


def _plate(s: Drawing, x: float, y: float) -> None:
    rng = s.rng
    w, h = round_length(s, rng.uniform(2.2, 3.0)), round_length(s, rng.uniform(0.9, 1.4))
    draw_outline(s, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    count = int(rng.integers(1, 4))
    xs = np.sort(rng.uniform(0.3, w - 0.3, count))
    xs = [round_length(s, v) for v in xs if v > 0.25]
    xs = [v for i, v in enumerate(xs) if i == 0 or v - xs[i - 1] > 0.45]
    cy = round_length(s, h / 2)
    for v in xs:
        radius = round_length(s, rng.uniform(0.08, 0.16))
        draw_hole(s, (x + v, y + cy), radius)
        if rng.random() < 0.6:
            dimension_diameter(s, (x + v, y + cy), radius, float(rng.uniform(30, 60)))
    stops = [x, *(x + v for v in xs), x + w]
    for a, b in pairwise(stops):
        inner = [y + cy if v not in (x, x + w) else y for v in (a, b)]
        dimension_length(s, (a, inner[0]), (b, inner[1]), (a, y - 0.35), 0)
    dimension_length(s, (x, y), (x + w, y), (x, y - 0.68), 0)
    dimension_length(s, (x, y), (x, y + h), (x - 0.4, y), 90)
    if rng.random() < 0.5:
        dimension_length(s, (x + w, y), (x + w - 0.0, y + cy), (x + w + 0.4, y), 90)
    if rng.random() < 0.3:
        draw_hatch(s, [(x, y), (x + w, y), (x + w, y + h * 0.2), (x, y + h * 0.2)])


def _bracket(s: Drawing, x: float, y: float) -> None:
    rng = s.rng
    w, h = round_length(s, rng.uniform(1.8, 2.8)), round_length(s, rng.uniform(1.2, 1.6))
    t, u = round_length(s, rng.uniform(0.35, 0.6)), round_length(s, rng.uniform(0.35, 0.6))
    r = round_length(s, rng.uniform(0.12, 0.25))
    corner = (x + t, y + u)
    draw_outline(s, [(x + t, y + h), (x, y + h), (x, y), (x + w, y), (x + w, y + u)], close=False)
    draw_line(s, (x + w, y + u), (corner[0] + r, corner[1]), 50)
    draw_line(s, (x + t, y + h), (corner[0], corner[1] + r), 50)
    centre = (corner[0] + r, corner[1] + r)
    s.space.add_arc(centre, r, 180, 270, dxfattribs={"lineweight": 50})
    dimension_radius(s, centre, r, 225)
    dimension_length(s, (x, y), (x, y + h), (x - 0.4, y), 90)
    dimension_length(s, (x, y), (x + w, y), (x, y - 0.4), 0)
    dimension_length(s, (x, y + h), (x + t, y + h), (x, y + h + 0.35), 0)
    dimension_length(s, (x + w, y), (x + w, y + u), (x + w + 0.35, y), 90)


def _shaft(s: Drawing, x: float, y: float) -> None:
    rng = s.rng
    lengths = [round_length(s, v) for v in rng.uniform(0.5, 1.1, int(rng.integers(2, 4)))]
    radii = [round_length(s, v) for v in rng.uniform(0.2, 0.55, len(lengths))]
    axis = y + 0.7
    at = x
    top = axis + max(radii) + 0.35
    for length, r in zip(lengths, radii, strict=True):
        draw_outline(
            s, [(at, axis - r), (at + length, axis - r), (at + length, axis + r), (at, axis + r)]
        )
        dimension_length(s, (at, axis + r), (at + length, axis + r), (at, top), 0)
        at += length
    dimension_length(
        s, (x, axis - radii[0]), (at, axis - radii[-1]), (x, axis - max(radii) - 0.4), 0
    )
    dimension_length(s, (x, axis - radii[0]), (x, axis + radii[0]), (x - 0.45, y), 90, prefix="Ø")
    dimension_length(
        s, (at, axis - radii[-1]), (at, axis + radii[-1]), (at + 0.45, y), 90, prefix="Ø"
    )
    draw_centre_line(s, (x - 0.15, axis), (at + 0.15, axis))


def _wedge(s: Drawing, x: float, y: float) -> None:
    rng = s.rng
    w, h = round_length(s, rng.uniform(1.8, 2.6)), round_length(s, rng.uniform(0.8, 1.4))
    top = round_length(s, w * rng.uniform(0.3, 0.6))
    draw_outline(s, [(x, y), (x + w, y), (x + top, y + h), (x, y + h)])
    dimension_length(s, (x, y), (x + w, y), (x, y - 0.4), 0)
    dimension_length(s, (x, y + h), (x + top, y + h), (x, y + h + 0.4), 0)
    dimension_length(s, (x, y), (x, y + h), (x - 0.4, y), 90)
    dimension_slope(s, (x + w, y), (x + top, y + h), 0.4)
    steep = math.degrees(math.atan2(h, top - w))
    dimension_angle(s, (x + w, y), 0.7 * min(h, w - top + 0.3), steep, 180.0)


def _disc(s: Drawing, x: float, y: float) -> None:
    rng = s.rng
    r = round_length(s, rng.uniform(0.6, 0.85))
    c = (x + 1.2, y + 0.8)
    draw_hole(s, c, r)
    inner = round_length(s, r * rng.uniform(0.3, 0.45))
    s.space.add_circle(c, inner, dxfattribs={"lineweight": 50})
    s.space.add_circle(
        c, r * 0.75, dxfattribs={"lineweight": 18, "linetype": "CENTER", "ltscale": 0.1}
    )
    dimension_diameter(s, c, r, float(rng.uniform(35, 55)))
    if rng.random() < 0.5:
        dimension_radius(s, c, inner, float(rng.uniform(130, 160)))
    dimension_length(s, (c[0] - r, c[1]), (c[0] + r, c[1]), (x, c[1] - r - 0.4), 0)


def _steps(s: Drawing, x: float, y: float) -> None:
    rng = s.rng
    wide = list(rng.choice([0.5, 0.8, 1.0], 4))
    wide[int(rng.integers(4))] = float(rng.choice([0.15, 0.2, 0.3]))
    widths = [round_length(s, v) for v in wide]
    heights = [round_length(s, v) for v in rng.uniform(0.3, 1.0, 4)]
    points = [(x, y)]
    at = x
    for w, h in zip(widths, heights, strict=True):
        points += [(at, y + h), (at + w, y + h)]
        at += w
    points.append((at, y))
    draw_outline(s, points)
    at = x
    total = 0.0
    for i, w in enumerate(widths):
        total += w
        if rng.random() < 0.5 or w > 0.3:
            dimension_length(s, (at, y), (at + w, y), (x, y - 0.35), 0)
        at += w
        if i > 1:
            dimension_length(
                s, (x, y + heights[0]), (at, y + heights[i]), (x, y + 1.2 + 0.27 * (i - 2)), 0
            )
    dimension_length(s, (x, y), (x, y + heights[0]), (x - 0.4, y), 90)


def _links(s: Drawing, x: float, y: float) -> None:
    """A rack: chains of narrow links, each as wide as its number at least."""
    rng = s.rng
    widths = [round_length(s, v) for v in rng.choice([0.1, 0.14, 0.18, 0.24, 0.3, 0.4, 0.6], 6)]
    steps = [round_length(s, v) for v in rng.choice([0.15, 0.2, 0.3], 3)]
    w, h = sum(widths), round_length(s, rng.uniform(0.5, 0.9))
    draw_outline(s, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    at = x
    for width in widths:
        if _fits(s, width):
            dimension_length(s, (at, y), (at + width, y), (x, y - 0.35), 0)
        at += width
        if at < x + w - 0.01:
            draw_line(s, (at, y), (at, y + h), 50)
    dimension_length(s, (x, y), (x + w, y), (x, y - 0.65), 0)
    at = y
    for step in steps:
        if _fits(s, step):
            dimension_length(s, (x + w, at), (x + w, at + step), (x + w + 0.4, y), 90)
        at += step
    draw_line(s, (x + w, y + h), (x + w, at), 50)


def _fits(s: Drawing, paper: float) -> bool:
    """Whether the number of a link stands between its lines."""
    text = spell_length(paper * s.factor, s.style.unit)
    size = s.style.height * 72 / CAPS[s.style.font]
    return width_of(text, s.style.font, size) / 72 + 0.03 < paper


View = Callable[[Drawing, float, float], None]
EVERY_VIEW: tuple[View, ...] = (_plate, _bracket, _shaft, _wedge, _disc, _steps)
ROUND_VIEWS: tuple[View, ...] = (_bracket, _wedge, _disc)
LINK_VIEWS: tuple[View, ...] = (_links,)
