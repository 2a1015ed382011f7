"""The same plan checked again after a person worked on its audit: nothing of theirs changes."""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from audit.cli.main import run_command
from audit.pipeline import CheckRequest, check
from audit.pipeline.acting import type_reading
from audit.pipeline.keeping import keep_audit
from audit.records import Audit, Decision, Dimension, EndKind, Settings, UserSet, Verdict
from audit.store import (
    CorrectReading,
    Decide,
    MoveEnds,
    SetAside,
    SetVerdict,
    open_audit,
)

PLAN = Path(__file__).parents[2] / "sample_scans" / "marble-lift-1.pdf"

# What a person typed for five printed texts, in the order read; the plan's mistakes are the first
# two (its truth file says so), the third is a person's own, the last two confirm what was read.
TYPED = {
    "3 9/32": ("3 3/8", Verdict.AGREES),
    "1 5/8": ("1 1/2", Verdict.AGREES),
    "3 3/4": ("3 7/8", Verdict.DISAGREES),
    "9": ("9", Verdict.AGREES),
    "6 1/2": ("6 1/2", Verdict.AGREES),
}
# Points of three dimensions put elsewhere: by how many pt the second end went along its dimension.
# A vector page shows errors of 1/64 in (1.1 pt); half of that is within the tolerance.
MOVED = {
    "R 1/2 TYP": (0.4, Verdict.AGREES),
    "4 1/4": (9.0, Verdict.DISAGREES),
    "5 1/2": (-4.5, Verdict.DISAGREES),
}
UNSEEN = ("2X Ø 1/4 THRU", "1 3/8")  # what an earlier version of the tool had not found


@dataclass(frozen=True)
class Job:
    """An audit file, as the person left it."""

    folder: Path
    before: Audit

    @property
    def path(self) -> Path:
        return self.folder / "marble-lift-1.audit"

    def after(self) -> Audit:
        with open_audit(self.path, read_only=True) as file:
            return file.load()


def one(audit: Audit, text: str) -> Dimension:
    found = [d for d in audit.dimensions if d.reading is not None and d.reading.text == text]
    assert len(found) == 1, text
    return found[0]


def without(audit: Audit, texts: tuple[str, ...]) -> Audit:
    gone = {one(audit, text).id for text in texts}
    return replace(
        audit,
        dimensions=tuple(d for d in audit.dimensions if d.id not in gone),
        findings=tuple(f for f in audit.findings if not gone & set(f.dimensions)),
    )


def moved_along(dimension: Dimension, by: float) -> MoveEnds:
    first, second = dimension.ends
    share = by / first.point.distance(second.point)
    step = (second.point.x - first.point.x, second.point.y - first.point.y)
    point = second.point.moved(step[0] * share, step[1] * share)
    put = replace(second, point=point, kind=EndKind.EXTENSION)
    return MoveEnds(dimension=dimension.id, ends=(first, put))


@pytest.fixture(scope="module")
def worked_on(tmp_path_factory) -> Job:
    """An audit by a version that found less, in which a person corrected texts and points."""
    folder = tmp_path_factory.mktemp("job")
    found = check(CheckRequest(plans=(PLAN,), settings=Settings())).audit
    keep_audit(without(found, UNSEEN), [PLAN], folder / "marble-lift-1.audit")
    with open_audit(folder / "marble-lift-1.audit") as file:
        audit = file.load()
        work = [
            CorrectReading(dimension=d.id, reading=type_reading(audit, d, typed))
            for text, (typed, _) in TYPED.items()
            for d in [one(audit, text)]
        ]
        work += [moved_along(one(audit, text), by) for text, (by, _) in MOVED.items()]
        stock = one(audit, "1/4 TYP")
        hold = Decision(dimension=one(audit, "1 5/8").id, value=None, reason="ask", hold=True)
        aside = next(t for t in audit.texts if "NOTED" in t.text)
        work += [
            SetVerdict(dimension=stock.id, verdict=Verdict.NOT_CRITICAL, reason="stock"),
            SetAside(sheet=1, box=aside.box, text=aside.text, why="read it"),
            Decide(decision=hold),
        ]
        file.record_all(work, revision=file.revision)
        return Job(folder, file.load())


