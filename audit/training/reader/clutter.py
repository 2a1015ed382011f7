"""What stands around and across dimension text: lines, arrowheads, dots, boxes, hatching.

Every function draws on the ink canvas of a `Page`, given the crop window that will be cut.
"""

from __future__ import annotations

import cv2
import numpy as np

from audit.training.reader.habits import SHIFT_BITS
from audit.training.reader.layout import Page, draw_bar

Window = tuple[float, float, float, float]
Rng = np.random.Generator


def line_width(rng: Rng, page: Page) -> int:
    """Draw a drawing line's width: thin as a rule, sometimes an outline's."""
    factor = rng.uniform(0.4, 1.1) if rng.random() < 0.8 else rng.uniform(1.2, 2.2)
    return max(1, round(page.pen_width * factor))


def dashed(
    rng: Rng, page: Page, a: tuple[float, float], b: tuple[float, float], width: int
) -> None:
    """Draw a dashed or chain line."""
    long, gap = rng.uniform(0.3, 1.6) * page.cap, rng.uniform(0.1, 0.4) * page.cap
    length = float(np.hypot(b[0] - a[0], b[1] - a[1]))
    if length < 1:
        return
    at, on = float(rng.uniform(0, long)), True
    unit = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    short = rng.random() < 0.5
    start, k = 0.0, 0
    while start < length:
        run = at if start == 0 else (long if not short or k % 2 == 0 else long * 0.25)
        stop = min(start + run, length)
        if on:
            draw_bar(
                page.ink,
                (a[0] + unit[0] * start, a[1] + unit[1] * start),
                (a[0] + unit[0] * stop, a[1] + unit[1] * stop),
                width,
            )
        start, k = stop + gap, k + 1


def any_line(rng: Rng, page: Page, a: tuple[float, float], b: tuple[float, float]) -> None:
    """Draw a solid or dashed line."""
    width = line_width(rng, page)
    if rng.random() < 0.2:
        dashed(rng, page, a, b, width)
    else:
        draw_bar(page.ink, a, b, width)


def arrowhead(rng: Rng, page: Page, tip: tuple[float, float], angle: float) -> None:
    """Draw a terminator whose tip is at `tip`, pointing along `angle` (radians, y down)."""
    size = page.cap * rng.uniform(0.35, 1.3)
    kind = rng.random()
    if kind < 0.1:
        cv2.circle(page.ink, _int(tip), max(1, round(size * 0.2)), 255, -1, cv2.LINE_AA)
        return
    if kind < 0.2:
        dx, dy = np.cos(angle + 0.8) * size / 2, np.sin(angle + 0.8) * size / 2
        draw_bar(page.ink, (tip[0] - dx, tip[1] - dy), (tip[0] + dx, tip[1] + dy), page.pen_width)
        return
    half = rng.uniform(0.12, 0.3)
    sides = [
        (tip[0] - size * np.cos(angle + s), tip[1] - size * np.sin(angle + s))
        for s in (half, -half)
    ]
    if kind < 0.7:
        cv2.fillPoly(page.ink, [np.round([tip, *sides]).astype(np.int32)], 255, cv2.LINE_AA)
        return
    for side in sides:
        draw_bar(page.ink, tip, side, max(1, page.pen_width - 1))


def _int(point: tuple[float, float]) -> tuple[int, int]:
    return round(point[0]), round(point[1])


def dimension_line_beside(rng: Rng, page: Page, window: Window) -> None:
    """Draw the broken dimension line left and right of the text, at mid height."""
    x0, _y0, x1, _y1 = page.box
    level = page.baseline - page.cap * rng.uniform(0.3, 0.7)
    gap = page.cap * (rng.uniform(-0.12, 0.12) if rng.random() < 0.15 else rng.uniform(0.1, 0.7))
    width = line_width(rng, page)
    tilt = rng.normal(0, 0.01)
    for near, far in ((x0 - gap, window[0] - 9), (x1 + gap, window[2] + 9)):
        if rng.random() < 0.85:
            draw_bar(page.ink, (near, level), (far, level + tilt * (far - near)), width)
            if rng.random() < 0.35:
                head = near + (far - near) * rng.uniform(0.1, 1.0)
                arrowhead(rng, page, (head, level), 0.0 if far > near else np.pi)


