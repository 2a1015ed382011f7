"""Audit files that others made, by mistake or on purpose: one clear line, nothing worse."""

from __future__ import annotations

import json
import random
import re
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from audit.errors import AuditError, BadAudit, NotReadable, TooLarge
from audit.store import connection, inspect_stranger, open_audit, strangers
from audit.store.connection import JOURNAL_MAGIC

ROOT = Path(__file__).parents[2]
STORED = Path(__file__).parent / "files" / "version-1.audit"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    copy = tmp_path / "theirs.audit"
    shutil.copyfile(STORED, copy)
    return copy


def alter(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("PRAGMA foreign_keys = OFF")
        for statement in statements:
            raw.execute(statement)


def refusal(path: Path, look: Callable[[Path], object] = inspect_stranger) -> str:
    with pytest.raises(BadAudit) as caught:
        look(path)
    line = str(caught.value)
    assert line.isprintable()
    assert len(line) < 400
    assert caught.value.advice
    return line


def test_an_honest_file_passes_and_is_not_changed(path: Path) -> None:
    before = path.read_bytes()
    report = inspect_stranger(path)
    assert (report.name, report.revision, report.sources) == ("marble lift", 17, 1)
    assert report.source_bytes == 19
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == ["theirs.audit"]


# Not an audit at all


@pytest.mark.parametrize(
    "content",
    [b"", b"%PDF-1.7\n", b"SQLite format 3\x00", b"SQLite format 3\x00" + bytes(500), bytes(4096)],
    ids=["empty", "pdf", "short", "hollow", "zeros"],
)
def test_other_files_are_not_audits(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "other.audit"
    path.write_bytes(content)
    for look in (inspect_stranger, open_audit):
        assert "other.audit is not an audit file: give the .audit file" in refusal(path, look)


def test_other_databases_are_not_audits(tmp_path: Path) -> None:
    path = tmp_path / "other.audit"
    alter(path, "CREATE TABLE entries (seq INTEGER)")
    assert "is not an audit file" in refusal(path)


def test_missing_files_and_folders_are_one_clear_line(tmp_path: Path) -> None:
    with pytest.raises(NotReadable, match=r"there is no file .*none\.audit: check the name"):
        inspect_stranger(tmp_path / "none.audit")
    with pytest.raises(NotReadable, match="is no file"):
        open_audit(tmp_path)


# Tables that do not belong


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TRIGGER t AFTER INSERT ON entries BEGIN DELETE FROM entries; END",
        "CREATE VIEW v AS SELECT * FROM entries",
        "CREATE TABLE extra (x)",
        "CREATE INDEX i ON entries (kind)",
        "CREATE VIRTUAL TABLE f USING fts5(x)",
        "ALTER TABLE entries ADD COLUMN extra TEXT",
        "ALTER TABLE chunks RENAME TO pieces",
        "DROP TABLE state",
        "PRAGMA user_version = 0",
    ],
)
def test_foreign_tables_views_and_triggers_are_refused(path: Path, statement: str) -> None:
    alter(path, statement)
    for look in (inspect_stranger, open_audit):
        assert "does not have the tables of an audit file" in refusal(path, look)


def test_a_table_replaced_by_a_view_of_the_same_name_is_refused(path: Path) -> None:
    alter(path, "ALTER TABLE state RENAME TO s", "CREATE VIEW state AS SELECT * FROM s")
    assert "does not have the tables" in refusal(path, open_audit)


@pytest.mark.parametrize(
    ("seq", "honest", "far", "says"),
    [
        (8, "[10.0,12.0]", "[1e9,12.0]", "far off its sheets"),
        (13, "[700.0,300.0]", "[700.0,-1e9]", "far off its sheets"),
        (8, "[10.0,12.0]", "[1e300,12.0]", "number too large"),
        (9, "0.35277777777777775", "1e308", "number too large"),
        (10, '"count":2', '"count":1e999', ""),
        (14, "7/2", f"{10**70}/7", "too many digits"),
    ],
)
def test_numbers_that_no_sheet_has_are_refused(
    path: Path, seq: int, honest: str, far: str, says: str
) -> None:
    """What is worked out from them (squares, weights, logarithms) must stay a number."""
    entry = f"WHERE seq = {seq} AND instr(payload, '{honest}')"
    alter(path, f"UPDATE entries SET payload = replace(payload, '{honest}', '{far}') {entry}")
    assert says in refusal(path)


def test_a_chunk_numbered_by_a_text_is_refused(path: Path) -> None:
    alter(path, "UPDATE chunks SET number = 'x'")
    assert "impossible name" in refusal(path)


def test_a_newer_version_is_told_so(path: Path) -> None:
    alter(path, "PRAGMA user_version = 99")
    assert "comes from a newer version: update plan-audit" in refusal(path)


def test_a_schema_edited_in_place_is_refused(path: Path) -> None:
    alter(
        path,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_schema SET sql = replace(sql, 'NOT NULL', '') WHERE name = 'entries'",
    )
    assert "does not have the tables" in refusal(path, open_audit)


