from __future__ import annotations

import random
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.store import AuditFile, create_audit, inspect_stranger, open_audit
from audit.store.codec import dump_record
from tests.store.builders import judge, make_found
from tests.store.scripted import MAKERS, WORDS, act

scripts = st.lists(st.tuples(st.sampled_from(WORDS), st.integers(0, 60)), max_size=20)
FAST, LONG = range(2), range(2, 60)


def text_of(file: AuditFile) -> str:
    return dump_record(file.load())


def replayed(file: AuditFile) -> str:
    return dump_record(file.replayed())


@given(scripts)
@settings(max_examples=15, deadline=None)
def test_the_state_kept_is_the_state_replayed(script: list[tuple[str, int]]) -> None:
    """After every step, in this program; at the end, in one that opens the file afresh."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lift.audit"
        with create_audit(path, name="lift") as file:
            file.add_run(make_found(), revision=1)
            for word, n in script:
                act(file, word, n)
                assert text_of(file) == replayed(file)
            kept = text_of(file)
        with open_audit(path, read_only=True) as again:
            assert text_of(again) == kept
        assert inspect_stranger(path).state_matches


@pytest.mark.parametrize(
    "seed", [*FAST, *(pytest.param(seed, marks=pytest.mark.hard) for seed in LONG)]
)
def test_a_long_script_survives_undoing_all_of_it_and_redoing_it(seed: int, tmp_path: Path) -> None:
    rng = random.Random(seed)
    path = tmp_path / "lift.audit"
    with create_audit(path, name="lift") as file:
        file.add_run(make_found(), revision=1, judge=judge)
        done = 0
        for step in range(60):
            done += act(file, rng.choice(WORDS), rng.randrange(61)) is not None
            assert step % 6 or text_of(file) == replayed(file)
        assert done > 20
        file.judge(judge, revision=file.revision)
        before, undone = text_of(file), 0
        while file.snapshot().can_undo:
            file.undo(revision=file.revision)
            undone += 1
        assert undone > 5
    with open_audit(path) as file:
        for _ in range(undone):
            file.redo(revision=file.revision)
        file.judge(judge, revision=file.revision)
        assert text_of(file) == before
    assert inspect_stranger(path).state_matches


@pytest.mark.parametrize("seed", range(2))
def test_numbers_are_never_used_for_something_else(seed: int, tmp_path: Path) -> None:
    """A number once given to a dimension is never a finding's, nor the other way round."""
    rng = random.Random(seed)
    with create_audit(tmp_path / "lift.audit", name="lift") as file:
        file.add_run(make_found(), revision=1)
        dimensions: set[int] = set()
        findings: dict[int, str] = {}
        for _ in range(60):
            act(file, rng.choice(WORDS), rng.randrange(61))
            snapshot = file.snapshot()
            dimensions |= {d.id for d in snapshot.audit.dimensions}
            now = {f.id: f.code for f in snapshot.audit.findings}
            assert all(findings.get(number, code) == code for number, code in now.items())
            findings |= now
            assert not dimensions & findings.keys()
            assert snapshot.next_number > max(dimensions | findings.keys())


KEPT = ("known", "piece", "count", "errata")


@pytest.mark.parametrize("word", [w for w in MAKERS if w not in {"take-up", "no-known"}])
def test_every_kind_of_user_entry_is_undone_and_redone(word: str, tmp_path: Path) -> None:
    with create_audit(tmp_path / "lift.audit", name="lift") as file:
        file.add_run(make_found(), revision=1)
        for prepare in ("add", "decide", "link", "part", "chain", "add-view", *KEPT):
            assert act(file, prepare, 9)
        candidates = (n for n in range(1, 60) if act(file, word, n))
        assert next(candidates, None) is not None
        file.judge(judge, revision=file.revision)
        after = text_of(file)
        file.undo(revision=file.revision, judge=judge)
        assert text_of(file) != after
        file.redo(revision=file.revision, judge=judge)
        assert text_of(file) == after
