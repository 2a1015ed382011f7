"""Connected regions of a page's ink on a coarse grid: what stands close together is one view.

Border, title block, tables and ruled frames are no regions; figures with numbers of their own are
parted where nothing joins them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.dimensions.figures import are_several, deal_parts, named_figures, numbers_of
from audit.dimensions.ink import Ink
from audit.dimensions.ruled_frames import Samples, find_frames, part_fields
from audit.dimensions.ruled_walls import find_walls
from audit.dimensions.shown import Shown
from audit.geometry import Box, Point
from audit.reading.pdf_text import TextLine
from audit.records import Dimension, VectorPage

CELL_PT = 4.0
JOIN_PT = 10.0  # geometry closer than about this belongs together; views stand 16 pt apart
BORDER_SHARE = 0.55  # of the sheet's side: a line this long near the edge is the border
EDGE_SHARE = 0.12
BORDER_LEAN = 0.005  # a border on a scan leans by this share of its length
MIN_VIEW_PT = 18.0
BY_WALL = 3  # cells beside a frame's wall: where a line runs through it, it is drawn there
LETTER_ROOM = 0.8  # of a text's height: a first or last letter left out when it was read
LETTER_RIM = 0.15  # of a text's height, above and below it
GRID_SHARE = 0.85  # of a component's length in two directions only: a table, when text fills it


def _none(_: Box) -> Sequence[TextLine]:
    return ()


def reach_of(dimension: Dimension) -> list[Point]:
    """Places that a dimension spans: its ends and its line."""
    return [*(e.point for e in dimension.ends), *dimension.line]


class Regions:
    """Connected regions of ink on a coarse grid."""

    def __init__(
        self,
        page: VectorPage,
        ink: Ink,
        measured: Sequence[Point],
        *,
        dimensions: Sequence[Dimension] = (),
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
        samples = Samples(x=x, y=y, owner=owner, part=part)
        found = find_frames(ink, samples, dimensions, Shown.of(page))
        ruled = keep & (np.isin(part, list(found)) | find_walls(ink, dimensions)[owner])
        keep &= ~ruled
        self.fields = part_fields(self._grid(x[ruled], y[ruled]))
        arc_x, arc_y = _arc_samples(ink)
        x, y = np.concatenate([x[keep], arc_x]), np.concatenate([y[keep], arc_y])
        drawn_ink = ~_under_texts(x, y, lettering)
        self.x, self.y = x[drawn_ink], y[drawn_ink]
        self._inked = cv2.dilate(self._grid(self.x, self.y), np.ones((3, 3), np.uint8))
        self.labels = self._label(self.x, self.y, round(JOIN_PT / CELL_PT / 2))
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
        grid = self._grid(x, y)
        if grow:
            side = 2 * grow + 1
            grid = np.asarray(cv2.dilate(grid, np.ones((side, side), np.uint8)), np.uint8)
            grid[self.fields == 0] = 0
        return label_regions(grid)

    def _grid(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.uint8]:
        grid: NDArray[np.uint8] = np.zeros((self.height, self.width), np.uint8)
        grid[self._rows(y), self._columns(x)] = 1
        return grid

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
        """Holes stand inside their outline without touching it; a ruled frame holds them apart."""
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
        label, sides, field = (
            label[order],
            sides[order],
            self.fields[row[first], column[first]][order],
        )
        for i in range(len(label) - 1):
            around = (sides[i + 1 :] <= sides[i]).all(axis=1) & (field[i + 1 :] == field[i])
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

    def join(self, dimension: Dimension) -> None:
        """Make the regions that a dimension spans one, where no frame holds them apart."""
        if self._is_parted(dimension):
            return
        found = [v for v in map(self._at, reach_of(dimension)) if v]
        for other in found[1:]:
            self._union(found[0], other)

    def _is_parted(self, dimension: Dimension) -> bool:
        """Whether a line runs through the walls of frames without being drawn up to them.

        Two arrowheads at one level in neighbouring frames are taken for those of one line.
        """
        line = dimension.line or tuple(e.point for e in dimension.ends)
        if len(line) < 2:
            return False
        a, b = line[0], line[-1]
        steps = np.linspace(0.0, 1.0, max(math.ceil(a.distance(b) / CELL_PT), 1) + 1)
        row, column = (
            self._rows(a.y + steps * (b.y - a.y)),
            self._columns(a.x + steps * (b.x - a.x)),
        )
        field = self.fields[row, column]
        if field.all() or field[0] == field[-1]:
            return False
        drawn = self._inked[row, column] > 0
        first = np.flatnonzero((field[:-1] != 0) & (field[1:] == 0)) + 1
        last = np.flatnonzero((field[:-1] == 0) & (field[1:] != 0))
        return any(
            field[k - 1] != field[m + 1]
            and not (drawn[max(k - BY_WALL, 0) : k].any() and drawn[m + 1 : m + 1 + BY_WALL].any())
            for k in first
            for m in last[last >= k][:1]
        )

    def part_figures(
        self,
        dimensions: Sequence[Dimension],
        numbers: Sequence[TextLine],
        find_names: Callable[[Box], Sequence[TextLine]] = _none,
    ) -> None:
        """Part regions with the numbers or names of several figures, where nothing joins these.

        `find_names` finds the texts in and under a region that may name a figure.
        """
        held: dict[int, list[Dimension]] = {}
        for d in dimensions:
            held.setdefault(self.label_of(reach_of(d)), []).append(d)
        for root, box in list(self.boxes(dimensions).items()):
            measured = held.get(root, [])
            if len(measured) < 2:
                continue
            own = numbers_of(box, numbers)
            if len(own) > 1:
                self._part(root, own, measured)
            elif len(named := find_names(box)) > 1:
                self._part(root, named, measured, by_name=True)

    def _part(
        self,
        root: int,
        numbers: Sequence[TextLine],
        measured: Sequence[Dimension],
        *,
        by_name: bool = False,
    ) -> None:
        part = self.labels[self._rows(self.y), self._columns(self.x)]
        mine = np.array([self._find(k) for k in range(len(self.parent))])[part] == root
        x, y = self.x[mine], self.y[mine]
        fine = Groups(self._label(x, y, 0))
        for d in measured:
            fine.join([int(v) for p in reach_of(d) for v in self._under(p, fine.labels)])
        group = fine.of_labels()[fine.labels[self._rows(y), self._columns(x)]]
        boxes = {
            k: Box(float(x[w].min()), float(y[w].min()), float(x[w].max()), float(y[w].max()))
            for k, w in _by_label(group)
        }
        numbers = named_figures(boxes, numbers) if by_name else numbers
        if not numbers:
            return
        figures = deal_parts(boxes, numbers)
        held = [
            figures[int(fine.of_labels()[v])]
            for d in measured
            for v in self._under(d.ends[0].point, fine.labels)[:1]
        ]
        if not are_several(held):
            return
        first = len(self.parent)
        self.parent += range(first, first + len(numbers))
        near = _nearest_label(fine.labels)
        of_figure = np.array([first + figures.get(k, 0) for k in fine.of_labels().tolist()])
        old = np.array([self._find(k) for k in range(first)])[self.labels] == root
        self.labels[old] = of_figure[near[old]]

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
            root = self.label_of(reach_of(dimension))
            if root in result:
                box = result[root].union(Box.around(reach_of(dimension)))
                if dimension.reading is not None:
                    box = box.union(dimension.reading.box)
                result[root] = box
        return result


class Groups:
    """Labels of a grid, some of them joined."""

    def __init__(self, labels: NDArray[np.int32]) -> None:
        self.labels = labels
        self._group = np.arange(int(labels.max(initial=0)) + 1)

    def join(self, labels: Sequence[int]) -> None:
        """Make some labels one group."""
        if labels:
            groups = self._group[labels]
            self._group[np.isin(self._group, groups)] = groups.min()

    def of_labels(self) -> NDArray[np.intp]:
        """Group of each label."""
        return self._group


def _nearest_label(labels: NDArray[np.int32]) -> NDArray[np.int32]:
    """The label nearest to each cell of a grid."""
    _, index = cv2.distanceTransformWithLabels(
        (labels == 0).astype(np.uint8), cv2.DIST_L2, 3, labelType=cv2.DIST_LABEL_PIXEL
    )
    of_index = np.zeros(int(index.max()) + 1, np.int32)
    of_index[index[labels > 0]] = labels[labels > 0]
    return np.asarray(of_index[index], np.int32)


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


def _by_label(
    labels: NDArray[np.int32] | NDArray[np.intp],
) -> Iterator[tuple[int, NDArray[np.intp]]]:
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
        room = LETTER_ROOM * min(height, text.height)  # a letter is as high as one of its lines
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
