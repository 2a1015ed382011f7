"""Looking through plan files in a process of its own: the page stays quick, and can stop it."""

from __future__ import annotations

import logging
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from audit.errors import AuditError
from audit.records import Audit, Settings

log = logging.getLogger(__name__)

POLL_S = 0.2


@dataclass(frozen=True, slots=True)
class Searched:
    """What a search came to: an audit, or why not. Both `None`: it was stopped."""

    audit: Audit | None = None
    error: AuditError | None = None


@dataclass(frozen=True, slots=True)
class _Told:
    text: str


class Search:
    """One search, in a child process."""

    def __init__(self, plans: tuple[Path, ...], settings: Settings) -> None:
        context = multiprocessing.get_context("spawn")
        self._mine, theirs = context.Pipe(duplex=False)
        self._stopped = threading.Event()
        self._child = context.Process(
            target=_search, args=(theirs, plans, settings), name="plan-audit-search"
        )
        self._child.start()
        theirs.close()

    def stop(self) -> None:
        """Stop looking; what was found so far is dropped."""
        self._stopped.set()

    def wait(self, tell: Callable[[str], None]) -> Searched:
        """Wait for the result.

        Parameters
        ----------
        tell : callable
            Told in a few words what is being done.

        Returns
        -------
        Searched
        """
        try:
            while not self._stopped.is_set():
                if not self._mine.poll(POLL_S):
                    continue
                said = self._mine.recv()
                if isinstance(said, Searched):
                    return said
                tell(said.text)
            return Searched()
        except (EOFError, OSError):
            problem = "looking for dimensions stopped unexpectedly"
            return Searched(error=AuditError(problem, advice="place them by hand, or look again"))
        finally:
            self._end()

    def _end(self) -> None:
        if self._child.is_alive():
            self._child.terminate()
        self._child.join(5)
        if self._child.is_alive():
            self._child.kill()
        self._mine.close()


def _search(pipe: Connection, plans: tuple[Path, ...], settings: Settings) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C: the parent says when to stop
    signal.signal(signal.SIGTERM, _leave)
    from audit.pipeline import CheckRequest, check  # noqa: PLC0415  # only the child needs it all

    try:
        request = CheckRequest(plans=plans, settings=settings)
        checked = check(request, progress=lambda text: pipe.send(_Told(text)))
        pipe.send(Searched(audit=checked.audit))
    except AuditError as error:
        pipe.send(Searched(error=error))
    except Exception as error:  # the page must hear of it
        log.exception("the search failed")
        problem = f"looking for dimensions failed ({type(error).__name__})"
        pipe.send(Searched(error=AuditError(problem, advice="place them by hand")))


def _leave(*_: object) -> None:
    raise SystemExit(os.EX_OK)
