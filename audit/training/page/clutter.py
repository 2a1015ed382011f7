"""What stands around dimensions: parts, hatching, tables, notes, borders, grids, look-alikes."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from audit.training.page.canvas import OVER, SIZE, Canvas, Tip, text_tile
from audit.training.page.lettering import callout_tile, pick_words, random_number, words_tile
from audit.training.page.strokes import draw_dashed, draw_stroke, draw_waved, pick_ink
from audit.training.page.styles import Fonts, Style, unit_vector

WORDS = (
    "MAKE", "DRILL", "TYP", "THRU", "REF", "SECTION", "A-A", "SCALE", "DETAIL", "NOTE", "ALL",
    "PARTS", "UNLESS", "NOTED", "STOCK", "PLYWOOD", "SIDE", "VIEW", "TOP", "FRONT", "BASE",
    "PLATE", "SHEET", "OF", "RADIUS", "DIA", "HOLES", "SAW", "CUT", "GRAIN", "END", "CAM",
    "Ramp", "glue", "sand", "edges", "Bore", "washer", "peg", "both sides", "max.", "bend",
)  # fmt: skip


PROSE = (
    "the", "a", "of", "and", "to", "is", "with", "in", "glue", "block", "piece", "cut", "saw",
    "pieces", "wheels", "shown", "drawing", "inches", "thick", "wide", "then", "sand", "smooth",
    "carefully", "drilled", "holes", "dowel", "each", "side", "bottom", "Fig.", "finish", "paint",
    "before", "assembly", "should", "be", "made", "from", "pine", "or", "maple", "stock,", "edge.",
    "pattern", "enlarge", "squares", "screw", "No.", "brads", "fastened", "together", "axles",
)  # fmt: skip


def draw_grid(c: Canvas, s: Style, rng) -> None:
    """Draw the light squares of grid paper, every fifth or tenth line stronger."""
    step = rng.uniform(7, 40)
    light = int(rng.integers(150, 232))
    every = int(rng.choice([1, 5, 8, 10]))
    phase = rng.uniform(0, step, 2)
    width = rng.uniform(0.6, 1.4)
    for turn, at in ((s.turn, phase[0]), (s.turn + 90, phase[1])):
        u, n = unit_vector(turn)
        middle = np.array([SIZE / 2, SIZE / 2])
        for k in range(-int(SIZE / step) - 1, int(SIZE / step) + 2):
            p = middle + n * (k * step + at)
            strong = every > 1 and k % every == 0
            c.line(
                p - u * SIZE, p + u * SIZE, width * (1.5 if strong else 1.0),
                ink=light - (25 if strong else 0),
            )  # fmt: skip


def draw_cross(c: Canvas, s: Style, rng, centre, radius: float) -> None:
    """Draw centre lines through a circle."""
    for turn in (s.turn, s.turn + 90):
        u, _ = unit_vector(turn)
        reach = radius * rng.uniform(1.1, 1.6) + 4
        ink = pick_ink(s, rng)
        if rng.random() < 0.3:
            draw_stroke(c, s, rng, centre - u * reach, centre + u * reach, s.thin)
        else:
            draw_dashed(
                c,
                rng,
                centre - u * reach,
                centre + u * reach,
                s.thin,
                dashes=(14, 3, 3, 3),
                ink=ink,
            )


def draw_part(c: Canvas, s: Style, rng) -> None:
    """Draw outlines: a polygon with square corners, fillets, holes, hatching, hidden lines."""
    u, n = unit_vector(s.turn)
    p = rng.uniform(-60, SIZE, 2)
    w, h = rng.uniform(20, 240, 2)
    corners = [p, p + u * w, p + u * w + n * h, p + n * h]
    if rng.random() < 0.4:
        step = rng.uniform(0.2, 0.8, 2)
        corners = [
            p, p + u * w, p + u * w + n * h * step[0], p + u * w * step[1] + n * h * step[0],
            p + u * w * step[1] + n * h, p + n * h,
        ]  # fmt: skip
    if rng.random() < 0.3:
        corners[1] = corners[1] + rng.uniform(-40, 40, 2)
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        draw_stroke(c, s, rng, a, b, s.thick)
    if rng.random() < 0.3:
        hatch(c, s, rng, corners, s.turn + float(rng.choice([45, 135, 30, 60, 0, 90])))
    for _ in range(int(rng.integers(0, 4))):
        centre = p + u * rng.uniform(0.1, 0.9) * w + n * rng.uniform(0.1, 0.9) * h
        radius = rng.uniform(3, 40)
        sweep = float(rng.choice([360, 360, 90, 180]))
        c.arc(centre, radius, 0, sweep, s.thick, ink=pick_ink(s, rng))
        if rng.random() < 0.6:
            draw_cross(c, s, rng, centre, radius)
    for _ in range(int(rng.choice([0, 0, 1, 2]))):
        t = rng.uniform(0.05, 0.95)
        ends = (p + u * w * t, p + u * w * t + n * h)
        if rng.random() < 0.5:
            ends = (p + n * h * t, p + n * h * t + u * w)
        dashes = (8, 4) if rng.random() < 0.6 else None
        draw_dashed(c, rng, *ends, s.thin, dashes=dashes, ink=pick_ink(s, rng))


def hatch(c: Canvas, s: Style, rng, corners, turn: float) -> None:
    """Hatch a convex quadrilateral, evenly or as a hand does."""
    mask = Image.new("L", c.picture.size, 0)
    ImageDraw.Draw(mask).polygon([(x * OVER, y * OVER) for x, y in corners[:4]], fill=255)
    layer = Canvas(size=c.size)
    u, n = unit_vector(turn)
    step = rng.uniform(4, 20)
    uneven = 0.0 if s.hand.steady else rng.uniform(0, 0.3)
    centre = np.array([SIZE / 2, SIZE / 2])
    for k in np.arange(-SIZE * 0.75, SIZE * 0.75, step):
        at = centre + n * (k + uneven * step * rng.normal())
        draw_waved(layer, s, rng, at - u * SIZE * 0.75, at + u * SIZE * 0.75, s.thin * 0.9)
    drawn = Image.eval(layer.picture, lambda v: 255 - v)
    ink = Image.composite(drawn, Image.new("L", drawn.size, 0), mask)
    c.picture.paste(s.ink[0], (0, 0), ink)


def draw_notes(c: Canvas, s: Style, rng, fonts: Fonts) -> None:
    """Write lines of words."""
    font = fonts.at(
        fonts.pick(rng) if rng.random() < 0.4 else Path(s.font.path), rng.uniform(9, 26)
    )
    p = rng.uniform(0, SIZE, 2)
    _u, n = unit_vector(s.turn)
    for row in range(int(rng.integers(1, 4))):
        words = pick_words(rng, WORDS, 3)
        if rng.random() < 0.5:
            whole, top, bottom = random_number(rng, "fraction")
            words += f" {whole} {top}/{bottom}" if top else f" {whole}"
        tile = words_tile(rng, s, words, font)
        at = p + n * row * tile.height / OVER * 1.6
        c.text("", at, s.turn, font, tile=tile, ink=pick_ink(s, rng))


def draw_paragraph(c: Canvas, s: Style, rng, fonts: Fonts) -> None:
    """Write a column of print: many lines of small words, flush left, under a heading or not."""
    height = rng.uniform(6, 13)
    font = fonts.at(fonts.pick(rng), height)
    wide, apart = rng.uniform(80, 300), height * rng.uniform(1.7, 2.4)
    corner = rng.uniform(-60, SIZE - 60, 2)
    u, n = unit_vector(s.turn if rng.random() < 0.8 else 0.0)
    for row in range(int(rng.integers(3, 16))):
        line = ""
        while font.getlength(line) < wide * OVER * rng.uniform(0.85, 1.0):
            line += str(rng.choice(PROSE)) + " "
            if rng.random() < 0.06:
                line += " ".join(part for part in random_number(rng, "fraction") if part) + " "
        tile = text_tile(line.strip(), font)
        at = corner + n * row * apart + u * tile.width / OVER / 2
        c.text("", at, s.turn, font, tile=tile, ink=pick_ink(s, rng))


def draw_marks(c: Canvas, s: Style, rng) -> None:
    """Write lone figures, letters and fractions: item marks, points, sizes beside an edge."""
    for _ in range(int(rng.integers(1, 5))):
        p = rng.uniform(0, SIZE, 2)
        kind = rng.random()
        if kind < 0.35:
            tile = words_tile(rng, s, str(rng.choice(list("ABCDEFGHKLMNPRSTXY"))), s.font)
        elif kind < 0.7:
            tile = words_tile(rng, s, str(rng.integers(1, 10)), s.font)
        else:
            tile = callout_tile(rng, s)
        if rng.random() < 0.2:
            c.arc(p, max(tile.size) / OVER * 0.75, 0, 360, s.thin, ink=pick_ink(s, rng, thin=True))
        turn = s.turn + float(rng.choice([0, 0, 0, 90]))
        c.text("", p, turn, s.font, tile=tile, ink=pick_ink(s, rng))


def draw_crossed_marks(c: Canvas, s: Style, rng) -> None:
    """Write figures, above all a lone 1, right on an edge or a line that goes through them."""
    u, n = unit_vector(s.turn + float(rng.choice([0, 90, rng.uniform(0, 180)])))
    p = rng.uniform(0, SIZE, 2)
    reach = rng.uniform(40, 200)
    draw_stroke(c, s, rng, p - u * reach, p + u * reach, float(rng.choice([s.thin, s.thick])))
    for _ in range(int(rng.integers(1, 4))):
        if rng.random() < 0.5:
            tile = words_tile(rng, s, str(rng.choice(list("1111234567890"))), s.font)
        else:
            tile = callout_tile(rng, s)
        high = tile.height / OVER
        at = p + u * rng.uniform(-reach, reach) + n * high * rng.uniform(-0.6, 0.6)
        turn = s.turn + float(rng.choice([0, 0, 90]))
        c.text("", at, turn, s.font, tile=tile, ink=pick_ink(s, rng))


def draw_table(c: Canvas, s: Style, rng) -> None:
    """Draw a title block or parts list."""
    u, n = unit_vector(s.turn)
    p = rng.uniform(-80, 140, 2)
    xs = np.concatenate([[0], rng.uniform(18, 90, 5).cumsum()])
    ys = np.concatenate([[0], np.full(6, rng.uniform(16, 40)).cumsum()])
    for x in xs:
        draw_stroke(c, s, rng, p + u * x, p + u * x + n * ys[-1], s.thin)
    for y in ys:
        draw_stroke(c, s, rng, p + n * y, p + n * y + u * xs[-1], s.thin)
    for i in range(len(ys) - 1):
        for j in range(len(xs) - 1):
            if rng.random() < 0.6:
                word = str(rng.choice(WORDS)) if rng.random() < 0.5 else str(rng.integers(1, 99))
                tile = text_tile(word, s.small)
                if tile.width / OVER < xs[j + 1] - xs[j] + 6:
                    at = p + u * (xs[j] + xs[j + 1]) / 2 + n * (ys[i] + ys[i + 1]) / 2
                    c.text("", at, s.turn, s.small, tile=tile)


def draw_border(c: Canvas, s: Style, rng) -> None:
    """Draw a sheet's border: one or two lines, zone marks, letters or figures between them."""
    u, n = unit_vector(s.turn + float(rng.choice([0, 90])))
    p = rng.uniform(0, SIZE, 2)
    between = rng.uniform(16, 50)
    c.line(p - u * 400, p + u * 400, s.thick)
    if rng.random() < 0.7:
        c.line(p - u * 400 + n * between, p + u * 400 + n * between, s.thin)
        step, at = rng.uniform(50, 200), rng.uniform(-200, -100)
        while at < 300:
            c.line(p + u * at, p + u * at + n * between, s.thin)
            letter = str(rng.choice(list("ABCDEFGH12345678")))
            place = p + u * (at + step / 2) + n * between / 2
            c.text("", place, s.turn, s.small, tile=text_tile(letter, s.small))
            at += step


