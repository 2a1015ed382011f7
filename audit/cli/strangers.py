"""Audit files may come from anybody: each is looked through in a process of its own first."""

from __future__ import annotations

import multiprocessing
import resource
import signal
from multiprocessing.connection import Connection
from pathlib import Path

from audit.errors import AuditError, TooLarge, WorkerStopped
from audit.store import AuditFile, StrangerReport, inspect_stranger, open_audit

DEADLINE_S = 120.0
GRACE_S = 10.0  # the worker tells that it ran out of time by itself; after that it is ended
WRITE_AHEAD = b"\x02\x02"
MEMORY_BYTES = 2 << 30  # beyond what the program itself takes; the largest audits need a tenth


def open_checked(path: Path, *, read_only: bool = False) -> AuditFile:
    """Look an audit file through, then open it.

    Parameters
    ----------
    path : Path
    read_only : bool
        Never write.

    Returns
    -------
    AuditFile
        Its state is worked out from its history where the two do not match.
    """
    report = inspect_apart(path, may_mend=not read_only)
    return open_audit(path, read_only=read_only, rebuild=not report.state_matches)


def inspect_apart(
    path: Path, *, may_mend: bool = False, deadline_s: float = DEADLINE_S
) -> StrangerReport:
    """Look an audit file through in a worker whose time and memory are limited.

    Parameters
    ----------
    path : Path
    may_mend : bool
        Bring a file that another program has put into write-ahead mode back to one file.
    deadline_s : float

    Returns
    -------
    StrangerReport

    Raises
    ------
    AuditError
        What the worker found wrong, or that it had to be stopped.
    """
    context = multiprocessing.get_context("spawn")
    mine, theirs = context.Pipe(duplex=False)
    worker = context.Process(
        target=_inspect, args=(theirs, path, may_mend, deadline_s), daemon=True
    )
    worker.start()
    theirs.close()
    try:
        found = _hear(mine, deadline_s + GRACE_S, path)
    finally:
        worker.kill()
        worker.join()
        mine.close()
    if isinstance(found, AuditError):
        raise found
    return found


def _hear(pipe: Connection, seconds: float, path: Path) -> StrangerReport | AuditError:
    try:
        if pipe.poll(seconds):
            said: StrangerReport | AuditError = pipe.recv()
            return said
    except EOFError:
        problem = f"{path.name} could not be looked through"
        return WorkerStopped(problem, advice="ask for a sound copy, or check the plans anew")
    problem = f"{path.name} takes too long to look through"
    return TooLarge(problem, advice="ask for a smaller audit")


def _inspect(pipe: Connection, path: Path, may_mend: bool, deadline_s: float) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C: the parent ends this process
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    wanted = _address_space() + MEMORY_BYTES
    resource.setrlimit(resource.RLIMIT_AS, (wanted, hard))
    try:
        if may_mend and _is_write_ahead(path):
            open_audit(path).close()
        pipe.send(inspect_stranger(path, deadline_s=deadline_s))
    except AuditError as error:
        pipe.send(error)
    except MemoryError:
        problem = f"{path.name} needs too much memory"
        pipe.send(TooLarge(problem, advice="ask for a smaller audit"))


def _is_write_ahead(path: Path) -> bool:
    """Look at bytes 18 and 19 of the file (SQLite file format, 1.3.3)."""
    try:
        with path.open("rb") as file:
            return file.read(20)[18:] == WRITE_AHEAD
    except OSError:
        return False


def _address_space() -> int:
    """Return how much address space this process has taken, bytes; where told, else a guess."""
    try:
        pages = int(Path("/proc/self/statm").read_text("ascii").split()[0])
    except OSError:
        return 4 << 30
    return pages * resource.getpagesize()
