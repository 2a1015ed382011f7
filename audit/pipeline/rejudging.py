"""Verdicts worked out anew from what an audit holds, without looking at any sheet again."""

from __future__ import annotations

from dataclasses import replace

from audit.pipeline.creases import still_holds
from audit.pipeline.judging import join_judged
from audit.pipeline.lookup import counted_on, find_view, unit_of
from audit.pipeline.sheet import FoundSheet, judge_sheet
from audit.pipeline.texts import YOU_SAY, SheetUnit, with_unit
from audit.pipeline.unit_and_scale import is_likely, told_by_settings
from audit.records import Audit, Dimension, Finding, Settings, Sheet
from audit.scale import plan_unit

LOOKED_FOR = (
    "D",
    "S107",
    "S110",
    "S112",
)  # codes that looking at a sheet gives; judging cannot work them out
SIZES_SAY = "the sizes of the plan"


def rejudge(audit: Audit) -> Audit:
    """Work out scales, verdicts, states of texts and findings from what is in the audit.

    Parameters
    ----------
    audit : Audit
        As stored, with everything a person corrected, moved, set aside or decided.

    Returns
    -------
    Audit
        The same sheets, views, dimensions and statements, in the same order; findings carry
        numbers that no dimension has. The audit that `check` has just made comes back as it is.
    """
    judged = [
        judge_sheet(
            _as_found(audit, sheet), others=audit.dimensions, settings=_settings(audit, sheet)
        )
        for sheet in audit.sheets
    ]
    numbers = {sheet.id for sheet in audit.sheets}
    others = [f for f in audit.findings if _is_looked_for(f) and _sheet_of(f) not in numbers]
    whole = join_judged(audit, judged, others=others)
    views = {v.id: v for v in whole.views}
    dimensions = {d.id: d for d in whole.dimensions}
    return replace(
        whole,
        views=tuple(views.get(v.id, v) for v in audit.views),
        dimensions=tuple(dimensions.get(d.id, d) for d in audit.dimensions),
    )


def _settings(audit: Audit, sheet: Sheet) -> Settings:
    """Let a known size say what is measured in where nothing printed does."""
    if audit.settings.unit is not None or plan_unit(audit.dimensions) is not None:
        return audit.settings
    return replace(audit.settings, unit=unit_of(audit, sheet.id))


def _is_looked_for(finding: Finding) -> bool:
    return finding.code.startswith(LOOKED_FOR)


def _sheet_of(finding: Finding) -> int | None:
    return finding.places[0].sheet if finding.places else None


def _as_found(audit: Audit, sheet: Sheet) -> FoundSheet:
    """Gather what is stored of a sheet as if it had just been looked at."""
    views = tuple(v for v in audit.views if v.sheet == sheet.id)
    numbers = {v.id for v in views}
    dimensions: tuple[Dimension, ...] = tuple(
        d if d.view in numbers else replace(d, view=find_view(audit, sheet, d.ends))
        for d in audit.dimensions
        if d.sheet == sheet.id
    )
    unit = counted_on(audit, sheet.id)
    held = (
        f
        for f in audit.findings
        if _is_looked_for(f) and _sheet_of(f) == sheet.id and still_holds(f, sheet)
    )
    findings = told_by_settings(held, audit.settings)
    known = tuple(k for k in audit.known_sizes if k.sheet == sheet.id)
    likely = audit.settings.unit is None and not known and is_likely(findings)
    return FoundSheet(
        sheet=sheet,
        views=views,
        dimensions=with_unit(dimensions, unit) if unit else dimensions,
        statements=tuple(s for s in audit.statements if s.sheet == sheet.id),
        texts=tuple(t for t in audit.texts if t.sheet == sheet.id),
        known_sizes=known,
        findings=findings,
        unit=SheetUnit(unit, YOU_SAY if audit.settings.unit else SIZES_SAY, likely=likely),
    )
