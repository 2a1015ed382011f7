from __future__ import annotations

import pytest

from audit.lengths import FormRow, form_rows, forms_markdown


@pytest.mark.parametrize("row", form_rows(), ids=lambda row: f"{row.section}: {row.text!r}")
def test_every_row_of_the_table_reads_as_documented(row: FormRow) -> None:
    assert row.read() == row.readings


def test_the_table_is_long_and_has_no_row_twice() -> None:
    rows = form_rows()
    assert len(rows) >= 200
    assert len({(row.text, row.unit, row.is_statement) for row in rows}) == len(rows)
    assert {row.is_statement for row in rows} == {True, False}


def test_the_page_shows_every_row_and_no_broken_cell() -> None:
    page = forms_markdown()
    lines = [line for line in page.splitlines() if line.startswith("| ")]
    tables = {row.section for row in form_rows()}
    assert len(lines) == len(form_rows()) + 2 * len(tables)
    assert all(line.replace("\\|", "").count("|") == 4 for line in lines)
    assert page.endswith("\n")
    assert not page.endswith("\n\n")
