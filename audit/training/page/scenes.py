"""Random crops of drawings: parts, dimensions in many styles, notes, tables, and clutter.

Everything is drawn from scratch: no drawing, style or type face of the test sheets is used.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np

from audit.training.page.canvas import OVER, SIZE, Canvas
from audit.training.page.clutter import (
    draw_balloon,
    draw_border,
    draw_cross,
    draw_crossed_marks,
    draw_cutting_plane,
    draw_grid,
    draw_lookalikes,
    draw_marks,
    draw_notes,
    draw_paragraph,
    draw_part,
    draw_table,
    hatch,
)
from audit.training.page.heads import draw_terminator, line_stops
from audit.training.page.lettering import angle_text, callout_tile, words_tile
from audit.training.page.pictures import draw_picture, draw_surface
from audit.training.page.strokes import draw_dashed, draw_stroke, pick_ink
from audit.training.page.styles import Fonts, Style, pick_style, unit_vector

ASTRAY = 0.06  # of texts: pushed along onto an end, an extension line or an edge
CORRECTED = 0.015  # of texts: another is written over it
WITHIN = 0.2  # of crops: dimensions stand in a picture, or a picture is drawn over them


def draw_chain(c: Canvas, s: Style, rng) -> None:
    """Draw one dimension or several in a row, with extension lines and texts."""
    turn = s.turn + float(rng.choice([0, 0, 90, 90, 180, 270]))
    if rng.random() < 0.15:
        turn = float(rng.uniform(0, 360))
    u, n = unit_vector(turn)
    start = rng.uniform(-20, SIZE + 20, 2) - u * rng.uniform(0, 130)
    count = int(rng.choice([1, 1, 1, 2, 3, 4]))
    stations = [0.0]
    for _ in range(count):
        short = rng.random() < 0.2
        step = rng.uniform(0.5, 2.4) if short else rng.uniform(3.0, 14.0)
        stations.append(stations[-1] + step * max(s.arrow, 9.0))
    side = float(rng.choice([-1, 1]))
    depth = rng.uniform(8, 110)
    slope = float(rng.choice([0, 0, 0, 0, 0, rng.uniform(-0.5, 0.5)]))
    lean = n * side + u * slope
    rows = _rows(rng, stations, max(s.text * rng.uniform(1.6, 4.0), 12.0))
    highest = max(row for row, _, _ in rows)
    for station in stations:
        p = start + u * station - lean * highest
        if not s.barred:
            draw_extension(c, s, rng, p, lean, depth + highest)
    for row, a, b in rows:
        draw_span(c, s, rng, start + u * a - lean * row, start + u * b - lean * row, turn)


def _rows(rng, stations: list[float], apart: float) -> list[tuple[float, float, float]]:
    """Offset, begin and end of each dimension: a chain, an overall size beside it, or a baseline."""
    pairs = [(0.0, a, b) for a, b in itertools.pairwise(stations)]
    if len(stations) > 2 and rng.random() < 0.35:
        return [*pairs, (apart, stations[0], stations[-1])]
    if len(stations) > 2 and rng.random() < 0.25:
        return [(k * apart, stations[0], b) for k, b in enumerate(stations[1:])]
    return pairs


def draw_extension(c: Canvas, s: Style, rng, p, lean, depth: float) -> None:
    """Draw what an end of a dimension rests on: extension line, outline or centre line."""
    if rng.random() < 0.06:
        return
    width = s.thin if rng.random() < 0.8 else s.thick
    outside = p - lean * s.beyond
    inside = p + lean * depth
    if rng.random() < 0.12:
        draw_dashed(c, rng, outside, inside, s.thin, ink=pick_ink(s, rng))
        return
    draw_stroke(c, s, rng, outside, inside, width, label="extension")


def draw_span(c: Canvas, s: Style, rng, a, b, turn: float) -> None:
    """Draw one dimension line between a and b with terminators and text."""
    u, _n = unit_vector(turn)
    length = float(math.dist(a, b))
    tile = callout_tile(rng, s)
    wide, high = tile.width / OVER, tile.height / OVER
    outside = length < 2.6 * s.arrow or rng.random() < 0.06
    tail = s.arrow * rng.uniform(1.3, 3.0)
    stop = line_stops(s, s.terminator)
    if outside:
        for p, sign, way in ((a, -1, turn + 180), (b, 1, turn)):
            draw_stroke(
                c, s, rng, p + u * sign * stop, p + u * sign * tail, s.thin, label="line"
            )  # fmt: skip
            draw_terminator(c, s, p, way)
        if rng.random() < 0.5 and length > 3 * stop:
            draw_line(c, s, rng, a + u * stop, b - u * stop)
    else:
        one_sided = rng.random() < 0.04
        short = rng.uniform(0, 0.35) * s.arrow if rng.random() < 0.1 else stop
        draw_line(c, s, rng, a + u * short, b - u * short)
        if not one_sided:
            draw_terminator(c, s, a, turn)
        draw_terminator(c, s, b, turn + 180)
        if s.terminator in ("tick", "oblique", "dot", "small dot", "cross", "swung", "two ticks"):
            _run_on(c, s, rng, a, b, u)
    if rng.random() < 0.9:
        write_beside(c, s, rng, a, b, turn, tile, wide, high, outside=outside, tail=tail)


def draw_between(c: Canvas, s: Style, rng) -> None:
    """Draw a size straight between two edges, heavy, hatched or solid: small heads against them."""
    turn = s.turn + float(rng.choice([0, 90]))
    u, n = unit_vector(turn)
    a = rng.uniform(0, SIZE, 2)
    b = a + u * rng.uniform(3, 16) * max(s.arrow, 9.0)
    small = replace(s, arrow=s.arrow * rng.uniform(0.45, 1.0))
    for p, out in ((a, -u), (b, u)):
        low, high = (p + n * reach for reach in rng.uniform(8, 60, 2) * (-1, 1))
        if rng.random() < 0.5:
            deep = out * rng.uniform(6, 40)
            corners = [low, high, high + deep, low + deep]
            if rng.random() < 0.2:
                c.fill(corners, ink=pick_ink(s, rng))
            else:
                hatch(c, s, rng, corners, turn + float(rng.choice([45, 135, 30, 60])))
            for p1, p2 in itertools.pairwise([high, *corners[2:], low]):
                draw_stroke(c, s, rng, p1, p2, s.thick)
        heavy = s.thick * rng.uniform(1.0, 1.7)
        draw_stroke(c, s, rng, low, high, heavy, label="extension")
    draw_span(c, small, rng, a, b, turn)


def draw_line(c: Canvas, s: Style, rng, a, b) -> None:
    """Draw a dimension line, through or in dashes as the style has it."""
    if s.dashes:
        ink = pick_ink(s, rng, thin=True)
        draw_dashed(c, rng, a, b, s.thin, dashes=s.dashes, ink=ink, label="line")
    else:
        draw_stroke(c, s, rng, a, b, s.thin, label="line")


def _run_on(c: Canvas, s: Style, rng, a, b, u) -> None:
    """Lead a dimension line beyond its ends, as with slashes and dots."""
    if rng.random() < 0.6:
        c.line(a - u * s.beyond * 0.5, a, s.thin, ink=s.ink[0], label="line")
        c.line(b, b + u * s.beyond * 0.5, s.thin, ink=s.ink[0], label="line")


def write_beside(c, s, rng, a, b, turn, tile, wide, high, *, outside, tail) -> None:
    """Write a dimension's text above its line, in it, or beyond its end."""
    u, n = unit_vector(turn)
    length = float(math.dist(a, b))
    reading = (turn + 90.0 - s.turn) % 360 > 181  # upside down: turn it readable
    angle = turn + 180.0 if reading else turn
    up = n if reading else -n
    level = s.level
    middle = (np.asarray(a) + b) / 2 + u * rng.normal(0, 0.04 * length)
    if level:
        angle = s.turn
    need = (
        wide
        if not level
        else abs(wide * math.cos(math.radians(turn - s.turn)))
        + abs(high * math.sin(math.radians(turn - s.turn)))
    )
    if outside or need > length - 2.2 * s.arrow:
        middle = np.asarray(b) + u * (tail + need / 2 + rng.uniform(2, 8))
        if rng.random() < 0.25:
            middle = middle + up * (high * 0.5 + 3)
    elif s.above and not level:
        low = -0.5 if rng.random() < 0.85 else -0.4 * high  # some touch their line, or cross it
        middle = middle + up * (high / 2 + rng.uniform(low, 8))
    elif rng.random() < 0.9:  # else it stands across its line
        reach = need / 2 + rng.uniform(-1, 6) + s.hand.head * rng.uniform(0, 8)
        box_h = high if not level else max(high, 4)
        for step in np.arange(-reach, reach, 2.0):
            c.disc(middle + u * step, min(box_h * 0.4, s.thin + 2.0), ink=255)
    if rng.random() < ASTRAY:
        middle = middle + u * float(rng.choice([-1, 1])) * rng.uniform(0.3, 0.6) * length
    angle += s.hand.letter * float(rng.normal(0, 2))
    c.text("", middle, angle, s.font, tile=tile, ink=pick_ink(s, rng))
    if rng.random() < CORRECTED:
        again = middle + rng.normal(0, 0.15 * high, 2)
        c.text("", again, angle, s.font, tile=callout_tile(rng, s), ink=pick_ink(s, rng))
    if rng.random() < 0.03:
        left, down = unit_vector(angle)
        for v in (-0.5, 0.5):
            edge = down * v * (high + 6)
            c.line(
                middle - left * (wide / 2 + 4) + edge, middle + left * (wide / 2 + 4) + edge, s.thin
            )
            side = left * v * (wide + 8)
            c.line(
                middle + side - down * (high / 2 + 3), middle + side + down * (high / 2 + 3), s.thin
            )


