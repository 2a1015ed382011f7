"""Sheet 1, tabloid, CAD: side plate, base, ramp; parts list and notes."""

from __future__ import annotations

from fractions import Fraction

from drawing import parts as p
from drawing.dimensioning import How, view_of
from drawing.furniture import border, notes, parts_list, title_block
from drawing.sheet import Paper, Style

# Planted: the chain 3/4 + 3 9/32 + 1 3/8 falls short of 5 1/2; drawn 3 3/8.
PRINTED_RAIL_TO_ROD = Fraction(105, 32)
# Planted: drawn 1 1/2, and nothing else says how high the holes are.
PRINTED_HOLES_UP = Fraction(13, 8)
# Planted: the base is drawn and dimensioned 6 1/2 long.
LISTED_BASE_LENGTH = "6 3/4"

NOTES = (
    ("general note", "ALL PARTS 1/4 THICK UNLESS NOTED."),
    ("stock note", "BASE IS OF THICKER STOCK."),
    ("count", "ONE LIFT STEP STANDS ON"),
    ("+", "EACH OF THE 8 CAMS."),
    ("general note", "CAMS TURN FREELY ON THE CAM ROD,"),
    ("+", "PINNED EACH TO THE NEXT."),
    ("general note", "GLUE RAILS, CAM ROD AND RAMP."),
)
LIST = (
    ("1", "SIDE PLATE", "2", "1/4", "4 3/4", "5 1/2", "PLYWOOD"),
    ("2", "BASE", "1", "", "3 3/4", LISTED_BASE_LENGTH, "HARDWOOD"),
    ("3", "RAMP", "1", "1/4", "1 1/2", "9", "PLYWOOD"),
    ("4", "LIFT STEP", "6", "1/4", "2 3/16", "3 1/4", "PLYWOOD"),
    ("5", "CAM", "8", "1/4", "1 3/4", "1 3/4", "PLYWOOD"),
    ("6", "CAM ROD", "1", "", "1/4", "4 1/8", "DOWEL"),
    ("7", "RAIL", "4", "", "1/4", "14", "DOWEL"),
    ("8", "HOPPER", "2", "1/4", "2 1/4", "3 1/2", "PLYWOOD"),
    ("9", "CRANK", "1", "1/2", "1", "3", "HARDWOOD"),
    ("10", "SPACER", "2", "1/8", "3/4", "3/4", "PLYWOOD"),
    ("11", "KNOB", "1", "", "5/8", "1 1/8", "DOWEL"),
    ("12", "PEG", "8", "", "1/8", "1/2", "DOWEL"),
)


def draw() -> Paper:
    paper = Paper(
        number=1, width=17.0, height=11.0, style=Style(hand=False, stacked=True, break_line=True)
    )
    border(paper, 0.5)
    _side_plate(paper)
    _base(paper)
    _ramp(paper)
    notes(paper, (7.35, 7.85), NOTES, 0.092)
    parts_list(paper, (10.3, 7.115, 16.5), 0.205, LIST, (0.55, 1.35, 0.5, 0.6, 0.75, 0.75, 1.1))
    title_block(paper, (10.3, 9.78, 16.5, 10.5), "SIDE PLATE, BASE, RAMP")
    return paper


