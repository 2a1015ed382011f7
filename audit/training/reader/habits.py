"""A writer's habits: how a hand bends the shapes it knows and how its pen leaves ink."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np

Rng = np.random.Generator
# Sub-pixel bits of cv2.polylines.
SHIFT_BITS = 4
# Degrees of the bends along x and y, their strength by total degree, in capital heights.
BENDS = ((0, 1), (1, 0), (1, 1), (0, 2), (2, 0), (1, 2), (2, 1), (0, 3))
BEND_STRENGTH = {1: 0.055, 2: 0.042, 3: 0.022}
# Where a character's middle is and how far it reaches, capital heights.
MIDDLE, REACH, FARTHEST = (0.27, 0.5), (0.3, 0.5), 1.4
MARKS = set("'\"°.,-")
STEP = 0.04  # capital heights between points of a stroke drawn out evenly


@dataclass(frozen=True, slots=True)
class Habit:
    """How a hand bends the shapes it knows and how its pen leaves ink; a machine has all zero.

    `waist` bends heights (over 1 lowers the middles of letters), `bow` curves uprights; `short`
    and `over` are the ends left out or drawn too long, in capital heights; `press` how unevenly
    the pen is pressed; `dark` the ink's darkness (pencil is paler) and `fade` how it varies;
    `blot` the chance of a blot where a stroke begins or ends; `figures` the size of figures beside
    letters; `own` how far every character is bent its own way, the same each time; `haste` how
    many steps of a stroke run into one another, so that corners become round; `drag` the chance
    that the pen is not lifted between two strokes.
    """

    waist: float = 1.0
    bow: float = 0.0
    short: float = 0.0
    over: float = 0.0
    press: float = 0.0
    dark: float = 255.0
    fade: float = 0.0
    blot: float = 0.0
    figures: float = 1.0
    own: float = 0.0
    haste: int = 0
    drag: float = 0.0


def draw_habit(rng: Rng, wild: float) -> Habit:
    """Draw a hand's habits, the stronger the wilder it is."""
    if wild <= 0:
        return Habit()
    pencil = rng.random() < 0.35
    return Habit(
        waist=float(np.exp(rng.normal(0, 0.16 * wild))),
        bow=float(rng.normal(0, 0.06 * wild)),
        short=float(wild * rng.uniform(0, 0.09) if rng.random() < 0.45 else 0.0),
        over=float(wild * rng.uniform(0, 0.14) if rng.random() < 0.35 else 0.0),
        press=float(rng.uniform(0.1, 0.45) if rng.random() < 0.5 else 0.0),
        dark=float(rng.uniform(120, 250) if pencil else 255),
        fade=float(rng.uniform(0, 0.3) if pencil else 0.0),
        blot=float(rng.uniform(0.1, 0.5) if rng.random() < 0.15 else 0.0),
        figures=float(np.exp(rng.normal(0, 0.08 * wild))),
        own=float(wild * rng.uniform(0.3, 1.3)),
        haste=int(rng.integers(1, 5)) if rng.random() < 0.35 else 0,
        drag=float(rng.uniform(0.05, 0.4) if rng.random() < 0.2 else 0.0),
    )


@dataclass(frozen=True, slots=True)
class Bent:
    """A writer's own way with one character: bends of the plane, width, size, place."""

    bends: np.ndarray
    wide: float
    size: float
    shift: tuple[float, float]

    def apply(self, points: np.ndarray) -> np.ndarray:
        """Bend the points of a character, capital height 1, y up."""
        u = np.clip((points - MIDDLE) / REACH, -FARTHEST, FARTHEST)
        powers = np.stack([u[:, 0] ** i * u[:, 1] ** j for i, j in BENDS], axis=1)
        out = points + powers @ self.bends
        middle = (points.min(0) + points.max(0)) / 2 if self.size != 1.0 else np.zeros(2)
        out = (out - middle) * self.size + middle
        out[:, 0] *= self.wide
        return out + self.shift


