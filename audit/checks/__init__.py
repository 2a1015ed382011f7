"""Judging: printed against drawn, and what of the plan was checked at all."""

from __future__ import annotations

from audit.checks.agreement import Judged, judge
from audit.checks.coverage import account_for
from audit.checks.slips import name_slip

__all__ = [
    "Judged",
    "account_for",
    "judge",
    "name_slip",
]
