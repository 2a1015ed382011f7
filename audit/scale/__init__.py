"""The scale of every view: known sizes, consensus of printed sizes, names of scales."""

from __future__ import annotations

from audit.scale.consensus import Consensus, LeftOut, ViewScale, find_consensus
from audit.scale.fix import fix_scales
from audit.scale.folds import measure_folds, run_over
from audit.scale.known import KnownScale, scale_from_known
from audit.scale.names import ScaleName, name_scale, print_ratios, standard_scales
from audit.scale.pairs import (
    Pair,
    full_tolerance,
    pairs_of_dimensions,
    pairs_of_known,
    usable_known,
)
from audit.scale.printed_unit import plan_unit
from audit.scale.scaled_sheet import ScaledSheet
from audit.scale.usable import (
    NOT_SURELY_FOUND,
    is_surely_found,
    printed_size,
    size_of_ends,
    why_not_read,
    why_not_scaled,
)

__all__ = [
    "NOT_SURELY_FOUND",
    "Consensus",
    "KnownScale",
    "LeftOut",
    "Pair",
    "ScaleName",
    "ScaledSheet",
    "ViewScale",
    "find_consensus",
    "fix_scales",
    "full_tolerance",
    "is_surely_found",
    "measure_folds",
    "name_scale",
    "pairs_of_dimensions",
    "pairs_of_known",
    "plan_unit",
    "print_ratios",
    "printed_size",
    "run_over",
    "scale_from_known",
    "size_of_ends",
    "standard_scales",
    "usable_known",
    "why_not_read",
    "why_not_scaled",
]
