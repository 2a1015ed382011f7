"""Two pens that put text on a canvas: single-stroke lettering and outline fonts.

Both write ink (255) on a dark canvas (0) and speak of a text's size as its capital height in
pixels. A pen is made anew for every line of text, so that a hand's habits hold within the line.
"""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Protocol

import cv2
import numpy as np
from PIL import ImageFont

from audit.training.reader.glyphs import SHAPES
from audit.training.reader.habits import (
    SHIFT_BITS,
    Bent,
    draw_bent,
    draw_dragged,
    draw_habit,
    draw_pressed,
    end_elsewhere,
    hasten,
)
from audit.training.reader.old_hands import MORE

Strokes = tuple[np.ndarray, ...]
SMOOTH_STEPS = 5
# Signs that a hand font may have drawn as single strokes, whatever it has itself.
SIGNS = "\"'°Ø±#×/-"
PRIMES = "\"'-"
# How often marks are printed curly where the face has that, an inch mark as two foot marks.
CURLY_SHARE, TWO_SHARE = 0.35, 0.12
CURLED = str.maketrans("'\"", "’”")


class Pen(Protocol):
    """Something that can measure and write text."""

    def width(self, text: str, cap: float) -> float:
        """Advance of the text, px."""

    def write(self, canvas: np.ndarray, text: str, at: tuple[float, float], cap: float) -> None:
        """Write the text with its base line starting at `at` (x, y down)."""

    def line_width(self, cap: float) -> int:
        """Width of its lines, px."""


def smooth(points: np.ndarray, *, closed: bool) -> np.ndarray:
    """Catmull-Rom curve through the points."""
    if closed:
        ring = np.vstack([points[-1:], points, points[:2]])
    else:
        ring = np.vstack([2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]])
    p0, p1, p2, p3 = ring[:-3], ring[1:-2], ring[2:-1], ring[3:]
    t = (np.arange(SMOOTH_STEPS) / SMOOTH_STEPS)[None, :, None]
    a, b, c, d = (q[:, None, :] for q in (p0, p1, p2, p3))
    curve = 0.5 * (
        2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3
    )
    return np.vstack([curve.reshape(-1, 2), ring[-2:-1]])


def parse_shape(shape: str) -> Strokes:
    """Strokes of one shape of `glyphs.SHAPES`, capital height 1."""
    strokes = []
    for piece in shape.split(";"):
        curved, closed = piece[0] in "~o", piece[0] == "o"
        body = piece[1:] if curved else piece
        points = np.array([[float(v) for v in p.split(",")] for p in body.split()]) / 100
        strokes.append(smooth(points, closed=closed) if curved and len(points) > 1 else points)
    return tuple(strokes)


@dataclass(frozen=True)
class Hand:
    """A stroke alphabet: for each character its shapes, each strokes in capital heights, y up."""

    name: str
    shapes: dict[str, tuple[Strokes, ...]]

    def writes(self, text: str) -> bool:
        """Whether it has every character."""
        return all(c == " " or c in self.shapes for c in text)


@lru_cache(maxsize=1)
def own_hand() -> Hand:
    """Load our own letter shapes."""
    drawn = {c: (*shapes, *MORE.get(c, ())) for c, shapes in SHAPES.items()}
    return Hand("own", {c: tuple(map(parse_shape, s)) for c, s in drawn.items()})


@lru_cache(maxsize=4)
def stroke_hands(path: Path) -> tuple[Hand, ...]:
    """Load the stroke fonts gathered into one file; symbols they lack come from `own_hand`."""
    hands = []
    for name, shapes in json.loads(path.read_text()).items():
        glyphs = {c: (tuple(np.array(s, float) for s in strokes),) for c, strokes in shapes.items()}
        own = own_hand().shapes
        glyphs |= {c: own[c] for c in own if c not in glyphs and not c.isascii()}
        glyphs |= {c: own[c] for c in own if c not in glyphs and not c.isalnum()}
        hands.append(Hand(name, glyphs))
    return tuple(hands)


