"""`plan-audit shop`: what goes to the shop, as PDF, CSV or JSON."""

from __future__ import annotations

from pathlib import Path

from audit.cli.pattern import default_paper
from audit.cli.printing import tell_progress
from audit.cli.strangers import open_checked
from audit.errors import BadUsage, one_line
from audit.isolation import compose_pdf
from audit.lengths import Length, Unit, parse_length
from audit.pipeline.patterns import pattern_unit
from audit.pipeline.shop import make_shop_booklet
from audit.pipeline.unpacking import open_plans_of
from audit.report.shop import make_shop_list
from audit.report.shop_tables import shop_csv, shop_json
from audit.report.tiling import find_paper
from audit.report.writing import write_whole

LARGEST_ALLOWANCE_MM = 100.0
_TEXTS = {".csv": shop_csv, ".json": shop_json}


def run_shop(audit: Path, output: Path | None, *, paper: str | None, allowance: str | None) -> int:
    """Write the shop sheet; the suffix of the output says how.

    Raises
    ------
    BadUsage
        If the suffix is another.
    """
    target = output or audit.with_name(f"{audit.stem}-shop.pdf")
    suffix = target.suffix.lower()
    if suffix != ".pdf" and suffix not in _TEXTS:
        name = one_line(target.suffix) or "a file without suffix"
        problem = f"a shop sheet cannot be written as {name}"
        raise BadUsage(problem, advice="end the name in .pdf, .csv or .json")
    with open_checked(audit, read_only=True) as file:
        unit = pattern_unit(file.load())
        rough = None if allowance is None else parse_allowance(allowance, unit=unit)
        if suffix in _TEXTS:
            shop = make_shop_list(file.load(), allowance=rough)
            write_whole(target, _TEXTS[suffix](shop))
        else:
            sheet = find_paper(paper or default_paper(unit))
            with open_plans_of(file) as opened:
                booklet = make_shop_booklet(opened, sheet, allowance=rough)
            compose_pdf(booklet, target)
    tell_progress(f"wrote {target}")
    return 0


def parse_allowance(text: str, *, unit: Unit) -> Length:
    """Read what rough sizes are larger by.

    Raises
    ------
    BadUsage
        If it is no length, or one that nobody allows.
    """
    length = parse_length(text, unit=unit)
    if length.unit is Unit.DEG or not 0 <= float(length.to(Unit.MM)) <= LARGEST_ALLOWANCE_MM:
        problem = f"“{one_line(text)}” is no allowance for rough sizes"
        raise BadUsage(problem, advice="give 0 to 4 in, such as 1/4in")
    return length
