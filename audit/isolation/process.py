"""The parent's side of a worker: start it, ask it, stop it when it takes too much.

Time is counted as CPU time of the worker, so that a busy machine does not condemn a file; a
worker that merely sleeps is stopped on the wall clock, `Limits.patience` times later.
"""

from __future__ import annotations

import contextlib
import logging
import pickle
import queue
import subprocess
import threading
import time
from pathlib import Path
from typing import IO, Any

import psutil

from audit.errors import WorkerStopped, known_errors, one_line
from audit.isolation.early import take_early
from audit.isolation.launching import WORKER, launch_worker
from audit.isolation.limits import MEBIBYTE, Limits
from audit.isolation.requests import Request
from audit.isolation.wire import BadMessage, decode, read_frame, write_frame

log = logging.getLogger(__name__)

POLL_SECONDS = 0.02  # how often time and memory are looked at while waiting
CLOSE_SECONDS = 1.0  # how long a worker may take to end by itself
ADVICE_STOPPED = "print the page to a new PDF, or scan it, and use that instead"
MISSING = (("ImportError",), ("ModuleNotFoundError",))  # no fault of the file
MOST_TOLD = 200  # characters of what the worker says itself
_ERRORS = known_errors()


class WorkerProcess:
    """One running worker. Not safe for several threads at once; `Document` holds the lock.

    Parameters
    ----------
    limits : Limits
    folder : Path
        Where the worker runs and may leave files; one that was started early has its own.
    module : str
        What it runs.
    """

    def __init__(self, *, limits: Limits, folder: Path, module: str = WORKER) -> None:
        self.limits = limits
        early = take_early() if module == WORKER else None
        self._process = early or launch_worker(folder, module)
        self._watched = psutil.Process(self._process.pid)
        self._replies: queue.SimpleQueue[bytes | BadMessage | None] = queue.SimpleQueue()
        stream = self._process.stdout
        assert stream is not None  # stdout=PIPE
        threading.Thread(target=_collect, args=(stream, self._replies), daemon=True).start()

    @property
    def pid(self) -> int:
        """Process number."""
        return self._process.pid

    def ask(self, request: Request, *, answer: Any, seconds: float, what: str) -> Any:
        """Send one request and wait for its answer.

        Parameters
        ----------
        request : Request
        answer : type
            The record type that the answer must fit.
        seconds : float
            CPU time allowed.
        what : str
            What is being done, for the error message ("page 3 of plan.pdf").

        Returns
        -------
        object
            An instance of `answer`.

        Raises
        ------
        WorkerStopped
            If the worker ends, takes too long or too much memory, or answers nonsense.
        AuditError
            Whatever the worker found wrong with the file.
        """
        body = pickle.dumps(request, protocol=pickle.HIGHEST_PROTOCOL)
        # A worker that does not read must not hold up the parent: it is stopped while waiting.
        threading.Thread(target=self._send, args=(body,), daemon=True).start()
        try:
            reply = self._wait(seconds=seconds, what=what)
        except BaseException:  # also Ctrl-C: a half-read answer must not be taken for the next
            self.kill()
            raise
        return self._unpack(reply, answer=answer, what=what)

    def _send(self, body: bytes) -> None:
        stdin = self._process.stdin
        assert stdin is not None  # stdin=PIPE
        with contextlib.suppress(OSError, ValueError):  # it has ended; the reader thread says so
            write_frame(stdin, body)

    def _wait(self, *, seconds: float, what: str) -> bytes:
        began, cpu_before = time.monotonic(), self._cpu_seconds()
        while True:
            try:
                reply = self._replies.get(timeout=POLL_SECONDS)
            except queue.Empty:
                self._check_memory(what)
                waited = time.monotonic() - began
                busy = self._cpu_seconds() - cpu_before
                if busy > seconds or waited > seconds * self.limits.patience:
                    problem = f"{what} took longer than the {seconds:g} s allowed"
                    raise WorkerStopped(problem, advice=ADVICE_STOPPED) from None
                continue
            if isinstance(reply, bytes):
                return reply
            raise self._ended(what)

    def _check_memory(self, what: str) -> None:
        try:
            used = self._watched.memory_info().rss
        except psutil.Error:  # it has just ended; the reader thread will say so
            return
        if used > self.limits.memory_bytes:
            most = self.limits.memory_bytes // MEBIBYTE
            problem = f"{what} needed more than the {most} MB of memory allowed"
            raise WorkerStopped(problem, advice=ADVICE_STOPPED)

    def _cpu_seconds(self) -> float:
        try:
            times = self._watched.cpu_times()
        except psutil.Error:
            return 0.0
        return float(times.user + times.system)

    def _ended(self, what: str) -> WorkerStopped:
        self.kill()
        log.debug("worker ended with %s during %s", self._process.returncode, what)
        return WorkerStopped(f"{what} made the reader stop", advice=ADVICE_STOPPED)

    def _unpack(self, body: bytes, *, answer: Any, what: str) -> Any:
        try:
            if body.startswith(b'["ok",'):
                return decode(body, tuple[str, answer])[1]
            parts = decode(body, tuple[str, ...])
            if parts[0] == "error" and len(parts) == 4 and parts[1] in _ERRORS:
                raise _ERRORS[parts[1]](parts[2], advice=parts[3])
            log.debug("worker failed during %s: %s", what, parts)
            if parts[:1] == ("failed",) and parts[1:2] in MISSING:
                reason = one_line(parts[2])[:MOST_TOLD]
                problem = f"{what} could not be read, as the reader lacks a library ({reason})"
                raise WorkerStopped(problem, advice="install plan-audit again")
            raise WorkerStopped(f"{what} could not be read", advice=ADVICE_STOPPED)
        except BadMessage as error:
            self.kill()
            log.debug("worker sent nonsense during %s: %s", what, error)
            problem = f"{what} made the reader answer nonsense"
            raise WorkerStopped(problem, advice=ADVICE_STOPPED) from error

    def kill(self) -> None:
        """Stop the worker at once."""
        self._process.kill()
        self._process.wait()
        self._close_pipes()

    def close(self) -> None:
        """Let the worker end by itself, or stop it."""
        self._close_pipes()
        try:
            self._process.wait(timeout=CLOSE_SECONDS)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()

    def _close_pipes(self) -> None:
        # The reader thread closes its own end when the worker is gone.
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()


def _collect(stream: IO[bytes], replies: queue.SimpleQueue[bytes | BadMessage | None]) -> None:
    """Read answers in a thread of their own: no select on pipes on every system."""
    with stream:
        while True:
            try:
                body = read_frame(stream)
            except (BadMessage, OSError, ValueError, MemoryError):
                body = None
            replies.put(body)
            if body is None:
                return
