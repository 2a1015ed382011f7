"""What `plan-audit check` spends its CPU seconds on, stage by stage, for four sheets.

A stage is a function of ours: what it costs by itself, and in processes that it waits for, less
what stages inside it cost; for that, what a check does side by side is done one by one. Each sheet
is checked in a process of its own, and once more as a user does, for the time on the clock.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import wraps
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
import psutil
from PIL import Image
from rich.console import Console
from rich.table import Table

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_scans"
START = "starting: imports"
REST = "everything else"
STAGES = (
    ("opening and rendering", "audit.isolation.process", "WorkerProcess.ask"),
    ("page network", "audit.networks.page", "run_page"),
    ("finding text", "audit.reading.find_text", "find_text"),
    ("tracing lines and arcs", "audit.dimensions.raster_page", "trace_page"),
    ("cutting slanted text anew", "audit.dimensions.raster_recut", "recut_texts"),
    ("our reader", "audit.reading.network", "NetworkReader.read"),
    ("Tesseract", "audit.reading.tesseract", "TesseractReader.read"),
    ("turning doubtful text", "audit.pipeline.turned_texts", "hear_turned"),
    ("dimensions, from a picture", "audit.dimensions.raster", "find_in_picture"),
    ("dimensions, from a drawn page", "audit.dimensions.vector", "find_dimensions"),
    ("second look at text", "audit.pipeline.second_look", "look_again"),
    ("witnesses of drawn text", "audit.pipeline.witnessing", "witness_texts"),
    ("scales and verdicts", "audit.pipeline.sheet", "judge_sheet"),
    ("checks of the plan", "audit.pipeline.judging", "join_judged"),
    ("audit file", "audit.pipeline.keeping", "keep_audit"),
    ("marking up: planning", "audit.report.markup", "plan_markup"),
    ("marking up: ink, drawing", "audit.pipeline.marking", "mark_up_audit"),
)


PEAK = re.compile(r"VmHWM:\s*(\d+) kB")


def peak_mb(pid: int) -> float:
    """Return the most memory a running process ever held, MB."""
    found = PEAK.search(Path(f"/proc/{pid}/status").read_text("ascii", "replace"))
    return int(found[1]) / 1024 if found else 0.0


class Ledger:
    """CPU seconds by stage, a stage inside another for itself; the largest child's peak memory."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self.child_mb = 0.0
        self._open = [REST]
        self._since = self._spent()

    def _spent(self) -> float:
        """CPU seconds of this process and all it ever started."""
        reaped = resource.getrusage(resource.RUSAGE_CHILDREN)
        total = time.process_time() + reaped.ru_utime + reaped.ru_stime
        for child in psutil.Process().children(recursive=True):
            with contextlib.suppress(psutil.Error, OSError):
                times = child.cpu_times()
                total += times.user + times.system
                self.child_mb = max(self.child_mb, peak_mb(child.pid))
        return total

    def turn_to(self, stage: str | None) -> None:
        """Begin a stage, or with `None` end the innermost one."""
        now = self._spent()
        own = self._open[-1]
        self.seconds[own] = self.seconds.get(own, 0.0) + now - self._since
        self._since = now
        if stage is None:
            self._open.pop()
        else:
            self._open.append(stage)

    @contextlib.contextmanager
    def stage(self, name: str) -> Iterator[None]:
        """Count what is done inside to a stage."""
        self.turn_to(name)
        try:
            yield
        finally:
            self.turn_to(None)

    def watch(self, name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        """Wrap a function so that its calls count to a stage."""

        @wraps(function)
        def watched(*arguments: Any, **named: Any) -> Any:
            with self.stage(name):
                return function(*arguments, **named)

        return watched


def watch_stages(ledger: Ledger) -> None:
    """Wrap the stages wherever they are known by name, and let them go on one by one."""
    import_module("audit.networks.at_once").cores = lambda: 1
    for name, module, place in STAGES:
        owner: Any = import_module(module)
        *classes, attribute = place.split(".")
        for part in classes:
            owner = getattr(owner, part)
        own = getattr(owner, attribute)
        watched = ledger.watch(name, own)
        setattr(owner, attribute, watched)
        if not classes:
            for known in [m for n, m in sys.modules.items() if n.startswith("audit")]:
                if vars(known).get(attribute) is own:
                    setattr(known, attribute, watched)


def check_sheet(plan: Path) -> dict[str, Any]:
    """Check a sheet in this process, fresh as it is."""
    ledger = Ledger()
    with ledger.stage(START):
        ledger.seconds[START] = time.process_time()
        main = import_module("audit.cli.main")
        import_module("audit.cli.checking")
        import_module("audit.pipeline.checking")
    watch_stages(ledger)
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(io.StringIO()):
        main.run_command(["check", str(plan), "--out", folder])
    ledger.turn_to(REST)
    return {
        "seconds": ledger.seconds,
        "wall": time_plainly(plan),
        "main_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "worker_mb": ledger.child_mb,
        "yardstick": render_plainly(plan),
    }


def time_plainly(plan: Path) -> float:
    """Seconds on the clock in which the program checks a sheet, from start to end."""
    with tempfile.TemporaryDirectory() as folder:
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "audit.cli", "check", str(plan), "--out", folder],
            cwd=ROOT,
            check=False,
            capture_output=True,
        )
        return time.perf_counter() - began


