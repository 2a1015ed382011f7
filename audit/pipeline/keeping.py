"""The audit file: made or opened, the plans put in, the run added."""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from importlib.metadata import PackageNotFoundError, version
from itertools import count
from pathlib import Path

from audit.errors import NotReadable
from audit.pipeline.recalling import match_pages
from audit.pipeline.rejudging import rejudge
from audit.pipeline.request import lay_settings
from audit.records import Audit, Settings, Sheet, UserSet
from audit.store import (
    AddKnownSize,
    AuditFile,
    ChangeSettings,
    RemoveKnownSize,
    SetFolds,
    SetPaper,
    create_audit,
    open_audit,
)
from audit.store.entries import UserEntry

LIBRARIES = ("plan-sheet-audit", "PyMuPDF", "opencv-python-headless", "numpy", "scipy")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """An audit as it stands in its file, and where that is."""

    audit: Audit
    path: Path


def recall_audit(plans: Sequence[Path], path: Path) -> Audit | None:
    """Return the audit that holds one of these plans already, where `keep_audit` will put them.

    Parameters
    ----------
    plans : sequence of Path
    path : Path
        Of the audit file, as for `keep_audit`.

    Returns
    -------
    Audit or None
        `None` when there is none: the plans are checked for the first time.

    Raises
    ------
    NotReadable
        If a plan cannot be read.
    """
    if not path.exists():
        return None
    digests = {_digest(plan) for plan in plans}
    for candidate in _candidates(path):
        if not candidate.exists():
            return None
        with open_audit(candidate, read_only=True) as file:
            audit = file.load()
        before = {sheet.digest for sheet in audit.sheets}
        if not before or before & digests:
            return audit
    raise AssertionError("count() never ends")


def _digest(plan: Path) -> str:
    try:
        with plan.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        reason = error.strerror or str(error)
        raise NotReadable(f"{plan} cannot be read ({reason})", advice="name a plan file") from error


def _candidates(path: Path) -> Iterator[Path]:
    yield path
    for number in count(2):
        yield path.with_name(f"{path.stem}-{number}.audit")


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
        What `check` came to. Its known sizes and folds, and papers that a person fixed, are
        recorded as that person's work, if they are not in the audit yet.
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
    file, is_new = _open_or_create(found, path)
    with ExitStack() as undo:
        if is_new:  # an audit without the run would look like a plan on which nothing is
            undo.callback(file.path.unlink, missing_ok=True)
        with file:
            kept = _keep_run(found, plans, file, options, is_new=is_new)
        undo.pop_all()
    return kept


def _keep_run(
    found: Audit,
    plans: Sequence[Path],
    file: AuditFile,
    options: tuple[tuple[str, str], ...],
    *,
    is_new: bool,
) -> Kept:
    for plan in plans:
        file.add_source(plan, plan.name)
    _keep_settings(file, found.settings)
    given = any(not k.by_tool for k in found.known_sizes) or any(
        UserSet.PAPER in s.user_set or s.folds for s in found.sheets
    )
    file.add_run(
        _as_found(found),
        revision=file.revision,
        options=options,
        versions=tell_versions(),
        # judged when it was found: what it comes to can only differ beside what was there before
        judge=None if given or is_new else rejudge,
    )
    if given:
        entries = _entries(found, file.load())
        if entries:
            file.record_all(entries, revision=file.revision, judge=rejudge)
        else:
            file.judge(rejudge, revision=file.revision)
    return Kept(audit=file.load(), path=file.path)


def _as_found(found: Audit) -> Audit:
    """Leave out what a person gave: it is recorded apart, and can be undone."""
    sheets = tuple(
        replace(s, user_set=s.user_set - {UserSet.PAPER}, folds=()) for s in found.sheets
    )
    measured = tuple(k for k in found.known_sizes if k.by_tool)
    return replace(found, sheets=sheets, known_sizes=measured)


def _entries(found: Audit, stored: Audit) -> list[UserEntry]:
    """What a person gave with this check and the audit does not hold yet."""
    pages = match_pages(found.sheets, stored.sheets)
    numbers = {number: sheet.id for number, sheet in pages.items()}
    given = [k for k in found.known_sizes if k.sheet in numbers and not k.by_tool]
    known = [replace(k, sheet=numbers[k.sheet]) for k in given]
    covered = set(numbers.values())
    replaced = [
        k for k in stored.known_sizes if k.sheet in covered and k not in known and not k.by_tool
    ]
    entries: list[UserEntry] = [RemoveKnownSize(known=k) for k in replaced]
    entries += [AddKnownSize(known=k) for k in known if k not in stored.known_sizes]
    for sheet in found.sheets:
        if UserSet.PAPER in sheet.user_set and sheet.id in pages:
            before = pages[sheet.id]
            paper = _paper(sheet, before.id)
            if UserSet.PAPER not in before.user_set or paper != _paper(before, before.id):
                entries.append(paper)
        if sheet.folds and sheet.id in pages and sheet.folds != pages[sheet.id].folds:
            entries.append(SetFolds(sheet=pages[sheet.id].id, folds=sheet.folds))
    return entries


def _paper(sheet: Sheet, number: int) -> SetPaper:
    return SetPaper(
        sheet=number,
        to_paper=sheet.to_paper,
        paper_known=sheet.paper_known,
        u_paper=sheet.u_paper,
        scatter=sheet.scatter,
        paper_box=sheet.paper_box,
        flatness=sheet.flatness,
    )


def _open_or_create(found: Audit, path: Path) -> tuple[AuditFile, bool]:
    """Open the audit of this plan, or make one; with whether it was made."""
    digests = {sheet.digest for sheet in found.sheets}
    for candidate in _candidates(path):
        if not candidate.exists():
            return create_audit(candidate, name=found.name, settings=found.settings), True
        file = open_audit(candidate)
        before = {sheet.digest for sheet in file.load().sheets}
        if not before or before & digests:
            return file, False
        file.close()
    raise AssertionError("count() never ends")


def _keep_settings(file: AuditFile, given: Settings) -> None:
    """Judge by what was typed this time; what was not typed stays as it was set before."""
    before = file.load().settings
    after = lay_settings(given, over=before)
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
