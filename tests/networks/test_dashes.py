"""Dashes that the ends of dimension lines make beside a size."""

from __future__ import annotations

import pytest

from audit.networks.dashes import weigh_dashes
from audit.networks.decoding import NetCandidate
from audit.networks.reader import WIPED, raise_odds


def test_the_size_without_the_dash_has_the_probability_of_both_and_is_never_sure():
    said = [NetCandidate("-8'3\"", 0.6), NetCandidate("8'3\"", 0.3), NetCandidate("x", 0.1)]
    first, second, _ = weigh_dashes(said, most=WIPED)
    assert first.text == "8'3\""
    assert first.confidence == pytest.approx(WIPED)
    assert second.text == "-8'3\""
    assert raise_odds(first.confidence) < 0.9


@pytest.mark.parametrize("text", ["1/4-20", "3'-", "A-A", "5-1/2", "6", "-.005", "-0,2"])
def test_dashes_that_a_text_may_have_are_left(text):
    said = (NetCandidate(text, 0.7), NetCandidate("7", 0.2))
    assert weigh_dashes(said, most=WIPED) == said


def test_nothing_read_stays_nothing():
    assert weigh_dashes((), most=WIPED) == ()
