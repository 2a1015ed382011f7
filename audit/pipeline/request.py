"""What the user asks for, checked once, before any file is opened."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from pathlib import Path

from audit.records import Audit, Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRequest:
    """One `check`: plans in order, and what the user gave with them.

    `known`, `rectangles`, `papers` and `folds` are the strings of the command line
    (``4 in @ 2:100,200 460,200``, ``a4 @ 3``, ``2:306,0 306,792``); `points` CSV files of
    placed points. `before` is the audit that holds these plans already: what a person gave there
    counts on.
    """

    plans: tuple[Path, ...]
    settings: Settings
    known: tuple[str, ...] = ()
    rectangles: tuple[str, ...] = ()
    papers: tuple[str, ...] = ()
    folds: tuple[str, ...] = ()
    points: tuple[Path, ...] = ()
    before: Audit | None = None

    @property
    def settled(self) -> Settings:
        """What to judge by: what was typed this time, over what was set in the audit before."""
        return lay_settings(self.settings, over=self.before.settings if self.before else None)


def lay_settings(given: Settings, *, over: Settings | None) -> Settings:
    """Lay settings that were typed over earlier ones.

    Parameters
    ----------
    given : Settings
        Where it differs from the usual, it was typed.
    over : Settings or None
        What was set before.

    Returns
    -------
    Settings
    """
    if over is None:
        return given
    usual = Settings()
    typed = {
        field.name: value
        for field in fields(Settings)
        if (value := getattr(given, field.name)) != getattr(usual, field.name)
    }
    return replace(over, **typed)
