"""PDF pages: the sheet's frame in every combination, what pages are made of, faults and limits.

Truth of the frame: ISO 32000-1, 8.3.2.3 (UserUnit), 14.11.2 (the crop box is clipped to the media
box) and 7.7.3.3 (/Rotate turns clockwise when shown); the files are written by pikepdf.
"""

from __future__ import annotations

import zlib
from decimal import Decimal
from itertools import product

import numpy as np
import pikepdf
import pytest
from pikepdf import Dictionary, Name
from PIL import Image

from audit.errors import BadPlace, BadUsage, Damaged, Encrypted, TooLarge
from audit.geometry import Box, Point
from audit.isolation import Limits, SourceKind, open_document
from tests.isolation.files import LETTER, PdfBuilder, as_bytes, drawing, scan_pdf

pytestmark = pytest.mark.usefixtures("lent_workers")

BOXES = {
    "plain": (LETTER, None),
    "cropped": (LETTER, (100, 50, 500, 700)),
    "negative origin": ((-300, -200, 312, 592), None),
    "negative, cropped": ((-300, -200, 312, 592), (-150.5, -100.25, 200, 500)),
    "crop box too large": ((10, 20, 410, 620), (-50, -50, 300, 900)),
    "corners swapped": ((500, 700, 0, 0), None),
}
MARK = (130.0, 260.0)  # PDF space; lies in every box above
WITHIN_PT = 0.09  # an eighth of a pixel at 100 dpi: MuPDF smooths edges on a grid of 17 × 15


def effective_box(media, crop):
    x0, x1 = sorted((media[0], media[2]))
    y0, y1 = sorted((media[1], media[3]))
    if crop is None:
        return x0, y0, x1, y1
    return max(x0, crop[0]), max(y0, crop[1]), min(x1, crop[2]), min(y1, crop[3])


def page_keys(crop, turn, unit):
    keys = {"Rotate": turn}
    if crop is not None:
        keys["CropBox"] = crop
    if unit != 1:
        keys["UserUnit"] = unit
    return keys


def find_dark(image):
    dark = 255.0 - image.pixels
    rows, columns = np.indices(dark.shape) + 0.5
    middle = ((columns * dark).sum() / dark.sum(), (rows * dark).sum() / dark.sum())
    return image.to_frame.apply(middle)


@pytest.fixture(scope="module")
def framed(tmp_path_factory):
    """One PDF with a page for every combination, a black square around MARK on each."""
    builder, combinations = PdfBuilder(), list(product(BOXES, (0, 90, 180, 270), (1, 2, 0.5)))
    x, y = MARK
    square = f"{x - 3} {y - 3} 6 6 re f".encode()
    for name, turn, unit in combinations:
        media, crop = BOXES[name]
        builder.page(square, box=media, **page_keys(crop, turn, unit))
    path = builder.save(tmp_path_factory.mktemp("framed") / "framed.pdf")
    return path, combinations


def test_every_page_frame_is_the_unrotated_crop_box_in_points_of_paper(framed):
    path, combinations = framed
    with open_document(path) as doc:
        for page, (name, turn, unit) in zip(doc.info.pages, combinations, strict=True):
            x0, y0, x1, y1 = effective_box(*BOXES[name])
            size = ((x1 - x0) * unit, (y1 - y0) * unit)
            assert (page.width, page.height) == pytest.approx(size, abs=1e-3), (name, turn, unit)
            assert (page.turn, page.user_unit) == (turn, unit)


@pytest.mark.parametrize("part", [None, "around the mark"])
def test_a_mark_is_rendered_at_its_place_in_the_frame(framed, part):
    path, combinations = framed
    with open_document(path) as doc:
        for number, (name, turn, unit) in enumerate(combinations, 1):
            x0, _, _, y1 = effective_box(*BOXES[name])
            truth = Point((MARK[0] - x0) * unit, (y1 - MARK[1]) * unit)
            box = part and Box(truth.x - 9.3, truth.y - 7.1, truth.x + 8.2, truth.y + 7.7)
            found = find_dark(doc.render(number, dpi=100, box=box))
            assert found.distance(truth) < WITHIN_PT, (name, turn, unit, found, truth)


