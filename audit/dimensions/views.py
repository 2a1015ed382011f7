"""Views: regions of a sheet drawn at one scale, found by the space between them.

Border, title block and tables hang together with the sheet's frame or are plain grids; they are no
views. Everything else that stands close together is one; a dimension joins what it spans.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.dimensions.breaks import BreakPair
from audit.dimensions.ink import Ink
from audit.dimensions.pictorial import find_pictorial
from audit.geometry import Box, Point
from audit.lengths import FormKind, parse_statements
from audit.reading.pdf_text import TextLine
from audit.records import Dimension, NoScale, VectorPage, View, ViewKind

CELL_PT = 4.0
JOIN_PT = 10.0  # geometry closer than this belongs together
BORDER_SHARE = 0.55  # of the sheet's side: a line this long near the edge is the border
EDGE_SHARE = 0.12
BORDER_LEAN = 0.005  # a border on a scan leans by this share of its length
MIN_VIEW_PT = 18.0
TITLE_BELOW_PT = 72.0
INSIDE_SHARE = 0.6
LETTER_ROOM = 0.8  # of a text's height: a first or last letter left out when it was read
LETTER_RIM = 0.15  # of a text's height, above and below it
GRID_SHARE = 0.85  # of a component's length in two directions only: a table, when text fills it

_SCALE = re.compile(
    r"(?:SCALE\s*[:=]?\s*)(?P<named>[^\n,;]{1,40})"
    r"|(?P<ratio>\b\d+(?:\.\d+)?\s*:\s*\d+(?:\.\d+)?\b)"
    r"|(?P<size>\b(?:FULL|HALF|QUARTER|DOUBLE|TWICE)\s+SIZE\b)"
    r"|(?P<feet>\b\d+(?:/\d+)?\s*[\"”]\s*=\s*1\s*['’](?:-0[\"”])?)",
    re.IGNORECASE,
)
_WORD = re.compile("[A-Za-z]{2}")
_NO_TITLE = frozenset({FormKind.COUNT, FormKind.UNIT, FormKind.NOTE})
_KINDS = (
    (re.compile(r"\bN\.?T\.?S\.?\b|NOT TO SCALE|NO SCALE", re.IGNORECASE), ViewKind.NOT_TO_SCALE),
    (re.compile(r"\bSECTION\b|\bSECT\.", re.IGNORECASE), ViewKind.SECTION),
    (
        re.compile(r"ISOMETRIC|PERSPECTIVE|PICTORIAL|EXPLODED|OBLIQUE VIEW", re.IGNORECASE),
        ViewKind.PICTORIAL,
    ),
    (re.compile(r"FLAT PATTERN|DEVELOPMENT\b", re.IGNORECASE), ViewKind.FLAT_PATTERN),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Views, the dimensions with their view's number, and the texts used as titles."""

    views: tuple[View, ...]
    dimensions: tuple[Dimension, ...]


def lay_out(
    page: VectorPage,
    ink: Ink,
    dimensions: Sequence[Dimension],
    texts: Sequence[TextLine],
    *,
    sheet: int,
    upright: float,
    breaks: Sequence[BreakPair] = (),
    halves: frozenset[int] = frozenset(),
) -> Layout:
    """Group a page into views, and give each dimension its view.

    `texts` are those that belong to no dimension; `halves` the ids of dimensions that end past a
    centre line.
    """
    labels = Regions(page, ink, [p for d in dimensions for p in _reach(d)], lettering=texts)
    for dimension in dimensions:
        labels.join(_reach(dimension))
    boxes = labels.boxes(dimensions)
    order = sorted(boxes, key=lambda k: (round(boxes[k].y0 / 50), boxes[k].x0))
    number = {label: i for i, label in enumerate(order, 1)}
    placed = tuple(
        replace(d, view=number.get(labels.label_of(_reach(d)), 0), across_break=_across(d, breaks))
        for d in dimensions
    )
    views = []
    for label in order:
        own = [d for d in placed if d.view == number[label]]
        view = _view(number[label], boxes[label], own, texts, sheet=sheet, upright=upright)
        broken = any(boxes[label].overlaps(b.box) for b in breaks)
        if view.kind in (ViewKind.TRUE, ViewKind.UNKNOWN) and broken:
            view = replace(view, kind=ViewKind.BROKEN)
        elif view.kind is ViewKind.TRUE and any(d.id in halves for d in own):
            view = replace(view, kind=ViewKind.HALF)
        views.append(view)
    return _with_pictorial(Layout(views=tuple(views), dimensions=placed), ink, upright=upright)


