"""Pictures around dimensions on old plates: grain, stipple, shading, boxes seen aslant, halftone."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image, ImageChops, ImageDraw

from audit.training.page.canvas import OVER, SIZE, Canvas
from audit.training.page.strokes import draw_stroke, pick_ink
from audit.training.page.styles import Style, unit_vector

WHOLE = 0.25  # of patches: dimensions stand within them


def draw_picture(c: Canvas, s: Style, rng) -> None:
    """Draw one picture, or the shading of a surface."""
    draw = PICTURES[int(rng.integers(len(PICTURES)))]
    draw(c, s, rng)


def _patch(s: Style, rng) -> list[np.ndarray]:
    """Corners of a quadrilateral somewhere, along the drawing."""
    u, n = unit_vector(s.turn)
    p, (wide, high) = rng.uniform(-60, SIZE - 20, 2), rng.uniform(25, 200, 2)
    if rng.random() < WHOLE:
        p, (wide, high) = rng.uniform(-80, 60, 2), rng.uniform(160, 420, 2)
    lean = u * rng.choice([0, 0, rng.uniform(-40, 40)])
    return [p, p + u * wide, p + u * wide + n * high + lean, p + n * high + lean]


def _paste(c: Canvas, layer: Canvas, corners, ink: int) -> None:
    """Take over what stands on a layer within a patch."""
    mask = Image.new("L", c.picture.size, 0)
    ImageDraw.Draw(mask).polygon([(x * OVER, y * OVER) for x, y in corners], fill=255)
    drawn = Image.eval(layer.picture, lambda v: 255 - v)
    c.picture.paste(ink, (0, 0), Image.composite(drawn, Image.new("L", drawn.size, 0), mask))


def _frame(c: Canvas, s: Style, rng, corners) -> None:
    if rng.random() < 0.8:
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
            draw_stroke(c, s, rng, a, b, s.thick)


def draw_grain(c: Canvas, s: Style, rng) -> None:
    """Draw wood grain: long lines that swing together about a knot, and broken ones."""
    corners = _patch(s, rng)
    u, n = unit_vector(s.turn + float(rng.choice([0, 90])))
    layer = Canvas(size=c.size)
    middle = np.mean(corners, axis=0)
    along = np.linspace(-SIZE, SIZE, 80)
    swell = rng.uniform(-22, 22) * np.exp(-((along / rng.uniform(15, 70)) ** 2))
    wave = rng.uniform(0, 5) * np.sin(along / rng.uniform(15, 50) + rng.uniform(0, 6))
    step, at = rng.uniform(3, 11), -SIZE * 0.8
    while at < SIZE * 0.8:
        side = math.copysign(1.0, at) * math.exp(-abs(at) / rng.uniform(15, 40))
        aside = at + wave + swell * side + rng.normal(0, 0.3, len(along))
        row = middle + along[:, None] * u + aside[:, None] * n
        first = int(rng.integers(0, 40)) if rng.random() < 0.4 else 0
        last = first + int(rng.integers(8, 40)) if rng.random() < 0.4 else len(row)
        if last - first > 1:
            layer.polyline(row[first:last], s.thin * rng.uniform(0.6, 1.0), joint=None)
        at += step * rng.uniform(0.6, 1.5)
    _paste(c, layer, corners, pick_ink(s, rng, thin=True))
    _frame(c, s, rng, corners)


def draw_end_grain(c: Canvas, s: Style, rng) -> None:
    """Draw a board's end: rings about a heart that lies outside, and rays."""
    corners = _patch(s, rng)
    layer = Canvas(size=c.size)
    heart = np.mean(corners, axis=0) + rng.uniform(-90, 90, 2)
    step = rng.uniform(4, 14)
    for k in range(1, int(300 / step)):
        radius = (k + rng.uniform(-0.2, 0.2)) * step
        layer.arc(heart, radius, 0, 360, s.thin * 0.8)
    for _ in range(int(rng.choice([0, 0, 8, 20]))):
        u, _n = unit_vector(float(rng.uniform(0, 360)))
        layer.line(heart + u * rng.uniform(5, 80), heart + u * rng.uniform(80, 300), s.thin * 0.7)
    _paste(c, layer, corners, pick_ink(s, rng, thin=True))
    _frame(c, s, rng, corners)


def draw_stipple(c: Canvas, s: Style, rng) -> None:
    """Draw dots, short strokes or crosses strewn over a surface, denser at one side."""
    corners = _patch(s, rng)
    layer = Canvas(size=c.size)
    u, n = unit_vector(s.turn + float(rng.uniform(0, 180)))
    kind = rng.random()
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    for _ in range(int(rng.integers(40, 400))):
        p = low + (high - low) * rng.random(2) ** rng.choice([1.0, 1.0, 2.0])
        if kind < 0.5:
            layer.disc(p, rng.uniform(0.5, 1.3))
        else:
            layer.line(p, p + u * rng.uniform(2, 9) + n * rng.normal(0, 1), s.thin * 0.8)
    _paste(c, layer, corners, pick_ink(s, rng))
    _frame(c, s, rng, corners)


