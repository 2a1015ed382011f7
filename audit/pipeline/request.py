"""What the user asks for, checked once, before any file is opened."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from audit.records import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRequest:
    """One `check`: plans in order, and what the user gave with them.

    `known` and `rectangles` are the strings of the command line
    (``4 in @ 2:100,200 460,200``); `points` CSV files of placed points.
    """

    plans: tuple[Path, ...]
    settings: Settings
    known: tuple[str, ...] = ()
    rectangles: tuple[str, ...] = ()
    points: tuple[Path, ...] = ()
