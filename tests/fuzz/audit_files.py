"""Mutated audit files: what comes of one that another person made, by mistake or on purpose.

``python -m tests.fuzz.audit_files FIRST COUNT`` runs cases by hand and prints what went wrong.
"""

from __future__ import annotations

import argparse
import json
import random
import sqlite3
import sys
import tempfile
import time
import traceback
from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from audit.errors import EXIT_INTERNAL, AuditError
from audit.lengths import Unit
from audit.pipeline import CheckRequest, check
from audit.pipeline.keeping import keep_audit
from audit.pipeline.rejudging import rejudge
from audit.records import Audit, Settings
from audit.report import plan_markup, summary_lines, to_csv, to_markdown, to_result, write_json
from audit.report.errata import list_errata
from audit.report.shop import make_shop_list
from audit.report.shop_tables import shop_csv, shop_json
from audit.store import AuditFile, inspect_stranger, open_audit
from tests.fuzz.corpus import drawn_pdf
from tests.fuzz.mutators import BLIND, EXTREMES

STORED = Path(__file__).parents[1] / "store" / "files" / "version-1.audit"
SLOWEST_S = 10.0
BLIND_SHARE = 0.35  # of the cases: the rest keep SQLite and JSON whole and lie inside
LEAVES: tuple[Any, ...] = (
    0, -1, 1e308, -1e308, 1e-320, 2**31, 2**63, 10**400, float("nan"), float("inf"), True, None,
    "", "0", "1/0", "-1/3", "NaN", "1" * 5000, "\x00", "\u202e\x1b[31m", "../../etc", "<b>", [], {},
    [[]], [None], {"x": 1}, "in", "deg", "agrees", "9" * 400 + "/7",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditOutcome:
    """What came of one case; `fault` is empty when it was met well."""

    case: int
    met: str
    fault: str
    seconds: float


@cache
def audit_seeds() -> tuple[bytes, ...]:
    """Audit files that are as we write them: a stored one with much in it, and a fresh one."""
    with tempfile.TemporaryDirectory() as name:
        plan = Path(name) / "drawn.pdf"
        plan.write_bytes(drawn_pdf())
        known = ("4 1/6 in @ 1:60,30 360,30",)
        found = check(CheckRequest(plans=(plan,), settings=Settings(unit=Unit.IN), known=known))
        kept = keep_audit(found.audit, (plan,), Path(name) / "drawn.audit")
        return STORED.read_bytes(), kept.path.read_bytes()


def mutate_audit(seed: int, path: Path) -> None:
    """Write a changed audit file; the seed alone decides how."""
    rng = random.Random(f"audit/{seed}")
    data = rng.choice(audit_seeds())
    if rng.random() < BLIND_SHARE:
        for _ in range(rng.choice((1, 1, 2, 4))):
            data = rng.choice(BLIND)(rng, data) if len(data) > 16 else data
        path.write_bytes(data)
        return
    path.write_bytes(data)
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("PRAGMA foreign_keys = OFF")
        for _ in range(rng.choice((1, 1, 1, 2, 5))):
            rng.choice((_change_record,) * 8 + (_change_cell, _drop_row, _repeat_row))(rng, raw)


def _change_record(rng: random.Random, raw: sqlite3.Connection) -> None:
    """Change something inside a JSON text; at times the state is dropped, so that it is rebuilt."""
    table, column = rng.choice((("entries", "payload"),) * 3 + (("state", "record"),))
    rows = _rows(raw, table)
    if not rows:
        return
    where = rng.choice(rows)
    (text,) = raw.execute(f"SELECT {column} FROM {table} WHERE {where}").fetchone()
    try:
        tree = json.loads(text)
    except (ValueError, TypeError):
        return
    said = json.dumps(_change_tree(rng, tree))
    raw.execute(f"UPDATE {table} SET {column} = ? WHERE {where}", (said,))
    if table == "entries" and rng.random() < 0.7:
        raw.execute("DELETE FROM state")
        raw.execute("DELETE FROM projection")


def _change_tree(rng: random.Random, tree: Any) -> Any:
    """Go down to some place and put something else there, drop it, or say it twice."""
    if rng.random() < 0.04 or not isinstance(tree, dict | list) or not tree:
        return rng.choice((*LEAVES, *EXTREMES)) if rng.random() < 0.95 else _nested(rng)
    key = rng.choice(list(tree)) if isinstance(tree, dict) else rng.randrange(len(tree))
    way = rng.random()
    if way < 0.85:
        tree[key] = _change_tree(rng, tree[key])
    elif way < 0.93:
        del tree[key]
    elif isinstance(tree, list):
        tree.extend(tree * rng.choice((1, 1, 200)))
    else:
        tree[f"{key}x"] = tree[key]
    return tree


def _nested(rng: random.Random) -> Any:
    deep: Any = 0
    for _ in range(rng.choice((50, 900))):
        deep = [deep]
    return deep


def _rows(raw: sqlite3.Connection, table: str) -> list[str]:
    """A condition for each row of a table; some have no row numbers."""
    keys = [row[1] for row in raw.execute(f"PRAGMA table_info({table})") if row[5]]
    spelt = " || ' AND ' || ".join(f"'{key} IS ' || quote({key})" for key in keys)
    return [row[0] for row in raw.execute(f"SELECT {spelt} FROM {table}")]


def _table(rng: random.Random) -> str:
    return rng.choice(("entries", "sources", "chunks", "state", "projection", "migrations"))


def _change_cell(rng: random.Random, raw: sqlite3.Connection) -> None:
    table = _table(rng)
    columns = [row[1] for row in raw.execute(f"PRAGMA table_info({table})")]
    rows = _rows(raw, table)
    value = rng.choice((None, "", "x", -1, 0, 2**62, 1e300, b"\xff\x00", "\x00", "9" * 10_000))
    if rows:
        try:
            where = rng.choice(rows)
            raw.execute(f"UPDATE {table} SET {rng.choice(columns)} = ? WHERE {where}", (value,))
        except sqlite3.Error:  # a rule of the table forbids it: then nobody else can do it either
            return


def _drop_row(rng: random.Random, raw: sqlite3.Connection) -> None:
    table = _table(rng)
    rows = _rows(raw, table)
    if rows:
        raw.execute(f"DELETE FROM {table} WHERE {rng.choice(rows)}")


def _repeat_row(rng: random.Random, raw: sqlite3.Connection) -> None:
    """Say an entry again, as the last."""
    rows = raw.execute("SELECT at, actor, kind, payload, undoes FROM entries").fetchall()
    (last,) = raw.execute("SELECT max(seq) FROM entries").fetchone()
    if rows:
        raw.execute(
            "INSERT INTO entries (seq, at, actor, kind, payload, undoes) VALUES (?, ?, ?, ?, ?, ?)",
            ((last or 0) + 1, *rng.choice(rows)),
        )


def use_audit(path: Path) -> None:
    """Do what every command does with a stranger's file, and what the reports do with its audit."""
    report = inspect_stranger(path)
    with open_audit(path, rebuild=not report.state_matches) as file:
        _tell(file.load())
        _judge(file)
        _tell(file.load())


def _judge(file: AuditFile) -> None:
    file.judge(rejudge, revision=file.revision)


def _tell(audit: Audit) -> None:
    json.loads(write_json(to_result(audit)), parse_constant=_refuse)
    shop = make_shop_list(audit)
    json.loads(shop_json(shop), parse_constant=_refuse)
    for text in (to_csv(audit), to_markdown(audit), shop_csv(shop)):
        text.encode()
    assert summary_lines(audit)
    plan_markup(audit)
    list_errata(audit)


def _refuse(word: str) -> None:
    raise ValueError(f"{word} is no number of JSON")


def run_audit_case(case: int, folder: Path) -> AuditOutcome:
    """Use one mutated audit file."""
    path = folder / f"{case}.audit"
    mutate_audit(case, path)
    begun, met, fault = time.process_time(), "used", ""
    try:
        use_audit(path)
    except AuditError as error:
        met, said = error.code, str(error)
        if error.exit_code == EXIT_INTERNAL or "\n" in said or not error.advice or len(said) > 600:
            fault = f"not told well: {said!r}"
    except Exception:  # whatever escapes is what is looked for
        fault = traceback.format_exc()
    seconds = time.process_time() - begun
    if seconds > SLOWEST_S:
        fault = fault or f"took {seconds:.0f} s"
    path.unlink()
    return AuditOutcome(case=case, met=met, fault=fault, seconds=round(seconds, 2))


def main() -> None:
    """Run cases; print what went wrong, and how many were met how."""
    parser = argparse.ArgumentParser()
    parser.add_argument("first", type=int)
    parser.add_argument("count", type=int)
    given = parser.parse_args()
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for case in range(given.first, given.first + given.count):
            outcome = run_audit_case(case, Path(folder))
            counts[outcome.met if not outcome.fault else "fault"] += 1
            if outcome.fault:
                sys.stdout.write(f"case {case}: {outcome.fault}\n")
    sys.stdout.write(f"{dict(counts)}\n")


if __name__ == "__main__":
    main()
