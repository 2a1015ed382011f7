"""How well a drawn size is known, and what can be decided from it."""

from __future__ import annotations

from audit.uncertainty.decision import decide, decide_on_sheet, is_by_own_limit
from audit.uncertainty.measure import (
    MEASURABLE,
    Contribution,
    Measured,
    covariance,
    folding,
    measure,
    photo_scatter,
)
from audit.uncertainty.metric import real_changes, real_length, real_matrix
from audit.uncertainty.propagation import (
    COVERAGE_FACTOR,
    combine,
    combine_many,
    expand,
    few_values_factor,
    rectangular,
)

__all__ = [
    "COVERAGE_FACTOR",
    "MEASURABLE",
    "Contribution",
    "Measured",
    "combine",
    "combine_many",
    "covariance",
    "decide",
    "decide_on_sheet",
    "expand",
    "few_values_factor",
    "folding",
    "is_by_own_limit",
    "measure",
    "photo_scatter",
    "real_changes",
    "real_length",
    "real_matrix",
    "rectangular",
]
