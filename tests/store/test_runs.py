from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.geometry import Box, Point, Transform
from audit.lengths import Length, Unit
from audit.records import (
    Audit,
    ChainLeg,
    Decision,
    Dimension,
    DimensionKind,
    End,
    FoundBy,
    HandChain,
    KnownSize,
    Link,
    Part,
    ReadBy,
    TextState,
    UserSet,
    Verdict,
    View,
    ViewKind,
)
from audit.store import (
    AddDimension,
    AddKnownSize,
    AddView,
    AssignView,
    AuditFile,
    ChangeKind,
    CorrectReading,
    Decide,
    EditView,
    LinkSame,
    MergeViews,
    MoveEnds,
    RemoveKnownSize,
    RemovePart,
    SetAside,
    SetChain,
    SetDimensionTolerance,
    SetPaper,
    SetPart,
    SetVerdict,
    SetViewTolerance,
    UserEntry,
    merge_run,
    stale_findings,
)
from audit.store.state import NOT_JUDGED
from tests.store.builders import (
    by_hand,
    inches,
    judge,
    make_dimension,
    make_finding,
    make_found,
    make_reading,
    make_sheet,
    make_text,
    make_view,
)


def do(file: AuditFile, *entries: UserEntry) -> None:
    file.record_all(entries, revision=file.revision)


def again(file: AuditFile, found: Audit | None = None) -> Audit:
    """Find again and say what is there now; replay must say the same."""
    file.add_run(found or make_found(), revision=file.revision)
    audit = file.load()
    assert audit == file.replayed()
    return audit


def jittered(found: Audit, by: float = 0.5) -> Audit:
    """The same dimensions, found half a point aside, in another order and other numbers."""
    moved = [
        replace(d, id=100 - d.id, ends=tuple(_shift(e, by) for e in reversed(d.ends)))
        for d in found.dimensions
    ]
    numbers = {d.id: 100 - d.id for d in found.dimensions}
    findings = [
        replace(f, id=900 + f.id, dimensions=tuple(numbers[n] for n in f.dimensions))
        for f in found.findings
    ]
    return replace(found, dimensions=tuple(reversed(moved)), findings=tuple(reversed(findings)))


def _shift(end: End, by: float) -> End:
    return replace(end, point=end.point.moved(by, -by))


def confirmed(dimension: Dimension, text: str) -> CorrectReading:
    assert dimension.reading is not None
    reading = make_reading(text, dimension.reading.box, confirmed=True, by=ReadBy.USER)
    return CorrectReading(dimension=dimension.id, reading=reading)


def get(audit: Audit, number: int) -> Dimension:
    return next(d for d in audit.dimensions if d.id == number)


# Numbers


def test_finding_the_same_again_changes_no_number(lift: AuditFile) -> None:
    before = lift.load()
    after = again(lift)
    assert [d.id for d in after.dimensions] == [d.id for d in before.dimensions]
    assert [f.id for f in after.findings] == [f.id for f in before.findings]
    assert [v.id for v in after.views] == [v.id for v in before.views]


def test_numbers_follow_places_not_the_order_of_finding(lift: AuditFile) -> None:
    after = again(lift, jittered(make_found()))
    assert [d.id for d in after.dimensions] == list(range(1, 9))
    assert {d.id: d.reading.text for d in after.dimensions if d.reading} == {
        d.id: d.reading.text for d in make_found().dimensions if d.reading
    }
    assert {f.id: f.dimensions for f in after.findings} == {9: (1,), 10: ()}


def test_new_proposals_join_with_new_numbers(lift: AuditFile) -> None:
    after = again(lift, make_found(count=10))
    assert [d.id for d in after.dimensions] == [*range(1, 9), 11, 12]


def test_what_is_no_longer_found_goes_and_comes_back_with_its_number(lift: AuditFile) -> None:
    found = make_found()
    fewer = replace(found, dimensions=found.dimensions[:2] + found.dimensions[3:])
    assert 3 not in [d.id for d in again(lift, fewer).dimensions]
    more = replace(found, dimensions=(*found.dimensions, make_dimension(50, at=(900, 300))))
    assert [d.id for d in again(lift, more).dimensions] == [*range(1, 9), 11]


