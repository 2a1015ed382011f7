"""The parent's side of pages that come from records alone: printed pages and booklets.

No foreign file is open in the worker then; it only draws.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from audit.errors import CannotWrite
from audit.isolation.cache import make_work_folder
from audit.isolation.document import move_into_place
from audit.isolation.info import Done
from audit.isolation.limits import Limits
from audit.isolation.process import WorkerProcess
from audit.isolation.requests import Compose
from audit.records import Booklet, PrintPlan


def compose_pdf(plan: PrintPlan | Booklet, target: Path, *, limits: Limits | None = None) -> None:
    """Write the PDF of a plan of pages, whole or not at all.

    Parameters
    ----------
    plan : PrintPlan or Booklet
    target : Path
        Replaced when it exists.
    limits : Limits, optional

    Raises
    ------
    CannotWrite
        If the target folder does not take it.
    """
    limits = limits or Limits()
    folder = make_work_folder()
    worker = WorkerProcess(limits=limits, folder=folder)
    try:
        made = folder / "composed.pdf"
        request = Compose(plan=plan, target=made)
        worker.ask(
            request, answer=Done, seconds=limits.page_seconds, what=f"composing {target.name}"
        )
        move_into_place(made, target)
    except OSError as error:
        reason = error.strerror or str(error)
        advice = "choose another folder, or free some space"
        raise CannotWrite(f"{target.name} cannot be written ({reason})", advice=advice) from error
    finally:
        worker.close()
        shutil.rmtree(folder, ignore_errors=True)
