"""Levels and tiles. References: scikit-image averages, Pillow decodes the tiles."""

from __future__ import annotations

import io
import shutil
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from skimage.transform import downscale_local_mean

from audit.errors import BadPlace
from audit.isolation import find_cache_folder
from audit.sheets import open_pyramid, pyramid

RNG = np.random.default_rng(7)
DIGEST = "ab" * 32


def noise(rows, columns):
    return RNG.integers(0, 256, (rows, columns), dtype=np.uint8)


def open_noise(pixels, **keys):
    return open_pyramid(pixels, digest=DIGEST, page=1, **keys)


def built() -> list[Path]:
    return [f for f in (find_cache_folder() / pyramid.FOLDER).glob("*/*") if f.is_dir()]


@pytest.mark.parametrize("shape", [(2100, 3000), (2051, 777), (1, 5000), (256, 256), (1, 1)])
def test_each_level_is_the_average_of_the_one_before(shape):
    pixels = noise(*shape)
    levels = open_noise(pixels).levels
    assert np.array_equal(levels[0], pixels)
    assert max(levels[-1].shape) <= pyramid.TILE
    for finer, coarser in pairwise(levels):
        padded = np.pad(finer, ((0, finer.shape[0] % 2), (0, finer.shape[1] % 2)), mode="edge")
        expected = downscale_local_mean(padded, (2, 2))
        assert coarser.shape == expected.shape
        assert np.abs(coarser - expected).max() <= 0.51


def read_tile(data):
    image = Image.open(io.BytesIO(data))
    assert image.size == (pyramid.TILE, pyramid.TILE)
    return np.asarray(image.convert("RGBA"))


def test_tiles_put_together_are_the_sheet_and_transparent_beyond_it():
    pixels = noise(600, 700)
    made = open_noise(pixels)
    sheet = np.vstack(
        [np.hstack([read_tile(made.tile(0, c, r)) for c in range(3)]) for r in range(3)]
    )
    assert np.array_equal(sheet[:600, :700, 0], pixels)
    assert (sheet[:600, :700, 3] == 255).all()
    assert (sheet[600:, :, 3] == 0).all()
    assert (sheet[:, 700:, 3] == 0).all()


@pytest.mark.parametrize("place", [(0, 3, 0), (0, 0, 3), (9, 0, 0), (-1, 0, 0), (0, -1, 0)])
def test_a_tile_outside_is_refused(place):
    with pytest.raises(BadPlace, match="there is no such tile"):
        open_noise(noise(600, 700)).tile(*place)


def test_a_pyramid_is_built_once(monkeypatch):
    pixels = noise(600, 700)
    open_noise(pixels)
    [folder] = built()

    def refuse(*_, **__):
        raise AssertionError("built again")

    monkeypatch.setattr(pyramid, "_build", refuse)
    assert np.array_equal(open_noise(pixels).levels[0], pixels)
    assert built() == [folder]


def test_pages_variants_and_files_are_kept_apart():
    pixels = noise(60, 70)
    open_noise(pixels)
    open_pyramid(pixels, digest=DIGEST, page=2)
    open_pyramid(pixels, digest=DIGEST, page=1, variant="200dpi")
    open_pyramid(pixels, digest="cd" * 32, page=1)
    assert len(built()) == 4
    open_pyramid(pixels, digest=DIGEST, page=1, variant="../../../escape")
    assert all(find_cache_folder() in f.parents for f in built())
    assert len(built()) == 5


def test_deleting_the_cache_meanwhile_harms_nothing():
    pixels = noise(600, 700)
    first = open_noise(pixels)
    shutil.rmtree(find_cache_folder())
    assert np.array_equal(read_tile(first.tile(0, 0, 0))[..., 0], pixels[:256, :256])
    assert np.array_equal(open_noise(pixels).levels[0], pixels)
    assert len(built()) == 1


@pytest.mark.parametrize(
    "harm",
    [
        lambda f: (f / "1.gray").unlink(),
        lambda f: (f / "1.gray").write_bytes(b"short"),
        lambda f: (f / "index.json").write_text("{"),
        lambda f: (f / "index.json").write_text('{"version": 1, "levels": [[5, 5]]}'),
        lambda f: (f / "index.json").write_text('{"version": 99, "levels": [[600, 700]]}'),
        lambda f: (f / "index.json").write_text("[]"),
        lambda f: (f / "index.json").unlink(),
    ],
)
def test_a_damaged_pyramid_is_built_again(harm):
    pixels = noise(600, 700)
    open_noise(pixels)
    [folder] = built()
    harm(folder)
    levels = open_noise(pixels).levels
    assert np.array_equal(levels[0], pixels)
    assert levels[1].shape == (300, 350)
    assert built() == [folder]


def test_a_full_disk_leaves_nothing_half_written_and_the_sheet_is_still_shown(monkeypatch, caplog):
    def full(folder, _):
        (folder / "0.gray").write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(pyramid, "_write_levels", full)
    pixels = noise(600, 700)
    levels = open_noise(pixels).levels
    assert [level.shape for level in levels] == [(600, 700), (300, 350), (150, 175)]
    assert not built()
    assert "No space left on device" in caplog.text


def test_old_pyramids_make_room_for_new_ones(monkeypatch):
    monkeypatch.setattr(pyramid, "KEPT_BYTES", 1_500_000)
    for page in range(1, 6):  # 560 kB each
        open_pyramid(noise(600, 700), digest=DIGEST, page=page)
    names = sorted(f.name for f in built())
    assert f"{DIGEST}-5-raster-v{pyramid.VERSION}" in names
    assert f"{DIGEST}-1-raster-v{pyramid.VERSION}" not in names
    assert len(names) == 3