def draw_balloon(c: Canvas, s: Style, rng) -> None:
    """Draw an item number in a circle, with a leader or without."""
    p = rng.uniform(0, SIZE, 2)
    tile = words_tile(rng, s, str(rng.integers(1, 30)), s.font)
    radius = max(tile.width, tile.height) / OVER * rng.uniform(0.65, 1.0)
    c.arc(p, radius, 0, 360, s.thin, ink=pick_ink(s, rng))
    c.text("", p, s.turn, s.font, tile=tile, ink=pick_ink(s, rng))


def draw_cutting_plane(c: Canvas, s: Style, rng) -> None:
    """Draw the thick broken line of a section with its two arrows and letters."""
    u, n = unit_vector(s.turn + float(rng.choice([0, 90])))
    p = rng.uniform(0, SIZE, 2)
    length, size = rng.uniform(60, 260), rng.uniform(12, 36)
    draw_dashed(c, rng, p, p + u * length, s.thick, dashes=(20, 4, 4, 4))
    letter = text_tile(str(rng.choice(list("ABCD"))), s.font)
    for at in (p, p + u * length):
        tip = at + n * size * 1.6
        c.line(at, tip, s.thick)
        base = tip - n * size
        c.fill([tip, base + u * size * 0.25, base - u * size * 0.25])
        way = math.degrees(math.atan2(n[1], -n[0]))
        c.tips.append(Tip(float(tip[0]), float(tip[1]), way))
        c.text("", at + n * size * 2.2 + u * 4, s.turn, s.font, tile=letter)