def test_two_dimensions_in_one_place_are_told_apart_by_their_text(empty: AuditFile) -> None:
    one = make_dimension(1, at=(100, 100), text="2")
    two = make_dimension(2, at=(100, 100.5), text="5")
    found = replace(make_found(), dimensions=(one, two), findings=(), texts=())
    empty.add_run(found, revision=1)
    swapped = (
        replace(two, id=1, ends=one.ends),
        replace(one, id=2, ends=two.ends),
    )
    after = again(empty, replace(found, dimensions=swapped))
    assert {d.id: d.reading.text for d in after.dimensions if d.reading} == {1: "2", 2: "5"}


# A person's work


def test_five_readings_and_three_points_stand_when_found_again(lift: AuditFile) -> None:
    """The plan checked again after a person's corrections: nothing of theirs changes."""
    audit = lift.load()
    moves = [
        MoveEnds(dimension=n, ends=tuple(_shift(e, 30) for e in get(audit, n).ends))
        for n in (6, 7, 8)
    ]
    do(lift, *(confirmed(get(audit, n), f"{n}/7") for n in range(1, 6)), *moves)
    before = lift.load()
    after = again(lift, jittered(make_found(count=10)))
    assert [d.id for d in after.dimensions] == [*range(1, 9), 11, 12]
    for n in range(1, 6):
        assert get(after, n).reading == get(before, n).reading
    for n in (6, 7, 8):
        assert get(after, n).ends == get(before, n).ends
        assert get(after, n).line == get(before, n).line
    third = again(lift, make_found(count=10))
    assert [d.id for d in third.dimensions] == [d.id for d in after.dimensions]


def test_undoing_a_correction_shows_what_the_last_run_read(lift: AuditFile) -> None:
    do(lift, confirmed(lift.load().dimensions[1], "5"))
    found = make_found()
    reread = replace(found.dimensions[1], reading=make_reading("3/1", Box(0, 0, 9, 9)))
    dimensions = (found.dimensions[0], reread, *found.dimensions[2:])
    again(lift, replace(found, dimensions=dimensions))
    lift.undo(revision=lift.revision)
    assert lift.load().dimensions[1].reading == reread.reading
    assert lift.load() == lift.replayed()


def test_confirming_that_nothing_is_printed_stands(lift: AuditFile) -> None:
    do(lift, CorrectReading(dimension=2, reading=None))
    assert get(again(lift), 2).reading is None


def test_a_dimension_with_work_on_it_stays_when_it_is_no_longer_found(lift: AuditFile) -> None:
    audit = lift.load()
    do(
        lift,
        confirmed(get(audit, 1), "5"),
        Decide(decision=Decision(dimension=2, value=inches("1"), reason="measured")),
        LinkSame(link=Link(first=3, second=4)),
        SetChain(chain=HandChain(name="c", legs=(ChainLeg(dimension=5),))),
        SetVerdict(dimension=6, verdict=Verdict.NOT_A_DIMENSION),
    )
    found = make_found()
    nothing = replace(found, dimensions=(), findings=(), texts=())
    after = again(lift, nothing)
    assert [d.id for d in after.dimensions] == [1, 2, 3, 4, 5, 6]
    assert get(after, 2).build_to == inches("1")
    assert get(after, 2).why == NOT_JUDGED
    assert len(after.decisions) == len(after.links) == len(after.chains) == 1
    for _ in range(5):
        lift.undo(revision=lift.revision)
    assert lift.load().dimensions == ()


def test_a_proposal_on_a_dimension_added_by_hand_does_not_double_it(lift: AuditFile) -> None:
    mine = by_hand(make_dimension(0, at=(300, 300), text="5"))
    do(lift, AddDimension(dimension=mine))
    found = make_found()
    same = make_dimension(70, at=(300.6, 300.3), text="2")
    after = again(lift, replace(found, dimensions=(*found.dimensions, same)))
    assert [d.id for d in after.dimensions] == [*range(1, 9), 11]
    assert get(after, 11).found_by is FoundBy.USER
    assert get(after, 11).ends == mine.ends


