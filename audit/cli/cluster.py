"""A Dask cluster as an executor; its workers must see the plans and results by the same paths."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager

from audit.errors import BadUsage, one_line

ANSWER_S = 10.0  # a scheduler that is there answers sooner
TRIES_MORE = 2  # of a plan whose worker was lost


@contextmanager
def dask_executor(address: str) -> Iterator[tuple[Executor, int]]:
    """Connect to a scheduler.

    Parameters
    ----------
    address : str
        As ``tcp://host:8786``.

    Yields
    ------
    executor : Executor
    at_once : int
        How many plans its workers take at a time.

    Raises
    ------
    BadUsage
        If Dask is not installed, or no scheduler answers, or it has no workers.
    """
    try:
        from distributed import Client  # noqa: PLC0415  # an extra, slow to load
    except ImportError as error:
        raise BadUsage(
            "--dask needs the package distributed", advice="install plan-sheet-audit[dask]"
        ) from error
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    try:
        client = Client(address, timeout=ANSWER_S)
    except (OSError, ValueError) as error:
        reason = one_line(str(error))[:120]
        raise BadUsage(
            f"no Dask scheduler answers at {address} ({reason})", advice="check the address"
        ) from error
    with client:
        at_once = sum(client.nthreads().values())
        if not at_once:
            raise BadUsage("the Dask cluster has no workers", advice="start dask worker first")
        yield client.get_executor(pure=False, retries=TRIES_MORE), at_once
