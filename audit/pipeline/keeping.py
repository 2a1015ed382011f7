"""The audit file: made or opened, the plans put in, the run added."""

from __future__ import annotations

import platform
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from audit.records import Audit
from audit.store import AuditFile, create_audit, open_audit

LIBRARIES = ("plan-sheet-audit", "PyMuPDF", "opencv-python-headless", "numpy", "scipy")


def keep_audit(
    found: Audit,
    plans: Sequence[Path],
    path: Path,
    *,
    options: tuple[tuple[str, str], ...] = (),
) -> Audit:
    """Store a run and return the audit as it stands with it.

    Parameters
    ----------
    found : Audit
        What `check` came to.
    plans : sequence of Path
        The files of its sheets; their bytes go inside.
    path : Path
        Of the audit file. An existing one gets another run; what a person confirmed stays.
    options : tuple of (str, str)
        What the run was called with.

    Returns
    -------
    Audit
        In the numbers of the audit file.
    """
    with _open_or_create(found, path) as file:
        for plan in plans:
            file.add_source(plan, plan.name)
        file.add_run(found, revision=file.revision, options=options, versions=tell_versions())
        return file.load()


def _open_or_create(found: Audit, path: Path) -> AuditFile:
    if path.exists():
        return open_audit(path)
    return create_audit(path, name=found.name, settings=found.settings)


def tell_versions() -> tuple[tuple[str, str], ...]:
    """Name what made a run: program, libraries, Python."""
    told = [("python", platform.python_version())]
    for name in LIBRARIES:
        try:
            told.append((name, version(name)))
        except PackageNotFoundError:
            continue
    return tuple(told)
