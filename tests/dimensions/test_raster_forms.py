"""Signs that were lost, and texts that are none."""

from __future__ import annotations

from audit.dimensions.raster_forms import (
    free_forms,
    keep_along_leaders,
    lean_on_arcs,
    without_fragments,
    without_heads_as_texts,
)
from audit.dimensions.raster_leaders import find_leaders
from audit.dimensions.raster_sectors import find_sectors
from audit.dimensions.texts import TextForm
from tests.dimensions.raster_builder import PX, draw_arc, ink_of, maps_of, text_at, tip
from tests.dimensions.test_raster_leaders import CENTRE, at
from tests.dimensions.test_raster_sectors import LEGS, MARKS, RADIUS, VERTEX, on


def an_angle():
    maps = maps_of(lambda canvas: draw_arc(canvas, VERTEX, RADIUS, 0, 50))
    return find_sectors(ink_of(LEGS), MARKS, maps, px_per_pt=PX)


def a_leader():
    ink = ink_of([(CENTRE, at(90))], [(CENTRE, 50.0, 0.0, 360.0)])
    return find_leaders(ink, ink.arcs, [tip(*at(50))])


def test_a_whole_number_on_an_angles_arc_may_have_lost_its_degrees():
    text = text_at("50", on(25, RADIUS + 8))
    assert free_forms([text], an_angle())[0].form is TextForm.UNREADABLE


def test_a_whole_number_elsewhere_stays_a_length():
    text = text_at("50", on(180, RADIUS))
    assert free_forms([text], an_angle())[0].form is TextForm.LENGTH


def test_where_degrees_are_printed_a_number_beside_them_stays_a_length():
    texts = [text_at("50°", on(25, RADIUS + 8)), text_at("12", on(40, RADIUS + 8))]
    assert free_forms(texts, an_angle())[1].form is TextForm.LENGTH


def test_a_level_number_at_a_leader_stays_an_item_number():
    level, slanted = (text_at("12", at(98), angle=turn) for turn in (0.0, 40.0))
    forms = [t.form for t in free_forms([level, slanted], a_leader())]
    assert forms == [TextForm.LENGTH, TextForm.UNREADABLE]


def test_a_rough_cut_of_a_leaning_text_is_turned_along_its_arc():
    text = text_at("50°", on(25, RADIUS + 8), angle=-40.0)
    (turned,) = lean_on_arcs([text], an_angle())
    assert abs((turned.line.angle - (25.0 - 90.0) + 90.0) % 180.0 - 90.0) < 2.0


def test_text_between_the_legs_of_an_angle_with_its_arrowheads_outside_is_left_as_it_is():
    marks = [tip(*on(0, RADIUS), direction=-90.0), tip(*on(50, RADIUS), direction=140.0)]

    def draw(canvas):
        draw_arc(canvas, VERTEX, RADIUS, -12, 0)
        draw_arc(canvas, VERTEX, RADIUS, 50, 62)

    outside = find_sectors(ink_of(LEGS), marks, maps_of(draw), px_per_pt=PX)
    assert len(outside) == 1
    (kept,) = lean_on_arcs([text_at("50", on(25, RADIUS), angle=-40.0)], outside)
    assert kept.line.angle == -40.0


def test_inches_on_what_looks_like_the_arc_of_an_angle_are_not_turned():
    texts = [text_at(said, on(25, RADIUS + 8), angle=-40.0) for said in ("7/8", '5"', "50")]
    turned = [t.line.angle != -40.0 for t in lean_on_arcs(texts, an_angle())]
    assert turned == [False, False, True]


def test_a_text_cut_along_a_leader_is_not_turned_to_another_line():
    cut, turned = (text_at("Ø 1.25", at(80), angle=turn) for turn in (40.0, 22.0))
    (kept,) = keep_along_leaders([turned], [cut.line], a_leader())
    assert kept.line.angle == 40.0


def test_what_was_read_out_of_a_ring_is_no_text():
    letter, size = text_at("0", (100, 100)), text_at("1.250", (200, 100))
    forms = [t.form for t in without_heads_as_texts([letter, size], [tip(100, 100)])]
    assert forms[0] is TextForm.OTHER
    assert forms[1] is TextForm.LENGTH


def test_a_bit_of_a_longer_text_is_no_text_of_its_own():
    whole = text_at("3 .620", (200, 200), angle=40.0)
    first, middle = whole.line.quad[0], whole.line.quad[3]
    start = ((first.x + middle.x) / 2, (first.y + middle.y) / 2)
    bit, beside = text_at("0", start), text_at("5", (200, 260))
    forms = [t.form for t in without_fragments([bit, whole, beside])]
    assert forms == [TextForm.OTHER, TextForm.LENGTH, TextForm.LENGTH]


def test_texts_of_one_length_one_over_the_other_both_stay():
    twice = [text_at("12", (200, 200)), text_at("12", (200, 202))]
    assert [t.form for t in without_fragments(twice)] == [TextForm.LENGTH] * 2


def test_a_size_with_its_sign_misread_along_a_leader_may_be_any_size():
    (freed,) = free_forms([text_at("3 .620", at(98), angle=40.0)], a_leader())
    assert freed.form is TextForm.UNREADABLE
