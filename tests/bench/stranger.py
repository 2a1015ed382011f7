"""What `check` makes of drawings that other people, and other programs, drew.

``python -m tests.bench stranger --from FOLDER`` takes the DXF files of a folder, and lets the
programs of `program_sheets` that are installed draw sheets of their own. Drawings are kept apart by
their names: those whose name's CRC-32 is odd are held out, but for those in `LOOKED_AT`; of the
programs those in `BLIND` are. The baseline in the same run are the drawings as they are: whatever
is cried there is a false alarm.
"""

from __future__ import annotations

import sys
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image
from rich.console import Console
from rich.table import Table

from audit.pipeline import CheckRequest, check
from audit.records import Audit, Finding, Settings, Severity, TextState, Verdict
from tests.bench.ezdxf_drawing import BenchSheet, Truth
from tests.bench.find_vector import compare
from tests.bench.program_sheets import program_sheet
from tests.bench.programs import PROGRAMS, is_there
from tests.bench.stranger_sheets import ODD, StrangeSheet, cut_sheets
from tests.bench.worn_sheets import wear

WITHIN_PT = 1.5  # an end further off belongs to another dimension
DPI = 200.0
LOOKED_AT = frozenset(  # with odd names, but their failures were looked at: development
    {
        "02_Concrete_Slab_PL",
        "03_Concrete_Wall_EN",
        "06_Precast_Beam_EN",
        "234",
        "file2",
        "sample2",
        "sample3",
    }
)
BLIND = frozenset({"freecad crowded", "kicad crowded"})  # programs whose failures nobody saw
EACH = 12  # sheets that a program draws
SHORT = {"text": 6, "outlined": 2, "scan": 1}  # sheets of a drawing that the short run takes
ALARMS = ("A1", "C1")
LOUD = (Severity.ERROR, Severity.WARNING)


@dataclass(slots=True)
class Seen:
    """Counts over some sheets; `lost` says in words what was not found, read or judged right."""

    sheets: int = 0
    dimensions: int = 0
    found: int = 0
    right: int = 0
    judged: int = 0
    disagreed: int = 0
    texts: int = 0
    unchecked: int = 0
    false: int = 0
    codes: Counter[str] = field(default_factory=Counter)
    planted: int = 0
    named: int = 0
    false_planted: int = 0
    lost: list[str] = field(default_factory=list)

    def count(self, sheet: StrangeSheet, audit: Audit) -> None:
        """Count what was made of a sheet as it was drawn."""
        truths = sheet.page.truths
        pairs = compare(truths, audit.dimensions, within=WITHIN_PT)
        self.sheets += 1
        self.dimensions += len(truths)
        self.found += len(pairs)
        self.texts += len(audit.texts)
        self.unchecked += sum(t.state is TextState.NOT_CHECKED for t in audit.texts)
        alarms = false_alarms(truths, audit)
        self.false += len(alarms)
        self.codes.update(f.code for f in alarms)
        self.lost += [f"{sheet.name}: FALSE {f.code} {f.text}" for f in alarms]
        for i, j, right in pairs:
            dimension = audit.dimensions[j]
            due = Verdict.DISAGREES if truths[i].right else Verdict.AGREES
            self.right += right
            self.judged += right and dimension.verdict is due
            self.disagreed += not truths[i].right and dimension.verdict is Verdict.DISAGREES
            if not right or dimension.verdict is not due:
                said = dimension.reading.text if dimension.reading else None
                why = f"{dimension.verdict.value} {dimension.why or ''}"
                self.lost.append(f"{sheet.name}: {truths[i].text} read {said}: {why}")
        for k in sorted(set(range(len(truths))) - {i for i, _, _ in pairs}):
            self.lost.append(f"{sheet.name}: {truths[k].text} not found at {truths[k].ends}")

    def count_planted(self, sheet: StrangeSheet, audit: Audit) -> None:
        """Count which planted errors were named, and what else was cried beside them."""
        truths = sheet.page.truths
        loud = {f.dimensions[0] for f in audit.findings if _is_loud(f) and f.dimensions}
        named = {
            i
            for i, j, _ in compare(truths, audit.dimensions, within=WITHIN_PT)
            if audit.dimensions[j].verdict is Verdict.DISAGREES or audit.dimensions[j].id in loud
        }
        for k, truth in enumerate(truths):
            if truth.right in ("", ODD):
                continue
            self.planted += 1
            self.named += k in named
            if k not in named:
                self.lost.append(f"{sheet.name}: {truth.right} printed {truth.text}: not named")
        self.false_planted += len(false_alarms(truths, audit))

    @property
    def cells(self) -> tuple[str, ...]:
        """Cells of the table."""

        def share(n: int, of: int) -> str:
            return f"{n / of:.3f}" if of else "–"

        codes = ", ".join(f"{code} {n}" for code, n in self.codes.most_common(4))
        return (
            f"{self.sheets} / {self.dimensions}",
            *(share(n, self.dimensions) for n in (self.found, self.right, self.judged)),
            f"{self.disagreed}, {self.false} ({codes})" if self.false else str(self.disagreed),
            share(self.texts - self.unchecked, self.texts),
            f"{self.named} / {self.planted}",
            str(self.false_planted),
        )


def _is_loud(finding: Finding) -> bool:
    return finding.code[:2] in ALARMS and finding.severity in LOUD


