"""Callouts cut out of drawings with room around, read as ``plan-audit read`` reads them.

As `reader_drawn` draws them, but with so much around the text that line ends, arrowheads and
pieces of neighbours come in over the crop's edges; clean, as a soft scan and at two levels.
"""

from __future__ import annotations

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.networks.decoding import spelling_key
from tests.bench import reader_sheets as sheets
from tests.bench.reader import DRAWN_DEV, DRAWN_HELD, SURE
from tests.bench.reader_drawn import draw_crops
from tests.bench.reader_hard import read_whole_way
from tests.bench.reader_texts import AS_DRAWN, draw_printed

ROOM = (0.3, 1.2)  # kept around the text's ink, in capital heights
WEARS = ("clean", "scan", "fax")
DPIS = (300, 200)


def run(*, full: bool) -> None:
    """Print the table."""
    console, table = Console(width=100), Table(title="crops with room around: exact, per cent")
    for name in ("fonts", "dpi", "crops", "exact", "sure", "right of sure"):
        table.add_column(name, justify="left" if name == "fonts" else "right")
    for name, fonts in (("dev", DRAWN_DEV), ("held out", DRAWN_HELD)):
        for dpi in DPIS:
            table.add_row(name, str(dpi), *measure(fonts, dpi, 384 if full else 96))
    console.print(table)


def measure(fonts: dict[str, str], dpi: int, count: int) -> tuple[str, ...]:
    """A row's numbers."""
    rng = np.random.default_rng(1300 + dpi)
    drawn = draw_crops(rng, draw_printed(rng, AS_DRAWN, count), fonts, dpi, margins=ROOM)
    crops = [sheets.wear(one.crop, WEARS[k % len(WEARS)], rng) for k, one in enumerate(drawn)]
    right, sure = [], []
    for one, reading in zip(drawn, read_whole_way(crops), strict=True):
        said = reading.text if reading else ""
        right.append(spelling_key(said) == spelling_key(one.printed.text))
        sure.append(reading is not None and reading.confidence >= SURE)
    believed = np.array(right)[np.array(sure)]
    share = f"{100 * believed.mean():.1f}" if len(believed) else "-"
    return (
        str(len(drawn)), f"{100 * np.mean(right):.1f}", f"{100 * np.mean(sure):.1f}", share,
    )  # fmt: skip