def test_lines_and_pixels_of_a_page_lie_in_the_same_frame(framed):
    path, combinations = framed
    with open_document(path) as doc:
        for number in range(1, len(combinations) + 1, 7):
            fill = doc.vector_page(number).fills[0]
            dark = find_dark(doc.render(number, dpi=100))
            assert fill.box.centre.distance(dark) < WITHIN_PT, combinations[number - 1]


@pytest.mark.parametrize("width", [0, 0.02, 0.5])
def test_a_hairline_is_dark_and_stays_where_it_is(tmp_path, width):
    """ISO 32000-1, 8.4.3.2: width 0 is the thinnest line of a device; a printer draws it dark."""
    builder = PdfBuilder()
    builder.page(f"{width} w 100 300 m 400 300 l S".encode(), box=LETTER)
    with open_document(builder.save(tmp_path / "hairline.pdf")) as doc:
        image = doc.render(1, dpi=400)
    assert image.pixels.min() < 80
    assert find_dark(image).distance(Point(250, 792 - 300)) < WITHIN_PT


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("unit", [1, 2])
def test_a_scanned_page_comes_pixel_on_pixel(tmp_path, turn, unit):
    pixels = drawing()
    builder = PdfBuilder()
    resources = builder.picture(zlib.compress(pixels.tobytes()), size=(212, 275))
    resources.XObject.I.Filter = Name.FlateDecode
    content = b"q 306 0 0 396 50 60 cm /I Do Q"  # 1 px = 1.443 pt
    keys = page_keys((50, 60, 356, 456), turn, unit)
    path = builder.page(content, resources=resources, **keys).save(tmp_path / "scan.pdf")
    with open_document(path) as doc:
        look = doc.look(1)
        image = doc.raster(1)
    assert look.picture_share == pytest.approx(1.0)
    assert look.vector_items == 0
    assert look.picture_dpi_x == pytest.approx(212 / (306 * unit / 72), rel=1e-5)
    assert np.array_equal(image.pixels, pixels)
    corner = image.to_frame.apply((212, 275))
    assert corner == pytest.approx((306 * unit, 396 * unit), abs=1e-3)


def test_a_picture_stored_sideways_keeps_its_two_resolutions_apart(tmp_path):
    pixels = drawing(200, 100)
    builder = PdfBuilder()
    resources = builder.picture(pixels.tobytes(), size=(200, 100))
    # Turned a quarter counter-clockwise: 200 px along the page's height of 400 pt.
    content = b"q 0 400 -100 0 100 0 cm /I Do Q"
    path = builder.page(content, box=(0, 0, 100, 400), resources=resources).save(
        tmp_path / "side.pdf"
    )
    with open_document(path) as doc:
        look, image = doc.look(1), doc.raster(1)
    assert (look.picture_dpi_x, look.picture_dpi_y) == pytest.approx((72.0, 36.0))
    assert np.array_equal(image.pixels, np.rot90(pixels))


def test_a_black_and_white_scan_stored_as_a_stencil_is_a_scan(tmp_path):
    bits = drawing(200, 120) < 128
    data = np.packbits(~bits, axis=1).tobytes()
    keys = {"ImageMask": True, "BitsPerComponent": 1}
    builder = PdfBuilder()
    resources = builder.picture(data, size=(200, 120), **keys)
    del resources.XObject.I["/ColorSpace"]
    content = b"q 400 0 0 240 0 0 cm /I Do Q"
    path = builder.page(content, box=(0, 0, 400, 240), resources=resources).save(
        tmp_path / "stencil.pdf"
    )
    with open_document(path) as doc:
        look, image = doc.look(1), doc.raster(1)
    assert look.vector_items == 0
    assert look.picture_share == pytest.approx(1.0)
    assert np.array_equal(image.pixels < 128, bits)


