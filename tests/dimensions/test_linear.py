"""Candidates before texts are given out."""

from __future__ import annotations

import itertools

import pytest

from audit.dimensions.ink import Ink, Line
from audit.dimensions.leaders import leaders_from
from audit.dimensions.linear import find_linear
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.terminators import MarkKind, find_marks
from audit.geometry import Point
from audit.lengths import Unit
from audit.records import EndKind
from tests.dimensions.page_builder import PageBuilder
from tests.dimensions.raster_builder import ink_of


def test_dots_on_an_extension_line_make_no_dimension_along_it():
    """A dot stands on two lines; the one that ends at its outermost dots is the dimension line."""
    builder = PageBuilder()
    builder.rectangle((100, 300, 300, 380))
    for x in (100, 300):
        builder.line((x, 160), (x, 296))
    for y in (170, 200):
        builder.line((100, y), (300, y))
        for x in (100, 300):
            builder.circle((x, y), 1.5, paint="f")
    page = builder.page()
    ink = Ink(page)
    marks = find_marks(page, ink)
    assert [m.kind for m in marks] == [MarkKind.DOT] * 4
    candidates = find_linear(ink, find_marked_lines(ink, marks))
    assert len(candidates) == 2
    assert all(c.ends[0].point.y == c.ends[1].point.y for c in candidates)


def test_centre_marks_make_a_small_circle_a_hole_and_not_a_ring():
    builder = PageBuilder()
    builder.circle((200, 200), 3)
    page = builder.page()
    assert [m.kind for m in find_marks(page, Ink(page))] == [MarkKind.RING]
    builder.line((190, 200), (210, 200))
    builder.line((200, 190), (200, 210))
    page = builder.page()
    assert find_marks(page, Ink(page)) == []


def ticked_chain(builder, xs, y, *, foot, ends=5.0):
    """A dimension line with 45-degree ticks and extension lines, and how far it runs on."""
    builder.line((xs[0] - ends, y), (xs[-1] + ends, y))
    for x in xs:
        builder.line((x - 2.5, y + 2.5), (x + 2.5, y - 2.5))
        builder.line((x, y - 3), (x, foot))


def found_texts(builder):
    return sorted(
        (round(min(e.point.x for e in d.ends)), d.reading.text if d.reading else "")
        for d in builder.find(Unit.MM).dimensions
    )


def test_tick_on_a_centre_line_belongs_to_the_dimension_line():
    """As on steel drawings: the middle of a chain is the axis, ticked at other heights too."""
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    for k in range(18):
        builder.line((200, 120 + 14 * k), (200, 131 + 14 * k), 0.3)
    for y in (150, 200):
        builder.line((95, y), (305, y))
        for x in (100, 200, 300):
            builder.line((x - 2.5, y + 2.5), (x + 2.5, y - 2.5))
        for x in (100, 300):
            builder.line((x, y - 3), (x, 255))
        for x in (150, 250):
            builder.text("100", (x, y - 7))
    assert found_texts(builder) == [(100, "100"), (100, "100"), (200, "100"), (200, "100")]


def test_narrow_links_at_the_ends_of_a_chain_keep_their_ticks():
    """The line runs on under texts that have no room: that is no reason to doubt it."""
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    xs = (100, 106, 294, 300)
    ticked_chain(builder, xs, 200, foot=255, ends=28)
    ticked_chain(builder, (100, 300), 170, foot=196, ends=4)
    builder.text("188", (200, 193))
    builder.text("200", (200, 163))
    builder.text("6", (84, 193))
    builder.text("6", (316, 193))
    assert found_texts(builder) == [(100, "200"), (100, "6"), (106, "188"), (294, "6")]


def test_dimension_drawn_twice_is_found_once():
    """Two copies of an entity, hairlines apart: the second must not take a text from another."""
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    for y in (200.0, 200.35):
        ticked_chain(builder, (100, 300), y, foot=255)
    builder.text("200", (200, 193))
    builder.text("30", (270, 209))
    assert found_texts(builder) == [(100, "200")]


def test_text_at_a_leader_goes_to_the_line_its_leader_leaves():
    """Two leaders side by side, each to its own side, as ezdxf and others move a text away."""
    builder = PageBuilder()
    builder.rectangle((80, 260, 300, 340))
    builder.line((180, 200), (220, 200))
    for x in (180, 200, 220):
        builder.line((x, 196), (x, 255))
    for a, b in ((180, 200), (200, 180), (200, 220), (220, 200)):
        builder.arrow((a, 200), (b, 200), length=4)
    for way, text in ((-1, "19"), (1, "20")):
        builder.path([(200 + 10 * way, 200), (200 + 20 * way, 220), (200 + 24 * way, 220)])
        builder.text(text, (200 + 32 * way, 220))
    assert found_texts(builder) == [(180, "19"), (200, "20")]


