"""Dimension lines too short to be traced as strokes: stubs beside a text, and narrow links.

Between a dot and its text a line may show for a millimetre: two marks with a text between them, in
line with it, tell where to look. In a chain of narrow links ticks cut the line into bits; it runs
from mark to mark, square to the lines they stand on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.spatial import cKDTree

from audit.dimensions.ink import Ink, Line
from audit.dimensions.raster_dashes import find_dashes
from audit.dimensions.raster_ink import darkness
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import PageMaps
from audit.records import Strokes, VectorPage

IN_LINE = 0.45  # letter heights between the middle of a text and its line
PARALLEL_DEG = 5.0
MOST_GAP = 4.0  # letter heights between a mark and the text
REACH = 12.0  # letter heights around a text that are looked at
LEAST_PT = 2.4  # of a stub, from the middle of its mark
RIM_PT = 3.4  # of the largest ring, from its middle
TRACED_PT = 3.0  # a longer stretch that was traced needs no stub
STEP_PT = 0.35
LEAST_LINK_PT, MOST_LINK_PT = 4.0, 45.0
ON_PT, SQUARE_PT, SQUARE_DEG = 1.2, 8.0, 86.0  # of the line that a mark of a link stands on
DRAWN, HALF = 0.95, 0.5
FACING = 0.97  # cosine between a head and the line to the other one
FILLED = 0.6  # share of the way between two heads that is inked: they may be hollow
INK = 77  # of 255
BESIDE_PT = 1.7  # from the middle of a thin line to where there is paper
SIDES_PX = (-1.0, 0.0, 1.0)


def lead_stubs(
    page: VectorPage,
    ink: Ink,
    marks: Sequence[Mark],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> VectorPage:
    """Add stubs of dimension lines, narrow links and dashed extension lines to a page's strokes.

    Parameters
    ----------
    page : VectorPage
    ink : Ink
        Of the page.
    marks : sequence of Mark
        Ticks, dots and rings, and arrowheads so near each other that they hide their line.
    texts : sequence of SizeText
    maps : PageMaps
    px_per_pt : float
        Px of the raster to a pt of the page.

    Returns
    -------
    VectorPage
        The strokes it had keep their numbers.
    """
    points = np.array([m.point for m in marks if not m.is_arrow], float).reshape(-1, 2)
    heads = [m for m in marks if m.is_arrow]
    stubs = _between_heads(ink, heads, maps, px_per_pt * maps.factor)
    stubs += find_dashes(ink, heads, maps, px_per_pt=px_per_pt)
    if len(points) < 2:
        return _with_strokes(page, stubs) if stubs else page
    stubs += [
        stub
        for text in texts
        if text.form is not TextForm.OTHER
        for pair in [_marks_around(points, text)]
        if pair is not None
        for stub in _stubs(ink, pair, maps, px_per_pt * maps.factor)
    ]
    stubs += _links(ink, points, maps, px_per_pt * maps.factor)
    return _with_strokes(page, stubs) if stubs else page


def _marks_around(
    points: np.ndarray[tuple[int, ...], np.dtype[np.float64]], text: SizeText
) -> tuple[Point, Point] | None:
    """Find the nearest two marks that a text stands between, in line with it."""
    line, h = text.line, text.line.height
    turn = math.radians(line.angle)
    ux, uy = math.cos(turn), -math.sin(turn)
    d = points - np.array(line.centre)
    along, aside = d @ [ux, uy], np.abs(ux * d[:, 1] - uy * d[:, 0])
    # marks further off may stand further aside, where the text's direction is a little off
    near = (aside < IN_LINE * h + 0.05 * np.abs(along)) & (np.abs(along) < REACH * h)
    gap = np.abs(along) - line.length / 2
    near &= (gap > 0) & (gap < MOST_GAP * h)
    before, after = np.flatnonzero(near & (along < 0)), np.flatnonzero(near & (along > 0))
    if not len(before) or not len(after):
        return None
    a = points[before[np.argmax(along[before])]]
    b = points[after[np.argmin(along[after])]]
    far = float(np.hypot(*(b - a)))
    between = Line(float(a[0]), float(a[1]), float((b - a)[0]) / far, float((b - a)[1]) / far)
    if between.turned_from(ux, uy) > PARALLEL_DEG:
        return None
    if abs(between.place(line.centre)[1]) > IN_LINE * h:
        return None
    return Point(*map(float, a)), Point(*map(float, b))


def _stubs(
    ink: Ink, pair: tuple[Point, Point], maps: PageMaps, scale: float
) -> list[tuple[Point, Point]]:
    """Stubs at both marks, where both show and none was traced."""
    found = []
    for one, other in (pair, pair[::-1]):
        far = one.distance(other)
        line = Line(one.x, one.y, (other.x - one.x) / far, (other.y - one.y) / far)
        _, spans = ink.on_line(line)
        if any(min(b, far) - max(a, 0.0) > TRACED_PT for a, b in spans):
            continue
        reach = _reach(line, far / 2, maps, scale)
        if reach is None:
            return []
        found.append((one, line.at(reach)))
    return found


def _links(
    ink: Ink,
    points: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    maps: PageMaps,
    scale: float,
) -> list[tuple[Point, Point]]:
    """Lines of short links between two marks, each square to a line through its mark."""
    found = []
    for i, j in sorted(cKDTree(points).query_pairs(MOST_LINK_PT)):
        a, b = (Point(*map(float, points[k])) for k in (i, j))
        far = a.distance(b)
        if far < LEAST_LINK_PT:
            continue
        line = Line(a.x, a.y, (b.x - a.x) / far, (b.y - a.y) / far)
        if not all(_stands_square(ink, p, line) for p in (a, b)):
            continue
        _, spans = ink.on_line(line)
        if sum(max(0.0, min(t, far) - max(s, 0.0)) for s, t in spans) > HALF * far:
            continue
        t = np.arange(0.0, far, STEP_PT)
        inked = np.any([_ink(line, t, side / scale, maps, scale) for side in SIDES_PX], axis=0)
        beside = [_ink(line, t, side, maps, scale) for side in (-BESIDE_PT, BESIDE_PT)]
        thin = float((beside[0] & beside[1]).mean()) < HALF
        if float(inked.mean()) > DRAWN and thin:
            found.append((a, b))
    return found


def _between_heads(
    ink: Ink, heads: Sequence[Mark], maps: PageMaps, scale: float
) -> list[tuple[Point, Point]]:
    """Lines of links that the two heads in them fill, from tip to tip."""
    points = np.array([m.point for m in heads], float).reshape(-1, 2)
    if len(points) < 2:
        return []
    found = []
    for i, j in sorted(cKDTree(points).query_pairs(MOST_LINK_PT)):
        a, b = heads[i], heads[j]
        far = a.point.distance(b.point)
        if far < LEAST_LINK_PT:
            continue
        ux, uy = (b.point.x - a.point.x) / far, (b.point.y - a.point.y) / far
        away = a.ux * ux + a.uy * uy < -FACING and b.ux * ux + b.uy * uy > FACING
        line = Line(a.point.x, a.point.y, ux, uy)
        if not away or not all(_stands_square(ink, m.point, line) for m in (a, b)):
            continue
        _, spans = ink.on_line(line)
        traced = sum(max(0.0, min(t, far) - max(s, 0.0)) for s, t in spans)
        between = (line.place(m.point) for m in heads)
        if traced > HALF * far or any(
            ON_PT < along < far - ON_PT and abs(aside) < ON_PT for along, aside in between
        ):
            continue
        t = np.arange(0.0, far, STEP_PT)
        inked = np.any([_ink(line, t, side / scale, maps, scale) for side in SIDES_PX], axis=0)
        if float(inked.mean()) > FILLED:
            found.append((a.point, b.point))
    return found


def _stands_square(ink: Ink, p: Point, line: Line) -> bool:
    """Whether a stroke runs through a place square to a line."""
    for i in ink.near(p, ON_PT):
        other = ink.line_of(i)
        along, aside = other.place(p)
        on = abs(aside) < ON_PT and -ON_PT < along < float(ink.lengths[i]) + ON_PT
        long = ink.lengths[i] > SQUARE_PT and not ink.curved[i]
        if on and long and other.turned_from(line.ux, line.uy) > SQUARE_DEG:
            return True
    return False


def _reach(line: Line, most: float, maps: PageMaps, scale: float) -> float | None:
    """How far a thin line is inked from its own point on; `None` where there is none.

    A mark may be a ring, whose line begins at its rim.
    """
    t = np.arange(0.0, most, STEP_PT)
    inked = np.any([_ink(line, t, side / scale, maps, scale) for side in SIDES_PX], axis=0)
    start, stop = _first_run(inked)
    if t[min(stop, len(t) - 1)] - t[min(start, len(t) - 1)] < LEAST_PT:
        hollow = int(np.count_nonzero(t < RIM_PT))
        rest, end = _first_run(inked[stop:])
        if stop + rest >= hollow:
            return None
        start, stop = stop + rest, stop + end
    beside = [_ink(line, t[:stop], side, maps, scale) for side in (-BESIDE_PT, BESIDE_PT)]
    thin = ~(beside[0] | beside[1])
    if stop - start < 2 or t[stop - 1] - t[start] < LEAST_PT or not thin[-2:].all():
        return None
    return float(t[stop - 1])


def _first_run(inked: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> tuple[int, int]:
    """First and one past the last place of the first run of ink."""
    on = np.flatnonzero(inked)
    if not len(on):
        return len(inked), len(inked)
    off = np.flatnonzero(~inked[on[0] :])
    return int(on[0]), int(on[0] + off[0]) if len(off) else len(inked)


def _ink(
    line: Line,
    t: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    aside: float,
    maps: PageMaps,
    scale: float,
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    return np.asarray(darkness(line, t, aside, maps, scale) > INK)


def _with_strokes(page: VectorPage, stubs: Sequence[tuple[Point, Point]]) -> VectorPage:
    s, n = page.strokes, len(stubs)
    first = int(s.paths.max(initial=-1)) + 1
    width = float(np.median(s.widths)) if len(s.widths) else 1.0
    strokes = Strokes(
        ends=np.vstack([s.ends, np.array([[*a, *b] for a, b in stubs], float)]),
        widths=np.concatenate([s.widths, np.full(n, width)]),
        paths=np.concatenate([s.paths, np.arange(first, first + n, dtype=np.int32)]),
        greys=np.concatenate([s.greys, np.zeros(n)]),
        curved=np.concatenate([s.curved, np.zeros(n, np.bool_)]),
        pattern=np.concatenate([s.pattern, np.zeros(n, np.int32)]),
    )
    return replace(page, strokes=strokes)
