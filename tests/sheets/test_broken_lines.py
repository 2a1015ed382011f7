"""Thin lines of black-and-white scans that came out as rows of specks."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.sheets.broken_lines import is_bilevel, mend_broken_lines


def paper():
    return np.full((200, 400), 255, np.uint8)


def broken(rng, *, upright=False):
    """A line a px wide of which two thirds are left, on one of two rows."""
    gray = paper().T.copy() if upright else paper()
    wide = gray.shape[0] if upright else gray.shape[1]
    at = np.arange(40, wide - 20)
    at = at[rng.random(len(at)) < 0.66]
    row = 100 + (rng.random(len(at)) < 0.4)
    spots = (at, row) if upright else (row, at)
    gray[spots] = 0
    return gray


@pytest.mark.parametrize("upright", [False, True])
def test_a_row_of_specks_becomes_a_line(upright):
    rng = np.random.default_rng(3)
    gray = broken(rng, upright=upright)
    mended = mend_broken_lines(gray)
    ink = (255.0 - mended) if not upright else (255.0 - mended).T
    assert (ink[98:104, 50:170].max(axis=0) > 80).all()
    assert (np.delete(ink, slice(98, 104), axis=0) == 0).all()


def test_the_line_lies_where_its_specks_do():
    gray = broken(np.random.default_rng(4))
    before, after = (255.0 - g for g in (gray, mend_broken_lines(gray)))
    rows = np.arange(200)
    places = [float((i.sum(axis=1) * rows).sum() / i.sum()) for i in (before, after)]
    assert places[1] == pytest.approx(places[0], abs=0.1)


def test_dashes_stay_dashes():
    gray = paper()
    for x in range(40, 360, 16):
        gray[100:102, x : x + 11] = 0
    assert mend_broken_lines(gray) is gray


def test_letters_and_whole_lines_stay_as_they_are():
    gray = paper()
    cv2.putText(gray, "PLATE 2", (40, 80), cv2.FONT_HERSHEY_SIMPLEX, 1.0, (0,), 2)
    gray[150:152, 20:380] = 0
    gray = np.where(gray < 128, 0, 255).astype(np.uint8)
    assert np.array_equal(mend_broken_lines(gray), gray)


def test_a_gray_picture_is_left_alone():
    gray = broken(np.random.default_rng(5))
    soft = cv2.GaussianBlur(gray, (0, 0), 0.8)
    assert is_bilevel(gray)
    assert not is_bilevel(soft)
    assert mend_broken_lines(soft) is soft


@pytest.mark.parametrize("upright", [False, True])
def test_where_on_a_large_picture_a_line_lies_plays_no_part(upright):
    """Specks that change between two rows, about the edges of the strips that are looked at."""
    added = []
    for y in (*range(509, 515), 600):
        picture = np.full((700, 300), 255, np.uint8)
        for k, x in enumerate(range(50, 250, 4)):
            picture[y + k % 2, x : x + 2] = 0
        picture = np.ascontiguousarray(picture.T) if upright else picture
        added.append(int((mend_broken_lines(picture) < picture).sum()))
    assert added[0] > 100
    assert len(set(added)) == 1
