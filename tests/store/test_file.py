from __future__ import annotations

import hashlib
import os
import sqlite3
import threading
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from audit.errors import BadAudit, BadUsage, CannotWrite, NotReadable, StaleRevision
from audit.records import (
    Audit,
    Decision,
    KnownSize,
    Link,
    ReadBy,
    Settings,
    TextState,
    Verdict,
)
from audit.store import (
    AddDimension,
    AddKnownSize,
    AuditFile,
    CorrectReading,
    Decide,
    LinkSame,
    MoveEnds,
    NotStorable,
    RemoveDimension,
    RenameAudit,
    SetAside,
    SetVerdict,
    create_audit,
    open_audit,
)
from audit.store.state import NOT_JUDGED
from tests.store.builders import (
    by_hand,
    inches,
    judge,
    make_dimension,
    make_found,
    make_reading,
    make_text,
)


def correct(file: AuditFile, number: int, text: str, *, revision: int | None = None) -> int:
    dimension = next(d for d in file.load().dimensions if d.id == number)
    assert dimension.reading is not None
    reading = make_reading(text, dimension.reading.box, confirmed=True, by=ReadBy.USER)
    entry = CorrectReading(dimension=number, reading=reading)
    return file.record(entry, revision=file.revision if revision is None else revision)


def test_a_new_audit_holds_its_name_and_settings_at_revision_1(tmp_path: Path) -> None:
    settings = Settings(confidence_limit=0.8, tolerance=inches("1/32"))
    with create_audit(tmp_path / "a.audit", name="lift", settings=settings) as file:
        assert file.revision == 1
        assert file.load() == Audit(name="lift", settings=settings)
    with open_audit(tmp_path / "a.audit", read_only=True) as file:
        assert file.load().settings == settings


def test_what_a_run_found_comes_back_after_reopening(lift: AuditFile) -> None:
    found = make_found()
    with open_audit(lift.path, read_only=True) as again:
        audit = again.load()
    assert audit.dimensions == found.dimensions
    assert audit.texts == found.texts
    assert audit.findings == found.findings
    assert audit.sheets == found.sheets
    assert audit.views == found.views


def test_a_run_keeps_its_number_time_settings_options_and_versions(tmp_path: Path) -> None:
    moment = datetime(2026, 5, 4, 3, 2, 1, tzinfo=UTC)
    with create_audit(tmp_path / "a.audit", name="lift", clock=lambda: moment) as file:
        file.add_run(make_found(), revision=1, options=(("unit", "in"),), versions=(("own", "1"),))
        (run,) = file.snapshot().runs
    assert (run.number, run.at) == (1, "2026-05-04T03:02:01.000+00:00")
    assert (run.options, run.versions) == ((("unit", "in"),), (("own", "1"),))
    assert run.settings == Settings()


# Revisions


def test_a_write_that_saw_an_older_revision_is_refused_and_changes_nothing(lift: AuditFile) -> None:
    seen = lift.revision
    lift.record(RenameAudit(name="first"), revision=seen)
    before = lift.history()
    for late in (
        lambda: lift.record(RenameAudit(name="second"), revision=seen),
        lambda: lift.undo(revision=seen),
        lambda: lift.redo(revision=seen),
        lambda: lift.add_run(make_found(), revision=seen),
        lambda: lift.judge(judge, revision=seen),
    ):
        with pytest.raises(StaleRevision, match=r"revision 3, you saw 2") as caught:
            late()
        assert caught.value.http_status == 409
    assert lift.history() == before
    assert lift.load().name == "first"


def test_a_revision_from_the_future_is_refused_too(lift: AuditFile) -> None:
    with pytest.raises(StaleRevision):
        lift.record(RenameAudit(name="x"), revision=lift.revision + 1)


def test_two_programs_see_each_other_and_the_later_one_is_told(lift: AuditFile) -> None:
    with open_audit(lift.path) as other:
        seen = other.snapshot()
        lift.record(RenameAudit(name="mine"), revision=seen.revision)
        with pytest.raises(StaleRevision):
            other.record(RenameAudit(name="yours"), revision=seen.revision)
        assert other.load().name == "mine"
        other.record(RenameAudit(name="yours"), revision=other.revision)
    assert lift.load().name == "yours"
    assert lift.load() == lift.replayed()


