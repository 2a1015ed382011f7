"""The marked-up PDF of an audit, written by a worker."""

from __future__ import annotations

import hashlib
import logging
import tempfile
from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np

from audit.errors import AuditError, NotReadable
from audit.pipeline.unpacking import unpack_plans
from audit.reading.near import find_ink
from audit.records import Audit, Sheet, SourceFile
from audit.report import Ink, plan_markup
from audit.report.seen import see_page
from audit.sheets import LoadedPlan, load_plan
from audit.store import AuditFile

log = logging.getLogger(__name__)

INK_STEP_PT = 1.0  # of the map of what is drawn where; a tenth of a mark
INK_DPI = 100.0  # fine enough that a hairline still counts
PT_PER_MM = 72 / 25.4


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
    with load_plan(plans) as plan:
        return _mark_up(audit, plan, sources, target)


def _mark_up(
    audit: Audit, plan: LoadedPlan, sources: tuple[SourceFile, ...], target: Path
) -> tuple[str, ...]:
    markup = plan_markup(audit, ink=_see_inks(plan, audit.sheets))
    return plan.document(plan.sheets[0]).mark_up(markup, target, sources=sources)


def _see_inks(plan: LoadedPlan, sheets: Sequence[Sheet]) -> dict[int, Ink]:
    """Ink of each sheet that can be looked at: marks on one that cannot lie where they lie."""
    inks: dict[int, Ink] = {}
    for sheet in sheets:
        for opened in plan.sheets:
            if (opened.digest, opened.page) != (sheet.digest, sheet.page):
                continue
            try:
                inks[sheet.id] = see_ink(plan, opened, sheet)
            except AuditError as error:
                log.info("no ink seen on %s: %s", sheet.name, error)
    return inks


def see_ink(plan: LoadedPlan, opened: Sheet, sheet: Sheet) -> Ink:
    """Map what is drawn where on a sheet as it is seen, so that marks keep off it.

    Parameters
    ----------
    plan : LoadedPlan
    opened : Sheet
        As the plan has it.
    sheet : Sheet
        The same one in the audit.

    Returns
    -------
    Ink
    """
    image = plan.gray(opened, dpi=None if opened.stated_dpi else INK_DPI)
    seen = see_page(sheet)
    size = (max(1, round(seen.width / INK_STEP_PT)), max(1, round(seen.height / INK_STEP_PT)))
    to_seen = image.to_frame.then(seen.from_frame).matrix
    finest = float(np.sqrt(abs(np.linalg.det(to_seen[:2, :2])))) / INK_STEP_PT
    shrink = min(1.0, 2 * finest)
    rows, columns = image.pixels.shape
    small = (max(1, round(columns * shrink)), max(1, round(rows * shrink)))
    shrunk = cv2.resize(image.pixels, small, interpolation=cv2.INTER_AREA)
    back = np.diag([columns / small[0], rows / small[1], 1.0])
    matrix = np.diag([1 / INK_STEP_PT] * 2 + [1.0]) @ to_seen @ back
    inked = find_ink(np.asarray(shrunk, np.uint8), scale=PT_PER_MM * 2)
    mapped = cv2.warpAffine(inked, matrix[:2], size, flags=cv2.INTER_LINEAR)
    return Ink.of(np.asarray(mapped) > 40, step=INK_STEP_PT)


def mark_up_audit(
    file: AuditFile, target: Path, *, plan: LoadedPlan | None = None
) -> tuple[str, ...]:
    """Write the marked-up PDF of an audit file from the plans inside it.

    Parameters
    ----------
    file : AuditFile
    target : Path
    plan : LoadedPlan, optional
        Plans that are open; where they are all of those inside, they are not opened again.

    Returns
    -------
    tuple of str
        What the user should know of the copy.
    """
    audit = file.load()
    inside = file.list_sources()
    opened = {d.digest: d.path for d in plan.documents} if plan is not None else {}
    if plan is not None and inside and all(source.digest in opened for source in inside):
        sources = tuple(SourceFile(digest=s.digest, path=opened[s.digest]) for s in inside)
        return _mark_up(audit, plan, sources, target)
    with tempfile.TemporaryDirectory(prefix="plan-audit-") as folder:
        return mark_up_files(audit, unpack_plans(file, Path(folder)), target)


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
