"""Texts that read badly as they were cut are tried the other ways up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.pipeline import turned_texts
from audit.pipeline.turned_texts import (
    hear_piles,
    hear_turned,
    pool_cuts,
    turn_spot,
    without_lone_figures,
)
from audit.reading import TextSpot
from audit.records import Candidate, ReadBy

INK, PAPER = 0, 255


class ReadsByMark:
    """Reads ``2.951`` where the mark stands top left, else what stands in `otherwise`."""

    def __init__(self, otherwise="1S6'c", sure=0.4, name=ReadBy.NET):
        self.otherwise, self.sure, self._name, self.asked = otherwise, sure, name, 0

    @property
    def name(self):
        return self._name

    def is_available(self):
        return True

    def read(self, crops):
        self.asked += len(crops)
        return tuple(
            (Candidate(text="2.951", confidence=0.98, by=self.name),)
            if crop[0, 0] == INK
            else (Candidate(text=self.otherwise, confidence=self.sure, by=self.name),)
            for crop in crops
        )


def make_spot(way, *, angle=40.0, length=60.0, height=20.0):
    """A text whose crop must be turned by `way` quarter turns to read well."""
    shape = (20, 60) if way % 2 == 0 else (60, 20)
    good = np.full(shape, PAPER, np.uint8)
    good[0, 0] = INK
    crop = np.ascontiguousarray(np.rot90(good, -way))
    return TextSpot(
        box=Box(0, 0, length, height),
        angle=angle,
        distance=0.0,
        crop=crop,
        centre=Point(30, 10),
        length=length,
        height=height,
    )


def test_a_slanted_text_on_its_head_is_turned_and_read():
    spots, votes = hear_turned([make_spot(2)], (ReadsByMark(),), upright=0.0)
    assert votes[0][0].text == "2.951"
    assert spots[0].angle == pytest.approx(40.0 - 180.0)


def test_a_stack_cut_sideways_is_turned_by_a_quarter():
    spot = make_spot(1, length=24.0, height=20.0)
    spots, votes = hear_turned([spot], (ReadsByMark(),), upright=0.0)
    assert votes[0][0].text == "2.951"
    assert (spots[0].length, spots[0].height) == (20.0, 24.0)


def test_a_long_text_is_not_turned_by_a_quarter():
    _, votes = hear_turned([make_spot(1)], (ReadsByMark(),), upright=0.0)
    assert votes[0][0].text == "1S6'c"


def test_a_text_that_reads_well_as_it_stands_is_not_turned():
    reader = ReadsByMark(otherwise="4 1/8", sure=0.95)
    spots, votes = hear_turned([make_spot(2)], (reader,), upright=0.0)
    assert votes[0][0].text == "4 1/8"
    assert spots[0].angle == 40.0
    assert reader.asked == 1


def test_level_text_is_not_stood_on_its_head_for_a_middling_reading():
    reader = ReadsByMark(otherwise="4 1/8", sure=0.6)
    _, votes = hear_turned([make_spot(2, angle=0.0)], (reader,), upright=0.0)
    assert votes[0][0].text == "4 1/8"


@pytest.mark.parametrize(
    ("sure", "angle", "cut_along", "asked"),
    # weights: on its head .9 slanted and .2 level, along a line 1, each against 1.3 times as sure;
    # as it was cut, it is read with more paper around, too
    [(0.6, 40.0, True, 5), (0.6, 0.0, True, 4), (0.75, 40.0, True, 3), (0.8, 40.0, False, 2)],
)
def test_only_ways_that_could_win_are_looked_at(sure, angle, cut_along, asked):
    reader, cut = ReadsByMark(otherwise="4 1/8", sure=sure), []

    def along(spot):
        cut.append(spot)
        return [make_spot(1)]

    hear_turned([make_spot(2, angle=angle)], (reader,), upright=0.0, cut=along)
    assert (bool(cut), reader.asked) == (cut_along, asked)


def test_the_second_reader_hears_only_what_is_still_in_doubt_and_turned():
    second = ReadsByMark(name=ReadBy.TESSERACT)
    sure, doubtful = make_spot(2), make_spot(1)
    _, votes = hear_turned([sure, doubtful], (ReadsByMark(), second), upright=0.0)
    assert second.asked == 1
    assert [v.by for v in votes[1]] == [ReadBy.NET, ReadBy.TESSERACT]


def test_without_readers_nothing_is_heard():
    assert hear_turned([make_spot(0)], (), upright=0.0)[1] == ((),)


def test_turning_back_and_forth_leaves_a_text_as_it_was():
    spot = make_spot(0)
    there = turn_spot(spot, 1)
    back = turn_spot(there, 3)
    assert np.array_equal(back.crop, spot.crop)
    assert back.angle % 360.0 == spot.angle
    assert np.array_equal(there.crop, np.rot90(spot.crop))


def pile(*votes, length=11.0, height=40.0):
    """What stays of readings of a crop so long and high."""
    spot = replace(make_spot(0), length=length, height=height)
    said = tuple(Candidate(text=t, confidence=c, by=ReadBy.NET) for t, c in votes)
    return [(v.text, round(v.confidence, 2)) for v in without_lone_figures(spot, said)]


def test_a_crop_as_high_as_a_lone_fraction_holds_no_lone_figure():
    assert pile(("5", 0.59), ("5/8", 0.51), ("58", 0.2)) == [("5/8", 0.9)]


@pytest.mark.parametrize("others", [(), (("3/8", 0.02),), (("3A", 0.3),)])
def test_what_no_reading_stands_for_is_no_reason_to_be_sure(others):
    assert pile(("3/4", 0.3), *others)[0][1] < 0.5


def test_a_lone_figure_in_so_high_a_crop_is_doubted():
    assert pile(("5", 0.98)) == [("5", 0.49)]


def test_a_one_is_as_narrow_as_that():
    assert pile(("1", 0.9), ("1/7", 0.2)) == [("1", 0.9), ("1/7", 0.2)]


def test_a_figure_in_a_crop_of_its_own_shape_stays():
    assert pile(("5", 0.9), ("5/8", 0.1), length=15.0, height=24.0) == [("5", 0.9), ("5/8", 0.1)]


def test_a_round_patch_that_was_cut_askew_is_worth_less():
    asked = ReadsByMark(otherwise="3", sure=0.6)
    spot = make_spot(1, angle=45.0, length=31.0, height=31.0)
    _, [votes] = hear_turned([spot], [asked], upright=0.0)
    assert votes[0].text == "2.951"  # worth 0.98 of 0.6: not clearly more than 0.6 as it stood


def heard(*cuts):
    return [tuple(Candidate(text=t, confidence=c, by=ReadBy.NET) for t, c in cut) for cut in cuts]


def test_what_most_cuts_of_a_text_say_is_printed_though_one_says_else_more_surely():
    cleaned, crossed, wide = [("Ø 6 1/5", 1.0)], [("Ø 6 1/8", 0.99)], [("Ø6 1/8", 0.97)]
    chosen, votes = pool_cuts(heard(cleaned, crossed, wide))
    assert (chosen, votes[0].text, votes[0].confidence) == (1, "Ø 6 1/8", 0.99)


def test_cuts_that_contradict_each_other_are_doubted():
    _, votes = pool_cuts(heard([("R 16", 0.99)], [("R 116", 0.9)]))
    assert votes[0].confidence < 0.9


def test_an_inch_mark_more_or_less_is_no_contradiction():
    _, votes = pool_cuts(heard([('3 1/2"', 0.97)], [("3 1/2", 0.9)]))
    assert (votes[0].text, votes[0].confidence) == ('3 1/2"', 0.97)
    _, others = pool_cuts(heard([('35"', 0.97)], [("35", 0.9)]))  # it may be of another unit
    assert others[0].confidence < 0.9


def test_cuts_that_say_nothing_settle_nothing():
    assert pool_cuts([(), ()]) == (-1, ())


def test_the_cut_that_most_agree_with_is_read_on():
    spot, other = make_spot(1), make_spot(0)
    reader = ReadsByMark(otherwise="1S6'c", sure=0.4)
    [settled], [votes] = hear_turned([spot], [reader], upright=0.0, others=lambda _: (other,))
    assert votes[0].text == "2.951"
    assert settled.crop is other.crop


def test_a_text_lies_as_the_cut_of_it_does_that_is_read_on():
    spot, other = make_spot(1), make_spot(0, angle=-45.0)
    reader = ReadsByMark(otherwise="1S6'c", sure=0.4)
    [settled], _ = hear_turned([spot], [reader], upright=0.0, others=lambda _: (other,))
    assert settled.angle == other.angle


def test_a_crossed_lone_fraction_is_not_outvoted_by_its_numerator():
    class ReadsCuts(ReadsByMark):
        def read(self, crops):
            whole, numerator = (("3/4", 0.9), ("3", 0.08)), (("3", 0.95),)
            return heard(*(whole if crop[0, 0] == INK else numerator for crop in crops))

    cut = replace(make_spot(1), crop=np.full((52, 16), PAPER, np.uint8), angle=0.0)
    cut = replace(cut, length=16.0, height=52.0)
    marked = cut.crop.copy()
    marked[0, 0] = INK
    whole = replace(cut, crop=marked)
    _, [votes] = hear_turned([whole], [ReadsCuts()], upright=0.0, others=lambda _: (cut, cut))
    assert votes[0].text == "3/4" or votes[0].confidence < 0.9


def test_two_figures_over_each_other_without_a_bar_are_no_sure_fraction():
    class ReadsByHeight(ReadsByMark):
        def read(self, crops):
            says = iter(("2", "3"))
            return tuple(
                (
                    Candidate(
                        text="2 3" if len(c) > 50 else next(says), confidence=0.97, by=self.name
                    ),
                )
                for c in crops
            )

    crop = np.full((60, 20), PAPER, np.uint8)
    crop[4:26, 4:16] = crop[34:56, 4:16] = INK
    spot = replace(make_spot(0), crop=crop, angle=0.0, length=16.0, height=52.0)
    [votes] = hear_piles([spot], [ReadsByHeight().read([crop])[0]], [ReadsByHeight()])
    assert all(v.confidence < 0.9 for v in votes)


def test_a_lone_fraction_that_reads_as_its_numerator_is_read_in_two_parts():
    class ReadsByHeight(ReadsByMark):
        def read(self, crops):
            says = iter(("5", "8"))
            return tuple(
                (Candidate(text="5" if len(c) > 50 else next(says), confidence=0.97, by=self.name),)
                for c in crops
            )

    crop = np.full((60, 20), PAPER, np.uint8)
    crop[4:26, 4:16] = crop[34:56, 4:16] = INK
    crop[29:31, 2:18] = INK
    spot = replace(make_spot(0), crop=crop, angle=0.0, length=16.0, height=52.0)
    [votes] = hear_piles([spot], [ReadsByHeight().read([crop])[0]], [ReadsByHeight()])
    assert (votes[0].text, round(votes[0].confidence, 2)) == ("5/8", 0.94)


class Glances(ReadsByMark):
    """Sees the mark at a glance, and what stands in `seen` where it is not."""

    def __init__(self, *, seen=0.0, **read):
        super().__init__(**read)
        self.seen = seen

    def glance(self, crops):
        return tuple(1.0 if crop[0, 0] == INK else self.seen for crop in crops)


def test_a_way_up_that_says_nothing_at_a_glance_is_not_read():
    asked = []
    for seen in (0.0, 0.3):
        reader = Glances(seen=seen)
        spots, votes = hear_turned([make_spot(1, length=24.0)], (reader,), upright=0.0)
        assert votes[0][0].text == "2.951"
        assert spots[0].angle == pytest.approx(40.0 - 90.0)
        asked.append(reader.asked)
    assert asked[0] == 3 < asked[1]  # as it lies, with more paper, and turned by a quarter


def test_a_way_up_that_says_too_little_for_what_it_must_be_worth_is_not_read():
    asked = []
    for seen in (0.3, 0.5):
        reader = Glances(seen=seen, otherwise="N0TE", sure=0.85)  # to be outweighed by .74
        hear_turned([make_spot(0, length=24.0, angle=90.0)], (reader,), upright=0.0)
        hear_turned([make_spot(1, length=24.0, angle=0.0)], (reader,), upright=0.0)
        asked.append(reader.asked)
    assert asked[0] < asked[1]


class ReadsByChance:
    """Says something else of every crop, the same each time; counts what it was asked."""

    def __init__(self):
        self.name, self.asked = ReadBy.NET, 0

    def read(self, crops):
        self.asked += len(crops)
        return tuple(self._say(np.random.default_rng(list(crop.tobytes()[::7]))) for crop in crops)

    def _say(self, rng):
        text, sure = rng.choice(["3/8", "NO", "12"]), float(np.round(rng.random(), 1))
        return (Candidate(text=str(text), confidence=sure, by=self.name),)


def test_a_way_up_that_weighs_less_than_another_is_worth_is_not_read(monkeypatch):
    """What is found is what is found when all are read."""
    rng = np.random.default_rng(8)
    spots = [
        replace(
            make_spot(0, angle=angle, length=30.0), crop=rng.integers(0, 256, (20, 30), np.uint8)
        )
        for angle in [0.0, 40.0, 90.0] * 40
    ]

    def cut(spot):
        return [replace(spot, angle=55.0, crop=spot.crop[:, ::-1].copy())]

    def hear_all(tries, least, readers):
        ways = [way for _, way, _ in tries]
        return hear_piles(ways, readers[0].read([s.crop for s in ways]), readers)

    few, all_ways = ReadsByChance(), ReadsByChance()
    found = hear_turned(spots, (few,), upright=0.0, cut=cut)
    monkeypatch.setattr(turned_texts, "_hear_ways", hear_all)
    expected = hear_turned(spots, (all_ways,), upright=0.0, cut=cut)
    assert found[1] == expected[1]
    assert [s.angle for s in found[0]] == [s.angle for s in expected[0]]
    assert len({s.angle for s in found[0]}) > 4  # all ways up win somewhere
    assert few.asked < 0.85 * all_ways.asked


class ReadsFigures:
    """Reads `3/4` in wide crops and nothing in narrow ones."""

    name = ReadBy.NET

    def is_available(self):
        return True

    def read(self, crops):
        sure = (Candidate(text="3/4", confidence=0.99, by=self.name),)
        return tuple(sure if crop.shape[1] > crop.shape[0] else () for crop in crops)


def test_a_lone_stroke_that_nobody_reads_is_asked_as_a_1():
    stroke = np.full((32, 16), 240, np.uint8)
    stroke[3:29, 7:10] = 20
    lone = replace(make_spot(0, angle=0.0, length=6.0, height=26.0), crop=stroke)
    known = [make_spot(0, angle=0.0, height=24.0) for _ in range(3)]
    _, votes = hear_turned([*known, lone], [ReadsFigures()], upright=0.0)
    assert votes[3][0].text == "1"
    assert votes[3][0].confidence < 0.9
