"""A squared grid whose squares a note gives sets the scale in both directions."""

from __future__ import annotations

from fractions import Fraction

import cv2
import pytest

from audit.geometry import Box
from audit.lengths import Length, Unit
from audit.pipeline.gridded import measure_grid, stated_square
from audit.pipeline.placing import prepare_ground
from audit.records import NoScale, Scale, Statement, StatementKind, View, ViewKind
from audit.scale import fix_scales
from audit.sheets import load_plan
from tests.sheets.test_grid import squared

HALF_INCH = Length(Fraction(1, 2), Unit.IN)
NOTE = Statement(
    sheet=1,
    kind=StatementKind.GRID,
    text='1 SQUARE = 1/2"',
    box=Box(10, 10, 100, 20),
    value=HALF_INCH,
)


@pytest.fixture
def plan(tmp_path):
    cv2.imwrite(str(tmp_path / "grid.png"), squared((41.0, 39.5)))
    with load_plan([tmp_path / "grid.png"]) as loaded:
        yield loaded


def test_the_grid_sets_x_and_y_apart_and_its_note_is_used(plan):
    sheet = plan.sheet(1)
    square = stated_square(sheet, [NOTE])
    assert square == HALF_INCH
    known, told = measure_grid(prepare_ground(plan, sheet), sheet, square)
    assert [k.length for k in known] == [
        Length(Fraction(8), Unit.IN),
        Length(Fraction(11, 2), Unit.IN),
    ]
    assert [f.code for f in told] == ["S110"]
    view = View(id=1, sheet=1, kind=ViewKind.TRUE, box=sheet.box, scale=NoScale(reason="not yet"))
    scaled = fix_scales(sheet, [view], known_sizes=known, statements=[NOTE])
    scale = scaled.views[0].scale
    assert isinstance(scale, Scale)
    assert scale.x / scale.y == pytest.approx(39.5 / 41.0, abs=2e-3)
    assert NOTE in scaled.compared


def test_two_notes_that_differ_state_no_square(plan):
    other = Statement(
        sheet=1, kind=StatementKind.GRID, text="1 SQUARE = 1 IN", box=NOTE.box,
        value=Length(Fraction(1), Unit.IN),
    )  # fmt: skip
    assert stated_square(plan.sheet(1), [NOTE, other]) is None
    assert stated_square(plan.sheet(1), []) is None
