"""Tiles show the sheet's own pixels, upright, at their place. Decoded by Pillow and by PyMuPDF's
own rendering of the whole page."""

from __future__ import annotations

import io
import itertools

import numpy as np
import pymupdf
import pytest
from PIL import Image
from scipy.ndimage import minimum_filter

from tests.web.conftest import draw_sheet

pytestmark = pytest.mark.usefixtures("lent_workers")


def tile(server, zoom, column, row):
    answer = server.client.get(f"/api/sheets/1/tiles/{zoom}/{column}/{row}")
    assert answer.status_code == 200, answer.text
    return np.asarray(Image.open(io.BytesIO(answer.content)).convert("LA"))


def add(server, path):
    answer = server.client.post("/api/plans", params={"name": path.name}, content=path.read_bytes())
    assert answer.status_code == 201, answer.text
    return server.client.get("/api/sheets/1").json()


def test_a_tile_of_a_scan_is_its_own_pixels(server, tmp_path):
    path = draw_sheet(tmp_path / "scan.png")
    add(server, path)
    whole = np.asarray(Image.open(path))
    shown = tile(server, 0, 1, 1)
    assert shown.shape == (257, 257, 2)
    assert (shown[:, :, 0] == whole[256:513, 256:513]).all()
    assert (shown[:, :, 1] == 255).all()


def test_tiles_at_the_edge_are_transparent_beyond_it(server, tmp_path):
    add(server, draw_sheet(tmp_path / "scan.png"))  # 1200 × 800
    shown = tile(server, 0, 4, 3)
    assert (shown[: 800 - 768, : 1200 - 1024, 1] == 255).all()
    assert (shown[800 - 768 :, :, 1] == 0).all()
    assert (shown[:, 1200 - 1024 :, 1] == 0).all()


def test_neighbours_share_the_pixels_between_them(server, tmp_path):
    add(server, draw_sheet(tmp_path / "scan.png"))
    left, right = tile(server, 0, 0, 0), tile(server, 0, 1, 0)
    assert (left[:, 256] == right[:, 0]).all()


def test_a_photo_is_shown_upright(server, tmp_path):
    """EXIF orientation 6: the stored rows run from top to bottom on the right side."""
    drawn = Image.open(draw_sheet(tmp_path / "plain.png"))
    stored = drawn.transpose(Image.Transpose.ROTATE_90)
    exif = Image.Exif()
    exif[0x0112] = 6
    path = tmp_path / "photo.png"
    stored.save(path, exif=exif)
    sheet = add(server, path)
    assert (sheet["width"], sheet["height"]) == (1200, 800)
    assert (tile(server, 0, 0, 0)[:, :, 0] == np.asarray(drawn)[:257, :257]).all()
    x, y = 100.0, 700.0  # the rule's left end as seen; stored frame: x' = y, y' = 1200 - x
    row_x, row_y, _ = sheet["from_frame"]
    stored_at = (y, 1200 - x, 1.0)
    assert sum(a * b for a, b in zip(row_x, stored_at, strict=True)) == pytest.approx(x)
    assert sum(a * b for a, b in zip(row_y, stored_at, strict=True)) == pytest.approx(y)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_drawn_page_is_sharp_at_any_zoom_and_at_its_place(server, tmp_path, turn):
    document = pymupdf.open()
    page = document.new_page(width=300, height=200)
    page.draw_line((50, 60), (250, 60), width=0.5)
    page.draw_line((50, 60), (50, 160), width=0.5)
    page.set_rotation(turn)
    path = tmp_path / "drawn.pdf"
    document.save(path)
    sheet = add(server, path)
    seen = page.rect
    assert sheet["sharp"]
    assert sheet["width"] == pytest.approx(seen.width * 200 / 72, abs=1)
    zoom, fine = 2, 4 * 200 / 72
    whole = page.get_pixmap(matrix=pymupdf.Matrix(fine, fine), colorspace=pymupdf.csGRAY)
    expected = np.frombuffer(whole.samples, np.uint8).reshape(whole.height, whole.width)
    inked = 0
    for column, row in itertools.product(range(8), repeat=2):
        part = expected[row * 256 : row * 256 + 257, column * 256 : column * 256 + 257]
        if part.shape != (257, 257) or part.min() > 60:
            continue
        shown = tile(server, zoom, column, row)[:, :, 0]
        inked += int((part < 60).sum())
        # A turned page begins where the map's last whole pixel ends: up to 4 px off at this zoom.
        near = minimum_filter(shown, size=9)
        assert (near[part < 60] < 160).all()
        assert (shown > 160).mean() > 0.9
    assert inked > 1000
