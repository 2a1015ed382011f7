"""`plan-audit batch`: many plans, one result each, one summary."""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from audit.cli.checking import make_settings, prepare_folder
from audit.cli.printing import console, tell_progress
from audit.errors import (
    EXIT_BAD_INPUT,
    EXIT_CLEAN,
    EXIT_FINDINGS,
    EXIT_INTERNAL,
    EXIT_UNCHECKED,
    BadUsage,
    one_line,
)
from audit.networks.at_once import cores
from audit.pipeline.batch import THUMBNAIL, audit_plan, is_through, stop_running_plans
from audit.pipeline.catalogue import list_plans
from audit.pipeline.journal import Journal
from audit.records.batch import PlanOutcome, PlanState, PlanTask
from audit.report.catalogue import batch_csv, batch_json, batch_page, order_outcomes, say_batch
from audit.report.writing import write_whole

WORST_FIRST = (EXIT_INTERNAL, EXIT_BAD_INPUT, EXIT_FINDINGS, EXIT_UNCHECKED, EXIT_CLEAN)
AHEAD = 2  # plans handed out for each that is being audited: none waits, few are lost
SHORTEST_LIMIT_S = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchOptions:
    """The options of `batch` as typed."""

    given: Path
    out: Path | None = None
    tolerance: str | None = None
    unit: str | None = None
    jobs: int | None = None
    limit_s: float = 600.0
    retry: bool = False
    dask: str | None = None


def run_batch(options: BatchOptions) -> int:
    """Audit many plans; go on where a batch before this one stopped.

    Returns
    -------
    int
        The worst exit code of its plans, by 3, 2, 1, 4, 0.

    Raises
    ------
    BadUsage
        If an option makes no sense.
    """
    make_settings(options.tolerance, options.unit)  # typed wrong: said once, not for each plan
    if options.limit_s < SHORTEST_LIMIT_S:
        raise BadUsage(f"--limit {options.limit_s:g} is too short", advice="give it in seconds")
    given = options.given.expanduser()
    home = given.resolve()
    out = options.out or home.with_name(f"{home.name if given.is_dir() else home.stem}-audits")
    plans = list_plans(given, results=out)
    folder = prepare_folder(out).resolve()
    with Journal(folder) as journal, _executor(options) as (executor, at_once):
        tasks = _make_tasks(plans, folder, options, at_once)
        names = {task.name for task in tasks}
        try:
            _audit_all(tasks, journal, executor, retry=options.retry, at_once=at_once)
        finally:
            outcomes = order_outcomes(o for o in journal.outcomes.values() if o.name in names)
            _write_summary(outcomes, folder, title=home.stem)
    console().print(say_batch(outcomes))
    tell_progress(f"wrote {folder / 'index.html'}, summary.csv and summary.json")
    codes = {outcome.code for outcome in outcomes}
    return next((code for code in WORST_FIRST if code in codes), EXIT_INTERNAL)


def _make_tasks(
    plans: Sequence[tuple[str, tuple[Path, ...]]], folder: Path, options: BatchOptions, at_once: int
) -> list[PlanTask]:
    typed = [("--tolerance", options.tolerance), ("--unit", options.unit)]
    return [
        PlanTask(
            name=name,
            files=files,
            folder=folder / name,
            options=tuple(part for pair in typed if pair[1] for part in pair if part),
            limit_s=options.limit_s,
            threads=max(1, cores() // at_once),
        )
        for name, files in plans
    ]


@contextmanager
def _executor(options: BatchOptions) -> Iterator[tuple[Executor, int]]:
    """Hand out plans to processes of this machine, or to a Dask cluster's."""
    if options.dask is None:
        at_once = options.jobs or cores()
        with ThreadPoolExecutor(at_once) as pool:  # each thread waits for a process
            try:
                yield pool, at_once
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)
                stop_running_plans()
                raise
        return
    from audit.cli.cluster import dask_executor  # noqa: PLC0415  # only where it is asked for

    with dask_executor(options.dask) as (cluster, at_once):
        yield cluster, at_once


def _audit_all(
    tasks: Sequence[PlanTask], journal: Journal, executor: Executor, *, retry: bool, at_once: int
) -> None:
    left = [t for t in tasks if not is_through(t, journal.outcomes.get(t.name), retry=retry)]
    if len(left) < len(tasks):
        tell_progress(f"{len(tasks) - len(left)} of {len(tasks)} plans were audited before")
    progress = _Progress(total=len(left), at_once=at_once)
    waiting: dict[Future[PlanOutcome], PlanTask] = {}
    coming = iter(left)
    try:
        while True:
            for task in coming:
                waiting[executor.submit(audit_plan, task)] = task
                if len(waiting) >= AHEAD * at_once:
                    break
            if not waiting:
                return
            for future in wait(waiting, return_when=FIRST_COMPLETED).done:
                outcome = _outcome_of(future, waiting.pop(future))
                journal.add(outcome)
                progress.tell(outcome)
    finally:
        for future in waiting:
            future.cancel()


def _outcome_of(future: Future[PlanOutcome], task: PlanTask) -> PlanOutcome:
    """Take a result; a worker that was lost for good makes a failed plan, not a failed batch."""
    try:
        return future.result()
    except Exception as error:  # whatever a cluster may raise
        return PlanOutcome(
            name=task.name,
            sources=tuple(path.name for path in task.files),
            state=PlanState.FAILED,
            code=EXIT_INTERNAL,
            digest="",
            problem=f"its worker was lost ({type(error).__name__})",
        )


class _Progress:
    """Tells how far a batch is, and how long it will take yet."""

    def __init__(self, *, total: int, at_once: int) -> None:
        self.total, self.at_once = total, at_once
        self.seconds: list[float] = []
        self.begun = time.monotonic()

    def tell(self, outcome: PlanOutcome) -> None:
        """Say one line for a plan that is through."""
        self.seconds.append(outcome.seconds)
        done = len(self.seconds)
        text = f"{done} of {self.total}  {outcome.name}: {self._say(outcome)}"
        if done < self.total:
            text += f"; about {say_time(self._left())} to go"
        tell_progress(text)

    def _left(self) -> float:
        """Estimate seconds to go: by the pace so far, and by the usual plan while it is young."""
        left = self.total - len(self.seconds)
        if len(self.seconds) < self.at_once:
            return statistics.median(self.seconds) * left / self.at_once
        return (time.monotonic() - self.begun) / len(self.seconds) * left

    def _say(self, outcome: PlanOutcome) -> str:
        if outcome.state is not PlanState.DONE:
            return f"{outcome.state}: {outcome.problem}"
        wrong = outcome.errors + outcome.warnings
        return f"{wrong} wrong, {outcome.checked} of {outcome.texts} sizes checked"


def say_time(seconds: float) -> str:
    """Say a time as a person would.

    Examples
    --------
    >>> say_time(8), say_time(200), say_time(4000)
    ('8 s', '3 min', '1 h 7 min')
    """
    if seconds < 90:
        return f"{max(1, round(seconds))} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"


def _write_summary(outcomes: Sequence[PlanOutcome], folder: Path, *, title: str) -> None:
    outcomes = [replace(o, worst=one_line(o.worst), problem=one_line(o.problem)) for o in outcomes]
    pictures = frozenset(o.name for o in outcomes if (folder / o.name / THUMBNAIL).is_file())
    write_whole(folder / "summary.csv", batch_csv(outcomes))
    write_whole(folder / "summary.json", batch_json(outcomes))
    write_whole(folder / "index.html", batch_page(outcomes, title=title, pictures=pictures))
