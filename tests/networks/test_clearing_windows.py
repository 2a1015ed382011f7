"""What comes in over a crop's edge is looked for where it can be: the same as on the whole crop."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.networks import clearing

HEIGHT = 14.0


def level_of_all(ink):
    """Ink of level lines, each looked for on the whole crop."""
    gone = np.zeros_like(ink)
    length = max(8, round(clearing.SIDE_LONG * HEIGHT))
    if length > ink.shape[1]:
        return gone
    closed = cv2.morphologyEx(ink.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((1, 3), np.uint8))
    runs = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((1, length), np.uint8))
    count, labels = cv2.connectedComponents(runs, connectivity=8)
    tall = clearing._run_heights(ink)
    for k in range(1, count):
        own = labels == k
        thick = float(np.median(own.sum(0)[own.any(0)]))
        if thick <= max(clearing.LINE_THIN * HEIGHT, 3):
            thin = tall <= thick + clearing.THICKER_PX
            fray = cv2.dilate((own & thin).astype(np.uint8), np.ones((3, 1), np.uint8)) > 0
            gone |= fray & ink & thin
    return gone


def joined_of_all(level, upright):
    """Lines that come in or make a frame, every group of them looked at."""
    both = level | upright
    near = cv2.dilate(both.astype(np.uint8), np.ones((3, 3), np.uint8))
    labels = cv2.connectedComponents(near, connectivity=8)[1]
    gone, gone_upright = np.zeros_like(both), np.zeros_like(both)
    long, side = clearing.LINE_LONG * HEIGHT, clearing.SIDE_LONG * HEIGHT
    for k in range(1, labels.max() + 1):
        flat, steep = (labels == k) & level, (labels == k) & upright
        low, high = sorted([clearing._reach(flat)[0], clearing._reach(steep)[1]])
        if high >= long and (low >= side or clearing._comes_in(flat | steep)):
            gone |= clearing._long_or_side(flat, steep, HEIGHT)
            gone_upright |= clearing._long_or_side(steep.T, flat.T, HEIGHT).T
    return gone, gone_upright


@pytest.fixture(scope="module")
def inks():
    """Level and upright strokes of all lengths, some at the edge, some of which cross."""
    rng, made = np.random.default_rng(11), []
    for _ in range(50):
        ink = np.zeros((rng.integers(14, 70), rng.integers(14, 120)), np.uint8)
        for x, y, reach in rng.integers(0, 60, (5, 3)).tolist():
            cv2.line(ink, (x, y), (x + reach, y + reach // 50), (1,), int(rng.integers(1, 4)))
            cv2.line(ink, (x, y), (x, y + reach), (1,), 1)
        made.append(ink > 0)
    return made


def test_level_lines_are_those_of_the_whole_crop(inks):
    found = [clearing._level(ink, HEIGHT) for ink in inks]
    assert all(np.array_equal(a, level_of_all(ink)) for a, ink in zip(found, inks, strict=True))
    assert sum(a.any() for a in found) > len(inks) // 2


def test_lines_that_come_in_are_those_of_all_groups(inks):
    said = set()
    for ink in inks:
        level, upright = level_of_all(ink), level_of_all(ink.T).T
        found = clearing._joined_or_cut(level, upright, HEIGHT)
        assert all(map(np.array_equal, found, joined_of_all(level, upright)))
        said |= {bool(found[0].any()), bool((level & ~found[0]).any())}
    assert said == {False, True}


def test_a_line_is_one_run_of_ink_in_nearly_all_its_rows_or_columns(inks):
    said = set()
    for ink in inks:
        runs = [
            (np.diff(np.pad(part, ((0, 0), (1, 0))).astype(int), axis=1) > 0).sum(1)
            for part in (ink, ink.T)
        ]
        single = max(np.mean(one == 1) for one in runs) > clearing.SINGLE
        long = max(ink.shape)
        slim = long >= clearing.LONGER * HEIGHT and ink.sum() <= clearing.LINE_AREA * long**2
        assert clearing.is_line(ink, HEIGHT) == (single and slim)
        said.add(single and slim)
    assert len(said) == 2
