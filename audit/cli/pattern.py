"""`plan-audit pattern` and `bars`: true-size patterns, and what the printer does to them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from audit.cli.printing import console, tell_progress
from audit.cli.strangers import open_checked
from audit.errors import BadUsage, NotALength, one_line
from audit.geometry import Point
from audit.isolation import compose_pdf
from audit.lengths import Unit, parse_length
from audit.pipeline.patterns import PatternWish, make_pattern, pattern_unit
from audit.pipeline.unpacking import open_plans_of
from audit.report.bars import judge_bars, plan_bars
from audit.report.pattern_subject import Grain, PatternOptions
from audit.report.tiling import OVERLAP_MM, find_paper

LEAST_DPI, MOST_DPI = 72.0, 600.0
PRINTER_OFF = 0.06  # share; a printer further off would print over the edge of the page


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternArguments:
    """What the user typed."""

    audit: Path
    output: Path | None
    part: str | None = None
    view: int | None = None
    mirror: bool = False
    paper: str | None = None
    grain: str = "long"
    overlap: str | None = None
    dpi: float = 300.0
    centre_line: str | None = None
    printer: str | None = None


def run_pattern(given: PatternArguments) -> int:
    """Write a pattern as a PDF."""
    target = pdf_name(given.output)
    with open_checked(given.audit, read_only=True) as file:
        unit = pattern_unit(file.load())
        wish = _wish(given, unit)
        with open_plans_of(file) as opened:
            plan = make_pattern(opened, wish)
    target = target or given.audit.with_name(f"{given.audit.stem}-{_slug(given)}.pdf")
    compose_pdf(plan, target)
    tell_progress(f"wrote {target}: {len(plan.pages)} pages")
    return 0


def _wish(given: PatternArguments, unit: Unit) -> PatternWish:
    if not LEAST_DPI <= given.dpi <= MOST_DPI:
        problem = f"{given.dpi:g} dpi is no use for a pattern"
        raise BadUsage(problem, advice=f"give {LEAST_DPI:g} to {MOST_DPI:g}")
    options = PatternOptions(
        paper=find_paper(given.paper or default_paper(unit)),
        unit=unit,
        mirror=given.mirror,
        grain=_grain(given.grain),
        overlap=OVERLAP_MM if given.overlap is None else _mm(given.overlap),
        printer=(1.0, 1.0) if given.printer is None else parse_printer(given.printer),
    )
    line = None if given.centre_line is None else _two_places(given.centre_line)
    return PatternWish(
        part=given.part, view=given.view, options=options, dpi=given.dpi, centre_line=line
    )


def default_paper(unit: Unit) -> str:
    """Name the paper that a plan's owner is likely to have."""
    return "a4" if unit is Unit.MM else "letter"


def pdf_name(output: Path | None) -> Path | None:
    """Check that an output is named as a PDF.

    Raises
    ------
    BadUsage
        If it is not.
    """
    if output is not None and output.suffix.lower() != ".pdf":
        problem = f"{one_line(output.name)} is no PDF name"
        raise BadUsage(problem, advice="end the output's name in .pdf")
    return output


def _grain(text: str) -> Grain:
    try:
        return Grain(text.strip().lower())
    except ValueError:
        advice = f"say {', '.join(Grain)}"
        raise BadUsage(f"{one_line(text)} is no way of the grain", advice=advice) from None


def _mm(text: str, *, unit: Unit | None = None) -> float:
    return float(parse_length(text, unit=unit).to(Unit.MM))


def _two_places(text: str) -> tuple[Point, Point]:
    numbers = re.findall(r"-?\d+(?:\.\d+)?", text)
    if len(numbers) != 4 or re.sub(r"[-\d.,;\s]", "", text):
        problem = f"“{one_line(text)}” is no line"
        raise BadUsage(problem, advice="give two places in the sheet's frame: 'x,y x,y'")
    x0, y0, x1, y1 = map(float, numbers)
    return Point(x0, y0), Point(x1, y1)


def parse_printer(text: str) -> tuple[float, float]:
    """Read the factors of a printer, across and down: ``0.985x1.004``.

    Raises
    ------
    BadUsage
        If the text is no such pair, or too far off.
    """
    match = re.fullmatch(r"\s*(\d*\.?\d+)\s*[x×,]\s*(\d*\.?\d+)\s*", text)
    factors = (float(match[1]), float(match[2])) if match else (0.0, 0.0)
    if any(abs(factor - 1) > PRINTER_OFF for factor in factors):
        problem = f"“{one_line(text)}” are no factors of a printer"
        raise BadUsage(problem, advice="give what “plan-audit bars --measured” says: 0.985x1.004")
    return factors


def _slug(given: PatternArguments) -> str:
    name = given.part if given.part is not None else f"view-{given.view}"
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "part"
    return f"pattern-{plain}{'-mirrored' if given.mirror else ''}"


def run_bars(
    output: Path | None, *, paper: str | None, unit: str | None, measured: str | None
) -> int:
    """Write a check sheet, or say what two measured bars tell of a print.

    Raises
    ------
    BadUsage
        If the unit is none, or the measures are no pair of lengths.
    """
    if unit not in (None, "in", "mm"):
        raise BadUsage(f"{one_line(unit)} is no unit of a bar", advice="say in or mm")
    wanted = Unit(unit) if unit else _unit_of(paper)
    if measured is not None:
        across, down = parse_measured(measured, unit=wanted)
        console().print(judge_bars(across, down, unit=wanted).advice)
        return 0
    sheet = find_paper(paper or default_paper(wanted))
    target = pdf_name(output) or Path(f"check-bars-{sheet.name.lower()}.pdf")
    compose_pdf(plan_bars(sheet, unit=wanted), target)
    tell_progress(f"wrote {target}")
    return 0


def _unit_of(paper: str | None) -> Unit:
    return Unit.MM if (paper or "").strip().lower() == "a4" else Unit.IN


def parse_measured(text: str, *, unit: Unit) -> tuple[float, float]:
    """Read two measured bars: ``150.2 x 150.6 mm``, ``5 29/32 x 6``; mm.

    Raises
    ------
    BadUsage
        If the text is no pair of lengths.
    """
    parts = re.split(r"\s*[x×]\s*", text.strip())
    if len(parts) != 2:
        problem = f"“{one_line(text)}” are no two lengths"
        raise BadUsage(problem, advice="give the bar across, then the bar down: “150.2 x 150.6 mm”")
    found = re.search(r"(mm|in|\")\s*$", parts[1])
    if found and not re.search(r"[a-z\"]\s*$", parts[0]):
        parts[0] += f" {found[1]}"
    try:
        return _mm(parts[0], unit=unit), _mm(parts[1], unit=unit)
    except (NotALength, ValueError) as error:
        problem = f"“{one_line(text)}” are no two lengths"
        raise BadUsage(problem, advice="give them as 150.2 x 150.6 mm") from error