def dimension_line_below(rng: Rng, page: Page, window: Window) -> None:
    """Draw the line the text stands on, arrowheads and extension lines at its ends."""
    x0, _, x1, y1 = page.box
    # Now and then the line runs along the feet, so that both are one ink.
    gap = rng.uniform(-0.07, 0.06) if rng.random() < 0.22 else rng.uniform(0.06, 0.55)
    foot = y1 if rng.random() < 0.6 else max(min(y1, page.baseline), page.box[1] + 0.5 * page.cap)
    level = foot + page.cap * gap
    if rng.random() < 0.15:
        level = page.box[1] - page.cap * rng.uniform(0.03, 0.5)
    tilt = rng.normal(0, 0.01) * (window[2] - window[0])
    a, b = (window[0] - 9, level + tilt), (window[2] + 9, level - tilt)
    if rng.random() < 0.4:
        a = (x0 - page.cap * rng.uniform(-0.5, 1.2), level)
        arrowhead(rng, page, a, np.pi)
    if rng.random() < 0.4:
        b = (x1 + page.cap * rng.uniform(-0.5, 1.2), level)
        arrowhead(rng, page, b, 0.0)
    draw_bar(page.ink, a, b, line_width(rng, page))


def dimension_by_hand(rng: Rng, page: Page, window: Window) -> None:
    """Draw the text's whole dimension by hand: its line, arrowheads and extension lines.

    The shorter the dimension, the nearer all of it stands to the text: an arrowhead may touch it.
    """
    x0, y0, x1, y1 = page.box
    level = (y0 + y1) / 2 + page.cap * rng.normal(0, 0.12)
    width, leaning = line_width(rng, page), rng.normal(0, 0.03)
    for edge, way in ((x0, -1.0), (x1, 1.0)):
        if rng.random() < 0.12:
            continue
        gap = rng.uniform(-0.1, 0.05) if rng.random() < 0.15 else rng.uniform(0.03, 0.45)
        near = edge + way * page.cap * gap
        tip = near + way * page.cap * (0.2 + rng.uniform(0.0, 2.4) * rng.random())
        draw_by_hand(rng, page, (near, level), (tip, level + rng.normal(0, 1.0)), width)
        arrowhead(rng, page, (tip, level), 0.0 if way > 0 else np.pi)
        top = level - page.cap * rng.uniform(0.3, 3.0)
        bottom = level + page.cap * rng.uniform(0.2, 1.0 if rng.random() < 0.6 else 3.0)
        if rng.random() < 0.3:
            top, bottom = 2 * level - bottom, 2 * level - top
        lean = leaning + rng.normal(0, 0.03)
        ends = [(tip + lean * (y - level), y) for y in (top, bottom)]
        if rng.random() < 0.9:
            draw_by_hand(rng, page, ends[0], ends[1], line_width(rng, page))
    if rng.random() < 0.15:
        far = y0 - page.cap * rng.uniform(0.1, 0.6) if rng.random() < 0.5 else y1 + 0.3 * page.cap
        draw_by_hand(rng, page, (window[0] - 9, far), (window[2] + 9, far), line_width(rng, page))


def draw_by_hand(
    rng: Rng, page: Page, a: tuple[float, float], b: tuple[float, float], width: int
) -> None:
    """Draw a line that wavers a little."""
    length = float(np.hypot(b[0] - a[0], b[1] - a[1]))
    share = np.linspace(0.0, 1.0, max(2, 2 + round(length / page.cap)))[:, None]
    points = np.asarray(a) * (1 - share) + np.asarray(b) * share
    points = points + rng.normal(0, rng.uniform(0.0, 0.035) * page.cap, points.shape)
    fixed = np.round(points * (1 << SHIFT_BITS)).astype(np.int32).reshape(-1, 1, 2)
    cv2.polylines(page.ink, [fixed], False, 255, max(1, width), cv2.LINE_AA, SHIFT_BITS)


def extension_line(rng: Rng, page: Page, window: Window) -> None:
    """Draw an upright line beside or through the text."""
    x0, y0, x1, y1 = page.box
    side = rng.random()
    if side < 0.35:
        x = x0 - page.cap * rng.uniform(0.12, 0.7)
    elif side < 0.7:
        x = x1 + page.cap * rng.uniform(0.12, 0.7)
    else:
        x = rng.uniform(x0, x1)
    lean = rng.normal(0, 0.02) * (y1 - y0)
    top, bottom = window[1] - 9, window[3] + 9
    cut = rng.random()
    if cut < 0.15:
        top = rng.uniform(y0, y1)
    elif cut < 0.3:
        bottom = rng.uniform(y0, y1)
    any_line(rng, page, (x - lean, top), (x + lean, bottom))


