"""Whole numbers that nobody prints in inches, none of them large."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.dimensions.texts import read_text
from audit.lengths import Unit
from audit.pipeline.whole_millimetres import guess_millimetres, has_decimal_commas
from audit.records import Dimension, DimensionKind, Settings
from tests.pipeline.test_texts import lines

TURNED = ("124", "75", "26", "25", "6", "Ø14", "Ø34", "Ø11", "Ø46", "4 HOLES Ø8", "R6 TYP")
BOX = ("120", "85", "65", "45", "40", "30", "15", "10", "8")
SHED = ("96", "72", "60", "48", "36", "25", "16", "15", "8", "R6")


def sizes(*texts: str) -> list[Dimension]:
    return [
        Dimension(
            id=k,
            sheet=1,
            view=0,
            kind=DimensionKind.DISTANCE,
            ends=(),
            reading=read_text(text, unit=None),
        )
        for k, text in enumerate(lines(*texts))
    ]


def test_circles_in_whole_numbers_are_millimetres():
    found = guess_millimetres(sizes(*TURNED), Settings())
    assert (found.unit, found.likely) == (Unit.MM, False)
    assert found.says == "most numbers are whole, and some are like 75, Ø46, Ø34, 25"


def test_steps_of_five_alone_make_millimetres_no_more_than_likely():
    found = guess_millimetres(sizes(*BOX), Settings())  # a box in centimetres is printed so as well
    assert (found.unit, found.likely) == (Unit.MM, True)


@pytest.mark.parametrize("rounds", [("R6", "R8"), ("R8", "R30", "Ø6"), ("Ø8", "Ø18", "Ø30")])
def test_arches_wheels_and_round_tops_in_whole_inches_make_no_fact_of_millimetres(rounds):
    coarse = sizes("45", "40", "35", "25", "20", "15", "10", *rounds)
    assert guess_millimetres(coarse, Settings()).likely


def test_decimal_commas_are_witnesses_for_millimetres():
    commas = sizes("48", "36", "28", "22", "20", "18", "16", "14", "Ø6,5", "Ø4,5", "75", "65")
    assert guess_millimetres(commas, Settings()).unit is Unit.MM


def test_an_inch_mark_that_was_not_read_surely_is_no_witness():
    marked = sizes(*TURNED, "Ø26'")
    unsure = replace(marked[-1].reading, confidence=0.3)
    assert guess_millimetres(marked, Settings()).likely
    speck = [*marked[:-1], replace(marked[-1], reading=unsure)]
    found = guess_millimetres(speck, Settings())
    assert (found.unit, found.likely) == (Unit.MM, False)


@pytest.mark.parametrize("stray", ["3/4", '14"', ".875"])
def test_one_fraction_among_many_whole_numbers_makes_them_no_more_than_likely(stray):
    found = guess_millimetres(sizes(*TURNED, stray), Settings())
    assert (found.unit, found.likely) == (Unit.MM, True)


@pytest.mark.parametrize(
    "texts",
    [
        SHED,  # whole feet outweigh a 25 and a 15
        ("60", "42", "36", "30", "24", "18", "16", "14", "5", "3"),  # a bench in inches
        (*TURNED, "3/4", '14"'),
        (*TURNED, ".875", "1/2"),
        TURNED[:5],
        ("38", "35", "25", "15", "Ø14", "Ø11", "Ø8", "R6"),  # eight, and all are small
        ("42.3", "75", "65", "12.5", "Ø14", "Ø11", "8.2", "7.4", "3.1"),  # centimetres in tenths
    ],
)
def test_what_may_be_inches_or_centimetres_is_left_open(texts):
    assert guess_millimetres(sizes(*texts), Settings()).unit is None


@pytest.mark.parametrize(
    ("texts", "has"),
    [
        (("31,5", "12,75", "8,5", "Ø6,5", "48", "300"), True),
        (("31,5", "12,75", "8,5", "48", "300"), False),  # three may be points with a tail
        (("1,500", "2,250", "1,125", "3,375", "48"), False),  # thousands, or places of inches
        (("31,5", "12,75", "8,5", "6,5", '1/2"', '3/4"'), False),
    ],
)
def test_decimal_commas_are_counted_where_nothing_is_in_inches(texts, has):
    assert has_decimal_commas(sizes(*texts), Settings()) is has
