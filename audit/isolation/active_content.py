"""Leave out what a PDF could *do*: scripts, launched programs, attached files, forms that send.

A marked-up copy goes from hand to hand; it must not carry what nobody has looked at.

References
----------
ISO 32000-1:2008, 12.6 (actions), 7.11.4 (embedded files), 12.7.8 (XFA), 12.5.6 (annotations).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pymupdf as _pymupdf

from audit.errors import Damaged

pymupdf: Any = _pymupdf  # ships without types

# A name alone proves nothing: a font may be called /JS. What counts is the name in its role.
_KINDS = (
    ("scripts", re.compile(r"/S\s*/JavaScript(?![A-Za-z])")),
    ("an action that starts a program", re.compile(r"/S\s*/Launch(?![A-Za-z])")),
    ("an action that opens another file", re.compile(r"/S\s*/(?:GoToE|GoToR|Thread)(?![A-Za-z])")),
    (
        "a form that sends data",
        re.compile(r"/S\s*/(?:SubmitForm|ImportData)(?![A-Za-z])|/XFA\s*[\[\d]"),
    ),
    (
        "attached files",
        re.compile(r"/(?:Type|Subtype)\s*/(?:EmbeddedFile|FileAttachment)\b|/EF\s*<<\s*/U?F\b"),
    ),
    (
        "sound, film or 3D",
        re.compile(r"/(?:S|Subtype)\s*/(?:RichMedia\w*|Movie|Sound|Rendition|3D)(?![A-Za-z])"),
    ),
)
_NAME_TREES = (("JavaScript", "scripts"), ("EmbeddedFiles", "attached files"))
# Where such things hang: keys that mark a dictionary's role, and what goes from it. Fonts and
# other resources have none of these roles, whatever their names.
_ROLES = (
    (("/Catalog", "/Page"), (), ("AA", "AF", "OpenAction")),
    (("/Annot",), ("Subtype", "Rect"), ("AA", "AF", "A", "PA")),
    ((), ("FT",), ("AA", "A")),
    ((), ("Fields",), ("XFA",)),
    ((), ("Title", "Parent"), ("A",)),
    (("/Action",), ("S",), ("Next",)),
    (("/Filespec", "/F"), ("EF",), ("EF",)),
)
_ACTIONS = ("A", "OpenAction", "Next", "PA")  # kept when they lead somewhere in the file
_BAD_ANNOTATIONS = re.compile(r"/Subtype\s*/(?:FileAttachment|RichMedia|Movie|Sound|Screen|3D)\b")
_STRING = re.compile(r"\((?:\\.|[^\\()]|\((?:\\.|[^\\()])*\))*\)|(?<!<)<[0-9A-Fa-f\s]*>(?!>)", re.S)
_REFERENCE = re.compile(r"\d+\s+\d+\s+R")
# Keys of the catalog that show pages and do nothing.
_HARMLESS_CATALOG = ("Type", "Pages", "Version", "OCProperties", "PageLabels", "ViewerPreferences")


def find_active_content(doc: Any) -> tuple[str, ...]:
    """Name what a PDF could do.

    Parameters
    ----------
    doc : pymupdf.Document

    Returns
    -------
    tuple of str
        Plain words ("scripts", "attached files"), each once; empty for a PDF that only shows.
    """
    found: set[str] = set()
    for xref in range(1, doc.xref_length()):
        text = _object(doc, xref)
        found.update(name for name, pattern in _KINDS if pattern.search(text))
    for tree, name in _NAME_TREES:
        if doc.xref_get_key(doc.pdf_catalog(), f"Names/{tree}")[0] != "null":
            found.add(name)
    return tuple(name for name, _ in _KINDS if name in found)


def strip_active_content(doc: Any) -> Any:
    """Take out what `find_active_content` finds; the drawing on the pages stays as it is.

    Parameters
    ----------
    doc : pymupdf.Document
        Closed by this.

    Returns
    -------
    pymupdf.Document
        A new one, in memory.

    Raises
    ------
    Damaged
        If something is left that cannot be taken out.
    """
    for xref in range(1, doc.xref_length()):
        _strip_object(doc, xref)
    _strip_names(doc)
    for page in doc.pages():
        _strip_annotations(doc, page.xref)
    doc = _reopened(doc)
    if find_active_content(doc):
        _strip_to_pages(doc)
        doc = _reopened(doc)
    if find_active_content(doc):
        advice = "print it to a new PDF, and audit that"
        raise Damaged("the PDF holds scripts or files that cannot be taken out", advice=advice)
    return doc


def _reopened(doc: Any) -> Any:
    """Drop every object without a way to it."""
    data = doc.tobytes(garbage=3, encryption=pymupdf.PDF_ENCRYPT_NONE)
    doc.close()
    return pymupdf.open("pdf", data)


def _strip_object(doc: Any, xref: int) -> None:
    if not _object(doc, xref).lstrip().startswith("<<"):
        return
    keys, kind = doc.xref_get_keys(xref), doc.xref_get_key(xref, "Type")[1]
    for types, marks, removed in _ROLES:
        if kind not in types and not (marks and all(mark in keys for mark in marks)):
            continue
        for key in removed:
            if key in keys and (key not in _ACTIONS or _is_active(doc, xref, key)):
                doc.xref_set_key(xref, key, "null")


def _strip_names(doc: Any) -> None:
    """Take scripts and files out of the catalog's name trees."""
    catalog = doc.pdf_catalog()
    for name, _ in _NAME_TREES:
        kind, value = doc.xref_get_key(catalog, "Names")
        if kind == "xref":
            doc.xref_set_key(int(value.split()[0]), name, "null")
        elif kind == "dict":
            doc.xref_set_key(catalog, f"Names/{name}", "null")


