"""Points that were read, and whether they have ink, set by MuPDF."""

from __future__ import annotations

import numpy as np
import pytest

from audit.networks.decoding import NetCandidate
from audit.networks.points import Blobs, count_blobs, lacks_ink
from audit.networks.reader import weigh_points
from tests.snapping.drawn import new_page, render


def crop_of(text: str) -> np.ndarray:
    page = new_page()
    page.insert_text((80, 80), text, fontsize=11)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    return gray[rows.min() - 6 : rows.max() + 7, columns.min() - 6 : columns.max() + 7]


@pytest.mark.parametrize(("text", "blobs"), [("2.375", Blobs(1, 4)), ("330 3", Blobs(0, 4))])
def test_points_are_counted_apart_from_figures(text, blobs):
    assert count_blobs(crop_of(text)) == blobs


@pytest.mark.parametrize("text", ["2.375", "12,5", ".750 REF", "1.5 [38.1]", "6H."])
def test_a_printed_point_has_ink(text):
    blobs = count_blobs(crop_of(text))
    assert blobs is not None
    assert not lacks_ink(text, blobs)


def test_a_point_without_ink_is_put_back_behind_the_reading_without_it():
    said = (NetCandidate("330 .3", 0.7), NetCandidate("330 3", 0.25), NetCandidate("380 3", 0.05))
    weighed = weigh_points(crop_of("330 3"), said)
    assert [c.text for c in weighed] == ["330 3", "330 .3", "380 3"]
    assert weighed[0].confidence == 0.25


def test_a_point_with_ink_stays():
    said = (NetCandidate("33.3", 0.7), NetCandidate("333", 0.25))
    assert weigh_points(crop_of("33.3"), said) == said


def test_no_number_is_preferred_to_another():
    said = (NetCandidate("330 .8", 0.7), NetCandidate("330 3", 0.25))
    assert weigh_points(crop_of("330 3"), said) == said


def test_nothing_is_counted_on_paper():
    assert count_blobs(np.full((30, 90), 200, np.uint8)) is None
