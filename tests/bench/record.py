"""Write what the benchmarks said into a document, with the machine and versions they ran on."""

from __future__ import annotations

import datetime
import os
import platform
import re
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

LIBRARIES = ("PyMuPDF", "opencv-python-headless", "onnxruntime", "numpy", "scipy", "pillow")
ROOT = Path(__file__).parents[2]
HEAD = """# Benchmarks

What `make bench` said, as it said it; every table has its baseline from the same run. Machines are
noisy: ratios and medians count, seconds are those of the machine that is named.
"""
SECTION = re.compile(r"^## (\S+)$", re.MULTILINE)


def record(path: Path, names: Sequence[str], *, order: Sequence[str], full: bool) -> None:
    """Run benchmarks one after the other, each in its own process, and write after each.

    Parameters
    ----------
    path : Path
        A Markdown file; its sections of other benchmarks stay as they are.
    names : sequence of str
    order : sequence of str
        Of the sections in the file.
    full : bool
        The long versions.
    """
    sections = read_sections(path.read_text("utf-8")) if path.exists() else {}
    for name in names:
        sections[name] = run_one(name, full=full)
        kept = [sections[n] for n in order if n in sections]
        path.write_text("\n".join([HEAD, *kept]), "utf-8")


def read_sections(text: str) -> dict[str, str]:
    """Take a record apart into its sections by name.

    Examples
    --------
    >>> read_sections("# Benchmarks\\n\\n## store\\n\\nfast\\n\\n## page\\n\\nfaster\\n")
    {'store': '## store\\n\\nfast\\n', 'page': '## page\\n\\nfaster\\n'}
    """
    _, *parts = SECTION.split(text)
    return {
        name: f"## {name}\n\n{body.strip()}\n"
        for name, body in zip(parts[::2], parts[1::2], strict=True)
    }


def describe_machine() -> str:
    """Say what it ran on."""
    versions = ", ".join(f"{name} {_version(name)}" for name in LIBRARIES)
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
        f"{datetime.date.today()}, {os.cpu_count()} cores ({model}), {platform.system()}, Python "
        f"{platform.python_version()}, load {load:.1f} when it began; {versions}"
    )


def run_one(name: str, *, full: bool) -> str:
    """Run one benchmark and return its section."""
    command = [sys.executable, "-m", "tests.bench", name, *(["--full"] if full else [])]
    machine = describe_machine()
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(  # progress and errors go on to whoever watches
        command,
        cwd=ROOT,
        env={**os.environ, "COLUMNS": "120", "NO_COLOR": "1"},
        stdout=subprocess.PIPE,
        text=True,
        check=False,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    said = done.stdout.rstrip()
    if done.returncode:
        said += f"\nfailed, exit code {done.returncode}"
    lines = "\n".join(line.rstrip() for line in said.splitlines())
    spent = f"{time.perf_counter() - began:.0f} s, {cpu:.0f} s CPU"
    call = f"`python -m tests.bench {name}{' --full' if full else ''}` ({spent})"
    return f"## {name}\n\n{call}\n{machine}\n\n```text\n{lines}\n```\n"


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:  # there are machines that it is not made for
        return "not installed"
