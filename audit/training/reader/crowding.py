"""What crowds a text: marks that touch it or stand so close that they look like a part of it.

Lines and arrowheads that run into a figure, stubs at the height of a dash, specks at the height of
inch marks; and the mixes of all clutter that crops are drawn with.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from audit.training.reader.clutter import (
    Rng,
    Window,
    arrowhead,
    dimension_by_hand,
    dimension_line_below,
    dimension_line_beside,
    dirt,
    draw_by_hand,
    edge_bits,
    extension_line,
    frame,
    guide_lines,
    hatching,
    leader,
    line_through,
    line_width,
    stubs,
    underline,
)
from audit.training.reader.layout import Page, draw_bar

# From here on, of full ink, a px of the page is one of the text's.
INKED = 90
# In capital heights: a text no wider may be a 1.
NARROW = 0.5


def run_into(rng: Rng, page: Page, window: Window) -> None:
    """Let a line end at, or a little inside, the nearest figure, with or without an arrowhead.

    Drawn at the height where it meets ink, so that it touches what is there and not its box.
    """
    x0, y0, x1, y1 = page.box
    level = int(rng.integers(y0, max(y0 + 1, y1)))
    columns = np.flatnonzero(page.ink[level, x0:x1] > INKED)
    if not len(columns):
        return
    left = rng.random() < 0.5
    way = -1.0 if left else 1.0
    edge = x0 + float(columns[0] if left else columns[-1])
    near = edge - way * page.cap * rng.uniform(-0.08, 0.06)
    far = (
        (window[0] - 9 if left else window[2] + 9)
        if rng.random() < 0.6
        else (near + way * page.cap * rng.uniform(0.3, 2.0))
    )
    draw_by_hand(rng, page, (near, level), (far, level + rng.normal(0, 1.5)), line_width(rng, page))
    if rng.random() < 0.3:
        arrowhead(rng, page, (near, level), 0.0 if left else np.pi)


def stand_on(rng: Rng, page: Page, window: Window) -> None:
    """Let an upright or slanting line end on the head or foot of a figure.

    Never on a lone 1, of which it would only make a longer line.
    """
    x0, y0, x1, y1 = page.box
    if x1 - x0 < NARROW * page.cap:
        return
    column = int(rng.integers(x0, max(x0 + 1, x1)))
    rows = np.flatnonzero(page.ink[y0:y1, column] > INKED)
    if not len(rows):
        return
    above = rng.random() < 0.5
    way = -1.0 if above else 1.0
    edge = y0 + float(rows[0] if above else rows[-1])
    near = edge - way * page.cap * rng.uniform(-0.08, 0.05)
    far = window[1] - 9 if above else window[3] + 9
    lean = rng.normal(0, 0.03) if rng.random() < 0.7 else rng.uniform(-1.2, 1.2)
    draw_by_hand(
        rng, page, (column, near), (column + lean * abs(far - near), far), line_width(rng, page)
    )
    if rng.random() < 0.2:
        arrowhead(rng, page, (column, near), np.pi / 2 if above else -np.pi / 2)


def stub_beside(rng: Rng, page: Page, window: Window) -> None:  # noqa: ARG001  # all marks are called alike
    """Draw what is left of a dimension line before or behind the text, as long as a dash."""
    x0, _, x1, _ = page.box
    level = page.baseline - page.cap * rng.uniform(0.3, 0.7)
    gap, reach = page.cap * rng.uniform(0.05, 0.5), page.cap * rng.uniform(0.15, 0.9)
    before, behind = rng.random() < 0.65, rng.random() < 0.5
    width, lean = line_width(rng, page), rng.normal(0, 0.05) * reach
    if before:
        draw_bar(page.ink, (x0 - gap - reach, level), (x0 - gap, level + lean), width)
    if behind or not before:
        draw_bar(page.ink, (x1 + gap, level), (x1 + gap + reach, level + lean), width)


def specks(rng: Rng, page: Page, window: Window) -> None:  # noqa: ARG001  # all marks are called alike
    """Drop a few round specks beside and over the text: no points, no inch marks.

    Never as low as a point stands: a speck there is one.
    """
    x0, y0, x1, y1 = page.box
    for _ in range(int(rng.integers(1, 4))):
        beside = rng.random() < 0.7
        x = rng.choice([x0, x1]) + rng.normal(0, 0.35) * page.cap if beside else rng.uniform(x0, x1)
        y = y0 + rng.uniform(-0.3, max(0.0, (y1 - y0) / page.cap - 0.45)) * page.cap
        size = max(1, round(page.cap * float(rng.uniform(0.02, 0.05))))
        cv2.circle(
            page.ink, (round(x), round(y)), size, int(rng.integers(90, 256)), -1, cv2.LINE_AA
        )


Member = tuple[float, Callable[[Rng, Page, Window], None]]
# Chance of each in a cluttered crop; several may meet.
MEMBERS: tuple[Member, ...] = (
    (0.20, dimension_line_beside),
    (0.22, dimension_line_below),
    (0.24, extension_line),
    (0.13, line_through),
    (0.03, hatching),
    (0.12, frame),
    (0.06, underline),
    (0.08, leader),
    (0.28, edge_bits),
    (0.05, guide_lines),
    (0.08, stubs),
    (0.06, dirt),
    (0.06, run_into),
    (0.05, stand_on),
    (0.04, stub_beside),
    (0.03, specks),
)


# The same for a text in its place on a sheet, where what touches it not is whitened afterwards.
ON_SHEETS: tuple[Member, ...] = (
    (0.42, dimension_by_hand),
    (0.26, dimension_line_beside),
    (0.18, dimension_line_below),
    (0.22, extension_line),
    (0.14, line_through),
    (0.03, hatching),
    (0.06, frame),
    (0.05, underline),
    (0.12, leader),
    (0.25, edge_bits),
    (0.05, guide_lines),
    (0.12, stubs),
    (0.08, dirt),
    (0.14, run_into),
    (0.10, stand_on),
    (0.12, stub_beside),
    (0.08, specks),
)


def add_clutter(
    rng: Rng, page: Page, window: Window, members: tuple[Member, ...] = MEMBERS
) -> None:
    """Draw a random mix of clutter on the page's ink."""
    for probability, draw in members:
        if rng.random() < probability:
            draw(rng, page, window)
