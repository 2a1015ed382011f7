"""Ends of dimension lines and leaders as they stand on plans that are sold, posted or downloaded.

Pen plotters, drafting templates, early printers and felt pens: heads of any size, filled or not,
dots, slashes, or no head at all; leaders that run straight, with an elbow, or in a bow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np

from tests.bench.plates_pen import Floats, Head, Mark, Rng, arc_points
from tests.bench.plates_views import Manner


@dataclass(frozen=True, slots=True, kw_only=True)
class RealManner(Manner):
    """One draughtsman's ways on a plan of later times.

    Attributes
    ----------
    hyphen : bool
        Whole inches and their fraction are joined, `1-1/2`.
    flip : bool
        Numbers on standing lines are read from the left.
    through : bool
        A line joins the ends of a size whose heads stand outside.
    aside : bool
        A number without room stands to one side, with a bow to its line; else beyond an end.
    under : bool
        What is noted after a number stands on a line of its own under it.
    hook : str
        "straight", "elbow" or "bow": how leaders run.
    comma : bool
        Decimals of metric sheets have a comma.
    boxes : float
        Share of the numbers that stand in a frame.
    ringed_numbers : bool
        That frame has round ends.
    """

    hyphen: bool = False
    flip: bool = False
    through: bool = False
    aside: bool = False
    under: bool = False
    hook: str = "elbow"
    comma: bool = False
    boxes: float = 0.0
    ringed_numbers: bool = False


def real_ways(manner: Manner, rng: Rng) -> RealManner:
    """The ways of a later plan on top of those of a working drawing."""
    known = {f.name: getattr(manner, f.name) for f in fields(manner)}
    wide = float(rng.choice([0.7, 1.0, 1.0, 1.5]))
    return RealManner(
        **known
        | {
            "head_mm": manner.head_mm * wide,
            "joint": str(rng.choice(["-", " ", "-"])),
            "extension_dash": manner.extension_dash if rng.random() < 0.15 else (),
        },
        hyphen=bool(rng.random() < 0.4),
        flip=bool(rng.random() < 0.15),
        through=bool(rng.random() < 0.4),
        aside=bool(rng.random() < 0.4),
        under=bool(rng.random() < 0.3),
        hook=str(rng.choice(["straight", "elbow", "bow"])),
        comma=bool(rng.random() < 0.5),
        boxes=float(rng.choice([0.0, 0.0, 0.0, 0.0, 0.0, 0.25])),
        ringed_numbers=bool(rng.random() < 0.3),
    )


# ends of dimension lines: `tip`, the way it points, its size in mm


def _across(u: Floats) -> Floats:
    return np.array([-u[1], u[0]])


def blade(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A large filled head, as dry transfers have it."""
    n, w = _across(u), size * float(rng.uniform(0.24, 0.3))
    back = tip - 1.5 * size * u
    return [Mark(points=np.stack([tip, back + w * n, back - w * n]))]


def dot(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A filled dot on the extension line."""
    radius = size * float(rng.uniform(0.22, 0.3))
    return [Mark(points=arc_points((float(tip[0]), float(tip[1])), radius, 0.0, 360.0))]


def slash(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A heavy stroke aslant over a line that runs a little further."""
    turn = math.radians(float(rng.uniform(40, 50)))
    c, s = math.cos(turn), math.sin(turn)
    base = u if (abs(u[0]) > abs(u[1])) == (u[0] > 0) else -u
    way = np.array([c * base[0] + s * base[1], c * base[1] - s * base[0]]) * 0.7 * size
    over = np.stack([tip, tip + 0.6 * size * u])
    width = float(rng.uniform(0.4, 0.55))
    return [
        Mark(points=np.stack([tip - way, tip + way]), width=width),
        Mark(points=over, width=0.2),
    ]


def pip(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A tiny filled head of a pen plotter."""
    n, w = _across(u), 0.62 * size * float(rng.uniform(0.17, 0.2))
    back = tip - 0.62 * size * u
    return [Mark(points=np.stack([tip, back + w * n, back - w * n]))]


def delta(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A wide triangle drawn in outline, its line ending at its back."""
    n, w, back = _across(u), size * 0.3, tip - 0.9 * size * u
    blank = Mark(points=np.stack([tip, back + w * n, back - w * n]), blank=True)
    around = np.stack([tip, back + w * n, back - w * n, tip])
    return [blank, Mark(points=around, width=float(rng.uniform(0.15, 0.22)))]


def spear(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A long thin head whose filling has run over its outline."""
    n, w = _across(u), size * float(rng.uniform(0.13, 0.17))
    back = tip - 1.6 * size * u
    around = np.stack([tip, back + w * n, back - 0.8 * w * n, tip])
    return [Mark(points=around), Mark(points=around, width=0.14)]


def bare(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """No head: the line crosses the extension line and stops."""
    return [Mark(points=np.stack([tip - 0.4 * size * u, tip + 0.7 * size * u]), width=0.2)]


def check(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two felt-pen strokes of unequal length that miss each other at the tip by a little."""
    n, marks = _across(u), []
    for side in (-1, 1):
        long, w = size * float(rng.uniform(0.7, 1.3)), size * float(rng.uniform(0.25, 0.5))
        start = tip + 0.12 * size * float(rng.normal()) * n
        marks.append(Mark(points=np.stack([start, tip - long * u + side * w * n]), width=0.26))
    return marks


def blot(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A short head full of ink, its corners round."""
    n, w, back = _across(u), size * 0.2, tip - 0.7 * size * u
    around = np.stack([tip - 0.1 * size * u, back + w * n, back - w * n, tip - 0.1 * size * u])
    return [Mark(points=around), Mark(points=around, width=0.12 * size + 0.12)]


def cross(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A small cross."""
    n, w = _across(u), 0.38 * size
    ways = [(u + n) * w, (u - n) * w]
    return [Mark(points=np.stack([tip - way, tip + way]), width=0.24) for way in ways]


ENDS: dict[str, Head] = {
    "blade": blade,
    "dot": dot,
    "slash": slash,
    "pip": pip,
    "delta": delta,
    "spear": spear,
    "bare": bare,
    "check": check,
    "blot": blot,
    "cross": cross,
}
LEADERS = {"slash": "pip", "bare": "check", "cross": "blot"}  # what leaders end in on such sheets


def run_leader(tip: Floats, knee: Floats, hook: str, side: float) -> tuple[Floats, Floats]:
    """Points of a leader from its text to its tip, and where the text begins."""
    if hook == "straight":
        return np.stack([knee, tip]), knee
    tail = knee + np.array([side * 2.5, 0.0])
    if hook == "elbow":
        return np.stack([tail, knee, tip]), tail
    t = np.linspace(0.0, 1.0, 15)[:, None]
    bow = (1 - t) ** 2 * tail + 2 * t * (1 - t) * (knee - np.array([side * 2.0, 0.0])) + t**2 * tip
    return bow, tail
