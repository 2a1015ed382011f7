"""The summary for the terminal."""

from __future__ import annotations

from dataclasses import replace

from audit.records import Audit, TextState
from audit.report import LineKind, summary_lines
from audit.report.phrases import CAUTIONS
from audit.report.unchecked import Unchecked, group_by_reason
from tests.report.builders import make_audit, make_sheet


def texts(audit: Audit, kind: LineKind) -> list[str]:
    return [line.text for line in summary_lines(audit) if line.kind is kind]


def test_coverage_comes_first_and_cautions_last() -> None:
    kinds = [line.kind for line in summary_lines(make_audit())]
    assert kinds[0] is LineKind.COVERAGE
    assert kinds[-len(CAUTIONS) :] == [LineKind.CAUTION] * len(CAUTIONS)
    assert texts(make_audit(), LineKind.COVERAGE) == [
        "sheet 1: 6 of 9 sizes and notes checked; 3 not (plan.pdf, page 1)"
    ]


def test_a_sheet_where_nothing_could_be_judged_is_told_first() -> None:
    audit = make_audit()
    blank = make_sheet(number=2)
    told = texts(replace(audit, sheets=(*audit.sheets, blank)), LineKind.COVERAGE)
    assert told[0].startswith("sheet 2: nothing could be judged")


def test_findings_are_told_worst_first_with_mark_number_and_code() -> None:
    told = texts(make_audit(), LineKind.FINDING)
    assert told[0].startswith("◆ 12 sheet 1, error A101: 3 9/32 is printed 3/32 short.")
    assert told[1].startswith("△ 14")
    assert told[2].startswith("◇ 26")
    assert "Suggestion: 3 3/8" in texts(make_audit(), LineKind.DETAIL)


def test_silence_is_no_approval() -> None:
    quiet = replace(make_audit(), findings=())
    assert texts(quiet, LineKind.FINDING) == [
        "nothing wrong was found in what was checked; 3 not checked"
    ]
    unseen = tuple(replace(t, state=TextState.NOT_CHECKED) for t in quiet.texts)
    assert "no approval" in texts(replace(quiet, texts=unseen), LineKind.FINDING)[0]


def test_counts_name_every_verdict_there_is() -> None:
    assert texts(make_audit(), LineKind.COUNT) == [
        "◆ disagrees 1", "△ too close to call 1", "□ not printed 1", "? not checked 1",
        "? not scaled 1", "○ agrees 3", "– not critical 1",
    ]  # fmt: skip


def test_hostile_text_cannot_move_the_cursor() -> None:
    audit = make_audit()
    evil = replace(audit.findings[0], text="bad\x1b[2J\nsecond line\x07")
    for line in summary_lines(replace(audit, findings=(evil,))):
        assert line.text.isprintable()


def test_texts_that_were_not_checked_are_named_by_reason() -> None:
    audit = make_audit()
    (told,) = texts(audit, LineKind.UNCHECKED)
    assert told == "? not checked on sheet 1, and why:"
    named = " ".join(texts(audit, LineKind.DETAIL))
    left = [t for t in audit.texts if t.state is TextState.NOT_CHECKED]
    assert left
    assert all(f"“{t.text}”" in named for t in left)


def unchecked(text: str, why: str, label: str) -> Unchecked:
    of = make_audit().texts[0]
    return Unchecked(key=label, label=label, texts=(replace(of, text=text, why=why),))


def test_reasons_that_differ_in_what_they_quote_are_one_and_the_commonest_comes_first() -> None:
    left = [
        unchecked("5", "it is a zone", "a"),
        unchecked("12", "with “18” it may be a fraction", "3"),
        unchecked("18", "with “12” it may be a fraction", "4"),
    ]
    assert group_by_reason(left) == (
        "with “…” it may be a fraction: 3 “12”, 4 “18”", "it is a zone: a “5”",
    )  # fmt: skip


def test_of_many_texts_with_one_reason_the_first_are_named() -> None:
    (line,) = group_by_reason([unchecked(str(k), "no", f"{k}") for k in range(40)])
    assert "11 “11” and 28 more" in line
    assert "12 “12”" not in line


def test_a_count_beside_a_size_in_a_row_does_not_read_as_one_number() -> None:
    row = unchecked("5  DOWEL  8  3/8 DIA x 2", "no", "a")
    assert row.head == "5 | DOWEL | 8 | 3/8 DIA x 2"
    assert group_by_reason([row]) == ("no: a “5 | DOWEL | 8 | 3/8 DIA x 2”",)