def _with_pictorial(layout: Layout, ink: Ink, *, upright: float) -> Layout:
    """Give the sizes of pictorial views a view of their own, where more was taken for one view."""
    ids = find_pictorial(ink, layout.dimensions, upright=upright)
    views, dimensions = list(layout.views), list(layout.dimensions)
    for view in layout.views:
        own = [d for d in layout.dimensions if d.view == view.id]
        slanted = [d for d in own if d.id in ids]
        if view.kind is not ViewKind.TRUE or not slanted:
            continue
        if 2 * len(slanted) >= len(own):
            views[views.index(view)] = replace(view, kind=ViewKind.PICTORIAL)
            continue
        box = Box.around([p for d in slanted for p in _reach(d)])
        part = replace(view, id=len(views) + 1, kind=ViewKind.PICTORIAL, box=box, title="")
        views.append(part)
        dimensions = [
            replace(d, view=part.id) if d.view == view.id and d.id in ids else d for d in dimensions
        ]
    return Layout(views=tuple(views), dimensions=tuple(dimensions))


def _reach(dimension: Dimension) -> list[Point]:
    return [*(e.point for e in dimension.ends), *dimension.line]


def _across(dimension: Dimension, breaks: Sequence[BreakPair]) -> bool:
    first, last = dimension.ends[0].point, dimension.ends[-1].point
    return len(dimension.ends) == 2 and any(b.lies_between(first, last) for b in breaks)