def draw_leader(c: Canvas, s: Style, rng) -> None:
    """Draw a leader to a circle, arc or edge, with its text at a shoulder."""
    p = rng.uniform(10, SIZE - 10, 2)
    turn = s.turn + float(rng.uniform(0, 360))
    u, _ = unit_vector(turn)
    reach = rng.uniform(25, 110)
    q = p + u * reach
    if rng.random() < 0.15:
        u, turn = _curved(c, s, rng, p, q)
    else:
        draw_stroke(c, s, rng, p, q, s.thin, label="line")
    of_leaders = ("filled", "open", "blank", "dot", "half", "quick", "blob", "small dot", "vee",
                  "graved", "swept", "drop")  # fmt: skip
    kind = s.terminator if s.terminator in of_leaders else "filled"
    draw_terminator(c, s, p, turn, kind=kind if rng.random() < 0.9 else "dot")
    right = math.cos(math.radians(turn - s.turn)) >= 0
    level, _ = unit_vector(s.turn if right else s.turn + 180)
    shoulder = q + level * (rng.uniform(6, 24) if rng.random() < 0.7 else 0.0)
    c.line(q, shoulder, s.thin, ink=pick_ink(s, rng), label="line")
    tile = callout_tile(rng, s)
    at = shoulder + level * (tile.width / OVER / 2 + 4)
    c.text("", at, s.turn, s.font, tile=tile, ink=pick_ink(s, rng))
    if rng.random() < 0.5:
        radius = rng.uniform(5, 60) if rng.random() < 0.6 else rng.uniform(2, 10)
        centre = p - u * radius
        sweep = 360 if rng.random() < 0.6 else 120
        c.arc(centre, radius, 0, sweep, s.thick, ink=pick_ink(s, rng))
        if rng.random() < 0.5:
            draw_cross(c, s, rng, centre, radius)
        if rng.random() < 0.2:
            far = p - u * 2 * radius
            c.line(p, far, s.thin, label="line")
            draw_terminator(c, s, far, turn, kind=kind)


