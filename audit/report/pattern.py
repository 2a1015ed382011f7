"""Compose a true-size pattern: a page to read first, and tiles with check bars and register marks.

Pure: records in, a plan out. Real mm are paper mm here: what is printed is glued to the stock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.geometry import Box, Point, Transform
from audit.records import (
    PrintGroup,
    PrintItem,
    PrintPage,
    PrintPath,
    PrintPicture,
    PrintPlan,
    PrintText,
    Rgb,
)
from audit.report.bars import bar_length, draw_bar
from audit.report.pattern_cover import first_page
from audit.report.pattern_ink import PatternInk, draw_ink, mirror_ink
from audit.report.pattern_subject import (
    SOFT,
    Grain,
    PatternOptions,
    PatternSubject,
    PlacedNote,
    moved,
)
from audit.report.tiling import (
    MARGIN_MM,
    STRIP_MM,
    Tile,
    Tiling,
    plan_tiles,
)

RULE: Rgb = (0.75, 0.77, 0.79)
ALERT: Rgb = (0.835, 0.369, 0.0)
WHITE: Rgb = (1.0, 1.0, 1.0)
ROOM_MM = 6.0  # shown around an outline
LARGE_PT = 17.0  # type of a changed number
REGISTER_MM = 4.0  # half of a register mark's bars
GRAIN_SHARE = 0.5  # of the longer side: length of the grain arrow
GRAIN_MM = (25.0, 120.0)  # shortest and longest
# Where the arrow may lie, shares of the other side off the middle.
GRAIN_PLACES = (0.0, 0.12, -0.12, 0.22, -0.22, 0.32, -0.32, 0.4, -0.4)


def plan_pattern(subjects: Sequence[PatternSubject], options: PatternOptions) -> PrintPlan:
    """Compose the pages of one or more views.

    Parameters
    ----------
    subjects : sequence of PatternSubject
        At least one.
    options : PatternOptions

    Returns
    -------
    PrintPlan
        For each view a page to read first, then its tiles, row by row.
    """
    pages: list[PrintPage] = []
    for subject in subjects:
        shown = _mirrored(subject) if options.mirror else subject
        area = shown.ink.outline.grown(ROOM_MM)
        tiling = plan_tiles(area, options.paper, overlap=options.overlap)
        pages.append(first_page(shown, tiling, options))
        pages += [_tile_page(shown, tile, tiling, options) for tile in tiling.tiles]
    return PrintPlan(
        title=f"Pattern: {subjects[0].name}",
        pages=tuple(_for_printer(page, options.printer) for page in pages),
    )


def _mirrored(subject: PatternSubject) -> PatternSubject:
    notes = tuple(replace(n, at=Point(-n.at.x, n.at.y)) for n in subject.notes)
    return replace(subject, ink=mirror_ink(subject.ink), notes=notes)


def _tile_page(
    subject: PatternSubject, tile: Tile, tiling: Tiling, options: PatternOptions
) -> PrintPage:
    paper = tiling.paper
    dx, dy = tile.at[0] - tile.window.x0, tile.at[1] - tile.window.y0
    move = Transform(((1.0, 0.0, dx), (0.0, 1.0, dy), (0.0, 0.0, 1.0)))
    frame = _moved_box(tile.window, dx, dy)
    drawn = [*draw_ink(subject.ink), *_grain(subject.ink, options)]
    drawn += [item for note in subject.notes for item in _large(note)]
    seen = (_cropped(item, tile.window) for item in drawn if _meets(item, tile.window))
    inside = [moved(item, move) for item in seen]
    outer = Box(0.0, 0.0, paper.width, paper.height)
    return PrintPage(
        width=paper.width,
        height=paper.height,
        groups=(
            PrintGroup(items=tuple(inside), clip=frame),
            PrintGroup(
                items=(*_seams(tile, tiling, frame), *_strip(subject, tile, tiling, options)),
                clip=outer,
            ),
        ),
    )


def _moved_box(box: Box, dx: float, dy: float) -> Box:
    return Box(box.x0 + dx, box.y0 + dy, box.x1 + dx, box.y1 + dy)


def _meets(item: PrintItem, window: Box) -> bool:
    """Whether an item can show in a window; texts are drawn a little too often."""
    match item:
        case PrintPath():
            low, high = item.points.min(axis=0), item.points.max(axis=0)
            return Box(low[0], low[1], high[0], high[1]).grown(1.0).overlaps(window)
        case PrintText():
            return window.grown(80.0).contains(item.at)
        case PrintPicture():
            return item.box.overlaps(window)


def _cropped(item: PrintItem, window: Box) -> PrintItem:
    """Cut a picture down to what a page shows, whole pixels."""
    if not isinstance(item, PrintPicture):
        return item
    box, (rows, columns) = item.box, item.pixels.shape
    per_x, per_y = columns / box.width, rows / box.height
    x0 = max(0, int((window.x0 - box.x0) * per_x) - 1)
    y0 = max(0, int((window.y0 - box.y0) * per_y) - 1)
    x1 = min(columns, int((window.x1 - box.x0) * per_x) + 2)
    y1 = min(rows, int((window.y1 - box.y0) * per_y) + 2)
    part = Box(box.x0 + x0 / per_x, box.y0 + y0 / per_y, box.x0 + x1 / per_x, box.y0 + y1 / per_y)
    return PrintPicture(pixels=item.pixels[y0:y1, x0:x1], box=part)


def _large(note: PlacedNote) -> list[PrintItem]:
    """Set a changed number, large, and its words below it."""
    x, y = note.at
    number = PrintText(
        text=note.text,
        at=Point(x, y),
        size=LARGE_PT,
        bold=True,
        colour=ALERT,
        align=0.5,
        ground=WHITE,
        rim=ALERT,
    )
    words = PrintText(
        text=note.small, at=Point(x, y + 6.6), size=8, colour=ALERT, align=0.5, ground=WHITE
    )
    return [words, number]


def _grain(ink: PatternInk, options: PatternOptions) -> list[PrintItem]:
    """Draw the grain arrow along the chosen way, where little else is written."""
    if options.grain is Grain.NONE:
        return []
    outline = ink.outline
    across = options.grain is Grain.ACROSS
    if options.grain is Grain.LONG:
        across = outline.width >= outline.height
    side = outline.width if across else outline.height
    half = min(max(GRAIN_SHARE * side, GRAIN_MM[0]), GRAIN_MM[1], 0.9 * side) / 2
    middle = _free_place(ink, across=across, half=half)
    ux, uy = (1.0, 0.0) if across else (0.0, -1.0)
    items: list[PrintItem] = [_bar(middle, ux * half, uy * half)]
    for way in (1, -1):
        tip = (middle.x + way * ux * half, middle.y + way * uy * half)
        back = (tip[0] - way * ux * 4, tip[1] - way * uy * 4)
        aside = (uy * 1.3, -ux * 1.3)
        barbs = [
            (back[0] - aside[0], back[1] - aside[1]),
            tip,
            (back[0] + aside[0], back[1] + aside[1]),
        ]
        items.append(PrintPath(points=np.array(barbs), width=0.3, colour=SOFT))
    label = PrintText(
        text="grain",
        at=middle.moved(0, -1.2) if across else middle.moved(-1.2, 0),
        size=9,
        colour=SOFT,
        align=0.5,
        angle=0.0 if across else 90.0,
    )
    return [*items, label]


def _free_place(ink: PatternInk, *, across: bool, half: float) -> Point:
    """Find the middle of an arrow that keeps off texts and centres, inside the outline."""
    outline, middle = ink.outline, ink.outline.centre
    busy = [(t.middle, t.length / 2 + 2.0) for t in ink.texts]
    busy += [(centre, 4.0) for centre in ink.centres]
    busy += [(b.centre, max(b.width, b.height) / 2 + 2.0) for b in ink.readable]
    places = []
    for share in GRAIN_PLACES:
        if across:
            place = middle.moved(0, share * outline.height)
            ends = (place.moved(-half, 0), place.moved(half, 0))
        else:
            place = middle.moved(share * outline.width, 0)
            ends = (place.moved(0, -half), place.moved(0, half))
        room = min((_away(p, ends) - reach for p, reach in busy), default=0.0)
        places.append((min(room, 3.0), -abs(share), place))
    return max(places)[2]


def _away(point: Point, ends: tuple[Point, Point]) -> float:
    """Distance of a point from a level or upright line between two ends."""
    x = min(max(point.x, min(ends[0].x, ends[1].x)), max(ends[0].x, ends[1].x))
    y = min(max(point.y, min(ends[0].y, ends[1].y)), max(ends[0].y, ends[1].y))
    return point.distance(Point(x, y))


def _bar(middle: Point, dx: float, dy: float) -> PrintPath:
    ends = [(middle.x - dx, middle.y - dy), (middle.x + dx, middle.y + dy)]
    return PrintPath(points=np.array(ends), width=0.3, colour=SOFT)


def _seams(tile: Tile, tiling: Tiling, frame: Box) -> list[PrintItem]:
    """Draw the frame, and register marks in the middle of every overlap with a neighbour."""
    items: list[PrintItem] = [
        PrintPath(points=np.array(frame.corners), width=0.08, colour=RULE, closed=True)
    ]
    half = tiling.overlap / 2
    sides = (
        (tile.column > 0, (frame.x0 + half, None), _neighbour(tile, 0, -1)),
        (tile.column < tiling.columns - 1, (frame.x1 - half, None), _neighbour(tile, 0, 1)),
        (tile.row > 0, (None, frame.y0 + half), _neighbour(tile, -1, 0)),
        (tile.row < tiling.rows - 1, (None, frame.y1 - half), _neighbour(tile, 1, 0)),
    )
    for there, (x, y), name in sides:
        if there:
            items += _seam(frame, x, y, name)
    return items


def _neighbour(tile: Tile, down: int, right: int) -> str:
    return replace(tile, row=tile.row + down, column=tile.column + right).name


def _seam(frame: Box, x: float | None, y: float | None, name: str) -> list[PrintItem]:
    """Draw a cut line in the middle of an overlap, with a register mark at each end."""
    line = PrintPath
    if x is not None:
        ends = [(x, frame.y0), (x, frame.y1)]
        marks = [Point(x, frame.y0 + 0.2 * frame.height), Point(x, frame.y1 - 0.2 * frame.height)]
        label, angle = Point(x - 0.8, frame.centre.y), 90.0
    else:
        level = y if y is not None else frame.y0
        ends = [(frame.x0, level), (frame.x1, level)]
        marks = [
            Point(frame.x0 + 0.2 * frame.width, level),
            Point(frame.x1 - 0.2 * frame.width, level),
        ]
        label, angle = Point(frame.centre.x, level - 0.8), 0.0
    items: list[PrintItem] = [
        line(points=np.array(ends), width=0.1, colour=SOFT, dashes=(2.0, 1.4))
    ]
    for mark in marks:
        items += _register(mark)
    items.append(
        PrintText(text=f"joins {name}", at=label, size=7, colour=SOFT, angle=angle, align=0.5)
    )
    return items


def _register(at: Point) -> list[PrintItem]:
    x, y, r = *at, REGISTER_MM
    bars = (((x - r, y), (x + r, y)), ((x, y - r), (x, y + r)))
    items: list[PrintItem] = [PrintPath(points=np.array(bar), width=0.1) for bar in bars]
    turns = np.linspace(0, 2 * np.pi, 33)
    ring = np.column_stack([x + r / 2 * np.cos(turns), y + r / 2 * np.sin(turns)])
    items.append(PrintPath(points=ring, width=0.1, closed=True))
    return items


def _strip(
    subject: PatternSubject, tile: Tile, tiling: Tiling, options: PatternOptions
) -> list[PrintItem]:
    """Draw check bars in both directions and the name of the page."""
    paper = tiling.paper
    middle = MARGIN_MM + STRIP_MM / 2
    bottom = paper.height - MARGIN_MM - STRIP_MM / 2 - 1
    start = paper.width - MARGIN_MM - bar_length(options.unit)
    hand = " · mirrored for the other hand" if options.mirror else ""
    number = tile.row * tiling.columns + tile.column + 1
    name = PrintText(
        text=f"{subject.name}{hand}",
        at=Point(MARGIN_MM, paper.height - MARGIN_MM + 2.2),
        size=8.5,
        bold=True,
        room=paper.width - 2 * MARGIN_MM - 62,
    )
    page = PrintText(
        text=f"page {tile.name} · {number} of {len(tiling.tiles)} · print at 100 %",
        at=Point(paper.width - MARGIN_MM, paper.height - MARGIN_MM + 2.2),
        size=8,
        colour=SOFT,
        align=1.0,
    )
    return [
        *draw_bar(Point(start, bottom), unit=options.unit, upright=False),
        *draw_bar(Point(middle + 2, MARGIN_MM), unit=options.unit, upright=True),
        name,
        page,
    ]


def _for_printer(page: PrintPage, factors: tuple[float, float]) -> PrintPage:
    """Take a printer's own factors out; across and down are those of the upright sheet."""
    if factors == (1.0, 1.0):
        return page
    across, down = factors if page.width <= page.height else factors[::-1]
    scale = Transform.scaling(1 / across, 1 / down)

    def box(clip: Box | None) -> Box | None:
        return None if clip is None else Box.around([scale.apply(c) for c in clip.corners])

    groups = tuple(
        replace(g, items=tuple(moved(i, scale) for i in g.items), clip=box(g.clip))
        for g in page.groups
    )
    return replace(page, groups=groups)
