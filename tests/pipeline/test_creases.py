"""Creases are proposed as folds, in the sheet's own frame, until they are marked."""

from __future__ import annotations

from dataclasses import replace

import cv2
import pytest
from PIL import Image

from audit.geometry import Point, Transform
from audit.pipeline.creases import propose_folds, still_holds
from audit.records import Fold
from audit.sheets import load_plan, parse_fold
from tests.sheets.test_creases import drawing, finish, folded


@pytest.fixture
def plan(tmp_path):
    pixels = finish(folded(drawing(), 500, tilt=0.02, levels=14))
    Image.fromarray(pixels).save(tmp_path / "scan.png", dpi=(200, 200))
    with load_plan([tmp_path / "scan.png"]) as loaded:
        yield loaded


def test_a_proposal_says_what_to_type_and_is_gone_when_it_was_typed(plan):
    sheet = plan.sheet(1)
    (told,) = propose_folds(plan, sheet)
    assert told.code == "S112"
    typed = told.text.split('--fold "')[1].split('"')[0]
    fold = parse_fold(typed).fold
    assert (fold.a.x + fold.b.x) / 2 == pytest.approx(500, abs=3)
    marked = replace(sheet, folds=(fold,))
    assert propose_folds(plan, marked) == ()
    assert not still_holds(told, marked)
    elsewhere = replace(sheet, folds=(Fold(a=Point(900, 0), b=Point(900, 5)),))
    assert still_holds(told, elsewhere)


def test_on_a_photo_made_flat_the_places_are_those_of_the_photo(plan):
    """The same pixels as a photo of a sheet 240 mm wide; its frame stays that of the pixels."""
    sheet = plan.sheet(1)
    to_paper = Transform(((0.2, 0.0, 0.0), (0.0, 0.2, 0.0), (1e-9, 0.0, 1.0)))
    flat = replace(sheet, to_paper=to_paper, paper_box=type(sheet.box)(0, 0, 240, 180))
    (told,) = propose_folds(plan, flat)
    box = told.places[0].box
    assert (box.x0 + box.x1) / 2 == pytest.approx(500, abs=4)
    assert propose_folds(plan, replace(flat, paper_box=None)) == ()


def test_a_photo_that_is_not_flat_is_not_searched_with_the_desk_around_it(plan, tmp_path):
    """The same pixels without a resolution, as a phone's picture comes."""
    assert propose_folds(plan, plan.sheet(1))
    cv2.imwrite(str(tmp_path / "photo.png"), plan.gray(plan.sheet(1)).pixels)
    with load_plan([tmp_path / "photo.png"]) as photo:
        assert propose_folds(photo, photo.sheet(1)) == ()