class Regions:
    """Connected regions of ink on a coarse grid."""

    def __init__(
        self,
        page: VectorPage,
        ink: Ink,
        measured: Sequence[Point],
        *,
        lettering: Sequence[TextLine] = (),
    ) -> None:
        self.width = math.ceil(page.width / CELL_PT) + 2
        self.height = math.ceil(page.height / CELL_PT) + 2
        x, y, owner = _samples(ink)
        self.touching = self._label(x, y, 0)
        # nothing that a dimension measures is a table
        drawn = {int(v) for p in measured for v in self._under(p, self.touching)}
        part = self.touching[self._rows(y), self._columns(x)]
        border = self._border(page, ink)
        in_frame = np.isin(part, np.unique(part[border[owner]]))
        tables = self._tables(page, ink, part, owner) - drawn
        keep = ~in_frame & ~np.isin(part, list(tables))
        keep |= self._measured_near_border(x, y, in_frame & ~border[owner], measured)
        arc_x, arc_y = _arc_samples(ink)
        x, y = np.concatenate([x[keep], arc_x]), np.concatenate([y[keep], arc_y])
        drawn_ink = ~_under_texts(x, y, lettering)
        self.x, self.y = x[drawn_ink], y[drawn_ink]
        self.labels = self._label(self.x, self.y, math.ceil(JOIN_PT / CELL_PT / 2))
        self.parent = list(range(int(self.labels.max(initial=0)) + 1))
        self._merge_inside()

    def _columns(self, x: NDArray[np.float64]) -> NDArray[np.intp]:
        return np.asarray(np.clip((x / CELL_PT).astype(int), 0, self.width - 1), np.intp)

    def _rows(self, y: NDArray[np.float64]) -> NDArray[np.intp]:
        return np.asarray(np.clip((y / CELL_PT).astype(int), 0, self.height - 1), np.intp)

    def _under(self, p: Point, labels: NDArray[np.int32]) -> NDArray[np.int32]:
        row, column = int(p.y / CELL_PT), int(p.x / CELL_PT)
        near = labels[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
        return np.unique(near[near > 0])

    def _label(
        self, x: NDArray[np.float64], y: NDArray[np.float64], grow: int
    ) -> NDArray[np.int32]:
        grid: NDArray[np.uint8] = np.zeros((self.height, self.width), np.uint8)
        grid[self._rows(y), self._columns(x)] = 1
        if grow:
            side = 2 * grow + 1
            grid = np.asarray(cv2.dilate(grid, np.ones((side, side), np.uint8)), np.uint8)
        return label_regions(grid)

    def _border(self, page: VectorPage, ink: Ink) -> NDArray[np.bool_]:
        """Tell which lines are the sheet's border."""
        e = ink.ends
        slack = np.maximum(1.0, BORDER_LEAN * ink.lengths)
        across = np.abs(e[:, 3] - e[:, 1]) < slack
        down = np.abs(e[:, 2] - e[:, 0]) < slack
        near_y = np.minimum(e[:, 1], page.height - e[:, 1]) < EDGE_SHARE * page.height
        near_x = np.minimum(e[:, 0], page.width - e[:, 0]) < EDGE_SHARE * page.width
        return np.asarray(
            (across & near_y & (ink.lengths > BORDER_SHARE * page.width))
            | (down & near_x & (ink.lengths > BORDER_SHARE * page.height))
        )

    def _measured_near_border(
        self,
        x: NDArray[np.float64],
        y: NDArray[np.float64],
        hanging: NDArray[np.bool_],
        measured: Sequence[Point],
    ) -> NDArray[np.bool_]:
        """Tell what of the ink that hangs on the border is a view drawn close to it."""
        if not hanging.any():
            return hanging
        grid = self._label(x[hanging], y[hanging], 0)
        drawn = {int(v) for p in measured for v in self._under(p, grid)}
        kept = np.zeros(len(x), np.bool_)
        kept[hanging] = np.isin(
            grid[self._rows(y[hanging]), self._columns(x[hanging])], list(drawn)
        )
        return kept

    def _tables(
        self, page: VectorPage, ink: Ink, part: NDArray[np.int32], owner: NDArray[np.intp]
    ) -> set[int]:
        """Labels of grids full of text."""
        square = (np.abs(ink.units[:, 0]) < 0.01) | (np.abs(ink.units[:, 1]) < 0.01)
        centres = np.array([g.box.centre for g in page.texts], float).reshape(-1, 2)
        tables = set()
        for label, samples in _by_label(part):
            rows = np.unique(owner[samples])
            if len(rows) < 6 or not bool(square[rows].mean() > GRID_SHARE):
                continue
            e = ink.ends[rows]
            low = e[:, [0, 2]].min(), e[:, [1, 3]].min()
            high = e[:, [0, 2]].max(), e[:, [1, 3]].max()
            inside = int(((centres >= low) & (centres <= high)).all(axis=1).sum())
            if inside >= 0.5 * len(rows):
                tables.add(label)
        return tables

    def _find(self, label: int) -> int:
        while self.parent[label] != label:
            label = self.parent[label]
        return label

    def _union(self, a: int, b: int) -> None:
        a, b = self._find(a), self._find(b)
        if a != b:
            self.parent[max(a, b)] = min(a, b)

    def _merge_inside(self) -> None:
        """Holes stand inside their outline without touching it."""
        row, column = np.nonzero(self.labels)
        order = np.argsort(self.labels[row, column], kind="stable")
        row, column = row[order], column[order]
        label, first = np.unique(self.labels[row, column], return_index=True)
        if not len(label):
            return
        # left, top, right, bottom; the last two negated, so that larger is smaller throughout
        sides = np.column_stack(
            [np.minimum.reduceat(v, first) for v in (column, row, -column - 1, -row - 1)]
        )
        area = (-sides[:, 2] - sides[:, 0]) * (-sides[:, 3] - sides[:, 1])
        order = np.argsort(area, kind="stable")
        label, sides = label[order], sides[order]
        for i in range(len(label) - 1):
            around = (sides[i + 1 :] <= sides[i]).all(axis=1)
            k = int(np.argmax(around))
            if around[k]:
                self._union(int(label[i]), int(label[i + 1 + k]))

    def _at(self, p: Point) -> int:
        row, column = int(p.y / CELL_PT), int(p.x / CELL_PT)
        if not (0 <= row < self.height and 0 <= column < self.width):
            return 0
        label = int(self.labels[row, column])
        return self._find(label) if label else 0

    def label_of(self, points: Sequence[Point]) -> int:
        """Region most of some points stand in; 0 when in none."""
        found = [v for v in map(self._at, points) if v]
        return max(set(found), key=found.count) if found else 0

    def join(self, points: Sequence[Point]) -> None:
        """Make the regions under some points one."""
        found = [v for v in map(self._at, points) if v]
        for other in found[1:]:
            self._union(found[0], other)

    def boxes(self, dimensions: Sequence[Dimension]) -> dict[int, Box]:
        """Box of each region worth calling a view, with its dimensions and their texts."""
        part = self.labels[self._rows(self.y), self._columns(self.x)]
        roots = np.array([self._find(k) for k in range(len(self.parent))])[part]
        result: dict[int, Box] = {}
        for root, samples in _by_label(roots):
            x, y = self.x[samples], self.y[samples]
            box = Box(float(x.min()), float(y.min()), float(x.max()), float(y.max()))
            if root and max(box.width, box.height) > MIN_VIEW_PT:
                result[root] = box
        for dimension in dimensions:
            root = self.label_of(_reach(dimension))
            if root in result:
                box = result[root].union(Box.around(_reach(dimension)))
                if dimension.reading is not None:
                    box = box.union(dimension.reading.box)
                result[root] = box
        return result


def label_regions(grid: NDArray[np.uint8]) -> NDArray[np.int32]:
    """Number what hangs together on a grid, also over corners, in the order it is come upon.

    Parameters
    ----------
    grid : (h, w) uint8 array
        0 where nothing is.

    Returns
    -------
    (h, w) int32 array
        0 where nothing is, else 1 and up, row by row.

    Examples
    --------
    >>> label_regions(np.array([[0, 1, 0], [1, 0, 0], [0, 0, 1]], np.uint8)).tolist()
    [[0, 1, 0], [1, 0, 0], [0, 0, 2]]
    """
    count, labels = cv2.connectedComponents(grid, connectivity=8, ltype=cv2.CV_32S)
    flat = labels.ravel()
    first = np.zeros(count, np.int64)
    first[flat[::-1]] = np.arange(len(flat))[::-1]  # of several, the last one put in stays
    number = np.zeros(count, np.int32)
    number[1 + np.argsort(first[1:])] = np.arange(1, count)
    return np.asarray(number[labels], np.int32)


def _by_label(labels: NDArray[np.int32]) -> Iterator[tuple[int, NDArray[np.intp]]]:
    """Yield each label with the places where it stands, smallest label first."""
    if not len(labels):
        return
    order = np.argsort(labels, kind="stable")
    each, first = np.unique(labels[order], return_index=True)
    yield from zip(map(int, each), np.split(order, first[1:]), strict=True)


def _samples(ink: Ink) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.intp]]:
    steps = np.ceil(ink.lengths / (CELL_PT / 2)).astype(int) + 1
    owner = np.repeat(np.arange(len(ink)), steps)
    first = np.cumsum(steps) - steps
    t = (np.arange(len(owner)) - first[owner]) / np.maximum(steps[owner] - 1, 1)
    e = ink.ends[owner]
    return e[:, 0] + t * (e[:, 2] - e[:, 0]), e[:, 1] + t * (e[:, 3] - e[:, 1]), owner