def render_plainly(plan: Path) -> float:
    """CPU seconds in which MuPDF opens the same sheet and renders it, at the same resolution."""
    import pymupdf

    began = time.process_time()
    with pymupdf.open(plan) as document:
        dpi = None if plan.suffix == ".png" else 200
        document[0].get_pixmap(dpi=dpi, colorspace=pymupdf.csGRAY)
    return time.process_time() - began


def save(pixels: np.ndarray, path: Path, *, dpi: int) -> Path:
    Image.fromarray(pixels).save(path, dpi=(dpi, dpi))
    return path


def make_plans(folder: Path, *, full: bool) -> dict[str, Path]:
    """Sheets to check: a drawn one, and small, middle and large pictures."""
    from tests.bench.ezdxf_sheets import make_sheet
    from tests.bench.ezdxf_styles import DEVELOPMENT
    from tests.bench.growth import fill_sheet
    from tests.bench.worn_sheets import wear

    rng = np.random.default_rng(9)
    scan = wear(make_sheet(DEVELOPMENT[1], rng).pdf, dpi=150, how="scan", rng=rng)
    large = (34.0, 22.0) if full else (17.0, 11.0)
    return {
        "drawn, letter": SAMPLES / "marble-lift-1.pdf",
        "scan, 150 dpi": save(scan.pixels, folder / "small.png", dpi=150),
        "scan, 200 dpi": SAMPLES / "marble-lift-2.png",
        f"{large[0]:g} × {large[1]:g} in, 300 dpi": save(
            fill_sheet(*large), folder / "large.png", dpi=300
        ),
    }


def run(*, full: bool) -> None:
    """Print CPU seconds and shares by stage; rendering by MuPDF is the yardstick."""
    with tempfile.TemporaryDirectory() as folder:
        plans = make_plans(Path(folder), full=full)
        results = {name: check_apart(plan) for name, plan in plans.items()}
    Console(width=150).print(tabulate(results))


def check_apart(plan: Path) -> dict[str, Any]:
    """Check a sheet in a process of its own."""
    told = subprocess.run(
        [sys.executable, "-m", "tests.bench.stages", str(plan)],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    return dict(json.loads(told.stdout.splitlines()[-1]))


def tabulate(results: dict[str, dict[str, Any]]) -> Table:
    """One row a stage, a sheet a column."""
    table = Table("stage", *results, title="plan-audit check: CPU seconds by stage (share)")
    for stage in (START, *(name for name, _, _ in STAGES), REST):
        cells = []
        for result in results.values():
            seconds = result["seconds"].get(stage, 0.0)
            share = 100 * seconds / sum(result["seconds"].values())
            cells.append(f"{seconds:.2f} ({share:.0f} %)" if seconds >= 0.005 else "–")
        table.add_row(stage, *cells)
    table.add_section()
    table.add_row("all", *(f"{sum(r['seconds'].values()):.1f}" for r in results.values()))
    table.add_row("wall seconds", *(f"{r['wall']:.1f}" for r in results.values()))
    table.add_row(
        "peak MB: main, worker",
        *(f"{r['main_mb']:.0f}, {r['worker_mb']:.0f}" for r in results.values()),
    )
    table.add_row(
        "yardstick: MuPDF renders it", *(f"{r['yardstick']:.2f}" for r in results.values())
    )
    return table


if __name__ == "__main__":
    print(json.dumps(check_sheet(Path(sys.argv[1]))))
