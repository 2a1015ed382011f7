"""What a stated resolution is worth."""

from __future__ import annotations

import pytest

from audit.sheets.resolution import judge_resolution


def judge(dpi_x, dpi_y=None, *, size=(2550, 3300), camera=False):
    return judge_resolution(dpi_x, dpi_y or dpi_x, width=size[0], height=size[1], camera=camera)


@pytest.mark.parametrize("dpi", [100, 150, 200, 300, 600, 1200])
def test_a_scanner_resolution_fixes_the_paper(dpi):
    found = judge(float(dpi), size=(8.5 * dpi, 11 * dpi))
    assert found.known
    assert found.remark == ""
    corner = found.to_paper.apply((8.5 * dpi, 11 * dpi))
    assert corner == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_a_fax_has_two_resolutions():
    """Standard fax: 204 × 98 dots to the inch (ITU-T T.4, from memory)."""
    found = judge(204.0, 98.0, size=(1728, 1078))
    assert found.to_paper.apply((204, 98)) == pytest.approx((25.4, 25.4))


def test_whole_dots_lost_in_metres_are_restored():
    """PNG stores pixels per metre: 200 dpi becomes 7874 px/m = 199.9996 dpi."""
    found = judge(7874 * 0.0254)
    assert found.dpi_x == 200.0
    assert found.to_paper.rows[0][0] == 25.4 / 200


@pytest.mark.parametrize(
    ("dpi", "camera", "size", "reason"),
    [
        (72.0, False, (2550, 3300), "states 72 dpi"),
        (96.0, False, (2550, 3300), "states 96 dpi"),
        (96.012, False, (2550, 3300), "states 96 dpi"),
        (71.9836, False, (2550, 3300), "states 72 dpi"),
        (300.0, True, (2550, 3300), "a photo"),
        (None, False, (2550, 3300), "states no resolution"),
        (1e-310, False, (2550, 3300), "states no resolution"),
        (300.0, False, (100, 100), "8 × 8 mm"),
        (30.0, False, (9000, 9000), "7620 × 7620 mm"),
    ],
)
def test_what_means_nothing_on_paper_is_only_a_guess(dpi, camera, size, reason):
    found = judge(dpi, camera=camera, size=size)
    assert not found.known
    assert reason in found.remark
    assert found.to_paper.apply((200, 200)) == pytest.approx((25.4, 25.4))  # as if 200 dpi
