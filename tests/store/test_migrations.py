"""Files of older versions; the stored copies are never remade."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from audit.errors import BadAudit
from audit.records import Verdict
from audit.store import RenameAudit, create_audit, inspect_stranger, open_audit, opening
from audit.store import connection as connecting
from audit.store.migrations import MIGRATIONS, Migration, apply_migrations, expected_schema
from tests.store.builders import inches

STORED = sorted((Path(__file__).parent / "files").glob("version-*.audit"))


def test_there_is_a_stored_copy_of_every_version() -> None:
    assert [path.name for path in STORED] == [
        f"version-{n}.audit" for n in range(1, len(MIGRATIONS) + 1)
    ]
    assert sum(path.stat().st_size for path in STORED) < 200_000 * len(STORED)


@pytest.mark.parametrize("stored", STORED, ids=lambda path: path.stem)
def test_a_stored_file_opens_and_can_be_worked_on(stored: Path, tmp_path: Path) -> None:
    path = tmp_path / "old.audit"
    shutil.copyfile(stored, path)
    inspect_stranger(path)
    with open_audit(path) as file:
        audit = file.load()
        assert audit == file.replayed()
        assert audit.name == "marble lift"
        assert [d.id for d in audit.dimensions][:3] == [1, 2, 3]
        readings = [d.reading.text for d in audit.dimensions[:3] if d.reading]
        assert readings == ["17/8", "3", "3/8"]
        assert audit.dimensions[1].build_to == inches("7/2")
        assert audit.dimensions[2].verdict is Verdict.DISAGREES
        assert [p.name for p in audit.parts] == ["part 2"]
        assert [c.name for c in audit.chains] == ["chain 2"]
        assert file.snapshot().can_redo
        (source,) = file.list_sources()
        assert b"".join(file.iterate_source(source.digest)) == b"%PDF-1.7 not really"
        file.redo(revision=file.revision)
        assert file.load().dimensions[2].verdict is Verdict.NOT_CRITICAL
        file.record(RenameAudit(name="newer"), revision=file.revision)
    with open_audit(path, read_only=True) as file:
        assert file.load().name == "newer"


def test_steps_run_once_in_order_each_recorded_by_name() -> None:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    second = Migration("0002-colours", lambda c: c.execute("CREATE TABLE colours (name TEXT)"))
    apply_migrations(connection, at="then")
    apply_migrations(connection, at="now", migrations=(*MIGRATIONS, second))
    apply_migrations(connection, at="later", migrations=(*MIGRATIONS, second))
    rows = connection.execute("SELECT name, at FROM migrations ORDER BY name").fetchall()
    assert rows == [("0001-first-tables", "then"), ("0002-colours", "now")]
    assert connection.execute("PRAGMA user_version").fetchone() == (2,)
    connection.close()


def test_a_step_that_fails_leaves_the_file_as_it_was() -> None:
    def fail(connection: sqlite3.Connection) -> None:
        connection.execute("CREATE TABLE half (name TEXT)")
        raise RuntimeError("power cut")

    connection = sqlite3.connect(":memory:", isolation_level=None)
    apply_migrations(connection, at="then")
    before = connection.execute("SELECT * FROM sqlite_schema").fetchall()
    with pytest.raises(RuntimeError):
        apply_migrations(connection, at="now", migrations=(*MIGRATIONS, Migration("0002", fail)))
    assert connection.execute("SELECT * FROM sqlite_schema").fetchall() == before
    assert connection.execute("PRAGMA user_version").fetchone() == (1,)
    connection.close()


def test_opening_an_older_file_brings_its_tables_up_to_date(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "lift.audit"
    create_audit(path, name="lift").close()
    second = Migration("0002-colours", lambda c: c.execute("CREATE TABLE colours (name TEXT)"))
    newer = (*MIGRATIONS, second)

    def migrate(connection: sqlite3.Connection, *, at: str) -> None:
        apply_migrations(connection, at=at, migrations=newer)

    with monkeypatch.context() as patch:
        patch.setattr(opening, "apply_migrations", migrate)
        patch.setattr(connecting, "MIGRATIONS", newer)
        patch.setattr(connecting, "expected_schema", lambda n: expected_schema(n, newer))
        before = path.read_bytes()
        with open_audit(path, read_only=True) as file:  # reads it as it is
            assert file.load().name == "lift"
        assert path.read_bytes() == before
        open_audit(path).close()
        with open_audit(path, read_only=True) as file:
            assert file.load().name == "lift"
    with pytest.raises(
        BadAudit, match=r"lift\.audit comes from a newer version: update plan-audit"
    ):
        open_audit(path)


def test_a_released_step_is_never_edited() -> None:
    """The first version of the tables, word for word as its stored copy has them."""
    connection = sqlite3.connect(f"{STORED[0].as_uri()}?mode=ro&immutable=1", uri=True)
    rows = connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_schema").fetchall()
    connection.close()
    assert frozenset(rows) == expected_schema(1)
