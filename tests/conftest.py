"""What holds for all tests: they share cores with other programs, so nothing may hang on time.

Property tests have no deadline. A test that waits for another process (a browser, a server, a
worker) may be tried again: a fault in the program fails every time, a busy machine does not.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.fuzz.lent_workers import end_idle_workers, lend

settings.register_profile(
    "shared cores", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
settings.load_profile("shared cores")


@pytest.fixture(scope="module")
def lent_workers() -> Iterator[None]:
    """One worker for the files of a module's tests, one after another: starting one takes longer.

    For modules that ask what a worker says of a file, not how it is started and ended.
    """
    with pytest.MonkeyPatch.context() as patch:
        for asked_by in ("document", "composing"):
            patch.setattr(f"audit.isolation.{asked_by}.WorkerProcess", lend)
        yield
    end_idle_workers()


WAITING = {"browser", "isolation", "web"}
TRIES_MORE = 2


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let tests that wait for other processes be tried again."""
    for item in items:
        if WAITING & set(Path(item.fspath).parts):
            item.add_marker(pytest.mark.flaky(reruns=TRIES_MORE))
