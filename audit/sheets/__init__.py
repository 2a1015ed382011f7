"""Sheets: files opened page by page, their frames, papers, rasters and cut-outs."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audit.isolation import GrayImage, Limits
    from audit.sheets.crop import cut_upright
    from audit.sheets.load import LoadedPlan, Unopened, load_plan
    from audit.sheets.places import KnownRectangle, check_on_sheet, parse_known, parse_rectangle
    from audit.sheets.points import PointRow, parse_points, read_points
    from audit.sheets.pyramid import Pyramid, open_pyramid
    from audit.sheets.rectify import rectify

__all__ = [
    "GrayImage",
    "KnownRectangle",
    "Limits",
    "LoadedPlan",
    "PointRow",
    "Pyramid",
    "Unopened",
    "check_on_sheet",
    "cut_upright",
    "load_plan",
    "open_pyramid",
    "parse_known",
    "parse_points",
    "parse_rectangle",
    "read_points",
    "rectify",
]

# Loaded on first use: OpenCV must not slow down what needs no pixels.
_HOMES = {
    "GrayImage": "audit.isolation",
    "KnownRectangle": "audit.sheets.places",
    "Limits": "audit.isolation",
    "LoadedPlan": "audit.sheets.load",
    "PointRow": "audit.sheets.points",
    "Pyramid": "audit.sheets.pyramid",
    "Unopened": "audit.sheets.load",
    "check_on_sheet": "audit.sheets.places",
    "cut_upright": "audit.sheets.crop",
    "load_plan": "audit.sheets.load",
    "open_pyramid": "audit.sheets.pyramid",
    "parse_known": "audit.sheets.places",
    "parse_points": "audit.sheets.points",
    "parse_rectangle": "audit.sheets.places",
    "read_points": "audit.sheets.points",
    "rectify": "audit.sheets.rectify",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)
