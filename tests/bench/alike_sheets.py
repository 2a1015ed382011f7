"""Sheets with many copies of one feature, and others that only look a little like it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pymupdf

from audit.geometry import Box, Point

Pen = pymupdf.Shape
Placed = Callable[[float, float], tuple[float, float]]
DrawShape = Callable[[Pen, Placed, float], None]
PAGE = (792.0, 612.0)  # pt
LINE = 1.1  # pt


@dataclass(frozen=True, slots=True, kw_only=True)
class AlikeSheet:
    """A page; where the copies stand (pt), their half size (pt), and the box of the example."""

    pdf: bytes
    copies: tuple[Point, ...]
    size: float
    example: Box


def _poly(pen: Pen, at: Placed, points: list[tuple[float, float]], *, fill: bool = False) -> None:
    placed = [at(*p) for p in points]
    pen.draw_polyline([*placed, placed[0]])
    pen.finish(width=LINE, color=(0, 0, 0), fill=(0, 0, 0) if fill else None, closePath=True)


def _ring(pen: Pen, at: Placed, x: float, y: float, r: float) -> None:
    steps = [2 * math.pi * k / 48 for k in range(48)]
    _poly(pen, at, [(x + r * math.cos(t), y + r * math.sin(t)) for t in steps])


def _stadium(half: float, r: float) -> list[tuple[float, float]]:
    right = [math.radians(a) for a in range(-90, 91, 10)]
    left = [math.radians(a) for a in range(90, 271, 10)]
    return [(half + r * math.cos(t), r * math.sin(t)) for t in right] + [
        (-half + r * math.cos(t), r * math.sin(t)) for t in left
    ]


def bolt_hole(pen: Pen, at: Placed, s: float) -> None:
    _ring(pen, at, 0, 0, s)


def slot(pen: Pen, at: Placed, s: float) -> None:
    _poly(pen, at, _stadium(0.65 * s, 0.35 * s))


def cam(pen: Pen, at: Placed, s: float) -> None:
    _ring(pen, at, 0, 0, s)
    _ring(pen, at, 0.42 * s, 0, 0.25 * s)
    _ring(pen, at, -0.45 * s, 0.3 * s, 0.13 * s)


def knob(pen: Pen, at: Placed, s: float) -> None:
    steps = [2 * math.pi * k / 96 for k in range(96)]
    rim = [(0.92 + 0.08 * math.cos(8 * t)) * s for t in steps]
    _poly(pen, at, [(r * math.cos(t), r * math.sin(t)) for r, t in zip(rim, steps, strict=True)])
    _ring(pen, at, 0, 0, 0.35 * s)


def arrow(pen: Pen, at: Placed, s: float) -> None:
    _poly(pen, at, [(s, 0), (0.1 * s, 0.34 * s), (0.1 * s, -0.34 * s)], fill=True)
    _poly(pen, at, [(-s, 0.04 * s), (0.1 * s, 0.04 * s), (0.1 * s, -0.04 * s), (-s, -0.04 * s)])


def counterbore(pen: Pen, at: Placed, s: float) -> None:
    _ring(pen, at, 0, 0, s)
    _ring(pen, at, 0, 0, 0.55 * s)


def keyhole(pen: Pen, at: Placed, s: float) -> None:
    _poly(
        pen,
        at,
        [
            *(
                (
                    -0.4 * s + 0.45 * s * math.cos(math.radians(a)),
                    0.45 * s * math.sin(math.radians(a)),
                )
                for a in range(24, 337, 8)
            ),
            (0.9 * s, -0.18 * s),
            (s, 0.0),
            (0.9 * s, 0.18 * s),
        ],
    )


def snail(pen: Pen, at: Placed, s: float) -> None:
    steps = [2 * math.pi * k / 60 for k in range(61)]
    _poly(
        pen,
        at,
        [
            ((0.5 + 0.5 * t / 6.2832) * s * math.cos(t), (0.5 + 0.5 * t / 6.2832) * s * math.sin(t))
            for t in steps
        ],
    )
    _ring(pen, at, 0, 0, 0.2 * s)


def nut(pen: Pen, at: Placed, s: float) -> None:
    corners = [math.radians(60 * k) for k in range(6)]
    _poly(pen, at, [(s * math.cos(t), s * math.sin(t)) for t in corners])
    _ring(pen, at, 0, 0, 0.45 * s)


def star_knob(pen: Pen, at: Placed, s: float) -> None:
    steps = [2 * math.pi * k / 100 for k in range(100)]
    rim = [(0.8 + 0.2 * math.cos(5 * t)) * s for t in steps]
    _poly(pen, at, [(r * math.cos(t), r * math.sin(t)) for r, t in zip(rim, steps, strict=True)])
    _ring(pen, at, 0, 0, 0.2 * s)


def block_arrow(pen: Pen, at: Placed, s: float) -> None:
    points = [(-1, 0.25), (0.1, 0.25), (0.1, 0.6), (1, 0), (0.1, -0.6), (0.1, -0.25), (-1, -0.25)]
    _poly(pen, at, [(s * x, s * y) for x, y in points])


def dowel_slot(pen: Pen, at: Placed, s: float) -> None:
    _poly(pen, at, _stadium(0.75 * s, 0.25 * s))
    _ring(pen, at, -0.75 * s, 0, 0.12 * s)


DEV: dict[str, DrawShape] = {
    "bolt hole": bolt_hole,
    "slot": slot,
    "cam": cam,
    "knob": knob,
    "arrow": arrow,
}
HELD: dict[str, DrawShape] = {
    "counterbore": counterbore,
    "keyhole": keyhole,
    "snail cam": snail,
    "nut": nut,
    "star knob": star_knob,
    "block arrow": block_arrow,
    "dowel slot": dowel_slot,
}


def draw_sheet(name: str, shapes: dict[str, DrawShape], rng: np.random.Generator) -> AlikeSheet:
    """Draw copies of one shape among others, crossed and touched by lines."""
    document = pymupdf.open()
    page = document.new_page(width=PAGE[0], height=PAGE[1])
    pen = page.new_shape()
    size = float(rng.uniform(9, 26))
    taken: list[tuple[float, float, float]] = []
    copies = []
    for _ in range(int(rng.integers(5, 16))):
        place = _free_place(taken, size, rng)
        if place is None:
            break
        turn, scale = float(rng.uniform(0, 2 * math.pi)), float(rng.uniform(0.93, 1.07))
        scale = 1.0 if not copies else scale
        shapes[name](pen, _placing(place, turn), size * scale)
        copies.append(Point(*place))
    _draw_others(pen, name, shapes, Room(size, taken), rng)
    for centre in copies:
        _cross(pen, centre, size, rng)
    for _ in range(4):
        a, b = rng.uniform(20, 590, 2), rng.uniform(20, 590, 2)
        pen.draw_line((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
        pen.finish(width=0.6)
    pen.commit()
    for _ in range(12):
        text = str(rng.choice(["3 1/4", "R 3/8", "DRILL 4", "Ø 1/2", "MAKE 8", "CAM", "1 15/16"]))
        page.insert_text(
            (float(rng.uniform(20, 740)), float(rng.uniform(20, 590))), text, fontsize=9
        )
    margin = size * float(rng.uniform(1.12, 1.3))
    dx, dy = (float(v) for v in rng.uniform(-0.06, 0.06, 2) * size)
    first = copies[0]
    example = Box(
        first.x - margin + dx, first.y - margin + dy, first.x + margin + dx, first.y + margin + dy
    )
    return AlikeSheet(pdf=document.tobytes(), copies=tuple(copies), size=size, example=example)


@dataclass(frozen=True, slots=True)
class Room:
    """Half size of the copies, pt, and what is taken by now: x, y and half size."""

    size: float
    taken: list[tuple[float, float, float]]


def _draw_others(
    pen: Pen,
    name: str,
    shapes: dict[str, DrawShape],
    room: Room,
    rng: np.random.Generator,
) -> None:
    """Draw other shapes, and the same one much larger or smaller."""
    size = room.size
    names = [n for n in shapes if n != name]
    for k in range(int(rng.integers(8, 18))):
        same = k % 4 == 0
        other = name if same else str(rng.choice(names))
        factor = float(rng.choice([0.6, 0.72, 1.32, 1.5])) if same else float(rng.uniform(0.7, 1.3))
        place = _free_place(room.taken, size * factor, rng)
        if place is None:
            return
        turn = float(rng.uniform(0, 2 * math.pi))
        shapes[other](pen, _placing(place, turn), size * factor)


def _free_place(
    taken: list[tuple[float, float, float]], size: float, rng: np.random.Generator
) -> tuple[float, float] | None:
    for _ in range(200):
        x, y = float(rng.uniform(60, PAGE[0] - 60)), float(rng.uniform(60, PAGE[1] - 60))
        if all(math.hypot(x - a, y - b) > 1.5 * (size + r) for a, b, r in taken):
            taken.append((x, y, size))
            return x, y
    return None


def _placing(place: tuple[float, float], turn: float) -> Placed:
    c, s = math.cos(turn), math.sin(turn)
    return lambda x, y: (place[0] + c * x - s * y, place[1] + s * x + c * y)


def _cross(pen: Pen, centre: Point, size: float, rng: np.random.Generator) -> None:
    """Centre lines, an extension line, a leader that touches: as drawings have them."""
    kind = rng.random()
    if kind < 0.4:
        reach = 1.5 * size
        pen.draw_line((centre.x - reach, centre.y), (centre.x + reach, centre.y))
        pen.draw_line((centre.x, centre.y - reach), (centre.x, centre.y + reach))
        pen.finish(width=0.5, dashes="[8 2 2 2] 0")
    elif kind < 0.6:
        down = float(rng.choice([-1, 1])) * 60
        pen.draw_line((centre.x, centre.y), (centre.x, centre.y + down))
        pen.finish(width=0.5)
    elif kind < 0.75:
        t = float(rng.uniform(0, 2 * math.pi))
        ux, uy = math.cos(t), math.sin(t)
        tip = (centre.x + size * ux, centre.y + size * uy)
        pen.draw_line(tip, (centre.x + (size + 45) * ux, centre.y + (size + 45) * uy))
        pen.finish(width=0.5)
        back = (tip[0] + 7 * ux, tip[1] + 7 * uy)
        pen.draw_polyline(
            [
                tip,
                (back[0] - 1.3 * uy, back[1] + 1.3 * ux),
                (back[0] + 1.3 * uy, back[1] - 1.3 * ux),
                tip,
            ]
        )
        pen.finish(width=0.1, fill=(0, 0, 0))
