"""Which plans a batch holds."""

from __future__ import annotations

import pytest

from audit.errors import BadUsage, NotReadable
from audit.pipeline.catalogue import list_plans


def touch(*paths):
    for path in paths:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"x")


def test_a_folder_holds_the_plans_in_it_and_below_but_no_results(tmp_path):
    plans, results = tmp_path / "plans", tmp_path / "plans" / "done"
    touch(plans / "b.pdf", plans / "a.PNG", plans / "deep" / "c.tif", plans / "notes.docx")
    touch(plans / "a-marked.pdf", results / "a" / "a.pdf", plans / ".trash" / "d.pdf")
    found = list_plans(plans, results=results)
    assert [name for name, _ in found] == ["a", "b", "deep/c"]
    assert all(path.is_absolute() for _, files in found for path in files)


def test_no_two_plans_share_a_folder_even_where_case_does_not_count(tmp_path):
    touch(tmp_path / "Lift.pdf", tmp_path / "lift.png", tmp_path / "lift.jpg")
    names = [name for name, _ in list_plans(tmp_path, results=tmp_path / "out")]
    assert len({name.casefold() for name in names}) == 3


def test_a_list_names_plans_by_lines_and_sheets_by_tabs(tmp_path):
    listed = tmp_path / "all.txt"
    text = "# the lift\nlift/1.pdf\tlift/2.png\r\n\n  other #1.pdf  \n/far/away.pdf\n"
    listed.write_text(text, encoding="utf-8-sig")
    found = list_plans(listed, results=tmp_path / "out")
    assert [name for name, _ in found] == ["lift/1", "other #1", "away"]
    assert [p.name for p in found[0][1]] == ["1.pdf", "2.png"]
    assert found[1][1] == (tmp_path / "other #1.pdf",)


def test_a_list_may_point_above_itself_but_results_never_do(tmp_path):
    listed = tmp_path / "lists" / "all.txt"
    touch(tmp_path / "plan.pdf", listed)
    listed.write_text("../plan.pdf\n")
    ((name, files),) = list_plans(listed, results=tmp_path / "out")
    assert name == "plan"
    assert files == (tmp_path / "plan.pdf",)


@pytest.mark.parametrize("content", ["", "# nothing\n\n", "\t\t\n"])
def test_a_batch_of_nothing_is_refused(tmp_path, content):
    (tmp_path / "l.txt").write_text(content)
    with pytest.raises(BadUsage, match="no plan"):
        list_plans(tmp_path / "l.txt", results=tmp_path)


def test_what_is_no_list_is_refused(tmp_path):
    (tmp_path / "bad.txt").write_bytes(b"\xff\xfe\x00plan")
    with pytest.raises(NotReadable, match="no text"):
        list_plans(tmp_path / "bad.txt", results=tmp_path)
    (tmp_path / "null.txt").write_bytes(b"pl\0an.pdf")
    with pytest.raises(NotReadable, match="null"):
        list_plans(tmp_path / "null.txt", results=tmp_path)
    with pytest.raises(NotReadable, match="no such"):
        list_plans(tmp_path / "missing", results=tmp_path)
    touch(tmp_path / "plan.pdf")
    with pytest.raises(BadUsage, match="neither a folder nor a list"):
        list_plans(tmp_path / "plan.pdf", results=tmp_path)
