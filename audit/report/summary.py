"""The summary for the terminal, as plain lines: coverage, findings, and what was not checked."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from audit.errors import one_line
from audit.records import Audit, Finding, MarkStyle, Verdict
from audit.report.evidence import witness_lines
from audit.report.ledger import count_verdicts, order_findings
from audit.report.marks import mark_key, mark_style
from audit.report.phrases import (
    CAUTIONS,
    SEVERITY_STYLES,
    VERDICT_STYLES,
    say_coverage,
    sign,
)
from audit.report.unchecked import group_by_reason, list_unchecked


class LineKind(StrEnum):
    """What a line of the summary is, so that a terminal can colour it."""

    COVERAGE = "coverage"
    COUNT = "count"
    FINDING = "finding"
    UNCHECKED = "unchecked"
    DETAIL = "detail"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True, kw_only=True)
class SummaryLine:
    """One printable line; `style` is the mark it is told under, if any."""

    kind: LineKind
    text: str
    style: MarkStyle | None = None


def summary_lines(audit: Audit) -> tuple[SummaryLine, ...]:
    """Compose the summary of an audit for a terminal.

    Parameters
    ----------
    audit : Audit

    Returns
    -------
    tuple of SummaryLine
        Coverage of every sheet, those first where nothing could be judged; counts by verdict;
        findings worst first, with their evidence; texts that were not checked, by reason;
        cautions. Control characters are taken out.
    """
    return (
        *_coverage(audit),
        *_counts(audit),
        *_findings(audit),
        *_unchecked(audit),
        *_cautions(),
    )


def _coverage(audit: Audit) -> list[SummaryLine]:
    covered = [(audit.coverage_of(s.id), s) for s in audit.sheets]
    covered.sort(key=lambda pair: (pair[0].checked > 0, pair[1].id))
    return [
        _line(LineKind.COVERAGE, f"{say_coverage(coverage, f'sheet {sheet.id}')} ({sheet.name})")
        for coverage, sheet in covered
    ]


def _counts(audit: Audit) -> list[SummaryLine]:
    lines = []
    for verdict, number in count_verdicts(audit.dimensions):
        style = VERDICT_STYLES[verdict]
        lines.append(_line(LineKind.COUNT, f"{sign(style)} {style.word} {number}", style))
    return lines


def _findings(audit: Audit) -> list[SummaryLine]:
    findings = order_findings(audit)
    if not findings:
        return [_line(LineKind.FINDING, _nothing_found(audit))]
    lines = []
    for finding in findings:
        style = _style(audit, finding)
        number = finding.dimensions[0] if mark_key(finding).startswith("d") else finding.id
        sheet = f"sheet {finding.places[0].sheet}, " if finding.places else ""
        text = (
            f"{sign(style)} {number} {sheet}{finding.severity.value} {finding.code}: {finding.text}"
        )
        lines.append(_line(LineKind.FINDING, text, style))
        lines.extend(_line(LineKind.DETAIL, detail) for detail in witness_lines(finding))
    return lines


def _unchecked(audit: Audit) -> list[SummaryLine]:
    """Name the texts of each sheet that were not checked: a reason a line, those of most first."""
    style = VERDICT_STYLES[Verdict.NOT_CHECKED]
    lines = []
    for sheet in audit.sheets:
        reasons = group_by_reason(list_unchecked(audit, sheet))
        if reasons:
            head = f"{sign(style)} not checked on sheet {sheet.id}, and why:"
            lines.append(_line(LineKind.UNCHECKED, head, style))
            lines += [_line(LineKind.DETAIL, text) for text in reasons]
    return lines


def _style(audit: Audit, finding: Finding) -> MarkStyle:
    if mark_key(finding).startswith("d"):
        for dimension in audit.dimensions:
            if dimension.id == finding.dimensions[0]:
                return mark_style(dimension, audit.findings)
    return SEVERITY_STYLES[finding.severity]


def _nothing_found(audit: Audit) -> str:
    coverage = audit.coverage
    if coverage.checked == 0:
        return "nothing could be judged, so nothing was found; that is no approval"
    left = coverage.texts - coverage.checked
    rest = f"; {left} not checked" if left else ""
    return f"nothing wrong was found in what was checked{rest}"


def _cautions() -> list[SummaryLine]:
    return [_line(LineKind.CAUTION, text) for text in CAUTIONS]


def _line(kind: LineKind, text: str, style: MarkStyle | None = None) -> SummaryLine:
    return SummaryLine(kind=kind, text=one_line(text), style=style)
