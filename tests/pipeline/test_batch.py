"""One plan of a batch runs in a process that can be stopped, with all it started."""

from __future__ import annotations

import sys
import threading
import time

import psutil
import pytest

from audit.pipeline.batch import RESULT, audit_plan, is_through, run_stoppable, stop_running_plans
from audit.records.batch import PlanState, PlanTask

PARENT = """
import pathlib, subprocess, sys, time
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"],
                         start_new_session=True)
pathlib.Path(sys.argv[1]).write_text(str(child.pid))
time.sleep(600)
"""


def task(folder, *files, options=(), limit_s=60.0):
    return PlanTask(
        name="plan", files=files, folder=folder, options=options, limit_s=limit_s, threads=1
    )


def wait_gone(pid):
    for _ in range(200):
        if not psutil.pid_exists(pid) or psutil.Process(pid).status() == psutil.STATUS_ZOMBIE:
            return True
        time.sleep(0.05)
    return False


def test_time_out_ends_the_process_and_what_it_started(tmp_path):
    note = tmp_path / "pid"
    code, _ = run_stoppable([sys.executable, "-c", PARENT, str(note)], limit_s=5, threads=1)
    assert code is None
    assert wait_gone(int(note.read_text()))


def test_a_batch_that_is_given_up_leaves_nothing_running(tmp_path):
    note, ended = tmp_path / "pid", []
    command = [sys.executable, "-c", PARENT, str(note)]
    thread = threading.Thread(
        target=lambda: ended.append(run_stoppable(command, limit_s=600, threads=1))
    )
    thread.start()
    while not (note.exists() and note.read_text()):
        time.sleep(0.02)
    stop_running_plans()
    thread.join(30)
    assert ended[0][0] < 0
    assert wait_gone(int(note.read_text()))


def test_a_plan_that_is_none_fails_in_one_line_and_is_not_tried_for_ever(tmp_path):
    bad = tmp_path / "bad.pdf"
    bad.write_bytes(b"nonsense")
    out = tmp_path / "out"
    (out).mkdir()
    (out / RESULT).write_text("{}")  # of an older run
    outcome = audit_plan(task(out, bad))
    assert outcome.state is PlanState.FAILED
    assert outcome.code == 2
    assert outcome.problem.startswith("bad.pdf is neither a PDF nor a picture")
    assert not (out / RESULT).exists()
    assert is_through(task(out, bad), outcome, retry=False)
    assert not is_through(task(out, bad), outcome, retry=True)
    bad.write_bytes(b"another nonsense")
    assert not is_through(task(out, bad), outcome, retry=False)


def test_more_time_is_a_reason_to_try_again(tmp_path):
    plan = tmp_path / "plan.pdf"
    plan.write_bytes(b"%PDF-1.7")
    outcome = audit_plan(task(tmp_path / "out", plan, limit_s=0.01))
    assert outcome.state is PlanState.TOO_SLOW
    assert "--limit" in outcome.problem
    assert is_through(task(tmp_path / "out", plan, limit_s=0.01), outcome, retry=False)
    assert not is_through(task(tmp_path / "out", plan, limit_s=600.0), outcome, retry=False)


def test_a_folder_that_cannot_be_made_fails_the_plan_only(tmp_path):
    (tmp_path / "out").write_text("a file")
    outcome = audit_plan(task(tmp_path / "out" / "plan", tmp_path / "plan.pdf"))
    assert outcome.state is PlanState.FAILED
    assert outcome.problem


@pytest.mark.parametrize("change", ["options", "result gone"])
def test_other_options_or_a_lost_result_are_audited_again(tmp_path, change):
    plan, out = tmp_path / "plan.pdf", tmp_path / "out"
    plan.write_bytes(b"%PDF-1.7")
    out.mkdir()
    (out / RESULT).write_text("{}")
    done = audit_plan(task(tmp_path / "elsewhere", plan))
    done = type(done)(**{f: getattr(done, f) for f in done.__slots__} | {"state": PlanState.DONE})
    assert is_through(task(out, plan), done, retry=False)
    if change == "options":
        assert not is_through(task(out, plan, options=("--unit", "mm")), done, retry=False)
    else:
        (out / RESULT).unlink()
        assert not is_through(task(out, plan), done, retry=False)
