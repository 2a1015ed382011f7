"""Order of the ledger and of the findings."""

from __future__ import annotations

from dataclasses import replace

from audit.records import Severity, Verdict
from audit.report.ledger import count_verdicts, list_rows, order_findings
from tests.report.builders import make_audit


def test_severity_weighs_more_than_witnesses_and_they_more_than_size() -> None:
    audit = make_audit()
    base = audit.findings[0]
    note = replace(base, id=1, severity=Severity.NOTE, grade="drawing+chain+other view")
    plain = replace(base, id=2, severity=Severity.ERROR, grade="drawing", dimensions=(12,))
    chain = replace(base, id=3, severity=Severity.ERROR, grade="drawing+chain", dimensions=(10,))
    small = replace(base, id=4, severity=Severity.ERROR, grade="drawing", dimensions=(14,))
    ordered = order_findings(replace(audit, findings=(note, small, plain, chain)))
    assert [f.id for f in ordered] == [3, 2, 4, 1]


def test_rows_run_by_sheet_and_number() -> None:
    rows = list_rows(make_audit(sheets=2))
    assert [(r.sheet, r.number) for r in rows] == sorted((r.sheet, r.number) for r in rows)


def test_a_row_of_an_unread_size_has_no_unit_to_invent() -> None:
    audit = make_audit()
    bare = replace(audit.dimensions[5], reading=None)
    row = list_rows(replace(audit, dimensions=(bare,), findings=()))[0]
    assert (row.printed, row.scaled, row.unit, row.by) == ("none", "–", "", "")
    assert row.confidence is None


def test_counts_leave_out_what_does_not_occur() -> None:
    counts = dict(count_verdicts(make_audit().dimensions))
    assert counts[Verdict.AGREES] == 3
    assert Verdict.NOT_A_DIMENSION not in counts