# Contents that do not fit


@pytest.mark.parametrize(
    ("statement", "complaint"),
    [
        ("DELETE FROM entries WHERE seq = 5", "gaps in its history"),
        ("DELETE FROM entries", "gaps in its history"),
        ("UPDATE entries SET seq = -1 WHERE seq = 1", "gaps in its history"),
        ("UPDATE entries SET kind = 'shell' WHERE seq = 5", "unknown kind 'shell'"),
        ("UPDATE entries SET kind = 'judged' WHERE seq = 5", "has no member"),
        (
            "UPDATE entries SET kind = 'source', payload = '{}' WHERE seq = 1",
            "no beginning|missing",
        ),
        ("UPDATE entries SET payload = '{' WHERE seq = 5", "not JSON"),
        ("UPDATE entries SET payload = x'00ff' WHERE seq = 5", "another type"),
        ("UPDATE entries SET payload = CAST(x'ff' AS TEXT) WHERE seq = 5", "is damaged"),
        ("UPDATE entries SET at = 'soon' WHERE seq = 5", "has no time"),
        ("UPDATE entries SET undoes = 7 WHERE kind = 'undo'", "not next in turn"),
        ("UPDATE entries SET undoes = 'x' WHERE kind = 'undo'", "another type"),
        ("UPDATE entries SET payload = replace(payload, '0.01', 'NaN')", "NaN is no number"),
        ("UPDATE entries SET payload = replace(payload, '0.01', '1e999')", "not a finite number"),
        (
            "UPDATE entries SET payload = replace(payload, '\"id\":6', '\"id\":1')"
            " WHERE kind = 'add-dimension'",
            "contradicts those before it",
        ),
        (
            "UPDATE entries SET payload = replace(payload, '\"sheet\":1', '\"sheet\":8')"
            " WHERE kind = 'add-dimension'",
            "speaks of sheets, views or dimensions that it does not have",
        ),
        ("DELETE FROM chunks", "holds only part of lift.pdf"),
        ("UPDATE sources SET size = -5", "holds only part of lift.pdf"),
        ("UPDATE sources SET size = 'x'", "impossible name"),
        ("UPDATE sources SET name = '../../etc/passwd'", "impossible name"),
        ("UPDATE sources SET name = ''", "impossible name"),
        ("UPDATE sources SET digest = 'abc'", "without a digest"),
        ("UPDATE chunks SET bytes = 'text'", "impossible name"),
        ("UPDATE chunks SET bytes = zeroblob(2000000)", "holds only part of lift.pdf"),
        ("UPDATE migrations SET name = '0001-theirs'", "another line of versions"),
    ],
)
def test_contents_that_do_not_fit_are_refused(path: Path, statement: str, complaint: str) -> None:
    alter(path, statement)
    assert re.search(complaint, refusal(path))


def test_a_state_that_lies_is_noticed_and_the_history_governs(path: Path) -> None:
    """A verdict altered in the state table alone, to hide a finding."""
    with open_audit(path, read_only=True) as file:
        honest = file.load()
    alter(path, "UPDATE state SET record = replace(record, 'disagrees', 'agrees')")
    assert not inspect_stranger(path).state_matches
    with open_audit(path, read_only=True) as file:
        assert file.load() != honest
    with open_audit(path, rebuild=True) as file:
        assert file.load() == honest
        file.undo(revision=file.revision)
    assert inspect_stranger(path).state_matches


def test_a_state_that_cannot_be_read_is_rebuilt_too(path: Path) -> None:
    alter(path, "UPDATE state SET record = '{}'")
    assert not inspect_stranger(path).state_matches
    with open_audit(path, read_only=True, rebuild=True) as file:
        assert file.load().name == "marble lift"


def test_a_history_nested_without_end_is_refused(path: Path) -> None:
    deep = '{"reading":' * 2000 + "1" + "}" * 2000
    alter(path, f"UPDATE entries SET payload = '{deep}' WHERE seq = 5")
    refusal(path)


def test_a_row_over_the_limit_is_refused_before_it_is_read(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connection, "_LIMITS", ((sqlite3.SQLITE_LIMIT_LENGTH, 3000),))
    with pytest.raises(TooLarge, match="is too large"):
        inspect_stranger(path)


