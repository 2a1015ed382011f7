"""How one drawing is drawn: its pens, hand, heads and lettering, picked at random."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import ImageFont

from audit.training.page.canvas import OVER

HEADS = {
    "filled": 6.0, "open": 2.5, "open90": 1.0, "quick": 2.5, "blob": 1.5, "blank": 3.0,
    "half": 0.7, "tick": 2.2, "oblique": 2.0, "dot": 1.6, "small dot": 2.0, "ring": 1.8,
    "small ring": 1.5, "origin": 1.2, "two rings": 1.2, "box": 2.0, "blank box": 1.0,
    "foot": 0.5, "swung": 0.5, "cross": 0.5, "vee": 1.5, "barb": 0.8, "none": 1.0,
    "graved": 1.2, "swept": 1.0, "drop": 0.8, "star": 0.3, "two ticks": 0.4,
}  # fmt: skip
EVEN = frozenset({
    "tick", "oblique", "dot", "small dot", "ring", "small ring", "origin", "two rings", "box",
    "blank box", "swung", "cross", "star", "two ticks",
})  # fmt: skip
DASHES = ((8, 4), (14, 4), (24, 5), (40, 8), (5, 3), (24, 5, 4, 5), (60, 10))
BY_HAND = (
    "quick", "quick", "open", "vee", "vee", "filled", "filled", "blob", "half", "barb", "tick",
    "oblique", "dot", "swept", "drop", "graved",
)  # fmt: skip


@dataclass
class Hand:
    """How a hand draws; all zero: a machine. Lengths in px."""

    waver: float = 0.0  # sideways
    knot: float = 30.0  # between two wavers
    over: float = 0.0  # by which strokes run on or stop short
    lift: float = 0.0  # chance that the pen lifts within a stroke
    swell: float = 0.0  # share by which a stroke thickens and thins
    head: float = 0.0  # how unlike two heads are, 0 to 1
    letter: float = 0.0  # how unlike two letters are, 0 to 1

    @property
    def steady(self) -> bool:
        """Whether strokes come out straight."""
        return self.waver == 0.0 and self.over == 0.0 and self.lift == 0.0


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
    lean: float
    hand: Hand
    ink: tuple[int, int]
    pale: int  # by how much lighter thin lines are, of 255
    pale_heads: bool
    dashes: tuple[float, ...]  # of dimension lines; none: drawn through
    barred: bool  # arrows against bars of their own, no extension lines
    crisp: bool  # bilevel as drawn, lines a px wide
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


def pick_hand(rng: np.random.Generator) -> Hand:
    """Pick a hand: a machine's, one with a ruler, one without."""
    kind = rng.random()
    if kind < 0.5:
        return Hand()
    if kind < 0.8:
        return Hand(
            waver=rng.uniform(0.1, 0.6), knot=rng.uniform(20, 60), over=rng.uniform(0, 2.0),
            lift=float(rng.choice([0, 0.1])), swell=rng.uniform(0, 0.25),
            head=rng.uniform(0.1, 0.6), letter=rng.uniform(0.0, 0.7),
        )  # fmt: skip
    return Hand(
        waver=rng.uniform(0.5, 2.2), knot=rng.uniform(15, 70), over=rng.uniform(0.5, 4.0),
        lift=rng.uniform(0, 0.4), swell=rng.uniform(0, 0.4),
        head=rng.uniform(0.4, 1.0), letter=rng.uniform(0.3, 1.0),
    )  # fmt: skip


def _pick_arrow(rng: np.random.Generator) -> float:
    """Length of arrowheads: usual, small, tiny, or long."""
    kind = rng.random()
    if kind < 0.6:
        return float(rng.uniform(8.0, 32.0))
    return float(rng.uniform(5.5, 14.0) if kind < 0.87 else rng.uniform(2.5, 6.0))


def pick_style(rng: np.random.Generator, fonts: Fonts) -> Style:
    """Pick how one drawing is drawn."""
    hand = pick_hand(rng)
    thin = rng.uniform(0.9, 2.6) if rng.random() < 0.8 else rng.uniform(2.0, 4.2)
    text = rng.uniform(8.5, 30.0) if rng.random() < 0.9 else rng.uniform(28.0, 40.0)
    path = fonts.pick(rng)
    names, weights = list(HEADS), np.array(list(HEADS.values()))
    terminator = str(rng.choice(names, p=weights / weights.sum()))
    if hand.head and rng.random() < 0.5:
        terminator = str(rng.choice(BY_HAND))
    arrow = _pick_arrow(rng)
    darkest = int(rng.choice([0, 0, rng.integers(0, 90)]))
    crisp = rng.random() < 0.05
    if crisp:
        thin = rng.uniform(0.34, 1.3)
    return Style(
        thin=thin,
        thick=thin * rng.uniform(1.0, 3.2) if thin < 2.6 else thin * rng.uniform(1.0, 1.8),
        terminator=terminator,
        arrow=arrow if rng.random() < 0.95 else arrow * 1.4,
        slim=float(rng.choice([1 / 6, 1 / 6, 1 / 8, 1 / 5, 1 / 4, 0.268, 0.13, 0.09, 0.4])),
        text=text,
        font=fonts.at(path, text),
        small=fonts.at(path, text * rng.uniform(0.55, 1.0)),
        above=rng.random() < 0.55,
        level=rng.random() < 0.4,
        turn=float(rng.normal(0, rng.choice([0.7, 0.7, 0.7, 2.5]))) + float(rng.choice([0, 0, 0, 0, 90, 90, 180, 270])),
        lean=float(rng.choice([0, 0, 0, rng.uniform(5, 26), rng.uniform(-10, 0)])),
        hand=hand,
        ink=(darkest, darkest + int(rng.choice([0, 0, rng.integers(0, 90)]))),
        pale=int(rng.integers(30, 190)) if rng.random() < 0.2 and not crisp else 0,
        pale_heads=rng.random() < 0.4,
        dashes=DASHES[int(rng.integers(len(DASHES)))] if rng.random() < 0.08 else (),
        barred=rng.random() < 0.05,
        crisp=crisp,
        gap=float(rng.choice([0.0, rng.uniform(3, 14)])),
        beyond=rng.uniform(2, 24),
        unit=str(
            rng.choice(["fraction", "fraction", "stack", "stack", "slanted", "decimal", "mm",
                        "feet", "digit"])
        ),
    )  # fmt: skip


def unit_vector(degrees: float) -> tuple[np.ndarray, np.ndarray]:
    """Direction (y down, counter-clockwise as seen) and its normal, clockwise of it."""
    t = math.radians(degrees)
    return np.array([math.cos(t), -math.sin(t)]), np.array([math.sin(t), math.cos(t)])
