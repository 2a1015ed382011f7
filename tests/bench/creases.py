"""Folds proposed on worn sheets: how faint a crease is seen, and how often none is taken for one.

Sheets drawn by ezdxf and worn as scanners and phones wear them; a shadow with a bright rim, a few
pixels wide and tilted by up to 1 in 50, is drawn over each from edge to edge. `false` counts sheets
on which something is proposed before any crease is drawn. Blueprints have two strong folds of
their own, which are not counted as false. Development and held-out styles are apart.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from audit.sheets.creases import find_creases
from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.find_raster import STYLES
from tests.bench.worn_sheets import WEARS, wear

SEEDS = {"development": 77, "held out": 990_077}
LEVELS = (5.0, 10.0, 15.0)  # gray levels at the middle of the crease
NEAR_PX = 8.0
LEFT_OUT = frozenset({"bilevel"})  # has no grays to see a shadow in


@dataclass(slots=True)
class Tally:
    """Counts of one kind of wear."""

    sheets: int = 0
    false: int = 0
    seen: dict[float, int] = field(default_factory=lambda: dict.fromkeys(LEVELS, 0))


def run(*, full: bool) -> None:
    """Print the table; `full` takes 40 sheets of each wear."""
    table = Table(title="Creases on worn sheets at 200 dpi")
    for column in ("styles", "wear", "sheets", "false", *(f"seen at {v:g} levels" for v in LEVELS)):
        table.add_column(column, justify="right")
    for label, seed in SEEDS.items():
        for how in (w for w in WEARS if w not in LEFT_OUT):
            tally = Tally()
            for k in range(40 if full else 4):
                count(tally, label, how, np.random.default_rng([seed, k]), k)
            cells = (f"{n / tally.sheets:.0%}" for n in tally.seen.values())
            table.add_row(label, how, str(tally.sheets), str(tally.false), *cells)
    Console(width=120).print(table)


def count(tally: Tally, label: str, how: str, rng: np.random.Generator, number: int) -> None:
    """Look at one sheet without and with creases."""
    styles = STYLES[label]
    sheet = make_sheet(styles[number % len(styles)], rng)
    pixels = wear(sheet.pdf, dpi=200, how=how, rng=rng).pixels
    tally.sheets += 1
    tally.false += bool(find_creases(pixels)) and how != "blueprint"
    x, tilt = rng.uniform(0.2, 0.8) * pixels.shape[1], rng.uniform(-0.02, 0.02)
    for levels in LEVELS:
        found = find_creases(crease(pixels, x, tilt, levels, rng))
        tally.seen[levels] += any(abs((c.a.x + c.b.x) / 2 - x) < NEAR_PX for c in found)


def crease(
    pixels: NDArray[np.uint8], x: float, tilt: float, levels: float, rng: np.random.Generator
) -> NDArray[np.uint8]:
    """Draw a crease: dark in the middle, bright beside it, stronger and weaker along its way."""
    rows, columns = np.mgrid[: pixels.shape[0], : pixels.shape[1]].astype(np.float32)
    width = rng.uniform(1.5, 3.5)
    off = (columns + 0.5 - x - tilt * (rows - pixels.shape[0] / 2)) / width
    shape = 0.6 * np.exp(-((off - 2) ** 2)) - np.exp(-(off**2))
    along = 1 + 0.4 * np.sin(9 * rows / pixels.shape[0] + rng.uniform(0, 6))
    return np.clip(pixels + levels * shape * along, 0, 255).astype(np.uint8)
