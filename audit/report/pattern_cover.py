"""The page of a pattern that is read first: page map, where to cut, how to print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.geometry import Box, Point, Transform
from audit.records import (
    Edge,
    PrintGroup,
    PrintItem,
    PrintPage,
    PrintPath,
    PrintPicture,
    PrintText,
    Rgb,
)
from audit.report.bars import bar_length, draw_bar, say_bar
from audit.report.pattern_subject import SOFT, Grain, PatternOptions, PatternSubject
from audit.report.phrases import CAUTIONS
from audit.report.tiling import Tiling

ALERT: Rgb = (0.835, 0.369, 0.0)
LETTER_EM = 0.46  # mean width of letters and spaces, ems (Helvetica)
MAP_MM = (118.0, 74.0)  # room of the page map


def first_page(subject: PatternSubject, tiling: Tiling, options: PatternOptions) -> PrintPage:
    """Compose the page to read first: map, where to cut, how to print, what was taken out."""
    paper = options.paper
    left, y = 18.0, 22.0
    items: list[PrintItem] = [
        PrintText(text=subject.name, at=Point(left, y), size=20, bold=True, plain=True,
                  room=paper.width - 36),
        PrintText(text=f"True-size pattern from {subject.where}", at=Point(left, y + 6.5),
                  size=10, colour=SOFT, plain=True, room=paper.width - 36),
    ]  # fmt: skip
    items += _page_map(subject, tiling, Point(left, y + 13))
    y += 13 + MAP_MM[1] + 9
    width = paper.width - 2 * left
    for block in _says(subject, tiling, options):
        y = _block(items, block, Point(left, y), width)
    items += draw_bar(Point(paper.width - 18 - bar_length(options.unit), paper.height - 15),
                      unit=options.unit, upright=False)  # fmt: skip
    clip = Box(0.0, 0.0, paper.width, paper.height)
    return PrintPage(
        width=paper.width, height=paper.height, groups=(PrintGroup(items=tuple(items), clip=clip),)
    )


@dataclass(frozen=True, slots=True)
class _Block:
    head: str
    lines: Sequence[str]
    colour: Rgb = SOFT


def _says(subject: PatternSubject, tiling: Tiling, options: PatternOptions) -> tuple[_Block, ...]:
    return (
        _Block("Not as drawn", subject.changed, ALERT),
        _Block("Where to cut", _say_line(subject)),
        _Block("Print", _say_print(tiling, options)),
        _Block("Taken out of the sheet", subject.corrected),
        _Block("Cautions", (CAUTIONS[0], *CAUTIONS[2:])),
    )


def _say_line(subject: PatternSubject) -> tuple[str, ...]:
    width = f"{subject.ink.line_width:.2g} mm"
    if subject.ink.is_vector:
        return (
            f"The size runs to the middle of the black line, which is {width} wide: saw on its "
            "waste side, and sand until half of the line is gone.",
            "Grey lines and texts are the drawing's own, for orientation. Crosses are centres.",
        )
    told = {
        Edge.OUTSIDE: "The printed sizes run to its outside: leave the whole line.",
        Edge.INSIDE: "The printed sizes run to its inside: saw the whole line away.",
        Edge.CENTRE: "The printed sizes run to its middle: leave half of the line.",
        None: "Nothing tells which edge the printed sizes run to: saw on its waste side, and fit.",
    }
    if subject.ink.line_width <= 0:
        seen = "How wide the line is could not be measured here."
    else:
        seen = f"The line is {width} wide here."
    return (f"{seen} {told[subject.edge]}", "Crosses are centres.")


def _say_print(tiling: Tiling, options: PatternOptions) -> tuple[str, ...]:
    pages = len(tiling.tiles)
    lines = [
        "Print at 100 %, not fitted to the page. Each page has two check bars: "
        f"{say_bar(options.unit)}. Measure both before you glue; “plan-audit bars --measured” "
        "tells what to do."
    ]
    if pages > 1:
        lines.append(
            f"{pages} pages, {tiling.rows} high and {tiling.columns} wide; they share "
            f"{tiling.overlap:g} mm. Cut along the broken lines, or lay register mark on register "
            "mark and tape."
        )
    if options.mirror:
        lines.append("Mirrored left to right for the other hand; texts are not mirrored.")
    if options.printer != (1.0, 1.0):
        x, y = options.printer
        lines.append(
            f"Made for a printer that prints {100 * x:.2f} % across and {100 * y:.2f} % down: the "
            "bars come out right on it, and on no other."
        )
    if options.grain is not Grain.NONE:
        lines.append("The grain arrow is a proposal: the plan's own notes govern.")
    return tuple(lines)


def _block(items: list[PrintItem], block: _Block, at: Point, width: float) -> float:
    """Set a head and its lines below each other; return where the next block begins."""
    if not block.lines:
        return at.y
    head = PrintText(text=block.head, at=at, size=9.5, bold=True, colour=block.colour, plain=True)
    items.append(head)
    y = at.y + 4.6
    for line in block.lines:
        for row in wrap(line, width, size=9.0):
            items.append(PrintText(text=row, at=Point(at.x, y), size=9.0))
            y += 4.3
        y += 0.7
    return y + 3.0


def wrap(text: str, width: float, *, size: float) -> list[str]:
    """Break a text into lines of about `width` mm, by the mean width of letters (Helvetica).

    Examples
    --------
    >>> wrap("cut a test piece", 16.0, size=9.0)
    ['cut a test', 'piece']
    """
    most = int(width / (LETTER_EM * size * 25.4 / 72))
    lines = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _page_map(subject: PatternSubject, tiling: Tiling, at: Point) -> list[PrintItem]:
    """Draw the pattern small, with the pages over it."""
    windows = [tile.window for tile in tiling.tiles]
    around = Box.around([corner for window in windows for corner in window.corners])
    scale = min(MAP_MM[0] / around.width, MAP_MM[1] / around.height)
    move = Transform(
        ((scale, 0, at.x - scale * around.x0), (0, scale, at.y - scale * around.y0), (0, 0, 1))
    )
    items: list[PrintItem] = [
        replace(path, points=move.apply_many(path.points), width=0.2)
        for path in subject.ink.outlines
    ]
    if subject.ink.picture is not None:
        picture = subject.ink.picture
        step = max(1, round(max(picture.pixels.shape) / 600))
        corners = [move.apply(corner) for corner in picture.box.corners]
        items.append(PrintPicture(pixels=picture.pixels[::step, ::step], box=Box.around(corners)))
    for tile in tiling.tiles:
        corners = [move.apply(corner) for corner in tile.window.corners]
        items.append(
            PrintPath(points=np.array(corners), width=0.2, colour=SOFT, closed=True,
                      dashes=(1.2, 0.8) if len(windows) > 1 else ())
        )  # fmt: skip
        place = Box.around(corners)
        name = Point(place.x0 + 1.5, place.y1 - 1.5)
        items.append(PrintText(text=tile.name, at=name, size=8, bold=True, colour=SOFT))
    return items
