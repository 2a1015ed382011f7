"""COUNT ALIKE: of the copies of one picked feature, how many are found, and how many are false."""

from __future__ import annotations

import time
from collections.abc import Sequence

import cv2
import numpy as np
from rich.console import Console
from rich.table import Table

from audit.geometry import Box, Point
from audit.snapping.alike import find_alike
from tests.bench.alike_sheets import DEV, HELD, AlikeSheet, DrawShape, draw_sheet
from tests.bench.worn_sheets import Gray, WornSheet, render, wear

WAYS = ("clean", "scan", "bilevel", "hard")
BASE_LEVEL = 0.55  # of plain matching; the best of .4 to .8 on the development shapes
Counts = tuple[int, int, int]


def run(*, full: bool) -> None:
    """Print found, missed and false for drawn and worn sheets, plain matching beside it."""
    table = Table(title="count alike: F1 (found / missed / false)", title_justify="left")
    for column in ("shapes", "sheet", "find_alike", "plain template matching", "s a sheet"):
        table.add_column(column)
    for name, shapes, seed in (("development", DEV, 1), ("held out", HELD, 2)):
        for way in WAYS:
            ours, plain, seconds = measure(shapes, way, seed=seed, sheets=6 if full else 1)
            table.add_row(name, way, _say(ours), _say(plain), f"{seconds:.1f}")
    Console().print(table)


def measure(
    shapes: dict[str, DrawShape], way: str, *, seed: int, sheets: int
) -> tuple[Counts, Counts, float]:
    """Count over every shape; `sheets` of each."""
    rng = np.random.default_rng(seed)
    ours, plain = np.zeros(3, int), np.zeros(3, int)
    begun = 0.0
    for shape in shapes:
        for _ in range(sheets):
            sheet = draw_sheet(shape, shapes, rng)
            gray, px = see(sheet, way, rng)
            example = Box(*(v * px for v in sheet.example))
            start = time.perf_counter()
            found = [f.centre for f in find_alike(gray, example)]
            begun += time.perf_counter() - start
            ours += score(found, sheet, px)
            plain += score(match_plainly(gray, example), sheet, px)
    count = len(shapes) * sheets
    return _counts(ours), _counts(plain), begun / count


def see(sheet: AlikeSheet, way: str, rng: np.random.Generator) -> tuple[Gray, float]:
    """Render a sheet at 150 to 300 dpi, worn or not; px to a pt."""
    dpi = float(rng.choice([150, 200, 300]))
    if way == "clean":
        return render(sheet.pdf, dpi=dpi)[0], dpi / 72
    worn: WornSheet = wear(sheet.pdf, dpi=dpi, how=way, rng=rng)
    return worn.pixels, dpi / 72


def score(found: Sequence[Point], sheet: AlikeSheet, px: float) -> Counts:
    """Pair finds with copies: found, missed, false."""
    left = [Point(p.x * px, p.y * px) for p in sheet.copies]
    false = 0
    for find in found:
        near = min(left, key=find.distance, default=None)
        if near is not None and find.distance(near) < 0.5 * sheet.size * px:
            left.remove(near)
        else:
            false += 1
    return len(sheet.copies) - len(left), len(left), false


def match_plainly(gray: Gray, example: Box) -> list[Point]:
    """Match the box as it is, unturned: what a few lines of OpenCV do."""
    x0, y0, x1, y1 = (round(v) for v in example)
    template = gray[y0:y1, x0:x1]
    answer = cv2.matchTemplate(gray, template, cv2.TM_CCOEFF_NORMED)
    side = max(template.shape) // 2
    top = cv2.dilate(answer, np.ones((side, side), np.uint8))
    rows, columns = np.nonzero((answer >= top) & (answer > BASE_LEVEL))
    h, w = template.shape
    return [Point(c + w / 2, r + h / 2) for r, c in zip(rows, columns, strict=True)]


def _counts(counts: np.ndarray) -> Counts:
    found, missed, false = (int(v) for v in counts)
    return found, missed, false


def _say(counts: Counts) -> str:
    return f"{f1(counts):.3f} ({counts[0]} / {counts[1]} / {counts[2]})"


def f1(counts: Counts) -> float:
    """Harmonic mean of precision and recall."""
    found, missed, false = counts
    return 2 * found / max(2 * found + missed + false, 1)
