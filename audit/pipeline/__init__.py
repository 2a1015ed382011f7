"""The one place that knows the order of the stages."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audit.pipeline.checking import Checked, check
    from audit.pipeline.request import CheckRequest

__all__ = ["CheckRequest", "Checked", "check"]

# Loaded on first use: `--help` must not wait for OpenCV and scipy.
_HOMES = {"CheckRequest": "request", "Checked": "checking", "check": "checking"}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)
