"""Texts are given out one to one, over the whole sheet at once, by place alone."""

from __future__ import annotations

from dataclasses import replace

from audit.dimensions.assignment import assign_texts
from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.ink import Line
from audit.dimensions.raster import without_doubles
from audit.dimensions.texts import SizeText, TextForm
from audit.dimensions.vector import that_may_hold
from audit.geometry import Box, Point
from audit.reading.pdf_text import TextLine
from audit.records import DimensionKind, End


def candidate(x0: float, x1: float, y: float, *, claim: str, strength: float = 1.0) -> Candidate:
    a, b = Point(x0, y), Point(x1, y)
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(End(point=a), End(point=b)),
        line=(a, b),
        strength=strength,
        places=(TextPlace(line=Line(0, y, 1, 0), low=x0, high=x1, ink=((x0, x1),)),),
        claims=frozenset({(claim,)}),
        wants=frozenset({"length"}),
    )


def text(content: str, x: float, y: float) -> SizeText:
    box = Box(x - 8, y - 3, x + 8, y + 3)
    line = TextLine(text=content, box=box, angle=0.0, quad=box.corners, height=6.0)
    return SizeText(line=line, form=TextForm.LENGTH, plain=True)


def pairs(candidates: list[Candidate], texts: list[SizeText]) -> dict[int, int]:
    return {m.candidate: m.text for m in assign_texts(candidates, texts, upright=0) if m.text >= 0}


def test_text_between_two_lines_goes_where_the_whole_comes_out_best():
    # the middle text is nearer to the upper line, but that one has its own
    lines = [candidate(0, 100, 100, claim="a"), candidate(0, 100, 120, claim="b")]
    texts = [text("1", 50, 93), text("2", 50, 108.5)]
    assert pairs(lines, texts) == {0: 0, 1: 1}


def test_of_two_candidates_for_one_stretch_only_one_holds_and_the_other_frees_its_text():
    lines = [
        candidate(0, 100, 100, claim="same"),
        candidate(0, 100, 116, claim="same"),
        candidate(0, 100, 118, claim="other"),
    ]
    texts = [text("1", 50, 95), text("2", 50, 110)]
    assert pairs(lines, texts) == {0: 0, 2: 1}


def test_what_is_too_weak_to_be_reported_takes_no_number_from_others():
    lines = [
        candidate(0, 100, 100, claim="a"),
        candidate(0, 100, 116, claim="b", strength=0.2),
    ]
    texts = [text("1", 50, 108), text("2", 112, 98)]
    assert pairs(lines, texts) == {0: 1, 1: 0}  # the most numbers are given out so
    assert pairs(that_may_hold(lines), texts) == {0: 0}


def test_far_text_is_nobodys():
    assert pairs([candidate(0, 100, 100, claim="a")], [text("1", 50, 50)]) == {}


def test_no_candidates_no_matches():
    assert assign_texts([], [text("1", 0, 0)], upright=0) == []


def test_a_line_found_by_its_number_takes_no_other_though_a_stray_one_takes_that():
    narrow = replace(candidate(100, 130, 100, claim="narrow"), number=Point(115, 100))
    stray = candidate(104, 126, 110, claim="stray")
    texts = [text("7/8", 115, 100.5), text("1 3/16", 84, 100)]
    assert pairs([replace(narrow, number=None), stray], texts) == {0: 1, 1: 0}
    assert pairs([narrow, stray], texts)[0] == 0


def test_a_line_found_by_its_number_takes_it_also_when_it_was_cut_anew():
    narrow = replace(candidate(100, 130, 100, claim="narrow"), number=Point(112, 99))
    assert pairs([narrow], [text("7/8", 115, 100)]) == {0: 0}
    assert pairs([narrow], [text("7/8", 124, 100)]) == {}


def test_a_line_between_marks_keeps_its_number_from_one_that_stops_within_its_head():
    """Else a number beside it that lost its own line would take what is left over."""
    drawn = candidate(0, 100, 100, claim="drawn")
    short = replace(candidate(0, 95, 100, claim="short", strength=0.85), number=Point(49, 100))
    texts = [text("19", 49, 100), text("4 3/4", 22, 90)]
    assert pairs([drawn, replace(short, claims=frozenset())], texts) == {0: 0}
    assert pairs([replace(drawn, strength=0.8), short], texts)[1] == 0


def test_a_line_found_by_its_number_stays_beside_one_that_runs_on_or_lies_elsewhere():
    drawn = candidate(0, 100, 100, claim="drawn")
    short = replace(candidate(0, 80, 100, claim="short", strength=0.85), number=Point(40, 100))
    other = replace(candidate(0, 100, 112, claim="other", strength=0.85), number=Point(50, 112))
    texts = [text("19", 40, 100), text("4 3/4", 64, 90)]
    assert pairs([drawn, replace(short, claims=frozenset())], texts)[1] == 0
    assert pairs([drawn, other], [text("1", 50, 100), text("2", 50, 112)]) == {0: 0, 1: 1}


def test_what_a_number_alone_shows_does_not_take_it_from_the_line_it_stands_in():
    """A note near by would do for that line, just so, and leave both with a text."""
    drawn = candidate(0, 100, 100, claim="drawn")
    edge = candidate(0, 100, 90, claim="edge", strength=0.35)
    texts = [text("3", 50, 87), text("NOTE", 119, 120)]
    assert pairs([drawn, edge], texts) == {0: 1, 1: 0}
    assert pairs([drawn, replace(edge, plain=True)], texts) == {0: 0}


def test_a_stroke_without_a_number_leaves_a_line_the_one_that_stands_on_it():
    """However well a note would do for that line, just so, that both have a text."""
    drawn = candidate(0, 100, 100, claim="drawn")
    stroke = candidate(0, 100, 82, claim="stroke", strength=0.6)
    assert pairs([drawn, stroke], [text("4", 50, 95), text("5 PEGS", 50, 118)]) == {0: 0}


def test_a_note_about_several_things_is_hardly_the_number_of_a_line():
    """A leader may well lead to one."""
    line = candidate(0, 100, 100, claim="a")
    texts = [text("4", 50, 113), text("5 PEGS 1/2", 50, 95)]
    assert pairs([line], texts) == {0: 0}
    assert pairs([line], [texts[0], text("5 1/2", 50, 95)]) == {0: 1}
    assert pairs([replace(line, leader=True)], texts) == {0: 1}


def test_where_numbers_stand_at_the_middle_one_off_it_is_hardly_that_of_hardly_seen_marks():
    seen = candidate(0, 76, 100, claim="same", strength=0.9)
    short = replace(seen, unsure=True)
    whole = candidate(0, 100, 100, claim="same", strength=0.6)
    number = text("1", 50, 95)
    others = [candidate(0, 100, 200.0 + 40 * k, claim=f"{k}") for k in range(8)]
    middle = [text("2", 50, 195.0 + 40 * k) for k in range(8)]
    aside = [text("2", 30, 195.0 + 40 * k) for k in range(8)]
    assert pairs([short, whole, *others], [number, *middle])[1] == 0
    assert pairs([short, whole, *others], [number, *aside])[0] == 0
    assert pairs([seen, whole, *others], [number, *middle])[0] == 0


def test_a_line_traced_twice_is_one_as_far_as_lines_of_its_sheet_stray():
    twice = [candidate(0, 40, y, claim=str(y)) for y in (100.0, 101.4)]
    assert [len(without_doubles(twice, play=play)) for play in (0.0, 0.5)] == [2, 1]
