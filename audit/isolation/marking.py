"""Draw a `MarkupPlan` on the original files: one PDF with every sheet, marks and findings pages.

Runs in the worker process only. A single PDF is written incrementally: its bytes stay as they
are, as the first part of the new file. Where that cannot be (several files, pictures, encryption,
a damaged file, contents that could *do* something) the pages are written anew and their drawing
stays as it is.

References
----------
ISO 32000-1:2008, 12.5 (annotations), 12.9 (measurement properties), 8.3.2.3 (user units).
"""

from __future__ import annotations

import hashlib
import itertools
import os
import secrets
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pymupdf as _pymupdf

from audit.errors import CannotWrite, Damaged, Encrypted, NotReadable
from audit.isolation.active_content import find_active_content, strip_active_content
from audit.isolation.annotations import draw_sheet, link_findings
from audit.isolation.findings_pages import FindingsPages, set_findings_pages
from audit.isolation.layers import list_layers, mark_layers
from audit.isolation.page_frame import read_page_frame
from audit.isolation.picture_pages import add_picture_page
from audit.records import Frame, MarkedSheet, MarkupPlan, SourceFile

pymupdf: Any = _pymupdf  # ships without types

# A page may differ from the audited one by this much, pt: rounding of boxes in the records.
PAGE_SLACK_PT = 0.5
_CHUNK = 1 << 20  # bytes hashed at a time


def apply_markup(sources: Sequence[SourceFile], plan: MarkupPlan, target: Path) -> tuple[str, ...]:
    """Write the marked-up PDF of a plan, whole or not at all.

    Parameters
    ----------
    sources : sequence of SourceFile
        The files of all sheets of the plan. An empty digest stands for any.
    plan : MarkupPlan
    target : Path
        Replaced when it exists.

    Returns
    -------
    tuple of str
        What the user should know of the copy (scripts left out); also on the findings pages.

    Raises
    ------
    NotReadable
        If a source is missing or changed since it was audited.
    Encrypted
        If a source needs a password.
    Damaged
        If a source cannot be copied.
    CannotWrite
        If the target cannot be written.
    """
    pymupdf.TOOLS.mupdf_display_errors(False)
    pymupdf.TOOLS.mupdf_display_warnings(False)
    paths = _find_sources(sources, plan)
    with _new_file_for(target) as made, _translated():
        return _write(paths, plan, made)


def _write(paths: tuple[Path, ...], plan: MarkupPlan, made: Path) -> tuple[str, ...]:
    whole = _whole_pdf(paths, plan)
    if whole is None:
        doc, remarks = _merge(paths, plan)
        pages = tuple(range(len(plan.sheets)))
        incremental = False
    else:
        doc, remarks, incremental = _open_copy(whole, made)
        pages = tuple(sheet.page - 1 for sheet in plan.sheets)
    with doc:
        _check_pages(doc, plan.sheets, pages, paths)
        findings = set_findings_pages(plan, remarks=remarks)
        _insert_findings(doc, findings)
        page_numbers = {
            sheet.id: page + findings.pages for sheet, page in zip(plan.sheets, pages, strict=True)
        }
        for sheet in plan.sheets:
            draw_sheet(doc, sheet, page=page_numbers[sheet.id], findings=findings)
        link_findings(doc, plan.sheets, page_numbers=page_numbers, findings=findings)
        _label_pages(doc, findings.pages)
        _save(doc, made, incremental=incremental)
    return remarks


def _find_sources(sources: Sequence[SourceFile], plan: MarkupPlan) -> tuple[Path, ...]:
    """Path of each sheet's file, checked to be the file that was audited."""
    known = {source.digest: source.path for source in sources}
    checked: dict[str, Path] = {}
    for sheet in plan.sheets:
        if sheet.digest in checked:
            continue
        path = known.get(sheet.digest, known.get(""))
        if path is None:
            raise NotReadable(f"the file of {sheet.name} is missing", advice="give it again")
        if sheet.digest and _hash(path) != sheet.digest:
            problem = f"{path.name} changed since it was audited"
            raise NotReadable(problem, advice="audit it again")
        checked[sheet.digest] = path
    return tuple(checked[sheet.digest] for sheet in plan.sheets)


def _hash(path: Path) -> str:
    digest = hashlib.sha256()
    try:
        with path.open("rb") as stream:
            while chunk := stream.read(_CHUNK):
                digest.update(chunk)
    except OSError as error:
        problem = f"{path.name} cannot be read ({error.strerror or error})"
        raise NotReadable(problem, advice="check the name and folder") from error
    return digest.hexdigest()


def _whole_pdf(paths: tuple[Path, ...], plan: MarkupPlan) -> Path | None:
    """Return the one PDF all sheets come from, in its own order; `None` otherwise."""
    numbers = [sheet.page for sheet in plan.sheets]
    pdf = all(sheet.frame is Frame.PT for sheet in plan.sheets)
    in_order = all(a < b for a, b in itertools.pairwise(numbers))
    return paths[0] if pdf and in_order and len(set(paths)) == 1 else None


def _open_pdf(path: Path) -> Any:
    doc = pymupdf.open(str(path), filetype="pdf")
    if doc.needs_pass:
        advice = "open it with its password and print it to a new PDF without one"
        raise Encrypted(f"{path.name} needs a password", advice=advice)
    return doc


