"""Sheets: files opened page by page, their frames, papers, rasters and cut-outs."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from audit.sheets.places import (
    KnownRectangle,
    MarkedFold,
    check_on_sheet,
    parse_fold,
    parse_known,
    parse_rectangle,
)
from audit.sheets.points import PointRow, parse_points, read_points
from audit.sheets.rectify import rectify

if TYPE_CHECKING:
    from audit.isolation import GrayImage, Limits
    from audit.sheets.crop import cut_upright
    from audit.sheets.load import LoadedPlan, Unopened, load_plan
    from audit.sheets.pyramid import Pyramid, open_pyramid

__all__ = [
    "GrayImage",
    "KnownRectangle",
    "Limits",
    "LoadedPlan",
    "MarkedFold",
    "PointRow",
    "Pyramid",
    "Unopened",
    "check_on_sheet",
    "cut_upright",
    "load_plan",
    "open_pyramid",
    "parse_fold",
    "parse_known",
    "parse_points",
    "parse_rectangle",
    "read_points",
    "rectify",
]

# Loaded on first use: OpenCV must not slow down what needs no pixels.
_HOMES = {
    "GrayImage": "audit.isolation",
    "Limits": "audit.isolation",
    "LoadedPlan": "audit.sheets.load",
    "Pyramid": "audit.sheets.pyramid",
    "Unopened": "audit.sheets.load",
    "cut_upright": "audit.sheets.crop",
    "load_plan": "audit.sheets.load",
    "open_pyramid": "audit.sheets.pyramid",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)
