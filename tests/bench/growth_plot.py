"""The growth of time and memory as a picture: ``python -m tests.bench.growth_plot [FILE.svg]``.

Measures the sheets of the bench of growth, and draws CPU seconds over pixels and over dimensions,
and peak memory over pixels, each beside a straight line through the smallest and largest sheet.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import NamedTuple

from tests.bench.growth import DPI, SIZES_IN, Cost, check_size

TARGET = Path(__file__).parents[2] / "docs" / "pictures" / "growth.svg"
SIDE, ROOM, GAP = 230, 52, 40  # px of a panel, around the panels, between them
COLOUR = "#0072b2"
STEPS = (1, 2, 5)


class Panel(NamedTuple):
    """What is drawn over what."""

    across: str
    up: str
    points: tuple[tuple[float, float], ...]


def measure(sizes: Sequence[tuple[float, float]] = SIZES_IN) -> list[tuple[float, Cost]]:
    """Megapixels and cost of each sheet, each in a process of its own."""
    found = []
    for size in sizes:
        print(f"growth: {size[0]:g} x {size[1]:g} in", file=sys.stderr, flush=True)
        with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
            found.append((size[0] * size[1] * DPI**2 / 1e6, pool.submit(check_size, size).result()))
    return found


def panels_of(found: Sequence[tuple[float, Cost]]) -> tuple[Panel, ...]:
    """The three panels."""

    def points(across: Sequence[float], up: Sequence[float]) -> tuple[tuple[float, float], ...]:
        return tuple(zip(across, up, strict=True))

    megapixels = [mp for mp, _ in found]
    costs = [cost for _, cost in found]
    seconds = [c.cpu_s for c in costs]
    memory = [max(c.peak_mb, c.worker_mb) for c in costs]
    dimensions = [float(c.dimensions) for c in costs]
    return (
        Panel("megapixels", "CPU seconds", points(megapixels, seconds)),
        Panel("dimensions", "CPU seconds", points(dimensions, seconds)),
        Panel("megapixels", "peak MB", points(megapixels, memory)),
    )


def draw(panels: Sequence[Panel]) -> str:
    """The panels side by side as SVG."""
    width = 2 * ROOM + len(panels) * SIDE + (len(panels) - 1) * (ROOM + GAP)
    height = SIDE + 2 * ROOM
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="12">',
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
    ]
    for k, panel in enumerate(panels):
        lines += draw_panel(panel, left=ROOM + k * (SIDE + ROOM + GAP))
    return "\n".join([*lines, "</svg>"]) + "\n"


def draw_panel(panel: Panel, *, left: float) -> list[str]:
    """One panel from zero, with a straight line through its first and last point."""
    most = [nice_top(max(p[k] for p in panel.points)) for k in (0, 1)]

    def at(x: float, y: float) -> tuple[float, float]:
        return left + SIDE * x / most[0], ROOM + SIDE * (1 - y / most[1])

    (x0, y0), (x1, y1) = panel.points[0], panel.points[-1]
    rise = (y1 - y0) / (x1 - x0) if x1 != x0 else 0.0
    lines = [
        f'<rect x="{left}" y="{ROOM}" width="{SIDE}" height="{SIDE}" fill="none" stroke="#888"/>',
        _line([at(0, max(y0 - rise * x0, 0.0)), at(x1, y1)], 'stroke="#bbb"'),
        _line([at(*p) for p in panel.points], f'stroke="{COLOUR}" stroke-width="2"'),
        _text(left + SIDE / 2, ROOM + SIDE + 36, panel.across, "middle"),
        _text(left, ROOM - 12, panel.up, "start"),
    ]
    for x, y in (at(*p) for p in panel.points):
        lines.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{COLOUR}"/>')
    for share in (0.0, 0.5, 1.0):
        x, y = at(most[0] * share, most[1] * share)
        lines.append(_text(x, ROOM + SIDE + 18, f"{most[0] * share:g}", "middle"))
        lines.append(_text(left - 6, y + 4, f"{most[1] * share:g}", "end"))
    return lines


def nice_top(value: float) -> float:
    """Round up to 1, 2 or 5 times a power of ten.

    Examples
    --------
    >>> nice_top(67.3), nice_top(0.4), nice_top(200.0)
    (100.0, 0.5, 200.0)
    """
    power = 10.0
    while power > value:
        power /= 10
    while True:
        for step in STEPS:
            if step * power >= value:
                return step * power
        power *= 10


def _line(points: Sequence[tuple[float, float]], style: str) -> str:
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polyline points="{path}" fill="none" {style}/>'


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{x:.0f}" y="{y:.0f}" text-anchor="{anchor}" fill="#333">{words}</text>'


def main(arguments: Sequence[str]) -> None:
    """Measure, tell and draw."""
    found = measure()
    for megapixels, cost in found:
        print(f"{megapixels:.0f} MP: {cost}")
    Path(arguments[0] if arguments else TARGET).write_text(draw(panels_of(found)), "utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
