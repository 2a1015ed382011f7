"""Workers that hang, eat memory, end, or answer nonsense: one clear error, and nothing left."""

from __future__ import annotations

import os
import time
from pathlib import Path

import psutil
import pytest

from audit.errors import Damaged, WorkerStopped
from audit.isolation.info import DocumentInfo, SourceKind
from audit.isolation.limits import Limits
from audit.isolation.process import WorkerProcess
from audit.isolation.requests import OpenFile

LIMITS = Limits(memory_bytes=200 * 1024 * 1024, patience=2.0)


@pytest.fixture
def rogue(tmp_path):
    worker = WorkerProcess(limits=LIMITS, folder=tmp_path, module="tests.isolation.rogue")
    yield worker
    worker.kill()


def ask(worker, name, *, seconds=0.5):
    request = OpenFile(path=Path(name), kind=SourceKind.PDF, limits=LIMITS)
    return worker.ask(request, answer=DocumentInfo, seconds=seconds, what="plan.pdf")


def is_running(pid):
    return psutil.pid_exists(pid) and psutil.Process(pid).status() != psutil.STATUS_ZOMBIE


@pytest.mark.parametrize(
    ("name", "problem"),
    [
        ("sleeps", "plan.pdf took longer than the 0.5 s allowed"),
        ("spins", "plan.pdf took longer than the 0.5 s allowed"),
        ("ends", "plan.pdf made the reader stop"),
        ("lies", "plan.pdf made the reader answer nonsense"),
        ("babbles", "plan.pdf made the reader answer nonsense"),
        ("boasts", "plan.pdf made the reader stop"),
        ("fails", "plan.pdf could not be read"),
        ("scolds", "plan.pdf could not be read"),
    ],
)
def test_a_bad_worker_becomes_one_clear_error(rogue, name, problem):
    began = time.monotonic()
    with pytest.raises(WorkerStopped) as caught:
        ask(rogue, name)
    assert caught.value.problem == problem
    assert caught.value.advice.startswith("print the page to a new PDF, or scan it")
    assert time.monotonic() - began < 20
    if name not in ("fails", "scolds"):
        assert not is_running(rogue.pid)


def test_a_library_that_the_worker_lacks_is_no_fault_of_the_file(rogue):
    with pytest.raises(
        WorkerStopped, match=r"lacks a library \(No module named 'pymupdf'\)"
    ) as told:
        ask(rogue, "lacks")
    assert told.value.advice == "install plan-audit again"


def test_work_is_counted_in_cpu_time_not_on_the_wall_clock(tmp_path):
    """A busy machine must not condemn a file; a file that keeps the worker busy is stopped."""
    patient = Limits(patience=1000.0)
    worker = WorkerProcess(limits=patient, folder=tmp_path, module="tests.isolation.rogue")
    try:
        with pytest.raises(WorkerStopped, match="took longer"):
            ask(worker, "spins", seconds=0.3)
    finally:
        worker.kill()


def test_a_worker_that_eats_memory_is_stopped_at_the_limit(rogue):
    with pytest.raises(WorkerStopped, match="needed more than the 200 MB of memory allowed"):
        ask(rogue, "eats", seconds=30)
    assert not is_running(rogue.pid)


def test_a_worker_that_does_not_read_cannot_hold_up_its_parent(rogue):
    with pytest.raises(WorkerStopped):
        ask(rogue, "sleeps")
    with pytest.raises(WorkerStopped):  # the pipe is closed by now
        ask(rogue, "x" * 10_000_000)


def test_a_request_larger_than_the_pipe_times_out_too(rogue):
    request = OpenFile(path=Path("sleeps"), kind=SourceKind.PDF, limits=LIMITS)
    rogue._send(b"sleeps")
    began = time.monotonic()
    with pytest.raises(WorkerStopped, match="took longer"):
        rogue.ask((request, "x" * 10_000_000), answer=DocumentInfo, seconds=0.3, what="plan.pdf")
    assert time.monotonic() - began < 20


def test_ctrl_c_while_waiting_stops_the_worker(rogue, monkeypatch):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(rogue, "_wait", interrupted)
    with pytest.raises(KeyboardInterrupt):
        ask(rogue, "sleeps")
    assert not is_running(rogue.pid)


def test_a_worker_gets_none_of_the_secrets_of_its_parent(tmp_path, monkeypatch):
    monkeypatch.setenv("SECRET_TOKEN", "1234")
    worker = WorkerProcess(limits=LIMITS, folder=tmp_path, module="tests.isolation.rogue")
    try:
        environment = psutil.Process(worker.pid).environ()
        assert "SECRET_TOKEN" not in environment
        assert environment["OPENBLAS_NUM_THREADS"] == "1"
    finally:
        worker.kill()


def test_an_error_found_by_the_worker_arrives_as_the_same_error(tmp_path):
    """And the worker lives on: it was the file's fault."""
    worker = WorkerProcess(limits=Limits(), folder=tmp_path)
    try:
        request = OpenFile(path=tmp_path / "none.png", kind=SourceKind.IMAGE, limits=Limits())
        with pytest.raises(Damaged, match=r"none\.png is damaged"):
            worker.ask(request, answer=DocumentInfo, seconds=20, what="none.png")
        assert is_running(worker.pid)
    finally:
        worker.close()
    assert not is_running(worker.pid)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="resource limits are a matter of Unix")
def test_the_kernel_limits_the_worker_as_well(tmp_path):
    """A backstop for the case that the parent dies: CPU time, address space, written bytes."""
    path = tmp_path / "a.bmp"
    path.write_bytes(b"BM")
    worker = WorkerProcess(limits=Limits(), folder=tmp_path)
    try:
        request = OpenFile(path=path, kind=SourceKind.IMAGE, limits=Limits())
        with pytest.raises(Damaged):
            worker.ask(request, answer=DocumentInfo, seconds=20, what="a.bmp")
        watched = psutil.Process(worker.pid)
        if not hasattr(watched, "rlimit"):
            pytest.skip("psutil reads limits on Linux only")
        assert watched.rlimit(psutil.RLIMIT_AS)[0] == 2 * Limits().memory_bytes + (1 << 30)
        assert watched.rlimit(psutil.RLIMIT_CORE) == (0, 0)
    finally:
        worker.close()