def draw_section(c: Canvas, s: Style, rng) -> None:
    """Draw a cut surface: hatching in groups of two or three, crossed, or broken."""
    corners = _patch(s, rng)
    layer = Canvas(size=c.size)
    turns = [s.turn + float(rng.choice([45, 135, 60, 30]))]
    if rng.random() < 0.25:
        turns.append(turns[0] + 90)
    step, group = rng.uniform(3, 12), int(rng.choice([1, 1, 2, 3]))
    for turn in turns:
        u, n = unit_vector(turn)
        at, k = -SIZE * 1.0, 0
        while at < SIZE:
            p = np.array([SIZE / 2, SIZE / 2]) + n * at
            draw_stroke(layer, s, rng, p - u * SIZE, p + u * SIZE, s.thin * 0.8)
            k += 1
            at += step * (1.0 if k % group else rng.choice([1.0, 2.2]))
    _paste(c, layer, corners, pick_ink(s, rng, thin=True))
    _frame(c, s, rng, corners)


def draw_turning(c: Canvas, s: Style, rng) -> None:
    """Draw a turned piece: shading strokes ever closer towards its edges."""
    u, n = unit_vector(s.turn + float(rng.choice([0, 90])))
    p = rng.uniform(-40, SIZE - 20, 2)
    long, wide = rng.uniform(25, 220), rng.uniform(14, 90)
    corners = [p, p + u * long, p + u * long + n * wide, p + n * wide]
    ink = pick_ink(s, rng, thin=True)
    for side in (0.0, 1.0):
        at, step = rng.uniform(1, 3), rng.uniform(1.6, 4)
        while at < wide * 0.5:
            row = p + n * (at if side == 0 else wide - at)
            c.line(row + u * rng.uniform(0, 6), row + u * (long - rng.uniform(0, 6)), s.thin * 0.8,
                   ink=ink)  # fmt: skip
            at += step
            step *= 1.25
    _frame(c, s, rng, corners)


def draw_aslant(c: Canvas, s: Style, rng) -> None:
    """Draw boxes and round things seen aslant, shaded on one side."""
    at = rng.uniform(0, SIZE, 2)
    low, high = rng.uniform(15, 40, 2)
    axes = [unit_vector(s.turn + t)[0] for t in (-low, 180 + high, 90)]
    sizes = rng.uniform(12, 110, 3)
    x, y, z = (a * k for a, k in zip(axes, sizes, strict=True))
    faces = [(at, x, z), (at, y, z), (at + z, x, y)]
    for k, (o, a, b) in enumerate(faces):
        face = [o, o + a, o + a + b, o + b]
        for p, q in zip(face, face[1:] + face[:1], strict=True):
            draw_stroke(c, s, rng, p, q, s.thick)
        if k < 2 and rng.random() < 0.3:
            for t in np.arange(0.05, 0.95, rng.uniform(0.04, 0.15)):
                c.line(o + a * t, o + a * t + b, s.thin * 0.8, ink=pick_ink(s, rng, thin=True))
        if rng.random() < 0.35:
            t = np.linspace(0, 2 * np.pi, 30)[:, None]
            share = rng.uniform(0.1, 0.4)
            ring = o + a * (0.5 + share * np.cos(t)) + b * (0.5 + share * np.sin(t))
            c.polyline(ring, s.thin, ink=pick_ink(s, rng))


def draw_halftone(c: Canvas, s: Style, rng) -> None:
    """Draw a screened patch, dots ever larger, as a printed photograph is."""
    corners = _patch(s, rng)
    layer = Canvas(size=c.size)
    u, n = unit_vector(s.turn + 45)
    pitch = rng.uniform(2.5, 7)
    fade = unit_vector(float(rng.uniform(0, 360)))[0] / rng.uniform(80, 300)
    middle = np.mean(corners, axis=0)
    reach = int(np.hypot(*(np.max(corners, axis=0) - np.min(corners, axis=0))) / pitch / 2) + 1
    level = rng.uniform(0.15, 0.6)
    for i in range(-reach, reach + 1):
        for j in range(-reach, reach + 1):
            p = middle + u * i * pitch + n * j * pitch
            if not (-4 < p[0] < SIZE + 4 and -4 < p[1] < SIZE + 4):
                continue
            share = min(0.75, max(0.1, level + float(fade @ (p - middle))))
            layer.disc(p, pitch * share * 0.75)
    _paste(c, layer, corners, pick_ink(s, rng))


def draw_solid(c: Canvas, s: Style, rng) -> None:
    """Draw a black or gray surface: a cut drawn solid, a shadow."""
    corners = _patch(s, rng)
    centre = np.mean(corners, axis=0)
    slim = [centre + (p - centre) * rng.uniform(0.1, 1.0) for p in corners]
    c.fill(slim, ink=int(rng.choice([s.ink[0], rng.integers(60, 200)])))


def draw_surface(c: Canvas, s: Style, rng) -> None:
    """Draw what dimensions stand in, or what is drawn over them: grain, hatching, stipple."""
    draw = SURFACES[int(rng.integers(len(SURFACES)))]
    layer = Canvas(size=c.size)
    draw(layer, s, rng)
    c.picture.paste(ImageChops.darker(c.picture, layer.picture))


SURFACES = (
    draw_grain, draw_grain, draw_grain, draw_section, draw_section, draw_section,
    draw_stipple, draw_end_grain, draw_turning,
)  # fmt: skip
PICTURES = (
    draw_grain, draw_grain, draw_end_grain, draw_stipple, draw_section, draw_section,
    draw_turning, draw_aslant, draw_aslant, draw_halftone, draw_solid,
)  # fmt: skip
