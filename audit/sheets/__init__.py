"""Sheets: files opened page by page, their frames, papers, rasters and cut-outs."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audit.isolation import GrayImage, Limits
    from audit.sheets.crop import cut_upright
    from audit.sheets.load import LoadedPlan, Unopened, load_plan

__all__ = [
    "GrayImage",
    "Limits",
    "LoadedPlan",
    "Unopened",
    "cut_upright",
    "load_plan",
]

# Loaded on first use: OpenCV must not slow down what needs no pixels.
_HOMES = {
    "GrayImage": "audit.isolation",
    "Limits": "audit.isolation",
    "LoadedPlan": "audit.sheets.load",
    "Unopened": "audit.sheets.load",
    "cut_upright": "audit.sheets.crop",
    "load_plan": "audit.sheets.load",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)
