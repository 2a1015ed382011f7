"""Caches of the tests stay with the tests."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def _own_cache(tmp_path_factory, monkeypatch):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(tmp_path_factory.mktemp("cache")))
