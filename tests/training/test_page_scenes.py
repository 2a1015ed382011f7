"""What the page network learns from: crops whose labels are where the ink is."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from PIL import ImageFont

torch = pytest.importorskip("torch")

from audit.networks.page import unfold  # noqa: E402
from audit.training.page import pictures  # noqa: E402
from audit.training.page.canvas import SIZE, STRIDE, Canvas  # noqa: E402
from audit.training.page.clutter import draw_crossed_marks  # noqa: E402
from audit.training.page.heads import draw_terminator  # noqa: E402
from audit.training.page.network import CHANNELS, PageNet, unfold_maps  # noqa: E402
from audit.training.page.scenes import (  # noqa: E402
    draw_across,
    draw_between,
    draw_chain,
    draw_line,
)
from audit.training.page.strokes import draw_stroke, pick_ink  # noqa: E402
from audit.training.page.styles import HEADS, Hand, Style  # noqa: E402
from audit.training.page.wearing import Wear  # noqa: E402

FONT = ImageFont.load_default(40)
STEADY = Style(
    thin=1.5, thick=3.0, terminator="filled", arrow=14.0, slim=1 / 6, text=14.0, font=FONT,
    small=FONT, above=True, level=False, turn=0.0, lean=0.0, hand=Hand(), ink=(0, 0), pale=0,
    pale_heads=False, dashes=(), barred=False, crisp=False, gap=0.0, beyond=6.0, unit="decimal",
)  # fmt: skip
A, B = np.array([40.0, 128.0]), np.array([200.0, 128.0])


def crop(draw, style=STEADY, seed=1):
    canvas = Canvas()
    draw(canvas, style, np.random.default_rng(seed))
    return canvas.labels(crisp=style.crisp)


def test_the_network_gives_its_maps_as_the_program_unfolds_them():
    given = PageNet().eval()(torch.rand(1, 1, 64, 48)).detach()
    maps = unfold_maps(given)
    assert maps.shape == (1, CHANNELS, 32, 24)
    assert np.array_equal(unfold(given[0].numpy()), maps[0].numpy())


def test_a_dashed_dimension_line_is_labelled_on_its_dashes():
    style = replace(STEADY, dashes=(20, 20))
    dark, masks, _ = crop(lambda c, s, rng: draw_line(c, s, rng, A, B), style)
    inked = dark[127:130].min(axis=0)[40:200] < 100
    labelled = masks[1][62:66].max(axis=0)[20:100] > 0
    assert 0.3 < inked.mean() < 0.8
    assert (inked[::2] == labelled).mean() > 0.9


def test_thin_lines_of_a_pale_style_are_paler_than_its_outlines():
    style = replace(STEADY, pale=120)
    rng = np.random.default_rng(1)
    assert pick_ink(style, rng) == 0
    assert pick_ink(style, rng, thin=True) == 120
    dark, _, _ = crop(lambda c, s, rng: draw_stroke(c, s, rng, A, B, 3.0, "extension"), style)
    assert dark[128, 100] == 120


def test_a_crisp_crop_is_black_and_white_and_its_thinnest_line_has_no_gap():
    style = replace(STEADY, crisp=True, thin=0.34)
    dark, _, _ = crop(lambda c, s, rng: draw_stroke(c, s, rng, A, np.add(B, (0, 9)), s.thin), style)
    assert set(np.unique(dark)) == {0, 255}
    assert (dark[:, 42:198].min(axis=0) == 0).all()


@pytest.mark.parametrize("kind", [kind for kind in HEADS if kind != "none"])
def test_every_terminator_has_one_tip_with_ink_at_it(kind):
    dark, _, tips = crop(lambda c, s, rng: draw_terminator(c, s, A, 0.0, kind=kind))
    assert tips[:, 3].sum() == 1
    x, y, way, _ = tips[0]
    assert math.hypot(x - A[0], y - A[1]) < 4
    assert dark[int(y) - 8 : int(y) + 9, int(x) - 8 : int(x) + 9].min() < 128
    assert way in (0.0, -1.0)


def test_arrows_with_bars_of_their_own_stand_on_no_extension_lines():
    barred = [crop(draw_chain, replace(STEADY, barred=True), seed) for seed in range(12)]
    tips = [
        masks[2][
            int(y / STRIDE) - 2 : int(y / STRIDE) + 3, int(x / STRIDE) - 2 : int(x / STRIDE) + 3
        ]
        for _, masks, rows in barred
        for x, y, _, used in rows
        if used and min(x, y) > 8 and max(x, y) < SIZE - 8
    ]
    assert len(tips) > 8
    assert all(near.any() for near in tips)
    plain = [crop(draw_chain, STEADY, seed) for seed in range(12)]
    labelled = [sum((masks[2] > 0).sum() for _, masks, _ in crops) for crops in (barred, plain)]
    assert labelled[0] < 0.5 * labelled[1]


@pytest.mark.parametrize("draw", dict.fromkeys(pictures.PICTURES), ids=lambda draw: draw.__name__)
def test_pictures_are_ink_without_tips_or_lines(draw):
    dark, masks, tips = crop(draw, seed=7)
    assert (dark < 200).sum() > 20
    assert not masks.any()
    assert not tips[:, 3].any()


def test_a_diameter_has_two_tips_on_its_circle_that_face_each_other():
    _, _, tips = crop(draw_across, seed=3)
    a, b = tips[tips[:, 3] > 0]
    assert abs((a[2] - b[2]) % 360 - 180) < 1


def test_a_size_between_two_edges_has_its_ends_on_heavy_ink():
    heavy = replace(STEADY, thick=5.0, terminator="small dot")
    ends = []
    for seed in range(20):
        dark, masks, tips = crop(draw_between, heavy, seed)
        for x, y, _, used in tips:
            if used and min(x, y) > 8 and max(x, y) < SIZE - 8:
                column, row = int(x), int(y)
                near = dark[row - 5 : row + 6, column - 5 : column + 6]
                ends.append((near < 128).sum() > 40)  # a dot of 1.7 px and a thin line have 30
                assert masks[2][row // STRIDE, column // STRIDE] > 0
    assert len(ends) > 10
    assert all(ends)


def test_crossed_marks_are_text_with_a_line_through_it():
    beside = within = 0
    for seed in range(12):
        dark, masks, _ = crop(draw_crossed_marks, seed=seed)
        text = np.kron(masks[0], np.ones((STRIDE, STRIDE))) > 127
        beside += int(((dark < 128) & ~text).sum())
        within += int((((dark < 128) & text).any(axis=1)).sum())
    assert beside > 500
    assert within > 100


def test_a_surface_drawn_over_ink_never_makes_it_lighter():
    pale = replace(STEADY, ink=(150, 150))
    for seed in range(12):
        canvas = Canvas()
        canvas.line(A, B, 9.0)
        pictures.draw_surface(canvas, pale, np.random.default_rng(seed))
        dark, _, _ = canvas.labels()
        assert dark[127:130, 50:190].max() == 0


def test_a_two_level_scan_keeps_usual_ink_beside_something_darker():
    x = torch.zeros(300, 1, 64, 64)
    x[..., 8:12, :] = x[..., 30:34, :] = x[..., 50:54, :] = 0.5
    x[..., 20:24, 20:24] = 1.0
    worn = Wear(torch.Generator().manual_seed(5))._reproduce(x)
    hard = [crop for crop in worn if set(crop.unique().tolist()) <= {0.0, 1.0}]
    assert len(hard) > 30
    assert np.mean([float(crop[0, 31:33].mean()) for crop in hard]) > 0.8


def test_wearing_keeps_darkness_between_paper_and_ink():
    x = torch.zeros(24, 1, SIZE, SIZE)
    x[..., 100:104, 20:200] = 1
    worn = Wear(torch.Generator().manual_seed(3))(x)
    assert worn.shape == x.shape
    assert 0 <= float(worn.min()) <= float(worn.max()) <= 1
    assert float((worn - x).abs().mean()) > 0.01
