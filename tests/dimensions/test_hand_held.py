"""Sheets of `hand2_sheets`: they hold what their truth says, and are nobody's training.

What is drawn is read back from the pictures by their ink alone, never by the tool.
"""

from __future__ import annotations

import re
from fractions import Fraction

import numpy as np
import pytest

from audit.training.reader.faces import FAMILIES
from tests.bench import hand_parts
from tests.bench.hand2_drafts import spell
from tests.bench.hand2_sheets import Cast, plan_views, slipped
from tests.bench.hand2_strokes import HANDS, OTHERWISE
from tests.bench.hand2_styles import PEOPLE, Fonts, pick_style
from tests.bench.hand2_things import THINGS
from tests.bench.hand_letters import INCLINED, UPRIGHT
from tests.bench.hand_pen import PX_PER_MM
from tests.bench.hand_sheets import HALVES, in_px, make_sheet, scan

HALF = HALVES["development 3"]
HELD = HALVES["development 4"]
OLD = [half for half in HALVES.values() if not half.people]
NOTHING = Fonts(stems=("",), find=lambda stem: None)
NUMBERS = range(14)


@pytest.fixture(scope="module")
def drawn():
    """Two ruled sheets, a plate and a copy, lettered in strokes for want of faces."""
    return {n: make_sheet(HALF, n, find_face=lambda stem: None, planted=True) for n in (0, 1, 2, 6)}


def test_ends_of_lengths_stand_on_ink(drawn):
    """Within half a millimetre: an extension line is off by a tenth, a free hand by three."""
    for number, sheet in drawn.items():
        ends = [e for d in sheet.drawn if d.kind == "distance" for e in d.ends]
        dark = [_darkest(sheet.page, end, 0.5) < 140 for end in ends]
        assert np.mean(dark) > 0.95, number


def test_ends_moved_aside_stand_on_paper(drawn):
    """The like check, 3 mm beside the truth, finds no ink at most places: it can fail."""
    sheet = drawn[0]
    ends = [(x + 3, y + 3) for d in sheet.drawn if d.kind == "distance" for x, y in d.ends]
    assert np.mean([_darkest(sheet.page, end, 0.5) < 140 for end in ends]) < 0.5


def test_holes_are_ink_all_the_way_round(drawn):
    rounds = [(n, d) for n, sheet in drawn.items() for d in sheet.drawn if d.kind == "diameter"]
    assert len(rounds) >= 2
    for number, d in rounds:
        (ax, ay), (bx, by) = d.ends
        radius, turns = d.length_mm / 2, np.linspace(0, 2 * np.pi, 24, endpoint=False)
        rim = [
            ((ax + bx) / 2 + radius * np.cos(t), (ay + by) / 2 + radius * np.sin(t)) for t in turns
        ]
        page = drawn[number].page
        assert np.mean([_darkest(page, at, 0.3) < 140 for at in rim]) > 0.9


def test_arcs_are_ink_beside_where_their_leaders_end(drawn):
    """From 8 to 16 degrees to both sides, where no leader is."""
    arcs = [(n, d) for n, sheet in drawn.items() for d in sheet.drawn if d.kind == "radius"]
    assert len(arcs) >= 2
    for number, d in arcs:
        (cx, cy), (x, y) = d.ends
        turns = np.arctan2(y - cy, x - cx) + np.radians([-16, -12, -8, 8, 12, 16])
        rim = [(cx + d.length_mm * np.cos(t), cy + d.length_mm * np.sin(t)) for t in turns]
        assert np.mean([_darkest(drawn[number].page, at, 0.3) < 140 for at in rim]) > 0.8


def test_texts_stand_where_they_are_said_to(drawn):
    for sheet in drawn.values():
        for d in sheet.drawn:
            left, top, right, low = (round(v * PX_PER_MM) for v in d.lettered)
            assert (sheet.letters[top:low, left:right] < 140).any()


def test_lengths_are_true_to_one_scale_a_view_but_for_a_drafter_s_slips(drawn):
    """Sizes of one view, mm over inches: no edge is further off than a hand misses, 1 mm."""
    for sheet in drawn.values():
        sizes = [d for d in sheet.drawn if d.kind == "distance"]
        scales = np.array([d.length_mm / float(d.right) for d in sizes])
        for d, scale in zip(sizes, scales, strict=True):
            near = scales[np.argsort(np.abs(scales - scale))[:3]]
            assert abs(d.length_mm - float(np.median(near)) * float(d.right)) < 2.0


