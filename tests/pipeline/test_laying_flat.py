"""Photos made metric before they are looked at: as given, by what is found, or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.errors import BadPlace, BadUsage
from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.pipeline.laying_flat import lay_flat, parse_paper
from audit.records import UserSet
from audit.sheets import KnownRectangle, LoadedPlan, load_plan, parse_rectangle
from audit.sheets.border import find_border
from audit.sheets.lean import NoLean
from tests.sheets.camera import (
    PAPERS_MM,
    Camera,
    Photo,
    aim,
    draw_sheet,
    photograph,
    photograph_page,
)

SEED = 43  # a barrel lens and planks


@pytest.fixture(scope="module")
def photo() -> Photo:
    return photograph(np.random.default_rng(SEED), picture=(800, 600), bend=1.5, cut_mm=0.0)


@pytest.fixture(scope="module")
def plan(photo, tmp_path_factory) -> Iterator[LoadedPlan]:
    """The photo, and a plain page that states no resolution."""
    folder = tmp_path_factory.mktemp("photos")
    cv2.imwrite(str(folder / "photo.png"), photo.pixels)
    page = np.full((400, 500), 240, np.uint8)
    cv2.rectangle(page, (40, 40), (460, 360), 0, 2)
    cv2.imwrite(str(folder / "page.png"), page)
    with load_plan([folder / "photo.png", folder / "page.png"]) as loaded:
        yield loaded


def sides(photo: Photo, sheet) -> tuple[float, float]:
    """The lengths of two sides of the paper as measured on the sheet, mm, the shorter first."""
    a, b, _, d = (sheet.to_paper.apply(Point(*map(float, c))) for c in photo.corners_px)
    short, long = sorted((a.distance(b), a.distance(d)))
    return short, long


def test_the_paper_named_is_found_and_used_as_a_persons_word(plan, photo):
    laid = lay_flat(plan, plan.sheet(1), papers=[parse_paper(photo.paper)])
    assert laid.sheet.paper_known
    assert UserSet.PAPER in laid.sheet.user_set
    assert sides(photo, laid.sheet) == pytest.approx(PAPERS_MM[photo.paper], abs=0.5)
    assert [f.code for f in laid.findings] == ["D106"]
    assert "The lens is corrected" in laid.findings[0].text


def test_a_paper_of_another_shape_is_refused(plan, photo):
    other = next(n for n in ("letter", "legal") if n != photo.paper)
    with pytest.raises(BadPlace, match="has not the shape of") as refused:
        lay_flat(plan, plan.sheet(1), papers=[parse_paper(f"{other} @ 1")])
    assert '--rectangle "W x H @ 1:' in str(refused.value)  # with the corners that were found


def test_unasked_a_sure_sheet_is_made_flat_but_its_size_stays_a_guess(plan, photo):
    laid = lay_flat(plan, plan.sheet(1))
    told = {f.code for f in laid.findings}
    assert told in ({"D106"}, {"D107"})
    if told == {"D106"}:
        assert not laid.sheet.to_paper.is_affine
        assert "say --paper" in laid.findings[0].text
    assert not laid.sheet.paper_known
    assert UserSet.PAPER not in laid.sheet.user_set


def test_a_page_without_a_table_around_it_is_left_as_it_is(plan):
    laid = lay_flat(plan, plan.sheet(2))
    assert laid.sheet == plan.sheet(2)
    assert laid.findings == ()


def test_given_corners_rule_over_what_is_found(plan, photo):
    corners = tuple(Point(*map(float, c)) for c in photo.corners_px)
    wide, high = (
        Length(round(v), Unit.MM) for v in (100, 100 * photo.size_mm[1] / photo.size_mm[0])
    )
    given = KnownRectangle(sheet=1, corners=corners, width=wide, height=high)
    sheet = plan.sheet(1)
    laid = lay_flat(plan, sheet, rectangles=[given], papers=[parse_paper(photo.paper)])
    assert sides(photo, laid.sheet)[0] < 110
    assert UserSet.PAPER in laid.sheet.user_set


@pytest.mark.parametrize("text", ["napkin", "a4 @ two", "@ 3", ""])
def test_what_is_no_paper_is_refused(text):
    with pytest.raises(BadUsage):
        parse_paper(text)


def test_what_is_left_is_kept_with_the_sheet_and_lies_on_its_sides(plan, photo):
    """Every arrow starts on one of the four sides of the paper, as the camera shows it."""
    flat = lay_flat(plan, plan.sheet(1), papers=[parse_paper(photo.paper)]).sheet
    assert flat.flatness is not None
    assert flat.flatness.k1 != 0.0
    assert flat.flatness.lens_after < flat.flatness.lens_before
    mm = np.array([flat.to_paper.apply(a.place) for a in flat.flatness.asides])
    wide, high = max(mm[:, 0]), max(mm[:, 1])
    off = np.min(np.abs([mm[:, 0], mm[:, 0] - wide, mm[:, 1], mm[:, 1] - high]), axis=0)
    assert np.max(off) < 1.0
    sizes = [np.hypot(a.dx, a.dy) for a in flat.flatness.asides]
    assert max(sizes) <= flat.flatness.largest_mm + 1e-9


def test_a_border_seen_askew_on_paper_without_an_edge_is_proposed_with_its_corners(tmp_path):
    """Paper fills the picture; the drawn border leans as only a camera shows it."""
    corners = np.array([(120, 90), (880, 130), (820, 640), (70, 600)])
    page = np.full((720, 960), 236, np.uint8)
    cv2.polylines(page, [corners], True, 40, 3, cv2.LINE_AA)
    cv2.imwrite(str(tmp_path / "photo.png"), cv2.GaussianBlur(page, (0, 0), 0.7))
    with load_plan([tmp_path / "photo.png"]) as loaded:
        laid = lay_flat(loaded, loaded.sheet(1))
    assert laid.sheet.to_paper.is_affine
    (told,) = laid.findings
    assert told.code == "D107"
    typed = told.text.split('--rectangle "')[1].split('"')[0]
    given = parse_rectangle(typed.replace("W x H", "11 x 8.5 in"))
    assert np.allclose(np.array(given.corners), corners + 0.5, atol=2.0)


def test_a_sheet_of_the_shape_of_no_paper_is_proposed_with_its_corners(tmp_path):
    corners = np.array([(390, 70), (560, 90), (550, 650), (370, 640)])
    page = np.full((720, 960), 60, np.uint8)
    cv2.fillConvexPoly(page, corners, 236, cv2.LINE_AA)
    cv2.imwrite(str(tmp_path / "photo.png"), cv2.GaussianBlur(page, (0, 0), 0.7))
    with load_plan([tmp_path / "photo.png"]) as loaded:
        laid = lay_flat(loaded, loaded.sheet(1))
    assert laid.sheet.to_paper.is_affine
    (told,) = laid.findings
    assert "of no usual shape" in told.text
    assert "--paper" not in told.text
    typed = told.text.split('--rectangle "')[1].split('"')[0]
    given = parse_rectangle(typed.replace("W x H", "3 x 11 in"))
    assert np.allclose(np.array(given.corners), corners + 0.5, atol=2.0)


def test_strokes_of_the_table_are_left_out_where_its_edge_is_seen_unsurely(tmp_path, monkeypatch):
    corners = np.array([(390, 70), (560, 90), (550, 650), (370, 640)])
    page = np.full((720, 960), 60, np.uint8)
    cv2.fillConvexPoly(page, corners, 236, cv2.LINE_AA)
    cv2.imwrite(str(tmp_path / "photo.png"), cv2.GaussianBlur(page, (0, 0), 0.7))
    tried = []

    def flatten(_sheet, _gray, *, within=()):
        tried.append(len(within))
        return NoLean(reason="the table has strokes of its own")

    def find_unsurely(gray):
        return replace(find_border(gray), doubt="another rectangle looks as good")

    monkeypatch.setattr("audit.pipeline.laying_flat.flatten_by_strokes", flatten)
    monkeypatch.setattr("audit.pipeline.laying_flat.find_border", find_unsurely)
    with load_plan([tmp_path / "photo.png"]) as loaded:
        lay_flat(loaded, loaded.sheet(1))
    assert tried == [0, 4]


def test_a_slanting_figure_on_a_page_whose_lines_are_level_makes_no_photo_of_it(tmp_path):
    page = np.full((720, 960), 236, np.uint8)
    corners = np.array([(120, 90), (880, 130), (820, 640), (70, 600)])
    cv2.polylines(page, [corners], True, 40, 3, cv2.LINE_AA)
    for k in range(9):
        cv2.line(page, (150, 170 + 46 * k), (760 - 9 * k, 170 + 46 * k), 110, 2)
        cv2.line(page, (170 + 66 * k, 160), (170 + 66 * k, 540 + 2 * k), 110, 2)
    cv2.imwrite(str(tmp_path / "page.png"), cv2.GaussianBlur(page, (0, 0), 0.7))
    with load_plan([tmp_path / "page.png"]) as loaded:
        laid = lay_flat(loaded, loaded.sheet(1))
    assert laid.sheet.to_paper.is_affine
    assert laid.findings == ()


@pytest.fixture(scope="module")
def cropped(tmp_path_factory) -> Iterator[tuple[Photo, LoadedPlan, int]]:
    """A photo of which a strip was cut off, and with it a side of the paper; the strip's width."""
    photo = photograph(np.random.default_rng(61), picture=(1600, 1200))
    cut = int(photo.corners_px[:, 0].min()) + 60
    folder = tmp_path_factory.mktemp("cropped")
    cv2.imwrite(str(folder / "photo.png"), photo.pixels[:, cut:])
    with load_plan([folder / "photo.png"]) as loaded:
        yield photo, loaded, cut