def test_numbers_of_parts_and_section_marks_are_no_sizes():
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    for k, text in enumerate(("50", "60", "90", "")):
        builder.dimension(100, 150 + 10 * k, 100 + 30 * k, text, foot=150 - 30 * k)
    builder.text("4x(13)", (140, 183))
    builder.text("(2)-HE 300 B", (260, 300))
    builder.text("2", (180, 172), size=22)
    assert found_texts(builder) == [(100, ""), (100, "50"), (100, "60"), (100, "90")]


def ringed(builder, a, b, *, over=6.0, paint="S"):
    """A dimension line with rings or dots on its ends, which run on past each other as lines do."""
    across = 0 if a[1] == b[1] else 1
    step = (over, 0) if across == 0 else (0, over)
    builder.line((a[0] - step[0], a[1] - step[1]), (b[0] + step[0], b[1] + step[1]))
    for x, y in (a, b):
        builder.circle((x, y), 1.9, width=0.5, paint=paint)


def test_ring_with_a_dimension_line_and_an_extension_line_across_it_is_no_hole():
    """As architects draw them: both lines run through the ring and past it."""
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    ringed(builder, (100, 180), (300, 180))
    for x in (100, 300):
        builder.line((x, 172), (x, 255))
    builder.text("200", (200, 173))
    assert found_texts(builder) == [(100, "200")]


def test_chain_between_the_rims_of_its_rings_is_no_dashed_line():
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    stops = (100, 160, 190, 250, 300)
    for y, row in ((180, stops), (150, (100, 300))):
        for a, b in itertools.pairwise(row):
            builder.line((a + 2.2, y), (b - 2.2, y))
            builder.text(str(b - a), ((a + b) / 2, y - 7))
        for x in row:
            builder.circle((x, y), 2.2, width=0.5)
            builder.line((x, y - 6), (x, 255))
    assert sorted(text for _, text in found_texts(builder)) == ["200", "30", "50", "60", "60"]


def test_line_far_off_takes_no_dots_that_happen_to_stand_in_line_with_it():
    """Figures side by side have their extension lines at about one height."""
    builder = PageBuilder()
    builder.line((490, 200.5), (508, 200.5))
    builder.line((502, 203.5), (508, 197.5))
    for x in (100, 300):
        builder.rectangle((x + 40, 200, x + 120, 280))
        for at in (x, x + 15):
            ringed(builder, (at, 200), (at, 280), paint="f")
        for y in (200, 280):
            builder.line((x - 5, y), (x + 30, y))
        builder.text("80", (x - 7, 240), angle=90)
        builder.text("80", (x + 8, 240), angle=90)
    assert [text for _, text in found_texts(builder)] == ["80"] * 4
    assert {at for at, _ in found_texts(builder)} == {100, 115, 300, 315}


def test_long_line_with_a_text_somewhere_under_it_takes_no_dots_from_a_dimension_line():
    """A floor line runs on for its own sake, not for the text that happens to stand by it."""
    builder = PageBuilder()
    builder.rectangle((150, 200, 250, 300))
    for x in (100, 120):
        for y in (200, 300):
            builder.circle((x, y), 1.5, paint="f")
        builder.line((x, 194), (x, 306))
        builder.text("100", (x - 7, 250), angle=90)
    builder.line((94, 200), (146, 200))
    builder.line((20, 300), (500, 300))
    builder.text("Ø 89", (300, 307))
    assert found_texts(builder) == [(100, "100"), (120, "100")]


def test_heads_that_cover_a_short_line_and_stand_on_nothing_still_show_a_size():
    """The extension lines of such a chain stop short of it by more than a gap."""
    builder = PageBuilder()
    builder.rectangle((100, 240, 300, 340))
    for a, b in ((100, 128), (128, 300)):
        builder.line((a + 11, 200), (b - 11, 200))
        for tip, back in ((a, b), (b, a)):
            builder.arrow((tip, 200), (back, 200), length=11)
        builder.text(str(b - a), ((a + b) / 2, 191))
    assert found_texts(builder) == [(100, "28"), (128, "172")]


def test_extension_line_that_stops_short_but_aims_at_the_tip_gives_the_end():
    builder = PageBuilder()
    builder.rectangle((100, 240, 300, 340))
    builder.line((100, 200), (300, 200))
    for x, way in ((100, 1), (300, -1)):
        builder.line((x, 204), (x, 236))
        builder.arrow((x + 0.1 * way, 200), (200, 200))
    builder.text("200", (200, 193))
    [d] = builder.find(Unit.MM).dimensions
    assert sorted(e.point.x for e in d.ends) == pytest.approx([100, 300], abs=1e-3)


