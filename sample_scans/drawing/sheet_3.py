"""Sheet 3, letter upright, by hand, copied at 97 %, photographed: hopper, crank, small parts."""

from __future__ import annotations

import math
from fractions import Fraction

from drawing import parts as p
from drawing.dimensioning import How, view_of
from drawing.furniture import border, check_rule, title_block
from drawing.marks import Point, step
from drawing.sheet import Paper, Style
from drawing.views import CROSS

# Planted: drawn 1 3/8; the parts list repeats what is printed.
PRINTED_KNOB_LENGTH = Fraction(9, 8)
HATCH_APART = 0.09


def draw() -> Paper:
    paper = Paper(
        number=3, width=8.5, height=11.0, style=Style(hand=True, stacked=False, break_line=False)
    )
    border(paper, 0.4)
    _hopper(paper)
    _crank(paper)
    _crank_section(paper)
    _knob(paper)
    _spacer(paper)
    _peg(paper)
    check_rule(paper, (0.95, 9.45), 0.0)
    check_rule(paper, (7.85, 8.6), 90.0)
    title_block(paper, (3.4, 9.85, 8.1, 10.6), "HOPPER, CRANK")
    return paper


def _hopper(paper: Paper) -> None:
    half, high = float(p.HOPPER_HALF), float(p.HOPPER_HEIGHT)
    foot = half - high * math.tan(math.radians(p.HOPPER_SLOPE_DEG))
    hole, up = float(p.HOPPER_HOLE_RADIUS), float(p.HOPPER_HOLE_UP)
    with view_of(
        paper, part="HOPPER", kind="half", origin=(1.5, 3.85), box=(0, 0, half, high)
    ) as view:
        view.outline((0, high), (half, high), (foot, 0), (0, 0), closed=False)
        view.centre_line((0, high), (0, 0), 0.3)
        paper.arc(view.at(0, up), hole, -90.0, 180.0)
        centre = view.at(0, up)
        paper.line(step(centre, 0.0, 0.0), step(centre, 0.0, hole + CROSS))
        view.across(0, half, above=0.42, y1=high + 0.3)
        view.up(0, high, right=0.42, x1=foot, x2=half)
        view.up(0, up, left=0.42, x1=0, x2=0)
        view.radius(0, up, p.HOPPER_HOLE_RADIUS, angle=52.0, reach=0.42)
        corner = view.at(foot, 0)
        paper.line(step(corner, 90.0, 0.06), step(corner, 90.0, 1.5))
        view.angle(corner, 90.0 - p.HOPPER_SLOPE_DEG, 90.0, 1.3)
        view.title(0.42, "HOPPER", ("count", "MAKE 2"), ("title", "HALF VIEW"))


def _crank(paper: Paper) -> None:
    apart, big, small = float(p.CRANK_APART), float(p.CRANK_HUB_RADIUS), float(p.CRANK_END_RADIUS)
    lean = math.degrees(math.asin((big - small) / apart))
    box = (-big, -big, apart + small, big)
    with view_of(paper, part="CRANK", origin=(1.75, 6.05), box=box) as view:
        hub, end = view.at(0, 0), view.at(apart, 0)
        paper.arc(hub, big, 90.0 - lean, 180.0 + 2 * lean)
        paper.arc(end, small, -90.0 + lean, 180.0 - 2 * lean)
        for angle in (90.0 - lean, -90.0 + lean):
            paper.line(step(hub, angle, big), step(end, angle, small), thick=True)
        view.hole(0, 0, p.CRANK_BORE, mark=False)
        view.hole(apart, 0, p.CRANK_PIN, mark=False)
        view.centre_line((-big, 0), (apart + small, 0), 0.12)
        view.centre_line((0, big), (0, -big), 0.1)
        view.centre_line((apart, small), (apart, -small), 0.1)
        view.across(0, apart, below=0.4, y1=-big - 0.1, y2=-small - 0.1)
        view.radius(0, 0, p.CRANK_HUB_RADIUS, angle=125.0, reach=0.22)
        view.radius(apart, 0, p.CRANK_END_RADIUS, angle=40.0, reach=0.3)
        view.diameter(0, 0, p.CRANK_BORE, angle=60.0, reach=0.62)
        view.diameter(apart, 0, p.CRANK_PIN, angle=118.0, reach=0.55)
        view.title(0.72, "CRANK", ("count", "MAKE 1"))


