"""Where the stroke lies in many profiles at once, against looking along each by itself."""

import statistics

import numpy as np
import pytest

from audit.snapping.profile import (
    HALF_LEVEL,
    MIN_CONTRAST,
    NOISE_LEVELS,
    STEP_PX,
    find_middles,
    noise_of,
)
from audit.snapping.strokes import middle_of


def look_along(row, offsets, floor):
    """Walk from the peak to both sides until the profile falls under half its height."""
    nearness = 1.0 - 0.5 * np.abs(offsets) / offsets[-1]
    top = int(np.argmax(row * nearness))
    height = float(row[top])
    left = right = top
    while left > 0 and row[left - 1] >= height * HALF_LEVEL:
        left -= 1
    while right < len(row) - 1 and row[right + 1] >= height * HALF_LEVEL:
        right += 1
    if height < floor or left == 0 or right == len(row) - 1:
        return np.nan, np.nan, np.nan

    def crossing(i):
        a, b = float(row[i]), float(row[i + 1])
        share = (height * HALF_LEVEL - a) / (b - a) if a != b else 0.5
        return float(offsets[i]) + STEP_PX * share

    low, high = crossing(left - 1), crossing(right)
    return (low + high) / 2, high - low, height


@pytest.mark.parametrize("reach", [3.1, 7.0, 24.25])
def test_all_profiles_at_once_give_what_each_gives_by_itself(reach):
    rng = np.random.default_rng(7)
    offsets = np.arange(-reach, reach + STEP_PX / 2, STEP_PX)
    at = rng.uniform(-reach, reach, (400, 1))
    wide, dark = rng.uniform(0.3, 6.0, (400, 1)), rng.uniform(0.0, 200.0, (400, 1))
    values = rng.normal(0, 3, (400, len(offsets))) + dark * np.exp(-(((offsets - at) / wide) ** 2))
    values[:30] = np.round(values[:30] / 20) * 20  # flat tops and equal neighbours
    values[30:34], values[34:36] = 0.0, 100.0
    values = values.astype(np.float32)
    floor = max(MIN_CONTRAST, NOISE_LEVELS * 2.0)
    one_by_one = np.array([look_along(row, offsets, floor) for row in values]).T
    at_once = find_middles(values, offsets, noise=2.0)
    np.testing.assert_array_equal(at_once, one_by_one)
    assert 100 < np.isfinite(at_once[0]).sum() < 400


def test_no_profiles_give_no_strokes():
    assert [
        len(v) for v in find_middles(np.zeros((0, 9), np.float32), np.arange(-4, 5.0), noise=1)
    ] == [
        0,
        0,
        0,
    ]


@pytest.mark.parametrize("count", [1, 2, 7, 40])
def test_the_middle_of_some_values_is_their_median(count):
    values = np.random.default_rng(count).normal(size=count)
    assert middle_of(values) == np.median(values) == statistics.median(values.tolist())


@pytest.mark.parametrize("spread", [0.0, 2.0, 5.5, 5.9, 6.0, 6.1, 6.5, 12.0])
def test_noise_that_hides_no_stroke_need_not_be_told(spread):
    """Elsewhere it is what the median of all second differences says."""
    rng = np.random.default_rng(int(10 * spread))
    for shape in [(40, 41), (41, 62), (9, 3)]:
        dark = rng.normal(0, spread, shape).astype(np.float32)
        bends = np.abs(dark[:, 2:] - 2 * dark[:, 1:-1] + dark[:, :-2])
        noise = float(1.4826 * np.median(bends) / np.sqrt(6.0))
        least = max(MIN_CONTRAST, NOISE_LEVELS * noise)
        assert max(MIN_CONTRAST, NOISE_LEVELS * noise_of(dark)) == least
        assert noise_of(dark) in (0.0, noise)
        assert noise_of(dark) == 0.0 or spread > 5.0
        assert noise_of(dark) > 0.0 or spread < 7.0