def test_invisible_text_over_a_scan_does_not_make_it_drawn(tmp_path):
    builder = PdfBuilder()
    resources = builder.picture(drawing().tobytes(), size=(212, 275))
    font = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
    resources.Font = Dictionary(F=font)
    content = b"q 612 0 0 792 0 0 cm /I Do Q BT 3 Tr /F 12 Tf 99 99 Td (3 1/2) Tj ET"
    path = builder.page(content, resources=resources).save(tmp_path / "ocr.pdf")
    with open_document(path) as doc:
        assert doc.look(1).vector_items == 0


@pytest.mark.parametrize(
    "box", [(0, 0, 0, 0), (0, 0, 612, 0), (0, 0, 10**12, 792), (0, 0, 612), "missing", "nan"]
)
def test_a_page_without_usable_size_is_refused(tmp_path, box):
    builder = PdfBuilder().page(b"0 0 m 9 9 l S")
    page = builder.pdf.pages[0]
    if box == "missing":
        del page.MediaBox
    elif box == "nan":
        page.MediaBox = pikepdf.Array([Name.nan, Name.nan, 612, 792])
    else:
        page.MediaBox = pikepdf.Array(box)
    path = builder.save(tmp_path / "size.pdf")
    with pytest.raises(Damaged, match=r"size\.pdf: the page has no usable size \(MediaBox"):
        open_document(path)


def test_one_page_without_size_spoils_only_itself(tmp_path):
    builder = PdfBuilder().page(b"0 0 m 9 9 l S").page(b"0 0 m 9 9 l S", box=(0, 0, 0, 0))
    with open_document(builder.save(tmp_path / "two.pdf")) as doc:
        assert doc.render(1, dpi=20).pixels.shape == (220, 170)
        with pytest.raises(Damaged, match="page 2: the page has no usable size"):
            doc.render(2)


def test_a_media_box_inherited_from_the_page_tree_counts(tmp_path):
    builder = PdfBuilder().page(b"0 0 m 9 9 l S")
    del builder.pdf.pages[0].MediaBox
    builder.pdf.Root.Pages.MediaBox = pikepdf.Array([0, 0, 200, 100])
    with open_document(builder.save(tmp_path / "inherited.pdf")) as doc:
        assert (doc.info.pages[0].width, doc.info.pages[0].height) == (200, 100)


def test_a_password_is_asked_for_and_an_owner_password_is_none(tmp_path):
    builder = PdfBuilder().page(b"0 0 m 9 9 l S")
    locked = builder.save(
        tmp_path / "locked.pdf", encryption=pikepdf.Encryption(owner="o", user="u")
    )
    owned = builder.save(tmp_path / "owned.pdf", encryption=pikepdf.Encryption(owner="o", user=""))
    with pytest.raises(Encrypted, match=r"locked\.pdf needs a password: open it with"):
        open_document(locked)
    with open_document(owned) as doc:
        assert doc.look(1).vector_items == 1


def test_a_cut_off_pdf_opens_as_repaired_and_says_so(tmp_path):
    whole = PdfBuilder().page(b"0 0 m 9 9 l S " * 200).save(tmp_path / "whole.pdf")
    data = whole.read_bytes()
    cut = tmp_path / "cut.pdf"
    cut.write_bytes(data[: int(len(data) * 0.9)])
    with open_document(whole) as doc:
        assert not doc.info.repaired
    with open_document(cut) as doc:
        assert doc.info.repaired
        assert "repaired while opening" in doc.info.remarks[0]


@pytest.mark.parametrize("data", [b"%PDF-1.7\n", b"%PDF-1.7\n" + bytes(range(256)) * 40])
def test_a_pdf_of_nothing_is_damaged(tmp_path, data):
    path = tmp_path / "nothing.pdf"
    path.write_bytes(data)
    with pytest.raises(Damaged, match=r"nothing\.pdf.*(damaged|no pages)"):
        open_document(path)


def test_a_pdf_without_pages_or_with_a_circular_tree_is_damaged(tmp_path):
    none = PdfBuilder().save(tmp_path / "none.pdf")
    builder = PdfBuilder().page(b"")
    builder.pdf.Root.Pages.Kids = pikepdf.Array([builder.pdf.Root.Pages])
    circle = builder.save(tmp_path / "circle.pdf")
    for path in (none, circle):
        with pytest.raises(Damaged, match="has no pages"):
            open_document(path)


