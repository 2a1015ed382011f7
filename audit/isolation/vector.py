"""Everything drawn on a PDF page, as records in the sheet's frame. Runs inside the worker.

`Page.get_cdrawings` and `Page.get_texttrace` of PyMuPDF 1.28 already answer in points of the
unrotated CropBox with UserUnit applied and y down (tested over rotations × CropBox × UserUnit);
`get_drawings` and `get_text` do not, so they are not used.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pymupdf
from numpy.typing import NDArray

from audit.geometry import Box
from audit.isolation.arcs import (
    Curves,
    arcs_from_curves,
    arcs_from_polylines,
    evaluate,
    is_straight,
)
from audit.isolation.bounds import bound_page, cut_lines
from audit.isolation.glyphs import extract_glyphs
from audit.isolation.masks import Mask, hide_strokes, is_convex, is_hidden, thin_bar
from audit.records import Fills, Glyphs, Strokes, VectorPage

Floats = NDArray[np.float64]
XY = tuple[float, float]

MAX_ITEMS = 400_000  # straight and curved pieces; a crowded E-size sheet has about 100,000
WHITE = 0.97  # lighter than this is paper, not ink
OPAQUE = 0.95
CURVE_STEPS = 8
FILL_CURVE_STEPS = 4
NO_LENGTH_PT = 1e-4
BACKGROUND_SHARE = 0.8  # of the page: a white fill this large is paper, it hides all before it
_NUMBER = re.compile(r"[-+.\deE]+")


@dataclass(slots=True)
class _Ink:
    """What has been collected so far, in drawing order."""

    lines: list[tuple[float, float, float, float]] = field(default_factory=list)
    line_rows: list[tuple[float, int, float, int]] = field(default_factory=list)
    curves: list[tuple[XY, XY, XY, XY]] = field(default_factory=list)
    curve_rows: list[tuple[float, int, float, int]] = field(default_factory=list)
    outlines: list[list[XY]] = field(default_factory=list)
    outline_rows: list[tuple[int, float]] = field(default_factory=list)
    masks: list[Mask] = field(default_factory=list)
    clips: dict[int, Box] = field(default_factory=dict)
    patterns: dict[tuple[float, ...], int] = field(default_factory=lambda: {(): 0})
    # as the file writes them: hardly any two of a page's thousands of lines differ
    written: dict[str, int] = field(default_factory=dict)

    @property
    def items(self) -> int:
        return len(self.lines) + len(self.curves) + len(self.outlines)


def extract_page(document: pymupdf.Document, index: int) -> VectorPage:
    """Read one page (0-based) of an open PDF, in the sheet's frame."""
    page: Any = document[index]
    turn = int(page.rotation)
    width, height = page.rect.width, page.rect.height
    if turn in (90, 270):
        width, height = height, width
    ink = _Ink()
    truncated = _collect(page, ink, Box(0.0, 0.0, width, height))
    strokes, arcs = _assemble(ink)
    texts = extract_glyphs(document, page)
    found = VectorPage(
        width=width,
        height=height,
        turn=turn,
        strokes=strokes,
        arcs=arcs,
        fills=_pack_fills(ink),
        texts=tuple(_unmasked(g, ink.masks) for g in texts),
        images=_image_boxes(page),
        truncated=truncated,
    )
    return bound_page(found)


def _collect(page: Any, ink: _Ink, sheet: Box) -> bool:
    clips: dict[int, Box | None] = {}
    for drawing in page.get_cdrawings(extended=True):
        level = int(drawing.get("level", 0))
        outer = clips.get(level - 1)
        if drawing["type"] == "group":
            clips[level] = outer
            continue
        if drawing["type"] == "clip":
            clips[level] = _narrowed(outer, drawing["scissor"])
            continue
        if ink.items + len(drawing["items"]) > MAX_ITEMS:
            return True
        _take_path(drawing, ink, outer, sheet)
    return False


def _narrowed(outer: Box | None, scissor: Sequence[float]) -> Box:
    box = Box(*map(float, scissor))
    if outer is None:
        return box
    return Box(
        max(box.x0, outer.x0),
        max(box.y0, outer.y0),
        min(box.x1, outer.x1),
        min(box.y1, outer.y1),
    )


