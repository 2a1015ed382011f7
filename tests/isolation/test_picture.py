"""Pictures: the stored raster whatever the format, orientation reported, damage refused.

References: Pillow's own `ImageOps.exif_transpose` for orientation, its `convert` for luma, and the
arrays the files were made from.
"""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageOps

from audit.errors import Damaged, TooLarge, WrongKind
from audit.isolation import Limits, open_document, picture
from audit.isolation.picture import OpenPicture
from audit.isolation.requests import DecodePicture
from tests.isolation.files import as_bytes, drawing, huge_bmp, huge_png, huge_tiff

GRAY = drawing(213, 141)
RGB = np.dstack([GRAY, GRAY[::-1], np.roll(GRAY, 9, axis=1)])


@pytest.fixture(autouse=True)
def _limit_of_pillow_comes_back(monkeypatch):
    """The worker's code lifts it; here it runs in the test's own process, which is faster."""
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", Image.MAX_IMAGE_PIXELS)


def read(tmp_path, data, *, name="picture", limits=None):
    path = tmp_path / name
    path.write_bytes(data)
    opened = OpenPicture(path, limits=limits or Limits())
    info = opened.describe()
    try:
        written = opened.decode(DecodePicture(page=1, target=tmp_path / "pixels"))
    finally:
        opened.close()
    pixels = np.fromfile(tmp_path / "pixels", np.uint8)
    return info, pixels.reshape(written.rows, written.columns)


LOSSLESS = {
    "png 8": (Image.fromarray(GRAY), "PNG", {}),
    "png 1": (Image.fromarray(GRAY).convert("1"), "PNG", {}),
    "png palette": (Image.fromarray(RGB).convert("P"), "PNG", {}),
    "png rgb": (Image.fromarray(RGB), "PNG", {}),
    "bmp": (Image.fromarray(GRAY), "BMP", {}),
    "bmp rgb": (Image.fromarray(RGB), "BMP", {}),
    "webp": (Image.fromarray(RGB), "WEBP", {"lossless": True}),
    "tiff": (Image.fromarray(GRAY), "TIFF", {}),
    "tiff lzw": (Image.fromarray(RGB), "TIFF", {"compression": "tiff_lzw"}),
    "tiff g4": (Image.fromarray(GRAY).convert("1"), "TIFF", {"compression": "group4"}),
    "tiff deflate": (Image.fromarray(GRAY), "TIFF", {"compression": "tiff_adobe_deflate"}),
    "tiff cmyk": (Image.fromarray(RGB).convert("CMYK"), "TIFF", {}),
}


@pytest.mark.parametrize("name", LOSSLESS)
def test_a_lossless_picture_comes_back_as_its_luma(tmp_path, name):
    image, kind, keys = LOSSLESS[name]
    _, pixels = read(tmp_path, as_bytes(image, kind, **keys))
    expected = image.convert("RGB").convert("L")
    assert np.array_equal(pixels, np.asarray(expected))


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
@pytest.mark.parametrize("progressive", [False, True])
def test_a_jpeg_comes_back_as_its_luma(tmp_path, mode, progressive):
    image = Image.fromarray(RGB).convert(mode)
    data = as_bytes(image, "JPEG", quality=95, progressive=progressive)
    _, pixels = read(tmp_path, data)
    expected = image.convert("RGB").convert("L")
    assert np.abs(pixels.astype(int) - np.asarray(expected)).mean() < 2


def test_transparency_lies_on_white(tmp_path):
    alpha = np.zeros_like(GRAY)
    alpha[:, :50] = 255
    image = Image.fromarray(np.dstack([GRAY, GRAY, GRAY, alpha]))
    for kind in ("PNG", "WEBP"):
        _, pixels = read(tmp_path, as_bytes(image, kind, lossless=True))
        assert np.array_equal(pixels[:, :50], GRAY[:, :50])
        assert (pixels[:, 50:] == 255).all()