def test_verdicts_and_tolerances_set_by_hand_stand(lift: AuditFile) -> None:
    do(
        lift,
        SetVerdict(dimension=1, verdict=Verdict.NOT_CRITICAL, reason="trim to fit"),
        SetDimensionTolerance(dimension=2, tolerance=inches("1/8")),
        SetViewTolerance(view=1, tolerance=inches("1/4")),
    )
    after = again(lift, jittered(make_found()))
    assert (get(after, 1).verdict, get(after, 1).why) == (Verdict.NOT_CRITICAL, "trim to fit")
    assert get(after, 2).tolerance_set == inches("1/8")
    assert after.views[0].tolerance_set == inches("1/4")


def test_a_kind_set_by_hand_stands_and_still_matches(lift: AuditFile) -> None:
    do(lift, ChangeKind(dimension=1, kind=DimensionKind.DIAMETER))
    after = again(lift, jittered(make_found()))
    assert get(after, 1).kind is DimensionKind.DIAMETER
    assert len(after.dimensions) == 8


def test_dimensions_without_work_take_the_new_verdict_at_once(lift: AuditFile) -> None:
    do(lift, confirmed(lift.load().dimensions[1], "5"))
    after = again(lift)
    assert get(after, 1).verdict is Verdict.DISAGREES
    assert get(after, 2).verdict is Verdict.NOT_CHECKED
    assert get(after, 3).verdict is Verdict.AGREES


def test_a_text_set_aside_stays_so_even_when_it_is_not_seen_again(lift: AuditFile) -> None:
    text = lift.load().texts[-1]
    do(lift, SetAside(sheet=1, box=text.box, text=text.text, why="done by the shop"))
    found = make_found()
    near = replace(found.texts[-1], box=Box(*(v + 0.4 for v in text.box)))
    after = again(lift, replace(found, texts=(*found.texts[:-1], near)))
    assert (after.texts[-1].state, after.texts[-1].box) == (TextState.SET_ASIDE, near.box)
    assert len(after.texts) == len(found.texts)
    gone = again(lift, replace(found, texts=found.texts[:-1]))
    assert (gone.texts[-1].state, gone.texts[-1].why) == (TextState.SET_ASIDE, "done by the shop")


def test_parts_set_or_removed_by_hand_stand(lift: AuditFile) -> None:
    found = replace(
        make_found(), parts=(Part(name="cam", count=1), Part(name="pin"), Part(name="x"))
    )
    again(lift, found)
    do(
        lift,
        SetPart(part=Part(name="cam", count=6)),
        RemovePart(name="pin"),
        SetPart(part=Part(name="crank"), replaces="x"),
        SetPart(part=Part(name="base")),
    )
    after = again(lift, found)
    assert [(p.name, p.count) for p in after.parts] == [
        ("cam", 6),
        ("crank", None),
        ("base", None),
    ]


def test_known_sizes_given_or_removed_by_hand_stand(lift: AuditFile) -> None:
    def known(y: float) -> KnownSize:
        return KnownSize(sheet=1, a=Point(0, y), b=Point(72, y), length=inches("2"))

    found = replace(make_found(), known_sizes=(known(1), known(2)))
    again(lift, found)
    do(lift, AddKnownSize(known=known(3)), RemoveKnownSize(known=known(1)))
    assert again(lift, found).known_sizes == (known(2), known(3))
    assert again(lift).known_sizes == (known(3),)


def test_the_paper_given_by_hand_stands_also_when_given_before_the_first_run(
    empty: AuditFile,
) -> None:
    paper = Transform.scaling(0.5, 0.25)
    do(empty, SetPaper(sheet=1, to_paper=paper, u_paper=0.2))
    for _ in range(2):
        (sheet,) = again(empty).sheets
        assert (sheet.to_paper, sheet.u_paper) == (paper, 0.2)
        assert sheet.user_set == {UserSet.PAPER}