def test_another_program_writing_while_one_judges_makes_that_one_stale(lift: AuditFile) -> None:
    def slow(audit: Audit) -> Audit:
        with open_audit(lift.path) as other:
            other.record(RenameAudit(name="quick"), revision=other.revision)
        return judge(audit)

    with pytest.raises(StaleRevision):
        lift.judge(slow, revision=lift.revision)
    assert [e.kind for e in lift.history()] == ["created", "run", "rename"]


def test_many_threads_on_one_file_lose_no_write(lift: AuditFile) -> None:
    done: list[int] = []

    def work() -> None:
        while len(done) < 40:
            try:
                done.append(lift.record(RenameAudit(name="x"), revision=lift.revision))
            except StaleRevision:
                continue

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(done) >= 40
    assert sorted(done) == list(range(3, 3 + len(done)))
    assert lift.load() == lift.replayed()


def test_others_read_and_write_while_one_judges(lift: AuditFile) -> None:
    """Judging may take seconds; the page goes on answering."""
    begun, go_on = threading.Event(), threading.Event()
    refused: list[StaleRevision] = []

    def slow(audit: Audit) -> Audit:
        begun.set()
        assert go_on.wait(20)
        return judge(audit)

    def work() -> None:
        try:
            lift.judge(slow, revision=2)
        except StaleRevision as error:
            refused.append(error)

    thread = threading.Thread(target=work)
    thread.start()
    assert begun.wait(20)
    assert lift.record(RenameAudit(name="meanwhile"), revision=2) == 3
    assert lift.load().name == "meanwhile"
    go_on.set()
    thread.join()
    assert len(refused) == 1
    assert lift.load() == lift.replayed()


# Undo and redo


def test_undo_and_redo_go_on_after_closing_the_file(lift: AuditFile) -> None:
    correct(lift, 2, "5")
    correct(lift, 3, "7")
    path = lift.path
    lift.close()
    with open_audit(path) as file:
        file.undo(revision=file.revision)
        file.undo(revision=file.revision)
        assert [d.reading.text for d in file.load().dimensions[1:3] if d.reading] == ["3", "4"]
    with open_audit(path) as file:
        file.redo(revision=file.revision)
        assert [d.reading.text for d in file.load().dimensions[1:3] if d.reading] == ["5", "4"]
        assert file.snapshot().can_redo
        assert file.load() == file.replayed()


def test_a_new_action_ends_redoing(lift: AuditFile) -> None:
    correct(lift, 2, "5")
    lift.undo(revision=lift.revision)
    lift.record(RenameAudit(name="x"), revision=lift.revision)
    assert not lift.snapshot().can_redo
    with pytest.raises(BadUsage, match="nothing to redo"):
        lift.redo(revision=lift.revision)


def test_a_run_between_does_not_end_redoing(lift: AuditFile) -> None:
    correct(lift, 2, "5")
    lift.undo(revision=lift.revision)
    lift.add_run(make_found(), revision=lift.revision)
    lift.redo(revision=lift.revision)
    reading = lift.load().dimensions[1].reading
    assert reading is not None
    assert reading.text == "5"


def test_undo_passes_over_runs_and_judgements(lift: AuditFile) -> None:
    correct(lift, 2, "5")
    lift.add_run(make_found(), revision=lift.revision, judge=judge)
    lift.undo(revision=lift.revision)
    assert len(lift.snapshot().runs) == 2
    assert not lift.snapshot().can_undo
    with pytest.raises(BadUsage, match="nothing to undo"):
        lift.undo(revision=lift.revision)


