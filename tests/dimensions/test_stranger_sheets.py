"""The bench of other people's drawings, on a small DXF drawing of our own."""

from __future__ import annotations

import ezdxf
import numpy as np
import pymupdf
import pytest

from tests.bench import stranger
from tests.bench.stranger_sheets import ODD, cut_sheets


@pytest.fixture
def drawing(tmp_path):
    """A plate of 300 × 120 with a chain of 100 and 200, its overall, and a size typed over."""
    document = ezdxf.new("R2010", setup=True)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (300, 0), (300, 120), (0, 120)], close=True)
    override = {
        "dimlfac": 1,
        "dimtxt": 12.5,
        "dimasz": 12.5,
        "dimexe": 5,
        "dimexo": 5,
        "dimgap": 4,
        "dimdec": 0,
    }
    for a, b, y, text in (
        (0, 100, -40, "<>"),
        (100, 300, -40, "<>"),
        (0, 300, -80, "<>"),
        (0, 300, 160, "320"),
    ):
        dimension = space.add_linear_dim(
            base=(0, y), p1=(a, 0), p2=(b, 0), text=text, override=override
        )
        dimension.render()
    path = tmp_path / "plate.dxf"
    document.saveas(path)
    return path


def test_sheet_has_the_drawings_own_sizes_at_a_usual_scale(drawing):
    [sheet] = cut_sheets(drawing)
    truths = {(t.text, t.right) for t in sheet.page.truths}
    assert truths == {("100", ""), ("200", ""), ("300", ""), ("320", ODD)}
    [first] = [t for t in sheet.page.truths if t.text == "100"]
    (ax, ay), (bx, by) = first.ends
    assert abs(bx - ax) == pytest.approx(100 / 5 * 72 / 25.4, abs=1e-6)  # 1:5 makes 2.5 mm letters
    assert ay == pytest.approx(by)
    words = [w[4] for w in pymupdf.open(stream=sheet.page.pdf, filetype="pdf")[0].get_text("words")]
    assert sorted(words) == ["100", "200", "300", "320"]


def test_one_number_is_planted_six_percent_off_and_the_drawing_is_left_as_it_was(drawing):
    [sheet] = cut_sheets(drawing, plant=np.random.default_rng(1))
    [wrong] = [t for t in sheet.page.truths if t.right not in ("", ODD)]
    assert abs(float(wrong.text) / float(wrong.right) - 1) == pytest.approx(0.06, abs=0.001)
    text = pymupdf.open(stream=sheet.page.pdf, filetype="pdf")[0].get_text()
    assert wrong.text in text.split()
    assert wrong.right not in text.split()


def test_without_drawings_and_programs_the_bench_says_so_and_does_nothing(
    tmp_path, capsys, monkeypatch
):
    monkeypatch.setattr(stranger, "is_there", lambda program: False)
    stranger.run(full=False, folder=tmp_path)
    out = capsys.readouterr().out
    assert "no drawings, no DXF files in" in out
    assert "held out" not in out
