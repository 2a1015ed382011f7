"""What is drawn in a view, in real mm as seen: outlines to cut along, and the rest, paler.

Words used here: *outlines* are the lines of the part, *details* the dimension lines, hatching and
texts beside them. An *axis* is the centre line that a half view is mirrored on.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point, Transform
from audit.records import (
    Arc,
    Dimension,
    DimensionKind,
    EndKind,
    Glyphs,
    PrintItem,
    PrintPath,
    PrintPicture,
    PrintText,
    Rgb,
    VectorPage,
)
from audit.report.pattern_texts import TextGroup, WrittenText, join_pieces

CUT_LINE_MM = 0.25  # lines of outlines on a pattern; the size runs to their middle
DETAIL_LINE_MM = 0.12
DETAIL_COLOUR: Rgb = (0.55, 0.58, 0.62)
TEXT_COLOUR: Rgb = (0.40, 0.44, 0.49)
PALE = 0.75  # grey from which a line is no outline
THICKER = 1.25  # times the width of extension lines: an outline
ARC_STEP_DEG = 30.0  # of one Bézier; its error is below 10⁻⁷ radii
CENTRE_MARK_MM = 3.0  # half of a centre mark's bars
TEXT_SHARE = 0.72  # cap height over type size
PT_PER_MM = 72 / 25.4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatternInk:
    """A view in real mm as seen.

    `picture` is its raster where the source is one, with `readable` the boxes of texts in it that
    are not to be mirrored. `line_width` is how wide the lines to cut along are printed, mm;
    `outline` the box around them.
    """

    outlines: tuple[PrintPath, ...] = ()
    details: tuple[PrintPath, ...] = ()
    texts: tuple[WrittenText, ...] = ()
    centres: tuple[Point, ...] = ()
    picture: PrintPicture | None = None
    readable: tuple[Box, ...] = field(default_factory=tuple)
    line_width: float = CUT_LINE_MM
    outline: Box

    @property
    def is_vector(self) -> bool:
        """Whether the lines are drawn anew as lines."""
        return self.picture is None


def trace_vectors(
    page: VectorPage, box: Box, to_real: Transform, dimensions: Sequence[Dimension]
) -> PatternInk | None:
    """Take what is drawn inside a view's box off a vector page.

    Parameters
    ----------
    page : VectorPage
    box : Box
        Of the view, sheet frame.
    to_real : Transform
        Affine; from the sheet's frame to real mm as seen.
    dimensions : sequence of Dimension
        Of the view: their extension lines tell what is thin.

    Returns
    -------
    PatternInk or None
        `None` when no line lies there.
    """
    thin = thin_width(page, box, dimensions)
    inside = [k for k in range(len(page.strokes)) if _is_inside(page.strokes.ends[k], box)]
    outlines: list[PrintPath] = []
    details: list[PrintPath] = []
    for k in inside:
        stroke = page.strokes[k]
        ends = to_real.apply_many([stroke.a, stroke.b])
        thick = stroke.width > thin and stroke.grey < PALE and not stroke.dashes
        dashes = tuple(d * _stretch(to_real) for d in stroke.dashes)
        (outlines if thick else details).append(_line(ends, thick=thick, dashes=dashes))
    arcs = [a for a in page.arcs if box.contains(a.centre) and not a.filled]
    for arc in arcs:
        thick = arc.width > thin and not arc.dashes
        path = _line(to_real.apply_many(arc_points(arc)), thick=thick)
        path = replace(path, curved=True, closed=arc.is_circle)
        (outlines if thick else details).append(path)
    details += [_fill(page, k, to_real) for k in _fills_inside(page, box)]
    ink = outlines or details
    if not ink:
        return None
    return PatternInk(
        outlines=tuple(outlines),
        details=tuple(details),
        texts=tuple(_text(g, to_real) for g in page.texts if _is_written(g, box)),
        centres=unique_points(to_real.apply(a.centre) for a in arcs if a.width > thin),
        outline=Box.around([tuple(p) for path in ink for p in path.points]),
    )


def thin_width(page: VectorPage, box: Box, dimensions: Sequence[Dimension]) -> float:
    """Width up to which a line is no outline, pt; below all widths when there is but one."""
    extension = [
        e.line_width
        for d in dimensions
        for e in d.ends
        if e.kind is EndKind.EXTENSION and e.line_width > 0
    ]
    mine = [w for w, e in zip(page.strokes.widths, page.strokes.ends, strict=True)
            if _is_inside(e, box)]  # fmt: skip
    mine += [a.width for a in page.arcs if box.contains(a.centre)]
    if extension:
        limit = statistics.median(extension) * THICKER
        return limit if any(w > limit for w in mine) else -1.0
    if not mine or max(mine) < 1.4 * min(mine):
        return -1.0
    return math.sqrt(max(min(mine), 1e-3) * max(mine))


def _is_inside(ends: NDArray[np.float64], box: Box) -> bool:
    return box.contains((float(ends[0] + ends[2]) / 2, float(ends[1] + ends[3]) / 2))


def _stretch(to_real: Transform) -> float:
    """Real mm for one unit of the frame, on average."""
    (a, b, _), (c, d, _), _ = to_real.rows
    return math.sqrt(abs(a * d - b * c))


def _line(points: NDArray[np.float64], *, thick: bool, dashes: tuple[float, ...] = ()) -> PrintPath:
    if thick:
        return PrintPath(points=points, width=CUT_LINE_MM, dashes=dashes)
    return PrintPath(points=points, width=DETAIL_LINE_MM, colour=DETAIL_COLOUR, dashes=dashes)


def arc_points(arc: Arc) -> NDArray[np.float64]:
    """Control points of an arc as cubic Béziers: start, then three for each piece.

    Parameters
    ----------
    arc : Arc
        Degrees counter-clockwise as seen, y down.

    Returns
    -------
    ndarray of float64, shape (3 n + 1, 2)
    """
    pieces = max(1, math.ceil(arc.sweep / ARC_STEP_DEG - 1e-9))
    step = math.radians(arc.sweep) / pieces
    handle = 4 / 3 * math.tan(step / 4) * arc.radius
    points: list[tuple[float, float]] = []
    for k in range(pieces + 1):
        turn = math.radians(arc.start) + k * step
        c, s = math.cos(turn), math.sin(turn)
        x, y = arc.centre.x + arc.radius * c, arc.centre.y - arc.radius * s
        ahead = (-s * handle, -c * handle)  # the way the arc runs, y down
        if k:
            points.append((x - ahead[0], y - ahead[1]))
        points.append((x, y))
        if k < pieces:
            points.append((x + ahead[0], y + ahead[1]))
    return np.array(points)


def _fills_inside(page: VectorPage, box: Box) -> Iterable[int]:
    for k in range(len(page.fills)):
        outline = page.fills.outline(k)
        middle = (outline.min(axis=0) + outline.max(axis=0)) / 2
        if box.contains((float(middle[0]), float(middle[1]))) and page.fills.greys[k] < PALE:
            yield k


def _fill(page: VectorPage, index: int, to_real: Transform) -> PrintPath:
    points = to_real.apply_many(page.fills.outline(index))
    return PrintPath(points=points, width=0.0, fill=DETAIL_COLOUR, closed=True)


def _is_written(glyphs: Glyphs, box: Box) -> bool:
    return glyphs.visible and bool(glyphs.text.strip()) and box.contains(glyphs.box.centre)


def _text(glyphs: Glyphs, to_real: Transform) -> WrittenText:
    corners = [to_real.apply(corner) for corner in glyphs.quad]
    middle = Point(sum(c.x for c in corners) / 4, sum(c.y for c in corners) / 4)
    left = corners[0].midpoint(corners[3])
    right = corners[1].midpoint(corners[2])
    angle = math.degrees(math.atan2(left.y - right.y, right.x - left.x))
    return WrittenText(
        text=glyphs.text.strip(),
        middle=middle,
        angle=angle,
        height=glyphs.size * _stretch(to_real),
        length=left.distance(right),
    )


def unique_points(points: Iterable[Point], *, apart: float = 0.2) -> tuple[Point, ...]:
    """Leave out points nearer than `apart` to one that came before."""
    kept: list[Point] = []
    for point in points:
        if all(point.distance(other) > apart for other in kept):
            kept.append(point)
    return tuple(kept)


def centres_of(dimensions: Iterable[Dimension]) -> tuple[Point, ...]:
    """Return the centres of what has a radius or diameter, sheet frame."""
    centres = []
    for dimension in dimensions:
        ends = dimension.ends
        if dimension.kind is DimensionKind.RADIUS and ends:
            centres.append(ends[0].point)
        if dimension.kind is DimensionKind.DIAMETER and len(ends) == 2:
            centres.append(ends[0].point.midpoint(ends[1].point))
    return unique_points(centres, apart=1.0)


def mirror_ink(ink: PatternInk) -> PatternInk:
    """Turn a view over, left to right, about x = 0; texts stay readable."""
    flip = Transform(((-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    groups = join_pieces(ink.texts)
    over = _map_lines(ink, flip)
    return replace(
        over,
        details=tuple(
            _with_text(path, groups, flip) or turned
            for path, turned in zip(ink.details, over.details, strict=True)
        ),
        texts=tuple(piece for group in groups for piece in group.turn_over(flip)),
        picture=_mirror_picture(ink),
        readable=tuple(Box(-b.x1, b.y0, -b.x0, b.y1) for b in ink.readable),
        outline=Box(-ink.outline.x1, ink.outline.y0, -ink.outline.x0, ink.outline.y1),
    )


def _with_text(path: PrintPath, groups: Sequence[TextGroup], flip: Transform) -> PrintPath | None:
    """Move a fraction bar along with its text."""
    group = next((g for g in groups if g.holds(path.points)), None)
    return None if group is None else replace(path, points=group.turn_points(path.points, flip))


def _map_lines(ink: PatternInk, move: Transform) -> PatternInk:
    return replace(
        ink,
        outlines=tuple(replace(p, points=move.apply_many(p.points)) for p in ink.outlines),
        details=tuple(replace(p, points=move.apply_many(p.points)) for p in ink.details),
        centres=tuple(move.apply(c) for c in ink.centres),
    )


def _mirror_picture(ink: PatternInk) -> PrintPicture | None:
    """Flip the picture, and put the texts in it back as they read."""
    if ink.picture is None:
        return None
    pixels, box = ink.picture.pixels, ink.picture.box
    flipped = np.ascontiguousarray(pixels[:, ::-1])
    rows, columns = pixels.shape
    per_x, per_y = columns / box.width, rows / box.height
    for text in ink.readable:
        x0 = max(0, math.floor((text.x0 - box.x0) * per_x))
        x1 = min(columns, math.ceil((text.x1 - box.x0) * per_x))
        y0 = max(0, math.floor((text.y0 - box.y0) * per_y))
        y1 = min(rows, math.ceil((text.y1 - box.y0) * per_y))
        if x0 < x1 and y0 < y1:
            flipped[y0:y1, columns - x1 : columns - x0] = pixels[y0:y1, x0:x1]
    return PrintPicture(pixels=flipped, box=Box(-box.x1, box.y0, -box.x0, box.y1))


def complete_half(ink: PatternInk, axis: tuple[Point, Point]) -> PatternInk:
    """Add the other half of the lines of a half view, mirrored on its centre line.

    A picture is completed where it is made.

    Parameters
    ----------
    ink : PatternInk
    axis : (Point, Point)
        Two places on the centre line, real mm.

    Returns
    -------
    PatternInk
    """
    move = reflect_on(axis)
    other = _map_lines(ink, move)
    corners = [*ink.outline.corners, *(move.apply(c) for c in ink.outline.corners)]
    return replace(
        ink,
        outlines=ink.outlines + other.outlines,
        centres=unique_points([*ink.centres, *other.centres]),
        outline=Box.around(corners),
    )


def reflect_on(axis: tuple[Point, Point]) -> Transform:
    """Return the reflection on the line through two points."""
    (x, y), (u, v) = axis
    turn = 2 * math.atan2(v - y, u - x)
    c, s = math.cos(turn), math.sin(turn)
    return Transform(((c, s, x - c * x - s * y), (s, -c, y - s * x + c * y), (0.0, 0.0, 1.0)))


def draw_ink(ink: PatternInk) -> tuple[PrintItem, ...]:
    """Return a view as items to print, palest first, in real mm."""
    items: list[PrintItem] = [] if ink.picture is None else [ink.picture]
    items += ink.details
    items += [_set_text(t) for t in ink.texts]
    items += ink.outlines
    items += [bar for centre in ink.centres for bar in centre_mark(centre)]
    return tuple(items)


def _set_text(text: WrittenText) -> PrintText:
    size = text.height * PT_PER_MM
    turn = math.radians(text.angle)
    # half the cap height below the middle, across the direction of writing
    drop = TEXT_SHARE * text.height / 2
    at = text.middle.moved(drop * math.sin(turn), drop * math.cos(turn))
    return PrintText(
        text=text.text,
        at=at,
        size=size,
        colour=TEXT_COLOUR,
        angle=text.angle,
        align=0.5,
        room=text.length * 1.02,
        plain=True,
    )


def centre_mark(centre: Point) -> tuple[PrintPath, PrintPath]:
    """Draw a fine cross at a centre, to prick through."""
    x, y, r = *centre, CENTRE_MARK_MM
    return tuple(
        PrintPath(points=np.array(bar), width=0.1)
        for bar in (((x - r, y), (x + r, y)), ((x, y - r), (x, y + r)))
    )  # type: ignore[return-value]  # two bars