@pytest.fixture(scope="module")
def checked_again(worked_on, tmp_path_factory) -> tuple[Job, int, dict]:
    folder = tmp_path_factory.mktemp("again")
    shutil.copy(worked_on.path, folder)
    code = run_command(["check", str(PLAN), "--out", str(folder), "--json", str(folder / "r.json")])
    result = json.loads((folder / "r.json").read_text("utf-8"))
    return Job(folder, worked_on.before), code, result


def test_five_readings_and_three_points_of_a_person_are_as_they_left_them(checked_again):
    job, _, _ = checked_again
    before, after = job.before, job.after()
    theirs = [d for d in before.dimensions if d.user_set & {UserSet.READING, UserSet.ENDS}]
    assert len(theirs) == len(TYPED) + len(MOVED)
    now = {d.id: d for d in after.dimensions}
    for dimension in theirs:
        same = now[dimension.id]
        assert (same.reading, same.ends) == (dimension.reading, dimension.ends)
        assert same.user_set == dimension.user_set
    assert after.decisions == before.decisions


def test_verdicts_rest_on_what_the_person_read_and_where_they_put_the_points(checked_again):
    job, _, result = checked_again
    after = job.after()
    shown = {d["id"]: d for s in result["sheets"] for d in s["dimensions"]}
    for text, verdict in {**dict(TYPED.values()), **{t: v for t, (_, v) in MOVED.items()}}.items():
        dimension = next(
            d
            for d in after.dimensions
            if d.user_set & {UserSet.READING, UserSet.ENDS}
            and d.reading is not None
            and d.reading.text == text
        )
        assert dimension.verdict is verdict, text
        assert shown[dimension.id]["verdict"] == verdict.value, text
    moved = one(after, "4 1/4")
    assert moved.scaled is not None
    assert moved.scaled.value == pytest.approx(4.25 + 9 / 72, abs=1e-4)


def test_findings_that_the_corrections_settle_are_gone_and_new_ones_are_there(checked_again):
    job, code, _ = checked_again
    after = job.after()
    about = {n: f.code for f in after.findings for n in f.dimensions}
    assert one(job.before, "3 3/8").id not in about  # misread, says the person: it closes its chain
    told = {one(job.before, text).id for text in ("3 7/8", "4 1/4")}
    assert told <= about.keys()
    assert {about[n] for n in told} <= {"A101", "C101", "C102"}
    assert code == 1


def test_new_proposals_join_under_new_numbers_and_nothing_is_renumbered(checked_again):
    job, _, _ = checked_again
    before, after = job.before, job.after()
    joined = [d for d in after.dimensions if d.id not in {b.id for b in before.dimensions}]
    assert sorted(d.reading.text for d in joined) == sorted(UNSEEN)
    used = {d.id for d in before.dimensions} | {f.id for f in before.findings}
    assert not used & {d.id for d in joined}
    places = {d.id: d.ends for d in after.dimensions}
    assert all(places[d.id] == d.ends for d in before.dimensions)


def test_texts_set_aside_and_verdicts_by_hand_stay(checked_again):
    job, _, result = checked_again
    after = job.after()
    assert one(after, "1/4 TYP").verdict is Verdict.NOT_CRITICAL
    shown = next(t for s in result["sheets"] for t in s["texts"] if "NOTED" in t["text"])
    assert (shown["state"], shown["why"]) == ("set-aside", "read it")


def test_what_the_person_did_can_still_be_undone(checked_again, tmp_path):
    job, _, _ = checked_again
    copy = tmp_path / "copy.audit"
    shutil.copy(job.path, copy)
    with open_audit(copy) as file:
        for _ in range(3 + len(MOVED) + len(TYPED)):
            file.undo(revision=file.revision)
        audit = file.load()
    texts = [d.reading.text for d in audit.dimensions if d.reading is not None]
    assert set(TYPED) <= set(texts)
    assert not any(d.user_set for d in audit.dimensions)


def test_a_tolerance_typed_for_the_second_check_is_judged_by_and_kept(worked_on, tmp_path):
    shutil.copy(worked_on.path, tmp_path)
    run_command(["check", str(PLAN), "--out", str(tmp_path), "--tolerance", "1/4 in"])
    with open_audit(tmp_path / worked_on.path.name, read_only=True) as file:
        wide = file.load()
    assert one(wide, "4 1/4").verdict is Verdict.AGREES
    run_command(["check", str(PLAN), "--out", str(tmp_path)])
    with open_audit(tmp_path / worked_on.path.name, read_only=True) as file:
        assert one(file.load(), "4 1/4").verdict is Verdict.AGREES
