"""Many plans: sheets an hour on one core and two, and what that means for a catalogue."""

from __future__ import annotations

import shutil
import tempfile
import time
from pathlib import Path

from rich.console import Console
from rich.table import Table

from audit.cli.main import run_command

SAMPLES = Path(__file__).parents[2] / "sample_scans"
CATALOGUE = 100_000  # sheets
CORES = 64


def run(*, full: bool) -> None:
    """Print time and scaling; `full` audits more copies."""
    copies = 6 if full else 2
    table = Table("plans", "jobs", "s", "s a sheet", "speed-up", title="batch")
    per_sheet = {}
    for name in ("marble-lift-1.pdf", "marble-lift-2.png"):
        alone = None
        for jobs in (1, 2):
            taken = time_batch(SAMPLES / name, copies=copies * 2, jobs=jobs)
            alone = alone or taken
            per_sheet[name, jobs] = taken / (copies * 2)
            table.add_row(
                f"{copies * 2} × {name}", str(jobs), f"{taken:.1f}",
                f"{per_sheet[name, jobs]:.2f}", f"{alone / taken:.2f}",
            )  # fmt: skip
    console = Console(width=110)
    console.print(table)
    drawn, scanned = (per_sheet[name, 1] for name in ("marble-lift-1.pdf", "marble-lift-2.png"))
    for what, each in (("drawn", drawn), ("scanned", scanned)):
        hours = CATALOGUE * each / 3600
        console.print(
            f"{CATALOGUE:,} {what} sheets, by one core's pace: {hours:,.0f} core hours, "
            f"{hours / CORES:.1f} h on {CORES} cores (plans are independent; "
            "the journal is one short line a plan)"
        )


def time_batch(plan: Path, *, copies: int, jobs: int) -> float:
    """Seconds for a batch of copies of one plan."""
    with tempfile.TemporaryDirectory() as folder:
        plans = Path(folder) / "plans"
        plans.mkdir()
        for number in range(copies):
            shutil.copy(plan, plans / f"{number}{plan.suffix}")
        began = time.perf_counter()
        code = run_command(["batch", str(plans), "--jobs", str(jobs)])
        taken = time.perf_counter() - began
        if code not in (0, 1, 4):
            raise RuntimeError(f"the batch ended with {code}")
    return taken
