"""Chains as findings: the right number named, nobody accused without cause."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.checks import check_plan, loops
from audit.checks.chains import check_chains
from audit.checks.far_off import NOT_ITS_LINE
from audit.checks.grouping import cluster_ends
from audit.checks.stations import find_lines
from audit.geometry import Point, Transform
from audit.lengths import Length, Mark, Unit
from audit.records import Audit, Severity, Side, Verdict, ViewKind, WitnessKind
from tests.bench.checks import judge_net
from tests.checks.chain_nets import draw_net, net_of, with_printed
from tests.checks.simulated import reading_of

MANY = settings(max_examples=30, deadline=None)
AT = [Fraction(0), Fraction(3, 4), Fraction(33, 8), Fraction(11, 2)]


def chain(*sizes, scaled=True, sigma=0.0005, at=AT):
    """Legs of one row and their overall, drawn right, printed as given."""
    ends = [(k, k + 1) for k in range(len(at) - 1)] + [(0, len(at) - 1)]
    legs = [(a, b, Fraction(s)) for (a, b), s in zip(ends, sizes, strict=True)]
    return net_of(legs, at, {}, np.random.default_rng(1), sigma_in=sigma, scaled=scaled)


def told(net):
    lines = find_lines(net.dimensions, net.views, net.sheets)
    return check_chains(lines, net.dimensions, net.views)


SHORT = ("3/4", "105/32", "11/8", "11/2")


def test_the_drawing_names_the_leg_that_is_short_and_the_chain_its_value():
    [finding] = told(chain(*SHORT)).findings
    assert (finding.code, finding.severity, finding.suggestion) == ("C101", Severity.ERROR, "3 3/8")
    assert finding.dimensions == (101,)
    assert "3/4 + 3 9/32 + 1 3/8 = 5 13/32, not 5 1/2" in finding.text
    assert {w.kind for w in finding.witnesses if w.side is Side.AGAINST} >= {WitnessKind.CHAIN}
    assert any("one" in r for r in finding.rests_on)


def test_a_wrong_overall_is_named_as_well():
    [finding] = told(chain("3/4", "27/8", "11/8", "5 ".strip())).findings
    assert (finding.dimensions, finding.suggestion) == ((103,), "5 1/2")


@pytest.mark.parametrize(("why", "codes"), [(None, ["C101"]), (NOT_ITS_LINE, [])])
def test_a_number_that_is_asked_about_as_another_lines_is_not_named_as_wrong(why, codes):
    net = chain(*SHORT)
    dimensions = tuple(replace(d, why=why) if d.id == 101 else d for d in net.dimensions)
    assert [f.code for f in told(replace(net, dimensions=dimensions)).findings] == codes


def test_two_wrong_legs_beside_each_other_are_both_named_each_by_its_own_drawn_size():
    """3 5/8 for 3 3/8 and 1 1/4 for 1 3/8: one value alone would close it, at no drawn size."""
    done = told(chain("3/4", "29/8", "5/4", "11/2"))
    assert sorted(n for f in done.findings for n in f.dimensions) == [101, 102]
    assert all("is wrong too" in f.text for f in done.findings)
    assert {f.suggestion for f in done.findings} == {"3 3/8", "1 3/8"}


def test_a_number_drawn_as_printed_is_not_named_for_two_slips_that_cancel():
    """7 33/64 and 8 31/64 for 8 each: another 29 between them would close both sums by chance."""
    at = [Fraction(k) for k in (0, 5, 21, 29, 37)]
    sizes = ((0, 1, "5"), (1, 2, "16"), (2, 3, "481/64"), (3, 4, "543/64"))
    legs = [(a, b, Fraction(v)) for a, b, v in (*sizes, (0, 3, "29"), (0, 4, "37"))]
    net = net_of(legs, at, {}, np.random.default_rng(1), sigma_in=0.002)
    done = told(net)
    assert {n for f in done.findings for n in f.dimensions} == {102, 103}
    assert {f.suggestion for f in done.findings} == {"8"}


def test_without_a_scale_all_four_are_suspects_and_what_settles_it_is_said():
    [finding] = told(chain(*SHORT, scaled=False)).findings
    assert (finding.code, finding.severity, finding.suggestion) == ("C102", Severity.ERROR, None)
    assert set(finding.dimensions) == {100, 101, 102, 103}
    assert "known size" in finding.text
    assert "3/64 in" in finding.text


def test_of_suspects_the_one_that_the_drawing_speaks_against_most_is_told_first():
    [finding] = told(chain(*SHORT, sigma=0.03)).findings
    assert (finding.code, finding.dimensions[0]) == ("C102", 101)
    assert "Any one of 3 9/32 in, " in finding.text
    [finding] = told(chain("3/4", "27/8", "41/32", "11/2", sigma=0.05)).findings
    assert (finding.code, finding.dimensions[0]) == ("C102", 102)
    [finding] = told(chain(*SHORT, sigma=0.08)).findings  # where it hardly tells, as they stand
    assert finding.dimensions == (100, 103, 101, 102)


def test_a_chain_with_one_missing_link_is_not_reported_as_open():
    net = chain(*SHORT)
    assert told(replace(net, dimensions=net.dimensions[:1] + net.dimensions[2:])).findings == ()


def test_a_closed_chain_is_no_finding_and_its_sizes_are_summed():
    done = told(chain("3/4", "27/8", "11/8", "11/2"))
    assert done.findings == ()
    assert done.summed == {100, 101, 102, 103}
    assert done.closed[101] == "3/4 + 3 3/8 + 1 3/8 = 5 1/2"


def test_a_number_in_two_open_sums_needs_no_drawing():
    at = [Fraction(k) for k in (0, 1, 3, 6)]
    legs = [(0, 1, 1), (1, 2, 2), (2, 3, 4), (0, 3, 6), (1, 3, 5), (0, 2, 3)]
    net = net_of(
        [(a, b, Fraction(v)) for a, b, v in legs], at, {}, np.random.default_rng(1), scaled=False
    )
    [finding] = told(net).findings
    assert (finding.code, finding.dimensions, finding.suggestion) == ("C101", (102,), "3")
    assert "3 closes 2 sums that share no other size" in finding.text
    assert finding.grade == "chain"


def test_rounding_to_two_places_is_a_note_with_both_limits():
    net = net_of(
        [(k, k + 1, Fraction(10, 3)) for k in range(3)] + [(0, 3, Fraction(10))],
        [Fraction(10 * k, 3) for k in range(4)],
        {},
        np.random.default_rng(1),
        places=2,
    )
    [finding] = told(net).findings
    assert (finding.code, finding.severity) == ("C103", Severity.NOTE)
    assert "3.33 + 3.33 + 3.33 = 9.99, not 10" in finding.text
    assert "0.02 in at most" in finding.text
    assert "0.01 in as a rule" in finding.text


def test_a_reference_size_is_compared_afterwards_and_breaks_no_chain():
    net = chain("3/4", "27/8", "11/8", "5")
    overall = with_printed(net.dimensions[3], "5", reference=True)
    [finding] = told(replace(net, dimensions=(*net.dimensions[:3], overall))).findings
    assert (finding.code, finding.severity) == ("C104", Severity.WARNING)
    assert (finding.dimensions, finding.suggestion) == ((103,), "5 1/2")
    right = with_printed(net.dimensions[3], "11/2", reference=True)
    assert told(replace(net, dimensions=(*net.dimensions[:3], right))).findings == ()


def test_two_lines_that_stand_apart_by_the_gap_are_doubted_not_the_numbers():
    """Features 1/128 in apart, drawn exactly, taken as one station."""
    at = [Fraction(0), Fraction(1), Fraction(129, 128), Fraction(3)]
    legs = [(0, 1, Fraction(1)), (2, 3, Fraction(255, 128)), (0, 3, Fraction(3))]
    net = net_of(legs, at, {}, np.random.default_rng(1), sigma_in=0.0)
    [finding] = told(net).findings
    assert (finding.code, finding.severity) == ("C105", Severity.NOTE)


def test_what_is_not_critical_is_used_but_raises_nothing():
    net = chain(*SHORT)
    aside = replace(net.dimensions[1], verdict=Verdict.NOT_CRITICAL)
    assert (
        told(replace(net, dimensions=(net.dimensions[0], aside, *net.dimensions[2:]))).findings
        == ()
    )


def test_an_unsure_reading_is_never_summed():
    net = chain(*SHORT)
    unsure = replace(net.dimensions[1], reading=replace(net.dimensions[1].reading, confidence=0.5))
    done = told(replace(net, dimensions=(net.dimensions[0], unsure, *net.dimensions[2:])))
    assert done.findings == ()
    assert 101 not in done.summed


@pytest.mark.parametrize("mark", [Mark.MAXIMUM, Mark.TO_FIT, Mark.APPROXIMATE])
def test_sizes_that_are_no_sizes_are_not_summed(mark):
    net = chain(*SHORT)
    loose = with_printed(net.dimensions[1], "105/32", marks=frozenset({mark}))
    assert (
        told(replace(net, dimensions=(net.dimensions[0], loose, *net.dimensions[2:]))).findings
        == ()
    )


def test_a_view_not_to_scale_still_sums_what_is_printed():
    net = chain(*SHORT)
    view = replace(net.views[0], kind=ViewKind.NOT_TO_SCALE)
    [finding] = told(replace(net, views=(view,))).findings
    assert finding.code == "C102"


def test_ends_of_one_size_are_never_one_station():
    places = np.array([[0.0, 0.2], [0.0, 10.0]])
    owners = cluster_ends(places, np.full((2, 2), 0.01), same=0.3)
    assert owners[0, 0] != owners[0, 1]


def test_the_warning_of_a_named_size_is_withdrawn_and_others_stay():
    from audit.checks import judge
    from audit.scale import ScaledSheet

    net = chain(*SHORT)
    scaled = ScaledSheet(sheet=net.sheets[0], views=net.views, findings=(), left_out=())
    judged = judge(scaled, net.dimensions)
    assert [f.code for f in judged.findings if f.dimensions == (101,)] == ["A101"]
    audit = Audit(
        name="p",
        sheets=net.sheets,
        views=judged.views,
        dimensions=judged.dimensions,
        findings=judged.findings,
    )
    codes = [f.code for f in check_plan(audit).findings]
    assert codes == ["C101"]
    [finding] = check_plan(audit).findings
    assert finding.grade == "drawing+chain"
    assert "drawn as 3.374" in finding.text


@MANY
@given(seed=st.integers(0, 10**6), stations=st.integers(3, 20), places=st.sampled_from([None, 2]))
def test_networks_without_mistakes_never_yield_more_than_a_note(seed, stations, places):
    net = draw_net(np.random.default_rng(seed), stations=stations, places=places)
    assert all(f.severity is Severity.NOTE for f in told(net).findings)


def moved(net, forward):
    back = forward.inverse().then(net.sheets[0].to_paper)
    sheet = replace(net.sheets[0], to_paper=back)
    shifted = tuple(
        replace(d, ends=tuple(replace(e, point=forward.apply(e.point)) for e in d.ends))
        for d in net.dimensions
    )
    return replace(net, sheets=(sheet,), dimensions=shifted)


@MANY
@given(seed=st.integers(0, 10**6), dx=st.floats(-300, 300), turn=st.floats(0, 360))
def test_moving_and_turning_a_sheet_changes_no_finding(seed, dx, turn):
    net = draw_net(np.random.default_rng(seed), stations=8, wrong=1)
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    there = moved(net, Transform(((c, -s, dx), (s, c, -dx), (0.0, 0.0, 1.0))))
    before = {(f.code, f.dimensions, f.suggestion) for f in told(net).findings}
    assert {(f.code, f.dimensions, f.suggestion) for f in told(there).findings} == before


@MANY
@given(seed=st.integers(0, 10**6))
def test_the_order_of_dimensions_changes_no_finding(seed):
    rng = np.random.default_rng(seed)
    net = draw_net(rng, stations=9, wrong=1)
    mixed = [net.dimensions[k] for k in rng.permutation(len(net.dimensions)).tolist()]
    before = {(f.code, f.dimensions, f.suggestion) for f in told(net).findings}
    after = told(replace(net, dimensions=tuple(mixed))).findings
    assert {(f.code, f.dimensions, f.suggestion) for f in after} == before


def test_of_100_networks_one_mistake_is_named_in_98_and_two_in_90():
    ends = {1: [], 2: []}
    for k in range(50):
        for wrong in (1, 2):
            rng = np.random.default_rng(50_000 + k)
            ends[wrong].append(
                judge_net(draw_net(rng, stations=int(rng.integers(5, 41)), wrong=wrong))
            )
    assert ends[1].count("named") >= 49
    assert ends[2].count("named") >= 45


def test_without_drawn_ends_the_suspects_include_the_culprit():
    for k in range(30):
        rng = np.random.default_rng(60_000 + k)
        net = draw_net(rng, stations=int(rng.integers(5, 20)), wrong=1, scaled=False)
        assert judge_net(net) in {"named", "among suspects"}


def test_points_of_a_row_of_two_parts_on_one_sheet_are_no_common_station():
    """Where no views were found, what stands apart is parted before stations are made."""
    from audit.geometry import Box

    net = chain(*SHORT)
    whole = replace(net.views[0], kind=ViewKind.UNKNOWN, box=net.sheets[0].box)
    far = [
        replace(
            d,
            ends=tuple(replace(e, point=Point(e.point.x, e.point.y + 800)) for e in d.ends),
            line=(),
            reading=replace(d.reading, box=Box(0, 1800, 1, 1801)),
        )
        if d.id == 103
        else d
        for d in net.dimensions
    ]
    assert told(replace(net, views=(whole,), dimensions=tuple(far))).findings == ()


def told_in_mm(places, sizes, *, scale, sigma=0.0025, reference=False):
    """Codes of a row of whole millimetres and its overall, drawn at `places` at 1:`scale`."""
    at = [Fraction(s) / Fraction(254, 10) / scale for s in places]
    legs = [(k, k + 1, at[k + 1] - at[k]) for k in range(len(at) - 1)]
    net = net_of(
        [*legs, (0, len(at) - 1, at[-1])], at, {}, np.random.default_rng(1), sigma_in=sigma
    )
    printed = [
        replace(d, reading=reading_of(Length(Fraction(size), Unit.MM), box=d.reading.box))
        for d, size in zip(net.dimensions, sizes, strict=True)
    ]
    if reference:
        overall = reading_of(Length(Fraction(sizes[-1]), Unit.MM), reference=True)
        printed[-1] = replace(printed[-1], reading=overall)
    by = float(scale)
    view = replace(net.views[0], scale=replace(net.views[0].scale, x=by, y=by))
    lines = find_lines(printed, [view], net.sheets)
    return [f.code for f in check_chains(lines, printed, [view]).findings]


@pytest.mark.parametrize(("overall", "code"), [("222", "C103"), ("220", "C102")])
def test_whole_millimetres_of_a_reduced_drawing_may_be_rounded(overall, code):
    """135.5 + 86.5 = 222 is printed 136 + 87; three millimetres are no rounding."""
    assert told_in_mm(("0", "135.5", "222"), ("136", "87", overall), scale=10) == [code]


def test_sums_that_were_not_tried_are_told(monkeypatch):
    sizes = ("136", "87", "222")
    assert told_in_mm(("0", "135.5", "222"), sizes, scale=10) == ["C103"]
    monkeypatch.setattr(loops, "MOST_STEPS", 1)
    assert told_in_mm(("0", "135.5", "222"), sizes, scale=10) == ["C103", "C109"]


def test_two_millimetres_too_many_on_a_cabinet_are_no_rounding():
    """Four halves could add up to 2 mm, but four roundings hardly ever do; 8 links likewise."""
    cabinet = ("0", "18", "582", "600")
    assert told_in_mm(cabinet, ("18", "564", "18", "602"), scale=5, sigma=1e-4) == ["C101"]
    assert told_in_mm(cabinet, ("18", "564", "18", "601"), scale=5) == ["C103"]
    row = [str(60 * k) for k in range(9)]
    assert told_in_mm(row, ["60"] * 8 + ["483"], scale=5) in (["C101"], ["C102"])
    told = told_in_mm(cabinet, ("18", "564", "18", "602"), scale=5, reference=True)
    assert told == ["C104"]
