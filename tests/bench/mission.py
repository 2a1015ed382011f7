"""Mistakes that cost stock, each planted alone: what is told, told clearly, and told wrongly.

    python -m tests.bench mission [--full]

Six kinds: a chain that does not add up, two views that disagree, a size nobody wrote, a count that
the drawing does not show, a list that asks for fewer than there are places, a hole its pin cannot
enter. A mistake is *told* when an error or a warning of the right kind names what it is about; a
*note* tells it only as a question. *False* are the other errors and warnings. `--full` also checks
the sheets as scans of 200 dpi.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import pymupdf
from rich.console import Console
from rich.table import Table

from audit.pipeline import CheckRequest, check
from audit.records import Finding, Settings, Severity
from tests.bench.mission_held import HELD_OUT
from tests.bench.mission_plans import DEVELOPMENT, SLIPS, Plan

DPI = 200
TELLS = {
    "chain": ("C101", "C102"),
    "views": ("A101", "C101", "C110", "P101"),
    "missing": ("M102",),
    "count": ("P110",),
    "list": ("P102", "P103", "P111"),
    "fit": ("F101",),
}
# What a finding must name, by plan and kind: the wrong number, or the part it is about.
NAMES = {
    "peg rack, inches": ("3 1/4", "2 3/4", "RAIL", "5X Ø 1/2", "PEG", "5/8"),
    "drawer, mm": ("22", "440", "DRAWER FRONT", "5X Ø8", "DOWEL", "10 mm"),
    "wall box, cm": ("9,6", "38,1", "SIDE", "6X Ø0,65", "SHELF PIN", "8 mm"),
    "toy cart, decimals": ("7.250", "5.500", "DECK", "6X Ø .500", "WHEEL", "AXLE"),
    "stool, inches": ("10 1/2", "14 3/4", "SEAT", "1 DIA", "LEG", "1 1/4"),
    "tool tray, mm": ("32", "108", "END", "6 x Ø6", "PIN", "28"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What came of one sheet: how its mistake was told, and how many alarms are false."""

    slip: str
    how: str
    false: int


def check_one(name: str, plan: Plan, slip: str, *, scan: bool = False) -> Told:
    """Draw one sheet, check it as a user would, and judge what is told."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "plan.pdf"
        path.write_bytes(plan(slip).pdf())
        if scan:
            picture = pymupdf.open(path)[0].get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
            path = path.with_suffix(".png")
            picture.set_dpi(DPI, DPI)
            picture.save(path)
        found = check(CheckRequest(plans=(path,), settings=Settings())).audit.findings
    mine = [f for f in found if slip and is_about(f, name, slip)]
    alarms = [f for f in found if f.severity is not Severity.NOTE]
    how = "missed"
    if mine:
        how = "told" if any(f in alarms for f in mine) else "note"
    return Told(slip=slip, how=how, false=sum(f not in mine for f in alarms))


def is_about(finding: Finding, name: str, slip: str) -> bool:
    """Whether a finding is of the planted kind and names what is wrong."""
    names = NAMES[name][SLIPS.index(slip)]
    return finding.code in TELLS[slip] and names in finding.text


def run(*, full: bool) -> None:
    """Print the table."""
    table = Table("set", "as", "sheets", *SLIPS, "told", "false alarms", title="planted mistakes")
    for label, plans in (("development", DEVELOPMENT), ("held out", HELD_OUT)):
        for scan in (False, True) if full else (False,):
            told = [
                check_one(name, plan, slip, scan=scan)
                for name, plan in plans.items()
                for slip in ("", *SLIPS)
            ]
            table.add_row(label, "scan" if scan else "PDF", *_row(told))
    Console(width=120).print(table)


def _row(told: list[Told]) -> list[str]:
    kinds = []
    for slip in SLIPS:
        how = Counter(t.how for t in told if t.slip == slip)
        asked = f" + {how['note']} asked" if how["note"] else ""
        kinds.append(f"{how['told']}{asked} of {how.total()}")
    planted = [t for t in told if t.slip]
    named = sum(t.how == "told" for t in planted)
    false = sum(t.false for t in told)
    return [
        str(len(told)),
        *kinds,
        f"{named / len(planted):.2f}",
        f"{false / len(told):.2f} a sheet",
    ]
