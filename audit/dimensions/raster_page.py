"""A raster as a page of strokes and arcs, so that one search serves drawn pages and pictures.

The page's frame is points of paper, origin at the raster's corner: what the network proposes and
what lines were traced is scaled to it, and tolerances in points mean the same as on a PDF.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from audit.dimensions.raster_arcs import DrawnArc
from audit.dimensions.raster_heads import without_heads
from audit.dimensions.raster_lines import (
    Pieces,
    join_pieces,
    meet_at_corners,
    trace_pieces,
)
from audit.dimensions.raster_lone_dots import with_lone_dots
from audit.dimensions.raster_overlaps import with_overlapped_heads
from audit.dimensions.raster_rounds import find_rounds, scale_arc
from audit.dimensions.raster_waver import measure_waver
from audit.geometry import Point
from audit.networks.page import STRIDE, PageMaps, Terminator
from audit.reading import TextLine
from audit.records import Arc, Glyphs, Strokes, VectorPage

Gray = NDArray[np.uint8]

DEFAULT_PX_PER_MM = 200 / 25.4
TEXT_LEVEL = 128  # of 255
IN_TEXT = 0.6  # share of a stroke that must lie in text to be part of a letter
LETTER_PT = 15.0  # longer straight strokes are no part of a letter
PROBES = 9
RIM_PT = 3.4  # radius of a dot or ring a dimension line may end in or at
ASIDE_PT = 1.5
CORNER_PT = 1.8  # ends of two strokes this near to each other are one corner


@dataclass(frozen=True, slots=True, eq=False)
class TracedPage:
    """A raster's page in pt, the network's terminators in pt, and px of the raster to a pt.

    `waver` is how far its lines stray from straight, pt.
    """

    page: VectorPage
    terminators: tuple[Terminator, ...]
    px_per_pt: float
    waver: float = 0.0


def trace_page(
    gray: Gray,
    maps: PageMaps,
    *,
    px_per_mm: float | None,
) -> TracedPage:
    """Trace the strokes and arcs of a raster.

    Parameters
    ----------
    gray : (h, w) uint8 array
    maps : PageMaps
        Of the same raster.
    px_per_mm : float or None
        Pixels to a millimetre of paper.

    Returns
    -------
    TracedPage
    """
    px_per_pt = (px_per_mm or DEFAULT_PX_PER_MM) * 25.4 / 72
    dark = np.divide(maps.dark, np.float32(255), dtype=np.float32)
    pieces = trace_pieces(dark, levels=maps.dark)
    pieces = pieces.take(~_in_text(pieces, maps, px_per_pt))
    strokes = join_pieces(pieces, dark)
    waver = measure_waver(strokes, dark)
    if waver > 0:
        strokes = join_pieces(pieces, dark, waver=waver)
    strokes = strokes.take(~_in_text(strokes, maps, px_per_pt))
    strokes = meet_at_corners(strokes, reach=CORNER_PT * px_per_pt * maps.factor)
    tips = with_overlapped_heads(
        [
            replace(t, point=Point(t.point.x * maps.factor, t.point.y * maps.factor))
            for t in maps.terminators
        ],
        dark,
        px_per_pt=px_per_pt * maps.factor,
        is_text=lambda p: _is_text_at(maps, p),
    )
    tips = with_lone_dots(tips, strokes, dark, px_per_pt=px_per_pt * maps.factor)
    strokes = without_heads(strokes, tips, px_per_pt=px_per_pt * maps.factor)
    strokes = _cut_at_dots(strokes, tips, px_per_pt * maps.factor)
    off_text = [t for t in tips if not _is_text_at(maps, t.point)]
    arcs = find_rounds(gray, dark, pieces, strokes, factor=maps.factor, tips=off_text)
    height, width = gray.shape
    by = 1 / (maps.factor * px_per_pt)
    page = VectorPage(
        width=width / px_per_pt,
        height=height / px_per_pt,
        turn=0,
        strokes=_as_strokes(strokes, by),
        arcs=tuple(as_arc(scale_arc(arc, 1 / px_per_pt), k) for k, arc in enumerate(arcs)),
    )
    terminators = tuple(replace(t, point=Point(t.point.x * by, t.point.y * by)) for t in tips)
    return TracedPage(page, terminators, px_per_pt, waver * by)


def with_texts(traced: TracedPage, texts: Sequence[TextLine]) -> TracedPage:
    """Put texts, in pt of the page, on a traced page: they tell tables from drawings."""
    glyphs = tuple(_as_glyphs(text) for text in texts)
    return replace(traced, page=replace(traced.page, texts=glyphs))


def _in_text(pieces: Pieces, maps: PageMaps, px_per_pt: float) -> NDArray[np.bool_]:
    """Short strokes that lie in the network's text."""
    share = np.linspace(0.0, 1.0, PROBES)[None, :, None]
    e = pieces.ends
    at = (e[:, None, :2] + share * (e[:, None, 2:] - e[:, None, :2])) / STRIDE
    h, w = maps.text.shape
    column = np.clip(at[:, :, 0].astype(int), 0, w - 1)
    row = np.clip(at[:, :, 1].astype(int), 0, h - 1)
    inside = (maps.text[row, column] >= TEXT_LEVEL).mean(axis=1) >= IN_TEXT
    return np.asarray(inside & (pieces.lengths < LETTER_PT * px_per_pt * maps.factor))


