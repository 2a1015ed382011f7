"""A worker started before it is needed: it loads its libraries while the program loads its own."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from threading import Lock

from audit.isolation.cache import make_work_folder
from audit.isolation.launching import WORKER, launch_worker

_lock = Lock()
_waiting: list[subprocess.Popen[bytes]] = []


@contextlib.contextmanager
def early_worker(plan: Path) -> Iterator[None]:
    """Start a worker that will soon be asked to open a plan; end it if nobody has asked.

    Parameters
    ----------
    plan : Path
        Its name only tells what the worker loads; the file is not looked at.
    """
    needs = "audit.isolation.pdf" if plan.suffix.lower() == ".pdf" else "audit.isolation.picture"
    try:
        folder = make_work_folder()
        started = launch_worker(folder, WORKER, needs)
    except OSError:
        yield  # opening the plan will say what is wrong
        return
    with _lock:
        _waiting.append(started)
    try:
        yield
    finally:
        _end(started, folder)


def take_early() -> subprocess.Popen[bytes] | None:
    """Return a worker that was started early and still runs, or nothing; nobody else gets it."""
    with _lock:
        while _waiting:
            started = _waiting.pop()
            if started.poll() is None:
                return started
            _stop(started)
    return None


def _end(started: subprocess.Popen[bytes], folder: Path) -> None:
    """End a worker that nobody asked for, and clear its folder away."""
    with _lock:
        if started in _waiting:
            _waiting.remove(started)
            _stop(started)
    shutil.rmtree(folder, ignore_errors=True)


def _stop(started: subprocess.Popen[bytes]) -> None:
    started.kill()
    started.wait()
    for pipe in (started.stdin, started.stdout):
        with contextlib.suppress(OSError):
            if pipe is not None:
                pipe.close()
