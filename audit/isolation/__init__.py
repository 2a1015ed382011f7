"""Foreign files, read in a worker process that can be stopped.

Nothing else in the program imports PyMuPDF or decodes a picture it was given.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audit.isolation.cache import find_cache_folder
    from audit.isolation.composing import compose_pdf
    from audit.isolation.document import Document, GrayImage, open_document
    from audit.isolation.info import DocumentInfo, PageInfo, PageLook, SourceKind
    from audit.isolation.limits import Limits
    from audit.isolation.series import DecodedPicture, decode_series

__all__ = [
    "DecodedPicture",
    "Document",
    "DocumentInfo",
    "GrayImage",
    "Limits",
    "PageInfo",
    "PageLook",
    "SourceKind",
    "compose_pdf",
    "decode_series",
    "find_cache_folder",
    "open_document",
]

# Loaded on first use: the worker itself starts through this package and must not wait for numpy.
_HOMES = {
    "DecodedPicture": "series",
    "Document": "document",
    "DocumentInfo": "info",
    "GrayImage": "document",
    "Limits": "limits",
    "PageInfo": "info",
    "PageLook": "info",
    "SourceKind": "info",
    "compose_pdf": "composing",
    "decode_series": "series",
    "find_cache_folder": "cache",
    "open_document": "document",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)
