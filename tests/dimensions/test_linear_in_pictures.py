"""Candidates on pictures before texts are given out: of heads and dots there some are doubtful."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.dimensions.assignment import assign_texts
from audit.dimensions.linear import find_linear
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from audit.records import EndKind
from tests.dimensions.raster_builder import ink_of, text_at


def level_head(x, way, *, sure=1.0):
    return Mark(kind=MarkKind.FILLED, point=Point(x, 100.0), ux=way, uy=0.0, size=5.0, sure=sure)


def spans(between, *, crossing, sure=1.0):
    """Where dimensions end on a level line, with heads at 100, 300 and two in between."""
    drawn = [((100.0, 100.0), (300.0, 100.0)), *[((x, 60.0), (x, 140.0)) for x in (100.0, 300.0)]]
    ink = ink_of([*drawn, crossing])
    marks = [level_head(100.0, -1.0), level_head(300.0, 1.0)]
    marks += [level_head(between, way, sure=sure) for way in (1.0, -1.0)]
    found = find_linear(ink, find_marked_lines(ink, marks))
    return {tuple(sorted(round(e.point.x) for e in c.ends)) for c in found}


def test_heads_where_a_line_grazes_a_dimension_line_do_not_part_it():
    """Grain that runs over a line a little askew looks like the tips of two heads there."""
    assert (100, 300) in spans(220.0, crossing=((180.0, 118.0), (260.0, 82.0)))
    assert (100, 300) not in spans(220.0, crossing=((220.0, 60.0), (220.0, 140.0)))


@pytest.mark.parametrize("sure", [0.3, 0.8])
def test_two_weak_heads_where_a_line_crosses_leave_it_to_the_number_whether_they_part_a_line(sure):
    found = spans(220.0, crossing=((220.0, 60.0), (220.0, 140.0)), sure=sure)
    assert {(100, 220), (220, 300)} <= found
    assert ((100, 300) in found) is (sure < 0.5)


@pytest.mark.parametrize("sure", [0.3, 0.8])
def test_one_weak_head_where_grain_crosses_parts_no_line_for_sure(sure):
    xs = (100.0, 300.0, 220.0)
    ink = ink_of([((100.0, 100.0), (300.0, 100.0)), *[((x, 60.0), (x, 140.0)) for x in xs]])
    marks = [level_head(100.0, -1.0), level_head(300.0, 1.0), level_head(220.0, 1.0, sure=sure)]
    found = find_linear(ink, find_marked_lines(ink, marks))
    spans = {tuple(sorted(round(e.point.x) for e in c.ends)) for c in found}
    assert ((100, 300) in spans) is (sure < 0.5)


def spans_over(even, heads):
    """Where lines end, with heads at 100 and 300, an even mark between and lines with heads."""
    drawn = [((100.0, 100.0), (300.0, 100.0)), *[((x, 60.0), (x, 140.0)) for x in (100, 200, 300)]]
    ys = [200.0 + 20.0 * k for k in range(heads)]
    drawn += [((100.0, y), (180.0, y)) for y in ys] + [((x, 190.0), (x, 400.0)) for x in (100, 180)]
    ink = ink_of(drawn)
    marks = [level_head(100.0, -1.0), level_head(300.0, 1.0), even]
    for y in ys:
        for x, way in ((100.0, -1.0), (180.0, 1.0)):
            marks.append(replace(level_head(x, way, sure=0.9), point=Point(x, y)))
    found = find_linear(ink, find_marked_lines(ink, marks))
    return {tuple(sorted(round(e.point.x) for e in c.ends)) for c in found}


@pytest.mark.parametrize(("sure", "heads"), [(0.8, 5), (0.3, 0)])
def test_a_dot_seen_where_grain_crosses_parts_no_line_for_sure(sure, heads):
    """A sheet that ends its lines in arrowheads has no dots; a weak one is doubtful anywhere."""
    dot = Mark(kind=MarkKind.DOT, point=Point(200.0, 100.0), size=4.0, sure=sure)
    assert (100, 300) in spans_over(dot, heads)


@pytest.mark.parametrize(("sure", "heads"), [(0.8, 0), (1.0, 5)])
def test_a_dot_that_is_sure_parts_a_line(sure, heads):
    dot = Mark(kind=MarkKind.DOT, point=Point(200.0, 100.0), size=4.0, sure=sure)
    assert (100, 300) not in spans_over(dot, heads)


@pytest.mark.parametrize(("at", "parted"), [(200.0, False), (240.0, True)])
def test_a_head_amid_the_number_of_a_line_is_a_stroke_of_a_figure(at, parted):
    """Where a line of the picture runs through the number too, a 3 has the barbs of a head."""
    xs = (100.0, 300.0, at)
    ink = ink_of([((100.0, 100.0), (300.0, 100.0)), *[((x, 60.0), (x, 140.0)) for x in xs]])
    marks = [level_head(100.0, -1.0), level_head(300.0, 1.0), level_head(at, 1.0, sure=0.8)]
    lines = find_marked_lines(ink, [replace(m, sure=0.8) for m in marks])
    found = find_linear(ink, lines, [text_at("3 1/2", (200.0, 100.0))])
    spans = {tuple(sorted(round(e.point.x) for e in c.ends)) for c in found}
    assert ((100, 300) in spans) is not parted


def test_two_sure_heads_tip_to_tip_part_a_line_though_a_number_was_cut_with_one():
    xs = (100.0, 190.0, 300.0)
    ink = ink_of([((100.0, 100.0), (300.0, 100.0)), *[((x, 60.0), (x, 140.0)) for x in xs]])
    heads = [
        level_head(x, way, sure=0.8)
        for x, way in zip((100.0, 190.0, 190.0, 300.0), (-1.0, 1.0, -1.0, 1.0), strict=True)
    ]
    found = find_linear(ink, find_marked_lines(ink, heads), [text_at("3 1/2", (200.0, 100.0))])
    spans = {tuple(sorted(round(e.point.x) for e in c.ends)) for c in found}
    assert spans == {(100, 190), (190, 300)}


@pytest.mark.parametrize("texts", [("1", "4", "1"), ("", "4", "")])
def test_weak_heads_between_numbers_part_a_line_as_sure_ones_do(texts):
    """The longer span forgives more that a number stands off its middle."""
    xs = (100.0, 200.0, 300.0, 400.0)
    ink = ink_of([((100.0, 100.0), (400.0, 100.0)), *[((x, 60.0), (x, 140.0)) for x in xs]])
    marks = [level_head(100.0, -1.0), level_head(400.0, 1.0)]
    marks += [level_head(x, way, sure=0.3) for x in xs[1:-1] for way in (1.0, -1.0)]
    found = find_linear(ink, find_marked_lines(ink, marks))
    numbers = [text_at(t, (x + 54.0, 94.0)) for t, x in zip(texts, xs, strict=False) if t]
    matches = [m for m in assign_texts(found, numbers, upright=0.0) if m.text >= 0]
    spans = [sorted(round(e.point.x) for e in found[m.candidate].ends) for m in matches]
    assert sorted(spans) == [[x, x + 100] for x, t in zip(xs, texts, strict=False) if t]


@pytest.mark.parametrize(
    ("low", "kind"),
    [(120.0, EndKind.TIP), (114.0, EndKind.EXTENSION), (190.0, EndKind.EXTENSION)],
)
def test_an_edge_that_shows_above_and_below_a_tip_is_what_it_points_at(low, kind):
    """A tenon stands in front of the shoulder that its length is measured to."""
    shoulder = [((300.0, 40.0), (300.0, 86.0)), ((300.0, low), (300.0, low + 50.0))]
    shoulder += [((350.0, 40.0), (350.0, 90.0)), ((350.0, 110.0), (350.0, 150.0))]  # nearer parts
    if kind is EndKind.TIP:
        shoulder[1] = ((303.0, low), (303.0, low + 50.0))  # another edge, not in line
    ink = ink_of([((100.0, 100.0), (300.0, 100.0)), ((100.0, 60.0), (100.0, 140.0)), *shoulder])
    marks = [level_head(100.0, -1.0), level_head(300.0, 1.0)]
    (found,) = find_linear(ink, find_marked_lines(ink, marks))
    assert found.ends[1].kind is kind
    assert found.ends[1].point.x == pytest.approx(300.0)


@pytest.mark.parametrize(("far", "strong"), [(4.0, False), (12.0, True)])
def test_two_heads_longer_than_their_line_hardly_measure_it(far, strong):
    """Between the two lines of a frame the heads of its neighbours nearly meet."""
    edges = [((x, 40.0), (x, 160.0)) for x in (100.0, 100.0 + far)]
    ink = ink_of([((100.0, 100.0), (100.0 + far, 100.0)), *edges])
    marks = [level_head(100.0, -1.0), level_head(100.0 + far, 1.0)]
    found = find_linear(ink, find_marked_lines(ink, marks))
    assert any(c.strength > 0.5 for c in found) is strong


@pytest.mark.parametrize(("at", "own"), [(184, {0, 3}), (202, {0})], ids=["a tail", "a shelf"])
def test_what_lies_in_line_with_a_size_but_apart_from_it_is_no_stroke_of_it(at, own):
    """A leader's shelf may lie so; a leader and a size that share a stroke cannot both hold."""
    ends = [((x, 150), (x, 206)) for x in (100, 180)]
    ink = ink_of([((100, 200), (180, 200)), *ends, ((at, 200), (at + 12, 200))])
    marks = [Mark(kind=MarkKind.DOT, point=Point(x, 200), size=4.0, ux=1.0) for x in (100, 180)]
    (size,) = find_linear(ink, find_marked_lines(ink, marks))
    assert size.strokes == own


