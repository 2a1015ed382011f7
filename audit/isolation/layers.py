"""Keep the layers of a PDF when its pages are copied: what was switched off stays off.

Copying pages brings the layers' own objects along, but not the list that says which are shown;
without it every layer would be.

References
----------
ISO 32000-1:2008, 8.11.4 (optional content properties).
"""

from __future__ import annotations

from typing import Any

_MARK_OFF = "PlanAuditOff"  # private key, set on the source in memory and gone again in the copy


def mark_layers(source: Any) -> None:
    """Note on each layer of a source whether it is switched off.

    Parameters
    ----------
    source : pymupdf.Document
        Changed in memory only.
    """
    for xref, layer in source.get_ocgs().items():
        if not layer["on"]:
            source.xref_set_key(xref, _MARK_OFF, "true")


def list_layers(doc: Any) -> None:
    """Write the list of layers into a document made of copied pages.

    Parameters
    ----------
    doc : pymupdf.Document
    """
    layers, off = [], []
    for xref in range(1, doc.xref_length()):
        if doc.xref_get_key(xref, "Type")[1] != "/OCG":
            continue
        layers.append(f"{xref} 0 R")
        if doc.xref_get_key(xref, _MARK_OFF)[0] != "null":
            off.append(f"{xref} 0 R")
            doc.xref_set_key(xref, _MARK_OFF, "null")
    if layers:
        every = " ".join(layers)
        shown = f"<</BaseState/ON/OFF[{' '.join(off)}]/Order[{every}]>>"
        doc.xref_set_key(doc.pdf_catalog(), "OCProperties", f"<</OCGs[{every}]/D{shown}>>")
