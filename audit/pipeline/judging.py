"""Judged sheets put together: the plan against itself, texts accounted for, findings numbered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.checks import account_for, check_plan
from audit.pipeline.leaning import doubt_slanting
from audit.pipeline.numbering import number_findings
from audit.pipeline.sheet import JudgedSheet
from audit.records import Audit, Finding


def join_judged(
    audit: Audit, judged: Sequence[JudgedSheet], *, others: Sequence[Finding] = ()
) -> Audit:
    """Put judged sheets into an audit and check the plan against itself.

    Parameters
    ----------
    audit : Audit
        With the sheets, and whatever of it judging does not touch.
    judged : sequence of JudgedSheet
        One for every sheet.
    others : sequence of Finding
        That belong to no sheet.

    Returns
    -------
    Audit
        Views, dimensions, texts and findings are those of `judged`; findings are numbered after
        the dimensions, worst first.
    """
    whole = replace(
        audit,
        views=tuple(v for j in judged for v in j.views),
        dimensions=tuple(d for j in judged for d in j.dimensions),
        findings=(*(f for j in judged for f in j.findings), *others),
    )
    checked = check_plan(whole)
    texts = (
        text
        for j in judged
        for text in account_for(
            j.found.texts,
            j.dimensions,
            statements=j.found.statements,
            summed=checked.summed,
            used=(*j.compared, *checked.used),
            known=j.found.known_sizes,
        )
    )
    first = 1 + max((d.id for d in whole.dimensions), default=0)
    findings = doubt_slanting(checked.findings)
    return replace(whole, texts=tuple(texts), findings=number_findings(findings, first))