@pytest.mark.parametrize(
    ("tails", "surely"),
    [
        ([(91, 100), (113, 122)], True),
        ([(91, 100)], False),
        ([(91, 100), (113, 122), (100, 113)], True),
        ([(30, 100), (113, 183)], False),
    ],
    ids=["tails", "one tail", "drawn through", "lines of neighbours"],
)
def test_free_tails_beyond_slashes_say_as_much_as_a_line_between_them(tails, surely):
    lines = [((x, 150), (x, 204)) for x in (100, 113)] + [((a, 200), (b, 200)) for a, b in tails]
    marks = [Mark(kind=MarkKind.DOT, point=Point(x, 200), size=4.0, ux=1.0) for x in (100, 113)]
    ink = ink_of(lines)
    found = find_linear(ink, find_marked_lines(ink, marks))
    assert [c.strength > 0.5 for c in found] == [surely]


def test_lines_from_mark_to_mark_are_no_tails_of_the_gap_between_them():
    xs = (80, 100, 113, 133)
    lines = [((x, 150), (x, 204)) for x in xs] + [((a, 200), (a + 20, 200)) for a in (80, 113)]
    marks = [Mark(kind=MarkKind.DOT, point=Point(x, 200), size=4.0, ux=1.0) for x in xs]
    ink = ink_of(lines)
    sure = [c for c in find_linear(ink, find_marked_lines(ink, marks)) if c.strength > 0.5]
    assert sorted(sorted(e.point.x for e in c.ends) for c in sure) == [[80, 100], [113, 133]]


