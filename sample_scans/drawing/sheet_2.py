"""Sheet 2, letter, drawn by hand and scanned: lift step, cam, cam rod, rail."""

from __future__ import annotations

from fractions import Fraction

from drawing import parts as p
from drawing.dimensioning import DimensionedView, How, view_of
from drawing.furniture import border, check_rule, title_block
from drawing.marks import step
from drawing.sheet import Paper, Style

# Planted: drawn 3, and nothing else says how high the low edge is.
PRINTED_STEP_LOW = Fraction(23, 8)
# Planted: eight cams carry one lift step each.
PRINTED_STEP_COUNT = 6


def draw() -> Paper:
    paper = Paper(
        number=2, width=11.0, height=8.5, style=Style(hand=True, stacked=True, break_line=True)
    )
    border(paper, 0.4)
    _lift_step(paper)
    _cam(paper)
    _cam_rod(paper)
    _rail(paper)
    check_rule(paper, (1.2, 7.87), 0.0)
    check_rule(paper, (10.2, 5.2), 90.0)
    title_block(paper, (5.9, 7.35, 10.6, 8.1), "STEP, CAM, RODS")
    return paper


def _lift_step(paper: Paper) -> None:
    width, high, low = p.STEP_WIDTH, p.STEP_HIGH, p.STEP_LOW
    slot, depth = p.STEP_SLOT_AT, p.STEP_SLOT_DEPTH
    slot_end = slot + p.STEP_SLOT
    with view_of(paper, part="LIFT STEP", origin=(1.65, 4.0), box=(0, 0, width, high)) as view:
        view.outline(
            (0, 0),
            (slot, 0),
            (slot, depth),
            (slot_end, depth),
            (slot_end, 0),
            (width, 0),
            (width, high),
            (0, low),
        )
        view.up(0, low, left=0.5, how=How(printed=PRINTED_STEP_LOW))
        view.up(0, high, right=0.5)
        view.up(0, depth, left=-0.42, x1=0.2, x2=slot)
        view.across(slot, slot_end, below=0.38, how=How(outside=True, text_past=0.03))
        view.across(0, slot, below=0.73)
        view.across(0, width, below=1.08)
        view.title(1.4, "LIFT STEP", ("count", f"MAKE {PRINTED_STEP_COUNT}"))


def _cam(paper: Paper) -> None:
    radius = p.CAM / 2
    throw, apart = p.CAM_THROW, p.CAM_PEGS_APART
    with view_of(
        paper, part="CAM", origin=(6.75, 2.1), box=(-radius, -radius, radius, radius)
    ) as view:
        paper.arc(view.at(0, 0), float(radius))
        view.centre_line((-radius, 0), (radius, 0), 0.14)
        view.centre_line((0, -radius), (0, radius), 0.14)
        view.hole(-throw, 0, p.CAM_BORE, mark=False)
        bore = view.at(-throw, 0)
        paper.line(step(bore, 90.0, 0.21), step(bore, 90.0, -0.21))
        for y in (apart / 2, -apart / 2):
            view.hole(0, y, p.PEG, mark=False)
            peg = view.at(0, y)
            paper.line(step(peg, 0.0, -0.13), step(peg, 0.0, 0.13))
        view.across(
            -throw,
            0,
            below=0.42,
            y1=-0.21,
            y2=-radius - Fraction(7, 50),
            how=How(outside=True, text_past=0.03),
        )
        view.up(-apart / 2, apart / 2, right=0.45, x1=0.13, x2=0.13)
        view.diameter(0, 0, p.CAM, angle=38.0, reach=0.42)
        view.diameter(-throw, 0, p.CAM_BORE, angle=152.0, reach=0.95, after=" BORE")
        view.diameter(0, apart / 2, p.PEG, angle=128.0, reach=0.75, before="2X ")
        view.title(0.82, "CAM", ("count", "MAKE 8"))


def _cam_rod(paper: Paper) -> None:
    length, size = p.ROD_LENGTH, p.ROD
    at = length - p.ROD_PEG_AT
    with view_of(paper, part="CAM ROD", origin=(5.0, 4.88), box=(0, 0, length, size)) as view:
        view.outline((0, 0), (length, 0), (length, size), (0, size))
        view.centre_line((0, size / 2), (length, size / 2), 0.14)
        view.hole(at, size / 2, p.PEG, mark=False)
        peg = view.at(at, size / 2)
        paper.line(step(peg, 90.0, -0.2), step(peg, 90.0, 0.2))
        view.across(
            at,
            length,
            above=0.36,
            y1=size / 2 + Fraction(1, 5),
            how=How(outside=True, text_past=0.02),
        )
        view.across(0, length, below=0.4)
        _across_bar(view, 0.35, size, 0.0, 0.55)
        view.diameter(at, size / 2, p.PEG, angle=142.0, reach=0.42, after=" THRU")
        view.title(0.7, "CAM ROD", ("count", "MAKE 1"))


def _rail(paper: Paper) -> None:
    # Drawn broken: 5 3/8 in stand for 14.
    size, tenon, end = p.RAIL, p.RAIL_TENON, p.RAIL_TENON_LENGTH
    drawn, cut, again = Fraction(43, 8), Fraction(13, 5), Fraction(29, 10)
    low, high = (size - tenon) / 2, (size + tenon) / 2
    groove = p.RAIL_GROOVE_AT
    with view_of(
        paper, part="RAIL", kind="broken", origin=(1.2, 6.7), box=(0, 0, drawn, size)
    ) as view:
        view.outline((cut, size), (end, size), (end, 0), (cut, 0), closed=False)
        view.outline((end, low), (0, low), (0, high), (end, high), closed=False)
        view.outline((again, size), (drawn - end, size), (drawn - end, 0), (again, 0), closed=False)
        view.outline(
            (drawn - end, low), (drawn, low), (drawn, high), (drawn - end, high), closed=False
        )
        for x in (cut, again):
            _rod_break(view, x, size)
        view.centre_line((0, size / 2), (cut, size / 2), 0.14)
        view.centre_line((again, size / 2), (drawn, size / 2), 0.14)
        view.outline((groove, 0), (groove, size), closed=False)
        view.across(0, end, above=0.36, y1=high)
        view.across(end, groove, above=0.36)
        view.across(0, drawn, below=0.36, y1=low, y2=low, how=How(true=p.RAIL_LENGTH))
        _across_bar(view, 2.15, size, 0.0, 0.6)
        _across_bar(view, float(drawn) - 0.25, tenon, float(low), 0.45)
        view.title(0.6, "RAIL", ("count", "MAKE 4"))


def _across_bar(view: DimensionedView, x: float, size: Fraction, y: float, reach: float) -> None:
    """Call the thickness of a round bar out with a leader to its upper edge."""
    tip, far = view.at(x, y + float(size)), view.at(x, y)
    elbow = (tip[0] + reach * 0.45, tip[1] - reach * 0.8)
    view.leader(tip, elbow, kind="diameter", points=(tip, far), size=size, how=How(before="Ø "))


def _rod_break(view: DimensionedView, x: Fraction, size: Fraction) -> None:
    """Draw the S-shaped break of a round bar."""
    half = float(size) / 2
    points = [
        (0.0, 1.0),
        (0.05, 0.8),
        (0.06, 0.5),
        (0.03, 0.2),
        (0.0, 0.0),
        (-0.03, -0.2),
        (-0.06, -0.5),
        (-0.05, -0.8),
        (0.0, -1.0),
    ]
    view.outline(*((float(x) + dx, half + dy * half) for dx, dy in points), closed=False)