def grid_left_over(photo: Photo, sheet, cut: int) -> float:
    """How far a grid of the drawing is from even once it is turned and stretched, share of it."""
    mm = np.array([(x, y) for x in (0.2, 0.5, 0.8) for y in (0.2, 0.5, 0.8)]) * photo.size_mm
    laid = sheet.to_paper.apply_many(photo.camera.see(mm) - (cut, 0))
    columns = np.column_stack([mm, np.ones(len(mm))])
    left = laid - columns @ np.linalg.lstsq(columns, laid, rcond=None)[0]
    return float(np.hypot(*left.T).max() / np.hypot(*np.ptp(laid, axis=0)))


def test_a_photo_without_the_paper_s_edge_is_made_flat_by_the_lines_drawn_on_it(cropped):
    photo, plan, cut = cropped
    sheet = plan.sheet(1)
    laid = lay_flat(plan, sheet)
    assert [f.code for f in laid.findings] == ["D106"]
    assert "level or plumb" in laid.findings[0].text
    assert not laid.sheet.paper_known
    assert grid_left_over(photo, laid.sheet, cut) < 0.2 * grid_left_over(photo, sheet, cut)


def test_a_paper_whose_edge_is_not_all_seen_is_not_used_and_that_is_said(cropped):
    photo, plan, _ = cropped
    laid = lay_flat(plan, plan.sheet(1), papers=[parse_paper(photo.paper)])
    assert not laid.sheet.paper_known
    assert not laid.sheet.to_paper.is_affine
    assert "was not used, give a known size" in laid.findings[0].text


