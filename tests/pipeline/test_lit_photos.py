"""Photos in bad light are looked at as if they lay in good light."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from audit.geometry import Transform
from audit.networks.page import darken
from audit.pipeline.placing import prepare_ground
from audit.sheets import load_plan

LEANS = Transform(((0.1, 0.0, 0.0), (0.0, 0.1, 0.0), (1e-5, 0.0, 1.0)))
HIGH, WIDE = 800, 1000
EDGE, SOFT_PX = 500.0, 8.0
# of a lamp, of which a hand takes away nearly half on the left
LIGHT = 1.0 - 0.45 / (1.0 + np.exp((np.arange(WIDE) - EDGE) / SOFT_PX))


def ground_of(pixels, folder, *, to_paper=LEANS, dpi=None):
    path = folder / "photo.png"
    told = {} if dpi is None else {"dpi": (dpi, dpi)}
    Image.fromarray(pixels.astype(np.uint8)).save(path, **told)
    with load_plan([path]) as plan:
        (sheet,) = plan.sheets
        if to_paper is not None:
            sheet = replace(sheet, to_paper=to_paper, paper_known=False)
        return prepare_ground(plan, sheet).image


@pytest.fixture(scope="module")
def drawn():
    page = np.full((HIGH, WIDE), 220.0)
    page[200:203, 100:900] = 40
    page[600:603, 100:900] = 40
    page[100:700, 300:303] = 40
    return page


def darkness_beside(image, place):
    """What the page network is shown of paper at a place of the photo."""
    x, y = image.to_frame.inverse().apply(place)
    dark = darken(image.pixels)
    return float(dark[int(y) - 10 : int(y) + 10, int(x) - 10 : int(x) + 10].mean())


def test_the_edge_of_a_shadow_is_no_ink(drawn, tmp_path):
    bright, dark = ground_of(drawn, tmp_path), ground_of(drawn * LIGHT, tmp_path)
    for off in (0, 20, 40, 80, 120):
        in_shade = (EDGE - off, 400)
        assert darkness_beside(dark, in_shade) < darkness_beside(bright, in_shade) + 0.05
    on_line = (EDGE - 40, 201.5)
    assert darkness_beside(dark, on_line) > 0.8 * darkness_beside(bright, on_line)


def test_a_photo_taken_from_straight_above_is_lit_like_any_other(drawn, tmp_path):
    shaded = ground_of(drawn * LIGHT, tmp_path, to_paper=None)
    assert max(darkness_beside(shaded, (EDGE - off, 400)) for off in (0, 40, 80, 120)) < 0.05


def test_a_scan_keeps_the_light_it_was_made_with(drawn, tmp_path):
    scan = drawn * LIGHT
    ground = ground_of(scan, tmp_path, to_paper=None, dpi=300)
    assert (ground.pixels == scan.astype(np.uint8)).all()


def test_a_photo_of_light_lines_on_dark_keeps_all_its_lines(drawn, tmp_path):
    blue = np.where(drawn < 128, 210.0, 100.0)
    image = ground_of(blue * LIGHT, tmp_path)
    for place in ((150, 201.5), (850, 601.5), (301.5, 400)):
        x, y = image.to_frame.inverse().apply(place)
        across = image.pixels[int(y) - 10 : int(y) + 11, int(x) - 10 : int(x) + 11]
        assert int(across.max()) - int(across.min()) > 80
