"""Brings a page to usual lettering before it is searched, and results back.

What counts as an arrowhead, a tick or a gap goes with the height of the lettering: a sheet printed
at half size, or a page whose size is wrong by some factor, is searched as if it were right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.geometry import Box, Point
from audit.reading.pdf_text import TextLine
from audit.records import Arc, Dimension, Fills, Glyphs, Strokes, VectorPage, View

USUAL_PT = 6.5  # letter height of 9 pt type, which CAD dimensions have or come near
LEAVE_ALONE = (0.62, 1.6)  # within these factors nothing is gained


def lettering_factor(texts: Sequence[TextLine]) -> float:
    """Factor that brings the middling letter height of some texts to the usual one; 1 when near."""
    heights = [t.height for t in texts if t.height > 0]
    if not heights:
        return 1.0
    factor = USUAL_PT / float(np.median(heights))
    low, high = LEAVE_ALONE
    return 1.0 if low <= factor <= high else factor


def scale_page(page: VectorPage, k: float) -> VectorPage:
    """Enlarge everything on a page by a factor."""
    s, f = page.strokes, page.fills
    strokes = Strokes(
        ends=s.ends * k,
        widths=s.widths * k,
        paths=s.paths,
        greys=s.greys,
        curved=s.curved,
        pattern=s.pattern,
        patterns=tuple(tuple(d * k for d in p) for p in s.patterns),
    )
    fills = Fills(points=f.points * k, starts=f.starts, paths=f.paths, greys=f.greys)
    return replace(
        page,
        width=page.width * k,
        height=page.height * k,
        strokes=strokes,
        arcs=tuple(_scale_arc(a, k) for a in page.arcs),
        fills=fills,
        texts=tuple(_scale_glyphs(g, k) for g in page.texts),
        images=tuple(_scale_box(b, k) for b in page.images),
    )


def scale_text(line: TextLine, k: float) -> TextLine:
    """Enlarge a text line by a factor; its runs stay as they are."""
    a, b, c, d = (_scale_point(p, k) for p in line.quad)
    return replace(line, box=_scale_box(line.box, k), quad=(a, b, c, d), height=line.height * k)


def scale_dimension(dimension: Dimension, k: float) -> Dimension:
    """Bring a dimension found on an enlarged page back to the page itself."""
    ends = tuple(
        replace(e, point=_scale_point(e.point, k), line_width=e.line_width * k)
        for e in dimension.ends
    )
    reading = dimension.reading
    if reading is not None:
        reading = replace(reading, box=_scale_box(reading.box, k))
    line = tuple(_scale_point(p, k) for p in dimension.line)
    return replace(dimension, ends=ends, line=line, reading=reading)


def scale_view(view: View, k: float) -> View:
    """Bring a view found on an enlarged page back to the page itself."""
    return replace(view, box=_scale_box(view.box, k))


def _scale_point(p: Point, k: float) -> Point:
    return Point(p.x * k, p.y * k)


def _scale_box(b: Box, k: float) -> Box:
    return Box(b.x0 * k, b.y0 * k, b.x1 * k, b.y1 * k)


def _scale_arc(a: Arc, k: float) -> Arc:
    return replace(
        a,
        centre=_scale_point(a.centre, k),
        radius=a.radius * k,
        width=a.width * k,
        dashes=tuple(d * k for d in a.dashes),
    )


def _scale_glyphs(g: Glyphs, k: float) -> Glyphs:
    a, b, c, d = (_scale_point(p, k) for p in g.quad)
    return replace(
        g,
        origin=_scale_point(g.origin, k),
        size=g.size * k,
        quad=(a, b, c, d),
        spaces_after=g.spaces_after * k,
    )
