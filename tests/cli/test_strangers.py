"""Audit files from anybody, opened by the commands: one line, nothing believed unseen."""

from __future__ import annotations

import shutil
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from audit.cli import strangers
from audit.cli.main import run_command
from audit.cli.strangers import inspect_apart, open_checked
from audit.errors import AuditError, BadAudit, NotReadable, TooLarge
from audit.store import open_audit

STORED = Path(__file__).parents[1] / "store" / "files" / "version-1.audit"
COMMANDS = (["table", "-o", "out.csv"], ["markup", "-o", "out.pdf"], ["open", "--no-browser"])


@pytest.fixture
def theirs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return Path(shutil.copyfile(STORED, tmp_path / "theirs.audit"))


def alter(path: Path, statement: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("PRAGMA foreign_keys = OFF")
        raw.execute(statement)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c[0])
@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TRIGGER t AFTER INSERT ON entries BEGIN DELETE FROM entries; END",
        "UPDATE entries SET payload = '{\"x\":1}' WHERE seq = 5",
    ],
    ids=["trigger", "unreadable entry"],
)
def test_an_audit_that_is_not_as_we_write_them_is_refused_in_one_line(
    theirs, command, statement, capsys
):
    alter(theirs, statement)
    assert run_command([command[0], str(theirs), *command[1:]]) == 2
    lines = [x for x in capsys.readouterr().err.splitlines() if not x.startswith("…")]
    assert len(lines) == 1
    assert lines[0].startswith("plan-audit: ")
    assert "audit" in lines[0].removeprefix("plan-audit: ")
    assert "internal error" not in lines[0]
    assert not list(theirs.parent.glob("out.*"))


def test_a_state_that_the_history_does_not_bear_out_is_not_shown(theirs):
    with open_audit(theirs, read_only=True) as file:
        honest = file.load()
    alter(theirs, "UPDATE state SET record = replace(record, 'disagrees', 'agrees')")
    with open_audit(theirs, read_only=True) as file:
        assert file.load() != honest  # what looking first guards against
    with open_checked(theirs, read_only=True) as file:
        assert file.load() == honest


def test_write_ahead_mode_is_mended_where_writing_is_meant_and_refused_where_not(theirs):
    alter(theirs, "PRAGMA journal_mode = WAL")
    with pytest.raises(BadAudit, match="open it once where you may write"):
        open_checked(theirs, read_only=True)
    with open_checked(theirs) as file:
        assert file.load().name == "marble lift"
    assert theirs.read_bytes()[18:20] == b"\x01\x01"


def test_a_missing_audit_is_one_line(tmp_path):
    with pytest.raises(NotReadable):
        inspect_apart(tmp_path / "none.audit")


def _dies(*_: object) -> None:
    raise SystemExit(9)


def _sleeps(*_: object) -> None:
    time.sleep(60)


def test_a_worker_that_dies_is_one_clear_error(theirs, monkeypatch):
    monkeypatch.setattr(strangers, "_inspect", _dies)
    with pytest.raises(AuditError, match="could not be looked through"):
        inspect_apart(theirs)


def test_a_worker_that_does_not_end_is_ended(theirs, monkeypatch):
    monkeypatch.setattr(strangers, "_inspect", _sleeps)
    monkeypatch.setattr(strangers, "GRACE_S", 0.1)
    with pytest.raises(TooLarge, match="takes too long"):
        inspect_apart(theirs, deadline_s=0.0)