def false_alarms(truths: Sequence[Truth], audit: Audit) -> list[Finding]:
    """Warnings and errors of agreement and of chains that no wrong number of a sheet earned."""
    wrong = {
        audit.dimensions[j].id
        for i, j, _ in compare(truths, audit.dimensions, within=WITHIN_PT)
        if truths[i].right
    }
    return [f for f in audit.findings if _is_loud(f) and not wrong & set(f.dimensions)]


def is_held_out(name: str) -> bool:
    """Whether the failures of a drawing are not to be looked at."""
    return name not in LOOKED_AT and zlib.crc32(name.encode()) % 2 == 1


def check_page(page: BenchSheet, *, scanned: bool, seed: int) -> Audit:
    """Check a page as a user would, the PDF or a scan of it; ends in pt of the page."""
    with TemporaryDirectory() as folder:
        if not scanned:
            path = Path(folder) / "sheet.pdf"
            path.write_bytes(page.pdf)
            return check(CheckRequest(plans=(path,), settings=Settings())).audit
        worn = wear(page.pdf, dpi=DPI, how="scan", rng=np.random.default_rng(seed))
        path = Path(folder) / "sheet.png"
        Image.fromarray(worn.pixels).save(path, dpi=(DPI, DPI))
        audit = check(CheckRequest(plans=(path,), settings=Settings())).audit
    back = worn.from_pt.inverse()
    dimensions = tuple(
        replace(d, ends=tuple(replace(e, point=back.apply(e.point)) for e in d.ends))
        for d in audit.dimensions
    )
    return replace(audit, dimensions=dimensions)


def audits(
    path: Path, *, pages: str, most: int, plant: np.random.Generator | None = None
) -> Iterator[tuple[StrangeSheet, Audit]]:
    """Cut the sheets of a drawing and check each."""
    for number, sheet in enumerate(cut_sheets(path, outlined=pages != "text", plant=plant)):
        if number == most:
            return
        seed = zlib.crc32(sheet.name.encode())
        yield sheet, check_page(sheet.page, scanned=pages == "scan", seed=seed)


def look(paths: Iterable[Path], *, pages: str, most: int) -> Seen:
    """Check drawings as they are, and with one number in twenty six percent off."""
    seen = Seen()
    for path in paths:
        for sheet, audit in audits(path, pages=pages, most=most):
            seen.count(sheet, audit)
        plant = np.random.default_rng(zlib.crc32(path.name.encode()))
        for sheet, audit in audits(path, pages=pages, most=most, plant=plant):
            seen.count_planted(sheet, audit)
    return seen


def look_at_program(program: str, *, scanned: bool, sheets: int) -> Seen:
    """Check what a program draws, as it is and with one number of a sheet six percent off."""
    seen = Seen()
    for number in range(sheets):
        name = f"{program} {number}"
        for plant in (False, True):
            page = program_sheet(program, number, plant=plant)
            audit = check_page(page, scanned=scanned, seed=number)
            count = seen.count_planted if plant else seen.count
            count(StrangeSheet(name=name, page=page), audit)
    return seen


def run(*, full: bool, folder: Path | None = None, show: bool = False) -> None:
    """Print what is found, judged and named on the drawings of a folder.

    Parameters
    ----------
    full : bool
        All sheets of each drawing, not the first few.
    folder : Path, optional
        Where the DXF files lie; without it the benchmark is skipped.
    show : bool
        Print what was lost on the development drawings.
    """
    paths = sorted(folder.glob("*.dxf")) if folder is not None and folder.is_dir() else []
    programs = [name for name in PROGRAMS if is_there(name)]
    if not paths:
        why = f"no DXF files in {folder}" if folder else "no folder of drawings given"
        print(f"stranger: no drawings, {why} (python -m tests.bench stranger --from FOLDER)")
    if not (paths or programs):
        return
    table = Table(title="Drawings by others; one printed number in twenty, or of a sheet, 6 % off")
    for name in ("set", "pages", "sheets / sizes", "found", "right text", "judged right"):
        table.add_column(name)
    for name in ("false: verdicts, findings", "texts checked", "planted named", "false beside"):
        table.add_column(name)
    for label, held_out in (("development", False), ("held out", True)):
        some = [p for p in paths if is_held_out(p.stem) is held_out]
        rows: list[tuple[str, str, Seen]] = [
            ("drawings", pages, look(some, pages=pages, most=-1 if full else few))
            for pages, few in (SHORT.items() if some else ())
        ]
        rows += [
            (
                name,
                "scan" if scanned else "drawn",
                _look(name, scanned=scanned, full=full),
            )
            for name in programs
            if (name in BLIND) is held_out
            for scanned in (False, True)
        ]
        for name, pages, seen in rows:
            table.add_row(f"{label}: {name}", pages, *seen.cells)
            if show and not held_out:
                sys.stdout.write("\n".join([f"--- {name} {pages}", *seen.lost, ""]))
    Console(width=170).print(table)


def _look(name: str, *, scanned: bool, full: bool) -> Seen:
    sheets = EACH if full else EACH // (6 if scanned else 2)
    return look_at_program(name, scanned=scanned, sheets=sheets)


def main(arguments: list[str]) -> int:
    """Look at the drawings of ``--from FOLDER``; ``--full``: all, ``--show``: what was lost."""
    place = arguments.index("--from") + 1 if "--from" in arguments else len(arguments)
    folder = Path(arguments[place]) if place < len(arguments) else None
    run(full="--full" in arguments, folder=folder, show="--show" in arguments)
    return 0
