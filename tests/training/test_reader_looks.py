"""Crops drawn for training: pictures taken too coarse, and marks as faces have them."""

from __future__ import annotations

import numpy as np
import pytest

pytest.importorskip("PIL")

from audit.training.reader import scanning
from audit.training.reader.pens import OutlineFont, OutlinePen


def bar_of_ink():
    ink = np.zeros((40, 90), np.uint8)
    ink[10:30, 40:52] = 255
    return ink


def middle_of(picture):
    dark = np.percentile(picture, 90) - picture.astype(float)
    dark[dark < 0.4 * dark.max()] = 0
    ys, xs = np.indices(picture.shape)
    return (dark * xs).sum() / dark.sum(), (dark * ys).sum() / dark.sum()


def steepest(picture):
    wide = picture.astype(float)
    return np.abs(np.diff(wide, axis=1)).max() / max(np.ptp(wide), 1.0)


@pytest.mark.parametrize("seed", range(12))
def test_a_coarse_picture_shows_its_ink_where_it_was(seed, monkeypatch):
    monkeypatch.setattr(scanning, "uneven_light", lambda _, picture: picture)
    picture = scanning.scan(np.random.default_rng(seed), bar_of_ink(), look="coarse", cap_px=20.0)
    assert picture.shape == (40, 90)
    assert middle_of(picture) == pytest.approx((45.5, 19.5), abs=1.5)


def test_only_large_letters_are_taken_coarsely():
    def softness(cap_px):
        rngs = map(np.random.default_rng, range(40))
        seen = [scanning.scan(r, bar_of_ink(), look="coarse", cap_px=cap_px) for r in rngs]
        return float(np.median([steepest(s) for s in seen]))

    assert softness(scanning.COARSEST_CAP_PX) > 1.3 * softness(40.0)


def test_sharpening_leaves_a_light_seam_beside_ink():
    picture = np.full((20, 60), 200, np.uint8)
    picture[:, 30:] = 60
    sharp = scanning.sharpened(np.random.default_rng(3), picture)
    assert sharp[10, 28:30].max() > 205
    assert sharp[10, 5] == pytest.approx(200, abs=1)


@pytest.mark.parametrize(("doubled", "shown"), [(False, "5’-6”"), (True, "5’-6’’")])
def test_marks_are_curly_where_the_face_has_that(doubled, shown):
    face = OutlineFont("", "Face", "serif", 0.7, "0123456789'\"-", unicase=False, curly=True)
    pens = [OutlinePen(np.random.default_rng(seed), face) for seed in range(60)]
    assert 10 < sum(pen.curled for pen in pens) < 35
    pen = next(pen for pen in pens if pen.curled and not pen.borrowed)
    pen.doubled = doubled
    assert "".join(run for run, _ in pen._runs("5'-6\"")) == shown