def draw_lookalikes(c: Canvas, s: Style, rng) -> None:
    """Draw things that look like terminators and are none: corners, crossings, screws, triangles."""
    p = rng.uniform(0, SIZE, 2)
    axes = unit_vector(s.turn + float(rng.choice([0, 90, 30, 45, 60])))
    draw = LOOKALIKES[int(rng.integers(len(LOOKALIKES)))]
    draw(c, s, rng, p, *axes)


def _crossing(c: Canvas, s: Style, rng, p, u, n) -> None:
    draw_stroke(c, s, rng, p - u * 60, p + u * 60, s.thin)
    draw_stroke(c, s, rng, p - n * 60, p + n * 60, s.thick)


def _triangle(c: Canvas, s: Style, rng, p, u, n) -> None:
    k = rng.uniform(10, 60)
    c.polyline([p, p + u * k + n * k * 0.4, p + u * k - n * k * 0.4, p], s.thick)


def _screw(c: Canvas, s: Style, rng, p, u, n) -> None:
    if rng.random() < 0.5:
        zig = [p + u * i * 9 + n * (7 if i % 2 else -7) * (1 if i % 3 else 0.2) for i in range(9)]
        c.polyline(zig, s.thin)
        return
    for k in range(int(rng.integers(4, 14))):
        c.line(p + u * k * 5, p + u * k * 5 + n * 24, s.thin)