def test_a_palette_with_a_transparent_colour_lies_on_white(tmp_path):
    image = Image.fromarray((GRAY > 200).astype(np.uint8), "P")
    image.putpalette([0, 0, 0, 0, 0, 0])  # both colours black, the second one transparent
    _, pixels = read(tmp_path, as_bytes(image, "PNG", transparency=1))
    assert np.array_equal(pixels, np.where(GRAY > 200, 255, 0))


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_sixteen_bits_become_eight(tmp_path, kind):
    deep = GRAY.astype(np.uint16) * 257
    _, pixels = read(tmp_path, as_bytes(Image.fromarray(deep), kind))
    assert np.array_equal(pixels, GRAY)


def test_a_fax_in_which_zero_is_white_comes_back_black_on_white(tmp_path):
    """TIFF 6.0, PhotometricInterpretation: 0 is WhiteIsZero; the same data, read the other way."""
    data = bytearray(as_bytes(Image.fromarray(GRAY).convert("1"), "TIFF", compression="group4"))
    first = int.from_bytes(data[4:8], "little")
    for entry in range(first + 2, len(data) - 12, 12):
        if data[entry : entry + 2] == (262).to_bytes(2, "little"):
            assert data[entry + 8] == 1
            data[entry + 8] = 0
            break
    _, pixels = read(tmp_path, bytes(data))
    expected = 255 - np.asarray(Image.fromarray(GRAY).convert("1").convert("L"))
    assert np.array_equal(pixels, expected)


def test_floating_point_tiffs_are_scaled_to_white(tmp_path):
    image = Image.fromarray(GRAY.astype(np.float32) / 255)
    _, pixels = read(tmp_path, as_bytes(image, "TIFF"))
    assert np.abs(pixels.astype(int) - GRAY).max() <= 1


def test_large_pictures_are_converted_in_bands_without_a_seam(tmp_path, monkeypatch):
    monkeypatch.setattr(picture, "BAND_PIXELS", 213 * 10 + 5)
    _, pixels = read(tmp_path, as_bytes(Image.fromarray(RGB), "PNG"))
    assert np.array_equal(pixels, np.asarray(Image.fromarray(RGB).convert("L")))


def bring_upright(pixels, page):
    if page.mirrored:
        pixels = pixels[:, ::-1]
    return np.rot90(pixels, -page.turn // 90)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_the_stored_raster_is_kept_and_its_orientation_told(tmp_path, kind, orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    image = Image.fromarray(GRAY)
    keys = {"lossless": True} if kind == "WEBP" else {}
    if kind == "JPEG":
        keys["quality"] = 100
    data = as_bytes(image, kind, exif=exif.tobytes() if kind == "WEBP" else exif, **keys)
    info, pixels = read(tmp_path, data)
    page = info.pages[0]
    assert (page.width, page.height) == (213, 141)
    assert np.abs(pixels.astype(int) - GRAY).max() <= 3
    told = Image.fromarray(GRAY)
    told.getexif()[0x0112] = orientation
    expected = np.asarray(ImageOps.exif_transpose(told))
    assert np.array_equal(bring_upright(GRAY, page), expected)


def test_an_orientation_that_does_not_exist_is_none(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 99
    info, _ = read(tmp_path, as_bytes(Image.fromarray(GRAY), "JPEG", exif=exif))
    assert (info.pages[0].turn, info.pages[0].mirrored) == (0, False)


def test_tiff_pages_are_counted_without_reduced_copies(tmp_path):
    first, second = Image.fromarray(GRAY), Image.fromarray(GRAY[::-1].copy())
    small = Image.fromarray(GRAY[::4, ::4].copy())
    small.encoderinfo = {"tiffinfo": {254: 1}}
    stream = io.BytesIO()
    first.save(stream, "TIFF", save_all=True, append_images=[small, second])
    path = tmp_path / "pages.tif"
    path.write_bytes(stream.getvalue())
    with open_document(path) as doc:
        assert [p.number for p in doc.info.pages] == [1, 2]
        assert np.array_equal(doc.raster(2).pixels, GRAY[::-1])
        assert np.array_equal(doc.raster(1).pixels, GRAY)


def test_only_the_first_picture_of_an_animation_is_used_and_that_is_said(tmp_path):
    stream = io.BytesIO()
    Image.fromarray(GRAY).save(
        stream, "PNG", save_all=True, append_images=[Image.fromarray(255 - GRAY)]
    )
    info, pixels = read(tmp_path, stream.getvalue())
    assert "only the first is used" in info.remarks[-1]
    assert np.array_equal(pixels, GRAY)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "BMP"])
