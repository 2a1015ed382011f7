"""The page and its server: one person, one audit, one machine."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audit.web.app import create_app
    from audit.web.desk import Desk
    from audit.web.serving import serve

__all__ = ["Desk", "create_app", "serve"]

# Loaded on first use: `--help` must not wait for FastAPI.
_HOMES = {"Desk": "desk", "create_app": "app", "serve": "serving"}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)
