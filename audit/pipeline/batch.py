"""One plan of a batch, audited in a process of its own that can be stopped."""

from __future__ import annotations

import contextlib
import hashlib
import json
import logging
import os
import subprocess
import sys
import time
from collections import Counter
from dataclasses import replace
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import psutil
from pydantic import BaseModel, ConfigDict, ValidationError

from audit.errors import EXIT_BAD_INPUT, EXIT_INTERNAL, AuditError, one_line
from audit.records.batch import PlanOutcome, PlanState, PlanTask
from audit.report.writing import write_bytes_whole

log = logging.getLogger(__name__)
_running: set[subprocess.Popen[str]] = set()

RESULT = "result.json"
THUMBNAIL = "sheet.png"
THUMBNAIL_PX = 360
READ_BYTES = 1024 * 1024
TAIL = 4000  # characters of what a plan's process said last
THREAD_SETTINGS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OPENCV_FOR_THREADS_NUM")


class _Coverage(BaseModel):
    checked: int
    texts: int


class _Finding(BaseModel):
    severity: str
    text: str


class _Result(BaseModel):
    """The part of a result that a summary needs."""

    model_config = ConfigDict(extra="ignore")
    coverage: _Coverage
    sheets: list[object]
    findings: list[_Finding]


def digest_plan(task: PlanTask) -> str:
    """Digest everything a plan's results depend on: contents, options, program version.

    Returns
    -------
    str
        SHA-256, hex. Files that cannot be read count as empty: they fail anew each time.
    """
    said = hashlib.sha256(json.dumps([_program_version(), *task.options]).encode())
    for path in task.files:
        said.update(path.name.encode(errors="surrogateescape") + b"\0")
        with contextlib.suppress(OSError), path.open("rb") as stream:
            said.update(hashlib.file_digest(stream, "sha256").digest())
    return said.hexdigest()


def _program_version() -> str:
    try:
        return version("plan-sheet-audit")
    except PackageNotFoundError:
        return "unknown"


def is_through(task: PlanTask, before: PlanOutcome | None, *, retry: bool) -> bool:
    """Whether a plan need not be audited again.

    Parameters
    ----------
    task : PlanTask
    before : PlanOutcome or None
        What came of it the last time.
    retry : bool
        Try again what failed. Without, a plan that failed waits for its files, the options, the
        program or its time to change.

    Returns
    -------
    bool
    """
    if before is None or before.digest != digest_plan(task):
        return False
    match before.state:
        case PlanState.DONE:
            return (task.folder / RESULT).is_file()
        case PlanState.TOO_SLOW:
            return not retry and task.limit_s <= before.seconds
        case PlanState.FAILED:
            return not retry


def audit_plan(task: PlanTask) -> PlanOutcome:
    """Audit one plan in a process of its own; nothing it does can stop the batch.

    Parameters
    ----------
    task : PlanTask

    Returns
    -------
    PlanOutcome
        Also when it failed or took too long; never an exception for a bad plan.
    """
    begun = time.monotonic()
    empty = PlanOutcome(
        name=task.name,
        sources=tuple(path.name for path in task.files),
        state=PlanState.FAILED,
        code=EXIT_INTERNAL,
        digest=digest_plan(task),
    )
    try:
        outcome = _run(task, empty)
    except OSError as error:
        outcome = replace(empty, problem=one_line(error.strerror or str(error)))
    return replace(outcome, seconds=round(time.monotonic() - begun, 2))


def _run(task: PlanTask, empty: PlanOutcome) -> PlanOutcome:
    task.folder.mkdir(parents=True, exist_ok=True)
    result = task.folder / RESULT
    result.unlink(missing_ok=True)  # an old one must not pass for this run's
    code, said = run_stoppable(_command(task, result), limit_s=task.limit_s, threads=task.threads)
    if code is None:
        problem = f"not through after {task.limit_s:g} s; give more time with --limit"
        return replace(empty, state=PlanState.TOO_SLOW, code=EXIT_BAD_INPUT, problem=problem)
    outcome = replace(empty, code=code, problem=_last_words(said) if code in (2, 3) else "")
    if code < 0:
        return replace(outcome, code=EXIT_INTERNAL, problem=f"its process was ended ({-code})")
    try:
        found = _Result.model_validate_json(result.read_bytes())
    except (OSError, ValidationError):
        return replace(outcome, problem=outcome.problem or "no result was written")
    _draw_thumbnail(task, sheets=len(found.sheets))
    return _summed(outcome, found)


