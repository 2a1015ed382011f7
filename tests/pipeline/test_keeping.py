"""What a person gives with a check is theirs: recorded once, used again, undone by itself."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest

from audit.errors import CannotWrite
from audit.lengths import Length, Unit
from audit.pipeline import CheckRequest, check, keeping
from audit.pipeline.keeping import keep_audit, recall_audit
from audit.pipeline.rejudging import rejudge
from audit.records import Settings, UserSet
from audit.store import AuditFile, open_audit

pytestmark = pytest.mark.usefixtures("lent_workers")

SAMPLE = Path(__file__).parents[2] / "sample_scans" / "marble-lift-1.pdf"
KNOWN = "4 in @ 1:100.5,150.5 300.5,150.5"
RECTANGLE = "5.5 x 4.25 in @ 1:30,30 580,30 580,455 30,455"


@pytest.fixture
def plan(tmp_path) -> Path:
    """A picture with two marks and a frame; nothing says how large it is."""
    pixels = np.full((500, 650), 255, np.uint8)
    cv2.rectangle(pixels, (30, 30), (580, 455), 0, 2)
    for x in (100, 300):
        cv2.line(pixels, (x, 125), (x, 175), 0, 2)
    path = tmp_path / "plan.png"
    cv2.imwrite(str(path), pixels)
    return path


def checked(plan: Path, folder: Path, *, settings: Settings | None = None, **given):
    path = folder / "plan.audit"
    request = CheckRequest(
        plans=(plan,),
        settings=settings or Settings(),
        before=recall_audit([plan], path),
        **given,
    )
    return keep_audit(check(request).audit, [plan], path)


def kinds(path: Path) -> list[str]:
    with open_audit(path, read_only=True) as file:
        return [entry.kind for entry in file.history()]


def test_known_sizes_and_papers_of_a_check_are_a_persons_entries(plan, tmp_path):
    kept = checked(plan, tmp_path, known=(KNOWN,), rectangles=(RECTANGLE,))
    assert {"known-size", "paper"} <= set(kinds(kept.path))
    (known,) = kept.audit.known_sizes
    assert known.length == Length(Fraction(4), Unit.IN)
    assert UserSet.PAPER in kept.audit.sheets[0].user_set


def test_a_second_check_uses_them_without_being_told_and_records_nothing_twice(plan, tmp_path):
    first = checked(plan, tmp_path, known=(KNOWN,), rectangles=(RECTANGLE,))
    before = kinds(first.path)
    second = checked(plan, tmp_path)
    assert second.audit.known_sizes == first.audit.known_sizes
    assert second.audit.sheets == first.audit.sheets
    third = checked(plan, tmp_path, known=(KNOWN,), rectangles=(RECTANGLE,))
    assert third.audit.known_sizes == first.audit.known_sizes
    now = kinds(third.path)
    assert [now.count(k) for k in ("known-size", "paper")] == [1, 1]
    assert now.count("run") == before.count("run") + 2


def test_another_length_at_the_same_marks_takes_the_place_of_the_first(plan, tmp_path):
    checked(plan, tmp_path, known=(KNOWN,))
    kept = checked(plan, tmp_path, known=(KNOWN.replace("4 in", "4 1/8 in"),))
    (known,) = kept.audit.known_sizes
    assert known.length == Length(Fraction(33, 8), Unit.IN)


def test_a_known_size_of_a_check_can_be_undone(plan, tmp_path):
    kept = checked(plan, tmp_path, known=(KNOWN,))
    with open_audit(kept.path) as file:
        file.undo(revision=file.revision)
        assert file.load().known_sizes == ()


def test_a_check_looks_with_the_settings_that_were_stored(plan, tmp_path):
    """A known size typed without a unit counts in the unit the audit was set to before."""
    checked(plan, tmp_path, settings=Settings(unit=Unit.MM))
    kept = checked(plan, tmp_path, known=(KNOWN.replace("4 in", "100"),))
    (known,) = kept.audit.known_sizes
    assert known.length == Length(Fraction(100), Unit.MM)
    assert kept.audit.settings.unit is Unit.MM


def test_another_plan_of_the_same_name_recalls_nothing(plan, tmp_path):
    checked(plan, tmp_path, known=(KNOWN,))
    cv2.imwrite(str(plan), np.full((500, 500), 255, np.uint8))
    assert recall_audit([plan], tmp_path / "plan.audit") is None


FOLD = "1 mm @ 1:325,10 325,490"


def test_a_fold_of_a_check_is_a_persons_entry_that_outlasts_further_checks(plan, tmp_path):
    first = checked(plan, tmp_path, known=(KNOWN,), folds=(FOLD,))
    assert kinds(first.path).count("folds") == 1
    again = checked(plan, tmp_path)
    assert again.audit.sheets[0].folds == first.audit.sheets[0].folds
    assert len(again.audit.sheets[0].folds) == 1
    assert kinds(again.path).count("folds") == 1
    with open_audit(again.path) as file:
        file.undo(revision=file.revision)
        file.undo(revision=file.revision)
        assert file.load().sheets[0].folds == ()


def test_a_fold_given_again_keeps_its_step_and_the_other_folds(plan, tmp_path):
    checked(plan, tmp_path, known=(KNOWN,), folds=(FOLD, "1:500,10 500,490"))
    again = checked(plan, tmp_path, folds=("1:325.3,490 325,10",))  # turned round, off by a hair
    folds = again.audit.sheets[0].folds
    assert [fold.a.x for fold in folds] == [325, 500]
    assert [fold.step for fold in folds] == [Length(Fraction(1), Unit.MM), None]
    assert kinds(again.path).count("folds") == 1  # nothing new was given


def test_a_new_audit_that_cannot_be_written_whole_is_not_left_behind(plan, tmp_path, monkeypatch):
    def fail(*_, **__):
        raise CannotWrite("the disk is full", advice="make room")

    monkeypatch.setattr(AuditFile, "add_run", fail)
    with pytest.raises(CannotWrite):
        checked(plan, tmp_path)
    assert not (tmp_path / "plan.audit").exists()
    monkeypatch.undo()
    kept = checked(plan, tmp_path)
    monkeypatch.setattr(AuditFile, "add_run", fail)
    with pytest.raises(CannotWrite):
        checked(plan, tmp_path)
    assert kinds(kept.path)[:2] == ["created", "source"]


def test_a_first_run_is_judged_once_and_a_further_one_beside_what_was_there(tmp_path, monkeypatch):
    judged = []

    def judge(audit):
        judged.append(audit)
        return rejudge(audit)

    monkeypatch.setattr(keeping, "rejudge", judge)
    found = check(CheckRequest(plans=(SAMPLE,), settings=Settings())).audit
    kept = keep_audit(found, [SAMPLE], tmp_path / "job.audit").audit
    assert not judged
    assert len(kept.findings) > 2
    assert replace(kept, name=found.name) == found == rejudge(kept)
    again = keep_audit(found, [SAMPLE], tmp_path / "job.audit").audit
    assert len(judged) == 1
    assert again == kept
