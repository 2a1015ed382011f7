"""Reference photographs for the tests of this folder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.outside.fetch import NotToBeHad, fetch, find


@pytest.fixture(scope="session")
def outside() -> Callable[[str], Path]:
    """Fetch a reference photograph; the test is skipped where it cannot be had."""

    def get(name: str) -> Path:
        try:
            fetch([name])
        except NotToBeHad as reason:
            pytest.skip(f"reference photographs cannot be fetched: {reason}")
        path = find(name)
        assert path is not None
        return path

    return get


@pytest.fixture(scope="session")
def outside_if_there() -> Callable[[str], Path]:
    """Return a reference photograph that was fetched before; nothing is downloaded."""

    def get(name: str) -> Path:
        path = find(name)
        if path is None:
            pytest.skip(f"{name} was not fetched: python -m tests.outside.fetch")
        return path

    return get