def test_too_many_pages_are_refused_by_number(tmp_path):
    builder = PdfBuilder()
    for _ in range(4):
        builder.page(b"")
    path = builder.save(tmp_path / "many.pdf")
    with pytest.raises(TooLarge, match=r"many\.pdf has 4 pages, more than the 3 allowed: split"):
        open_document(path, limits=Limits(pages=3))


def test_a_picture_bomb_is_refused_before_it_is_unpacked(tmp_path):
    once = zlib.compress(zlib.compress(bytes(10**7), 9), 9)
    keys = {"Filter": pikepdf.Array([Name.FlateDecode, Name.FlateDecode])}
    path = scan_pdf(tmp_path / "bomb.pdf", once, size=(60_000, 60_000), **keys)
    with open_document(path) as doc:
        for reading in (doc.look, doc.render, doc.raster, doc.vector_page):
            with pytest.raises(TooLarge, match="60000 × 60000 pixels is more than the 500 million"):
                reading(1)


def test_rendering_over_the_pixel_limit_is_refused_with_the_resolution(tmp_path):
    path = PdfBuilder().page(b"0 0 m 9 9 l S").save(tmp_path / "page.pdf")
    with open_document(path, limits=Limits(pixels=1_000_000)) as doc:
        with pytest.raises(TooLarge, match=r"8 million pixels at 300 dpi, more than the 1 allowed"):
            doc.render(1, dpi=300)
        assert doc.render(1, dpi=300, box=Box(0, 0, 100, 100)).pixels.shape == (417, 417)


def test_places_and_resolutions_that_make_no_sense_are_refused(tmp_path):
    path = PdfBuilder().page(b"0 0 m 9 9 l S").save(tmp_path / "page.pdf")
    with open_document(path) as doc:
        with pytest.raises(BadPlace, match="nothing there to render"):
            doc.render(1, box=Box(700, 900, 720, 910))
        with pytest.raises(BadPlace, match=r"page\.pdf has no page 2: it has 1 page"):
            doc.render(2)
        for dpi in (0, -5, float("nan"), float("inf")):
            with pytest.raises(BadUsage, match="is no resolution"):
                doc.render(1, dpi=dpi)


