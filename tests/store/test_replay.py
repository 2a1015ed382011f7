from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from audit.records import Audit
from audit.store import create_audit, inspect_stranger, open_audit
from audit.store.codec import dump_record
from tests.store.builders import judge, make_found
from tests.store.scripted import WORDS, act

scripts = st.lists(st.tuples(st.sampled_from(WORDS), st.integers(0, 60)), max_size=25)


def text_of(audit: Audit) -> str:
    return dump_record(audit)


@given(scripts)
@settings(max_examples=40, deadline=None)
def test_the_state_kept_is_the_state_replayed(script: list[tuple[str, int]]) -> None:
    """After every step of any script, in this program and in one that opens the file afresh."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lift.audit"
        with create_audit(path, name="lift") as file:
            file.add_run(make_found(), revision=1)
            for word, n in script:
                act(file, word, n)
                assert text_of(file.load()) == text_of(file.replayed())
            kept = text_of(file.load())
        with open_audit(path, read_only=True) as again:
            assert text_of(again.load()) == kept
        report = inspect_stranger(path)
        assert report.state_matches


@given(scripts)
@settings(max_examples=25, deadline=None)
def test_undoing_everything_and_redoing_it_ends_where_it_began(
    script: list[tuple[str, int]],
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lift.audit"
        with create_audit(path, name="lift") as file:
            file.add_run(make_found(), revision=1, judge=judge)
            for word, n in script:
                act(file, word, n)
            file.judge(judge, revision=file.revision)
            before = text_of(file.load())
            undone = 0
            while file.snapshot().can_undo:
                file.undo(revision=file.revision)
                undone += 1
        with open_audit(path) as file:
            for _ in range(undone):
                file.redo(revision=file.revision)
            file.judge(judge, revision=file.revision)
            assert text_of(file.load()) == before


@given(scripts)
@settings(max_examples=25, deadline=None)
def test_numbers_are_unique_and_never_used_for_something_else(
    script: list[tuple[str, int]],
) -> None:
    """A number once given to a dimension is never a finding's, nor the other way round."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lift.audit"
        with create_audit(path, name="lift") as file:
            file.add_run(make_found(), revision=1)
            dimensions: set[int] = set()
            findings: dict[int, str] = {}
            for word, n in script:
                act(file, word, n)
                snapshot = file.snapshot()
                dimensions |= {d.id for d in snapshot.audit.dimensions}
                now = {f.id: f.code for f in snapshot.audit.findings}
                assert all(findings.get(number, code) == code for number, code in now.items())
                findings |= now
                assert not dimensions & findings.keys()
                assert snapshot.next_number > max(dimensions | findings.keys())