def _curved(c: Canvas, s: Style, rng, p, q) -> tuple[np.ndarray, float]:
    """Draw a leader that swings from p to q; return which way it leaves p."""
    n = np.array([p[1] - q[1], q[0] - p[0]])
    first = p + (q - p) * 0.4 + n * rng.uniform(-0.35, 0.35)
    second = p + (q - p) * 0.7 + n * rng.uniform(-0.35, 0.35)
    t = np.linspace(0, 1, 24)[:, None]
    row = p * (1 - t) ** 3 + 3 * first * t * (1 - t) ** 2 + 3 * second * t**2 * (1 - t) + q * t**3
    c.polyline(row, s.thin, ink=pick_ink(s, rng, thin=True), label="line")
    way = (first - p) / max(float(np.hypot(*(first - p))), 1e-6)
    return way, math.degrees(math.atan2(-way[1], way[0]))


def draw_across(c: Canvas, s: Style, rng) -> None:
    """Draw a circle with its diameter across it, or against it from outside."""
    centre = rng.uniform(0, SIZE, 2)
    turn = s.turn + float(rng.choice([0, 45, 90, 135, rng.uniform(0, 180)]))
    u, _ = unit_vector(turn)
    inside = rng.random() < 0.6
    radius = rng.uniform(14, 90) if inside else rng.uniform(2.5, 20)
    c.arc(centre, radius, 0, 360, s.thick, ink=pick_ink(s, rng))
    kind = s.terminator if s.terminator != "none" else "filled"
    tile = callout_tile(rng, s)
    a, b = centre - u * radius, centre + u * radius
    if inside:
        draw_line(c, s, rng, a, b)
        draw_terminator(c, s, a, turn, kind=kind)
        draw_terminator(c, s, b, turn + 180, kind=kind)
    else:
        for p, way in ((a, turn + 180), (b, turn)):
            out, _n = unit_vector(way)
            draw_line(c, s, rng, p, p + out * s.arrow * rng.uniform(1.3, 4))
            draw_terminator(c, s, p, way, kind=kind)
    write_beside(
        c, s, rng, a, b, turn, tile, tile.width / OVER, tile.height / OVER,
        outside=not inside, tail=s.arrow * 2.5,
    )  # fmt: skip