def test_a_head_that_was_read_as_a_figure_is_still_a_head():
    ink = ink_of([((100, 100), (300, 100)), *[((x, 60), (x, 140)) for x in (100, 200, 300)]])
    tips = [(100, -1.0), (200, 1.0), (200, -1.0), (300, 1.0)]
    marks = [replace(level_head(float(x), way), sure=0.8) for x, way in tips]
    found = find_linear(
        ink, find_marked_lines(ink, marks), [text_at("2", (200.5, 100), height=9.0)]
    )
    spans = {tuple(sorted(round(e.point.x) for e in c.ends)) for c in found}
    assert {(100, 200), (200, 300)} <= spans


def strongest(dot, *, drawn=(), texts=(), heads=0):
    """How strong the size from a dot at 100 to an arrowhead outside at 300 is."""
    strokes = [*drawn, ((300.0, 100.0), (320.0, 100.0))]
    strokes += [((x, 60.0), (x, 140.0)) for x in (100, 300)]
    ys = [200.0 + 20.0 * k for k in range(heads)]
    strokes += [((100.0, y), (180.0, y)) for y in ys] + [
        ((x, 190.0), (x, 400.0)) for x in (100, 180)
    ]
    marks = [replace(dot, point=Point(100.0, 100.0)), level_head(300.0, -1.0, sure=0.8)]
    for y in ys:
        for x, way in ((100.0, -1.0), (180.0, 1.0)):
            marks.append(replace(level_head(x, way, sure=0.9), point=Point(x, y)))
    found = find_linear(ink_of(strokes), find_marked_lines(ink_of(strokes), marks), texts)
    own = [c for c in found if sorted(round(e.point.x) for e in c.ends) == [100, 300]]
    return max((c.strength for c in own), default=0.0)


def test_numbers_in_a_row_are_no_line_from_one_view_to_another():
    """A long line is broken for its one number; what is all numbers is the sizes of a chain."""
    dot = Mark(kind=MarkKind.DOT, point=Point(0.0, 0.0), size=4.0, sure=0.4)
    numbers = [text_at("4 3/4", (x, 100.0), height=10.0) for x in (140.0, 200.0, 260.0)]
    assert strongest(dot, texts=numbers) < 0.3
    assert strongest(dot, texts=numbers[:1], drawn=[((160.0, 100.0), (300.0, 100.0))]) > 0.3


def test_a_doubtful_dot_amid_arrowheads_is_a_weak_end():
    line = [((100.0, 100.0), (300.0, 100.0))]
    weak, sure = (
        Mark(kind=MarkKind.DOT, point=Point(0.0, 0.0), size=4.0, sure=s) for s in (0.4, 0.8)
    )
    assert strongest(weak, drawn=line, heads=6) < 0.8 * strongest(weak, drawn=line)
    assert strongest(sure, drawn=line, heads=6) == strongest(sure, drawn=line)


@pytest.mark.parametrize(("to", "strong"), [(220.0, False), (320.0, True)])
def test_a_line_that_stops_at_a_weak_dot_is_not_that_behind_the_blank(to, strong):
    """Two views in a row are dimensioned at one height; a poor scan shows a weak dot at an end."""
    xs = (100.0, 220.0, 320.0, 380.0)
    drawn = [((100.0, 100.0), (to, 100.0)), ((320.0, 100.0), (380.0, 100.0))]
    ink = ink_of([*drawn, *[((x, 60.0), (x, 140.0)) for x in xs]])
    dot = Mark(kind=MarkKind.DOT, point=Point(0.0, 0.0), size=4.0, sure=0.8)
    marks = [replace(dot, point=Point(x, 100.0), sure=0.4 if x == 220 else 0.8) for x in xs]
    found = find_linear(ink, find_marked_lines(ink, marks))
    by_span = {tuple(sorted(round(e.point.x) for e in c.ends)): c.strength for c in found}
    assert (by_span.get((100, 320), 0.0) > 0.5) is strong
    assert by_span[100, 220] > 0.5
