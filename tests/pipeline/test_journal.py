"""The journal of a batch survives cuts and keeps the newest."""

from __future__ import annotations

import pytest

from audit.errors import BadUsage, CannotWrite
from audit.pipeline.journal import JOURNAL, Journal
from audit.records.batch import PlanOutcome, PlanState


def outcome(name, **fields):
    plain = {"sources": ("a.pdf",), "state": PlanState.DONE, "code": 0, "digest": "d"}
    return PlanOutcome(name=name, **(plain | fields))


def test_what_was_added_is_there_again_the_newest_of_each(tmp_path):
    with Journal(tmp_path) as journal:
        journal.add(outcome("a", code=1))
        journal.add(outcome("b", worst="Ø 1/4 ≠ 5/16"))
        journal.add(outcome("a", code=4))
    with Journal(tmp_path) as journal:
        assert journal.outcomes == {
            "a": outcome("a", code=4),
            "b": outcome("b", worst="Ø 1/4 ≠ 5/16"),
        }


@pytest.mark.parametrize("cut", [1, 5, 40])
def test_a_line_cut_off_loses_only_itself(tmp_path, cut):
    with Journal(tmp_path) as journal:
        journal.add(outcome("a"))
        journal.add(outcome("b"))
    path = tmp_path / JOURNAL
    path.write_bytes(path.read_bytes()[:-cut])
    with Journal(tmp_path) as journal:
        assert "a" in journal.outcomes
        journal.add(outcome("c"))
    with Journal(tmp_path) as journal:
        assert {"a", "c"} <= set(journal.outcomes)


def test_foreign_lines_are_passed_over(tmp_path):
    (tmp_path / JOURNAL).write_bytes(b'\xff\x00junk\n{"name": 3}\n[]\n')
    with Journal(tmp_path) as journal:
        assert journal.outcomes == {}


def test_two_batches_do_not_write_to_one_folder(tmp_path):
    with Journal(tmp_path), pytest.raises(BadUsage, match="another batch"):
        Journal(tmp_path)
    Journal(tmp_path).__exit__(None, None, None)


def test_a_journal_that_cannot_be_made_is_told(tmp_path):
    (tmp_path / JOURNAL).mkdir()
    with pytest.raises(CannotWrite, match="cannot be written"):
        Journal(tmp_path)