def _strip_annotations(doc: Any, page: int) -> None:
    """Take out annotations that are such a thing themselves, and those written in place."""
    kind, value = doc.xref_get_key(page, "Annots")
    if kind == "xref":
        value = doc.xref_object(int(value.split()[0]), compressed=True)
    kept = []
    for element in _elements(value):
        own = element if element.startswith("<<") else doc.xref_object(int(element.split()[0]))
        if _BAD_ANNOTATIONS.search(own) or (element.startswith("<<") and _says_active(element)):
            continue
        kept.append(element)
    if value.strip().startswith("["):
        doc.xref_set_key(page, "Annots", f"[{' '.join(kept)}]")


def _strip_to_pages(doc: Any) -> None:
    """Keep the pages and their layers, nothing that hangs on them."""
    catalog = doc.pdf_catalog()
    for key in doc.xref_get_keys(catalog):
        if key not in _HARMLESS_CATALOG:
            doc.xref_set_key(catalog, key, "null")
    for page in doc.pages():
        doc.xref_set_key(page.xref, "Annots", "null")


def _object(doc: Any, xref: int) -> str:
    try:
        return _masked(doc.xref_object(xref, compressed=True))
    except (RuntimeError, ValueError, pymupdf.mupdf.FzErrorBase):  # a number no object has
        return ""


def _masked(text: str) -> str:
    """Blank out strings, which may spell anything; every place stays where it is."""
    return _STRING.sub(lambda match: f"({' ' * (len(match.group()) - 2)})", text)


def _elements(text: str) -> Iterator[str]:
    """Yield the references and dictionaries of an array, in its order."""
    masked, at = _masked(text), 0
    while at < len(masked):
        if masked.startswith("<<", at):
            end = _closing(masked, at)
            yield text[at:end]
            at = end
        elif match := _REFERENCE.match(masked, at):
            yield match.group()
            at = match.end()
        else:
            at += 1


def _closing(masked: str, start: int) -> int:
    """Place behind the dictionary that opens at `start`."""
    depth, at = 0, start
    while at < len(masked):
        pair = masked[at : at + 2]
        if pair in ("<<", ">>"):
            depth += 1 if pair == "<<" else -1
            at += 2
            if depth == 0:
                return at
        else:
            at += 1
    return len(masked)


def _is_active(doc: Any, xref: int, key: str) -> bool:
    kind, value = doc.xref_get_key(xref, key)
    if kind == "xref":
        return _says_active(_object(doc, int(value.split()[0])))
    return _says_active(value)


def _says_active(text: str) -> bool:
    masked = _masked(text)
    return any(pattern.search(masked) for _, pattern in _KINDS)