def _open_copy(path: Path, made: Path) -> tuple[Any, tuple[str, ...], bool]:
    """Copy the one PDF and open the copy; whether it may be written incrementally."""
    shutil.copyfile(path, made)
    doc, remarks = _strip(_open_pdf(made), path.name)
    plain = not remarks and not doc.is_repaired and not doc.is_encrypted
    return (
        doc,
        remarks,
        bool(plain and not doc.metadata.get("encryption") and doc.can_save_incrementally()),
    )


def _strip(doc: Any, name: str) -> tuple[Any, tuple[str, ...]]:
    found = find_active_content(doc)
    if not found:
        return doc, ()
    return strip_active_content(doc), (f"{name} carried {_join(found)}; this copy does not.",)


def _join(words: tuple[str, ...]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _merge(paths: tuple[Path, ...], plan: MarkupPlan) -> tuple[Any, tuple[str, ...]]:
    """Put the pages of several files into a new document, in the order of the sheets."""
    doc = pymupdf.open()
    remarks: list[str] = []
    opened: dict[Path, Any] = {}
    for sheet, path in zip(plan.sheets, paths, strict=True):
        if sheet.frame is Frame.PX:
            remarks += filter(None, [add_picture_page(doc, sheet, path=path)])
            continue
        if path not in opened:
            opened[path], told = _strip(_open_pdf(path), path.name)
            remarks.extend(told)
            mark_layers(opened[path])
        number = sheet.page - 1
        doc.insert_pdf(opened[path], from_page=number, to_page=number, final=False)
    for source in opened.values():
        source.close()
    list_layers(doc)
    return doc, tuple(remarks)


def _check_pages(
    doc: Any, sheets: tuple[MarkedSheet, ...], pages: tuple[int, ...], paths: tuple[Path, ...]
) -> None:
    """Refuse a page that has another size than the audited one: marks would lie elsewhere."""
    for sheet, number, path in zip(sheets, pages, paths, strict=True):
        there = number < doc.page_count
        size = read_page_frame(doc, doc.page_xref(number)).seen_size if there else (0.0, 0.0)
        wanted = (sheet.page_width, sheet.page_height)
        if any(abs(a - b) > PAGE_SLACK_PT for a, b in zip(size, wanted, strict=True)):
            if sheet.frame is Frame.PX:
                problem = f"no page can be made for {sheet.name}: it is too long for its width"
                raise Damaged(problem, advice="cut it into pieces")
            problem = f"page {sheet.page} of {path.name} is not the one that was audited"
            raise Damaged(problem, advice="audit it again")


def _insert_findings(doc: Any, findings: FindingsPages) -> None:
    with pymupdf.open("pdf", findings.data) as pages:
        doc.insert_pdf(pages, start_at=0, links=False, annots=False, widgets=False)
    for number in range(findings.pages):
        page = doc[number]
        # A CropBox that the page tree of the plan hands down must not reach these pages; they
        # have a MediaBox and a turn of their own.
        size = f"[0 0 {page.mediabox.width:g} {page.mediabox.height:g}]"
        doc.xref_set_key(page.xref, "CropBox", size)
    # The file opens with coverage, whatever page the plan itself opened at.
    doc.xref_set_key(doc.pdf_catalog(), "OpenAction", f"[{doc.page_xref(0)} 0 R /Fit]")


def _label_pages(doc: Any, findings: int) -> None:
    """Let viewers call the findings pages i, ii … and the plan's own pages 1, 2 …."""
    if doc.xref_get_key(doc.pdf_catalog(), "PageLabels")[0] != "null":
        return
    labels = f"<</Nums[0<</S/r>>{findings}<</S/D>>]>>"
    doc.xref_set_key(doc.pdf_catalog(), "PageLabels", labels)


def _save(doc: Any, made: Path, *, incremental: bool) -> None:
    if incremental:
        doc.save(str(made), incremental=True, encryption=pymupdf.PDF_ENCRYPT_KEEP, deflate=True)
        return
    # The document may still be reading the file that is replaced here.
    made.write_bytes(doc.tobytes(garbage=3, deflate=True, encryption=pymupdf.PDF_ENCRYPT_KEEP))


@contextmanager
def _new_file_for(target: Path) -> Iterator[Path]:
    """Give a new file beside the target that takes its place when all went well."""
    made = target.with_name(f".{target.name[:80]}.{secrets.token_hex(6)}.part")
    try:
        yield made
        with made.open("rb") as stream:
            os.fsync(stream.fileno())
        made.replace(target)
    except OSError as error:
        raise _cannot_write(error.strerror or str(error)) from error
    finally:
        made.unlink(missing_ok=True)


@contextmanager
def _translated() -> Iterator[None]:
    """Turn the library's errors into ours, one line each."""
    try:
        yield
    except (RuntimeError, ValueError, pymupdf.mupdf.FzErrorBase) as error:
        text = str(error)
        if "No space" in text or "fwrite" in text or "File too large" in text:
            raise _cannot_write("no space left") from error
        problem = "the marked-up PDF cannot be made: a sheet is damaged"
        raise Damaged(problem, advice="export or print it to PDF again") from error


def _cannot_write(reason: str) -> CannotWrite:
    problem = f"the marked-up PDF cannot be written ({reason})"
    return CannotWrite(problem, advice="choose another folder, or free some space")
