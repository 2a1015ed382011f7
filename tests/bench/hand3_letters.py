"""Lettering in single strokes: everybody has ways of his own, and never makes a letter twice alike.

A script is a choice among the ways of `hand3_glyphs`, bent for good as one person's are, and bent
a little again each time.
"""

from __future__ import annotations

import math
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tests.bench.hand3_glyphs import GLYPHS, places
from tests.bench.hand3_pen import Path, Stroke, Tool, inked
from tests.bench.hand_pen import XY, Rng

GRID = 9.0
TOKEN = re.compile(r"(\d+)/(\d+)|(.)")
BEND = 5  # places of a curve between two of a letter
SMALL = 0.72  # figures of a fraction to others, "slant"
STACKED = 0.66
FAINT = 1e-6

Made = tuple[list[Path], float]  # of some letters, mm: their strokes, how far they reach


@dataclass(frozen=True, slots=True, kw_only=True)
class Script:
    """How somebody letters.

    Attributes
    ----------
    owner : str
        Whose it is: how his letters are bent for good.
    figures : str
        Which way of each of the ten figures, "0" to "9".
    capitals : int
        Which way of letters.
    height : float
        Of capitals, mm.
    wide : float
        How wide letters are, to a common width.
    gap : float
        Between letters, as a share of their height.
    lean : float
        Degrees to the right.
    own, loose : float
        How far he bends letters for good, and each time anew, units of the grid.
    fraction : str
        "stacked", "slant" or "line".
    """

    owner: str
    figures: str
    capitals: int
    height: float
    wide: float
    gap: float
    lean: float
    own: float
    loose: float
    fraction: str = "line"


@dataclass(frozen=True, slots=True)
class Text:
    """A text about the origin, mm, y down: its strokes and how wide and high it is."""

    strokes: tuple[Stroke, ...]
    wide: float
    high: float

    def set_down(self, at: XY, turn: float) -> tuple[Stroke, ...]:
        """The strokes at a place, turned by degrees as clocks do."""
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        spin = np.array([[c, s], [-s, c]])
        return tuple(
            Stroke(k.path @ spin + np.array(at), k.width, k.dark, k.lettered) for k in self.strokes
        )


def compose(
    text: str, script: Script, tool: Tool, rng: Rng, *, size: bool, larger: float = 1.0
) -> Text:
    """Letter a text; `size` says that it is a size's number."""
    high = script.height * larger * float(rng.uniform(0.94, 1.06))
    paths, _ = _row(text, script, high, rng)
    spread = np.concatenate(paths)
    low, top = spread.min(axis=0), spread.max(axis=0)
    middle = (low + top) / 2
    width = tool.letter * float(rng.uniform(0.92, 1.08))
    drawn = [inked(p - middle, width, tool, rng) for p in paths]
    strokes = tuple(Stroke(s.path, s.width, s.dark, size) for s in drawn)
    return Text(strokes, float(top[0] - low[0]) + width, float(top[1] - low[1]) + width)


def _row(text: str, script: Script, high: float, rng: Rng) -> Made:
    """Letter along a line, foot at nought."""
    paths: list[Path] = []
    x, rise = 0.0, float(rng.normal(0, 0.012))
    for token in TOKEN.finditer(text):
        top, bottom, single = token.groups()
        if single == " ":
            x += 0.42 * high
            continue
        if single or script.fraction == "line":
            made, reach = _letters(single or token.group(), script, high, rng)
        else:
            made, reach = _fraction(top, bottom, script, high, rng)
        shift = np.array([x, -rise * x + float(rng.normal(0, 0.008)) * high])
        paths += [p + shift for p in made]
        x += reach + script.gap * high * float(rng.uniform(0.6, 1.4))
    return paths, x


def _letters(text: str, script: Script, high: float, rng: Rng) -> Made:
    paths: list[Path] = []
    x = 0.0
    for character in text:
        made, reach = _letter(character, script, high, rng)
        paths += [p + np.array([x, 0.0]) for p in made]
        x += reach + script.gap * high * float(rng.uniform(0.6, 1.4))
    return paths, x - script.gap * high