@pytest.mark.parametrize("half", [HALF, HELD])
@pytest.mark.parametrize("number", NUMBERS)
def test_one_number_of_a_sheet_is_about_6_percent_off(half, number):
    sizes = _planned(half, number, planted=True)
    wrong = [d for d in sizes if d.printed != d.right]
    assert len(wrong) == 1
    assert 0.045 < abs(float(wrong[0].printed / wrong[0].right) - 1) < 0.08
    assert len([d for d in sizes if d.kind == "distance"]) >= 10


def test_nothing_is_wrong_where_nothing_is_planted():
    sizes = _planned(HALF, 3, planted=False)
    assert sizes
    assert all(d.printed == d.right for d in sizes)


@pytest.mark.hard
def test_a_sheet_is_drawn_alike_twice():
    one, two = (make_sheet(HALF, 6, find_face=lambda stem: None, planted=True) for _ in range(2))
    assert one.drawn == two.drawn
    assert (one.page == two.page).all()


def test_a_scan_shows_the_ends_where_the_truth_puts_them(drawn):
    sheet = drawn[0]
    scanned = scan(sheet, dpi=200, bilevel=False, rng=np.random.default_rng(5))
    ends = [e for d in sheet.drawn if d.kind == "distance" for e in in_px(d, scanned)]
    dark = []
    for x, y in ends:
        around = scanned.pixels[round(y) - 4 : round(y) + 5, round(x) - 4 : round(x) + 5]
        dark.append(int(around.min()) < 170)
    assert np.mean(dark) > 0.95


def test_no_training_drew_with_the_faces_and_no_other_half_has_them():
    for stem in (*HALF.faces, *HELD.faces):
        file = f"{stem}.woff"
        assert not [p for p, *_ in FAMILIES if re.match(p, file)]
        assert sum(stem in half.faces for half in HALVES.values()) == 1
    file = "short-stack-latin-400-normal.woff"  # one of a development half: the list names it
    assert [p for p, *_ in FAMILIES if re.match(p, file)]


def test_hands_and_parts_are_not_those_of_the_other_halves():
    for name, hand in HANDS.items():
        figures = [c for c in "023456789" if hand[c] in (UPRIGHT[c], INCLINED[c])]
        assert not figures, name
    named = {part.__name__ for part in hand_parts.PARTS}
    assert len(THINGS) >= 6
    assert not named & {thing.__name__ for thing in THINGS}


def test_every_figure_has_its_strokes_inside_the_grid():
    for hand in (*HANDS.values(), *OTHERWISE.values()):
        for written in hand.values():
            for piece in written.split():
                digits = piece.lstrip("~")
                assert digits.isdecimal()
                assert len(digits) % 2 == 0
                assert len(digits) >= 4


@pytest.mark.parametrize("half", [HALF, HELD])
def test_three_people_draw_and_no_one_is_scanned_in_one_way_only(half):
    by = {}
    for number in range(9):
        style = pick_style(number, half.people, NOTHING, np.random.default_rng(0))
        by.setdefault(style.name, set()).add(number % 3)
    assert len(by) == 3
    assert all(len(ways) == 3 for ways in by.values())


def test_the_halves_share_no_people_and_no_parts():
    assert not set(HALF.people) & set(HELD.people)
    assert not set(HALF.things) & set(HELD.things)
    assert sorted((*HALF.people, *HELD.people)) == list(range(len(PEOPLE)))
    assert sorted((*HALF.things, *HELD.things)) == list(range(len(THINGS)))
    assert not any(half.people for half in OLD)


def test_sizes_are_spelled_as_people_do():
    """1'-0 1/4" has its nought; common practice, no source."""
    habit = pick_style(1, HELD.people, NOTHING, np.random.default_rng(0)).habit
    assert habit.spell == "foot"
    assert spell(Fraction(49, 4), habit) == "1'-0 1/4\""
    assert spell(Fraction(61, 2), habit) == "2'-6 1/2\""
    assert spell(Fraction(3, 4), habit) == '3/4"'
    assert spell(Fraction(36), habit) == "3'-0\""


def test_a_slip_is_a_whole_sixteenth_or_none():
    assert slipped(Fraction(8), 1) == Fraction(17, 2)
    assert slipped(Fraction(1, 8), 1) is None


def _planned(half, number, *, planted):
    """Sizes of a sheet, drawn and not inked."""
    rng = np.random.default_rng([half.seed, number])
    style = pick_style(number, half.people, Fonts(stems=half.faces, find=lambda stem: None), rng)
    cast = Cast(half.seed, half.faces, half.people, half.things)
    groups, _ = plan_views(style, cast, number, rng, planted=planted)
    return [d for group in groups for draft, _ in group.drafts for d in draft.drawn]


def _darkest(page, at, reach_mm):
    x, y = (round(v * PX_PER_MM) for v in at)
    r = round(reach_mm * PX_PER_MM)
    return int(page[y - r : y + r + 1, x - r : x + r + 1].min(initial=255))