def cut_off_streams():
    pixels = drawing()
    gray = Image.fromarray(pixels)
    jpeg, flate = as_bytes(gray, "JPEG"), zlib.compress(pixels.tobytes())
    jpx = as_bytes(gray, "JPEG2000")
    closed = jpeg[: len(jpeg) // 2] + b"\xff\xd9"
    yield "jpeg", jpeg, jpeg[: len(jpeg) // 2], Name.DCTDecode
    yield "jpeg closed early", jpeg, closed, Name.DCTDecode
    yield "flate", flate, flate[: len(flate) // 2], Name.FlateDecode
    yield "jpeg 2000", jpx, jpx[: len(jpx) // 2], Name.JPXDecode


@pytest.mark.parametrize(("name", "whole", "cut", "decoder"), list(cut_off_streams()))
def test_a_scan_that_ends_too_early_is_refused_not_measured(tmp_path, name, whole, cut, decoder):
    good = scan_pdf(tmp_path / "good.pdf", whole, size=(212, 275), Filter=decoder)
    bad = scan_pdf(tmp_path / "bad.pdf", cut, size=(212, 275), Filter=decoder)
    with open_document(good) as doc:
        apart = np.abs(doc.raster(1).pixels.astype(int) - drawing())
        assert apart.mean() < 4, name
    with open_document(bad) as doc:
        for reading in (doc.raster, doc.render, doc.raster):  # also the second time
            with pytest.raises(
                Damaged, match="a picture on it is cut off or damaged: copy or scan"
            ):
                reading(1)


def whole_streams():
    pixels = drawing()
    jpeg = as_bytes(Image.fromarray(pixels), "JPEG")
    flate = zlib.compress(pixels.tobytes())
    yield "stray bytes before the end mark", jpeg[:-2] + bytes(9) + jpeg[-2:], Name.DCTDecode
    yield "junk after the end mark", jpeg + b"junk", Name.DCTDecode
    yield "checksum missing", flate[:-4], Name.FlateDecode
    yield "checksum wrong", flate[:-4] + b"oops", Name.FlateDecode
    yield "line ends after it", flate + b"\r\n", Name.FlateDecode


@pytest.mark.parametrize(("name", "data", "decoder"), list(whole_streams()))
def test_habits_of_scanners_are_no_damage(tmp_path, name, data, decoder):
    path = scan_pdf(tmp_path / "scan.pdf", data, size=(212, 275), Filter=decoder)
    with open_document(path) as doc:
        assert np.abs(doc.raster(1).pixels.astype(int) - drawing()).mean() < 4, name


def test_garbled_flate_data_is_refused(tmp_path):
    flate = bytearray(zlib.compress(drawing().tobytes()))
    flate[len(flate) // 2 :] = b"\xff" * (len(flate) - len(flate) // 2)
    path = scan_pdf(tmp_path / "bad.pdf", bytes(flate), size=(212, 275), Filter=Name.FlateDecode)
    with open_document(path) as doc, pytest.raises(Damaged, match="cut off or damaged"):
        doc.raster(1)


def test_a_tiny_picture_does_not_set_the_resolution_of_its_page(tmp_path):
    builder = PdfBuilder()
    stamp = builder.picture(drawing().tobytes(), size=(212, 275))
    path = builder.page(b"q 2 0 0 2.6 50 50 cm /I Do Q", resources=stamp).save(
        tmp_path / "stamp.pdf"
    )
    with open_document(path) as doc:
        assert doc.look(1).picture_dpi_x == pytest.approx(7632)
        assert max(doc.raster(1).pixels.shape) == pytest.approx(6600, abs=20)


def test_a_scan_finer_than_the_limit_is_rendered_as_fine_as_allowed(tmp_path):
    data = zlib.compress(drawing(1700, 2200).tobytes())
    builder = PdfBuilder()
    half = builder.picture(data, size=(1700, 2200), Filter=Name.FlateDecode)
    path = builder.page(b"q 306 0 0 396 0 0 cm /I Do Q", resources=half).save(tmp_path / "half.pdf")
    with open_document(path, limits=Limits(pixels=4_000_000)) as doc:
        assert doc.raster(1).pixels.size == pytest.approx(4_000_000, rel=0.01)


ROTATIONS = [(-90, 270), (450, 90), (360, 0), (Decimal("90.0"), 90), (45, 0), (100, 0)]


@pytest.mark.parametrize(("stated", "turn"), ROTATIONS)
def test_a_rotation_that_is_no_quarter_turn_counts_as_none(tmp_path, stated, turn):
    """ISO 32000-1, table 30: a multiple of 90. MuPDF alone would round the others."""
    path = PdfBuilder().page(b"100 50 m 109 50 l S", Rotate=stated).save(tmp_path / "turned.pdf")
    with open_document(path) as doc:
        page = doc.info.pages[0]
        assert (page.turn, page.width, page.height) == (turn, 612, 792)
        image = doc.render(1, dpi=72)
        assert image.pixels.shape == (792, 612)
        assert image.pixels[741:743, 100:109].mean() < 200
        assert tuple(doc.vector_page(1).strokes[0].a) == pytest.approx((100, 742))


def test_a_small_broken_logo_does_not_spoil_a_drawn_page(tmp_path):
    jpeg = as_bytes(Image.fromarray(drawing()), "JPEG")
    builder = PdfBuilder()
    logo = builder.picture(jpeg[: len(jpeg) // 2], size=(212, 275), Filter=Name.DCTDecode)
    path = builder.page(b"0 0 m 99 99 l S q 50 0 0 50 0 0 cm /I Do Q", resources=logo).save(
        tmp_path / "logo.pdf"
    )
    with open_document(path) as doc:
        assert doc.info.kind is SourceKind.PDF
        assert doc.render(1, dpi=50).pixels.shape == (550, 425)