def test_back_of_the_other_arrowhead_is_no_extension_line():
    """In a gap as narrow as the heads are long, and the tips blunted, the backs lie nearer."""
    builder = PageBuilder()
    builder.rectangle((100, 240, 300, 340))
    for x in (200, 205):
        builder.line((x, 196), (x, 236))
    builder.line((200, 200), (205, 200))
    for tip, back in ((200.5, 204.4), (204.5, 200.6)):
        sides = [(back, 198), (tip, 200), (back, 202)]
        builder.path(sides, width=0.5, close=True, paint="b")
    builder.text("5", (202.5, 191))
    [d] = builder.find(Unit.MM).dimensions
    assert sorted(e.point.x for e in d.ends) == pytest.approx([200, 205], abs=1e-3)


def test_a_leader_leads_away_from_its_dimension_line_as_the_rim_of_a_ring_does_not():
    along = ink_of([((100, 100), (160, 100)), ((104, 100), (109, 104)), ((130, 100), (136, 92))])
    line = Line(100.0, 100.0, 1.0, 0.0)
    [leader] = leaders_from(along, line, 0.0, 60.0)
    assert leader.path[-1] == Point(136, 92)


@pytest.mark.parametrize(("short", "kind"), [(1.3, EndKind.EXTENSION), (2.5, EndKind.TIP)])
def test_head_drawn_short_of_its_extension_line_for_its_pen_still_stands_on_it(short, kind):
    """The point of a head that is stroked too is mitred: it is drawn so much further in."""
    builder = PageBuilder()
    for x in (100, 300):
        builder.line((x, 160), (x, 296))
    builder.line((100, 170), (300, 170))
    builder.arrow((100 + short, 170), (200, 170))
    builder.arrow((300 - short, 170), (200, 170))
    page = builder.page()
    ink = Ink(page)
    [found] = find_linear(ink, find_marked_lines(ink, find_marks(page, ink)))
    assert {end.kind for end in found.ends} == {kind}


def short_sizes_in_line(builder, *, between):
    """Two stiles sized on one line with arrowheads outside, their numbers between the stiles."""
    builder.rectangle((100, 200, 400, 400))
    builder.rectangle((118, 218, 382, 382))
    for tip, way in ((100, -1), (118, 1), (382, -1), (400, 1)):
        builder.line((tip, 300), (tip + way * 20, 300))
        builder.arrow((tip, 300), (tip + way * 20, 300))
    for text, x in between:
        builder.text(text, (x, 300))


@pytest.mark.parametrize("between", [[("18", 152), ("19", 350)], [("18", 152)]])
def test_tails_of_two_short_sizes_in_line_are_no_size_between_them(between):
    builder = PageBuilder()
    short_sizes_in_line(builder, between=between)
    expected = [(100, "18"), (382, "19")][: len(between)]
    assert [f for f in found_texts(builder) if f[1]] == expected


def test_arrowheads_outside_far_apart_do_not_take_a_number_from_a_short_size():
    """A number stands at the tail of its own arrowhead, and in the middle of a blank field."""
    builder = PageBuilder()
    builder.rectangle((100, 200, 118, 300))
    for tip, way in ((100, -1), (118, 1)):
        builder.line((tip, 250), (tip + way * 20, 250))
        builder.arrow((tip, 250), (tip + way * 20, 250))
    builder.text("18", (152, 250))
    for y, way in ((200, -1), (300, 1)):
        builder.line((130, y), (175, y))
        builder.line((152, y), (152, y + way * 20))
        builder.arrow((152, y), (152, y + way * 20))
    assert found_texts(builder) == [(100, "18")]


def test_an_arrowhead_that_stands_on_nothing_parts_no_dimension():
    """On pictures a gap in the line, or grain that runs along it, may pass for a head."""
    builder = PageBuilder()
    builder.rectangle((100, 200, 400, 300))
    builder.line((100, 250), (225, 250))
    builder.line((275, 250), (400, 250))
    builder.arrow((100, 250), (400, 250))
    builder.arrow((400, 250), (100, 250))
    builder.arrow((350, 250), (380, 250))
    builder.text("300", (250, 250))
    assert (100, "300") in found_texts(builder)
    [d] = [d for d in builder.find(Unit.MM).dimensions if d.reading is not None]
    assert max(e.point.x for e in d.ends) == pytest.approx(400, abs=1)
