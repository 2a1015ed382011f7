from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from audit.store import AuditFile, create_audit
from tests.store.builders import make_found


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[AuditFile]:
    with create_audit(tmp_path / "lift.audit", name="marble lift") as file:
        yield file


@pytest.fixture
def lift(empty: AuditFile) -> AuditFile:
    """An audit after its first run: dimensions 1 to 8, findings 9 and 10."""
    empty.add_run(make_found(), revision=empty.revision)
    return empty
