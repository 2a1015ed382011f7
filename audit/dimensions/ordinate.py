"""Ordinate dimensions: sizes at the ends of parallel lines, all counted from the one marked 0."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import EXACT_PT
from audit.dimensions.ink import Ink, Line
from audit.dimensions.leaders import MAX_BENDS, next_stroke
from audit.dimensions.regions import Regions
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.records import DimensionKind, End, EndKind, VectorPage

ZERO = re.compile(r"^[(\[]?[0O]?\.?0+[\"']?[)\]]?$")
GAP = 1.6  # letter heights between the end of the line and the text
ASIDE = 0.75
PARALLEL_DEG = 1.0
SAME_ROW_PT = 40.0  # how far from the datum's text the other texts of its row may stand, across
MIN_LINE_PT = 6.0
STRENGTH = 0.7
MAX_APART_PT = 1500.0


@dataclass(frozen=True, slots=True)
class _Foot:
    """A text with its line: `near` at the text, `far` at the feature, direction from text to it."""

    text: int
    near: Point
    far: Point
    line: Line
    strokes: frozenset[int]
    width: float


def find_ordinates(page: VectorPage, ink: Ink, texts: Sequence[SizeText]) -> list[Candidate]:
    """Candidates for ordinate dimensions; only where a datum marked 0 stands in the same row."""
    zeros = [i for i, t in enumerate(texts) if ZERO.match(t.line.text.strip())]
    if not zeros:
        return []
    feet = [
        foot
        for i, t in enumerate(texts)
        if t.form is TextForm.LENGTH and t.plain
        for foot in [_foot(ink, t, i)]
        if foot is not None
    ]
    datums = [f for f in feet if f.text in zeros]
    regions = Regions(page, ink, [f.far for f in feet]) if len(datums) > 1 else None
    found = []
    for foot in feet:
        if foot.text in zeros:
            continue
        row = [d for d in datums if _same_row(d, foot)]
        if regions is not None and len(row) > 1:
            own = regions.label_of([foot.far])
            row = [d for d in row if regions.label_of([d.far]) == own] or row
        if row:
            datum = min(row, key=lambda d: d.near.distance(foot.near))
            found.append(_candidate(datum, foot, texts[foot.text]))
    return found


def _foot(ink: Ink, text: SizeText, number: int) -> _Foot | None:
    """Follow the line that begins at one end of a text and runs in its direction."""
    t = text.line
    turn = math.radians(t.angle)
    ux, uy = math.cos(turn), -math.sin(turn)
    for side in (-1.0, 1.0):
        end = Point(t.centre.x + side * ux * t.length / 2, t.centre.y + side * uy * t.length / 2)
        for i in ink.near(end, GAP * t.height):
            if ink.lengths[i] < 2.0 or ink.curved[i]:
                continue
            if ink.line_of(i).turned_from(ux, uy) > PARALLEL_DEG:
                continue
            for near, far in (ink.end_points(i), ink.end_points(i)[::-1]):
                gap = side * ((near.x - end.x) * ux + (near.y - end.y) * uy)
                aside = abs((near.x - end.x) * uy - (near.y - end.y) * ux)
                away = side * ((far.x - near.x) * ux + (far.y - near.y) * uy)
                if -0.2 * t.height < gap < GAP * t.height and aside < ASIDE * t.height and away > 0:
                    return _walk(ink, number, near, far, i)
    return None


def _walk(ink: Ink, number: int, near: Point, far: Point, first: int) -> _Foot | None:
    strokes, last = {first}, first
    start = ink.line_of(first)
    for _ in range(MAX_BENDS):
        step = next_stroke(ink, far, strokes)
        if step is None or start.turned_from(*map(float, ink.units[step[0]])) > 75.0:
            break
        last, far = step
        strokes.add(last)
    line = ink.line_of(last)
    if start.turned_from(line.ux, line.uy) > PARALLEL_DEG:
        return None
    if near.distance(far) < MIN_LINE_PT:
        return None
    return _Foot(number, near, far, line, frozenset(strokes), float(ink.widths[last]))


def _same_row(a: _Foot, b: _Foot) -> bool:
    if a.line.turned_from(b.line.ux, b.line.uy) > PARALLEL_DEG:
        return False
    along, aside = a.line.place(b.near)
    level, _ = a.line.place(a.near)
    same_way = (a.far.x - a.near.x) * (b.far.x - b.near.x) + (a.far.y - a.near.y) * (
        b.far.y - b.near.y
    ) > 0
    return same_way and abs(along - level) < SAME_ROW_PT and 1.0 < abs(aside) < MAX_APART_PT


def _candidate(datum: _Foot, foot: _Foot, text: SizeText) -> Candidate:
    """Measure across the lines, at the level where the feature's line begins."""
    along, _ = datum.line.place(foot.far)
    direction = math.degrees(math.atan2(datum.line.ux, datum.line.uy)) % 180.0
    ends = tuple(
        End(
            point=p,
            kind=EndKind.EXTENSION,
            sigma=EXACT_PT,
            line_width=f.width,
            along=direction,
        )
        for p, f in ((datum.line.at(along), datum), (foot.far, foot))
    )
    middle = text.line.centre
    ux, uy = foot.line.ux, foot.line.uy
    return Candidate(
        kind=DimensionKind.ORDINATE,
        ends=ends,
        line=(foot.near, foot.far),
        strength=STRENGTH,
        places=(TextPlace(line=Line(middle.x, middle.y, ux, uy), low=-0.5, high=0.0, tail=True),),
        claims=frozenset({("ordinate", foot.text)}),
        strokes=foot.strokes,
        leader=True,
        wants=frozenset({"length"}),
    )
