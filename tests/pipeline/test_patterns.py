"""Patterns of scans and photos, measured back in their pixels; centre lines of half views."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import cv2
import numpy as np
import pytest
from PIL import Image

from audit.geometry import Box, Point, Transform
from audit.lengths import Length, Unit
from audit.pipeline.half_views import find_half_axis
from audit.pipeline.patterns import PatternWish, make_pattern
from audit.pipeline.unpacking import OpenedAudit
from audit.records import (
    Audit,
    DimensionKind,
    EndKind,
    Fold,
    PrintPicture,
    Scale,
    ScaleFrom,
    Settings,
    View,
    ViewKind,
)
from audit.report.pattern_subject import Grain, PatternOptions
from audit.report.tiling import PAPERS
from audit.sheets import load_plan
from tests.report.builders import make_scale
from tests.report.plan_with_parts import dimension

WIDE_MM, TALL_MM = 90.0, 60.0  # of the drawn rectangle, middle of line to middle of line
STEP = 10  # px for each mm of the drawing before it is photographed
EDGE_MM = 25.0  # from the corner of the paper to the rectangle
SIZE = (1400, 1100)


def draw_flat() -> np.ndarray:
    sheet = np.full((SIZE[1], SIZE[0]), 250, np.uint8)
    x, y = int(EDGE_MM * STEP), int(EDGE_MM * STEP)
    corner = (x + int(WIDE_MM * STEP), y + int(TALL_MM * STEP))
    cv2.rectangle(sheet, (x, y), corner, 10, 7)
    return sheet


def open_view(tmp_path, matrix, *, kind=ViewKind.TRUE, scale=(1.0, 1.0)):
    """An audit of a picture of the drawing seen through `matrix` (flat px to picture px)."""
    flat = draw_flat()
    seen = cv2.warpPerspective(flat, matrix, (1500, 1200), borderValue=200, flags=cv2.INTER_AREA)
    shade = np.linspace(1.0, 0.75, 1500)
    path = tmp_path / "sheet.png"
    Image.fromarray((seen * shade).astype(np.uint8)).save(path)
    # pixel centres lie at .5 in the frame
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    to_flat = half @ np.linalg.inv(matrix) @ np.linalg.inv(half)
    to_paper = np.diag([1 / (STEP * scale[0]), 1 / (STEP * scale[1]), 1.0]) @ to_flat
    plan = load_plan([path])
    sheet = replace(plan.sheets[0], to_paper=Transform.from_matrix(to_paper), paper_known=True)
    left, top = (EDGE_MM - 6) * STEP, (EDGE_MM - 6) * STEP
    right, bottom = (EDGE_MM + WIDE_MM + 6) * STEP, (EDGE_MM + TALL_MM + 6) * STEP
    corners = np.float32([[[left, top], [right, top], [right, bottom], [left, bottom]]])
    mapped = cv2.perspectiveTransform(corners, matrix)[0]
    box = Box.around([(float(x), float(y)) for x, y in mapped])
    zero = ((0.0,) * 3,) * 3
    made = Scale(x=scale[0], y=scale[1], covariance=zero, source=ScaleFrom.KNOWN)
    view = View(id=1, sheet=1, kind=kind, box=box, scale=made)
    audit = Audit(name="a", settings=Settings(), sheets=(sheet,), views=(view,))
    return plan, OpenedAudit(audit=audit, plan=plan, opened={1: plan.sheets[0]})


def picture_of(plan_of_pages) -> tuple[np.ndarray, Box]:
    """The picture of the one tile, put together."""
    [picture] = [
        item
        for group in plan_of_pages.pages[1].groups
        for item in group.items
        if isinstance(item, PrintPicture)
    ]
    return picture.pixels, picture.box


def line_gaps(pixels, box) -> tuple[float, float]:
    """Distances between the outer lines, middle to middle, mm: across and down."""
    ink = 255.0 - pixels.astype(float)
    rows, columns = pixels.shape
    gaps = []
    for axis, size, length in ((0, columns, box.width), (1, rows, box.height)):
        middle = ink.shape[axis] // 2
        band = ink.take(range(middle - 40, middle + 40), axis=axis).mean(axis=axis)
        band[band < 60] = 0
        places = np.flatnonzero(band)
        split = np.flatnonzero(np.diff(places) > 20)[[0, -1]]
        first, last = places[: split[0] + 1], places[split[1] + 1 :]
        ends = [np.average(part + 0.5, weights=band[part]) for part in (first, last)]
        gaps.append((ends[1] - ends[0]) * length / size)
    return gaps[0], gaps[1]


WAYS = {
    "scan, stretched and askew": np.array(
        [[0.985 * np.cos(0.02), -np.sin(0.02), 60], [np.sin(0.02), 1.004 * np.cos(0.02), 40],
         [0, 0, 1.0]]
    ),
    "photo": cv2.getPerspectiveTransform(
        np.float32([[0, 0], [1400, 0], [1400, 1100], [0, 1100]]),
        np.float32([[90, 60], [1440, 30], [1390, 1150], [40, 1080]]),
    ),
}  # fmt: skip
OPTIONS = PatternOptions(paper=PAPERS["a4"], grain=Grain.NONE)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("scale", [(1.0, 1.0), (0.98, 1.03)])
def test_a_pattern_of_a_picture_is_true_to_a_tenth_of_a_millimetre(tmp_path, way, scale):
    plan, opened = open_view(tmp_path, WAYS[way], scale=scale)
    with plan:
        pages = make_pattern(opened, PatternWish(view=1, options=OPTIONS))
    assert line_gaps(*picture_of(pages)) == pytest.approx((WIDE_MM, TALL_MM), abs=0.1)


def test_paper_comes_out_white_and_lines_dark(tmp_path):
    plan, opened = open_view(tmp_path, WAYS["photo"])
    with plan:
        pixels, _ = picture_of(make_pattern(opened, PatternWish(view=1, options=OPTIONS)))
    inner = pixels[80:-80, 80:-80]
    assert np.median(inner) == 255
    assert pixels.min() < 60


def test_a_half_drawing_is_doubled_on_its_centre_line(tmp_path):
    plan, opened = open_view(tmp_path, WAYS["scan, stretched and askew"])
    edge = np.float32([[[EDGE_MM * STEP, 0], [EDGE_MM * STEP, 900]]])
    seen = cv2.perspectiveTransform(edge, WAYS["scan, stretched and askew"])[0] + 0.5
    line = tuple(Point(float(x), float(y)) for x, y in seen)
    with plan:
        wish = PatternWish(view=1, options=OPTIONS, centre_line=line)
        pages = make_pattern(opened, wish)
    across, down = line_gaps(*picture_of(pages))
    assert across == pytest.approx(2 * WIDE_MM, abs=0.15)
    assert down == pytest.approx(TALL_MM, abs=0.1)


def test_a_fold_through_the_view_is_cautioned_of_and_one_beside_it_is_not(tmp_path):
    plan, opened = open_view(tmp_path, WAYS["scan, stretched and askew"])
    box = opened.audit.views[0].box
    one_mm = Length(Fraction(1), Unit.MM)
    said = []
    with plan:
        for x, step in ((box.centre.x, None), (box.centre.x, one_mm), (box.x0 - 5, None)):
            fold = Fold(a=Point(x, 0), b=Point(x, 1200), step=step)
            sheets = (replace(opened.audit.sheets[0], folds=(fold,)),)
            audit = replace(opened.audit, sheets=sheets)
            wish = PatternWish(view=1, options=OPTIONS)
            said.append(repr(make_pattern(replace(opened, audit=audit), wish).pages[0]))
    assert "nobody has stated" in said[0]
    assert "by 1.2 mm" in said[1]  # 2 / √3 of the step, the view being 1 : 1
    assert "folded" not in said[2]


HALF = View(id=1, sheet=1, kind=ViewKind.HALF, box=Box(0, 0, 100, 100), scale=make_scale(1.0))


def across(first: float, last: float, *, line_to: float, centre: bool):
    made = dimension(1, "4", 1, ((first, 50.0), (last, 50.0)), kind=DimensionKind.DISTANCE)
    ends = (made.ends[0], replace(made.ends[1], kind=EndKind.CENTRE if centre else EndKind.EXACT))
    return replace(made, ends=ends, line=(Point(first, 50.0), Point(line_to, 50.0)))


@pytest.mark.parametrize(
    ("size", "at"),
    [
        (across(90, 10, line_to=42, centre=True), 50.0),  # whole size, mirrored end in the box
        (across(90, -10, line_to=32, centre=True), 40.0),  # whole size, mirrored end outside
        (across(90, 30, line_to=30, centre=True), 30.0),  # half a size, to the centre line
        (across(90, 30, line_to=30, centre=False), None),  # a plain size tells nothing
    ],
)
def test_the_centre_line_is_where_the_sizes_across_it_say(size, at):
    axis = find_half_axis(HALF, [size], Transform())
    if at is None:
        assert axis is None
    else:
        assert axis[0].x == axis[1].x == pytest.approx(at)
