"""Views and lengths in the words of the page."""

from __future__ import annotations

from audit.lengths import Length, Unit, spell_decimal
from audit.pipeline.lookup import unit_of
from audit.records import Audit, NoScale, ScaleFrom, View
from audit.report.phrases import spell_gap, spell_length, with_unit

MM_PER_IN = 25.4
_GIVEN_BY = {ScaleFrom.KNOWN: " by a known size", ScaleFrom.CONSENSUS: " by its own sizes"}


def say_view(view: View, audit: Audit) -> str:
    """Say a view's scale, what gave it and what it can show.

    ``full size by its own sizes · shows errors of 1/32 and more``.
    """
    if isinstance(view.scale, NoScale):
        return f"no scale: {view.scale.advice}"
    drawn = {"1:1": "full size", None: "scale fixed"}.get(view.scale.drawn, f"{view.scale.drawn}")
    if view.scale.print_factor and abs(view.scale.print_factor - 1) > 0.004:
        drawn += f", printed at {view.scale.print_factor:.0%}"
    drawn += _GIVEN_BY.get(view.scale.source, "")
    if view.shows is None:
        return drawn
    unit = unit_of(audit, view.sheet) or Unit.MM
    gap = view.shows / MM_PER_IN if unit is Unit.IN else view.shows
    return f"{drawn} · shows errors of {spell_gap(gap, unit)} and more"


def say_typed(length: Length | None) -> str:
    """Say a length as it can be typed again; empty for none."""
    if length is None:
        return ""
    if length.unit is Unit.DEG:
        return f"{spell_decimal(length.value)}°"
    return with_unit(spell_length(length), length.unit)