def _fraction(top: str, bottom: str, script: Script, high: float, rng: Rng) -> Made:
    """A fraction over a level bar, or small figures about a slanting one."""
    slant = script.fraction == "slant"
    small = (SMALL if slant else STACKED) * high * float(rng.uniform(0.93, 1.07))
    over, a = _letters(top, script, small, rng)
    under, b = _letters(bottom, script, small, rng)
    bend = float(rng.normal(0, 0.02)) * high
    if slant:
        lift, foot = -0.42 * high, 0.1 * high
        bar = np.array([[a - 0.02 * high, foot], [a + 0.42 * high, -1.06 * high + bend]])
        paths = [p + np.array([0.0, lift]) for p in over]
        paths += [p + np.array([a + 0.32 * high, foot]) for p in under]
        return [*paths, bar], a + 0.32 * high + b
    wide = max(a, b) + 0.16 * high
    middle = -0.5 * high
    paths = [p + np.array([(wide - a) / 2, middle - 0.14 * high]) for p in over]
    paths += [p + np.array([(wide - b) / 2, middle + 0.14 * high + small]) for p in under]
    bar = np.array([[0.0, middle], [wide / 2, middle + 0.5 * bend], [wide, middle + bend]])
    return [*paths, bar], wide


def _letter(character: str, script: Script, high: float, rng: Rng) -> Made:
    """One letter, its left at nought and its foot on nought, y down."""
    strokes = [np.array(s) for s in _own(character, script)]
    spin = rng.normal(0, 0.03 + 0.02 * script.loose, (2, 2)) + np.eye(2)
    lean = math.tan(math.radians(script.lean + float(rng.normal(0, 2.0))))
    paths = []
    for s in strokes:
        rough = s[:, :2] + rng.normal(0, script.loose, (len(s), 2))
        path = _through(rough, s[:, 2]) @ spin.T
        across = (path[:, 0] * script.wide + lean * path[:, 1]) * high / GRID
        paths.append(np.stack([across, -path[:, 1] * high / GRID], axis=1))
    left = min(float(p[:, 0].min()) for p in paths)
    right = max(float(p[:, 0].max()) for p in paths)
    return [p - np.array([left, 0.0]) for p in paths], right - left


def _own(character: str, script: Script) -> Iterator[Path]:
    """A letter as its writer has it: always the same."""
    ways = GLYPHS[character if character in GLYPHS else character.upper()]
    way = int(script.figures[int(character)]) if character.isdecimal() else script.capitals
    for k, stroke in enumerate(places(ways[way % len(ways)])):
        seed = zlib.crc32(f"{script.owner}{character}{k}".encode())
        bent = np.random.default_rng(seed).normal(0, script.own, (len(stroke), 2))
        yield np.array(
            [(x + b[0], y + b[1], sharp) for (x, y, sharp), b in zip(stroke, bent, strict=True)]
        )


def _through(knots: Path, sharp: Path) -> Path:
    """A curve through places, broken where it turns sharply."""
    before = np.vstack([2 * knots[0] - knots[1], knots[:-1]])
    after = np.vstack([knots[1:], 2 * knots[-1] - knots[-2]])
    slope = (after - before) / 2
    made = [knots[:1]]
    t = np.linspace(0, 1, BEND + 1)[1:, None]
    for k in range(len(knots) - 1):
        p, q = knots[k], knots[k + 1]
        m = (q - p) if sharp[k] > 0 else slope[k]
        n = (q - p) if sharp[k + 1] > 0 else slope[k + 1]
        made.append(
            (2 * t**3 - 3 * t**2 + 1) * p + (t**3 - 2 * t**2 + t) * m
            + (3 * t**2 - 2 * t**3) * q + (t**3 - t**2) * n
        )  # fmt: skip
    return np.vstack(made)