def test_history_only_ever_grows_and_says_what_counts(lift: AuditFile) -> None:
    correct(lift, 2, "5")
    lift.undo(revision=lift.revision)
    before = lift.history()
    lift.redo(revision=lift.revision)
    after = lift.history()
    assert [e.seq for e in after] == [1, 2, 3, 4, 5]
    assert [e.kind for e in after] == ["created", "run", "reading", "undo", "redo"]
    assert [e.undoes for e in after] == [None, None, None, 3, 4]
    assert [e.counts for e in before] == [True, True, False, True]
    assert [e.counts for e in after] == [True] * 5
    assert isinstance(after[2].entry, CorrectReading)
    assert [e.actor for e in after] == ["user", "tool", "user", "user", "user"]


def test_the_number_of_an_undone_dimension_is_not_used_again(lift: AuditFile) -> None:
    new = by_hand(make_dimension(0, at=(300.0, 300.0)))
    number = lift.snapshot().next_number
    lift.record(AddDimension(dimension=new), revision=lift.revision)
    lift.undo(revision=lift.revision)
    lift.record(AddDimension(dimension=new), revision=lift.revision)
    assert [d.id for d in lift.load().dimensions][-1] == number + 1


# Judging


def test_a_corrected_dimension_is_not_checked_until_judged_again(lift: AuditFile) -> None:
    correct(lift, 1, "2")
    snapshot = lift.snapshot()
    assert snapshot.judgement_due
    first = snapshot.audit.dimensions[0]
    assert (first.verdict, first.why, first.scaled) == (Verdict.NOT_CHECKED, NOT_JUDGED, None)
    lift.judge(judge, revision=snapshot.revision)
    judged = lift.snapshot()
    assert not judged.judgement_due
    assert judged.audit.dimensions[0].verdict is Verdict.AGREES
    assert judged.audit.findings == ()


def test_judging_in_the_same_step_is_one_transaction(lift: AuditFile) -> None:
    def fail(audit: Audit) -> Audit:
        raise RuntimeError("judging failed")

    before = lift.revision
    with pytest.raises(RuntimeError):
        lift.record(RenameAudit(name="x"), revision=before, judge=fail)
    assert lift.revision == before
    after = lift.record(RenameAudit(name="x"), revision=before, judge=judge)
    assert after == lift.revision == before + 2


def test_a_judgement_says_only_what_changed(lift: AuditFile) -> None:
    lift.judge(judge, revision=lift.revision)
    correct(lift, 2, "5")
    lift.judge(judge, revision=lift.revision)
    with sqlite3.connect(lift.path) as raw:
        (payload,) = raw.execute("SELECT payload FROM entries ORDER BY seq DESC").fetchone()
    raw.close()
    assert len(payload) < 1500
    assert lift.load() == lift.replayed()


def test_a_finding_that_holds_again_has_its_old_number_again(lift: AuditFile) -> None:
    lift.judge(judge, revision=lift.revision)
    numbers = [f.id for f in lift.load().findings]
    correct(lift, 1, "2")
    lift.judge(judge, revision=lift.revision)
    assert lift.load().findings == ()
    correct(lift, 1, "17/8")
    lift.judge(judge, revision=lift.revision)
    assert [f.id for f in lift.load().findings] == numbers


def test_a_verdict_given_by_hand_stands_through_judging_and_runs(lift: AuditFile) -> None:
    entry = SetVerdict(dimension=1, verdict=Verdict.NOT_CRITICAL, reason="only a guide line")
    lift.record(entry, revision=lift.revision, judge=judge)
    lift.add_run(make_found(), revision=lift.revision, judge=judge)
    first = lift.load().dimensions[0]
    assert (first.verdict, first.why) == (Verdict.NOT_CRITICAL, "only a guide line")
    lift.record(SetVerdict(dimension=1, verdict=None), revision=lift.revision, judge=judge)
    assert lift.load().dimensions[0].verdict is Verdict.DISAGREES


def test_a_judge_that_forgets_verdicts_given_by_hand_does_not_change_them(lift: AuditFile) -> None:
    def forgetful(audit: Audit) -> Audit:
        wrong = (replace(d, verdict=Verdict.DISAGREES, why="?") for d in audit.dimensions)
        return replace(audit, dimensions=tuple(wrong))

    entry = SetVerdict(dimension=2, verdict=Verdict.NOT_A_DIMENSION, reason="a part number")
    lift.record(entry, revision=lift.revision, judge=forgetful)
    first, second = lift.load().dimensions[:2]
    assert first.verdict is Verdict.DISAGREES
    assert (second.verdict, second.why) == (Verdict.NOT_A_DIMENSION, "a part number")


