"""Folds in the audit file: kept through further runs, undone, and refused far off their sheet."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from audit.errors import BadAudit, BadUsage
from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import Fold
from audit.store import SetFolds, create_audit, inspect_stranger, open_audit
from tests.report.builders import make_audit

FOLD = Fold(a=Point(306, 0), b=Point(306, 792), step=Length(Fraction(1, 32), Unit.IN))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "plan.audit"
    with create_audit(place, name="plan") as file:
        file.add_run(make_audit(), revision=file.revision)
        file.record(SetFolds(sheet=1, folds=(FOLD,)), revision=file.revision)
    return place


def test_a_fold_outlasts_another_run_and_a_replay(path: Path) -> None:
    with open_audit(path) as file:
        file.add_run(make_audit(), revision=file.revision)
        assert file.load().sheets[0].folds == (FOLD,)
    with open_audit(path, rebuild=True) as file:
        assert file.load().sheets[0].folds == (FOLD,)
        file.undo(revision=file.revision)
        assert file.load().sheets[0].folds == ()


@pytest.mark.parametrize(
    "bad", [replace(FOLD, b=FOLD.a), replace(FOLD, step=Length(Fraction(0), Unit.MM))]
)
def test_a_fold_that_is_no_line_or_has_no_step_is_not_recorded(path: Path, bad: Fold) -> None:
    with open_audit(path) as file, pytest.raises(BadUsage, match="a fold needs two places"):
        file.record(SetFolds(sheet=1, folds=(bad,)), revision=file.revision)


def test_a_fold_far_off_its_sheet_in_a_file_of_others_is_refused(path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        (payload,) = raw.execute("SELECT payload FROM entries WHERE kind = 'folds'").fetchone()
        altered = json.loads(payload)
        altered["folds"][0]["a"] = [1e9, 0.0]
        raw.execute("UPDATE entries SET payload = ? WHERE kind = 'folds'", (json.dumps(altered),))
    with pytest.raises(BadAudit, match="far off its sheets"):
        inspect_stranger(path)


@pytest.mark.parametrize(
    ("step", "most"), [(Length(Fraction(10**400), Unit.MM), 1e6), (None, None)]
)
def test_a_step_without_end_stays_a_number(step: Length | None, most: float | None) -> None:
    u = replace(FOLD, step=step).u_paper
    assert u is None if most is None else u < most
    assert replace(FOLD, step=Length(Fraction(3), Unit.DEG)).u_paper is None
