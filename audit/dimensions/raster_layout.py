"""Views of a picture that lies a little askew on the glass.

Borders and tables are known by their level and upright lines; so the page is turned straight to
find its views, and the views' boxes are turned back.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.dimensions.breaks import BreakLine, BreakPair
from audit.dimensions.ink import Ink
from audit.dimensions.shown import Shown
from audit.dimensions.views import Layout, lay_out
from audit.geometry import Box, Point, Transform
from audit.reading import TextLine
from audit.records import Dimension, VectorPage

MAX_SKEW_DEG = 4.0
LEAST_SKEW_DEG = 0.03
LONG_PT = 30.0


def lay_out_askew(
    page: VectorPage,
    dimensions: Sequence[Dimension],
    texts: Sequence[TextLine],
    *,
    lettering: Sequence[TextLine],
    sheet: int,
    upright: float,
    breaks: Sequence[BreakPair],
    halves: frozenset[int],
) -> Layout:
    """Group a traced page into views, as `lay_out` does, whatever its skew."""
    skew = measure_skew(page)
    turn = _turning(page, skew)
    straight = _turned_page(page, turn)
    layout = lay_out(
        straight,
        Ink(straight),
        tuple(_turned_dimension(d, turn) for d in dimensions),
        tuple(_turned_text(t, turn) for t in texts),
        lettering=tuple(_turned_text(t, turn) for t in lettering),
        sheet=sheet,
        upright=upright,
        breaks=tuple(BreakPair(_moved(b.first, turn), _moved(b.second, turn)) for b in breaks),
        halves=halves,
    )
    back = turn.inverse()
    placed = tuple(
        replace(d, view=p.view, across_break=p.across_break)
        for d, p in zip(dimensions, layout.dimensions, strict=True)
    )
    views = tuple(
        replace(v, box=Box.around([back.apply(c) for c in v.box.corners])) for v in layout.views
    )
    return Layout(views=views, dimensions=placed)


def measure_skew(page: VectorPage) -> float:
    """Degrees, counter-clockwise as seen, by which the page's lines lie off level and upright."""
    e = page.strokes.ends
    delta = e[:, 2:] - e[:, :2]
    length = np.hypot(delta[:, 0], delta[:, 1])
    off = (np.degrees(np.arctan2(-delta[:, 1], delta[:, 0])) + 45.0) % 90.0 - 45.0
    use = (length > LONG_PT) & (np.abs(off) < MAX_SKEW_DEG)
    if not use.any():
        return 0.0
    order = np.argsort(off[use])
    weight = np.cumsum(length[use][order])
    skew = float(off[use][order][np.searchsorted(weight, weight[-1] / 2)])
    return skew if abs(skew) > LEAST_SKEW_DEG else 0.0


def _turning(page: VectorPage, skew: float) -> Transform:
    t = math.radians(skew)
    c, s = math.cos(t), math.sin(t)
    x, y = page.width / 2, page.height / 2
    return Transform(((c, -s, x - c * x + s * y), (s, c, y - s * x - c * y), (0.0, 0.0, 1.0)))


def _turned_page(page: VectorPage, turn: Transform) -> VectorPage:
    e = page.strokes.ends
    ends = np.hstack([turn.apply_many(e[:, :2]), turn.apply_many(e[:, 2:])]) if len(e) else e
    return replace(
        page,
        shown=tuple(turn.apply(p) for p in Shown.of(page).corners),
        strokes=replace(page.strokes, ends=ends),
        arcs=tuple(replace(a, centre=turn.apply(a.centre)) for a in page.arcs),
        texts=tuple(
            replace(g, origin=turn.apply(g.origin), quad=_quad(g.quad, turn)) for g in page.texts
        ),
    )


def _quad(
    quad: tuple[Point, Point, Point, Point], turn: Transform
) -> tuple[Point, Point, Point, Point]:
    a, b, c, d = (turn.apply(p) for p in quad)
    return a, b, c, d


def _turned_dimension(dimension: Dimension, turn: Transform) -> Dimension:
    reading = dimension.reading
    if reading is not None:
        box = Box.around([turn.apply(c) for c in reading.box.corners])
        reading = replace(reading, box=box)
    return replace(
        dimension,
        reading=reading,
        ends=tuple(replace(e, point=turn.apply(e.point)) for e in dimension.ends),
        line=tuple(turn.apply(p) for p in dimension.line),
    )


def _turned_text(text: TextLine, turn: Transform) -> TextLine:
    quad = _quad(text.quad, turn)
    return replace(text, quad=quad, box=Box.around(quad))


def _moved(line: BreakLine, turn: Transform) -> BreakLine:
    return BreakLine(turn.apply(line.a), turn.apply(line.b))
