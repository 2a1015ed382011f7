"""Work of a benchmark spread over all cores, with a line of progress."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from typing import TypeVar

Job = TypeVar("Job")
Done = TypeVar("Done")

ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
TELL_S = 5.0  # between two lines of progress where nobody watches a terminal


def spread(
    work: Callable[[Job], Done], jobs: Sequence[Job], *, name: str
) -> Iterator[tuple[Job, Done]]:
    """Do jobs in processes of one thread each, and say on stderr how far it is.

    Parameters
    ----------
    work : callable
        Of a module, so that another process can find it.
    jobs : sequence
        Records that can be sent to another process.
    name : str
        Of the benchmark.

    Yields
    ------
    tuple of (job, result)
        As they get done, in no order.
    """
    for variable in ONE_THREAD:
        os.environ[variable] = "1"  # the children read it while their libraries load
    began = told = time.perf_counter()
    # spawn: a fork would take over threads of the libraries in whatever state they are
    workers = min(len(jobs), os.cpu_count() or 1)
    with ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=_use_one_thread
    ) as pool:
        waiting = {pool.submit(work, job): job for job in jobs}
        for number, future in enumerate(as_completed(waiting), 1):
            yield waiting[future], future.result()
            now = time.perf_counter()
            if now - told > TELL_S or number == len(jobs):
                told = now
                left = (now - began) / number * (len(jobs) - number)
                _tell(f"{name}: {number} of {len(jobs)} sheets, {left / 60:.1f} min left")


def _use_one_thread() -> None:
    import cv2

    cv2.setNumThreads(1)


def _tell(line: str) -> None:
    if sys.stderr.isatty():
        end = "\n" if line.endswith("0.0 min left") else ""
        print(f"\r\x1b[K{line}", end=end, file=sys.stderr, flush=True)
    else:
        print(line, file=sys.stderr, flush=True)
