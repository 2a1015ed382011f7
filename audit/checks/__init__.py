"""Judging: printed against drawn, the plan against itself, and what was checked at all."""

from __future__ import annotations

from audit.checks.agreement import Judged, judge
from audit.checks.broken import doubt_breaks
from audit.checks.coverage import account_for
from audit.checks.plan import PlanChecked, check_plan
from audit.checks.slips import name_slip
from audit.checks.vouching import VOUCHED

__all__ = [
    "VOUCHED",
    "Judged",
    "PlanChecked",
    "account_for",
    "check_plan",
    "doubt_breaks",
    "judge",
    "name_slip",
]