def _take_path(drawing: Any, ink: _Ink, clip: Box | None, sheet: Box) -> None:
    number = int(drawing["seqno"]) * 2  # the stroke of a fill-and-stroke is painted after the fill
    rect = Box(*drawing["rect"])
    if clip is not None and not clip.grown(1.0).overlaps(rect):
        return
    if clip is not None and not (
        clip.contains((rect.x0, rect.y0)) and clip.contains((rect.x1, rect.y1))
    ):
        ink.clips[number] = clip
        ink.clips[number + 1] = clip
    if "f" in drawing["type"]:
        grey = _grey(drawing.get("fill"), drawing.get("fill_opacity"))
        opaque = (drawing.get("fill_opacity") or 1.0) >= OPAQUE
        _take_fill(drawing["items"], ink, number=number, grey=grey, sheet=sheet, opaque=opaque)
    if "s" in drawing["type"]:
        grey = _grey(drawing.get("color"), drawing.get("stroke_opacity"))
        if grey < WHITE:
            _take_stroke(drawing, ink, number=number + 1, grey=grey)


def _grey(colour: Sequence[float] | None, opacity: float | None) -> float:
    if not colour:
        return 0.0
    if len(colour) == 3:
        value = 0.299 * colour[0] + 0.587 * colour[1] + 0.114 * colour[2]
    else:
        value = colour[0]
    return 1.0 - (1.0 - float(value)) * (1.0 if opacity is None else float(opacity))


def _pattern(ink: _Ink, dashes: str | None) -> int:
    written = (dashes or "").partition("]")[0]
    if written not in ink.written:
        values = tuple(float(v) for v in _NUMBER.findall(written))
        values = values if any(v > 0 for v in values) else ()
        ink.written[written] = ink.patterns.setdefault(values, len(ink.patterns))
    return ink.written[written]


def _take_stroke(drawing: Any, ink: _Ink, *, number: int, grey: float) -> None:
    row = (float(drawing.get("width") or 0.0), number, grey, _pattern(ink, drawing.get("dashes")))
    for item in drawing["items"]:
        kind = item[0]
        if kind in ("re", "qu"):
            corners = _corners(item)
            for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
                ink.lines.append((*a, *b))
                ink.line_rows.append(row)
        elif kind == "l":
            ink.lines.append((*item[1], *item[2]))
            ink.line_rows.append(row)
        else:
            ink.curves.append((item[1], item[2], item[3], item[4]))
            ink.curve_rows.append(row)


def _corners(item: Any) -> list[XY]:
    if item[0] == "re":
        x0, y0, x1, y1 = item[1]
        return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    ul, ur, ll, lr = item[1]
    return [tuple(ul), tuple(ur), tuple(lr), tuple(ll)]


def _take_fill(
    items: Any, ink: _Ink, *, number: int, grey: float, sheet: Box, opaque: bool
) -> None:
    for outline in _outlines(items):
        if grey >= WHITE:
            if opaque:
                _take_mask(outline, ink, number, sheet)
            continue
        bar = thin_bar(outline)
        if bar is not None:
            ink.lines.append(bar[0])
            ink.line_rows.append((bar[1], number, grey, 0))
            continue
        ink.outlines.append(outline)
        ink.outline_rows.append((number, grey))


def _take_mask(outline: list[XY], ink: _Ink, number: int, sheet: Box) -> None:
    points = np.asarray(outline, float)
    box = Box.around(outline)
    if box.width * box.height >= BACKGROUND_SHARE * sheet.width * sheet.height:
        ink.lines.clear()
        ink.line_rows.clear()
        ink.curves.clear()
        ink.curve_rows.clear()
        ink.outlines.clear()
        ink.outline_rows.clear()
        ink.masks.clear()
        return
    if is_convex(points):
        ink.masks.append(Mask(points=points, box=box, path=number))


def _outlines(items: Any) -> list[list[XY]]:
    """Sub-paths of a filled path, curves flattened."""
    result: list[list[XY]] = []
    last: XY | None = None
    for item in items:
        if item[0] in ("re", "qu"):
            result.append(_corners(item))
            last = None
            continue
        if item[1] != last:
            result.append([item[1]])
        last = item[-1]
        if item[0] == "l":
            result[-1].append(item[2])
        else:
            curve = np.array([item[1:5]], float)
            for k in range(1, FILL_CURVE_STEPS + 1):
                x, y = evaluate(curve, k / FILL_CURVE_STEPS)[0]
                result[-1].append((float(x), float(y)))
    cleaned = []
    for outline in result:
        if len(outline) > 1 and outline[0] == outline[-1]:
            outline.pop()
        if len(outline) >= 3:
            cleaned.append(outline)
    return cleaned