@pytest.mark.parametrize("back", ["undo", "redo"])
def test_what_was_taken_back_is_not_checked_until_judged_again(lift: AuditFile, back: str) -> None:
    correct(lift, 2, "5")
    lift.judge(judge, revision=lift.revision)
    lift.undo(revision=lift.revision)
    if back == "redo":
        lift.judge(judge, revision=lift.revision)
        lift.redo(revision=lift.revision)
    snapshot = lift.snapshot()
    assert snapshot.judgement_due
    second = snapshot.audit.dimensions[1]
    assert (second.verdict, second.why, second.scaled) == (Verdict.NOT_CHECKED, NOT_JUDGED, None)


def test_judging_may_not_invent_or_lose_dimensions(lift: AuditFile) -> None:
    with pytest.raises(ValueError, match="may not add or take away"):
        lift.judge(lambda a: replace(a, dimensions=a.dimensions[1:]), revision=lift.revision)


def test_texts_that_judging_adds_go_with_their_dimension(lift: AuditFile) -> None:
    """Coverage must not count the text of a dimension that was added and taken back."""
    new = by_hand(make_dimension(0, at=(300.0, 300.0)))

    def account(audit: Audit) -> Audit:
        known = {t.box for t in audit.texts}
        added = [make_text(d) for d in audit.dimensions if d.reading and d.reading.box not in known]
        return replace(judge(audit), texts=(*audit.texts, *added))

    count = len(lift.load().texts)
    lift.record(AddDimension(dimension=new), revision=lift.revision, judge=account)
    assert len(lift.load().texts) == count + 1
    lift.judge(account, revision=lift.revision)
    assert len(lift.load().texts) == count + 1
    lift.undo(revision=lift.revision)
    assert len(lift.load().texts) == count
    assert lift.load() == lift.replayed()


def test_a_text_that_judging_leaves_out_stays_out(lift: AuditFile) -> None:
    lift.judge(lambda a: replace(a, texts=a.texts[:-1]), revision=lift.revision)
    assert [t.text for t in lift.load().texts] == [t.text for t in make_found().texts[:-1]]
    assert lift.load() == lift.replayed()


def test_a_text_set_aside_stays_so_through_judging(lift: AuditFile) -> None:
    text = lift.load().texts[-1]
    entry = SetAside(sheet=1, box=text.box, text=text.text, why="a title")

    def again(audit: Audit) -> Audit:
        return replace(
            audit, texts=tuple(replace(t, state=TextState.COMPARED) for t in audit.texts)
        )

    lift.record(entry, revision=lift.revision, judge=again)
    after = lift.load().texts[-1]
    assert (after.state, after.why) == (TextState.SET_ASIDE, "a title")


# What is refused


@pytest.mark.parametrize(
    ("entry", "complaint"),
    [
        (CorrectReading(dimension=99, reading=None), "no dimension 99"),
        (MoveEnds(dimension=9, ends=()), "no dimension 9"),  # 9 is a finding
        (RemoveDimension(dimension=1), "the tool found this dimension"),
        (SetVerdict(dimension=1, verdict=Verdict.AGREES), "are yours to give"),
        (Decide(decision=Decision(dimension=1, value=None)), "a value or a hold"),
        (Decide(decision=Decision(dimension=1, value=inches("1"), hold=True)), "value or a hold"),
        (LinkSame(link=Link(first=1, second=1)), "the same as itself"),
        (LinkSame(link=Link(first=1, second=77)), "no dimension 77"),
        (RenameAudit(name="  "), "needs a name"),
        (AddDimension(dimension=make_dimension(3, at=(0, 0))), "the next number is 11"),
        (AddDimension(dimension=make_dimension(0, at=(0, 0), sheet=4)), "no sheet 4"),
        (AddDimension(dimension=make_dimension(0, at=(0, 0), view=9)), "no view 9"),
    ],
    ids=str,
)
def test_entries_that_make_no_sense_are_refused_and_not_written(
    lift: AuditFile, entry: object, complaint: str
) -> None:
    before = lift.history()
    with pytest.raises(BadUsage, match=complaint):
        lift.record(entry, revision=lift.revision)  # type: ignore[arg-type]
    assert lift.history() == before