# Views


def test_views_edited_by_hand_stand(lift: AuditFile) -> None:
    box = Box(0, 0, 500, 700)
    do(lift, EditView(view=1, kind=ViewKind.HALF, box=box, title="base", stated_scale="1:2"))
    view = again(lift).views[0]
    assert (view.kind, view.box, view.title, view.stated_scale) == (
        ViewKind.HALF,
        box,
        "base",
        "1:2",
    )


def test_a_view_joined_into_another_stays_joined(lift: AuditFile) -> None:
    do(lift, MergeViews(view=1, into=2))
    assert {d.view for d in lift.load().dimensions} == {2}
    after = again(lift)
    assert [v.id for v in after.views] == [2]
    assert {d.view for d in after.dimensions} == {2}


def test_dimensions_go_to_the_view_a_person_drew_around_them(lift: AuditFile) -> None:
    do(lift, AddView(view=make_view(0, box=Box(0, 70, 600, 130))))  # around dimensions 1 to 3
    for audit in (lift.load(), again(lift)):
        assert {d.id for d in audit.dimensions if d.view == 3} == {1, 2, 3}
        assert [v.id for v in audit.views] == [1, 2, 3]


def test_a_view_assigned_by_hand_stands(lift: AuditFile) -> None:
    do(lift, AssignView(dimension=1, view=2), EditView(view=1, box=Box(0, 0, 600, 792)))
    assert get(again(lift), 1).view == 2


# Sheets, findings, and other runs


def test_a_run_over_some_sheets_leaves_the_others_alone(empty: AuditFile) -> None:
    first = make_found()
    second = replace(
        first,
        sheets=(make_sheet(1, page=2),),
        dimensions=first.dimensions[:2],
        findings=(make_finding(20, first.dimensions[0]),),
        texts=tuple(make_text(d) for d in first.dimensions[:2]),
    )
    empty.add_run(first, revision=1)
    both = again(empty, second)
    assert [(s.id, s.page) for s in both.sheets] == [(1, 1), (2, 2)]
    assert [d.sheet for d in both.dimensions] == [1] * 8 + [2] * 2
    assert len(both.texts) == len(first.texts) + 2
    assert [f.places[0].sheet for f in both.findings if f.places] == [1, 2]
    assert [v.id for v in both.views] == [1, 2, 3, 4]
    after = again(empty, second)
    assert [d.id for d in after.dimensions] == [d.id for d in both.dimensions]


def test_findings_that_no_longer_hold_are_named_stale(lift: AuditFile) -> None:
    before = lift.load()
    found = make_found()
    after = again(lift, replace(found, findings=found.findings[1:]))
    assert [f.id for f in stale_findings(before, after)] == [9]
    assert stale_findings(before, before) == ()
    back = again(lift)
    assert [f.id for f in back.findings] == [9, 10]


def test_a_finding_about_something_else_gets_another_number(lift: AuditFile) -> None:
    found = make_found()
    other = make_finding(9, found.dimensions[1])
    after = again(lift, replace(found, findings=(other,)))
    assert [(f.id, f.dimensions) for f in after.findings] == [(11, (2,))]


def test_findings_without_dimensions_are_known_by_their_place(lift: AuditFile) -> None:
    found = make_found()
    spot = make_finding(9, found.dimensions[0], code="P101")
    spot = replace(spot, dimensions=())
    far = replace(spot, id=10, places=(replace(spot.places[0], box=Box(900, 700, 950, 750)),))
    first = again(lift, replace(found, findings=(spot, far)))
    after = again(lift, replace(found, findings=(replace(far, id=1), replace(spot, id=2))))
    assert {f.id: f.places for f in after.findings} == {f.id: f.places for f in first.findings}


# Dimensions that a run is given (points from a file)


def given(text: str, *, x: float = 700.0) -> Audit:
    mine = make_dimension(60, at=(x, 300), text=text)
    mine = replace(mine, found_by=FoundBy.USER, user_set=frozenset({UserSet.READING, UserSet.ENDS}))
    found = make_found()
    return replace(found, dimensions=(*found.dimensions, mine))


