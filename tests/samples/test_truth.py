"""The truth file is true: about the files, and in itself."""

from __future__ import annotations

import csv
import hashlib
import itertools
import json
import math
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pymupdf
import pytest
from PIL import Image

SAMPLES = Path(__file__).parents[2] / "sample_scans"


@pytest.fixture(scope="module")
def truth():
    from truth import load_truth

    return load_truth(SAMPLES / "truth.json")


@pytest.fixture(scope="module")
def grey():
    return {
        2: np.asarray(Image.open(SAMPLES / "marble-lift-2.png").convert("L")),
        3: np.asarray(Image.open(SAMPLES / "marble-lift-3.jpg").convert("L")),
    }


def size(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def to_inches(sheet, points):
    """Back to inches of the original drawing, by OpenCV's own inverse."""
    inverse = np.linalg.inv(np.array(sheet.to_frame))
    return cv2.perspectiveTransform(np.array([points], float), inverse)[0]


def measured(sheet, dimension) -> float:
    points = to_inches(sheet, dimension.points)
    if dimension.kind == "angle":
        legs = points[1:] - points[0]
        turns = np.degrees(np.arctan2(legs[:, 1], legs[:, 0]))
        return abs(float(turns[1] - turns[0]))
    factor = next(float(Fraction(v.factor)) for v in sheet.views if v.id == dimension.view)
    return float(np.linalg.norm(points[1] - points[0])) * factor


def every(truth):
    return [(s, d) for s in truth.sheets for d in s.dimensions]


def test_every_drawn_size_is_its_true_size(truth):
    for sheet, dimension in every(truth):
        if not dimension.across_break:
            true = float(size(dimension.true))
            assert measured(sheet, dimension) == pytest.approx(true, abs=2e-4), dimension


def test_a_dimension_is_right_when_printed_is_true(truth):
    for _, dimension in every(truth):
        assert dimension.right == (size(dimension.printed) == size(dimension.true))


def test_wrong_dimensions_are_the_mistakes_of_agreement(truth):
    wrong = {d.id for _, d in every(truth) if not d.right}
    planted = {n for m in truth.mistakes if m.capability == "agreement" for n in m.dimensions}
    assert wrong == planted
    assert {s.number for s, d in every(truth) if not d.right} == {1, 2, 3}


def test_wrong_sizes_are_large_enough_to_show(truth):
    """Least: 3/32, over three times the hand-drawing floor of 0.3 mm at k = 2."""
    for _, dimension in every(truth):
        if not dimension.right:
            assert abs(size(dimension.printed) - size(dimension.true)) >= Fraction(3, 32)


def test_planted_chain_is_open_by_three_thirty_seconds(truth):
    (mistake,) = (m for m in truth.mistakes if m.capability == "chains")
    *legs, overall = (size(truth.dimension(n).printed) for n in mistake.dimensions)
    assert overall - sum(legs) == Fraction(3, 32)
    drawn = [size(truth.dimension(n).true) for n in mistake.dimensions]
    assert sum(drawn[:-1]) == drawn[-1]


def test_every_capability_has_a_planted_mistake(truth):
    wanted = {"agreement", "chains", "missing", "counts", "parts list", "fits", "scale", "print"}
    assert {m.capability for m in truth.mistakes} == wanted
    assert len({m.id for m in truth.mistakes}) == len(truth.mistakes)


def test_readme_lists_the_planted_mistakes(truth):
    text = (SAMPLES / "README.md").read_text(encoding="utf-8")
    for mistake in truth.mistakes:
        assert f"| {mistake.id} | {mistake.sheet} | {mistake.capability} |" in text


def test_only_the_ramp_is_drawn_at_another_scale_than_stated(truth):
    odd = [(s.number, v.part) for s in truth.sheets for v in s.views if v.factor != v.stated]
    assert odd == [(1, "RAMP")]
    assert sum(d.view == 3 for d in truth.sheets[0].dimensions) >= 5


def test_parts_list_agrees_with_the_drawings_but_for_the_planted_row(truth):
    """Each listed width and length is drawn, doubled where only half a view is."""
    composed = {"SIDE PLATE": {"4 3/4"}, "CRANK": {"1", "3"}, "HOPPER": {"3 1/2"}}
    drawn: dict[str, set[str]] = {}
    for sheet, d in every(truth):
        part = next(v.part for v in sheet.views if v.id == d.view)
        drawn.setdefault(part, set()).add(d.printed)
    odd = []
    for row in truth.sheets[0].parts_list:
        known = drawn[row.part] | composed.get(row.part, set())
        odd += [(row.part, cell) for cell in (row.width, row.length) if cell not in known]
    assert odd == [("BASE", "6 3/4")]


def test_pdf_prints_every_text_in_its_box(truth):
    """Read back with PyMuPDF, not with our own reader."""
    sheet = truth.sheets[0]
    page = pymupdf.open(SAMPLES / sheet.file)[0]
    for text in sheet.texts:
        found = page.get_text("words", clip=pymupdf.Rect(text.box) + pymupdf.Rect(-1, -3, 1, 3))
        letters = "".join(sorted("".join(w[4] for w in found)))
        wanted = "".join(c for c in text.text if c not in " |")
        if "/" in text.text and text.about == "dimension":
            wanted = wanted.replace("/", "")
        assert letters == "".join(sorted(wanted)), text


def test_pdf_draws_an_arrow_tip_at_every_end(truth):
    """Filled triangles as PyMuPDF reports them."""
    sheet = truth.sheets[0]
    page = pymupdf.open(SAMPLES / sheet.file)[0]
    tips = [
        (item[1].x, item[1].y)
        for d in page.get_drawings()
        if d["type"] == "f"
        for item in d["items"][:1]
    ]
    for dimension in sheet.dimensions:
        ends = (
            dimension.points
            if dimension.kind == "distance"
            else [dimension.points[dimension.kind == "radius"]]
        )
        for end in ends:
            assert min(math.dist(end, tip) for tip in tips) < 0.01, dimension


def test_pictures_have_the_stated_pixels(truth, grey):
    scan, photo = truth.sheets[1:]
    assert hashlib.sha256(grey[2].tobytes()).hexdigest() == scan.pixels_sha256
    assert (photo.width, photo.height) == (2592, 1944)


def test_pictures_are_inked_at_every_end(truth, grey):
    """The tip of an arrow is dark and stands on a dark line; 0.06 in away there is paper."""
    for sheet in truth.sheets[1:]:
        for dimension in sheet.dimensions:
            if dimension.kind == "distance":
                for x, y in dimension.points:
                    patch = grey[sheet.number][int(y) - 3 : int(y) + 4, int(x) - 3 : int(x) + 4]
                    assert patch.min() < 0.6 * np.median(
                        grey[sheet.number][int(y) - 40 : int(y) + 41, int(x) - 40 : int(x) + 41]
                    )


def test_known_sizes_are_the_scan_s_stretch(truth):
    """1.013 × 0.994 at 200 dpi, checked by plain arithmetic on the two rules."""
    across, up = (k.points for k in truth.sheets[1].known)
    for (a, b), factors in ((across, (1.013, 0.994)), (up, (1.013, 0.994))):
        inches = math.hypot((b[0] - a[0]) / 200 / factors[0], (b[1] - a[1]) / 200 / factors[1])
        assert inches == pytest.approx(4, abs=1e-4)


def test_rectangle_shows_the_photo_s_print_of_97_percent(truth):
    """OpenCV's homography from the four paper corners; the rules come out at 3.88 in of paper."""
    sheet = truth.sheets[2]
    paper = np.array([[0, 0], [8.5, 0], [8.5, 11], [0, 11]], np.float32)
    back = cv2.getPerspectiveTransform(np.array(sheet.rectangle.corners, np.float32), paper)
    for known in sheet.known:
        a, b = cv2.perspectiveTransform(np.array([known.points], float), back)[0]
        assert np.linalg.norm(b - a) == pytest.approx(3.88, abs=5e-4)


def test_paper_corners_lie_well_inside_the_photo(truth):
    sheet = truth.sheets[2]
    for x, y in sheet.rectangle.corners:
        assert 12 <= x <= sheet.width - 12
        assert 12 <= y <= sheet.height - 12


def test_points_files_click_within_two_pixels_of_the_truth(truth):
    for sheet in truth.sheets[1:]:
        lines = list(csv.DictReader((SAMPLES / sheet.points_file).read_text("utf-8").splitlines()))
        wanted = [d for d in sheet.dimensions if not d.across_break]
        assert len(lines) == len(wanted)
        assert any(not line["text"] for line in lines)
        for line, dimension in zip(lines, wanted, strict=True):
            assert line["kind"] == dimension.kind
            assert line["text"] in ("", dimension.text)
            assert line["text"] or dimension.right
            for number, (x, y) in enumerate(dimension.points, start=1):
                click = float(line[f"x{number}"]), float(line[f"y{number}"])
                assert math.dist(click, (x, y)) <= 2.1


def test_text_boxes_do_not_overlap(truth):
    for sheet in truth.sheets:
        for a, b in itertools.combinations(sheet.texts, 2):
            apart = (
                a.box[2] <= b.box[0]
                or b.box[2] <= a.box[0]
                or a.box[3] <= b.box[1]
                or b.box[3] <= a.box[1]
            )
            assert apart, (sheet.number, a.text, b.text)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_no_line_runs_through_a_text(number):
    """On the clean drawing: no foreign stroke or arrow enters a text's box."""
    import importlib

    from drawing.marks import Arc, Fill, Stroke, box_around, points_of_arc

    paper = importlib.import_module(f"drawing.sheet_{number}").draw()
    boxes = [(d.text, box_around(d.text_corners)) for d in paper.drawn]
    boxes += [(s.text, box_around(s.corners)) for s in paper.said]
    for mark in paper.marks:
        if isinstance(mark, Stroke):
            row = [*mark.points, mark.points[0]] if mark.closed else list(mark.points)
        elif isinstance(mark, Arc):
            row = points_of_arc(mark, 0.02)
        elif isinstance(mark, Fill):
            row = list(mark.points)
        else:
            continue
        for text, (x0, y0, x1, y1) in boxes:
            if all(x0 < x < x1 and y0 < y < y1 for x, y in row):
                continue  # the bar of its own fraction
            for (ax, ay), (bx, by) in itertools.pairwise(row):
                if max(ax, bx) < x0 or min(ax, bx) > x1 or max(ay, by) < y0 or min(ay, by) > y1:
                    continue
                for i in range(101):
                    x, y = ax + (bx - ax) * i / 100, ay + (by - ay) * i / 100
                    assert not (x0 < x < x1 and y0 < y < y1), (text, mark)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d.update(version=2),
        lambda d: d.pop("plan"),
        lambda d: d["sheets"][0].update(extra=1),
        lambda d: d["sheets"][0]["dimensions"][0].update(id="1"),
        lambda d: d["sheets"][0]["dimensions"][0].update(text_box=[1, 2, 3]),
    ],
)
def test_a_truth_file_of_another_form_is_refused(tmp_path, spoil):
    from truth import BadTruth, load_truth

    data = json.loads((SAMPLES / "truth.json").read_text(encoding="utf-8"))
    spoil(data)
    path = tmp_path / "truth.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(BadTruth, match=r"truth\.json"):
        load_truth(path)


def test_a_truth_file_survives_being_written_and_read(truth, tmp_path):
    from truth import dump_truth, load_truth

    path = tmp_path / "again.json"
    path.write_text(dump_truth(truth), encoding="utf-8")
    assert load_truth(path) == truth


def test_no_two_dimensions_share_a_number(truth):
    numbers = [d.id for _, d in every(truth)]
    assert len(set(numbers)) == len(numbers)