def _crank_section(paper: Paper) -> None:
    apart, big, small = float(p.CRANK_APART), float(p.CRANK_HUB_RADIUS), float(p.CRANK_END_RADIUS)
    arm, hub = float(p.CRANK_ARM_THICK), float(p.CRANK_HUB_THICK)
    bore, pin = float(p.CRANK_BORE) / 2, float(p.CRANK_PIN) / 2
    box = (-big, 0, apart + small, hub)
    with view_of(paper, part="CRANK", kind="section", origin=(1.75, 8.25), box=box) as view:
        solid = (
            ((-big, 0), (-bore, 0), (-bore, hub), (-big, hub)),
            ((bore, 0), (apart - pin, 0), (apart - pin, arm), (big, arm), (big, hub), (bore, hub)),
            ((apart + pin, 0), (apart + small, 0), (apart + small, arm), (apart + pin, arm)),
        )
        for piece in solid:
            view.outline(*piece)
            _hatch(paper, [view.at(*corner) for corner in piece])
        for x, size in ((0.0, hub), (apart, arm)):
            for side in (0.0, size):
                reach = bore if x == 0.0 else pin
                view.outline((x - reach, side), (x + reach, side), closed=False)
            view.centre_line((x, 0), (x, size), 0.12)
        view.up(0, hub, left=0.4)
        view.up(0, arm, right=0.36, how=How(outside=True, text_past=0.02))
        view.title(0.32, "CRANK SECTION")


def _knob(paper: Paper) -> None:
    size, length = p.KNOB, p.KNOB_LENGTH
    bore, depth = p.KNOB_BORE, p.KNOB_BORE_DEPTH
    low, high = (size - bore) / 2, (size + bore) / 2
    with view_of(paper, part="KNOB", origin=(5.45, 2.25), box=(0, 0, length, size)) as view:
        view.outline((0, 0), (length, 0), (length, size), (0, size))
        view.hidden((0, high), (depth, high))
        view.hidden((0, low), (depth, low))
        view.hidden((depth, low), (depth, high))
        view.centre_line((0, size / 2), (length, size / 2), 0.16)
        view.across(0, length, above=0.7, how=How(printed=PRINTED_KNOB_LENGTH))
        view.across(0, depth, above=0.34, y2=size)
        view.up(0, size, right=0.42, how=How(before="Ø ", kind="diameter"))
        view.up(
            low, high, left=0.3, how=How(outside=True, text_past=0.02, before="Ø ", kind="diameter")
        )
        view.title(0.5, "KNOB", ("count", "MAKE 1"))


def _spacer(paper: Paper) -> None:
    radius = p.SPACER / 2
    with view_of(
        paper, part="SPACER", origin=(6.1, 5.0), box=(-radius, -radius, radius, radius)
    ) as view:
        view.hole(0, 0, p.SPACER, mark=False)
        view.hole(0, 0, p.SPACER_BORE, mark=False)
        view.centre_line((-radius, 0), (radius, 0), 0.1)
        view.centre_line((0, -radius), (0, radius), 0.1)
        view.diameter(0, 0, p.SPACER, angle=125.0, reach=0.3)
        view.diameter(0, 0, p.SPACER_BORE, angle=48.0, reach=0.55)
        view.title(0.34, "SPACER", ("stock note", "1/8 THICK"), ("count", "MAKE 2"))


def _peg(paper: Paper) -> None:
    size, length = p.PEG, p.PEG_LENGTH
    with view_of(paper, part="PEG", origin=(5.85, 7.6), box=(0, 0, length, size)) as view:
        view.outline((0, 0), (length, 0), (length, size), (0, size))
        view.centre_line((0, size / 2), (length, size / 2), 0.1)
        view.across(0, length, above=0.36, how=How(outside=True, text_past=0.02))
        tip, far = view.at(length * Fraction(3, 4), 0), view.at(length * Fraction(3, 4), size)
        elbow = (tip[0] + 0.22, tip[1] + 0.3)
        view.leader(tip, elbow, kind="diameter", points=(tip, far), size=size, how=How(before="Ø "))
        view.title(0.62, "PEG", ("count", "MAKE 8"))


def _hatch(paper: Paper, corners: list[Point]) -> None:
    """Fill a section with thin lines at 45°."""
    sums = [x + y for x, y in corners]
    value = math.ceil(min(sums) / HATCH_APART) * HATCH_APART
    edges = list(zip(corners, corners[1:] + corners[:1], strict=True))
    while value < max(sums):
        cuts = []
        for (ax, ay), (bx, by) in edges:
            first, second = ax + ay - value, bx + by - value
            if (first < 0.0) != (second < 0.0):
                share = first / (first - second)
                cuts.append((ax + (bx - ax) * share, ay + (by - ay) * share))
        cuts.sort()
        for a, b in zip(cuts[::2], cuts[1::2], strict=True):
            if b[0] - a[0] > 0.02:
                paper.line(a, b)
        value += HATCH_APART
