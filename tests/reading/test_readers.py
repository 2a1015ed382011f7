"""Votes of several readers, and Tesseract as one of them."""

from __future__ import annotations

import shutil

import numpy as np
import pytest

from audit.geometry import Box
from audit.lengths import Unit
from audit.reading import TesseractReader, available_readers, hear_readers, read_typed, vote
from audit.records import Candidate, ReadBy
from tests.snapping.drawn import new_page, render

BOX = Box(0, 0, 10, 5)


def candidate(text: str, confidence: float, by: ReadBy) -> Candidate:
    return Candidate(text=text, confidence=confidence, by=by)


def settle(*votes: Candidate):
    return vote(votes, box=BOX, angle=0.0, unit=Unit.IN)


def test_nobody_read_anything_is_no_reading():
    assert settle() is None
    assert settle(candidate("  ", 0.9, ReadBy.NET)) is None


def test_two_readers_that_agree_make_it_surer():
    alone = settle(candidate("3 9/32", 0.9, ReadBy.NET))
    both = settle(candidate("3 9/32", 0.9, ReadBy.NET), candidate("3  9/32", 0.6, ReadBy.TESSERACT))
    assert alone is not None
    assert both is not None
    assert both.confidence > alone.confidence
    assert len(both.candidates) == 2


def test_picture_that_contradicts_the_text_layer_is_doubted_and_keeps_both():
    reading = settle(candidate("P 1/4", 0.99, ReadBy.PDF), candidate("Ø 1/4", 0.95, ReadBy.NET))
    assert reading is not None
    assert reading.confidence <= 0.6
    assert "Ø 1/4" in reading.doubt
    assert {c.by for c in reading.candidates} == {ReadBy.PDF, ReadBy.NET}


def test_a_usual_size_is_not_preferred_to_the_surer_odd_one():
    reading = settle(candidate("3 5/7", 0.95, ReadBy.NET), candidate("3 5/8", 0.4, ReadBy.NET))
    assert reading is not None
    assert reading.text == "3 5/7"


def test_text_that_is_no_size_is_never_sure():
    reading = settle(candidate("RA%", 0.99, ReadBy.NET))
    assert reading is not None
    assert reading.callout is None
    assert reading.confidence <= 0.5


def test_what_a_person_typed_is_confirmed():
    reading = read_typed(" 2X  R 3/8 TYP ", points=[(1, 2), (30, 4)], unit=Unit.IN)
    assert (reading.text, reading.confirmed, reading.confidence) == ("2X R 3/8 TYP", True, 1.0)
    assert reading.callout is not None
    assert reading.callout.count == 2
    assert reading.box == Box(1, 2, 30, 4)


def test_typed_nonsense_says_so():
    assert read_typed("banana", points=[(1, 2)], unit=Unit.IN).doubt == "this is no size we know"


needs_tesseract = pytest.mark.skipif(
    shutil.which("tesseract") is None, reason="Tesseract is not installed; the job works without"
)


def test_without_tesseract_it_is_not_offered(monkeypatch):
    monkeypatch.setattr(shutil, "which", lambda _: None)
    assert TesseractReader().is_available() is False
    assert all(r.name is not ReadBy.TESSERACT for r in available_readers())


@needs_tesseract
def test_tesseract_reads_a_plain_size_but_is_not_believed_alone():
    page = new_page()
    page.insert_text((40, 60), "12.375", fontsize=14)
    gray = render(page, 200).gray[100:180, 100:300]
    ((first, *_),) = TesseractReader().read([gray])
    assert first.text == "12.375"
    assert first.confidence < 0.9


@needs_tesseract
def test_tesseract_says_nothing_of_blank_paper():
    assert TesseractReader().read([np.full((40, 90), 250, np.uint8)]) == ((),)
    assert TesseractReader().read([np.zeros((0, 0), np.uint8)]) == ((),)


def test_text_with_two_meanings_is_asked_not_chosen():
    reading = settle(candidate("131/32", 0.97, ReadBy.NET))
    assert reading is not None
    assert reading.confidence < 0.9
    assert "it may also mean" in reading.doubt
    plain = settle(candidate("11/16", 0.97, ReadBy.NET))
    assert plain is not None
    assert (plain.confidence, plain.doubt) == (0.97, "")


class Echo:
    """A reader that says what it was told to say, and remembers how much it was asked."""

    def __init__(self, name: ReadBy, *answers: str, confidence: float) -> None:
        self.name, self.answers, self.confidence, self.asked = name, answers, confidence, 0

    def is_available(self) -> bool:
        return True

    def read(self, crops):
        self.asked += len(crops)
        return tuple(
            (candidate(self.answers[int(c[0, 0])], self.confidence, self.name),) for c in crops
        )


def test_slow_reader_is_asked_only_where_the_first_is_unsure():
    crops = [np.full((4, 4), i, np.uint8) for i in range(3)]
    sure = Echo(ReadBy.NET, "1", "2", "3", confidence=0.95)
    slow = Echo(ReadBy.TESSERACT, "1", "2", "3", confidence=0.5)
    assert [len(v) for v in hear_readers(crops, [sure, slow])] == [1, 1, 1]
    assert (sure.asked, slow.asked) == (3, 0)
    unsure = Echo(ReadBy.NET, "1", "2", "3", confidence=0.6)
    assert [len(v) for v in hear_readers(crops, [unsure, slow])] == [2, 2, 2]
    assert [v[1].text for v in hear_readers(crops, [unsure, slow])] == ["1", "2", "3"]
