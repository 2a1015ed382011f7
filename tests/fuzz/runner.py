"""Audits mutated files in a process of its own and says a line for each: what came of it.

``python -m tests.fuzz.runner FIRST COUNT [--keep FOLDER]`` runs cases by hand; `FOLDER` keeps the
files that were not met well.
"""

from __future__ import annotations

import argparse
import json
import re
import resource
import shutil
import sys
import tempfile
import time
import traceback
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from audit.errors import EXIT_INTERNAL, AuditError
from audit.pipeline import Checked, CheckRequest, check
from audit.pipeline.keeping import keep_audit
from audit.pipeline.marking import mark_up_audit
from audit.records import Settings
from audit.report import summary_lines, to_csv, to_markdown, to_result, write_json
from audit.store import open_audit
from tests.fuzz.corpus import corpus
from tests.fuzz.lent_workers import LentWorker, end_idle_workers, lend_workers
from tests.fuzz.mutators import mutate

MEMORY_BYTES = 4608 * 1024 * 1024  # of address space, libraries included: ends a runaway case
WHOLE_EVERY = 5  # cases to one that is also kept in an audit file and marked up
# Drawings most often: their numbers reach the code of ours that no worker shields.
ORDER = (
    "drawn.pdf", "gray.png", "drawn.pdf", "strips.tif", "drawn.pdf", "gray.jpg", "drawn.pdf",
    "scan.pdf", "fax.tif", "drawn.pdf", "progressive.jpg", "drawn.pdf", "plain.bmp",
    "lossless.webp",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of one case. `fault` is empty when it was met well; `seconds` are CPU time."""

    case: int
    name: str
    met: str
    fault: str
    seconds: float
    worker_seconds: float
    peak_mb: int


def run_case(case: int, seeds: dict[str, bytes], folder: Path) -> Outcome:
    """Audit one mutated file."""
    name = ORDER[case % len(ORDER)]
    path = folder / name
    path.write_bytes(mutate(name, seeds[name], seed=case))
    begun, worked, met, fault = time.process_time(), LentWorker.spent, "audited", ""
    try:
        checked = check(CheckRequest(plans=(path,), settings=Settings()))
        tell(checked)
        if case % WHOLE_EVERY == 0:
            met = "marked"
            keep_and_mark(checked, path, folder / "whole")
    except AuditError as error:
        met = error.code if met == "audited" else f"{error.code} when marked"
        said = str(error)
        if error.exit_code == EXIT_INTERNAL or "\n" in said or not error.advice:
            fault = f"not told well: {said!r}"
    except Exception:  # whatever escapes is what is looked for
        fault = traceback.format_exc()
    return Outcome(
        case=case,
        name=name,
        met=met,
        fault=fault,
        seconds=round(time.process_time() - begun, 2),
        worker_seconds=round(LentWorker.spent - worked, 2),
        peak_mb=peak_mb(),
    )


def peak_mb() -> int:
    """Return the most memory this process ever held.

    What the kernel counts for `getrusage` holds what the process that started this one held then.
    """
    try:
        status = Path("/proc/self/status").read_text("ascii", "replace")
    except OSError:  # not Linux
        status = ""
    if found := re.search(r"VmHWM:\s+(\d+) kB", status):
        return int(found[1]) // 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def tell(checked: Checked) -> None:
    """Write every table that needs no file; JSON must have no number that JSON does not know."""
    json.loads(write_json(to_result(checked.audit)), parse_constant=_refuse)
    for text in (to_csv(checked.audit), to_markdown(checked.audit)):
        text.encode()
    assert summary_lines(checked.audit)


def _refuse(word: str) -> None:
    raise ValueError(f"{word} is no number of JSON")


def keep_and_mark(checked: Checked, plan: Path, folder: Path) -> None:
    """Take an audit the rest of the way: into its file, and onto a marked-up copy."""
    folder.mkdir()
    try:
        kept = keep_audit(checked.audit, (plan,), folder / "job.audit")
        with open_audit(kept.path, read_only=True) as file:
            assert file.load() == kept.audit
            mark_up_audit(file, folder / "marked.pdf")
    finally:
        shutil.rmtree(folder)


def run_alone(case: int, seeds: dict[str, bytes], folder: Path) -> Outcome:
    """Run a case again with a worker that served nothing before."""
    end_idle_workers()
    outcome = run_case(case, seeds, folder)
    return replace(outcome, fault=outcome.fault or "met well alone, badly after others")


def main() -> None:
    """Run cases and print their outcomes as JSON lines."""
    parser = argparse.ArgumentParser()
    parser.add_argument("first", type=int)
    parser.add_argument("count", type=int)
    parser.add_argument("--also", type=int, nargs="+", default=[], help="more cases")
    parser.add_argument("--keep", type=Path)
    given = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    seeds = corpus()
    lend_workers()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for case in (*range(given.first, given.first + given.count), *given.also):
            outcome = run_case(case, seeds, folder)
            if outcome.fault:
                outcome = run_alone(case, seeds, folder)
            sys.stdout.write(json.dumps(asdict(outcome)) + "\n")
            sys.stdout.flush()
            if outcome.fault and given.keep:
                shutil.copy(folder / outcome.name, given.keep / f"{case}-{outcome.name}")
        end_idle_workers()


if __name__ == "__main__":
    main()
