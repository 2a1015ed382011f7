"""From what was gathered while drawing to the truth file's records, in each sheet's own frame."""

from __future__ import annotations

import random
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import truth as t

from drawing.furniture import PLAN
from drawing.lettering import spell
from drawing.marks import Point, angle_of, box_around, step
from drawing.pdf import PT
from drawing.plane import Plane
from drawing.sheet import Drawn, Paper, Row

PLACES = 3  # of a frame unit: finer than 1/256 px and than the PDF's 0.001 pt
CLICK_OFF_PX = 1.4  # a person's click misses by up to this much each way


def sheet_record(
    paper: Paper,
    *,
    file: str,
    to_frame: Plane,
    size: tuple[float, float],
    frame: str,
    turn: int,
    print_factor: tuple[float, float],
    digest: str | None,
    corners: tuple[Point, ...] | None,
) -> t.Sheet:
    """Build the record of a sheet."""
    dimensions = tuple(_dimension(d, to_frame) for d in paper.drawn)
    statements = tuple(
        t.Statement(kind=s.kind, text=s.text, box=_box(s.corners, to_frame), view=s.view)
        for s in paper.said
    )
    rows = tuple(_parts_row(row, to_frame) for row in paper.rows)
    return t.Sheet(
        number=paper.number,
        file=file,
        frame=frame,
        width=size[0],
        height=size[1],
        turn=turn,
        paper=f"{paper.width:g} x {paper.height:g} in",
        print_factor=print_factor,
        to_frame=to_frame.rows,
        pixels_sha256=digest,
        points_file={2: "points-scan.csv", 3: "points-photo.csv"}.get(paper.number),
        views=tuple(_view(v, to_frame) for v in paper.seen),
        dimensions=dimensions,
        statements=statements,
        parts_list=rows,
        texts=_texts(dimensions, statements, rows),
        known=tuple(_known(k, paper.number, to_frame) for k in paper.known),
        rectangle=_rectangle(paper, corners) if corners else None,
    )


def _at(place: Point, to_frame: Callable[[Point], Point]) -> Point:
    x, y = to_frame(place)
    return round(x, PLACES), round(y, PLACES)


def _box(corners: Any, to_frame: Plane) -> t.Box:
    x0, y0, x1, y1 = box_around(to_frame(p) for p in corners)
    return round(x0, 1), round(y0, 1), round(x1, 1), round(y1, 1)


def _corners(box: t.Box) -> tuple[Point, ...]:
    x0, y0, x1, y1 = box
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _view(seen: Any, to_frame: Plane) -> t.View:
    return t.View(
        id=seen.id,
        part=seen.part,
        kind=seen.kind,
        box=_box(_corners(seen.box), to_frame),
        outline=_box(_corners(seen.outline), to_frame),
        factor=str(seen.factor),
        stated=str(seen.stated),
    )


def _dimension(drawn: Drawn, to_frame: Plane) -> t.Dimension:
    middle = drawn.text_corners[0]
    ahead = to_frame(step(middle, drawn.text_angle, 0.1))
    return t.Dimension(
        id=drawn.id,
        view=drawn.view,
        kind=drawn.kind,
        points=tuple(_at(p, to_frame) for p in drawn.points),
        text=drawn.text,
        printed=spell(drawn.printed),
        true=spell(drawn.true),
        right=drawn.printed == drawn.true,
        stacked=drawn.stacked,
        text_box=_box(drawn.text_corners, to_frame),
        text_angle=round(angle_of(to_frame(middle), ahead), 2) % 360.0,
        across_break=drawn.across_break,
    )


def _parts_row(row: Row, to_frame: Plane) -> t.PartsRow:
    names = ("item", "part", "quantity", "thickness", "width", "length", "stock")
    return t.PartsRow(**dict(zip(names, row.cells, strict=True)), box=_box(row.corners, to_frame))


def _texts(
    dimensions: tuple[t.Dimension, ...],
    statements: tuple[t.Statement, ...],
    rows: tuple[t.PartsRow, ...],
) -> tuple[t.SizeText, ...]:
    """List every text that looks like a size, a note or a count."""
    sized = [
        t.SizeText(text=d.text, box=d.text_box, about="dimension", dimension=d.id)
        for d in dimensions
    ]
    plain = ("title", "scale", "unit")
    said = [
        t.SizeText(text=s.text, box=s.box, about="statement", dimension=None)
        for s in statements
        if s.kind not in plain
    ]
    listed = [
        t.SizeText(
            text=" | ".join((r.item, r.part, r.quantity, r.thickness, r.width, r.length, r.stock)),
            box=r.box,
            about="parts-list",
            dimension=None,
        )
        for r in rows
    ]
    return (*sized, *said, *listed)


def _pair(place: Point) -> str:
    return f"{place[0]:.2f},{place[1]:.2f}"


def _known(known: tuple[Fraction, Point, Point], number: int, to_frame: Plane) -> t.Known:
    length, a, b = known
    ends = _at(a, to_frame), _at(b, to_frame)
    option = f"{spell(length)} in @ {number}:{_pair(ends[0])} {_pair(ends[1])}"
    return t.Known(length=f"{spell(length)} in", points=ends, option=option)


def _rectangle(paper: Paper, corners: tuple[Point, ...]) -> t.Rectangle:
    size = f"{paper.width:g} x {paper.height:g} in"
    places = tuple((round(x, PLACES), round(y, PLACES)) for x, y in corners)
    option = f"{size} @ {paper.number}:" + " ".join(_pair(p) for p in places)
    return t.Rectangle(paper=size, corners=places, option=option)


def pdf_frame() -> Plane:
    return Plane(rows=((PT, 0.0, 0.0), (0.0, PT, 0.0), (0.0, 0.0, 1.0)))


def clicks_of(sheet: t.Sheet, seed: int) -> str:
    """Write a points file as a person would make it: places a little off, a few texts not typed."""
    rng = random.Random(seed)
    lines = ["sheet,kind,x1,y1,x2,y2,x3,y3,text"]
    for index, dimension in enumerate(sheet.dimensions):
        if dimension.across_break:
            continue
        places = [
            f"{v + rng.uniform(-CLICK_OFF_PX, CLICK_OFF_PX):.1f}"
            for p in dimension.points
            for v in p
        ]
        places += [""] * (6 - len(places))
        text = "" if index % 5 == 3 and dimension.right else dimension.text
        lines.append(",".join((str(sheet.number), dimension.kind, *places, text)))
    return "\n".join(lines) + "\n"


def plan_record(sheets: tuple[t.Sheet, ...], mistakes: tuple[t.Mistake, ...]) -> t.Truth:
    return t.Truth(version=t.VERSION, plan=PLAN.lower(), sheets=sheets, mistakes=mistakes)