def _is_text_at(maps: PageMaps, p: Point) -> bool:
    """Whether the network sees text at a place of its raster."""
    h, w = maps.text.shape
    row, column = int(p.y / STRIDE), int(p.x / STRIDE)
    return bool(0 <= row < h and 0 <= column < w and maps.text[row, column] >= TEXT_LEVEL)


def _cut_at_dots(strokes: Pieces, marks: Sequence[Terminator], px_per_pt: float) -> Pieces:
    """End strokes in the middle of the dots, rings and ticks they run into, not at a rim."""
    even = [t.point for t in marks if t.direction is None]
    if not even or not len(strokes):
        return strokes
    dots = np.array(even, float)
    tree = cKDTree(dots)
    reach, aside = RIM_PT * px_per_pt, ASIDE_PT * px_per_pt
    ends = strokes.ends.copy()
    for side in (0, 2):
        tips = ends[:, side : side + 2].copy()
        far, which = (np.asarray(v) for v in tree.query(tips, distance_upper_bound=reach))
        for k in np.flatnonzero(np.isfinite(far)):
            other = ends[k, 2 - side : 4 - side]
            u = (tips[k] - other) / max(float(np.hypot(*(tips[k] - other))), 1e-9)
            d = dots[which[k]] - tips[k]
            along, off = float(d @ u), abs(float(u[0] * d[1] - u[1] * d[0]))
            if off < aside:
                ends[k, side : side + 2] = tips[k] + along * u
    return Pieces(ends, strokes.widths)


def _as_strokes(strokes: Pieces, by: float) -> Strokes:
    n = len(strokes)
    return Strokes(
        ends=strokes.ends * by,
        widths=strokes.widths * by,
        paths=np.arange(n, dtype=np.int32),
        greys=np.zeros(n),
        curved=np.zeros(n, np.bool_),
        pattern=np.zeros(n, np.int32),
    )


def as_arc(arc: DrawnArc, path: int = 0) -> Arc:
    """Return an arc in pt as a drawn page has them."""
    return Arc(
        centre=arc.centre,
        radius=arc.radius,
        start=arc.start,
        sweep=arc.sweep,
        width=arc.width,
        path=path,
    )


def _as_glyphs(text: TextLine) -> Glyphs:
    return Glyphs(
        text=text.text,
        origin=text.quad[3],
        angle=text.angle,
        size=text.height,
        font="",
        quad=text.quad,
    )
