"""Sheets of `hand3_sheets`: they hold what their truth says, and share nothing with others.

What is drawn is read back from the ink alone, never by the tool.
"""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import pytest

from tests.bench.hand2_strokes import HANDS
from tests.bench.hand3_glyphs import GLYPHS, places
from tests.bench.hand3_paper import finish
from tests.bench.hand3_pen import lay
from tests.bench.hand3_people import COMPANIES
from tests.bench.hand3_sheets import Company, plan
from tests.bench.hand3_sketch import Sketch
from tests.bench.hand3_units import MM, fit, slipped, spell, writes
from tests.bench.hand_pen import PX_PER_MM
from tests.bench.hand_sheets import HALVES

DEVELOPMENT, HELD = (HALVES[label] for label in ("development 5", "held out"))
INKED = 60  # of 255: more than a grain of it


@pytest.fixture(scope="module")
def planned():
    """One sheet of either half, with its ink and no paper."""
    made = []
    for which, number in ((0, 1), (1, 1)):
        person, groups, _ = plan(Company(which, 7), number, planted=True)
        shape = tuple(round(v * PX_PER_MM) for v in person.sheet[::-1])
        strokes = [s for g in groups for s in g.strokes]
        drawn = [d for g in groups for d in g.drawn]
        made.append((person, drawn, lay(shape, strokes), strokes))
    return made


def test_ends_of_lengths_stand_on_ink_and_not_beside_it(planned):
    for _, drawn, ink, _ in planned:
        ends = [e for d in drawn if d.kind == "distance" for e in d.ends]
        assert np.mean([_most(ink, end, 0.5) > INKED for end in ends]) > 0.97
        beside = [(x + 3, y + 3) for x, y in ends]
        assert np.mean([_most(ink, end, 0.5) > INKED for end in beside]) < 0.5


def test_rims_that_are_called_are_ink(planned):
    rounds = [(ink, d) for _, drawn, ink, _ in planned for d in drawn if d.kind == "diameter"]
    assert rounds
    for ink, d in rounds:
        middle, radius = np.mean(d.ends, axis=0), d.length_mm / 2
        turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
        rim = [middle + radius * np.array([np.cos(t), np.sin(t)]) for t in turns]
        assert np.mean([_most(ink, at, 0.4) > INKED for at in rim]) > 0.9


def test_numbers_are_lettered_where_they_are_said_to_be_and_lie_on_no_other(planned):
    for _, drawn, _, strokes in planned:
        places = np.concatenate([s.path for s in strokes if s.lettered])
        for d in drawn:
            left, top, right, low = d.lettered
            inside = (places > [left, top]) & (places < [right, low])
            assert inside.all(axis=1).sum() > 3
        for a, b in itertools.combinations([d.lettered for d in drawn], 2):
            assert not (a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3])


def test_lengths_are_true_to_a_scale_but_for_a_drafter_s_slips(planned):
    """One scale a sheet, or another for an enlarged part: no edge is more than 2 mm off."""
    for _, drawn, _, _ in planned:
        sizes = [d for d in drawn if d.kind == "distance"]
        scales = np.array([d.length_mm / float(d.right) for d in sizes])
        for d, scale in zip(sizes, scales, strict=True):
            near = scales[np.argsort(np.abs(scales - scale))[:3]]
            assert abs(d.length_mm - float(np.median(near)) * float(d.right)) < 2.0


def test_one_number_of_a_sheet_is_about_6_percent_off(planned):
    for _, drawn, _, _ in planned:
        (wrong,) = [d for d in drawn if d.printed != d.right]
        assert 0.045 < abs(float(wrong.printed / wrong.right) - 1) < 0.08
        assert sum(d.kind == "distance" for d in drawn) >= 10


def test_a_text_says_what_its_size_is_said_to_print(planned):
    for person, drawn, _, _ in planned:
        habit = person.habit
        for d in drawn:
            assert spell(d.printed, habit.unit, habit.mark) in d.text
            assert writes(d.printed, habit.unit)


