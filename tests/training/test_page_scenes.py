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
from audit.training.page.heads import draw_terminator  # noqa: E402
from audit.training.page.network import CHANNELS, PageNet, unfold_maps  # noqa: E402
from audit.training.page.scenes import draw_across, draw_chain, draw_line  # noqa: E402
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


def test_wearing_keeps_darkness_between_paper_and_ink():
    x = torch.zeros(24, 1, SIZE, SIZE)
    x[..., 100:104, 20:200] = 1
    worn = Wear(torch.Generator().manual_seed(3))(x)
    assert worn.shape == x.shape
    assert 0 <= float(worn.min()) <= float(worn.max()) <= 1
    assert float((worn - x).abs().mean()) > 0.01