def _arc(c: Canvas, s: Style, rng, p, _u, _n) -> None:
    c.arc(p, rng.uniform(30, 160), 0, float(rng.uniform(40, 200)), s.thick)


def _sharp_corner(c: Canvas, s: Style, rng, p, u, n) -> None:
    if rng.random() < 0.5:
        c.line(p - u * 90 + n * 3, p + u * 90, s.thick)
        c.line(p - u * 90 - n * 3, p + u * 90, s.thick)
        return
    c.line(p, p + u * 80, s.thin)
    c.line(p, p + (u * 0.9 + n * 0.35) * 80, s.thick)


def _curve(c: Canvas, s: Style, rng, p, u, n) -> None:
    t = np.linspace(0, 1, 24)
    swing = rng.uniform(-60, 60, 3)
    aside = swing[0] * t + swing[1] * t**2 + swing[2] * np.sin(t * rng.uniform(2, 9))
    c.polyline([p + u * 160 * a + n * b for a, b in zip(t, aside, strict=True)], s.thick)


def _wedge(c: Canvas, _s: Style, rng, p, u, n) -> None:
    k = rng.uniform(3, 30)
    c.fill([p, p + u * k, p + u * k + n * k * 0.7, p + n * k * rng.uniform(0.2, 1.5)])


def _small_hole(c: Canvas, s: Style, rng, p, u, n) -> None:
    radius = rng.uniform(2, 9)
    c.arc(p, radius, 0, 360, s.thin)
    c.line(p - u * radius * 2, p + u * radius * 2, s.thin)
    c.line(p - n * radius * 2, p + n * radius * 2, s.thin)


def _finish_sign(c: Canvas, s: Style, rng, p, u, n) -> None:
    k = rng.uniform(8, 24)
    c.polyline([p - u * k * 0.5 - n * k, p, p + u * k - n * 2 * k], s.thin)


def _broken_end(c: Canvas, s: Style, rng, p, u, n) -> None:
    along = np.linspace(-40, 40, 16)
    swing = rng.uniform(2, 8) * np.sin(along / 40 * np.pi * 1.5)
    c.polyline([p + u * a + n * b for a, b in zip(along, swing, strict=True)], s.thick)


def _dirt(c: Canvas, _s: Style, rng, _p, _u, _n) -> None:
    """Draw specks, hairs and a smudge."""
    for _ in range(int(rng.integers(1, 14))):
        p, r = rng.uniform(0, SIZE, 2), rng.uniform(0.4, 2.2)
        c.fill([p + rng.normal(0, r, 2) for _ in range(5)], ink=int(rng.integers(0, 170)))
    if rng.random() < 0.4:
        p = rng.uniform(0, SIZE, 2)
        hair = p + np.cumsum(rng.normal(0, 5, (14, 2)), axis=0)
        c.polyline(hair, 0.7, ink=int(rng.integers(0, 150)))


LOOKALIKES = (
    _crossing, _triangle, _screw, _screw, _arc, _sharp_corner, _sharp_corner, _curve, _wedge,
    _small_hole, _finish_sign, _broken_end, _dirt,
)  # fmt: skip
