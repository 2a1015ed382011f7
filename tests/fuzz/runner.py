"""Audits mutated files in a process of its own and says a line for each: what came of it.

``python -m tests.fuzz.runner FIRST COUNT [--keep FOLDER]`` runs cases by hand; `FOLDER` keeps the
files that were not met well.
"""

from __future__ import annotations

import argparse
import json
import resource
import sys
import tempfile
import time
import traceback
from dataclasses import asdict, dataclass
from pathlib import Path

from audit.errors import EXIT_INTERNAL, AuditError
from audit.pipeline import CheckRequest, check
from audit.records import Settings
from tests.fuzz.corpus import corpus
from tests.fuzz.mutators import mutate

MEMORY_BYTES = 4608 * 1024 * 1024  # of address space, libraries included: ends a runaway case
# Drawings most often: their numbers reach the code of ours that no worker shields.
ORDER = (
    "drawn.pdf", "gray.png", "drawn.pdf", "strips.tif", "drawn.pdf", "gray.jpg", "drawn.pdf",
    "scan.pdf", "fax.tif", "drawn.pdf", "progressive.jpg", "drawn.pdf", "plain.bmp",
    "lossless.webp",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of one case. `fault` is empty when it was met well."""

    case: int
    name: str
    met: str
    fault: str
    seconds: float
    peak_mb: int


def run_case(case: int, seeds: dict[str, bytes], folder: Path) -> Outcome:
    """Audit one mutated file."""
    name = ORDER[case % len(ORDER)]
    path = folder / name
    path.write_bytes(mutate(name, seeds[name], seed=case))
    begun, met, fault = time.process_time(), "audited", ""
    try:
        check(CheckRequest(plans=(path,), settings=Settings()))
    except AuditError as error:
        met = error.code
        said = str(error)
        if error.exit_code == EXIT_INTERNAL or "\n" in said or not error.advice:
            fault = f"not told well: {said!r}"
    except Exception:  # whatever escapes is what is looked for
        fault = traceback.format_exc()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    seconds = time.process_time() - begun
    return Outcome(
        case=case, name=name, met=met, fault=fault, seconds=round(seconds, 2), peak_mb=peak
    )


def main() -> None:
    """Run cases and print their outcomes as JSON lines."""
    parser = argparse.ArgumentParser()
    parser.add_argument("first", type=int)
    parser.add_argument("count", type=int)
    parser.add_argument("--keep", type=Path)
    given = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    seeds = corpus()
    with tempfile.TemporaryDirectory() as folder:
        for case in range(given.first, given.first + given.count):
            outcome = run_case(case, seeds, Path(folder))
            sys.stdout.write(json.dumps(asdict(outcome)) + "\n")
            sys.stdout.flush()
            if outcome.fault and given.keep:
                kept = given.keep / f"{case}-{outcome.name}"
                kept.write_bytes((Path(folder) / outcome.name).read_bytes())


if __name__ == "__main__":
    main()