class StrokePen:
    """Writes a `Hand` with one way of holding the pen.

    Parameters
    ----------
    rng : numpy Generator
    hand : Hand
    wild : float
        0 a lettering machine, 1 a hasty hand: scales every kind of jitter.
    """

    def __init__(self, rng: np.random.Generator, hand: Hand, *, wild: float) -> None:
        self.rng, self.hand, self.wild = rng, hand, wild
        self.slant = _draw_slant(rng, wild)
        self.stretch = float(np.clip(rng.normal(0.96, 0.2), 0.5, 1.5))
        self.thick = float(np.clip(np.exp(rng.normal(np.log(0.1), 0.3)), 0.045, 0.165))
        self.track = float(np.clip(rng.normal(0.22, 0.1), 0.02, 0.6))
        if wild > 0 and rng.random() < 0.3:
            # Crowded lettering: figures touch.
            self.track = float(rng.uniform(-0.04, 0.12))
            self.thick = min(self.thick, 0.115)
        self.space = float(rng.uniform(0.28, 0.85)) + 0.5 * max(self.track, 0.0)
        self.habit = draw_habit(rng, wild)
        self.chosen: dict[str, int] = {}
        self.bent: dict[str, Bent] = {}

    def line_width(self, cap: float) -> int:
        """Width of its lines, px."""
        return max(1, round(self.thick * cap))

    def shape(self, character: str) -> Strokes:
        """Pick the hand's habitual shape, seldom another."""
        shapes = self.hand.shapes[character]
        if character not in self.chosen or self.rng.random() < 0.1 * self.wild:
            self.chosen[character] = int(self.rng.integers(len(shapes)))
        return shapes[self.chosen[character]]

    def advance(self, character: str) -> float:
        """Width of a character with the gap after it, capital heights."""
        if character == " ":
            return self.space
        widest = max(float(s[:, 0].max()) for s in self.shape(character))
        if self.habit.own:
            widest *= self.bend(character).wide
        return widest * self.stretch * self.size(character) + self.track

    def bend(self, character: str) -> Bent:
        """Return the writer's own way with a character, the same each time."""
        if character not in self.bent:
            self.bent[character] = draw_bent(self.rng, self.habit, character)
        return self.bent[character]

    def size(self, character: str) -> float:
        """Size of a character beside the capitals."""
        return self.habit.figures if character.isdigit() else 1.0

    def width(self, text: str, cap: float) -> float:
        """Advance of the text, px."""
        return sum(self.advance(c) for c in text) * cap

    def write(self, canvas: np.ndarray, text: str, at: tuple[float, float], cap: float) -> None:
        """Write the text with its base line starting at `at`."""
        x, y = at
        drift = self.wild * self.rng.normal(0, 0.02)
        for k, character in enumerate(text):
            if character != " ":
                size = cap * self.size(character)
                self._glyph(canvas, character, (x, y + drift * k * cap), size)
            x += self.advance(character) * cap * (1 + self.wild * self.rng.normal(0, 0.05))

    def _glyph(
        self, canvas: np.ndarray, character: str, at: tuple[float, float], cap: float
    ) -> None:
        rng, wild, habit = self.rng, self.wild, self.habit
        strokes = self.shape(character)
        if habit.short or habit.over:
            strokes = tuple(end_elsewhere(rng, s, habit) for s in strokes)
        if habit.haste:
            strokes = tuple(hasten(s, habit.haste) if len(s) > 2 else s for s in strokes)
        points = np.vstack(strokes)
        if habit.own:
            points = self.bend(character).apply(points)
        points = self._shake(points)
        ends = np.cumsum([len(s) for s in strokes])[:-1]
        out = np.empty_like(points)
        out[:, 0] = at[0] + cap * (points[:, 0] * self.stretch + self.slant * points[:, 1])
        out[:, 1] = at[1] - cap * points[:, 1]
        fixed = np.round(out * (1 << SHIFT_BITS)).astype(np.int32)
        thickness = max(1, round(self.thick * cap * (1 + 0.15 * wild * rng.normal())))
        pieces = [p.reshape(-1, 1, 2) for p in np.split(fixed, ends)]
        if habit.drag and len(pieces) > 1:
            draw_dragged(rng, canvas, pieces, habit)
        if not (habit.press or habit.fade or habit.blot):
            cv2.polylines(canvas, pieces, False, habit.dark, thickness, cv2.LINE_AA, SHIFT_BITS)
            return
        for piece in pieces:
            draw_pressed(rng, canvas, piece, thickness, habit)

    def _shake(self, points: np.ndarray) -> np.ndarray:
        """Give a glyph its hand's bends, its own affine error and a smooth wobble."""
        rng, wild, habit = self.rng, self.wild, self.habit
        if wild <= 0:
            return points
        x, y = points[:, 0], points[:, 1]
        inside = np.clip(y, 0, 1)
        bent = np.column_stack(
            [x + habit.bow * (2 * inside - 1) ** 2, y - inside + inside**habit.waist]
        )
        matrix = np.eye(2) + wild * rng.normal(0, 0.055, (2, 2))
        middle = np.array([0.3, 0.5])
        moved = (bent - middle) @ matrix.T + middle + wild * rng.normal(0, (0.03, 0.045), 2)
        waves = rng.normal(0, 3.2, (2, 2))
        phase = rng.uniform(0, 6.3, 2)
        return moved + wild * 0.035 * np.sin(points @ waves + phase)


