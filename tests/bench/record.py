"""Write what the benchmarks said into a document, with the machine and versions they ran on."""

from __future__ import annotations

import datetime
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

LIBRARIES = ("PyMuPDF", "opencv-python-headless", "numpy", "scipy", "pillow")
ROOT = Path(__file__).parents[2]
HEAD = """# Benchmarks

What `make bench` said, as it said it; every table has its baseline from the same run. Machines are
noisy: ratios and medians count, seconds are this machine's.

"""


def record(path: Path, names: Sequence[str], *, full: bool) -> None:
    """Run benchmarks one after the other, each in its own process, and write after each.

    Parameters
    ----------
    path : Path
        A Markdown file, replaced.
    names : sequence of str
    full : bool
        The long versions.
    """
    parts = [HEAD + describe_machine(full=full)]
    for name in names:
        parts.append(run_one(name, full=full))
        path.write_text("\n".join(parts), "utf-8")


def describe_machine(*, full: bool) -> str:
    """Say what it ran on."""
    versions = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    model = next(
        (
            line.partition(":")[2].strip()
            for line in Path("/proc/cpuinfo").read_text("utf-8").splitlines()
            if line.startswith("model name")
        ),
        platform.processor(),
    )
    load = os.getloadavg()[0]
    return (
        f"- {datetime.date.today()}, {'long' if full else 'short'} versions\n"
        f"- {os.cpu_count()} cores ({model}), {platform.system()}, Python "
        f"{platform.python_version()}; load {load:.1f} when it began\n"
        f"- {versions}\n"
    )


def run_one(name: str, *, full: bool) -> str:
    """Run one benchmark and return its section."""
    command = [sys.executable, "-m", "tests.bench", name, *(["--full"] if full else [])]
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(
        command,
        cwd=ROOT,
        env={**os.environ, "COLUMNS": "120", "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    said = done.stdout.rstrip() if done.returncode == 0 else f"failed:\n{done.stderr[-1500:]}"
    lines = "\n".join(line.rstrip() for line in said.splitlines())
    spent = f"{time.perf_counter() - began:.0f} s, {cpu:.0f} s CPU"
    return f"## {name}\n\n`python -m tests.bench {name}` ({spent})\n\n```text\n{lines}\n```\n"
