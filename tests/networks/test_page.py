"""The page network on small drawings: where tips and text are, whatever the light and scale."""

from __future__ import annotations

import hashlib
import math
import re
from importlib import resources

import cv2
import numpy as np
import pytest

from audit.networks import page
from audit.networks.page import (
    FINER,
    RIM_PX,
    SIN,
    STRIDE,
    TILE_PX,
    darken,
    run_page,
    working_factor,
)

DPI = 200.0


def draw_dimension(*, size=(480, 320), ink=0, paper=255):
    """One horizontal dimension with filled arrowheads and a text above, drawn by OpenCV."""
    big = np.full((size[1] * 4, size[0] * 4), paper, np.uint8)

    def line(a, b, width):
        cv2.line(big, [v * 4 for v in a], [v * 4 for v in b], ink, width * 4 // 2, cv2.LINE_AA)

    line((100, 60), (100, 220), 3)
    line((380, 60), (380, 220), 3)
    line((100, 90), (380, 90), 3)
    for x, way in ((100, 1), (380, -1)):
        head = np.array([[x, 90], [x + way * 24, 86], [x + way * 24, 94]]) * 4
        cv2.fillPoly(big, [head], ink)
    cv2.putText(big, "2.800", (200 * 4, 80 * 4), cv2.FONT_HERSHEY_SIMPLEX, 3.0, ink, 9, cv2.LINE_AA)
    return cv2.resize(big, size, interpolation=cv2.INTER_AREA)


def tips_of(maps, *, score=0.4):
    return [t for t in maps.terminators if t.score > score and t.direction is not None]


@pytest.fixture(scope="module")
def maps():
    return run_page(draw_dimension(), px_per_mm=DPI / 25.4)


def test_both_tips_are_found_within_two_pixels_and_point_apart(maps):
    tips = sorted(tips_of(maps), key=lambda t: t.point.x)
    assert len(tips) == 2
    for tip, x, way in zip(tips, (100.5, 380.5), (0.0, 180.0), strict=True):
        assert math.hypot(tip.point.x - x, tip.point.y - 90.5) < 2.0
        assert abs((tip.direction - way + 180) % 360 - 180) < 20


def test_text_is_marked_and_the_lines_are_not(maps):
    rows, columns = np.nonzero(maps.text > 127)
    assert len(rows) > 200
    x, y = columns * maps.px_per_map_px, rows * maps.px_per_map_px
    assert x.min() > 190
    assert x.max() < 310
    assert y.min() > 45
    assert y.max() < 92


def test_the_dimension_line_is_told_from_the_extension_lines(maps):
    on_line = maps.line[44:47, 65:95].max(axis=0).mean()
    on_extension = maps.line[70:100, 49:52].max(axis=1).mean()
    assert on_line > 200
    assert on_extension < 60


@pytest.mark.parametrize(("ink", "paper"), [(0, 255), (90, 200), (60, 140)])
def test_faint_ink_and_gray_paper_change_nothing(ink, paper):
    found = tips_of(run_page(draw_dimension(ink=ink, paper=paper), px_per_mm=DPI / 25.4))
    assert len(found) == 2


def test_uneven_light_changes_nothing():
    light = np.linspace(0.55, 1.0, 480)[None, :]
    found = tips_of(run_page((draw_dimension() * light).astype(np.uint8), px_per_mm=DPI / 25.4))
    assert len(found) == 2


def test_a_sheet_scanned_twice_as_finely_gives_the_same_places(maps):
    fine = cv2.resize(draw_dimension(), None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
    found = sorted(tips_of(run_page(fine, px_per_mm=2 * DPI / 25.4)), key=lambda t: t.point.x)
    coarse = sorted(tips_of(maps), key=lambda t: t.point.x)
    assert len(found) == len(coarse)
    for a, b in zip(found, coarse, strict=True):
        assert math.hypot(a.point.x / 2 - b.point.x, a.point.y / 2 - b.point.y) < 1.5


def test_places_do_not_depend_on_where_the_tiles_lie(maps):
    wide = np.full((1200, 1400), 255, np.uint8)
    wide[900:1200, 800:1280] = draw_dimension()[:300]  # crosses the tile borders at 1024
    found = sorted(tips_of(run_page(wide, px_per_mm=DPI / 25.4)), key=lambda t: t.point.x)
    known = sorted(tips_of(maps), key=lambda t: t.point.x)
    assert len(found) == 2
    for a, b in zip(found, known, strict=True):
        assert math.hypot(a.point.x - 800 - b.point.x, a.point.y - 900 - b.point.y) < 1.0


def test_a_tile_at_the_edge_is_no_larger_than_what_is_left_of_the_sheet(monkeypatch):
    shown = []

    class Blind:
        """Sees nothing, and tells what it was shown."""

        def run(self, tile):
            shown.append(tile.shape[2:])
            nothing = -9.0  # a logit; at nought every px might be a tip
            high, wide = (side // STRIDE // FINER for side in shown[-1])
            return np.full((1, FINER**2 * (SIN + 1), high, wide), nothing)

    monkeypatch.setattr(page, "_network", Blind)
    gray = np.full((1100, 1400), 255, np.uint8)
    gray[::40] = 0
    maps = run_page(gray, px_per_mm=DPI / 25.4)
    assert maps.text.shape == (550, 700)
    side, rest, low = (
        16 * math.ceil((size + 2 * RIM_PX) / 16)
        for size in (TILE_PX, 1400 - TILE_PX, 1100 - TILE_PX)
    )
    assert shown == [(side, side), (side, rest), (low, side), (low, rest)]


def test_an_empty_sheet_has_nothing_on_it():
    maps = run_page(np.full((300, 400), 240, np.uint8), px_per_mm=DPI / 25.4)
    assert maps.terminators == ()
    assert int(maps.text.max()) == 0


def test_ink_is_dark_and_paper_is_not():
    dark = darken(draw_dimension())
    assert float(dark[90, 240]) > 0.7
    assert float(dark[250, 240]) == 0.0


def test_large_sheets_are_looked_at_more_coarsely():
    letter = working_factor((3300, 2550), px_per_mm=300 / 25.4)
    large = working_factor((6600, 10200), px_per_mm=300 / 25.4)
    assert letter == pytest.approx(200 / 300)
    assert large == pytest.approx(150 / 300)


def test_weights_are_those_the_model_card_names():
    folder = resources.files("audit.networks").joinpath("weights")
    card = folder.joinpath("page.md").read_text()
    digest = hashlib.sha256(folder.joinpath("page.onnx").read_bytes()).hexdigest()
    assert digest in re.findall(r"[0-9a-f]{64}", card)


def test_darkness_is_ink_below_the_paper_over_the_paper_to_the_bit():
    """Worked out in place; here step by step, on a sheet that gets darker to the right."""
    rng = np.random.default_rng(4)
    gray = (rng.normal(215.0, 3.0, (160, 240)) - np.linspace(0, 60, 240)).astype(np.uint8)
    gray[40:43, 20:220] = 70
    reach = np.ones((page.PAPER_PX, page.PAPER_PX), np.uint8)
    small = cv2.resize(gray, (30, 20), interpolation=cv2.INTER_AREA)
    lit = cv2.blur(cv2.dilate(cv2.medianBlur(small, 3), reach), reach.shape)
    paper = cv2.resize(lit, (240, 160), interpolation=cv2.INTER_LINEAR)
    below = cv2.subtract(paper, gray)
    dark = np.maximum(below.astype(np.float32) - float(np.median(below)), 0.0)
    dark = dark / np.maximum(paper, 40)
    full = float(np.percentile(dark[dark > page.FAINTEST_INK], 90))
    told = np.minimum(dark * np.float32(page.INK_LEVEL / full), 1.0)
    assert page.darken(gray).tobytes() == told.tobytes()
    assert told[41, 30:210].min() > 0.5 > told[80:].max()