def _draw_slant(rng: np.random.Generator, wild: float) -> float:
    """Slant of the uprights, as sideways per up: none, the standard's, or a hand's own."""
    roll = rng.random()
    slant = 0.0 if roll < 0.42 else 0.41 if roll < 0.58 else rng.uniform(-0.12, 0.5)
    if wild > 0 and roll > 0.92:
        slant = rng.uniform(-0.35, 0.7)
    return float(slant + wild * rng.normal(0, 0.04))


@cache
def font_bytes(path: str) -> bytes:
    """Load the bytes of a font file."""
    return Path(path).read_bytes()


@lru_cache(maxsize=1500)
def load_font(path: str, size: int) -> ImageFont.FreeTypeFont:
    """Open a font at a size in px."""
    return ImageFont.truetype(io.BytesIO(font_bytes(path)), size)


@dataclass(frozen=True, slots=True)
class OutlineFont:
    """A font file with what the generator must know about it.

    `cap` is the capital height over the font size; `characters` those it draws; `unicase` tells
    that small letters look like capitals, `curly` that it has curly marks.
    """

    path: str
    family: str
    group: str
    cap: float
    characters: str
    unicase: bool
    curly: bool = False

    def writes(self, text: str) -> bool:
        """Whether it draws every letter and figure (signs can be drawn by hand)."""
        return all(not c.isalnum() or c in self.characters for c in text if c != "Ø")