def test_a_sheet_is_drawn_alike_twice(planned):
    _, groups, _ = plan(Company(0, 7), 1, planted=True)
    assert [d for g in groups for d in g.drawn] == planned[0][1]


def test_numbers_are_right_where_nothing_is_planted():
    _, groups, _ = plan(Company(0, 7), 1, planted=False)
    assert all(d.printed == d.right for g in groups for d in g.drawn)


def test_the_halves_share_no_people_no_parts_no_figures_and_no_heads():
    (people, things), (others, other_things) = COMPANIES
    assert len(people) + len(others) >= 8
    assert len(things) + len(other_things) >= 14
    assert not set(things) & set(other_things)
    for pick in (lambda p: p.name, lambda p: p.habit.head, lambda p: p.habit.script.owner):
        assert not {pick(p) for p in people} & {pick(p) for p in others}
    ways = [
        {int(f) % 2 for p in company for f in p.habit.script.figures}
        for company in (people, others)
    ]
    assert ways == [{0}, {1}]
    assert DEVELOPMENT.own is not HELD.own


def test_every_letter_is_made_within_the_grid_and_not_as_others_make_it():
    for letter, ways in GLYPHS.items():
        for way in ways:
            assert all(0 <= x <= 9 and 0 <= y <= 9 for s in places(way) for x, y, _ in s)
        if letter.isdecimal():
            assert len(set(ways)) == 4
            assert not {w.replace(" ", "") for w in ways} & {h[letter] for h in HANDS.values()}


@pytest.mark.parametrize(
    ("size", "unit", "text"),
    [
        (Fraction(51, 16), "inch", "3 3/16"), (Fraction(49, 4), "foot", "1'-0 1/4\""),
        (Fraction(24), "foot", "2'-0\""), (Fraction(7, 8), "foot", '7/8"'),
        (Fraction(29, 40), "decimal", ".725"), (Fraction(27, 20), "decimal", "1.35"),
        (125 * MM, "mm", "125"), (125 * MM, "cm", "12.5"), (120 * MM, "cm", "12"),
    ],
)  # fmt: skip
def test_sizes_are_written_as_people_do(size, unit, text):
    """1'-0 1/4" has its nought; common practice, no source."""
    assert spell(size, unit) == text
    assert writes(size, unit)


def test_what_a_unit_has_no_step_for_is_not_written():
    assert not writes(Fraction(1, 32), "inch")
    assert not writes(MM / 2, "cm")
    assert fit(0.001, "mm") == MM
    assert fit(7.93, "inch") == Fraction(63, 8)


def test_a_hole_of_half_a_millimetre_more_is_not_called(planned):
    habit = planned[0][0].habit
    sketch = Sketch(habit, np.random.default_rng(0), 5.0)
    for size in (9 * MM / 2, 4 * MM):
        sketch.call("diameter", (Fraction(1), Fraction(1)), size, 30.0)
    assert [c.size for c in sketch.called] == [4 * MM]


def test_a_slip_can_be_written_or_is_none():
    assert slipped(Fraction(8), "inch", 1) == Fraction(17, 2)
    assert slipped(Fraction(1, 8), "inch", 1) is None
    assert slipped(100 * MM, "mm", -1) == 95 * MM


def test_a_copy_is_pale_on_dark_and_other_papers_dark_on_pale():
    cover = np.zeros((200, 200), np.uint8)
    cover[90:110] = 255
    for paper, pale in (("blue", True), ("brown", False), ("lines", False)):
        page = finish(cover, "ink", paper, np.random.default_rng(1))
        assert (page[95:105].mean() > page[:60].mean() + 60) == pale
        assert (page[95:105].mean() < page[:60].mean() - 60) != pale


def _most(ink, at, reach_mm):
    x, y = (round(v * PX_PER_MM) for v in at)
    r = round(reach_mm * PX_PER_MM)
    return int(ink[y - r : y + r + 1, x - r : x + r + 1].max(initial=0))