def line_through(rng: Rng, page: Page, window: Window) -> None:
    """Draw a line across the text, level or at a slant."""
    x0, y0, x1, y1 = page.box
    a = (window[0] - 9, rng.uniform(y0, y1))
    b = (window[2] + 9, a[1] + rng.normal(0, rng.choice([0.003, 0.04])) * (window[2] - window[0]))
    if rng.random() < 0.5:
        x = rng.uniform(x0, x1)
        dx = rng.uniform(-1.2, 1.2) * (window[3] - window[1])
        a, b = (x - dx, window[1] - 9), (x + dx, window[3] + 9)
    any_line(rng, page, a, b)


def hatching(rng: Rng, page: Page, window: Window) -> None:
    """Draw section lines across the crop, often stopping short of the text."""
    slope = rng.choice([1.0, -1.0, 0.577, -0.577])
    step = page.cap * rng.uniform(0.45, 1.6)
    height = window[3] - window[1]
    before = page.ink.copy()
    x = window[0] - abs(height / slope)
    while x < window[2] + abs(height / slope):
        a = (x, window[1] - 5)
        draw_bar(
            page.ink, a, (x + (height + 10) / slope, window[3] + 5), max(1, page.pen_width // 2)
        )
        x += step
    if rng.random() < 0.5:
        x0, y0, x1, y1 = (round(v) for v in _grown(page.box, page.cap * rng.uniform(0.0, 0.25)))
        page.ink[max(y0, 0) : y1, max(x0, 0) : x1] = before[max(y0, 0) : y1, max(x0, 0) : x1]


def _grown(box: tuple[int, int, int, int], by: float) -> Window:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def frame(rng: Rng, page: Page, window: Window) -> None:
    """Draw a box, a rounded flag, a circle, or a table's rules around the text."""
    x0, y0, x1, y1 = _grown(page.box, page.cap * rng.uniform(0.12, 0.5))
    width = line_width(rng, page)
    kind = rng.random()
    if kind < 0.55:
        cv2.rectangle(page.ink, _int((x0, y0)), _int((x1, y1)), 255, width, cv2.LINE_AA)
        if rng.random() < 0.3:
            x = x1 + page.cap * rng.uniform(0.3, 2)
            draw_bar(page.ink, (x1, y0), (x, y0), width)
            draw_bar(page.ink, (x1, y1), (x, y1), width)
    elif kind < 0.75:
        centre, radius = ((x0 + x1) / 2, (y0 + y1) / 2), np.hypot(x1 - x0, y1 - y0) / 2
        if x1 - x0 < 2.5 * (y1 - y0):
            cv2.circle(page.ink, _int(centre), round(radius), 255, width, cv2.LINE_AA)
    else:
        for y in (y0, y1):
            if rng.random() < 0.8:
                draw_bar(page.ink, (window[0] - 9, y), (window[2] + 9, y), width)
        for x in (x0, x1):
            if rng.random() < 0.6:
                draw_bar(page.ink, (x, window[1] - 9), (x, window[3] + 9), width)


def underline(rng: Rng, page: Page, window: Window) -> None:  # noqa: ARG001  # all marks are called alike
    """Draw a line right under the text, as long as it is."""
    x0, _, x1, _ = page.box
    y = max(page.baseline, page.box[3]) + page.cap * rng.uniform(0.06, 0.3)
    over = page.cap * rng.uniform(-0.1, 0.2)
    draw_bar(page.ink, (x0 - over, y), (x1 + over, y + rng.normal(0, 0.5)), line_width(rng, page))


def leader(rng: Rng, page: Page, window: Window) -> None:  # noqa: ARG001  # all marks are called alike
    """Draw a leader that ends beside the text, with or without its shoulder."""
    left = rng.random() < 0.5
    edge = page.box[0] if left else page.box[2]
    sign = -1 if left else 1
    x = edge + sign * page.cap * rng.uniform(0.15, 0.6)
    y = page.baseline - page.cap * rng.uniform(0.2, 0.8)
    shoulder = x + sign * page.cap * rng.choice([0.0, rng.uniform(0.2, 1.0)])
    width = line_width(rng, page)
    draw_bar(page.ink, (x, y), (shoulder, y), width)
    end = (shoulder + sign * page.cap * rng.uniform(0.2, 3), y + page.cap * rng.uniform(-3, 3))
    draw_bar(page.ink, (shoulder, y), end, width)


def guide_lines(rng: Rng, page: Page, window: Window) -> None:
    """Draw the pale pencil lines that a hand letters between."""
    lean = rng.normal(0, 0.006) * (window[2] - window[0])
    pale = int(rng.integers(35, 150))
    levels = [page.baseline, page.baseline - page.cap]
    if rng.random() < 0.3:
        levels += [page.box[3], page.box[1]]
    for level in levels:
        y = level + page.cap * rng.normal(0, 0.05)
        line = np.zeros_like(page.ink)
        draw_bar(line, (window[0] - 9, y + lean), (window[2] + 9, y - lean), 1)
        np.maximum(page.ink, (line.astype(np.uint16) * pale // 255).astype(np.uint8), out=page.ink)


def dirt(rng: Rng, page: Page, window: Window) -> None:
    """Drop specks, crumbs and hairs on the crop."""
    for _ in range(int(rng.integers(1, 7))):
        at = (rng.uniform(window[0], window[2]), rng.uniform(window[1], window[3]))
        size = page.cap * float(np.exp(rng.uniform(np.log(0.015), np.log(0.09))))
        dark = int(rng.integers(60, 256))
        if rng.random() < 0.8:
            axes = (max(1, round(size)), max(1, round(size * rng.uniform(0.4, 1))))
            cv2.ellipse(
                page.ink, _int(at), axes, rng.uniform(0, 180), 0, 360, dark, -1, cv2.LINE_AA
            )
        else:
            turn, reach = rng.uniform(0, 6.3), rng.uniform(0.2, 0.8) * page.cap
            end = (at[0] + reach * np.cos(turn), at[1] + reach * np.sin(turn))
            cv2.line(page.ink, _int(at), _int(end), dark, 1, cv2.LINE_AA)


def edge_bits(rng: Rng, page: Page, window: Window) -> None:
    """Draw arrowheads, dots, line ends and curves cut off by the crop's edge."""
    x0, y0, x1, y1 = window
    for _ in range(int(rng.integers(1, 4))):
        side = int(rng.integers(4))
        along = rng.random()
        point = [
            (x0, y0 + along * (y1 - y0)), (x1, y0 + along * (y1 - y0)),
            (x0 + along * (x1 - x0), y0), (x0 + along * (x1 - x0), y1),
        ][side]  # fmt: skip
        room = [page.box[0] - x0, x1 - page.box[2], page.box[1] - y0, y1 - page.box[3]][side]
        inward = [0.0, np.pi, np.pi / 2, -np.pi / 2][side]
        reach = min(max(room - 0.12 * page.cap, -0.1 * page.cap), 0.5 * page.cap)
        depth = rng.uniform(-0.3, 1.0) * reach
        inner = (point[0] + np.cos(inward) * depth, point[1] + np.sin(inward) * depth)
        kind = rng.random()
        if kind < 0.4:
            arrowhead(
                rng, page, inner, inward + rng.choice([0, 0, np.pi / 2, np.pi]) + rng.normal(0, 0.2)
            )
        elif kind < 0.55:
            cv2.circle(
                page.ink,
                _int(inner),
                max(1, round(page.cap * rng.uniform(0.04, 0.16))),
                255,
                -1,
                cv2.LINE_AA,
            )
        elif kind < 0.8:
            turn = inward + rng.choice([0.0, np.pi / 2, 0.8, -0.8])
            back = (inner[0] - np.cos(turn) * 3 * page.cap, inner[1] - np.sin(turn) * 3 * page.cap)
            draw_bar(page.ink, inner, back, line_width(rng, page))
        else:
            radius = page.cap * rng.uniform(0.5, 6)
            centre = (inner[0] - np.cos(inward) * radius, inner[1] - np.sin(inward) * radius)
            cv2.circle(
                page.ink, _int(centre), round(radius), 255, line_width(rng, page), cv2.LINE_AA
            )


def stubs(rng: Rng, page: Page, window: Window) -> None:  # noqa: ARG001  # all marks are called alike
    """Draw short ends of lines and bare arrowheads close beside, over and under the text."""
    x0, y0, x1, y1 = page.box
    for _ in range(int(rng.integers(1, 4))):
        gap, reach = page.cap * rng.uniform(0.12, 0.6), page.cap * rng.uniform(0.2, 1.4)
        side, along = int(rng.integers(4)), rng.random()
        way = [(-1, 0), (1, 0), (0, -1), (0, 1)][side]
        start = [
            (x0 - gap, y0 + along * (y1 - y0)), (x1 + gap, y0 + along * (y1 - y0)),
            (x0 + along * (x1 - x0), y0 - gap), (x0 + along * (x1 - x0), y1 + gap),
        ][side]  # fmt: skip
        if rng.random() < 0.3:
            turn = float(np.arctan2(way[1], way[0])) + rng.choice([0.0, np.pi, np.pi / 2])
            arrowhead(rng, page, start, turn)
            continue
        lean = rng.normal(0, 0.08)
        if rng.random() < 0.4:
            way = (way[1], way[0])
        end = (
            start[0] + reach * (way[0] - lean * way[1]),
            start[1] + reach * (way[1] + lean * way[0]),
        )
        draw_bar(page.ink, start, end, line_width(rng, page))