def _assemble(ink: _Ink) -> tuple[Strokes, tuple[Any, ...]]:
    patterns = tuple(ink.patterns)
    curves = Curves(
        points=np.array(ink.curves, float).reshape(-1, 4, 2),
        widths=np.array([r[0] for r in ink.curve_rows], float),
        paths=np.array([r[1] for r in ink.curve_rows], np.int32),
        pattern=np.array([r[3] for r in ink.curve_rows], np.int32),
    )
    straight = is_straight(curves.points)
    arcs, round_ = arcs_from_curves(curves, patterns)
    rest = ~round_ & ~straight
    polyline = _strokes(ink.lines, ink.line_rows, patterns, curved=False)
    more_arcs, used = arcs_from_polylines(polyline)
    flat = _flattened(ink, curves, rest)
    lines = _strokes(
        [(*ink.curves[i][0], *ink.curves[i][3]) for i in np.flatnonzero(straight & ~round_)],
        [ink.curve_rows[i] for i in np.flatnonzero(straight & ~round_)],
        patterns,
        curved=False,
    )
    strokes = _joined([polyline.chosen(~used), lines, flat], patterns)
    strokes = _clipped(strokes, ink.clips)
    strokes = hide_strokes(strokes, ink.masks)
    length = np.hypot(*(strokes.ends[:, 2:] - strokes.ends[:, :2]).T)
    return strokes.chosen(length > NO_LENGTH_PT), arcs + more_arcs


def _strokes(
    lines: list[tuple[float, float, float, float]],
    rows: list[tuple[float, int, float, int]],
    patterns: tuple[tuple[float, ...], ...],
    *,
    curved: bool,
) -> Strokes:
    table = np.array(rows, float).reshape(-1, 4)
    return Strokes(
        ends=np.array(lines, float).reshape(-1, 4),
        widths=table[:, 0],
        paths=table[:, 1].astype(np.int32),
        greys=table[:, 2],
        curved=np.full(len(table), curved),
        pattern=table[:, 3].astype(np.int32),
        patterns=patterns,
    )


def _flattened(ink: _Ink, curves: Curves, rest: NDArray[np.bool_]) -> Strokes:
    which = np.flatnonzero(rest)
    points = curves.points[which]
    corners = np.stack([evaluate(points, k / CURVE_STEPS) for k in range(CURVE_STEPS + 1)], axis=1)
    ends = np.concatenate([corners[:, :-1], corners[:, 1:]], axis=2).reshape(-1, 4)
    rows = [ink.curve_rows[i] for i in which for _ in range(CURVE_STEPS)]
    return _strokes(list(map(tuple, ends)), rows, tuple(ink.patterns), curved=True)


def _joined(parts: list[Strokes], patterns: tuple[tuple[float, ...], ...]) -> Strokes:
    return Strokes(
        ends=np.vstack([p.ends for p in parts]),
        widths=np.concatenate([p.widths for p in parts]),
        paths=np.concatenate([p.paths for p in parts]),
        greys=np.concatenate([p.greys for p in parts]),
        curved=np.concatenate([p.curved for p in parts]),
        pattern=np.concatenate([p.pattern for p in parts]),
        patterns=patterns,
    )


def _clipped(strokes: Strokes, clips: dict[int, Box]) -> Strokes:
    """Cut the strokes that reach out of their clip rectangle."""
    if not clips:
        return strokes
    which = np.flatnonzero(np.isin(strokes.paths, np.fromiter(clips, np.int32)))
    if not len(which):
        return strokes
    keep = np.ones(len(strokes), np.bool_)
    ends = strokes.ends.copy()
    boxes = np.array([clips[int(path)] for path in strokes.paths[which]], float)
    ends[which], keep[which] = cut_lines(ends[which], boxes)
    moved = Strokes(
        ends=ends,
        widths=strokes.widths,
        paths=strokes.paths,
        greys=strokes.greys,
        curved=strokes.curved,
        pattern=strokes.pattern,
        patterns=strokes.patterns,
    )
    return moved.chosen(keep)


def _pack_fills(ink: _Ink) -> Fills:
    sizes = [len(o) for o in ink.outlines]
    return Fills(
        points=np.array([p for o in ink.outlines for p in o], float).reshape(-1, 2),
        starts=np.cumsum([0, *sizes]).astype(np.int32),
        paths=np.array([r[0] for r in ink.outline_rows], np.int32),
        greys=np.array([r[1] for r in ink.outline_rows], float),
    )


def _unmasked(pair: tuple[int, Glyphs], masks: list[Mask]) -> Glyphs:
    number, glyphs = pair
    if glyphs.visible and is_hidden(glyphs.box.centre, 2 * number, masks):
        return replace(glyphs, visible=False)
    return glyphs


def _image_boxes(page: Any) -> tuple[Box, ...]:
    """Boxes of pictures; like drawings they come in the unrotated frame."""
    boxes = []
    for info in page.get_image_info():
        x0, y0, x1, y1 = (float(v) for v in info["bbox"])
        boxes.append(Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
    return tuple(boxes)