def test_a_dimension_given_to_a_run_is_replaced_when_it_is_given_anew(lift: AuditFile) -> None:
    again(lift, given("5"))
    after = again(lift, given("7", x=700.4))
    assert [d.id for d in after.dimensions] == [*range(1, 9), 11]
    reading = get(after, 11).reading
    assert reading is not None
    assert (reading.text, get(after, 11).ends[0].point.x) == ("7", 700.4)
    assert get(after, 11).verdict is Verdict.AGREES


def test_but_not_what_a_person_corrected_on_it_since(lift: AuditFile) -> None:
    again(lift, given("5"))
    do(lift, confirmed(get(lift.load(), 11), "6"))
    after = again(lift, given("7", x=700.4))
    reading = get(after, 11).reading
    assert reading is not None
    assert (reading.text, get(after, 11).ends[0].point.x) == ("6", 700.4)


def test_a_dimension_given_once_stays_when_a_run_is_not_given_it(lift: AuditFile) -> None:
    again(lift, given("5"))
    assert [d.id for d in again(lift).dimensions] == [*range(1, 9), 11]


# merge_run, without a file


def test_merging_without_a_file_does_what_the_file_does(lift: AuditFile) -> None:
    audit = lift.load()
    do(
        lift,
        confirmed(get(audit, 2), "5"),
        MoveEnds(dimension=3, ends=tuple(_shift(e, 30) for e in get(audit, 3).ends)),
        SetVerdict(dimension=4, verdict=Verdict.NOT_CRITICAL),
        Decide(decision=Decision(dimension=5, value=inches("3"), reason="x")),
    )
    lift.judge(judge, revision=lift.revision)
    before = lift.load()
    found = jittered(make_found(count=10))
    merged, stored = merge_run(before, found), again(lift, found)
    assert replace(merged, findings=()) == replace(stored, findings=())
    # Only the file remembers the number of a finding that was gone for a while.
    assert [replace(f, id=0) for f in merged.findings] == [
        replace(f, id=0) for f in stored.findings
    ]


def test_merging_nothing_into_nothing_is_nothing() -> None:
    assert merge_run(Audit(name="a"), Audit(name="b")) == Audit(name="a")


def test_a_run_may_not_bring_a_persons_work(lift: AuditFile) -> None:
    found = make_found()
    touched = replace(found.dimensions[0], user_set=frozenset({UserSet.READING}))
    with pytest.raises(ValueError, match="record a person's work as entries"):
        merge_run(lift.load(), replace(found, dimensions=(touched,), findings=()))
    decision = Decision(dimension=1, value=Length(Fraction(1), Unit.IN))
    with pytest.raises(ValueError, match="record a person's work as entries"):
        merge_run(lift.load(), replace(found, decisions=(decision,)))


def test_a_run_that_speaks_of_what_it_lacks_is_refused(lift: AuditFile) -> None:
    found = make_found()
    before = lift.revision
    for broken in (
        replace(found, sheets=()),
        replace(found, views=()),
        replace(found, dimensions=found.dimensions[1:]),
        replace(found, dimensions=(*found.dimensions, found.dimensions[0])),
    ):
        with pytest.raises(ValueError, match=r"does not contain|the same number"):
            lift.add_run(broken, revision=before)
    assert lift.revision == before


def test_views_keep_their_numbers_by_area(lift: AuditFile) -> None:
    def view(number: int, box: Box) -> View:
        return make_view(number, box=box)

    found = make_found()
    swapped = (
        view(1, Box(625, 5, 1200, 590)),
        view(2, Box(5, 5, 590, 780)),
        view(3, Box(700, 650, 900, 780)),
    )
    dimensions = tuple(replace(d, view=2) for d in found.dimensions)
    after = again(lift, replace(found, views=swapped, dimensions=dimensions))
    assert [(v.id, v.box.x0) for v in after.views] == [(1, 5), (2, 625), (3, 700)]
    assert {d.view for d in after.dimensions} == {1}
