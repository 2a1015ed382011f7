"""A worker that was started early serves the first file, and nobody is left behind."""

from __future__ import annotations

from pathlib import Path

import psutil
import pytest

from audit.cli.main import run_command
from audit.isolation import early, launching, process
from audit.isolation.early import early_worker, take_early
from audit.isolation.limits import Limits
from audit.isolation.process import WorkerProcess

PLAN = Path(__file__).parents[2] / "sample_scans" / "marble-lift-1.pdf"


@pytest.fixture
def started(monkeypatch):
    """Process numbers of the workers that are started from now on."""
    numbers = []

    def launch(*arguments):
        worker = launching.launch_worker(*arguments)
        numbers.append(worker.pid)
        return worker

    monkeypatch.setattr(early, "launch_worker", launch)
    monkeypatch.setattr(process, "launch_worker", launch)
    return numbers


def test_the_next_worker_is_the_one_that_was_started_early(tmp_path, started):
    with early_worker(PLAN):
        worker = WorkerProcess(limits=Limits(), folder=tmp_path)
        assert started == [worker.pid]
        other = WorkerProcess(limits=Limits(), folder=tmp_path)
        assert other.pid != worker.pid
        worker.close()
        other.close()


def test_one_that_has_ended_meanwhile_is_not_taken(started):
    with early_worker(PLAN):
        psutil.Process(started[0]).kill()
        early._waiting[-1].wait()
        assert take_early() is None


def test_one_that_nobody_asked_for_is_ended_and_its_folder_cleared(tmp_path, started, monkeypatch):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(tmp_path))
    with early_worker(PLAN):
        assert len(list(tmp_path.iterdir())) == 1
    assert not psutil.pid_exists(started[0])
    assert not list(tmp_path.iterdir())
    assert take_early() is None


def test_a_command_that_fails_before_it_opens_a_plan_leaves_no_worker(tmp_path, started):
    assert run_command(["check", str(PLAN), "--tolerance", "wide", "--out", str(tmp_path)]) == 2
    assert run_command(["check", str(tmp_path / "none.pdf"), "--out", str(tmp_path)]) == 2
    assert not [number for number in started if psutil.pid_exists(number)]


def test_one_worker_reads_a_plan_and_marks_it_up(tmp_path, started, capsys):
    assert run_command(["check", str(PLAN), "--out", str(tmp_path)]) == 1
    assert len(started) == 1
    assert (tmp_path / "marble-lift-1-marked.pdf").read_bytes().startswith(b"%PDF")


def test_a_library_that_is_missing_stops_no_worker_from_starting(tmp_path):
    running = launching.launch_worker(tmp_path, launching.WORKER, "audit.no_such_module")
    assert running.stdin is not None
    assert running.stdout is not None
    running.stdin.close()
    assert running.wait(timeout=20) == 0
    running.stdout.close()
