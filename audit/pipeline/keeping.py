"""The audit file: made or opened, the plans put in, the run added."""

from __future__ import annotations

import platform
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from importlib.metadata import PackageNotFoundError, version
from itertools import count
from pathlib import Path

from audit.pipeline.rejudging import rejudge
from audit.records import Audit, Settings
from audit.store import AuditFile, ChangeSettings, create_audit, open_audit

LIBRARIES = ("plan-sheet-audit", "PyMuPDF", "opencv-python-headless", "numpy", "scipy")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """An audit as it stands in its file, and where that is."""

    audit: Audit
    path: Path


def keep_audit(
    found: Audit,
    plans: Sequence[Path],
    path: Path,
    *,
    options: tuple[tuple[str, str], ...] = (),
) -> Kept:
    """Store a run and return the audit as it stands with it.

    Parameters
    ----------
    found : Audit
        What `check` came to.
    plans : sequence of Path
        The files of its sheets; their bytes go inside.
    path : Path
        Of the audit file. One that holds the same plan gets another run, and what a person
        confirmed stays and is what verdicts are worked out with; one that holds another plan is
        left alone, and the next free name taken.
    options : tuple of (str, str)
        What the run was called with.

    Returns
    -------
    Kept
        In the numbers of the audit file.
    """
    with _open_or_create(found, path) as file:
        for plan in plans:
            file.add_source(plan, plan.name)
        _keep_settings(file, found.settings)
        file.add_run(
            found,
            revision=file.revision,
            options=options,
            versions=tell_versions(),
            judge=rejudge,
        )
        return Kept(audit=file.load(), path=file.path)


def _open_or_create(found: Audit, path: Path) -> AuditFile:
    digests = {sheet.digest for sheet in found.sheets}
    for number in count(2):
        if not path.exists():
            return create_audit(path, name=found.name, settings=found.settings)
        file = open_audit(path)
        before = {sheet.digest for sheet in file.load().sheets}
        if not before or before & digests:
            return file
        file.close()
        path = path.with_name(f"{found.name}-{number}.audit")
    raise AssertionError("count() never ends")


def _keep_settings(file: AuditFile, given: Settings) -> None:
    """Judge by what was typed this time; what was not typed stays as it was set before."""
    before = file.load().settings
    usual = Settings()
    typed = {
        field.name: value
        for field in fields(Settings)
        if (value := getattr(given, field.name)) != getattr(usual, field.name)
    }
    after = replace(before, **typed)
    if after != before:
        file.record(ChangeSettings(settings=after), revision=file.revision)


def tell_versions() -> tuple[tuple[str, str], ...]:
    """Name what made a run: program, libraries, Python."""
    told = [("python", platform.python_version())]
    for name in LIBRARIES:
        try:
            told.append((name, version(name)))
        except PackageNotFoundError:
            continue
    return tuple(told)
