"""What a cut has left out at the ends of a text is heard in a wider one."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.geometry import Box
from audit.reading.ends import hear_ends, weigh_ends
from audit.reading.find_text import tight_spots
from audit.reading.near import TextSpot
from audit.records import Candidate, ReadBy

FONT = cv2.FONT_HERSHEY_SIMPLEX


def said(*pairs):
    return tuple(Candidate(text=t, confidence=p, by=ReadBy.NET) for t, p in pairs)


def drawn(text="56", *, head: bool):
    """Figures in the room that their mask marks, an arrowhead beyond it."""
    crop = np.full((60, 170), 250, np.uint8)
    cv2.putText(crop, text, (40, 42), FONT, 0.9, (20,), 2, cv2.LINE_AA)
    mask = cv2.dilate(np.asarray(crop < 200, np.uint8), np.ones((5, 5), np.uint8)) > 0
    if head:
        cv2.polylines(crop, [np.array([(88, 24), (112, 32), (88, 40)])], False, (20,), 2)
    return crop, mask


def test_a_text_with_ink_beyond_its_end_has_a_wider_cut_with_that_ink():
    (alone,) = tight_spots(*drawn(head=False), np.eye(2, 3), angle=0.0)
    (spot,) = tight_spots(*drawn(head=True), np.eye(2, 3), angle=0.0)
    assert alone.wider is None
    assert spot.wider is not None
    assert spot.crop.shape == alone.crop.shape
    assert spot.wider.shape[1] > spot.crop.shape[1] + 25
    assert spot.wider[:, -15:].min() < 60


def test_a_mark_that_only_the_wider_cut_shows_is_taken_as_surely_as_it_is_heard():
    heard = weigh_ends(said(("15/16", 1.0)), said(('15/16"', 0.93), ('=15/16"', 0.05)))
    assert (heard[0].text, heard[0].confidence) == ('15/16"', 0.93)
    assert {c.text for c in heard} >= {"15/16"}
    assert max(c.confidence for c in heard[1:]) < 0.1


def test_a_number_that_may_have_a_point_before_it_is_asked():
    wide = said(("389", 0.5), (".389", 0.48))
    heard = weigh_ends(said(("389", 0.99)), wide)
    assert [c.text for c in heard] == ["389", ".389"]
    assert heard[0].confidence < 0.8
    tight = said(("172", 0.92))
    assert weigh_ends(tight, said(("172", 0.81), (".172", 0.17))) == tight


def test_a_point_before_a_number_is_no_less():
    assert weigh_ends(said(("940", 0.99)), said((".940", 0.95)))[0].text == ".940"


@pytest.mark.parametrize(("torn", "whole"), [("8'-", "8'-1"), ("'-5", "1'-5"), ("9 7/", "9 7/8")])
def test_figures_without_which_there_is_no_size_are_taken_as_surely_as_they_are_heard(torn, whole):
    heard = weigh_ends(said((torn, 0.99)), said((whole, 0.96)))
    assert (heard[0].text, heard[0].confidence) == (whole, 0.96)


@pytest.mark.parametrize(("sure", "first"), [(0.97, "7/32"), (0.85, "7/3")])
def test_figures_that_only_the_wider_cut_shows_make_the_reading_asked(sure, first):
    heard = weigh_ends(said(("7/3", 0.98)), said(("7/32", sure)))
    assert heard[0].text == first
    assert heard[0].confidence < 0.8
    assert {c.text for c in heard} == {"7/3", "7/32"}


@pytest.mark.parametrize(("tight", "wide", "first"), [(0.4, 0.95, "7/8"), (0.8, 0.7, "1/8")])
def test_another_number_in_the_wider_cut_of_a_doubtful_text_is_asked(tight, wide, first):
    heard = weigh_ends(said(("1/8", tight)), said(("7/8", wide)))
    assert heard[0].text == first
    assert heard[0].confidence <= 0.8


@pytest.mark.parametrize("wide", ["-5/8", "7/8", "5/8 x", ""])
def test_what_is_no_more_of_a_number_changes_nothing(wide):
    tight = said(("5/8", 0.97))
    assert weigh_ends(tight, said((wide, 0.99)) if wide else ()) == tight


@pytest.mark.parametrize("before", ['5/16" ', '5/16"- ', '3"'])
def test_a_size_before_it_in_the_wider_cut_is_another_one(before):
    tight = said(('1/4"', 0.97))
    assert weigh_ends(tight, said((f'{before}1/4"', 0.95))) == tight
    assert weigh_ends(tight, said(('21/4"', 0.95)))[0].confidence < 0.8


@pytest.mark.parametrize("wide", ["'6", '"6', ".'6"])
def test_what_is_left_of_an_arrowhead_before_a_number_is_no_mark_of_it(wide):
    tight = said(("6", 0.97))
    assert weigh_ends(tight, said((wide, 0.9))) == tight


def test_of_two_cuts_that_say_the_same_the_surer_one_counts():
    assert weigh_ends(said(('18"', 0.7)), said(('18"', 0.95)))[0].confidence == 0.95


def test_a_bare_number_that_a_wider_cut_says_too_is_no_piece_of_one():
    """`19` may be what a cut left of more: 0.8 says so. Where no more is beyond it, it is sure."""
    assert weigh_ends(said(("19", 0.8), ("79", 0.1)), said(("19", 0.75)))[0].confidence > 0.9
    assert weigh_ends(said(("19", 0.8)), said(("719", 0.75)))[0].confidence < 0.9
    assert weigh_ends(said(("19", 0.8)), said(("19", 0.8), (".19", 0.15)))[0].confidence == 0.8
    assert weigh_ends(said(("1/9", 0.8)), said(("1/9", 0.75)))[0].confidence == 0.8


def test_a_wider_cut_decides_between_two_readings():
    tight = said(("7", 0.44), ("1", 0.1))
    assert weigh_ends(tight, said(("1", 0.99)))[0] == said(("1", 0.99))[0]
    unheard, less_sure = said(("4", 0.99)), said(("1", 0.9))
    torn_less = said(("7", 0.7), ("1", 0.1))
    for one, other in ((tight, unheard), (tight, less_sure), (torn_less, said(("1", 0.99)))):
        assert weigh_ends(one, other)[0].confidence < 0.8


class Reads:
    """Says the same of every crop, and counts those it was asked to read with care."""

    def __init__(self, seems, reads):
        self.seems, self.reads, self.asked, self.name = seems, reads, 0, ReadBy.NET

    def is_available(self):
        return True

    def read(self, crops):
        self.asked += len(crops)
        return (said((self.reads, 0.95)),) * len(crops)

    def glimpse(self, crops):
        return (said((self.seems, 0.6)),) * len(crops)


@pytest.mark.parametrize(
    ("first", "seems", "asked", "told"),
    [
        (("3/4", 0.99), "3/4", 0, "3/4"),
        (("3/4", 0.99), '3/4"', 1, '3/4"'),
        (("3/4", 0.7), "3/4", 1, '3/4"'),
        (("3/4", 0.95), "0/1", 0, "3/4"),
    ],
)
def test_a_wider_cut_is_read_with_care_where_it_may_change_something(first, seems, asked, told):
    crop = np.zeros((9, 9), np.uint8)
    spot = TextSpot(box=Box(0, 0, 9, 9), angle=0.0, distance=0.0, crop=crop, wider=crop)
    reader = Reads(seems, '3/4"')
    (heard,) = hear_ends([spot], [said(first)], reader)
    assert reader.asked == asked
    assert heard[0].text == told