def draw_bent(rng: Rng, habit: Habit, character: str) -> Bent:
    """Draw a writer's own way with a character; marks vary in size and place, not in shape."""
    strength = np.array([BEND_STRENGTH[i + j] for i, j in BENDS])[:, None]
    small = character in MARKS
    return Bent(
        bends=habit.own * (0.4 if small else 1.0) * strength * rng.normal(0, 1, (len(BENDS), 2)),
        wide=float(np.exp(rng.normal(0, 0.1 * habit.own))),
        size=float(np.exp(rng.normal(0, 0.25 * habit.own))) if small else 1.0,
        shift=(0.0, float(rng.normal(0, 0.05 * habit.own))) if small else (0.0, 0.0),
    )


def hasten(stroke: np.ndarray, haste: int) -> np.ndarray:
    """Round a stroke's corners by running `haste` steps of it into one another on either side."""
    steps = np.hypot(*np.diff(stroke, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    if along[-1] < 4 * STEP:
        return stroke
    at = np.linspace(0, along[-1], max(5, round(along[-1] / STEP)))
    even = np.column_stack([np.interp(at, along, stroke[:, k]) for k in (0, 1)])
    ends = np.vstack([np.repeat(even[:1], haste, 0), even, np.repeat(even[-1:], haste, 0)])
    width = 2 * haste + 1
    sums = np.cumsum(np.vstack([np.zeros((1, 2)), ends]), axis=0)
    return (sums[width:] - sums[:-width]) / width


def end_elsewhere(rng: Rng, stroke: np.ndarray, habit: Habit) -> np.ndarray:
    """Leave out or overdraw a stroke's ends: loops stay open, crossings overshoot."""
    if len(stroke) < 2:
        return stroke
    reach = rng.random(2)
    if len(stroke) > 8 and habit.short:
        steps = np.abs(np.diff(stroke, axis=0)).sum(1)
        along = np.concatenate([[0.0], np.cumsum(steps)])
        first, last = habit.short * reach * min(1.0, along[-1])
        kept = stroke[(along >= first) & (along <= along[-1] - last)]
        return kept if len(kept) > 1 else stroke
    if not habit.over:
        return stroke
    out = stroke.copy()
    for end, inner, share in ((0, 1, reach[0]), (-1, -2, reach[1])):
        way = stroke[end] - stroke[inner]
        length = float(np.hypot(*way))
        if length > 0.15:
            out[end] = stroke[end] + way / length * habit.over * share
    return out


def draw_pressed(
    rng: Rng, canvas: np.ndarray, piece: np.ndarray, thickness: int, habit: Habit
) -> None:
    """Draw a stroke in up to three runs of their own width and darkness, blots at its ends."""
    runs = min(3, max(1, len(piece) // 3)) if habit.press else 1
    cuts = np.linspace(0, len(piece) - 1, runs + 1).round().astype(int)
    for start, stop in pairwise(cuts):
        wide = max(1, round(thickness * (1 + habit.press * rng.normal())))
        dark = habit.dark * (1 - habit.fade * rng.random())
        run = piece[start : stop + 1]
        cv2.polylines(canvas, [run], False, dark, wide, cv2.LINE_AA, SHIFT_BITS)
    if habit.blot and rng.random() < habit.blot:
        spot = piece[0 if rng.random() < 0.5 else -1, 0]
        radius = round(thickness * rng.uniform(0.6, 1.1) * (1 << SHIFT_BITS))
        cv2.circle(canvas, spot.tolist(), radius, habit.dark, -1, cv2.LINE_AA, SHIFT_BITS)


def draw_dragged(rng: Rng, canvas: np.ndarray, pieces: list[np.ndarray], habit: Habit) -> None:
    """Draw the hairs that a pen leaves which is not lifted between strokes."""
    for before, after in pairwise(pieces):
        if rng.random() < habit.drag:
            hair = np.stack([before[-1], after[0]])
            pale = habit.dark * rng.uniform(0.2, 0.75)
            drawn = np.zeros_like(canvas)
            cv2.polylines(drawn, [hair], False, pale, 1, cv2.LINE_AA, SHIFT_BITS)
            np.maximum(canvas, drawn, out=canvas)
