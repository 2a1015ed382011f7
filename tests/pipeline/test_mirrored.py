"""A picture whose file says that it is stored mirrored reads like the one it shows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from audit.pipeline.placing import prepare_ground
from audit.pipeline.sheet import look_at_sheet
from audit.records import Settings
from audit.sheets import load_plan

SCAN = Path(__file__).parents[2] / "sample_scans" / "marble-lift-2.png"
PIECE = (240, 1130, 1000, 1480)  # the rail with its sizes
MIRRORED = 2  # EXIF orientation: left and right are swapped


@pytest.fixture(scope="module")
def looked_at(tmp_path_factory):
    """The same piece of the sample scan, stored as it is and stored mirrored."""
    folder = tmp_path_factory.mktemp("mirrored")
    piece = Image.open(SCAN).convert("L").crop(PIECE)
    exif = Image.Exif()
    exif[274] = MIRRORED
    piece.save(folder / "plain.png", dpi=(200, 200))
    over = piece.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    over.save(folder / "over.tif", dpi=(200, 200), exif=exif)
    with load_plan([folder / "plain.png", folder / "over.tif"]) as plan:
        grounds = [prepare_ground(plan, sheet) for sheet in plan.sheets]
        yield (
            plan.sheets,
            grounds,
            [look_at_sheet(plan, sheet, settings=Settings()) for sheet in plan.sheets],
        )


def test_the_ground_is_turned_over_and_leads_back_to_the_stored_pixels(looked_at):
    (_, sheet), (plain, over), _ = looked_at
    assert sheet.mirrored
    assert np.array_equal(over.image.pixels, plain.image.pixels)
    place = over.image.to_frame.apply((100.5, 50.5))
    assert place == pytest.approx((sheet.width - 100.5, 50.5))


def test_the_same_sizes_are_found_and_read_on_both(looked_at):
    (_, sheet), _, (plain, over) = looked_at

    def sizes(found):
        return sorted(str(d.printed.value) for d in found.dimensions if d.printed is not None)

    assert len(sizes(plain)) >= 2
    assert sizes(over) == sizes(plain)
    there = {str(d.printed.value): d for d in plain.dimensions if d.printed is not None}
    for dimension in over.dimensions:
        if dimension.printed is None:
            continue
        same = there[str(dimension.printed.value)]
        ends = sorted((sheet.width - e.point.x, e.point.y) for e in dimension.ends)
        expected = sorted((e.point.x, e.point.y) for e in same.ends)
        assert np.allclose(ends, expected, atol=0.02)
        assert abs(abs(dimension.reading.angle - same.reading.angle) - 180) < 1e-6
