"""A piece laid on drawn boxes whose size is known, however the sheet lies in its picture.

Expected places come from `skimage.transform` (scikit-image): similarity and projective maps.
"""

from __future__ import annotations

from fractions import Fraction

import cv2
import numpy as np
import pytest
from skimage.transform import ProjectiveTransform

from audit.errors import BadUsage
from audit.geometry import Box, Point, Transform
from audit.isolation import GrayImage
from audit.lengths import Length, Unit
from audit.pipeline.laying import lay_piece
from audit.pipeline.placing import SnapGround
from audit.records import (
    Frame,
    LaidPiece,
    NoScale,
    PageKind,
    PieceShape,
    Scale,
    ScaleFrom,
    Sheet,
    View,
)

EXACT = ((0.0, 0.0, 0.0),) * 3
MM_PER_PX = 0.1
W, H = 1000, 800
CORNERS = np.array([[200, 200], [800, 200], [800, 600], [200, 600]], float)  # 60 × 40 mm


def mm(value) -> Length:
    return Length(Fraction(value), Unit.MM)


def sheet_of(to_paper: Transform, *, turn=0, mirrored=False) -> Sheet:
    return Sheet(
        id=1,
        name="s",
        source="s.png",
        digest="0" * 64,
        page=1,
        frame=Frame.PX,
        kind=PageKind.SCAN,
        width=W,
        height=H,
        turn=turn,
        mirrored=mirrored,
        to_paper=to_paper,
    )


def view_of(x=1.0, y=1.0) -> View:
    scale = Scale(x=x, y=y, covariance=EXACT, source=ScaleFrom.KNOWN)
    return View(id=1, sheet=1, box=Box(0, 0, W, H), scale=scale)


def ground_of(corners: np.ndarray) -> SnapGround:
    pixels = np.full((H, W), 245, np.uint8)
    points = np.round((corners - 0.5) * 16).astype(np.int32)
    cv2.polylines(pixels, [points], True, 20, 3, cv2.LINE_AA, 4)
    pixels = cv2.GaussianBlur(pixels, (0, 0), 0.7)
    image = GrayImage(pixels=pixels, to_frame=Transform())
    return SnapGround(image, Transform(), None)


def piece(width, height, centre, angle=0.0, shape=PieceShape.RECTANGLE) -> LaidPiece:
    return LaidPiece(
        name="p",
        sheet=1,
        view=1,
        shape=shape,
        width=mm(width),
        height=None if height is None else mm(height),
        centre=Point(*centre),
        angle=angle,
    )


def overs(ground, laid, *, sheet, view):
    found = lay_piece(ground, laid, sheet=sheet, view=view)
    return {edge.side: edge.over for edge in found.edges}, found


PLAIN = Transform.scaling(MM_PER_PX)


def test_each_side_is_named_as_seen_and_measured_from_the_middle_of_its_line():
    found, _ = overs(
        ground_of(CORNERS), piece(62, 41, (510, 395)), sheet=sheet_of(PLAIN), view=view_of()
    )
    assert found["right"] == pytest.approx(2.0, abs=0.03)  # 10 px to the right, 1 mm wider
    assert found["left"] == pytest.approx(0.0, abs=0.03)
    assert found["top"] == pytest.approx(1.0, abs=0.03)
    assert found["bottom"] == pytest.approx(0.0, abs=0.03)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("mirrored", [False, True])
def test_nought_degrees_is_upright_as_seen_whatever_the_turn_of_the_picture(turn, mirrored):
    sheet = sheet_of(PLAIN, turn=turn, mirrored=mirrored)
    _, laid = overs(ground_of(CORNERS), piece(60, 40, (500, 400)), sheet=sheet, view=view_of())
    xs, ys = np.array(laid.outline).T
    wide = (60, 40) if turn % 180 == 0 else (40, 60)
    assert np.ptp(xs) * MM_PER_PX == pytest.approx(wide[0], abs=1e-6)
    assert np.ptp(ys) * MM_PER_PX == pytest.approx(wide[1], abs=1e-6)


def test_a_turned_piece_meets_a_turned_box():
    turn = cv2.getRotationMatrix2D((500, 400), -7.0, 1.0)  # clockwise as seen
    corners = cv2.transform(CORNERS[None], turn)[0]
    found, _ = overs(
        ground_of(corners), piece(60, 40, (500, 400), 7.0), sheet=sheet_of(PLAIN), view=view_of()
    )
    assert all(abs(over) < 0.03 for over in found.values())


def test_a_stretched_print_does_not_stretch_the_piece():
    """Printed 2 % too wide: the scale knows, the piece of 60 × 40 fits what is drawn as that."""
    wide = CORNERS * [1.02, 1.0]
    centre = wide.mean(axis=0)
    found, _ = overs(
        ground_of(wide), piece(60, 40, centre), sheet=sheet_of(PLAIN), view=view_of(x=1 / 1.02)
    )
    assert all(abs(over) < 0.03 for over in found.values())


def test_a_photo_that_lies_upside_down_still_has_its_top_on_top():
    """Paper axes run left and up in the picture, as when its corners were given from below."""
    seen = np.array([[180, 210], [830, 190], [800, 620], [210, 590]], float)
    paper = np.array([[0, 0], [60, 0], [60, 40], [0, 40]], float)
    to_mm = ProjectiveTransform.from_estimate(seen[[2, 3, 0, 1]], paper)
    rows = to_mm.params / to_mm.params[2, 2]
    sheet = sheet_of(Transform(tuple(tuple(float(v) for v in row) for row in rows)))
    centre = to_mm.inverse(np.array([[30.0, 21.0]]))[0]  # 1 mm along the paper's y: up as seen
    found, laid = overs(ground_of(seen), piece(60, 40, centre), sheet=sheet, view=view_of())
    top = min(laid.edges, key=lambda edge: edge.at.y)
    assert top.side == "top"
    assert found["top"] == pytest.approx(1.0, abs=0.1)
    assert found["bottom"] == pytest.approx(-1.0, abs=0.1)


def test_where_nothing_is_drawn_no_overhang_is_made_up():
    found, _ = overs(
        ground_of(CORNERS), piece(10, 10, (500, 400)), sheet=sheet_of(PLAIN), view=view_of()
    )
    assert set(found.values()) == {None}


def test_a_view_without_a_scale_bears_no_piece():
    view = View(id=1, sheet=1, box=Box(0, 0, W, H), scale=NoScale(reason="no size is known"))
    with pytest.raises(BadUsage, match="no scale"):
        lay_piece(ground_of(CORNERS), piece(60, 40, (500, 400)), sheet=sheet_of(PLAIN), view=view)