def _arc_samples(ink: Ink) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    xs: list[float] = []
    ys: list[float] = []
    for arc in ink.arcs:
        count = max(4, math.ceil(math.radians(arc.sweep) * arc.radius / (CELL_PT / 2)))
        turn = np.radians(arc.start + arc.sweep * np.arange(count + 1) / count)
        xs += (arc.centre.x + arc.radius * np.cos(turn)).tolist()
        ys += (arc.centre.y - arc.radius * np.sin(turn)).tolist()
    return np.array(xs, float), np.array(ys, float)


def _under_texts(
    x: NDArray[np.float64], y: NDArray[np.float64], texts: Sequence[TextLine]
) -> NDArray[np.bool_]:
    """Tell which places lie on texts: letters traced as strokes are no part of a drawing."""
    under = np.zeros(len(x), np.bool_)
    for text in texts:
        a, b, _, d = text.quad
        height = a.distance(d)
        if a == b or height == 0:
            continue
        room = LETTER_ROOM * height
        near = np.flatnonzero(
            (x > text.box.x0 - room)
            & (x < text.box.x1 + room)
            & (y > text.box.y0 - room)
            & (y < text.box.y1 + room)
        )
        (ux, uy), (vx, vy) = _unit(a, b), _unit(a, d)
        along = (x[near] - a.x) * ux + (y[near] - a.y) * uy
        aside = (x[near] - a.x) * vx + (y[near] - a.y) * vy
        rim = LETTER_RIM * height
        inside = (along > -room) & (along < a.distance(b) + room)
        under[near[inside & (aside > -rim) & (aside < height + rim)]] = True
    return under


