"""Setting a line: where its parts, figures and fraction bars go."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from audit.training.reader.habits import SHIFT_BITS
from audit.training.reader.pens import Pen
from audit.training.reader.sizes import Line, Part

# Canvas beyond the text on every side, in capital heights: room for lines and margins.
ROOM = 2.2


@dataclass(frozen=True, slots=True)
class Page:
    """A set line: ink canvas, box of its ink (x0, y0, x1, y1), base line and capital height, px."""

    ink: np.ndarray
    box: tuple[int, int, int, int]
    baseline: float
    cap: float
    pen_width: int


@dataclass(frozen=True, slots=True)
class Manner:
    """How fractions are set in this line; lengths in capital heights.

    `seat`: the bar at half the capitals' height (``middle``), the lower figures on the base line
    (``bottom``, a CAD program's default) or the upper ones level with the capitals (``top``).
    `lower` is the lower figures' size over the upper ones', `jog` how far figures stray; `slide` how far a slanted
    bar's lower figures stand to the right, as a share of the way that brings them clear.
    """

    figure: float
    gap: float
    before: float
    after: float
    overhang: float
    rise: float
    slope: float
    bar: float
    lower: float
    jog: float
    slide: float
    seat: str


def draw_manner(rng: np.random.Generator, *, hand: bool = False) -> Manner:
    """Draw how this line sets its fractions; a hand's may be tiny, askew, under a stub of a bar."""
    tight, seat = rng.random() < 0.25, rng.random()
    loose = hand and rng.random() < 0.6
    small = (0.4, 0.65) if hand else (0.55, 0.72)
    return Manner(
        figure=float(
            rng.choice([rng.uniform(*small), rng.uniform(0.6, 0.85), rng.uniform(0.85, 1.02)])
        ),
        gap=float(rng.uniform(0.0 if hand else 0.03, 0.12) if tight else rng.uniform(0.1, 0.34)),
        before=float(
            rng.uniform(-0.06 if hand else 0.02, 0.15) if tight else rng.uniform(0.1, 0.6)
        ),
        after=float(rng.uniform(0.0, 0.12) if rng.random() < 0.4 else rng.uniform(0.02, 0.4)),
        overhang=float(rng.uniform(-0.3, 0.5) if loose else rng.uniform(-0.05, 0.25)),
        rise=float(rng.normal(0, 0.16 if loose else 0.07)),
        slope=float(rng.normal(0, 0.16 if loose else 0.03)),
        bar=float(np.exp(rng.normal(0, 0.25))),
        lower=float(np.exp(rng.normal(0, 0.12))) if loose else 1.0,
        jog=0.12 if loose else 0.04,
        slide=float(rng.uniform(0.55, 1.15) if rng.random() < 0.5 else rng.uniform(0.1, 0.55)),
        seat="middle" if seat < 0.58 else "bottom" if seat < 0.95 else "top",
    )


def draw_bar(ink: np.ndarray, a: tuple[float, float], b: tuple[float, float], width: int) -> None:
    """Draw a straight line of ink."""
    scale = 1 << SHIFT_BITS
    first, last = ((round(x * scale), round(y * scale)) for x, y in (a, b))
    cv2.line(ink, first, last, 255, max(1, width), cv2.LINE_AA, SHIFT_BITS)


def part_width(pen: Pen, part: Part, cap: float, manner: Manner) -> float:
    """Advance of a part, px."""
    if part.form == "text":
        return pen.width(part.upper, cap)
    small = cap * manner.figure
    upper, lower = pen.width(part.upper, small), pen.width(part.lower, small * manner.lower)
    sides = cap * (manner.before + manner.after + 2 * max(manner.overhang, 0))
    if part.form == "diagonal":
        return upper + lower + 0.45 * cap + sides
    if part.form == "slant":
        return max(upper, lower) + manner.slide * (upper + lower) / 2 + sides
    return max(upper, lower) + sides


def set_line(
    rng: np.random.Generator, pen: Pen, line: Line, cap: float, *, hand: bool = False
) -> Page | None:
    """Set a line on a fresh canvas; `None` when the pen left no ink."""
    manner = draw_manner(rng, hand=hand)
    width = sum(part_width(pen, part, cap, manner) for part in line.parts)
    edge = round(ROOM * cap)
    ink = np.zeros((round(2.6 * cap) + 2 * edge, round(width * 1.15) + 2 * edge), np.uint8)
    baseline = edge + 1.8 * cap
    x = float(edge)
    for part in line.parts:
        x += set_part(rng, ink, pen, part, (x, baseline), cap=cap, manner=manner)
    rows, columns = np.flatnonzero(ink.max(1) > 90), np.flatnonzero(ink.max(0) > 90)
    if not len(rows):
        return None
    box = (int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1)
    return Page(ink, box, baseline, cap, pen.line_width(cap))


def set_part(
    rng: np.random.Generator,
    ink: np.ndarray,
    pen: Pen,
    part: Part,
    at: tuple[float, float],
    *,
    cap: float,
    manner: Manner,
) -> float:
    """Set one part and return its advance, px."""
    if part.form == "text":
        pen.write(ink, part.upper, at, cap)
        return pen.width(part.upper, cap)
    setter = {"diagonal": set_diagonal, "slant": set_slanted}.get(part.form, set_stack)
    setter(rng, ink, pen, part, at, cap=cap, manner=manner)
    return part_width(pen, part, cap, manner)


def bar_level(baseline: float, cap: float, manner: Manner, *, reach: float) -> float:
    """Height of the bar's middle, `reach` being from there to the figures' far edge, px."""
    if manner.seat == "bottom":
        return baseline - reach + 0.3 * manner.rise * cap
    if manner.seat == "top":
        return baseline - cap + reach + 0.3 * manner.rise * cap
    return baseline - cap * (0.5 + manner.rise)


def set_stack(rng, ink, pen, part, at, *, cap, manner) -> None:
    """Set two texts one above the other, with a flat bar unless they are limits."""
    small = cap * manner.figure
    below = small * (manner.lower if part.form == "stack" else 1.0)
    upper, lower = pen.width(part.upper, small), pen.width(part.lower, below)
    widest, over = max(upper, lower), cap * manner.overhang
    left = at[0] + cap * manner.before + max(over, 0)
    thick = max(1, round(pen.line_width(cap) * manner.bar))
    gap = cap * manner.gap + thick / 2
    middle = bar_level(at[1], cap, manner, reach=small + gap)
    align = 0.0 if part.form == "limits" and rng.random() < 0.7 else 0.5
    jog = rng.normal(0, manner.jog, 2) * cap
    pen.write(ink, part.upper, (left + (widest - upper) * align + jog[0], middle - gap), small)
    pen.write(
        ink, part.lower, (left + (widest - lower) * align + jog[1], middle + gap + below), below
    )
    if part.form == "stack":
        dy = widest * float(np.clip(manner.slope, -0.4, 0.4))
        # The last gap of a pen's advance is no ink; a short bar keeps something of itself.
        over = max(over, -0.3 * widest)
        right = left + widest - 0.1 * small + over
        draw_bar(ink, (left - over, middle + dy / 2), (right, middle - dy / 2), thick)


def set_slanted(rng, ink, pen, part, at, *, cap, manner) -> None:
    """Set a fraction over a bar that rises to the right, the lower figures shifted to the right.

    From a leaning stack to a CAD program's long diagonal with a figure on either side of it.
    """
    small = cap * manner.figure
    below = small * manner.lower
    upper, lower = pen.width(part.upper, small), pen.width(part.lower, below)
    thick = max(1, round(pen.line_width(cap) * manner.bar))
    steep = manner.slide > 0.55
    slope = rng.uniform(0.8, 1.7) if steep else rng.uniform(0.25, 0.9)
    slide = manner.slide * (upper + lower) / 2
    gap = cap * manner.gap * 0.7 + thick / 2
    middle = bar_level(at[1], cap, manner, reach=below + gap + 0.1 * small)
    left = at[0] + cap * manner.before
    centre = left + (max(upper, lower) + slide) / 2
    apart = (0.0 if steep else 0.1) * small
    pen.write(ink, part.upper, (centre - slide / 2 - upper / 2, middle - gap - apart), small)
    pen.write(
        ink, part.lower, (centre + slide / 2 - lower / 2, middle + gap + below + apart), below
    )
    # The bar reaches past the figures' middles, at most from foot to head.
    tall = small * (rng.uniform(0.75, 1.15) if steep else rng.uniform(0.5, 0.9))
    reach = max(slide, 0.5 * max(upper, lower)) + 0.15 * small
    dy = min(reach * slope, tall)
    dx = dy / slope
    draw_bar(ink, (centre - dx, middle + dy), (centre + dx, middle - dy), thick)


def set_diagonal(rng, ink, pen, part, at, *, cap, manner) -> None:
    """Set figures either side of a slash: small and raised, or tall as CAD programs do."""
    tall = rng.random() < 0.5
    small = cap * (manner.figure if tall else min(manner.figure, 0.85))
    upper = pen.width(part.upper, small)
    x = at[0] + cap * manner.before
    thick = max(1, round(pen.line_width(cap) * manner.bar))
    drop = 0.0 if tall else rng.uniform(0, 0.35) * cap
    top = at[1] - cap - rng.uniform(0, 0.2) * cap
    if tall:
        top = at[1] - small * rng.uniform(1.35, 1.95)
    pen.write(ink, part.upper, (x, top + small), small)
    x += upper
    lean = rng.uniform(0.25, 0.5) * cap
    back = rng.uniform(0, 0.75) * small if tall else 0.08 * cap
    draw_bar(ink, (x - back, at[1] + drop * 0.7), (x + lean, top - 0.02 * cap), thick)
    tuck = rng.uniform(0.2, 0.9)
    pen.write(ink, part.lower, (x + lean * tuck, at[1] + drop * 0.6), small)
