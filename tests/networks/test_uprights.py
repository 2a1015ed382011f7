"""A 1 before the other figures that was taken for a line: drawn by hand here, stroke by stroke."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.networks.decoding import NetCandidate
from audit.networks.reader import WIPED, raise_odds
from audit.networks.uprights import begins_with_upright, weigh_uprights

SAID = (NetCandidate("0'-2", 0.99), NetCandidate("10'-2", 0.01))


def crop_with(*strokes: tuple[tuple[int, int], tuple[int, int]]) -> np.ndarray:
    """Two round figures, 40 px high, and lines beside them."""
    crop = np.full((60, 130), 245, np.uint8)
    for x in (45, 95):
        cv2.ellipse(crop, (x, 30), (12, 20), 0, 0, 360, 20, 4, cv2.LINE_AA)
    for a, b in strokes:
        cv2.line(crop, a, b, 20, 4, cv2.LINE_AA)
    return crop


def test_a_stroke_as_high_as_the_figures_is_asked_as_a_1():
    first, second = weigh_uprights(crop_with(((12, 11), (12, 49))), SAID, most=WIPED)
    assert (first.text, second.text) == ("10'-2", "0'-2")
    assert raise_odds(first.confidence) < 0.9
    assert second.confidence <= first.confidence


@pytest.mark.parametrize(
    "strokes",
    [
        (),
        (((12, 0), (12, 59)),),  # an extension line: it runs out of the crop
        (((12, 26), (12, 34)),),  # a speck or a piece of a mark
        (((4, 30), (24, 30)),),  # the stub of a dimension line
    ],
)
def test_other_marks_before_the_figures_change_nothing(strokes):
    crop = crop_with(*strokes)
    assert not begins_with_upright(crop)
    assert weigh_uprights(crop, SAID, most=WIPED) is SAID


def test_a_reading_that_begins_with_a_stem_is_left():
    said = (NetCandidate("10'-2", 0.99),)
    assert weigh_uprights(crop_with(((12, 11), (12, 49))), said, most=WIPED) is said
    assert weigh_uprights(np.zeros((0, 5), np.uint8), (), most=WIPED) == ()


def test_a_stroke_speaks_for_a_1_that_was_read():
    said = (NetCandidate("1 7/8", 0.5), NetCandidate("7/8", 0.4), NetCandidate("4 7/8", 0.1))
    first, other, twin = weigh_uprights(crop_with(((12, 11), (12, 49))), said, most=WIPED)
    assert (first.text, first.confidence) == ("1 7/8", pytest.approx(0.86))
    assert (other.text, twin.text, twin.confidence) == ("4 7/8", "7/8", pytest.approx(0.04))
    assert weigh_uprights(crop_with(), said, most=WIPED) is said


def test_of_two_1s_one_may_be_a_line():
    said = (NetCandidate("11'-2", 0.5), NetCandidate("1'-2", 0.4))
    assert weigh_uprights(crop_with(((12, 11), (12, 49))), said, most=WIPED) is said


def test_a_stroke_that_stands_out_past_the_figures_speaks_for_no_1():
    """Ends of extension lines do: it is asked about, but makes no reading surer."""
    crop = np.pad(crop_with(), ((12, 12), (0, 0)), constant_values=245)
    cv2.line(crop, (12, 8), (12, 76), 20, 4, cv2.LINE_AA)
    assert begins_with_upright(crop)
    said = (NetCandidate("1 7/8", 0.5), NetCandidate("7/8", 0.4))
    assert weigh_uprights(crop, said, most=WIPED) is said


TWO_STROKES = (((14, 11), (14, 49)), ((26, 11), (26, 49)))


def test_of_two_strokes_the_one_that_was_not_read_is_asked_as_it_was_heard():
    """A 1 and the fraction 13/32, whose 1 was taken for the only one."""
    crop = crop_with(*TWO_STROKES)
    said = (NetCandidate("13/32", 0.6), NetCandidate("1 13/32", 0.3), NetCandidate("3/32", 0.1))
    first, second, _ = weigh_uprights(crop, said, most=WIPED)
    assert (first.text, second.text) == ("1 13/32", "13/32")
    assert second.confidence == 0.6
    assert raise_odds(first.confidence) < 0.9


def test_two_strokes_speak_for_two_1s():
    said = (NetCandidate("11'-2", 0.5), NetCandidate("1'-2", 0.4))
    first, twin = weigh_uprights(crop_with(*TWO_STROKES), said, most=WIPED)
    assert (first.confidence, twin.confidence) == (pytest.approx(0.86), pytest.approx(0.04))


def test_the_bar_of_a_fraction_is_no_second_stroke():
    said = (NetCandidate("1/2", 0.99), NetCandidate("11/2", 0.01))
    crop = crop_with(((12, 11), (12, 49)), ((20, 49), (30, 11)))
    assert weigh_uprights(crop, said, most=WIPED) is said
