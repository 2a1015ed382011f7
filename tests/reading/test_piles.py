"""Lone stacked fractions parted at their bar, drawn with OpenCV's own lettering."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.reading.piles import split_pile


def pile(*, bar=True, above="5", below="8", paper=240):
    """A crop of two figures, one above the other, and the rows they were drawn in."""
    crop = np.full((64, 24), paper, np.uint8)
    for text, foot in ((above, 28), (below, 58)):
        cv2.putText(crop, text, (4, foot), cv2.FONT_HERSHEY_SIMPLEX, 0.8, (20,), 2, cv2.LINE_AA)
    if bar:
        cv2.line(crop, (3, 34), (20, 34), (20,), 2)
    return crop


def ink_rows(part):
    return int((part < 128).any(axis=1).sum())


@pytest.mark.parametrize("bar", [True, False])
def test_a_pile_is_parted_at_its_bar_or_gap(bar):
    parted = split_pile(pile(bar=bar))
    # as high as the figures alone are drawn
    alone = ink_rows(pile(bar=False, above="5", below="")), ink_rows(pile(bar=False, above=""))
    assert (ink_rows(parted.above), ink_rows(parted.below)) == pytest.approx(alone, abs=1)
    assert parted.barred is bar


def test_parts_have_paper_around_them():
    parted = split_pile(pile())
    for part in (parted.above, parted.below):
        assert (np.concatenate([part[0], part[-1], part[:, 0], part[:, -1]]) == 240).all()


def test_one_tall_figure_is_no_pile():
    crop = np.full((64, 30), 240, np.uint8)
    cv2.putText(crop, "8", (2, 58), cv2.FONT_HERSHEY_SIMPLEX, 2.0, (20,), 3, cv2.LINE_AA)
    assert split_pile(crop) is None


def test_empty_crops_are_no_piles():
    assert split_pile(np.full((64, 24), 240, np.uint8)) is None
    assert split_pile(np.zeros((0, 0), np.uint8)) is None