def _command(task: PlanTask, result: Path) -> list[str]:
    files = [str(path) for path in task.files]
    where = ["--out", str(task.folder), "--json", str(result)]
    return [sys.executable, "-m", "audit.cli", "check", *task.options, *where, "--", *files]


def run_stoppable(command: list[str], *, limit_s: float, threads: int) -> tuple[int | None, str]:
    """Run a program; when time is out, stop it and all it started.

    Returns
    -------
    code : int or None
        None when it was stopped; negative when a signal ended it.
    said : str
        The end of what it wrote to stderr.
    """
    settings = dict.fromkeys(THREAD_SETTINGS, str(threads))
    with subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        errors="replace",
        start_new_session=True,  # Ctrl-C is the batch's to handle
        env={**os.environ, **settings, "NO_COLOR": "1"},
    ) as process:
        _running.add(process)
        try:
            _, said = process.communicate(timeout=limit_s)
            return process.returncode, said[-TAIL:]
        except subprocess.TimeoutExpired:
            return None, ""
        finally:
            _running.discard(process)
            if process.poll() is None:
                _stop_all(process)


def stop_running_plans() -> None:
    """End the plans that threads of this process are auditing."""
    for process in tuple(_running):
        _stop_all(process)


def _stop_all(process: subprocess.Popen[str]) -> None:
    """End a process and all it started, those in sessions of their own too."""
    family = [process.pid]
    with contextlib.suppress(psutil.Error):
        family += [child.pid for child in psutil.Process(process.pid).children(recursive=True)]
    for pid in family:
        with contextlib.suppress(psutil.Error):
            psutil.Process(pid).kill()


def _last_words(said: str) -> str:
    lines = [line for line in said.splitlines() if line.startswith("plan-audit:")]
    return one_line(lines[-1].removeprefix("plan-audit:")) if lines else "it said nothing"


def _draw_thumbnail(task: PlanTask, *, sheets: int) -> None:
    """Draw the marked-up first sheet small; a batch does not fail for want of a picture."""
    import cv2  # noqa: PLC0415  # only where a plan was audited
    import numpy as np  # noqa: PLC0415

    from audit.isolation import open_document  # noqa: PLC0415

    marked = sorted(task.folder.glob("*-marked.pdf"), key=lambda p: p.stat().st_mtime_ns)
    if not marked:
        return
    try:
        with open_document(marked[-1]) as document:
            first = max(1, len(document.info.pages) - sheets + 1)  # behind the findings
            page = document.page(first)
            dpi = 72.0 * 2 * THUMBNAIL_PX / max(page.width, page.height)
            pixels = document.render(first, dpi=dpi).pixels
    except AuditError as error:
        log.info("no thumbnail of %s: %s", task.name, error)
        return
    small = cv2.resize(pixels, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    _, data = cv2.imencode(".png", np.ascontiguousarray(small))
    write_bytes_whole(task.folder / THUMBNAIL, data.tobytes())


def _summed(outcome: PlanOutcome, found: _Result) -> PlanOutcome:
    counts = Counter(finding.severity for finding in found.findings)
    return replace(
        outcome,
        state=PlanState.DONE if outcome.code != EXIT_INTERNAL else PlanState.FAILED,
        sheets=len(found.sheets),
        checked=found.coverage.checked,
        texts=found.coverage.texts,
        errors=counts["error"],
        warnings=counts["warning"],
        notes=counts["note"],
        worst=found.findings[0].text if found.findings else "",
    )