def test_looking_through_stops_at_its_deadline(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(strangers, "_STEPS", 1)
    with pytest.raises(TooLarge, match="takes too long to look through"):
        inspect_stranger(path, deadline_s=-1)


# Journals


def test_a_journal_that_names_other_files_is_refused_and_deletes_nothing(path: Path) -> None:
    """SQLite deletes the file that such a journal names, if it thinks it stale."""
    victim = path.with_name("precious.txt")
    victim.write_text("precious")
    name = str(victim).encode()
    tail = len(name).to_bytes(4, "big") + (sum(name) & 0xFFFFFFFF).to_bytes(4, "big")
    journal = path.with_name("theirs.audit-journal")
    journal.write_bytes(JOURNAL_MAGIC + bytes(504) + bytes(4) + name + tail + JOURNAL_MAGIC)
    for look in (inspect_stranger, open_audit):
        assert "names other files" in refusal(path, look)
    assert victim.read_text() == "precious"


def test_a_file_in_write_ahead_mode_is_brought_back_to_one_file(path: Path) -> None:
    alter(path, "PRAGMA journal_mode = WAL")
    assert path.read_bytes()[18:20] == b"\x02\x02"
    assert "keeps its changes beside itself: open it once" in refusal(path)
    with open_audit(path) as file:
        file.load()
    assert path.read_bytes()[18:20] == b"\x01\x01"
    assert [p.name for p in path.parent.iterdir()] == ["theirs.audit"]


# Damage anywhere


def look_and_load(path: Path) -> None:
    report = inspect_stranger(path)
    with open_audit(path, rebuild=not report.state_matches) as file:
        file.load()
        file.history()
        for source in file.list_sources():
            for _ in file.iterate_source(source.digest):
                pass


def is_refused(path: Path) -> bool:
    """Whether the file is refused; anything but one clear line fails the test."""
    told: AuditError | None = None
    try:
        look_and_load(path)
    except AuditError as error:
        told = error
    if told is None:
        return False
    assert told.exit_code == 2, (path, told)
    assert str(told).isprintable()
    assert told.advice
    return True


def damage(content: bytes, rng: random.Random) -> bytes:
    broken = bytearray(content)
    kind = rng.randrange(4)
    if kind == 0:
        return content[: rng.randrange(len(content))]
    if kind == 1:
        at = rng.randrange(len(content) - 600)
        broken[at : at + rng.randrange(1, 600)] = b""
        return bytes(broken)
    for _ in range(rng.choice((1, 4, 40))):
        at = rng.randrange(100 if kind == 2 else len(broken))
        broken[at] = rng.randrange(256)
    return bytes(broken)


@pytest.mark.parametrize(
    ("first", "count"), [(0, 150), pytest.param(1000, 5000, marks=pytest.mark.hard)]
)
def test_damage_anywhere_is_one_clear_line_or_no_harm(
    tmp_path: Path, first: int, count: int
) -> None:
    content = STORED.read_bytes()
    refused = 0
    for seed in range(first, first + count):
        path = tmp_path / f"{seed}.audit"
        path.write_bytes(damage(content, random.Random(seed)))
        refused += is_refused(path)
        path.unlink()
    assert refused > count // 3


@pytest.mark.parametrize(
    ("first", "count"), [(0, 100), pytest.param(1000, 5000, marks=pytest.mark.hard)]
)
def test_altered_records_are_one_clear_line_or_no_harm(
    tmp_path: Path, first: int, count: int
) -> None:
    """Whole files with one value of one record swapped for another."""
    values = [None, True, -1, 0, 7, 1e308, "", "x", "1/2", [], {}, [1, 2], {"is": "Scale"}]
    refused = 0
    for seed in range(first, first + count):
        rng = random.Random(seed)
        path = tmp_path / f"{seed}.audit"
        shutil.copyfile(STORED, path)
        with closing(sqlite3.connect(path, isolation_level=None)) as raw:
            seq = rng.randint(1, 17)
            (text,) = raw.execute("SELECT payload FROM entries WHERE seq = ?", (seq,)).fetchone()
            record = json.loads(text)
            _swap(record, rng, rng.choice(values))
            raw.execute("UPDATE entries SET payload = ? WHERE seq = ?", (json.dumps(record), seq))
        refused += is_refused(path)
        path.unlink()
    assert refused > count // 3


def _swap(record: object, rng: random.Random, value: object) -> None:
    """Put `value` at one random place of nested JSON."""
    while True:
        if isinstance(record, dict) and record:
            key: object = rng.choice(sorted(record))
        elif isinstance(record, list) and record:
            key = rng.randrange(len(record))
        else:
            return
        inner = record[key]  # type: ignore[index,call-overload]
        if not isinstance(inner, (dict, list)) or not inner or rng.random() < 0.2:
            record[key] = value  # type: ignore[index,call-overload]
            return
        record = inner


# Large plans


@pytest.mark.parametrize("size_mb", [40, pytest.param(200, marks=pytest.mark.hard)])
def test_a_large_scan_goes_in_and_out_in_little_memory(tmp_path: Path, size_mb: int) -> None:
    code = f"""
import resource, sys
from pathlib import Path
from audit.store import create_audit, inspect_stranger
folder = Path({str(tmp_path)!r})
scan = folder / "scan.tif"
with scan.open("wb") as file:
    file.truncate({size_mb} << 20)
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
with create_audit(folder / "lift.audit", name="lift") as audit:
    digest = audit.add_source(scan, "scan.tif")
    audit.read_source(digest, folder / "copy.tif")
inspect_stranger(folder / "lift.audit")
assert (folder / "copy.tif").stat().st_size == {size_mb} << 20
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    grown_kb = int(done.stdout)
    assert grown_kb < 16_000
    for name in ("scan.tif", "copy.tif", "lift.audit"):
        (tmp_path / name).unlink()