class OutlinePen:
    """Writes an outline font; signs the font lacks are drawn as single strokes."""

    def __init__(self, rng: np.random.Generator, font: OutlineFont) -> None:
        self.font = font
        self.track = _draw_track(rng)
        hand = font.group == "hand"
        # A hand writes no letter twice alike: each stands and is sized a little its own way.
        self.dance = float(rng.uniform(0.02, 0.09)) if hand and rng.random() < 0.5 else 0.0
        self.rng = rng
        self.stroke = StrokePen(rng, own_hand(), wild=0.3 if hand else 0.0)
        self.stroke.slant = float(rng.uniform(-0.1, 0.4)) if hand else 0.0
        # Every hand has its own marks, most fonts the same few.
        self.borrowed = SIGNS if hand and rng.random() < 0.35 else ""
        if font.group == "serif" and rng.random() < 0.4:
            # Old type has primes and dashes of its own.
            self.borrowed = PRIMES
        self.stroke.thick = float(rng.uniform(0.09, 0.14))
        self.curled = font.curly and rng.random() < CURLY_SHARE
        self.doubled = rng.random() < TWO_SHARE

    def line_width(self, cap: float) -> int:
        """Width of its lines, px."""
        return max(1, round(self.stroke.thick * cap))

    def _face(self, cap: float) -> ImageFont.FreeTypeFont:
        return load_font(self.font.path, max(5, round(cap / self.font.cap)))

    def _runs(self, text: str) -> list[tuple[str, bool]]:
        """Split a text into runs that the font draws (True) and signs that it lacks."""
        single = self.track != 0 or self.dance != 0
        runs: list[tuple[str, bool]] = []
        for c in text.replace('"', "''") if self.doubled else text:
            has = c == " " or (c in self.font.characters and c not in self.borrowed)
            if runs and runs[-1][1] and has and not single:
                runs[-1] = (runs[-1][0] + c, True)
            else:
                runs.append((c, has))
        return [(r.translate(CURLED) if has and self.curled else r, has) for r, has in runs]

    def width(self, text: str, cap: float) -> float:
        """Advance of the text, px."""
        face, total = self._face(cap), 0.0
        for run, has in self._runs(text):
            total += face.getlength(run) if has else self.stroke.width(run, cap)
            total += self.track * cap
        return total

    def write(self, canvas: np.ndarray, text: str, at: tuple[float, float], cap: float) -> None:
        """Write the text with its base line starting at `at`."""
        face, (x, y) = self._face(cap), at
        for run, has in self._runs(text):
            if has and self.dance:
                size, off = 1 + self.dance * self.rng.normal(), self.dance * self.rng.normal()
                stamp(canvas, self._face(cap * max(size, 0.7)), run, (x, y + 0.7 * off * cap))
                x += face.getlength(run)
            elif has:
                stamp(canvas, face, run, (x, y))
                x += face.getlength(run)
            else:
                self.stroke.write(canvas, run, (x, y), cap)
                x += self.stroke.width(run, cap)
            x += self.track * cap


def _draw_track(rng: np.random.Generator) -> float:
    """Room between letters beyond the face's own, capital heights; old plates set figures wide."""
    roll = rng.random()
    if roll < 0.62:
        return 0.0
    return float(rng.uniform(-0.09, 0.3) if roll < 0.92 else rng.uniform(0.3, 0.7))


def stamp(
    canvas: np.ndarray, face: ImageFont.FreeTypeFont, text: str, at: tuple[float, float]
) -> None:
    """Put a text's mask on the canvas, darker ink winning."""
    core, offset = face.getmask2(text, mode="L", anchor="ls")
    width, height = core.size
    if not width or not height:
        return
    mask = np.frombuffer(bytes(core), np.uint8).reshape(height, width)
    left, top = round(at[0]) + offset[0], round(at[1]) + offset[1]
    x0, y0 = max(left, 0), max(top, 0)
    x1, y1 = min(left + width, canvas.shape[1]), min(top + height, canvas.shape[0])
    if x1 > x0 and y1 > y0:
        target = canvas[y0:y1, x0:x1]
        np.maximum(target, mask[y0 - top : y1 - top, x0 - left : x1 - left], out=target)


def read_manifest(folder: Path, roles: Sequence[str]) -> tuple[OutlineFont, ...]:
    """Load the outline fonts of a gathered folder whose role is among `roles`."""
    rows = json.loads((folder / "manifest.json").read_text())
    return tuple(
        OutlineFont(
            path=str(folder / row["file"]),
            family=row["family"],
            group=row["group"],
            cap=row["cap"],
            characters=row["characters"],
            unicase=row["unicase"],
            curly=row.get("curly", False),
        )
        for row in rows
        if row["role"] in roles
    )
