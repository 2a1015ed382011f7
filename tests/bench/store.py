"""The audit file at work: what each action costs on an audit of many dimensions, and its size.

Baseline in the same run: one bare SQLite commit of one row with the same settings on the same disk,
the least that any confirmed action can cost here.
"""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from rich.console import Console
from rich.table import Table

from audit.records import ReadBy
from audit.store import CorrectReading, create_audit, inspect_stranger, open_audit
from tests.store.builders import judge, make_dimension, make_found, make_reading, make_text


def many(count: int):
    """A run with `count` dimensions on one sheet."""
    dimensions = tuple(
        make_dimension(n, at=(n % 40 * 30.0, n // 40 * 15.0)) for n in range(1, count + 1)
    )
    texts = tuple(make_text(d) for d in dimensions)
    return replace(make_found(), dimensions=dimensions, texts=texts, findings=())


def median_ms(action: Callable[[int], object], times: int) -> float:
    """Median time of one call, ms."""
    spent = []
    for n in range(times):
        start = time.perf_counter()
        action(n)
        spent.append(1000 * (time.perf_counter() - start))
    return sorted(spent)[times // 2]


def bare_commit_ms(path: Path) -> float:
    """The baseline."""
    raw = sqlite3.connect(path, isolation_level=None)
    raw.execute("PRAGMA synchronous = EXTRA")
    raw.execute("CREATE TABLE t (x)")
    spent = median_ms(lambda n: raw.execute("INSERT INTO t VALUES (?)", (n,)), 30)
    raw.close()
    return spent


def measure(count: int, folder: Path) -> list[tuple[str, float]]:
    """Time each action on an audit of `count` dimensions."""
    rows = [("bare SQLite commit (baseline)", bare_commit_ms(folder / f"{count}.db"))]
    path = folder / f"{count}.audit"
    with create_audit(path, name="bench") as file:
        found = many(count)
        rows.append(("first run", median_ms(lambda n: file.add_run(found, revision=1), 1)))
        rows.append(
            ("second run", median_ms(lambda n: file.add_run(found, revision=file.revision), 1))
        )

        def correct(n: int) -> None:
            reading = make_reading("5", found.dimensions[n].reading.box, by=ReadBy.USER)
            entry = CorrectReading(dimension=n + 1, reading=reading)
            file.record(entry, revision=file.revision)

        rows.append(("correct a reading", median_ms(correct, 20)))
        rows.append(
            ("store a judgement", median_ms(lambda n: file.judge(judge, revision=file.revision), 5))
        )
        rows.append(("undo", median_ms(lambda n: file.undo(revision=file.revision), 10)))
        rows.append(("load (cached)", median_ms(lambda n: file.load(), 10)))

    def reopen(n: int) -> None:
        with open_audit(path, read_only=True) as other:
            other.load()

    rows.append(("open and load", median_ms(reopen, 5)))
    rows.append(("inspect as a stranger's", median_ms(lambda n: inspect_stranger(path), 1)))
    rows.append(("size of the file, KB", path.stat().st_size / 1000))
    return rows


def measure_source(size_mb: int, folder: Path) -> list[tuple[str, float]]:
    """Time a large plan going in and out."""
    scan = folder / "scan.tif"
    with scan.open("wb") as file:
        file.truncate(size_mb << 20)
    with create_audit(folder / "scan.audit", name="bench") as audit:
        digest: list[str] = []
        into = median_ms(lambda n: digest.append(audit.add_source(scan, "scan.tif")), 1)
        out = median_ms(lambda n: audit.read_source(digest[0], folder / "copy.tif"), 1)
    return [(f"{size_mb} MB plan in", into), (f"{size_mb} MB plan out", out)]


def run(*, full: bool) -> None:
    """Print one table."""
    counts = (50, 1000, 5000) if full else (50, 1000)
    table = Table("ms (median)", *(f"{n} dimensions" for n in counts), title="Audit file")
    with tempfile.TemporaryDirectory() as name:
        columns = [measure(count, Path(name)) for count in counts]
        for cells in zip(*columns, strict=True):
            table.add_row(cells[0][0], *(f"{value:.1f}" for _, value in cells))
        for what, value in measure_source(200 if full else 50, Path(name)):
            table.add_row(what, f"{value:.0f}")
    Console().print(table)
