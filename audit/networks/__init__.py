"""Running our own small networks (`engine`); the weights lie beside the code."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audit.networks.page import PageMaps, Terminator, run_page

__all__ = ["PageMaps", "Terminator", "run_page"]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    # on first use: who wants words of the trade alone must not wait for OpenCV
    return getattr(importlib.import_module("audit.networks.page"), name)