def test_a_dimension_with_a_decision_is_not_removed(lift: AuditFile) -> None:
    new = by_hand(make_dimension(0, at=(300.0, 300.0)))
    lift.record(AddDimension(dimension=new), revision=lift.revision)
    decision = Decision(dimension=11, value=inches("3"), reason="measured")
    lift.record(Decide(decision=decision), revision=lift.revision)
    assert lift.load().dimensions[-1].build_to == inches("3")
    with pytest.raises(BadUsage, match="stands on dimension 11"):
        lift.record(RemoveDimension(dimension=11), revision=lift.revision)


def test_one_bad_entry_of_several_leaves_none_behind(lift: AuditFile) -> None:
    before = lift.revision
    entries = [RenameAudit(name="x"), CorrectReading(dimension=99, reading=None)]
    with pytest.raises(BadUsage):
        lift.record_all(entries, revision=before)
    assert lift.revision == before
    assert lift.load().name == "marble lift"


def test_a_number_that_is_not_finite_is_refused_and_nothing_is_written(lift: AuditFile) -> None:
    before = lift.revision
    found = make_found()
    bad = replace(found.dimensions[0], difference=float("nan"))
    with pytest.raises(NotStorable, match=r"difference: not a finite number"):
        lift.add_run(replace(found, dimensions=(bad,), findings=(), texts=()), revision=before)
    assert lift.revision == before
    lift.record(RenameAudit(name="fine"), revision=before)


def test_a_known_size_given_twice_stands_once(lift: AuditFile) -> None:
    a, b = make_found().dimensions[0].ends
    known = KnownSize(sheet=1, a=a.point, b=b.point, length=inches("2"))
    for _ in range(2):
        lift.record(AddKnownSize(known=known), revision=lift.revision)
    assert lift.load().known_sizes == (known,)


def test_a_known_size_may_come_before_the_first_run(empty: AuditFile) -> None:
    a, b = make_found().dimensions[0].ends
    known = KnownSize(sheet=1, a=a.point, b=b.point, length=inches("2"))
    empty.record(AddKnownSize(known=known), revision=1)
    empty.add_run(make_found(), revision=2)
    assert empty.load().known_sizes == (known,)


# Sources


def test_the_bytes_of_a_plan_come_back_and_are_kept_once(empty: AuditFile, tmp_path: Path) -> None:
    content = os.urandom(2_500_000)
    plan = tmp_path / "plan.pdf"
    plan.write_bytes(content)
    digest = empty.add_source(plan, "plan.pdf")
    assert digest == hashlib.sha256(content).hexdigest()
    revision = empty.revision
    assert empty.add_source(content, "again.pdf") == digest
    assert empty.revision == revision
    assert empty.read_source(digest, tmp_path / "copy.pdf").read_bytes() == content
    (source,) = empty.list_sources()
    assert (source.name, source.size) == ("plan.pdf", len(content))
    assert max(len(piece) for piece in empty.iterate_source(digest)) == 1 << 20


def test_reading_a_source_that_is_not_there_leaves_no_file(
    empty: AuditFile, tmp_path: Path
) -> None:
    with pytest.raises(BadAudit, match="does not hold a source"):
        empty.read_source("0" * 64, tmp_path / "copy.pdf")
    assert {p.name for p in tmp_path.iterdir()} == {"lift.audit"}


def test_a_damaged_copy_of_a_plan_is_noticed(empty: AuditFile, tmp_path: Path) -> None:
    digest = empty.add_source(b"drawing" * 1000, "plan.pdf")
    with sqlite3.connect(empty.path) as raw:
        raw.execute("UPDATE chunks SET bytes = x'00'")
    raw.close()
    with pytest.raises(BadAudit, match=r"copy of plan\.pdf in this audit is damaged"):
        empty.read_source(digest, tmp_path / "copy.pdf")
    assert not (tmp_path / "copy.pdf").exists()


