"""The marked-up PDF of an audit, written by a worker."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Sequence
from pathlib import Path

from audit.errors import NotReadable
from audit.isolation import open_document
from audit.records import Audit, SourceFile
from audit.report import plan_markup
from audit.store import AuditFile


def mark_up_files(audit: Audit, plans: Sequence[Path], target: Path) -> tuple[str, ...]:
    """Write the marked-up PDF of an audit whose plans lie on the disk.

    Parameters
    ----------
    audit : Audit
    plans : sequence of Path
        The files of its sheets.
    target : Path

    Returns
    -------
    tuple of str
        What the user should know of the copy.

    Raises
    ------
    NotReadable
        If no plan is given.
    """
    sources = tuple(SourceFile(digest=_digest(path), path=path.resolve()) for path in plans)
    if not sources:
        raise NotReadable("the audit has no plan to mark up", advice="check it again with its plan")
    with open_document(sources[0].path) as document:
        return document.mark_up(plan_markup(audit), target, sources=sources)


def mark_up_audit(file: AuditFile, target: Path) -> tuple[str, ...]:
    """Write the marked-up PDF of an audit file from the plans inside it."""
    audit = file.load()
    with tempfile.TemporaryDirectory(prefix="plan-audit-") as folder:
        plans = []
        for number, source in enumerate(file.list_sources()):
            suffix = Path(source.name).suffix.lower()
            place = Path(folder) / f"{number}{suffix if suffix.isascii() else ''}"
            plans.append(file.read_source(source.digest, place))
        return mark_up_files(audit, plans, target)


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