def _side_plate(paper: Paper) -> None:
    width, body, r = p.PLATE_WIDTH, p.PLATE_BODY, p.PLATE_CORNER
    rail, rod = p.PLATE_END_TO_RAIL, p.PLATE_END_TO_RAIL + p.PLATE_RAIL_TO_ROD
    tab, tab_end = p.TAB_FROM_END, p.TAB_FROM_END + p.TAB_LENGTH
    up = p.PLATE_HOLES_UP
    box = (0, -p.TAB_DEPTH, width, body)
    with view_of(paper, part="SIDE PLATE", origin=(2.15, 6.05), box=box) as view:
        view.outline((r, body), (width - r, body), closed=False)
        view.outline(
            (width, body - r),
            (width, 0),
            (tab_end, 0),
            (tab_end, -p.TAB_DEPTH),
            (tab, -p.TAB_DEPTH),
            (tab, 0),
            (0, 0),
            (0, body - r),
            closed=False,
        )
        paper.arc(view.at(r, body - r), float(r), 90.0, 90.0)
        paper.arc(view.at(width - r, body - r), float(r), 0.0, 90.0)
        for x in (rail, rod):
            view.hole(x, up, p.RAIL)
        reach = float(p.RAIL) / 2 + 0.09
        view.across(0, rail, above=0.45, y1=body - r, y2=float(up) + reach)
        view.across(
            rail,
            rod,
            above=0.45,
            y1=float(up) + reach,
            y2=float(up) + reach,
            how=How(printed=PRINTED_RAIL_TO_ROD),
        )
        view.across(rod, width, above=0.45, y1=float(up) + reach, y2=body - r)
        view.across(0, width, above=0.9, y1=body - r, y2=body - r)
        view.up(0, up, left=0.45, x1=0, x2=float(rail) - reach, how=How(printed=PRINTED_HOLES_UP))
        view.up(0, body, left=0.9, x1=0, x2=r)
        view.across(0, tab, below=0.45, y1=0, y2=-p.TAB_DEPTH)
        view.across(tab, tab_end, below=0.45)
        view.up(-p.TAB_DEPTH, 0, right=0.45, x1=tab_end, x2=width)
        view.diameter(rod, up, p.RAIL, angle=145.0, reach=0.75, before="2X ", after=" THRU")
        view.radius(width - r, body - r, r, angle=45.0, reach=-0.42, after=" TYP")
        view.title(0.98, "SIDE PLATE", ("count", "MAKE 2"))


def _base(paper: Paper) -> None:
    length, width, edge = p.BASE_LENGTH, p.BASE_WIDTH, p.MORTISE_FROM_EDGE
    start, end = Fraction(2), Fraction(2) + p.TAB_LENGTH
    half = p.STOCK_THICKNESS / 2
    inset = p.POST_INSET
    with view_of(paper, part="BASE", origin=(9.3, 5.5), box=(0, 0, length, width)) as view:
        view.outline((0, 0), (length, 0), (length, width), (0, width))
        for y in (edge, edge + p.MORTISE_APART):
            view.outline((start, y - half), (end, y - half), (end, y + half), (start, y + half))
            view.centre_line((start, y), (end, y), 0.16)
        for x in (inset, length - inset):
            for y in (inset, width - inset):
                view.hole(x, y, p.POST_HOLE)
        view.across(0, start, above=0.45)
        view.across(start, end, above=0.45, y1=width - edge + half, y2=width - edge + half)
        view.across(0, length, above=0.9)
        left = start - Fraction(4, 25)
        view.up(0, edge, left=0.45, x2=left)
        view.up(edge, edge + p.MORTISE_APART, left=0.45, x1=left, x2=left)
        view.up(edge + p.MORTISE_APART, width, left=0.45, x1=left)
        view.up(0, width, right=0.45)
        view.up(
            edge - half,
            edge + half,
            right=-1.1,
            x1=end,
            x2=end,
            how=How(outside=True, text_past=0.02, after=" TYP"),
        )
        view.across(
            length - inset,
            length,
            below=0.4,
            y1=inset - Fraction(1, 5),
            how=How(outside=True, text_past=-0.06, after=" TYP"),
        )
        view.diameter(
            length - inset,
            width - inset,
            p.POST_HOLE,
            angle=228.0,
            reach=0.62,
            before="4X ",
            after=" THRU",
        )
        view.title(0.75, "BASE", ("count", "MAKE 1"))


def _ramp(paper: Paper) -> None:
    # Planted: drawn at half size, and the sheet says full size.
    length, width = p.RAMP_LENGTH, p.RAMP_WIDTH
    first, second, third = p.RAMP_HOLES
    with view_of(
        paper, part="RAMP", origin=(1.7, 9.35), box=(0, 0, length, width), factor=Fraction(2)
    ) as view:
        view.outline((0, 0), (length, 0), (length, width), (0, width))
        view.centre_line((0, width / 2), (length, width / 2))
        for x in p.RAMP_HOLES:
            view.hole(x, width / 2, p.RAIL)
        top = float(width) / 2 + float(p.RAIL) / 2 + 0.18
        view.across(0, first, above=0.38, y2=top)
        view.across(first, second, above=0.38, y1=top, y2=top)
        view.across(second, third, above=0.38, y1=top, y2=top)
        view.across(0, length, below=0.38)
        view.up(0, width, right=0.42)
        view.diameter(third, width / 2, p.RAIL, angle=215.0, reach=0.3, before="3X ")
        view.title(0.72, "RAMP", ("count", "MAKE 1"))