def test_the_stated_resolution_is_read(tmp_path, kind):
    info, _ = read(tmp_path, as_bytes(Image.fromarray(GRAY), kind, dpi=(300, 200)))
    page = info.pages[0]
    assert (page.dpi_x, page.dpi_y) == pytest.approx((300, 200), abs=0.02)


def test_no_resolution_is_none_and_rubbish_is_none(tmp_path):
    for dpi in (None, (0, 0), (1, 1)):
        keys = {"dpi": dpi} if dpi else {}
        info, _ = read(tmp_path, as_bytes(Image.fromarray(GRAY), "PNG", **keys))
        assert (info.pages[0].dpi_x, info.pages[0].dpi_y) == (None, None)


def test_a_camera_gives_itself_away(tmp_path):
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x829A] = (1, 60)
    info, _ = read(tmp_path, as_bytes(Image.fromarray(GRAY), "JPEG", exif=exif))
    assert info.pages[0].camera
    info, _ = read(tmp_path, as_bytes(Image.fromarray(GRAY), "JPEG"))
    assert not info.pages[0].camera


CUT = {name: v for name, v in LOSSLESS.items() if name not in ("png 1", "bmp rgb", "png rgb")}
CUT |= {
    "jpeg": (Image.fromarray(RGB), "JPEG", {}),
    "jpeg progressive": (Image.fromarray(RGB), "JPEG", {"progressive": True}),
}


@pytest.mark.parametrize("name", CUT)
def test_half_a_file_is_refused(tmp_path, name):
    image, kind, keys = CUT[name]
    data = as_bytes(image, kind, **keys)
    with pytest.raises(Damaged, match=r"picture is (cut off|damaged).*: copy or (scan|export)"):
        read(tmp_path, data[: len(data) // 2])


def test_a_jpeg_closed_early_or_filled_with_zeros_is_refused(tmp_path):
    data = as_bytes(Image.fromarray(RGB), "JPEG")
    half = data[: len(data) // 2]
    for broken in (half + b"\xff\xd9", half + bytes(len(half)), half + bytes(99) + b"\xff\xd9"):
        with pytest.raises(Damaged, match="cut off, part of the picture is missing"):
            read(tmp_path, broken)


def test_a_tiff_strip_beyond_the_end_of_the_file_is_refused(tmp_path):
    image = Image.fromarray(drawing(900, 900))
    data = as_bytes(image, "TIFF", compression="tiff_lzw")
    offsets = Image.open(io.BytesIO(data)).tag_v2[273]
    last = offsets[-1].to_bytes(4, "little")
    assert data.count(last) == 1
    with pytest.raises(Damaged, match="is damaged"):
        read(tmp_path, data.replace(last, (len(data) - 9).to_bytes(4, "little")))


@pytest.mark.parametrize("make", [huge_png, huge_bmp, huge_tiff])
def test_bombs_are_refused_by_their_header(tmp_path, make):
    path = tmp_path / "bomb"
    path.write_bytes(make(60_000))
    with pytest.raises(TooLarge, match="has 60000 × 60000 pixels, more than the 500 million"):
        open_document(path)


def test_a_picture_that_would_not_fit_into_memory_is_refused_before_decoding(tmp_path):
    limits = Limits(memory_bytes=400 * 1024 * 1024)
    with pytest.raises(TooLarge, match="needs 381 MB to decode: save it in gray"):
        read(tmp_path, huge_png(10_000), limits=limits)


def test_too_many_tiff_pages_are_refused(tmp_path):
    stream = io.BytesIO()
    one = Image.fromarray(GRAY[:9, :9].copy())
    one.save(stream, "TIFF", save_all=True, append_images=[one] * 5)
    with pytest.raises(TooLarge, match="more than the 3 pages allowed"):
        read(tmp_path, stream.getvalue(), limits=Limits(pages=3))


def test_pictures_of_other_kinds_are_named(tmp_path):
    path = tmp_path / "a.png"
    path.write_bytes(as_bytes(Image.fromarray(GRAY), "GIF"))
    with pytest.raises(WrongKind, match=r"a\.png is a GIF picture: save it as PNG"):
        open_document(path)
