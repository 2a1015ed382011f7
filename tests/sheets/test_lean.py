"""How paper leans, from strokes drawn on it: through the camera model, and against scikit-image."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from skimage.transform import AffineTransform

from audit.geometry import Box, Point, Transform
from audit.isolation import GrayImage
from audit.sheets.flat import flatten
from audit.sheets.lean import Lean, NoLean, find_lean
from audit.sheets.photo import flatten_by_strokes
from audit.sheets.strokes import find_strokes
from tests.sheets.bent import PHOTO
from tests.sheets.camera import aim, photograph

PICTURE = (1600, 1200)
BOX = Box(0.0, 0.0, *map(float, PICTURE))
SIZE = (279.4, 215.9)
GRID = np.array([(x, y) for x in np.linspace(20, 260, 7) for y in np.linspace(20, 195, 7)])


def strokes_on_paper(rng: np.random.Generator, *, count: int = 60, slanted: float = 0.0):
    """Level and plumb strokes of a drawing, mm; a share of them run as they like."""
    start = rng.uniform((15, 15), (200, 150), (count, 2))
    length = rng.uniform(10, 60, count)
    way = np.where(rng.random(count) < 0.5, 0.0, np.pi / 2)
    way = np.where(rng.random(count) < slanted, rng.uniform(0, np.pi, count), way)
    step = length[:, None] * np.column_stack([np.cos(way), np.sin(way)])
    return np.stack([start, start + step], axis=1)


def seen(camera, mm, rng: np.random.Generator, *, off_px: float):
    px = camera.see(mm.reshape(-1, 2)).reshape(-1, 2, 2)
    return px + rng.normal(0, off_px, px.shape)


def left_over(lean: Lean, camera) -> tuple[np.ndarray, float]:
    """What is left of a grid, mm, once turn, shift and a scale of each axis are fitted; shear."""
    plane = lean.to_plane.apply_many(camera.see(GRID))
    fit = AffineTransform.from_estimate(GRID, plane)
    size = np.sqrt(abs(np.linalg.det(fit.params[:2, :2])))
    return (plane - fit(GRID)) / size, float(fit.shear)


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 5, 6, 7])  # that of 4 looks straight down
def test_strokes_seen_askew_are_square_to_each_other_again(seed):
    rng = np.random.default_rng(seed)
    camera = aim(SIZE, PICTURE, rng)
    lean = find_lean(seen(camera, strokes_on_paper(rng), rng, off_px=0.3), BOX)
    assert isinstance(lean, Lean)
    off, shear = left_over(lean, camera)
    assert float(np.sqrt((off**2).sum(axis=1).mean())) < 0.25
    assert abs(shear) < 0.005


def test_strokes_that_lean_as_no_paper_is_photographed_are_a_table_s_grain():
    rng = np.random.default_rng(3)
    flat = (strokes_on_paper(rng) - np.array(SIZE) / 2).reshape(-1, 2)
    for tilt_deg, believed in ((45.0, True), (70.0, False)):
        c, s = np.cos(np.radians(tilt_deg)), np.sin(np.radians(tilt_deg))
        away = 500.0 + flat[:, 1] * s
        places = 1400.0 * np.column_stack([flat[:, 0], flat[:, 1] * c]) / away[:, None]
        lean = find_lean((places + np.array(BOX.centre)).reshape(-1, 2, 2), BOX)
        assert isinstance(lean, Lean) is believed


def test_a_third_of_slanted_strokes_does_not_mislead():
    rng = np.random.default_rng(3)
    camera = aim(SIZE, PICTURE, rng)
    mm = strokes_on_paper(rng, count=90, slanted=0.33)
    lean = find_lean(seen(camera, mm, rng, off_px=0.3), BOX)
    assert isinstance(lean, Lean)
    assert np.abs(left_over(lean, camera)[0]).max() < 0.6


def test_places_are_as_uncertain_as_told():
    ratios = []
    for seed in range(24):
        rng = np.random.default_rng(100 + seed)
        camera = aim(SIZE, PICTURE, rng)
        lean = find_lean(seen(camera, strokes_on_paper(rng), rng, off_px=0.3), BOX)
        if isinstance(lean, NoLean):
            continue
        off, _ = left_over(lean, camera)
        middle = camera.see(np.array([SIZE]) / 2)[0]
        px_per_mm = 1 / np.sqrt(abs(np.linalg.det(jacobian(camera, middle))))
        ratios.append(float(np.sqrt((off**2).mean())) * px_per_mm / lean.u_places)
    assert len(ratios) > 18
    assert 0.3 < float(np.sqrt(np.mean(np.square(ratios)))) < 1.3


def jacobian(camera, px):
    steps = camera.place(px + np.array([(0, 0), (1, 0), (0, 1)]))
    return np.array([steps[1] - steps[0], steps[2] - steps[0]]).T


@pytest.mark.parametrize("turn_deg", [0.0, 0.7, 8.0])
def test_a_flat_scan_does_not_lean(turn_deg):
    rng = np.random.default_rng(5)
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    flat = strokes_on_paper(rng, count=150) @ np.array([[c, s], [-s, c]]) * 4 + 100
    found = find_lean(flat + rng.normal(0, 0.1, flat.shape), BOX)
    assert isinstance(found, NoLean)
    assert found.level


def test_a_flat_picture_of_slanted_lines_says_nothing():
    """Three directions 60° apart, as of a box drawn in isometric projection."""
    rng = np.random.default_rng(8)
    way = np.radians(rng.choice([30.0, 90.0, 150.0], 80))
    start = rng.uniform((200, 200), (1200, 900), (80, 2))
    step = rng.uniform(40, 200, 80)[:, None] * np.column_stack([np.cos(way), np.sin(way)])
    ends = np.stack([start, start + step], axis=1)
    found = find_lean(ends + rng.normal(0, 0.3, ends.shape), BOX)
    assert isinstance(found, NoLean)
    assert not found.level


def stool():
    """Draw splayed legs, level rails, and three sizes with their extension lines."""
    rails = [((537, y), (1163, y)) for y in (600, 640)] + [
        ((494, y), (1206, y)) for y in (850, 890)
    ]
    legs = [
        ((850 + s * (250 + o), 240), (850 + s * (400 + 0.8 * o), 1100))
        for s in (-1, 1)
        for o in (0, 50)
    ]
    seat = [((450, 200), (1250, 200)), ((450, 240), (1250, 240))]
    seat += [((x, 200), (x, 240)) for x in (450, 1250)]
    sizes = [((410, 1180), (1290, 1180)), ((550, 320), (1150, 320)), ((1480, 200), (1480, 1100))]
    sizes += [((x, 245), (x, 340)) for x in (550, 1150)]
    sizes += [((x, 1105), (x, 1190)) for x in (410, 1290)]
    picture = np.full((1300, 1700), 245, np.uint8)
    for lines, width in (([*legs, *rails, *seat], 3), (sizes, 1)):
        for a, b in lines:
            cv2.line(picture, tuple(map(int, a)), tuple(map(int, b)), 30, width, cv2.LINE_AA)
    return picture


def test_a_flat_drawing_of_splayed_legs_is_not_laid_as_if_it_leant():
    """Its legs run together as upright lines do on a photo; its extension lines do not."""
    found = find_lean(find_strokes(stool()), Box(0, 0, 1700, 1300))
    assert isinstance(found, NoLean)
    assert "converge" in found.reason


def test_strokes_that_run_one_way_say_nothing():
    rng = np.random.default_rng(2)
    camera = aim(SIZE, PICTURE, rng)
    mm = strokes_on_paper(rng)
    level = mm[np.abs(mm[:, 1, 1] - mm[:, 0, 1]) < 1e-9]
    assert len(level) > 20
    assert isinstance(find_lean(seen(camera, level, rng, off_px=0.3), BOX), NoLean)


def test_too_few_strokes_say_nothing():
    rng = np.random.default_rng(2)
    camera = aim(SIZE, PICTURE, rng)
    few = seen(camera, strokes_on_paper(rng, count=8), rng, off_px=0.1)
    assert "too few" in find_lean(few, BOX).reason
    assert "too few" in find_lean(np.empty((0, 2, 2)), BOX).reason


def test_most_grain_of_a_table_is_no_stroke():
    photo = photograph(np.random.default_rng(9), backgrounds=("planks",), picture=PICTURE)
    found = find_strokes(photo.pixels)
    mm = photo.camera.place(found.mean(axis=1))
    on_paper = ((mm > -2) & (mm < np.array(photo.size_mm) + 2)).all(axis=1)
    assert on_paper.sum() > 20
    assert on_paper.mean() > 0.7  # of all long dark lines one in seven is


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_photo_that_is_stored_mirrored_is_turned_over(mirrored):
    photo = photograph(np.random.default_rng(9), backgrounds=("planks",), picture=PICTURE)
    pixels = np.ascontiguousarray(photo.pixels[:, ::-1]) if mirrored else photo.pixels
    done = flatten_by_strokes(replace(PHOTO, mirrored=mirrored), pixels)
    assert not isinstance(done, NoLean)
    turn = np.linalg.det(done[0].to_paper.jacobian(BOX.centre))
    assert (turn < 0) == mirrored
    assert not done[0].paper_known


def test_what_a_photo_does_not_show_is_as_bright_as_its_paper():
    tilted = Transform(((0.1, 0.02, 0.0), (0.01, 0.1, 0.0), (2e-5, 1e-5, 1.0)))
    page = np.full(PICTURE[::-1], 180, np.uint8)
    page[100:120] = 30
    image = GrayImage(pixels=page, to_frame=Transform())
    flat = flatten(image, sheet=replace(PHOTO, to_paper=tilted)).pixels
    assert flat[0, -1] == flat[-1, 0] == 180


def test_blank_paper_has_no_strokes():
    assert find_strokes(np.full((300, 400), 230, np.uint8)).shape == (0, 2, 2)


def test_strokes_lie_where_they_were_drawn():
    page = np.full((3000, 4000), 240, np.uint8)
    cv2.line(page, (500, 1000), (3500, 1000), 20, 6)
    found = find_strokes(page)
    assert len(found) == 2  # both sides of it
    assert np.abs(found[..., 1] - 1000.5).max() < 6
    assert found[..., 0].min() == pytest.approx(500, abs=12)


def test_lines_of_the_table_do_not_hide_how_the_paper_leans():
    """On the paper lines are square to each other, on the table beside it they run all ways."""
    rng = np.random.default_rng(5)
    page = np.full((1200, 1600), 230, np.uint8)
    corners = np.array([(500, 300), (1100, 340), (1160, 900), (420, 860)], float)
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float32)
    onto = cv2.getPerspectiveTransform(square, corners.astype(np.float32))
    for k in np.linspace(0.1, 0.9, 9):
        for line in ([(k, 0.05), (k, 0.95)], [(0.05, k), (0.95, k)]):
            a, b = cv2.perspectiveTransform(np.array([line], np.float32), onto)[0]
            cv2.line(page, tuple(map(int, a)), tuple(map(int, b)), 60, 3, cv2.LINE_AA)
    for _ in range(160):
        side, x, y, way = rng.integers(2), *rng.uniform(0, 1, 3)
        start = np.array([x * 260 + 1250 * side, y * 1200])
        end = start + 130 * np.array([np.cos(way * np.pi), np.sin(way * np.pi)])
        cv2.line(page, tuple(start.astype(int)), tuple(end.astype(int)), 60, 3, cv2.LINE_AA)
    assert isinstance(flatten_by_strokes(PHOTO, page), NoLean)
    within = [Point(*map(float, c)) for c in corners]
    assert not isinstance(flatten_by_strokes(PHOTO, page, within=within), NoLean)