def test_a_plan_that_cannot_be_read_is_one_clear_line(empty: AuditFile, tmp_path: Path) -> None:
    with pytest.raises(NotReadable, match="no such file"):
        empty.add_source(tmp_path / "none.pdf", "none.pdf")
    with pytest.raises(NotReadable, match="not a file"):
        empty.add_source(tmp_path, "folder.pdf")
    with pytest.raises(BadUsage, match="plain name"):
        empty.add_source(b"x", "../plan.pdf")
    assert empty.revision == 1


# Opening and creating


@pytest.mark.parametrize(
    "name",
    ["Murmel-Aufzug ¾ Zoll.audit", "升降机 #1?%20&mode=rw.audit", "a b\tc.audit", "é" * 118 + ".a"],
)
def test_odd_names_and_folders_work(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "Pläne & co; 'drop'"
    folder.mkdir()
    with create_audit(folder / name, name=name) as file:
        file.record(RenameAudit(name="still here"), revision=1)
    with open_audit(folder / name, read_only=True) as file:
        assert file.load().name == "still here"
    assert [p.name for p in folder.iterdir()] == [name]


def test_a_name_that_is_no_unicode_works(tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"plan-\xff.audit")
    with create_audit(path, name=path.name) as file:
        assert file.load().name == path.name


@pytest.mark.parametrize("name", ["x" * 245 + ".audit", "d" * 200 + "/" + "e" * 200 + "/a.audit"])
def test_paths_too_long_for_the_journal_are_refused_at_once(tmp_path: Path, name: str) -> None:
    path = tmp_path / ("d" * 150) / name
    with pytest.raises(BadUsage, match="path of the audit is too long"):
        create_audit(path, name="x")


def test_an_audit_that_exists_is_not_written_over(lift: AuditFile) -> None:
    before = lift.path.read_bytes()
    with pytest.raises(BadUsage, match="exists already"):
        create_audit(lift.path, name="other")
    assert lift.path.read_bytes() == before
    assert [p.name for p in lift.path.parent.iterdir()] == ["lift.audit"]


def test_creating_in_a_folder_that_is_missing_is_one_clear_line(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="No such file or directory: choose a folder"):
        create_audit(tmp_path / "none" / "a.audit", name="x")


def test_a_new_audit_has_the_usual_rights(empty: AuditFile, tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.touch()
    assert empty.path.stat().st_mode == plain.stat().st_mode


def test_one_file_is_all_there_is_while_it_is_open(lift: AuditFile, tmp_path: Path) -> None:
    """Mailing the file must take all confirmed work along, at any moment."""
    correct(lift, 2, "5")
    copy = tmp_path / "mailed.audit"
    copy.write_bytes(lift.path.read_bytes())
    with open_audit(copy, read_only=True) as file:
        assert file.load() == lift.load()
    assert lift.path.read_bytes()[18:20] == b"\x01\x01"  # not a write-ahead log


def test_a_file_opened_read_only_is_never_changed(lift: AuditFile) -> None:
    before = lift.path.read_bytes()
    with open_audit(lift.path, read_only=True) as file:
        with pytest.raises(CannotWrite, match="opened read-only"):
            file.record(RenameAudit(name="x"), revision=file.revision)
        with pytest.raises(CannotWrite, match="opened read-only"):
            file.add_source(b"abc", "a.pdf")
        file.load()
    assert lift.path.read_bytes() == before


def test_the_state_is_rebuilt_when_another_version_wrote_it(lift: AuditFile) -> None:
    correct(lift, 2, "5")
    kept = lift.load()
    lift.close()
    with sqlite3.connect(lift.path) as raw:
        raw.execute("UPDATE projection SET version = 0")
        raw.execute("DELETE FROM state WHERE kind <> 'head'")
    raw.close()
    with open_audit(lift.path) as file:
        assert file.load() == kept
        file.record(RenameAudit(name="x"), revision=file.revision)
    with open_audit(lift.path, read_only=True) as file:
        assert file.load() == replace(kept, name="x")
