"""Where pixels lie: a folder that may vanish, and does not fill up."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

from audit.isolation.cache import STALE_SECONDS, find_cache_folder, make_work_folder


def test_the_cache_lies_where_the_variable_says(tmp_path, monkeypatch):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(tmp_path / "new" / "folder"))
    assert find_cache_folder() == tmp_path / "new" / "folder"
    assert make_work_folder().parent == tmp_path / "new" / "folder"


def test_a_place_that_cannot_be_made_is_replaced_by_the_temporary_folder(tmp_path, monkeypatch):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(blocked / "cache"))
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    import tempfile

    monkeypatch.setattr(tempfile, "tempdir", None)
    assert find_cache_folder() == tmp_path


def test_what_killed_runs_left_is_cleared_but_not_what_is_in_use(tmp_path, monkeypatch):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(tmp_path))
    old, fresh = make_work_folder(), make_work_folder()
    old = old.rename(tmp_path / "open-of-an-earlier-version")
    other = tmp_path / "pyramids"
    other.mkdir()
    long_ago = time.time() - STALE_SECONDS - 60
    for folder in (old, other):
        os.utime(folder, (long_ago, long_ago))
    newest = make_work_folder()
    assert sorted(Path(tmp_path).iterdir()) == sorted([fresh, newest, other])


def test_a_clock_that_jumps_ahead_takes_no_folder_from_a_program_that_runs(tmp_path, monkeypatch):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(tmp_path))
    mine = make_work_folder()
    said = [sys.executable, "-c", "import os; print(os.getpid())"]
    ended = subprocess.run(said, capture_output=True, text=True, check=True)
    theirs = tmp_path / f"open-{ended.stdout.strip()}-x"
    theirs.mkdir()
    week = time.time() + 7 * 24 * 3600
    monkeypatch.setattr("audit.isolation.cache.time.time", lambda: week)
    make_work_folder()
    assert mine.is_dir()
    assert not theirs.exists()
    monkeypatch.setattr("audit.isolation.cache.time.time", lambda: 0.0)  # and back again
    make_work_folder()
    assert mine.is_dir()
