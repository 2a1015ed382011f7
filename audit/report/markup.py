"""Compose a marked-up PDF: which marks, where, and what the findings pages say.

Pure: records in, a plan out. The isolation worker draws it.

Words used here: a *mark* is a numbered shape beside what it judges; a *key* names it within the
plan (``d12`` a dimension, ``f40`` a finding, ``t3`` a text that was not checked).
"""

from __future__ import annotations

from collections.abc import Mapping

from audit.lengths import Unit
from audit.records import (
    CODES,
    Audit,
    Dimension,
    Finding,
    MarkedText,
    MarkShape,
    MarkStyle,
    MarkupPlan,
    Sheet,
    SheetCoverage,
    Verdict,
)
from audit.report.evidence import witness_lines
from audit.report.flat_picture import list_flat_pictures
from audit.report.ledger import SEVERITY_ORDER, count_verdicts, list_rows, order_findings
from audit.report.marks import mark_key, mark_sheet, mark_style
from audit.report.naming import name_features, name_views
from audit.report.phrases import (
    CAUTIONS,
    SEVERITY_STYLES,
    UNCHECKED_STYLE,
    VERDICT_STYLES,
    say_coverage,
)
from audit.report.placing import Ink
from audit.report.unchecked import list_unchecked

A4_PT, LETTER_PT = (595.0, 842.0), (612.0, 792.0)

_LEGEND_VERDICTS = (
    Verdict.DISAGREES,
    Verdict.TOO_CLOSE,
    Verdict.NOT_PRINTED,
    Verdict.NOT_CHECKED,
    Verdict.AGREES,
    Verdict.NOT_CRITICAL,
)


def plan_markup(audit: Audit, *, ink: Mapping[int, Ink] | None = None) -> MarkupPlan:
    """Compose everything the marked-up PDF of an audit shows.

    Parameters
    ----------
    audit : Audit
    ink : mapping of int to Ink, optional
        By sheet id, what is drawn where on the page as seen; marks then keep off the drawing too.
        Without it they keep off texts, dimension lines and each other.

    Returns
    -------
    MarkupPlan
    """
    sheets = tuple(
        mark_sheet(audit, sheet, ink=(ink or {}).get(sheet.id)) for sheet in audit.sheets
    )
    metric = audit.settings.length_unit is Unit.MM
    width, height = A4_PT if metric else LETTER_PT
    return MarkupPlan(
        name=audit.name,
        page_width=width,
        page_height=height,
        opening=_opening(audit),
        coverage=tuple(_coverage(audit, sheet) for sheet in audit.sheets),
        counts=_counts(audit),
        findings=tuple(_finding_line(audit, f) for f in order_findings(audit)),
        ledger=list_rows(audit),
        legend=_legend(audit),
        cautions=CAUTIONS,
        remarks=tuple(f"{s.name}: {r}" for s in audit.sheets for r in s.remarks),
        sheets=sheets,
        pictures=list_flat_pictures(audit),
    )


def _opening(audit: Audit) -> str:
    where = "whole plan" if len(audit.sheets) != 1 else "sheet 1"
    return say_coverage(audit.coverage, where)


def _counts(audit: Audit) -> tuple[tuple[MarkStyle, int], ...]:
    totals: dict[MarkStyle, int] = {}
    for verdict, number in count_verdicts(audit.dimensions):
        style = VERDICT_STYLES[verdict]
        totals[style] = totals.get(style, 0) + number
    return tuple(totals.items())


def _legend(audit: Audit) -> tuple[MarkStyle, ...]:
    styles = [VERDICT_STYLES[verdict] for verdict in _LEGEND_VERDICTS]
    alone = [f for f in audit.findings if mark_key(f).startswith("f")]
    if any(SEVERITY_STYLES[f.severity].shape is MarkShape.LOZENGE for f in alone):
        styles.append(SEVERITY_STYLES[SEVERITY_ORDER[-1]])
    return tuple(styles)


def _coverage(audit: Audit, sheet: Sheet) -> SheetCoverage:
    coverage = audit.coverage_of(sheet.id)
    lines = tuple(
        MarkedText(
            mark=group.key,
            label=group.label,
            style=UNCHECKED_STYLE,
            sheet=sheet.id,
            head=group.head,
            text=group.says,
        )
        for group in list_unchecked(audit, sheet)
    )
    return SheetCoverage(
        sheet=sheet.id,
        name=sheet.name,
        says=say_coverage(coverage, f"sheet {sheet.id}"),
        checked=coverage.checked,
        texts=coverage.texts,
        unchecked=lines,
    )


def _finding_line(audit: Audit, finding: Finding) -> MarkedText:
    key = mark_key(finding)
    sheet = finding.places[0].sheet if finding.places else None
    label, style = str(finding.id), SEVERITY_STYLES[finding.severity]
    head = CODES[finding.code].title if finding.code in CODES else finding.severity.value
    if key.startswith("d"):
        dimension = next((d for d in audit.dimensions if d.id == finding.dimensions[0]), None)
        if dimension is not None:
            label, style = str(dimension.id), mark_style(dimension, audit.findings)
            head, sheet = _dimension_head(audit, dimension), dimension.sheet
    return MarkedText(
        mark=key,
        label=label,
        style=style,
        sheet=sheet,
        head=head,
        text=finding.text,
        facts=witness_lines(finding),
        place=f"{finding.code} · {finding.severity.value}",
    )


def _dimension_head(audit: Audit, dimension: Dimension) -> str:
    view = name_views(audit).get(dimension.view, "")
    feature = name_features(audit)[dimension.id]
    return f"{view}, {feature}" if view else feature
