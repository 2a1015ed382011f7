"""What a person set on a record; finding again leaves it as it is."""

from __future__ import annotations

from enum import StrEnum


class UserSet(StrEnum):
    """One side of a sheet, view or dimension that a person may set."""

    READING = "reading"
    ENDS = "ends"
    KIND = "kind"
    VERDICT = "verdict"
    TOLERANCE = "tolerance"
    VIEW = "view"
    BOX = "box"
    TITLE = "title"
    SCALE = "scale"
    PAPER = "paper"