def draw_angle(c: Canvas, s: Style, rng) -> None:
    """Draw an angular dimension: two legs, an arc with arrows, a text in degrees."""
    v = rng.uniform(-20, SIZE + 20, 2)
    first = s.turn + float(rng.choice([0, 90, 180, 270, rng.uniform(0, 360)]))
    sweep = float(rng.uniform(18, 120))
    radius = rng.uniform(40, 170)
    for turn in (first, first + sweep):
        u, _ = unit_vector(turn)
        label = "extension" if rng.random() < 0.5 else ""
        draw_stroke(
            c, s, rng, v + u * rng.uniform(0, 20), v + u * (radius + s.beyond), s.thin, label
        )
    c.arc(v, radius, first, first + sweep, s.thin, ink=pick_ink(s, rng), label="line")
    kind = s.terminator if s.terminator != "none" else "filled"
    for turn, way in ((first, 90), (first + sweep, -90)):
        u, _ = unit_vector(turn)
        bend = math.degrees(s.arrow / radius / 2) * (1 if way > 0 else -1)
        draw_terminator(c, s, v + u * radius, turn + way + bend, kind=kind)
    middle, _ = unit_vector(first + sweep / 2)
    at = v + middle * (radius + float(rng.choice([-1, 1])) * s.text)
    tile = words_tile(rng, s, angle_text(rng), s.font)
    c.text("", at, s.turn, s.font, tile=tile, ink=pick_ink(s, rng))


def draw_ordinates(c: Canvas, s: Style, rng) -> None:
    """Draw lines with a number at their end and no terminator, side by side."""
    turn = s.turn + float(rng.choice([0, 90]))
    u, n = unit_vector(turn)
    p, at = rng.uniform(0, SIZE, 2), 0.0
    for _ in range(int(rng.integers(2, 6))):
        tile = callout_tile(rng, s)
        reach = rng.uniform(25, 90)
        a = p + n * at
        draw_stroke(c, s, rng, a, a + u * reach, s.thin)
        place = a + u * (reach + tile.width / OVER / 2 + 4)
        c.text("", place, turn, s.font, tile=tile, ink=pick_ink(s, rng))
        at += tile.height / OVER * rng.uniform(1.2, 3.0)


def _draw_sizes(c: Canvas, s: Style, rng) -> None:
    """Draw a crop's dimensions, in what a surface is drawn with or under it."""
    surface = rng.random()
    if surface < WITHIN:
        draw_surface(c, s, rng)
    for _ in range(int(rng.choice([0, 1, 2, 2, 3, 4]))):
        draw_chain(c, s, rng)
    for _ in range(int(rng.choice([0, 0, 0, 1, 2]))):
        draw_between(c, s, rng)
    if rng.random() < 0.4:
        draw_leader(c, s, rng)
    if rng.random() < 0.2:
        draw_angle(c, s, rng)
    if surface > 1 - WITHIN / 2:
        draw_surface(c, s, rng)


def draw_scene(rng: np.random.Generator, fonts: Fonts) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Draw one crop and its labels (see `Canvas.labels`)."""
    c = Canvas()
    s = pick_style(rng, fonts)
    if rng.random() < 0.06:
        draw_grid(c, s, rng)
    for _ in range(int(rng.integers(0, 3))):
        draw_part(c, s, rng)
    for chance, draw in (
        (0.1, draw_table),
        (0.07, draw_border),
        (0.05, draw_balloon),
        (0.03, draw_cutting_plane),
        (0.03, draw_ordinates),
        (0.18, draw_picture),
        (0.08, draw_picture),
        (0.12, draw_marks),
        (0.1, draw_crossed_marks),
        (0.12, draw_across),
    ):
        if rng.random() < chance:
            draw(c, s, rng)
    if rng.random() < 0.06:
        draw_paragraph(c, s, rng, fonts)
    if rng.random() < 0.25:
        draw_notes(c, s, rng, fonts)
    for _ in range(int(rng.integers(0, 3))):
        draw_lookalikes(c, s, rng)
    _draw_sizes(c, s, rng)
    return c.labels(crisp=s.crisp)
