"""Border, title block, notes, parts list and check rules."""

from __future__ import annotations

from drawing.marks import Point, step
from drawing.parts import CHECK_RULE
from drawing.sheet import Paper, Row

PLAN = "MARBLE LIFT"
TICKS_PER_INCH = 4


def border(paper: Paper, margin: float) -> None:
    """Draw the border line."""
    right, bottom = paper.width - margin, paper.height - margin
    corners = ((margin, margin), (right, margin), (right, bottom), (margin, bottom))
    paper.line(*corners, thick=True, closed=True)


def title_block(paper: Paper, box: tuple[float, float, float, float], content: str) -> None:
    """Fill the title block: plan, content of the sheet, scale, unit, number."""
    x0, y0, x1, y1 = box
    middle, split = y0 + (y1 - y0) * 0.54, x0 + (x1 - x0) * 0.68
    cut = x0 + (x1 - x0) * 0.40
    paper.line((x0, y1), (x0, y0), (x1, y0), thick=True)
    paper.line((x0, middle), (x1, middle))
    paper.line((split, y0), (split, middle))
    for x in (cut, split):
        paper.line((x, middle), (x, y1))
    upper, lower = (y0 + middle) / 2, (middle + y1) / 2
    paper.write(PLAN, ((x0 + split) / 2, upper), height=0.2, align="centre", kind="title")
    paper.write(
        f"SHEET {paper.number} OF 3",
        ((split + x1) / 2, upper),
        height=0.12,
        align="centre",
        kind="title",
    )
    paper.write(content, ((x0 + cut) / 2, lower), height=0.085, align="centre", kind="title")
    paper.write(
        "SCALE: FULL SIZE", ((cut + split) / 2, lower), height=0.095, align="centre", kind="scale"
    )
    paper.write("INCHES", ((split + x1) / 2, lower), height=0.095, align="centre", kind="unit")


def notes(paper: Paper, at: Point, lines: tuple[tuple[str, str], ...], height: float = 0.1) -> None:
    """Write a column of notes (kind, text); a kind of `+` continues the line before."""
    x, y = at
    paper.write("NOTES", (x, y), height=height * 1.2, kind="title")
    y += height * 0.6
    for kind, text in lines:
        y += height * (1.55 if kind == "+" else 2.1)
        corners = paper.write(text, (x, y), height=height, kind="" if kind == "+" else kind)
        if kind == "+":
            first = paper.said.pop()
            joined = (*first.corners, *corners)
            paper.say(first.kind, f"{first.text} {text}", joined)


def parts_list(
    paper: Paper,
    box: tuple[float, float, float],
    row_height: float,
    rows: tuple[tuple[str, ...], ...],
    columns: tuple[float, ...],
) -> None:
    """Draw the parts list; `box` is left, top and right, `columns` shares of the width."""
    x0, y0, x1 = box
    heads = ("ITEM", "PART", "QTY", "T", "W", "L", "STOCK")
    edges = [x0 + (x1 - x0) * sum(columns[:i]) / sum(columns) for i in range(len(columns) + 1)]
    height = 0.088
    for index, cells in enumerate((heads, *rows)):
        y = y0 + row_height * index
        for left, right, cell, head in zip(edges, edges[1:], cells, heads, strict=False):
            if not cell:
                continue
            if head in ("PART", "STOCK"):
                paper.write(cell, (left + 0.08, y + row_height / 2), height=height)
            else:
                at = ((left + right) / 2, y + row_height / 2)
                paper.write(cell, at, height=height, align="centre")
        if index:
            corners = ((x0, y), (x1, y), (x1, y + row_height), (x0, y + row_height))
            paper.rows.append(Row(cells=cells, corners=corners))
            paper.line((x0, y), (x1, y), thick=index == 1)
    bottom = y0 + row_height * (len(rows) + 1)
    paper.line((x0, bottom), (x0, y0), (x1, y0), thick=True)
    for x in edges[1:-1]:
        paper.line((x, y0), (x, bottom))


def check_rule(paper: Paper, at: Point, angle: float) -> None:
    """Draw a 4-in check rule from `at`; its outer long ticks are the known size."""
    length = float(CHECK_RULE)
    ends = at, step(at, angle, length)
    paper.line(*ends)
    for tick in range(round(length) * TICKS_PER_INCH + 1):
        along = tick / TICKS_PER_INCH
        tall = (
            0.2
            if tick % (TICKS_PER_INCH * 4) == 0
            else 0.13
            if tick % TICKS_PER_INCH == 0
            else 0.08
        )
        foot = step(at, angle, along)
        paper.line(foot, step(foot, angle, 0.0, tall))
    label = paper.label("CHECK RULE 4 IN", 0.1, stacked=False)
    start = step(at, angle, (length - label.width) / 2, -0.13)
    paper.say("check rule", label.text, paper.place(label, start, angle))
    paper.known.append((CHECK_RULE, *ends))