AMBIGUOUS = 16
BETWEEN = (424.0, 279.4)  # mm: cut a little off tabloid, its shape is nearly that of ARCH B as well


@pytest.fixture(scope="module")
def ambiguous(tmp_path_factory) -> Iterator[tuple[Camera, LoadedPlan]]:
    """A photo of a sheet whose edge is plain to see and fits papers of two shapes."""
    rng = np.random.default_rng(AMBIGUOUS)
    camera = aim(BETWEEN, (800, 600), rng)
    page, _ = draw_sheet(BETWEEN, rng, border=True)
    pixels = photograph_page(page, BETWEEN, camera, (800, 600), rng, backgrounds=("planks",))
    folder = tmp_path_factory.mktemp("ambiguous")
    cv2.imwrite(str(folder / "photo.png"), pixels)
    with load_plan([folder / "photo.png"]) as loaded:
        yield camera, loaded


def test_an_edge_that_papers_of_two_shapes_fit_still_makes_the_photo_flat(ambiguous):
    camera, plan = ambiguous
    laid = lay_flat(plan, plan.sheet(1))
    assert len(laid.choices) == 2
    assert not laid.sheet.paper_known
    assert [f.code for f in laid.findings] == ["D106"]
    assert "it may be" in laid.findings[0].text
    mm = np.array([(x, y) for x in (40, 200, 380) for y in (40, 140, 240)], float)
    seen = laid.sheet.to_paper.apply_many(camera.see(mm))
    columns = np.column_stack([mm, np.ones(len(mm))])
    fit = np.linalg.lstsq(columns, seen, rcond=None)[0]
    across, down = (float(np.hypot(*row)) for row in fit[:2])
    assert np.abs(seen - columns @ fit).max() < 0.002 * np.ptp(seen, axis=0).max()
    assert abs(np.log(across / down)) < 3 * laid.u_stretch
