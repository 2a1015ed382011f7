"""Sizes that lines touch are cut twice, and doubted where the second cut says another size."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from audit.pipeline.steady import doubt_unsteady
from tests.pipeline.test_cut_short import size
from tests.pipeline.test_lone_signs import PAPER, Says, spot

OWN = spot(200, 200, 60)
CROSSED = PAPER.copy()
CROSSED[100:300, 210:214] = 20
BESIDE = PAPER.copy()
BESIDE[190:210, 180:190] = 20  # its own figures: within the cut
BESIDE[100:300, 250:254] = 20


def read_as(text, confidence=0.99, *, confirmed=False):
    dimension = size(OWN, confirmed=confirmed)
    return replace(dimension, reading=replace(dimension.reading, text=text, confidence=confidence))


def told(reader, dimension, picture=CROSSED):
    (done,) = doubt_unsteady([dimension], picture, [OWN], [reader])
    return done.reading.doubt


def test_a_size_that_reads_otherwise_a_little_higher_is_doubted():
    assert "R 9/16" in told(Says("R 9/16"), read_as("R3/16"))
    (done,) = doubt_unsteady([read_as("R3/16")], CROSSED, [OWN], [Says("R 9/16")])
    assert done.reading.confidence <= 0.5
    assert done.reading.text == "R3/16"


@pytest.mark.parametrize(
    ("own", "other"), [("R 1/8", "R. 1/8"), ('5 1/2"', "5 1/2"), ("Ø 9", "Ø9"), ("63.5", "63.5'")]
)
def test_the_same_figures_leave_no_doubt(own, other):
    assert not told(Says(other), read_as(own))


@pytest.mark.parametrize(
    ("own", "other", "doubted"),
    [("7/8", "7", False), ("3 1/16", "1/16", False), ("17", "7", True), ("7/1", "7", True)],
)
def test_a_cut_that_lost_figures_leaves_no_doubt_but_for_those_that_lines_make(own, other, doubted):
    assert bool(told(Says(other), read_as(own))) is doubted


def test_what_is_no_size_or_hardly_heard_leaves_no_doubt():
    assert not told(Says("NOTE"), read_as("3/16"))
    assert not told(Says("9/16", 0.2), read_as("3/16"))


def test_only_texts_that_ink_crosses_are_read_again():
    reader = Says("9/16")
    assert not told(reader, read_as("3/16"), BESIDE)
    assert not np.array_equal(BESIDE, PAPER)
    assert not reader.crops
    assert not told(reader, read_as("3/16", confirmed=True))
    assert not told(reader, read_as("3/16", 0.6))
    assert not reader.crops
