"""Exact lengths: units, parsing, spelling, and the grammar of callouts and statements.

A length is a `Fraction` of one unit; a float never enters this layer.
"""

from __future__ import annotations

from audit.lengths.callout import (
    Callout,
    CalloutKind,
    CountForm,
    Mark,
    PrintedTolerance,
    Thread,
)
from audit.lengths.length import MM_PER_INCH, Length, Unit

__all__ = [
    "MM_PER_INCH",
    "Callout",
    "CalloutKind",
    "CountForm",
    "Length",
    "Mark",
    "PrintedTolerance",
    "Thread",
    "Unit",
]
