"""Workers that serve one file after another, so that thousands of cases need not start thousands.

What a worker does for a file is the same either way. A case that was not met well is run again with
a worker of its own, so that no fault is blamed on the file that came before.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any, ClassVar

from audit.isolation import document
from audit.isolation.limits import Limits
from audit.isolation.process import WorkerProcess
from audit.isolation.requests import Request

FILES_A_WORKER = 40  # then it ends: what its libraries keep must not add up


class LentWorker(WorkerProcess):
    """A worker that is put aside when its file is closed, not ended."""

    idle: ClassVar[list[LentWorker]] = []
    spent: ClassVar[float] = 0.0  # s of CPU time, of all of them
    served = 0
    gone = False

    def ask(self, request: Request, *, answer: Any, seconds: float, what: str) -> Any:
        """Ask as always, and count what it took."""
        before = self._cpu_seconds()
        try:
            return super().ask(request, answer=answer, seconds=seconds, what=what)
        finally:
            LentWorker.spent += max(0.0, self._cpu_seconds() - before)

    def kill(self) -> None:
        """Stop it; it is never lent again."""
        self.gone = True
        super().kill()

    def close(self) -> None:
        """Put it aside for the next file."""
        if self.gone or self.served >= FILES_A_WORKER:
            super().close()
        else:
            self.idle.append(self)


def lend(*, limits: Limits, folder: Path, module: str = "audit.isolation.worker") -> LentWorker:
    """Return an idle worker or a new one; it runs in no document's folder, for those go."""
    assert folder.is_dir()
    # a process cannot raise a limit that it was once given
    worker = next((w for w in reversed(LentWorker.idle) if w.limits == limits), None)
    if worker is not None:
        LentWorker.idle.remove(worker)
    else:
        worker = LentWorker(limits=limits, folder=Path(tempfile.gettempdir()), module=module)
    worker.served += 1
    return worker


def lend_workers() -> None:
    """Have every document of this process borrow its worker from now on."""
    document.WorkerProcess = lend


def end_idle_workers() -> None:
    """End the workers that nobody uses."""
    while LentWorker.idle:
        LentWorker.idle.pop().kill()
