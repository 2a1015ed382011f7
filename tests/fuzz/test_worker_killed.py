"""The worker is killed at every question it is asked: the job goes on, or ends in one line."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from audit.errors import AuditError, WorkerStopped
from audit.isolation.process import WorkerProcess
from audit.pipeline import CheckRequest, check
from audit.pipeline.keeping import keep_audit
from audit.pipeline.marking import mark_up_audit
from audit.records import Settings
from audit.store import open_audit
from tests.fuzz.corpus import corpus

MOST_QUESTIONS = 40  # more than a small sheet takes; the test says so when it is not


class Killer:
    """Kills the worker before, or just after, the question of one number."""

    def __init__(self, monkeypatch, *, at, after):
        self.asked, self.at, self.after = 0, at, after
        ask = WorkerProcess.ask

        def ask_or_kill(worker, request, **keys):
            self.asked += 1
            if self.asked == self.at and not self.after:
                os.kill(worker.pid, signal.SIGKILL)
            answer = ask(worker, request, **keys)
            if self.asked == self.at and self.after:
                os.kill(worker.pid, signal.SIGKILL)
            return answer

        monkeypatch.setattr(WorkerProcess, "ask", ask_or_kill)


def audit_and_mark(plan: Path, folder: Path) -> AuditError | None:
    """The whole job; returns what it was refused with."""
    try:
        _audit_and_mark(plan, folder)
    except AuditError as error:
        return error
    return None


def _audit_and_mark(plan: Path, folder: Path) -> None:
    checked = check(CheckRequest(plans=(plan,), settings=Settings()))
    kept = keep_audit(checked.audit, (plan,), folder / "job.audit")
    with open_audit(kept.path, read_only=True) as file:
        mark_up_audit(file, folder / "marked.pdf")


@pytest.mark.parametrize(
    ("name", "after"),
    [
        ("drawn.pdf", False),
        pytest.param("drawn.pdf", True, marks=pytest.mark.hard),
        pytest.param("gray.png", False, marks=pytest.mark.hard),
        pytest.param("gray.png", True, marks=pytest.mark.hard),
    ],
)
def test_a_worker_killed_at_any_question_ends_nothing_but_itself(tmp_path, name, after):
    plan = tmp_path / name
    plan.write_bytes(corpus()[name])
    for at in range(1, MOST_QUESTIONS):
        folder = tmp_path / str(at)
        folder.mkdir()
        with pytest.MonkeyPatch.context() as patch:
            killer = Killer(patch, at=at, after=after)
            refused = audit_and_mark(plan, folder)
            if refused is not None:
                assert isinstance(refused, WorkerStopped), refused
                assert refused.advice
                assert "\n" not in str(refused)
                assert not (folder / "marked.pdf").exists()  # whole or not at all
            left = [f.name for f in folder.iterdir() if f.name not in {"job.audit", "marked.pdf"}]
            assert left == []
            if killer.asked < at:
                return
    pytest.fail(f"more than {MOST_QUESTIONS} questions are asked of the worker")