def _unit(a: Point, b: Point) -> tuple[float, float]:
    length = a.distance(b)
    return (b.x - a.x) / length, (b.y - a.y) / length


def _view(
    number: int,
    box: Box,
    own: Sequence[Dimension],
    texts: Sequence[TextLine],
    *,
    sheet: int,
    upright: float,
) -> View:
    below = _texts_below(box, texts, upright)
    scale = next((s for t in below for s in [stated_scale(t.text)] if s is not None), None)
    words = " ".join(t.text for t in below)
    kind = next((k for pattern, k in _KINDS if pattern.search(words)), None)
    if kind is None:
        kind = ViewKind.TRUE if own else ViewKind.UNKNOWN
    titles = [t.text for t in below if stated_scale(t.text) is None and _may_name(t.text)]
    titles.sort(key=lambda text: text[:1].isdigit())  # 1/8 THICK stands nearer than many a name
    return View(
        id=number,
        sheet=sheet,
        kind=kind,
        box=box,
        title=titles[0].replace("\n", " ") if titles else "",
        stated_scale=scale,
        scale=NoScale(reason="not scaled yet"),
    )


def _may_name(text: str) -> bool:
    """Whether a text under a view may be its title: words, and no mere count or note."""
    if _WORD.search(text) is None:
        return False
    forms = parse_statements(text, unit=None)
    return not any(form.kind in _NO_TITLE and not form.subject for form in forms)


def stated_scale(text: str) -> str | None:
    """Read the scale a title states, as printed; `None` when it states none.

    Examples
    --------
    >>> stated_scale("SIDE PLATE  SCALE 1:2"), stated_scale("HALF SIZE"), stated_scale("MAKE 2")
    ('1:2', 'HALF SIZE', None)
    """
    match = _SCALE.search(text)
    if match is None:
        return None
    found = next(g for g in match.groups() if g is not None)
    return " ".join(found.split()) or None


def _texts_below(box: Box, texts: Sequence[TextLine], upright: float) -> list[TextLine]:
    """Upright texts under a view, nearest first, no further than a title stands."""
    turn = math.radians(upright)
    ux, uy = math.cos(turn), -math.sin(turn)

    def place(p: Point) -> tuple[float, float]:
        return p.x * ux + p.y * uy, p.y * ux - p.x * uy

    corners = [place(c) for c in box.corners]
    left, right = min(c[0] for c in corners), max(c[0] for c in corners)
    bottom = max(c[1] for c in corners)
    middle = (left + right) / 2
    found = []
    for text in texts:
        if abs((text.angle - upright + 180.0) % 360.0 - 180.0) > 3.0:
            continue
        x, y = place(text.centre)
        gap = y - text.height / 2 - bottom
        reach = max((right - left) / 2, text.length / 2)
        # in perspective the box of a view reaches beside its title
        if -max(4.0, text.height) < gap < TITLE_BELOW_PT and abs(x - middle) < reach:
            found.append((gap, text))
    found.sort(key=lambda row: row[0])
    return [text for _, text in found]
