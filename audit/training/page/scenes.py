"""Random crops of drawings: parts, dimensions in many styles, notes, tables, and clutter.

Everything is drawn from scratch: no drawing, style or type face of the test sheets is used.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from audit.training.page.canvas import OVER, SIZE, Canvas, Tip, stacked_tile, text_tile

TERMINATORS = (
    "filled", "filled", "filled", "filled", "open", "open", "open90", "blank", "blank",
    "tick", "oblique", "dot", "small dot", "origin", "half", "none",
)  # fmt: skip
WORDS = (
    "MAKE", "DRILL", "TYP", "THRU", "REF", "SECTION", "A-A", "SCALE", "DETAIL", "NOTE", "ALL",
    "PARTS", "UNLESS", "NOTED", "STOCK", "PLYWOOD", "SIDE", "VIEW", "TOP", "FRONT", "BASE",
    "PLATE", "SHEET", "OF", "RADIUS", "DIA", "HOLES", "SAW", "CUT", "GRAIN", "END", "CAM",
    "Ramp", "glue", "sand", "edges", "Bore", "washer", "peg", "both sides", "max.", "bend",
)  # fmt: skip


@dataclass
class Style:
    """How one drawing is drawn: px throughout."""

    thin: float
    thick: float
    terminator: str
    arrow: float
    slim: float
    text: float
    font: ImageFont.FreeTypeFont
    small: ImageFont.FreeTypeFont
    above: bool
    level: bool
    turn: float
    wobble: float
    sloppy: float
    gap: float
    beyond: float
    unit: str


class Fonts:
    """Type faces, opened once at the sizes asked for."""

    def __init__(self, folder: Path) -> None:
        self.paths = sorted(p for p in folder.iterdir() if p.suffix in {".font", ".ttf", ".otf"})
        self._open: dict[tuple[Path, int], ImageFont.FreeTypeFont] = {}

    def pick(self, rng: np.random.Generator) -> Path:
        """Pick a type face."""
        return self.paths[int(rng.integers(len(self.paths)))]

    def at(self, path: Path, height: float) -> ImageFont.FreeTypeFont:
        """Open at a cap height of `height` crop px."""
        size = max(6, round(height * OVER * 1.38))
        key = (path, size)
        if key not in self._open:
            if len(self._open) > 400:
                self._open.clear()
            self._open[key] = ImageFont.truetype(str(path), size)
        return self._open[key]


def pick_style(rng: np.random.Generator, fonts: Fonts) -> Style:
    """Pick how one drawing is drawn."""
    thin = rng.uniform(0.9, 2.6)
    text = rng.uniform(9.5, 30.0)
    path = fonts.pick(rng)
    terminator = str(rng.choice(TERMINATORS))
    arrow = rng.uniform(8.0, 32.0) if rng.random() < 0.8 else rng.uniform(6.0, 14.0)
    return Style(
        thin=thin,
        thick=thin * rng.uniform(1.0, 3.2),
        terminator=terminator,
        arrow=arrow,
        slim=float(rng.choice([1 / 6, 1 / 6, 1 / 8, 1 / 5, 1 / 4, 0.268, 0.13, 0.4])),
        text=text,
        font=fonts.at(path, text),
        small=fonts.at(path, text * rng.uniform(0.55, 1.0)),
        above=rng.random() < 0.55,
        level=rng.random() < 0.4,
        turn=float(rng.normal(0, 1.0)) + float(rng.choice([0, 0, 0, 0, 90, 90, 180, 270])),
        wobble=float(rng.choice([0, 0, 0, rng.uniform(0.2, 1.2)])),
        sloppy=float(rng.choice([0, 0, 0, rng.uniform(2, 14)])),
        gap=float(rng.choice([0.0, rng.uniform(3, 14)])),
        beyond=rng.uniform(2, 24),
        unit=str(rng.choice(["fraction", "fraction", "stack", "stack", "decimal", "mm", "feet"])),
    )


def unit_vector(degrees: float) -> tuple[np.ndarray, np.ndarray]:
    """Direction (y down, counter-clockwise as seen) and its normal, clockwise of it."""
    t = math.radians(degrees)
    return np.array([math.cos(t), -math.sin(t)]), np.array([math.sin(t), math.cos(t)])


def draw_stroke(c: Canvas, s: Style, rng, a, b, width, label="") -> None:
    """Draw a line, by ruler or by hand."""
    if s.wobble == 0 or math.dist(a, b) < 20:
        c.line(a, b, width, label=label)
        return
    a, b = np.asarray(a), np.asarray(b)
    n = max(2, int(math.dist(a, b) / 25))
    t = np.linspace(0, 1, n + 1)[:, None]
    points = a + t * (b - a) + rng.normal(0, s.wobble * 0.5, (n + 1, 2))
    points[0], points[-1] = a, b
    for p, q in itertools.pairwise(points):
        c.line(p, q, width, label=label)


def draw_terminator(c: Canvas, s: Style, p, direction: float, *, kind: str | None = None) -> None:
    """Draw one terminator at p whose body lies towards `direction` (degrees)."""
    kind = kind or s.terminator
    u, n = unit_vector(direction + s.sloppy * math.sin(7.0 * float(p[0])))
    size, half = s.arrow, s.arrow * s.slim
    if s.sloppy:  # drawn by hand: no two alike, but the same place gives the same one
        size *= 1 + 0.25 * math.sin(3.1 * float(p[1]))
        half *= 1 + 0.4 * math.sin(5.3 * float(p[0]))
    p = np.asarray(p, float)
    if kind in ("filled", "blank", "half"):
        base = p + u * size
        corners = [p, base + n * half, base - n * half if kind != "half" else base]
        if kind == "blank":
            c.fill(corners, ink=255)
            c.polyline([*corners, corners[0]], s.thin)
        else:
            c.fill(corners)
            c.polyline([*corners, corners[0]], min(s.thin, 1.2))
    elif kind in ("open", "open90"):
        spread = half if kind == "open" else size * 0.5
        reach = size if kind == "open" else size * 0.5
        for side in (1, -1):
            c.line(p, p + u * reach + n * side * spread, s.thin)
    elif kind in ("tick", "oblique"):
        d = (u + n) / math.sqrt(2) * size * (0.5 if kind == "tick" else 0.65)
        c.line(p - d, p + d, s.thin * (2.2 if kind == "tick" else 1.0))
    elif kind == "dot":
        c.disc(p, size * 0.22)
    elif kind == "small dot":
        c.disc(p, max(1.8, size * 0.1))
    elif kind == "origin":
        c.disc(p, size * 0.2)
        c.disc(p, max(size * 0.2 - s.thin, 0.5), ink=255)
    if kind != "none":
        symmetric = kind in ("tick", "oblique", "dot", "small dot", "origin")
        c.tips.append(Tip(float(p[0]), float(p[1]), None if symmetric else direction))


def random_number(rng, unit: str) -> tuple[str, str, str]:
    """Whole, numerator, denominator; the last two empty when there is no fraction."""
    whole = str(rng.integers(1, 40)) if rng.random() < 0.6 else ""
    if unit in ("fraction", "stack"):
        d = int(rng.choice([2, 4, 8, 16, 32, 64]))
        if rng.random() < 0.75 or not whole:
            return whole, str(rng.integers(1, d)), str(d)
        return whole, "", ""
    if unit == "decimal":
        return f"{rng.uniform(0, 30):.{rng.integers(1, 5)}f}".lstrip("0"), "", ""
    if unit == "feet":
        return f"{rng.integers(1, 30)}'-{rng.integers(0, 12)}\"", "", ""
    return str(rng.integers(1, 900)), "", ""


def callout_tile(rng, s: Style) -> Image.Image:
    """Return the mask of one dimension text."""
    whole, n, d = random_number(rng, s.unit)
    before = str(rng.choice(["", "", "", "", "R", "Ø", "2X ", "4X Ø", "("]))
    after = str(rng.choice(["", "", "", '"', " TYP", " DIA", " REF", ")", " THRU", "°", " mm"]))
    if n and s.unit == "stack":
        tile = stacked_tile(before + whole, n, d, s.font, s.small)
        return tile if not after else _beside(tile, text_tile(after, s.font), s)
    text = before + whole + (f" {n}/{d}" if n and whole else f"{n}/{d}" if n else "") + after
    return text_tile(text, s.font)


def _beside(first: Image.Image, second: Image.Image, s: Style) -> Image.Image:
    gap = round(s.text * OVER * 0.15)
    tile = Image.new("L", (first.width + gap + second.width, max(first.height, second.height)), 0)
    tile.paste(first, (0, (tile.height - first.height) // 2))
    tile.paste(second, (first.width + gap, (tile.height - second.height) // 2))
    return tile


def draw_chain(c: Canvas, s: Style, rng) -> None:
    """Draw one dimension or several in a row, with extension lines and texts."""
    turn = s.turn + float(rng.choice([0, 0, 90, 90, 180, 270]))
    if rng.random() < 0.15:
        turn = float(rng.uniform(0, 360))
    u, n = unit_vector(turn)
    start = rng.uniform(-20, SIZE + 20, 2) - u * rng.uniform(0, 130)
    count = int(rng.choice([1, 1, 2, 3, 4]))
    stations = [0.0]
    for _ in range(count):
        short = rng.random() < 0.2
        step = rng.uniform(0.5, 2.4) if short else rng.uniform(3.0, 14.0)
        stations.append(stations[-1] + step * max(s.arrow, 9.0))
    side = float(rng.choice([-1, 1]))
    depth = rng.uniform(8, 110)
    slope = float(rng.choice([0, 0, 0, 0, 0, rng.uniform(-0.5, 0.5)]))
    lean = n * side + u * slope
    for station in stations:
        p = start + u * station
        draw_extension(c, s, rng, p, lean, depth)
    for a, b in itertools.pairwise(stations):
        draw_span(c, s, rng, start + u * a, start + u * b, turn)


def draw_extension(c: Canvas, s: Style, rng, p, lean, depth: float) -> None:
    """Draw what an end of a dimension rests on: extension line, outline or centre line."""
    if rng.random() < 0.06:
        return
    width = s.thin if rng.random() < 0.8 else s.thick
    outside = p - lean * s.beyond
    inside = p + lean * depth
    if rng.random() < 0.12:
        draw_dashed(c, rng, outside, inside, s.thin)
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
    if outside:
        for p, sign, way in ((a, -1, turn + 180), (b, 1, turn)):
            draw_stroke(c, s, rng, p, p + u * sign * tail, s.thin, label="line")
            draw_terminator(c, s, p, way)
        if rng.random() < 0.5:
            draw_stroke(c, s, rng, a, b, s.thin, label="line")
    else:
        one_sided = rng.random() < 0.04
        stop = rng.uniform(0, 0.35) * s.arrow if rng.random() < 0.1 else 0.0
        draw_stroke(c, s, rng, a + u * stop, b - u * stop, s.thin, label="line")
        if not one_sided:
            draw_terminator(c, s, a, turn)
        draw_terminator(c, s, b, turn + 180)
        if s.terminator in ("tick", "oblique") and rng.random() < 0.7:
            c.line(a - u * s.beyond * 0.5, a, s.thin, label="line")
            c.line(b, b + u * s.beyond * 0.5, s.thin, label="line")
    if rng.random() < 0.9:
        write_beside(c, s, rng, a, b, turn, tile, wide, high, outside=outside, tail=tail)


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
        middle = middle + up * (high / 2 + rng.uniform(1.5, 8))
    else:
        reach = need / 2 + rng.uniform(1, 6)
        box_h = high if not level else max(high, 4)
        for step in np.arange(-reach, reach, 2.0):
            c.disc(middle + u * step, min(box_h * 0.4, s.thin + 2.0), ink=255)
    c.text("", middle, angle, s.font, tile=tile)
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
    draw_stroke(c, s, rng, p, q, s.thin, label="line")
    kind = s.terminator if s.terminator in ("filled", "open", "blank", "dot", "half") else "filled"
    draw_terminator(c, s, p, turn, kind=kind if rng.random() < 0.9 else "dot")
    right = math.cos(math.radians(turn - s.turn)) >= 0
    level, _ = unit_vector(s.turn if right else s.turn + 180)
    shoulder = q + level * (rng.uniform(6, 24) if rng.random() < 0.7 else 0.0)
    c.line(q, shoulder, s.thin, label="line")
    tile = callout_tile(rng, s)
    c.text("", shoulder + level * (tile.width / OVER / 2 + 4), s.turn, s.font, tile=tile)
    if rng.random() < 0.5:
        radius = rng.uniform(5, 60)
        centre = p - u * radius
        c.arc(centre, radius, 0, 360 if rng.random() < 0.6 else 120, s.thick)
        if rng.random() < 0.5:
            draw_cross(c, s, rng, centre, radius)
        if rng.random() < 0.2:
            far = p - u * 2 * radius
            c.line(p, far, s.thin, label="line")
            draw_terminator(c, s, far, turn, kind=kind)


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
    c.arc(v, radius, first, first + sweep, s.thin, label="line")
    kind = s.terminator if s.terminator != "none" else "filled"
    for turn, way in ((first, 90), (first + sweep, -90)):
        u, _ = unit_vector(turn)
        bend = math.degrees(s.arrow / radius / 2) * (1 if way > 0 else -1)
        draw_terminator(c, s, v + u * radius, turn + way + bend, kind=kind)
    middle, _ = unit_vector(first + sweep / 2)
    at = v + middle * (radius + float(rng.choice([-1, 1])) * s.text)
    text = str(rng.choice([f"{rng.integers(5, 150)}°", f"{rng.uniform(5, 90):.1f}°", "22 1/2°"]))
    c.text("", at, s.turn, s.font, tile=text_tile(text, s.font))


def draw_cross(c: Canvas, s: Style, rng, centre, radius: float) -> None:
    """Draw centre lines through a circle."""
    for turn in (s.turn, s.turn + 90):
        u, _ = unit_vector(turn)
        reach = radius * rng.uniform(1.1, 1.6) + 4
        draw_dashed(c, rng, centre - u * reach, centre + u * reach, s.thin, dashes=(14, 3, 3, 3))


def draw_dashed(c: Canvas, rng, a, b, width: float, *, dashes=None) -> None:
    """Draw a dashed or dash-dotted line."""
    pattern = dashes or [(8, 4), (14, 3, 3, 3), (20, 5, 4, 5), (5, 3)][int(rng.integers(4))]
    a, b = np.asarray(a, float), np.asarray(b, float)
    length = math.dist(a, b)
    if length < 1:
        return
    u, at, i = (b - a) / length, 0.0, 0
    while at < length:
        step = pattern[i % len(pattern)]
        if i % 2 == 0:
            c.line(a + u * at, a + u * min(at + step, length), width)
        at += step
        i += 1


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
    if rng.random() < 0.25:
        hatch(c, rng, corners, s.thin, s.turn + float(rng.choice([45, 135, 30, 60])))
    for _ in range(int(rng.integers(0, 4))):
        centre = p + u * rng.uniform(0.1, 0.9) * w + n * rng.uniform(0.1, 0.9) * h
        radius = rng.uniform(3, 40)
        c.arc(centre, radius, 0, float(rng.choice([360, 360, 90, 180])), s.thick)
        if rng.random() < 0.6:
            draw_cross(c, s, rng, centre, radius)
    if rng.random() < 0.4:
        t = rng.uniform(0.1, 0.9)
        draw_dashed(c, rng, p + u * w * t, p + u * w * t + n * h, s.thin, dashes=(8, 4))


def hatch(c: Canvas, rng, corners, width: float, turn: float) -> None:
    """Hatch a convex quadrilateral."""
    mask = Image.new("L", c.picture.size, 0)
    ImageDraw.Draw(mask).polygon([(x * OVER, y * OVER) for x, y in corners[:4]], fill=255)
    layer = Image.new("L", c.picture.size, 255)
    pen = ImageDraw.Draw(layer)
    u, n = unit_vector(turn)
    step = rng.uniform(5, 20)
    centre = np.array([SIZE / 2, SIZE / 2])
    for k in np.arange(-SIZE, SIZE, step):
        a, b = centre + n * k - u * SIZE, centre + n * k + u * SIZE
        pen.line([*(a * OVER), *(b * OVER)], fill=0, width=max(1, round(width * OVER)))
    c.picture.paste(
        0,
        (0, 0),
        Image.composite(Image.eval(layer, lambda v: 255 - v), Image.new("L", layer.size, 0), mask),
    )


def draw_notes(c: Canvas, s: Style, rng, fonts: Fonts) -> None:
    """Write lines of words."""
    font = fonts.at(
        fonts.pick(rng) if rng.random() < 0.4 else Path(s.font.path), rng.uniform(9, 26)
    )
    p = rng.uniform(0, SIZE, 2)
    _u, n = unit_vector(s.turn)
    for row in range(int(rng.integers(1, 4))):
        words = " ".join(str(w) for w in rng.choice(WORDS, int(rng.integers(1, 4))))
        if rng.random() < 0.5:
            whole, top, bottom = random_number(rng, "fraction")
            words += f" {whole} {top}/{bottom}" if top else f" {whole}"
        tile = text_tile(words, font)
        c.text("", p + n * row * tile.height / OVER * 1.6, s.turn, font, tile=tile)


def draw_table(c: Canvas, s: Style, rng) -> None:
    """Draw a title block or parts list."""
    u, n = unit_vector(s.turn)
    p = rng.uniform(-80, 140, 2)
    xs = np.concatenate([[0], rng.uniform(18, 90, 5).cumsum()])
    ys = np.concatenate([[0], np.full(6, rng.uniform(16, 40)).cumsum()])
    for x in xs:
        c.line(p + u * x, p + u * x + n * ys[-1], s.thin)
    for y in ys:
        c.line(p + n * y, p + n * y + u * xs[-1], s.thin)
    for i in range(len(ys) - 1):
        for j in range(len(xs) - 1):
            if rng.random() < 0.6:
                word = str(rng.choice(WORDS)) if rng.random() < 0.5 else str(rng.integers(1, 99))
                tile = text_tile(word, s.small)
                if tile.width / OVER < xs[j + 1] - xs[j] + 6:
                    at = p + u * (xs[j] + xs[j + 1]) / 2 + n * (ys[i] + ys[i + 1]) / 2
                    c.text("", at, s.turn, s.small, tile=tile)


def draw_lookalikes(c: Canvas, s: Style, rng) -> None:
    """Draw things that look like terminators and are none: corners, crossings, screws, triangles."""
    kind = int(rng.integers(9))
    p = rng.uniform(0, SIZE, 2)
    u, n = unit_vector(s.turn + float(rng.choice([0, 90, 30, 45, 60])))
    if kind == 0:
        c.line(p - u * 60, p + u * 60, s.thin)
        c.line(p - n * 60, p + n * 60, s.thick)
    elif kind == 1:
        k = rng.uniform(10, 60)
        c.polyline([p, p + u * k + n * k * 0.4, p + u * k - n * k * 0.4, p], s.thick)
    elif kind == 2:
        zig = [p + u * i * 9 + n * (7 if i % 2 else -7) * (1 if i % 3 else 0.2) for i in range(9)]
        c.polyline(zig, s.thin)
    elif kind == 3:
        for k in range(int(rng.integers(4, 14))):
            c.line(p + u * k * 5, p + u * k * 5 + n * 24, s.thin)
    elif kind == 4:
        c.arc(p, rng.uniform(30, 160), 0, float(rng.uniform(40, 200)), s.thick)
    elif kind == 5:
        c.line(p - u * 90 + n * 3, p + u * 90, s.thick)
        c.line(p - u * 90 - n * 3, p + u * 90, s.thick)
    elif kind == 6:
        t = np.linspace(0, 1, 24)
        swing = rng.uniform(-60, 60, 3)
        aside = swing[0] * t + swing[1] * t**2 + swing[2] * np.sin(t * rng.uniform(2, 9))
        c.polyline([p + u * 160 * a + n * b for a, b in zip(t, aside, strict=True)], s.thick)
    elif kind == 7:
        k = rng.uniform(3, 30)
        c.fill([p, p + u * k, p + u * k + n * k * 0.7, p + n * k * rng.uniform(0.2, 1.5)])
    else:
        c.line(p, p + u * 80, s.thin)
        c.line(p, p + (u * 0.9 + n * 0.35) * 80, s.thick)


def draw_scene(rng: np.random.Generator, fonts: Fonts) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Draw one crop and its labels (see `Canvas.labels`)."""
    c = Canvas()
    s = pick_style(rng, fonts)
    for _ in range(int(rng.integers(0, 3))):
        draw_part(c, s, rng)
    if rng.random() < 0.12:
        draw_table(c, s, rng)
    if rng.random() < 0.25:
        draw_notes(c, s, rng, fonts)
    for _ in range(int(rng.integers(0, 3))):
        draw_lookalikes(c, s, rng)
    for _ in range(int(rng.choice([0, 1, 2, 2, 3, 4]))):
        draw_chain(c, s, rng)
    if rng.random() < 0.4:
        draw_leader(c, s, rng)
    if rng.random() < 0.2:
        draw_angle(c, s, rng)
    return c.labels()
