"""Finding whole dimensions: on vector pages and in pictures."""

from __future__ import annotations

from audit.dimensions.vector import FoundPage, find_dimensions

__all__ = ["FoundPage", "find_dimensions"]
