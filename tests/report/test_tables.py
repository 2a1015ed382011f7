"""The ledger as CSV and Markdown, read back with the standard library."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest

from audit.errors import BadUsage, CannotWrite
from audit.records import Audit
from audit.report import to_csv, to_markdown, write_table
from audit.report.ledger import order_findings
from audit.report.tables import COLUMNS, escape_markdown
from tests.report.builders import make_audit


def rows(audit: Audit) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(to_csv(audit), newline="")))


def with_text(text: str) -> Audit:
    audit = make_audit()
    first = audit.dimensions[0]
    assert first.reading is not None
    changed = replace(first, reading=replace(first.reading, text=text))
    return replace(audit, dimensions=(changed, *audit.dimensions[1:]))


def test_the_table_has_one_row_for_each_dimension_and_its_columns() -> None:
    made = rows(make_audit())
    assert len(made) == 9
    assert tuple(made[0]) == COLUMNS
    wrong = made[2]
    assert (wrong["No."], wrong["printed"], wrong["scaled"], wrong["printed is"]) == (
        "12", "3 9/32", "3 3/8", "3/32 short",
    )  # fmt: skip
    assert wrong["verdict"] == "disagrees"
    assert wrong["by"] == "text of the PDF"


def test_lines_end_as_rfc_4180_says() -> None:
    text = to_csv(make_audit())
    assert text.count("\r\n") == 10
    assert "\n" not in text.replace("\r\n", "")


def test_a_negative_difference_stays_a_number() -> None:
    assert ",-0.0938," in to_csv(make_audit())
    assert float(rows(make_audit())[2]["printed minus scaled"]) == pytest.approx(-3 / 32, abs=1e-4)


@pytest.mark.parametrize("text", ["=1+1", "+3", "-cmd|' /C calc'!A0", "@SUM(A1)", "=\t2"])
def test_a_text_that_looks_like_a_formula_is_none(text: str) -> None:
    cell = rows(with_text(text))[0]["printed"]
    assert cell.startswith("'")
    assert cell[1:2] == text[0]


def test_quotes_commas_and_breaks_survive() -> None:
    made = rows(with_text('3\'-6 1/2", "x"'))
    assert made[0]["printed"] == '3\'-6 1/2", "x"'
    assert rows(with_text("a\r\nb\x1b[31m\x00c"))[0]["printed"] == "a b [31m c"


def test_fractions_are_quoted_so_that_no_spreadsheet_makes_dates_of_them() -> None:
    assert ',"3/4",' in to_csv(make_audit())


def test_markdown_says_every_finding_worst_first_and_between_coverage_and_table() -> None:
    audit = make_audit()
    assert audit.findings
    head, _, _ = to_markdown(audit).partition("| | No.")
    said = [line for line in head.splitlines() if line.startswith("- ")][len(audit.sheets) :]
    assert len(said) == len(audit.findings)
    first = order_findings(audit)[0]
    assert said[0] == f"- {first.severity.value} {first.code}: {escape_markdown(first.text)}"


def test_markdown_cannot_be_broken_out_of() -> None:
    text = to_markdown(with_text("a|b <script> `x` [y](z)\n# h"))
    row = next(line for line in text.splitlines() if "script" in line)
    assert row.replace("\\|", "").count("|") == len(COLUMNS) + 2
    assert "\\<script\\>" in row
    assert "sheet 1: 6 of 9 sizes and notes checked; 3 not" in text


@pytest.mark.parametrize(("name", "start"), [("t.csv", '"No."'), ("t.MD", "# "), ("t.json", "{")])
def test_the_suffix_says_how_to_write(tmp_path: Path, name: str, start: str) -> None:
    write_table(make_audit(), tmp_path / name)
    assert (tmp_path / name).read_text("utf-8").startswith(start)


def test_json_is_the_result(tmp_path: Path) -> None:
    write_table(make_audit(), tmp_path / "t.json")
    assert json.loads((tmp_path / "t.json").read_text("utf-8"))["version"] == 1


def test_another_suffix_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadUsage, match="end the name in"):
        write_table(make_audit(), tmp_path / "t.xlsx")


def test_a_table_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="cannot be written"):
        write_table(make_audit(), tmp_path / "missing" / "t.csv")
    (tmp_path / "t.csv").mkdir()
    with pytest.raises(CannotWrite):
        write_table(make_audit(), tmp_path / "t.csv")
    assert [p.name for p in tmp_path.iterdir()] == ["t.csv"]
