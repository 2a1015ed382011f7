"""Work on several cores: OpenCV, numpy and the networks let other threads run meanwhile."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from threading import local
from typing import Self, TypeVar

Asked = TypeVar("Asked")
Said = TypeVar("Said")

MOST = 2  # threads: each holds the buffers of a network of its own
LIMIT = "OMP_NUM_THREADS"  # what a batch gives its plans, and people use to the same end


def cores() -> int:
    """Count the cores this process may use, and was not asked to leave to others.

    Returns
    -------
    int
        At least 1.
    """
    try:
        there = len(os.sched_getaffinity(0))
    except AttributeError:  # not on macOS or Windows
        there = os.cpu_count() or 1
    asked = os.environ.get(LIMIT, "").partition(",")[0].strip()  # a list is one of levels
    return max(1, min(there, int(asked)) if asked.isdecimal() else there)


def each_at_once(function: Callable[[Asked], Said], items: Iterable[Asked]) -> list[Said]:
    """Call a function with each of some items, two at a time where there are two cores.

    Parameters
    ----------
    function : callable
        Must not depend on what it was called with before.
    items : iterable

    Returns
    -------
    list
        What it gave for each, in their order: the same as one by one.

    Examples
    --------
    >>> each_at_once(abs, [-2, 1, -3])
    [2, 1, 3]
    """
    waiting = iter(items)
    first = list(islice(waiting, 2))
    if len(first) < 2 or cores() < 2 or getattr(_HALF, "begun", False):
        return [function(item) for item in (*first, *waiting)]
    with ThreadPoolExecutor(min(MOST, cores()), thread_name_prefix="at-once") as pool:
        return list(pool.map(function, (*first, *waiting)))


def in_halves(
    function: Callable[[Sequence[Asked]], Sequence[Said]],
    items: Sequence[Asked],
    *,
    size: Callable[[Asked], float],
) -> list[Said]:
    """Call a function with one half of some items and, where there are two cores, the other beside.

    Parameters
    ----------
    function : callable
        Gives something for each of some items, in their order, whatever the others are.
    items : sequence
    size : callable
        How long an item takes, at a guess: the halves get as many long ones each.

    Returns
    -------
    list
        What it gave for each, in their order.

    Examples
    --------
    >>> in_halves(lambda some: [-k for k in some], [3, 1, 2], size=abs)
    [-3, -1, -2]
    """
    if len(items) < MOST or cores() < 2 or getattr(_HALF, "begun", False):
        return list(function(items))
    order = sorted(range(len(items)), key=lambda k: size(items[k]))
    said: list[Said] = [*items]  # type: ignore[list-item]  # each is replaced

    def take(half: list[int]) -> None:
        _HALF.begun = True
        for k, one in zip(half, function([items[k] for k in half]), strict=True):
            said[k] = one

    with ThreadPoolExecutor(MOST, thread_name_prefix="half") as pool:
        list(pool.map(take, [order[::MOST], order[1::MOST]]))
    return said


_HALF = local()  # whether a thread works on one half: then it starts no more of them


def one_ahead(items: Iterable[Asked]) -> Iterator[Asked]:
    """Yield items; the next one is made while the last one is still in use.

    Parameters
    ----------
    items : iterable
        Taken in a thread of its own, where there are two cores.

    Yields
    ------
    object
        The items, in their order.

    Examples
    --------
    >>> list(one_ahead(range(3)))
    [0, 1, 2]
    """
    waiting = iter(items)
    if cores() < 2:
        yield from waiting
        return
    with ThreadPoolExecutor(1, thread_name_prefix="one-ahead") as pool:
        coming = pool.submit(next, waiting, _END)
        while (item := coming.result()) is not _END:
            coming = pool.submit(next, waiting, _END)
            yield item  # type: ignore[misc]  # the end is of no type of theirs


_END = object()


class Beside:
    """Does things beside what goes on here; on one core at once, before that goes on."""

    def __init__(self) -> None:
        self._pool: ThreadPoolExecutor | None = None

    def __enter__(self) -> Self:
        if cores() > 1:
            self._pool = ThreadPoolExecutor(1, thread_name_prefix="beside")
        return self

    def __exit__(self, *_: object) -> None:
        if self._pool is not None:
            self._pool.shutdown()

    def start(self, work: Callable[[], Said]) -> Callable[[], Said]:
        """Start something; what is returned waits for its result.

        Parameters
        ----------
        work : callable

        Returns
        -------
        callable

        Examples
        --------
        >>> with Beside() as beside:
        ...     wait = beside.start(lambda: 6 * 7)
        ...     wait()
        42
        """
        if self._pool is not None:
            return self._pool.submit(work).result
        made = work()
        return lambda: made
