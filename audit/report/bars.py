"""Check bars: lengths printed to be measured, and what their measures say of the print."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audit.errors import BadUsage
from audit.geometry import Box, Point
from audit.lengths import MM_PER_INCH, Unit
from audit.records import PrintGroup, PrintItem, PrintPage, PrintPath, PrintPlan, PrintText
from audit.report.tiling import Paper

BAR_IN, BAR_MM = 6.0, 150.0  # length of a check bar in the plan's unit; fits A4 and Letter
BAR_HEIGHT, BAR_LINE = 3.4, 0.12  # mm
TRUE_WITHIN = 0.0005  # share; a steel rule shows no less on a check bar (0.08 mm in 150)
FARTHEST = 0.25  # share; a print further off is a mistake in the measure
SOFT = (0.373, 0.424, 0.482)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintFactors:
    """Size of a print over the size it should have, in both directions, and what to do.

    `even` tells that one percentage sets both right.
    """

    x: float
    y: float
    even: bool
    advice: str

    @property
    def percent(self) -> float:
        """What to print again at, when it is even; % of the present setting."""
        return 200.0 / (self.x + self.y)


def bar_length(unit: Unit) -> float:
    """Length of a check bar, mm."""
    return BAR_IN * float(MM_PER_INCH) if unit is Unit.IN else BAR_MM


def say_bar(unit: Unit) -> str:
    """Name the length of a check bar in both units."""
    if unit is Unit.IN:
        return f"{BAR_IN:g} in = {bar_length(unit):.1f} mm"
    return f"{BAR_MM:g} mm = {BAR_MM / 25.4:.3f} in"


def judge_bars(across: float, down: float, *, unit: Unit) -> PrintFactors:
    """Work out the factors of a print from its two measured check bars.

    Parameters
    ----------
    across : float
        Measured length of the bar that runs from left to right, mm.
    down : float
        Of the bar that runs from top to bottom, mm.
    unit : Unit
        That of the sheet; it tells how long the bars should be.

    Returns
    -------
    PrintFactors

    Raises
    ------
    BadUsage
        If a measure is no length of such a bar.

    Examples
    --------
    >>> judge_bars(147.75, 147.8, unit=Unit.MM).advice
    'The print is 98.50 % across and 98.53 % down. Print again at 101.51 % of the setting you used.'
    >>> judge_bars(150.0, 150.0, unit=Unit.MM).advice
    'The print is true to size in both directions.'
    """
    true = bar_length(unit)
    for name, measured in (("across", across), ("down", down)):
        if not abs(measured / true - 1) <= FARTHEST:
            problem = f"a bar {name} of {measured:g} mm is not a print of the {true:g} mm bar"
            raise BadUsage(problem, advice="measure the bar between its end lines")
    x, y = across / true, down / true
    even = abs(x - y) <= 2 * TRUE_WITHIN
    return PrintFactors(x=x, y=y, even=even, advice=_advise(x, y, even=even))


def _advise(x: float, y: float, *, even: bool) -> str:
    if max(abs(x - 1), abs(y - 1)) <= TRUE_WITHIN:
        return "The print is true to size in both directions."
    told = f"The print is {100 * x:.2f} % across and {100 * y:.2f} % down."
    if even:
        return f"{told} Print again at {200 / (x + y):.2f} % of the setting you used."
    return (
        f"{told} No one setting sets both right: print again without fitting to the page, or make "
        f"the pattern with --printer {x:.4f}x{y:.4f}, which takes it out."
    )


def draw_bar(at: Point, *, unit: Unit, upright: bool, label: bool = True) -> list[PrintItem]:
    """Draw a check bar from `at`, rightwards or downwards; its length is between its end lines.

    Parameters
    ----------
    at : Point
        Middle of the first end line, mm.
    unit : Unit
    upright : bool
        Downwards.
    label : bool
        Print its length beside it.

    Returns
    -------
    list of PrintItem
    """
    length = bar_length(unit)
    steps = 6 if unit is Unit.IN else 15
    half = BAR_HEIGHT / 2

    def place(along: float, aside: float) -> tuple[float, float]:
        return (at.x + aside, at.y + along) if upright else (at.x + along, at.y + aside)

    def line(*points: tuple[float, float]) -> PrintPath:
        return PrintPath(points=np.array(points), width=BAR_LINE)

    items: list[PrintItem] = [line(place(0, 0), place(length, 0))]
    items += [line(place(e, -half), place(e, half)) for e in (0.0, length)]
    for k in range(1, steps):
        items.append(
            line(place(length * k / steps, -half / 2), place(length * k / steps, half / 2))
        )
    if label:
        way = "down" if upright else "across"
        x, y = place(length / 2, -half - 0.9)
        text = f"measure me {way}: {say_bar(unit)}"
        items.append(
            PrintText(
                text=text, at=Point(x, y), size=7.0, colour=SOFT, align=0.5,
                angle=90.0 if upright else 0.0, plain=True,
            )
        )  # fmt: skip
    return items


def plan_bars(paper: Paper, *, unit: Unit) -> PrintPlan:
    """Compose a check sheet: a bar in each direction, and a square with its diagonals.

    Parameters
    ----------
    paper : Paper
    unit : Unit

    Returns
    -------
    PrintPlan
    """
    left, top = 30.0, 62.0
    length = bar_length(unit)
    items: list[PrintItem] = [
        PrintText(text="Check bars", at=Point(18, 24), size=20, bold=True),
        PrintText(
            text="What a printer or copier does to sizes, in both directions",
            at=Point(18, 30.5),
            size=10,
            colour=SOFT,
        ),
        *draw_bar(Point(left, top), unit=unit, upright=False),
        *draw_bar(Point(left, top), unit=unit, upright=True),
        *_square(left, top, length),
        *_explain(top + length + 12, unit),
    ]
    frame = Box(0, 0, paper.width, paper.height)
    page = PrintPage(
        width=paper.width, height=paper.height, groups=(PrintGroup(items=tuple(items), clip=frame),)
    )
    return PrintPlan(title="Check bars", pages=(page,))


def _square(left: float, top: float, side: float) -> list[PrintItem]:
    corners = [(left, top), (left + side, top), (left + side, top + side), (left, top + side)]
    items: list[PrintItem] = [
        PrintPath(points=np.array(corners), width=BAR_LINE, closed=True),
        PrintPath(points=np.array([corners[0], corners[2]]), width=BAR_LINE, colour=SOFT),
        PrintPath(points=np.array([corners[1], corners[3]]), width=BAR_LINE, colour=SOFT),
    ]
    middle = Point(left + side / 2, top + side / 2)
    items.append(
        PrintText(
            text="the two diagonals are equal when the print is square",
            at=middle.moved(0, -side * 0.17),
            size=8,
            colour=SOFT,
            align=0.5,
        )
    )
    return items


def _explain(y: float, unit: Unit) -> list[PrintItem]:
    lines = (
        f"Print at 100 % (actual size, nothing fitted). Both bars are then {say_bar(unit)}.",
        "Measure both between their end lines with a good rule, to 0.1 mm or 1/64 in.",
        "Then let the tool work it out:  plan-audit bars --measured “ACROSS x DOWN”",
        "To judge a copier: copy this sheet, and measure the copy.",
    )
    return [
        PrintText(text=line, at=Point(18, y + 5.6 * k), size=9.5) for k, line in enumerate(lines)
    ]
