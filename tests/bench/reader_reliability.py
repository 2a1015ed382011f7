"""Whether the reader's confidence means what it says: table, fitted temperature, diagram.

    python -m tests.bench.reader_reliability [DIAGRAM.svg]

Reads the crops of `tests.bench.reader`. The temperature is fitted on the development rows alone;
the held-out rows are only shown. docs/pictures/reader-reliability.svg is made by this.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table
from scipy.optimize import minimize_scalar

from tests.bench.reader import Score, measure

Heard = Sequence[tuple[float, bool]]
EDGES = (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0)
SURE = 0.9
LEAST = 1e-4  # probabilities are kept this far from 0 and 1 while fitting
COUNT = 24
FEWEST = 5  # crops of a bin that is drawn: one or two say nothing
SIDE, ROOM = 300, 46
COLOURS = {"dev": "#0072B2", "held-out": "#D55E00"}  # Okabe-Ito


def split_rows(rows: Iterable[tuple[str, int, Score]]) -> dict[str, list[tuple[float, bool]]]:
    """Put what was read in development and in held-out rows apart."""
    parts: dict[str, list[tuple[float, bool]]] = {"dev": [], "held-out": []}
    for name, _, score in rows:
        parts["dev" if "dev" in name else "held-out"] += score.heard
    return parts


def fit_temperature(heard: Heard) -> float:
    """Temperature T for which p ** (1 / T) is likeliest; below 1 lowers confidence."""
    p = np.clip([c for c, _ in heard], LEAST, 1 - LEAST)
    right = np.array([r for _, r in heard])

    def loss(log_t: float) -> float:
        q = np.clip(p ** np.exp(-log_t), LEAST, 1 - LEAST)
        return -float(np.where(right, np.log(q), np.log(1 - q)).mean())

    return float(np.exp(minimize_scalar(loss, bounds=(-1.5, 1.5), method="bounded").x))


def bin_heard(heard: Heard) -> list[tuple[float, float, int]]:
    """Mean confidence, share right and count of every bin that holds any."""
    p, right = np.array([c for c, _ in heard]), np.array([r for _, r in heard], float)
    which = np.clip(np.digitize(p, EDGES) - 1, 0, len(EDGES) - 2)
    found = [which == k for k in range(len(EDGES) - 1)]
    return [(float(p[m].mean()), float(right[m].mean()), int(m.sum())) for m in found if m.any()]


def share_right(heard: Heard) -> tuple[int, float]:
    """Count and share right of what was given as sure."""
    sure = [r for c, r in heard if c >= SURE]
    return len(sure), float(np.mean(sure)) if sure else 0.0


def tell(parts: dict[str, list[tuple[float, bool]]], console: Console) -> None:
    """Print the bins."""
    table = Table(title="confidence and share read exactly")
    for name in ("set", "mean confidence", "right", "crops"):
        table.add_column(name, justify="right")
    for name, heard in parts.items():
        for p, right, n in bin_heard(heard):
            table.add_row(name, f"{p:.3f}", f"{right:.3f}", str(n))
    console.print(table)
    for name, heard in parts.items():
        n, right = share_right(heard)
        console.print(f"{name}: {n} of {len(heard)} given with {SURE} or more, {right:.4f} right")
    console.print(f"temperature fitted on dev: {fit_temperature(parts['dev']):.2f}")


def draw(parts: dict[str, list[tuple[float, bool]]]) -> str:
    """The reliability diagram as SVG: right against confidence, discs as large as their bin."""
    size = SIDE + 2 * ROOM

    def at(x: float, y: float) -> tuple[float, float]:
        return ROOM + SIDE * x, ROOM + SIDE * (1 - y)

    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size + 90}" height="{size}" '
        f'viewBox="0 0 {size + 90} {size}" font-family="sans-serif" font-size="12">',
        f'<rect width="{size + 90}" height="{size}" fill="#fff"/>',
        f'<rect x="{ROOM}" y="{ROOM}" width="{SIDE}" height="{SIDE}" fill="none" stroke="#888"/>',
        f'<path d="M{ROOM},{ROOM + SIDE} L{ROOM + SIDE},{ROOM}" stroke="#bbb"/>',
        _text(ROOM + SIDE / 2, size - 10, "confidence", "middle"),
        f'<g transform="rotate(-90)">{_text(-size / 2, 14, "share read exactly", "middle")}</g>',
    ]
    for tick in (0.0, 0.25, 0.5, 0.75, 1.0):
        lines.append(_text(ROOM + SIDE * tick, ROOM + SIDE + 16, f"{tick:g}", "middle"))
        lines.append(_text(ROOM - 6, ROOM + SIDE * (1 - tick) + 4, f"{tick:g}", "end"))
    for k, (name, heard) in enumerate(parts.items()):
        bins = [one for one in bin_heard(heard) if one[2] >= FEWEST]
        places = [at(p, right) for p, right, _ in bins]
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
        colour = COLOURS[name]
        lines.append(f'<polyline points="{path}" fill="none" stroke="{colour}"/>')
        for (x, y), (_, _, n) in zip(places, bins, strict=True):
            radius = 2 + 1.2 * np.log10(n) ** 1.5
            lines.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{colour}"/>')
        low = ROOM + 20 + 20 * k
        lines.append(f'<circle cx="{ROOM + SIDE + 16}" cy="{low - 4}" r="5" fill="{colour}"/>')
        lines.append(_text(ROOM + SIDE + 26, low, f"{name} ({len(heard)})", "start"))
    return "\n".join([*lines, "</svg>"]) + "\n"


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{x:.0f}" y="{y:.0f}" text-anchor="{anchor}" fill="#333">{words}</text>'


def main(arguments: list[str]) -> None:
    """Measure, tell and draw."""
    console, missing = Console(width=100), set[str]()
    parts = split_rows(measure(COUNT, missing, tesseract=False))
    tell(parts, console)
    for target in arguments:
        Path(target).write_text(draw(parts), "utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
