"""Leave out what a PDF could *do*: scripts, launched programs, attached files, forms that send.

A marked-up copy goes from hand to hand; it must not carry what nobody has looked at.
"""

from __future__ import annotations

import re
from typing import Any

# Names of ISO 32000-1, 12.6 (actions), 7.11.4 (embedded files), 12.7.8 (XFA), 12.5.6 (annotations).
_KINDS = (
    ("scripts", re.compile(r"/(?:JavaScript|JS)\b")),
    ("an action that starts a program", re.compile(r"/S\s*/Launch\b")),
    ("an action that opens another file", re.compile(r"/S\s*/(?:GoToE|GoToR|Thread)\b")),
    ("a form that sends data", re.compile(r"/S\s*/(?:SubmitForm|ImportData)\b|/XFA\b")),
    ("attached files", re.compile(r"/(?:EmbeddedFiles?|FileAttachment|AF|EF)\b")),
    ("sound, film or 3D", re.compile(r"/(?:RichMedia\w*|Movie|Sound|Rendition|3D)\b")),
)
# Keys that carry such things; an action under one of them is judged before it goes.
_ALWAYS = ("JS", "AA", "EmbeddedFiles", "JavaScript", "AF", "EF", "XFA", "RichMediaContent")
_ACTIONS = ("A", "OpenAction", "Next", "PA")
_BAD_SUBTYPES = ("/FileAttachment", "/RichMedia", "/Movie", "/Sound", "/Screen", "/3D")


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
    found: dict[str, None] = {}
    for xref in range(1, doc.xref_length()):
        text = _object(doc, xref)
        found.update((name, None) for name, pattern in _KINDS if pattern.search(text))
    return tuple(name for name, _ in _KINDS if name in found)


def strip_active_content(doc: Any) -> None:
    """Take out what `find_active_content` finds; the pages themselves stay as they are.

    Parameters
    ----------
    doc : pymupdf.Document
        Changed in place. What is left without a way to it must be dropped on saving.
    """
    for xref in range(1, doc.xref_length()):
        text = _object(doc, xref)
        if not text.startswith("<<"):
            continue
        keys = doc.xref_get_keys(xref)
        for key in keys:
            if key in _ALWAYS or (key in _ACTIONS and _is_active(doc, xref, key)):
                doc.xref_set_key(xref, key, "null")
        if _is_active_itself(doc, xref):
            doc.update_object(xref, "null")
    for page in doc:
        _drop_annotations(doc, page)


def _object(doc: Any, xref: int) -> str:
    try:
        text = doc.xref_object(xref, compressed=True)
    except RuntimeError:  # a number that no object has
        return ""
    return _without_strings(text)


def _without_strings(text: str) -> str:
    """Blank out literal and hexadecimal strings, which may spell anything."""
    text = re.sub(r"\((?:\\.|[^\\()]|\((?:\\.|[^\\()])*\))*\)", "()", text, flags=re.DOTALL)
    return re.sub(r"(?<!<)<[0-9A-Fa-f\s]*>(?!>)", "<>", text)


def _is_active(doc: Any, xref: int, key: str) -> bool:
    kind, value = doc.xref_get_key(xref, key)
    if kind == "xref":
        value = _object(doc, int(value.split()[0]))
    text = _without_strings(value)
    return any(pattern.search(text) for _, pattern in _KINDS)


def _is_active_itself(doc: Any, xref: int) -> bool:
    """Whether an object is an action or a file of its own."""
    subtype, kind = doc.xref_get_key(xref, "S")[1], doc.xref_get_key(xref, "Type")[1]
    actions = ("/JavaScript", "/Launch", "/GoToE", "/GoToR", "/SubmitForm", "/ImportData")
    return subtype in actions or kind in ("/EmbeddedFile", "/Filespec")


def _drop_annotations(doc: Any, page: Any) -> None:
    for xref, _, _ in page.annot_xrefs():
        if doc.xref_get_key(xref, "Subtype")[1] in _BAD_SUBTYPES:
            page.delete_annot(page.load_annot(xref))
