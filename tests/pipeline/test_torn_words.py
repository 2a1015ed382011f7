"""Titles of which the network saw one word and a stroke of the next."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from audit.geometry import Box
from audit.pipeline.torn_words import mend_torn_words
from audit.reading import TextSpot, available_readers
from audit.records import Candidate, ReadBy

HEIGHT = 60


def drawn(text, *, lines=True):
    """A title in large letters between two rules of its block."""
    picture = Image.new("L", (900, 160), 250)
    pen = ImageDraw.Draw(picture)
    pen.text((60, 80), text, font=ImageFont.load_default(HEIGHT), fill=30, anchor="lm")
    if lines:
        pen.line([(0, 20), (900, 20)], fill=30, width=4)
        pen.line([(800, 0), (800, 160)], fill=30, width=4)
    return np.asarray(picture)


def boxes_of(gray):
    """Boxes of the letters, left to right, found by their columns."""
    inked = (gray[30:130, :780] < 128).any(axis=0)
    edges = np.flatnonzero(np.diff(inked.astype(int), prepend=0, append=0)).reshape(-1, 2)
    rows = np.flatnonzero((gray[30:130, :780] < 128).any(axis=1)) + 30
    return [Box(float(a), float(rows[0]), float(b), float(rows[-1] + 1)) for a, b in edges]


def spot(box, gray):
    cut = box.grown(4)
    crop = gray[int(cut.y0) : int(cut.y1), int(cut.x0) : int(cut.x1)]
    return TextSpot(
        box=box,
        angle=0.0,
        distance=0.0,
        crop=crop,
        centre=box.centre,
        length=box.width,
        height=box.height,
    )


def heard(text, confidence):
    return (Candidate(text=text, confidence=confidence, by=ReadBy.NET),)


@pytest.fixture(scope="module")
def readers():
    return available_readers()


def test_a_stroke_of_the_next_word_goes_to_the_line_it_is_of(readers):
    gray = drawn("TOWER HILT")
    letters = boxes_of(gray)
    word = Box.around([c for b in letters[:5] for c in b.corners])
    stroke = Box(letters[6].x0, letters[6].y0, letters[6].x1, letters[6].centre.y)
    spots, votes = mend_torn_words(
        gray,
        (spot(word, gray), spot(stroke, gray)),
        (heard("TOWER", 1.0), heard("1", 0.4)),
        readers,
    )
    assert [v[0].text for v in votes] == ["TOWER HILT"]
    assert spots[0].box.x1 == pytest.approx(letters[-1].x1, abs=2)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (("TOWER", 1.0), ("1", 0.99)),  # the size is sure
        (("R 3", 1.0), ("1", 0.4)),  # no word
        (("TOWER", 0.5), ("1", 0.4)),
    ],
)
def test_what_is_sure_or_no_word_stays_as_it_was_read(readers, first, second):
    gray = drawn("TOWER HILT")
    letters = boxes_of(gray)
    word = Box.around([c for b in letters[:5] for c in b.corners])
    stroke = Box(letters[6].x0, letters[6].y0, letters[6].x1, letters[6].centre.y)
    given = (spot(word, gray), spot(stroke, gray))
    spots, _ = mend_torn_words(gray, given, (heard(*first), heard(*second)), readers)
    assert spots == given


def test_a_size_beside_a_word_that_ends_there_stays(readers):
    gray = drawn("TOWER")
    word = Box.around([c for b in boxes_of(gray) for c in b.corners])
    small = Box(word.x1 + 60, word.y0 + 20, word.x1 + 75, word.y0 + 40)
    given = (spot(word, gray), spot(small, gray))
    spots, _ = mend_torn_words(gray, given, (heard("TOWER", 1.0), heard("1", 0.4)), readers)
    assert spots == given
