"""The drawing vouches for a reading that is not sure, and only where it can tell."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks.vouching import VOUCHED, confidence_with_fit
from audit.lengths import Mark
from audit.lengths.around import BESIDE_LETTER, LOST_BRACKET
from audit.records import Candidate, ReadBy, Verdict
from audit.records.doubts import CUT_OTHERWISE, LIKE_A_ONE, MAY_BE_PART, NEARLY_TOUCHES, SECOND_SIZE
from tests.checks.judging import judged, size, verdict


def heard(printed, drawn, *others, confidence=0.6, by=ReadBy.NET, **more):
    """A size whose text our network read with little confidence, and what else it heard."""
    base = size(printed, drawn, callout={"confidence": confidence}, **more)
    said = [(base.reading.text, confidence), *others]
    candidates = tuple(Candidate(text=t, confidence=c, by=ReadBy.NET) for t, c in said)
    return replace(base, reading=replace(base.reading, by=by, candidates=candidates))


def test_an_unsure_reading_that_the_drawing_measures_agrees_and_says_why():
    got = verdict(heard("3", 3.0, ("8", 0.3)))
    assert (got.verdict, got.why) == (Verdict.AGREES, VOUCHED)
    assert got.difference == pytest.approx(0.0)
    assert got.reading.confidence == 0.6  # the reading itself is as unsure as before
    assert not judged(heard("3", 3.0, ("8", 0.3))).findings


@pytest.mark.parametrize(
    "unsure",
    [
        heard("3", 3.3),  # not what is drawn
        heard("3", 3.0, confidence=0.2),  # hardly heard
        heard("193/64", 3.0, ("3", 0.2), sigma=1.0),  # 3 fits as well as 3 1/64
        heard("3", 3.0, by=ReadBy.TESSERACT),
        heard("3", 3.0, sigma=8.0),  # the ends are too coarse
    ],
)
def test_a_reading_that_the_drawing_cannot_bear_out_stays_unsure(unsure):
    got = verdict(unsure)
    assert got.verdict is Verdict.NOT_CHECKED
    assert got.why.startswith("check the reading")


def test_a_doubt_about_the_text_itself_is_not_for_the_drawing_to_settle():
    base = heard("3", 3.0)
    doubted = replace(base, reading=replace(base.reading, doubt="the picture shows another text"))
    assert verdict(doubted).verdict is Verdict.NOT_CHECKED


BESIDE = (LIKE_A_ONE, f"“1/2” {NEARLY_TOUCHES}", f"“t” {MAY_BE_PART}")


@pytest.mark.parametrize("doubt", [LOST_BRACKET, BESIDE_LETTER, SECOND_SIZE, *BESIDE])
def test_whether_more_belongs_to_a_size_the_drawing_settles_where_it_fits(doubt):
    fits, misses = heard("3", 3.0), heard("3", 3.3)
    for base, due in ((fits, Verdict.AGREES), (misses, Verdict.NOT_CHECKED)):
        doubted = replace(base, reading=replace(base.reading, doubt=doubt))
        assert verdict(doubted).verdict is due


def test_a_size_that_says_not_what_it_spans_is_not_vouched_for():
    steps = {"marks": frozenset({Mark.EQUALLY_SPACED}), "count": 5, "confidence": 0.6}
    base = size("3", 3.0, callout=steps)
    unsure = replace(base, reading=replace(base.reading, by=ReadBy.NET))
    assert verdict(unsure).verdict is Verdict.NOT_CHECKED


def test_two_spellings_of_one_size_count_together():
    alone = heard("3", 3.0, ("8", 0.3), confidence=0.3)
    both = heard("3", 3.0, ('3"', 0.25), ("8", 0.3), confidence=0.3)
    assert verdict(alone).verdict is Verdict.NOT_CHECKED
    assert verdict(both).verdict is Verdict.AGREES


def test_the_confidence_with_a_fit_is_bayes_rule():
    """Bayes' rule, by counting: of 1,000 readings 600 are right; 40 of the wrong ones fit too."""
    assert confidence_with_fit(0.6) == pytest.approx(600 / (600 + 40))


def test_another_reading_that_fits_counts_against_one_as_much_as_it_was_heard():
    """By Bayes' rule: .8 / (.8 + .05 + .15 × .1) is over .9, .8 / (.8 + .1 + .1 × .1) under."""
    faint, loud = (heard("193/64", 3.0, ("3", q), confidence=0.8, sigma=1.0) for q in (0.05, 0.1))
    assert verdict(faint).verdict is Verdict.AGREES
    assert verdict(loud).verdict is Verdict.NOT_CHECKED


def test_where_the_drawing_shows_no_fractions_a_reading_must_be_nearly_sure():
    """± a third of an inch: half of all misread fractions would fit."""
    for confidence, due in ((0.7, Verdict.NOT_CHECKED), (0.88, Verdict.AGREES)):
        coarse = heard("40", 40.0, sigma=8.0, confidence=confidence)
        assert verdict(coarse).verdict is due


@pytest.mark.parametrize(("says", "due"), [("8", Verdict.AGREES), ("2 63/64", Verdict.NOT_CHECKED)])
def test_what_another_cut_says_must_not_fit_the_drawing_too(says, due):
    base = heard("3", 3.0, sigma=1.0)
    doubted = replace(base, reading=replace(base.reading, doubt=CUT_OTHERWISE + says))
    assert verdict(doubted).verdict is due


def test_a_spelling_with_two_meanings_is_no_rival_when_one_of_them_is_the_size_read():
    unsure = heard("21/16", 1.3125, ("1 5/16", 0.3), ("15/16", 0.1))
    assert verdict(unsure).verdict is Verdict.AGREES
