"""Verdicts on whole views: what each can show, and whether it is to scale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from audit.checks.measuring import AT_TOLERANCE
from audit.records import (
    NoScale,
    PageKind,
    Verdict,
)
from tests.checks.judging import FULL, MM, judged, size, view
from tests.checks.simulated import make_sheet


def coarse(count, drawn, printed=None):
    """Sizes whose U of 1/16 in is far above the tolerance: FREE points in a coarse frame."""
    sigma = 72 / 32 / np.sqrt(2)
    return [size(str(printed or 3), drawn, number=20 + k, sigma=sigma) for k in range(count)]


def test_a_coarse_view_says_once_what_it_shows_and_agrees_as_far_as_it_can_tell():
    done = judged(*coarse(6, 3.03))
    assert [d.verdict for d in done.dimensions] == [Verdict.AGREES] * 6
    assert {d.why for d in done.dimensions} == {"as far as this sheet can tell"}
    [finding] = done.findings
    assert finding.code == "A103"
    assert "shows errors of 1/16 in and more" in finding.text
    assert done.views[0].shows == pytest.approx(MM / 16, rel=0.01)


def test_a_coarse_view_keeps_too_close_for_the_few_that_stand_out():
    done = judged(*coarse(6, 3.0), replace(coarse(1, 3.09)[0], id=99))
    assert [d.verdict for d in done.dimensions].count(Verdict.TOO_CLOSE) == 1
    assert sorted(f.code for f in done.findings) == ["A102", "A103"]
    assert done.dimensions[-1].why


def test_a_size_off_by_the_tolerance_on_a_true_sheet_is_no_fault_of_the_drawing():
    done = judged(size("217/64", 3.375))  # 1/64 in more, drawn to a ten-thousandth
    assert (done.dimensions[0].verdict, done.dimensions[0].why) == (Verdict.TOO_CLOSE, AT_TOLERANCE)
    [told] = [f for f in done.findings if f.code == "A102"]
    assert told.text.endswith(f"{AT_TOLERANCE}.")


def test_all_views_that_show_too_little_are_told_in_one_note():
    first = coarse(6, 3.03)
    second = [replace(d, id=d.id + 100, view=2) for d in first]
    fine = [replace(d, id=d.id + 200, view=3) for d in (size("3", 3.0), size("2", 2.0, number=2))]
    done = judged(*first, *second, *fine, views=3)
    [finding] = done.findings
    assert finding.code == "A103"
    assert finding.text.startswith(
        "2 of 3 views show only larger errors: 1/16 in and more in view 1 and view 2; smaller ones"
    )
    assert len(finding.places) == 2
    assert set(finding.dimensions) == {d.id for d in (*first, *second)}


def test_a_fine_view_shows_its_tolerance():
    assert judged(size("3", 3.0)).views[0].shows == pytest.approx(MM / 64)


def test_over_a_third_off_is_one_finding_and_no_single_alarms():
    off = [size("3", 2.5 + 0.15 * k, number=k) for k in range(3)]
    good = [size("3", 3.0, number=10 + k) for k in range(4)]
    done = judged(*off, *good)
    assert [f.code for f in done.findings] == ["V101"]
    assert {d.verdict for d in done.dimensions} == {Verdict.NOT_SCALED}
    assert all(d.scaled is None for d in done.dimensions)
    assert all(d.printed is not None for d in done.dimensions)
    assert isinstance(done.views[0].scale, NoScale)


def test_sizes_off_by_little_more_than_a_coarse_view_shows_do_not_make_it_one_without_a_scale():
    good = coarse(3, 1.5, "3/2")
    off = [replace(d, id=d.id + 100) for d in coarse(2, 1.605, "3/2")]
    done = judged(*good, *off)
    assert [f.code for f in done.findings if f.code != "A103"] == ["A101", "A101"]
    far = [replace(d, id=d.id + 100) for d in coarse(2, 1.7, "3/2")]
    assert [f.code for f in judged(*good, *far).findings] == ["V101"]


def test_lines_asked_about_in_a_view_that_is_not_to_scale_are_not_measured_either():
    off = [size("3", 2.5 + 0.15 * k, number=k) for k in range(3)]
    good = [size("3", 3.0, number=10 + k) for k in range(4)]
    asked = replace(size("3", 2.4, number=20), score=0.0)
    scan = make_sheet(PageKind.SCAN, width=792, height=612, dpi=72)
    done = judged(*off, *good, asked, sheet=scan)
    assert [f.code for f in done.findings] == ["V101"]
    assert {d.verdict for d in done.dimensions} == {Verdict.NOT_SCALED}


def test_a_third_off_is_told_one_by_one():
    off = [size("3", 2.6 + 0.2 * k, number=k) for k in range(2)]
    good = [size("3", 3.0, number=10 + k) for k in range(4)]
    assert [f.code for f in judged(*off, *good).findings] == ["A101", "A101"]


def test_two_off_of_five_are_told_one_by_one_where_other_views_vouch_for_the_scale():
    off = [size("3", 2.6 + 0.2 * k, number=k) for k in range(2)]
    good = [size("3", 3.0, number=10 + k) for k in range(3)]
    shared = view(scale=replace(FULL, used=17, agreeing=15))
    assert [f.code for f in judged(*off, *good, view=shared).findings] == ["A101", "A101"]
    alone = view(scale=replace(FULL, used=5, agreeing=3))
    assert [f.code for f in judged(*off, *good, view=alone).findings] == ["V101"]


def test_three_off_of_seven_are_told_one_by_one_where_their_scale_is_stated():
    off = [size("3", 2.5 + 0.15 * k, number=k) for k in range(3)]
    good = [size("3", 3.0, number=10 + k) for k in range(4)]
    assert [f.code for f in judged(*off, *good, backed=[1]).findings] == ["A101"] * 3
