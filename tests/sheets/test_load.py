"""Files as sheets: frames, papers, names, rasters and cut-outs, and what could not be opened."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from audit.errors import BadPlace, Damaged, WorkerStopped
from audit.geometry import Box
from audit.isolation import Limits
from audit.records import Frame, PageKind
from audit.sheets import load_plan
from tests.isolation.files import PdfBuilder, drawing, nested_forms, scan_pdf

pytestmark = pytest.mark.usefixtures("lent_workers")

INK = b"10 10 m 99 99 l S "
FONT_F = b"2 w 100 100 m 100 160 l 140 160 l S 100 135 m 128 135 l S "  # an F of strokes


def save_png(path, pixels, **keys):
    Image.fromarray(pixels).save(path, **keys)
    return path


def test_pages_of_several_files_are_numbered_through(tmp_path):
    two = PdfBuilder().page(INK, Rotate=90).page(INK, UserUnit=2).save(tmp_path / "plan.pdf")
    scan = save_png(tmp_path / "scan.png", drawing(), dpi=(100, 100))
    with load_plan([two, scan], first_id=5) as plan:
        first, second, third = plan.sheets
        assert [s.id for s in plan.sheets] == [5, 6, 7]
        assert [s.name for s in plan.sheets] == ["plan.pdf, page 1", "plan.pdf, page 2", "scan.png"]
        assert [s.page for s in plan.sheets] == [1, 2, 1]
        assert (first.frame, first.kind, first.turn) == (Frame.PT, PageKind.VECTOR, 90)
        assert (second.width, second.height) == (1224, 1584)
        assert (third.frame, third.kind, third.stated_dpi) == (Frame.PX, PageKind.SCAN, 100)
        assert second.to_paper.apply((72, 144)) == pytest.approx((25.4, 50.8))
        assert third.to_paper.apply((100, 200)) == pytest.approx((25.4, 50.8))
        assert first.digest == second.digest != third.digest
        assert plan.sheet(6) is second
        assert plan.unopened == ()
        with pytest.raises(BadPlace, match="there is no sheet 8: the sheets are numbered 5 to 7"):
            plan.sheet(8)


def test_pages_are_told_apart_by_what_is_drawn_on_them(tmp_path):
    builder = PdfBuilder()
    full = builder.picture(drawing().tobytes(), size=(212, 275))
    builder.page(INK).page(b"").page(b"q 612 0 0 792 0 0 cm /I Do Q", resources=full)
    builder.page(INK + b"q 300 0 0 400 0 0 cm /I Do Q", resources=full)
    builder.page(INK + b"q 30 0 0 40 0 0 cm /I Do Q", resources=full)
    builder.page(b"1 g 0 0 612 792 re f q 612 0 0 792 0 0 cm /I Do Q", resources=full)
    with load_plan([builder.save(tmp_path / "kinds.pdf")]) as plan:
        assert [s.kind for s in plan.sheets] == [
            PageKind.VECTOR,
            PageKind.EMPTY,
            PageKind.SCAN,
            PageKind.BOTH,
            PageKind.VECTOR,  # a logo is decoration
            PageKind.SCAN,  # a white ground under a scan is none of the drawing
        ]
        assert plan.sheets[1].remarks == ("nothing is drawn on this page",)


def test_a_scanned_pdf_is_on_paper_unless_its_resolution_is_a_screen_one(tmp_path):
    honest = scan_pdf(tmp_path / "a.pdf", drawing(850, 1100).tobytes(), size=(850, 1100))
    builder = PdfBuilder()
    resources = builder.picture(drawing(850, 1100).tobytes(), size=(850, 1100))
    content = b"q 850 0 0 1100 0 0 cm /I Do Q"
    pasted = builder.page(content, box=(0, 0, 850, 1100), resources=resources).save(
        tmp_path / "b.pdf"
    )
    with load_plan([honest, pasted]) as plan:
        good, bad = plan.sheets
        assert (good.paper_known, good.stated_dpi) == (True, 100)
        assert not bad.paper_known
        assert "72 dpi" in bad.remarks[0]
        assert bad.frame is Frame.PT


def test_photos_and_screen_resolutions_leave_the_paper_unknown(tmp_path):
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x829D] = (28, 10)
    path = tmp_path / "photo.jpg"
    Image.fromarray(drawing()).save(path, exif=exif, dpi=(300, 300))
    screen = save_png(tmp_path / "screen.png", drawing(), dpi=(72, 72))
    with load_plan([path, screen]) as plan:
        assert [s.paper_known for s in plan.sheets] == [False, False]
        assert "a photo" in plan.sheets[0].remarks[0]


def test_the_gray_of_a_picture_is_its_stored_raster(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 6
    pixels = drawing()
    path = save_png(tmp_path / "a.png", pixels, exif=exif, dpi=(200, 200))
    with load_plan([path]) as plan:
        sheet = plan.sheets[0]
        image = plan.gray(sheet)
        assert (sheet.turn, sheet.width, sheet.height) == (90, 212, 275)
        assert np.array_equal(image.pixels, pixels)
        assert image.to_frame.apply((3.5, 4.5)) == (3.5, 4.5)
        assert plan.gray(sheet) is image  # decoded once
        half = plan.gray(sheet, dpi=100)
        assert half.pixels.shape == (138, 106)
        assert half.to_frame.apply((106, 138)) == pytest.approx((212, 275))


def test_the_gray_of_a_drawn_page_is_rendered_at_200_dpi_or_as_asked(tmp_path):
    path = PdfBuilder().page(INK, Rotate=90).save(tmp_path / "a.pdf")
    with load_plan([path]) as plan:
        sheet = plan.sheets[0]
        assert plan.gray(sheet).pixels.shape == (2200, 1700)  # not turned
        small = plan.gray(sheet, dpi=72)
        assert small.pixels.shape == (792, 612)
        assert small.to_frame.apply((5, 7)) == pytest.approx((5, 7))
        assert len(plan.vector_page(sheet).strokes) == 1


def f_seen(crop):
    """Tell whether a crop shows an upright F: dark at left and top, light at right and bottom."""
    rows, columns = crop.shape
    left = (crop[:, : columns // 3] < 128).mean()
    right = (crop[:, -columns // 3 :] < 128).mean()
    top = (crop[: rows // 3] < 128).mean()
    bottom = (crop[-rows // 3 :] < 128).mean()
    return left > 1.3 * right and top > 1.3 * bottom


@pytest.mark.parametrize("angle", [0, 90, 180, 270, 25, -70, 120])
def test_a_text_of_a_drawn_page_is_cut_out_upright(tmp_path, angle):
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    x, y = 300 - (120 * c - 130 * s), 400 - (120 * s + 130 * c)  # turns about the F's middle
    content = b"%f %f %f %f %f %f cm " % (c, s, -s, c, x, y) + FONT_F
    path = PdfBuilder().page(content).save(tmp_path / "f.pdf")
    wide, high = 44 * abs(c) + 64 * abs(s), 44 * abs(s) + 64 * abs(c)
    box = Box(300 - wide / 2, 392 - high / 2, 300 + wide / 2, 392 + high / 2)
    with load_plan([path]) as plan:
        crop = plan.crop(plan.sheets[0], box, angle=angle)
        assert f_seen(crop)
        assert crop.shape == pytest.approx((64 * 300 / 72, 44 * 300 / 72), abs=2)
        assert not f_seen(plan.crop(plan.sheets[0], box, angle=angle + 180))
        with pytest.raises(BadPlace, match=r"the box lies outside f\.pdf"):
            plan.crop(plan.sheets[0], Box(700, 0, 710, 10))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_text_of_a_picture_is_cut_out_upright_whatever_its_exif_says(tmp_path, orientation):
    upright = np.full((200, 300), 255, np.uint8)
    upright[60:140, 100:108] = upright[60:68, 100:150] = upright[95:102, 100:135] = 0
    # The stored raster is the one that, brought upright as EXIF says, is `upright`.
    undo = {
        1: upright,
        2: upright[:, ::-1],
        3: upright[::-1, ::-1],
        4: upright[::-1],
        5: upright.T,
        6: np.rot90(upright),
        7: upright[::-1, ::-1].T,
        8: np.rot90(upright, -1),
    }
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored = np.ascontiguousarray(undo[orientation])
    path = save_png(tmp_path / "a.png", stored, exif=exif)
    rows, columns = np.nonzero(stored < 128)
    box = Box(columns.min() - 2, rows.min() - 2, columns.max() + 3, rows.max() + 3)
    with load_plan([path]) as plan:
        sheet = plan.sheets[0]
        # A text seen upright runs, in the stored raster, at the angle `turn` counter-clockwise;
        # in a mirrored one at its mirror image.
        angle = 180 - sheet.turn if sheet.mirrored else sheet.turn
        crop = plan.crop(sheet, box, angle=angle)
    assert np.array_equal(crop, upright[58:142, 98:152])


def test_a_crop_of_a_picture_is_resampled_to_the_resolution_asked(tmp_path):
    path = save_png(tmp_path / "a.png", drawing(), dpi=(150, 150))
    with load_plan([path]) as plan:
        box = Box(10, 10, 60, 40)
        assert plan.crop(plan.sheets[0], box).shape == (30, 50)
        assert plan.crop(plan.sheets[0], box, dpi=300).shape == (60, 100)


def test_one_bad_page_or_file_is_left_out_and_told(tmp_path, caplog):
    broken = tmp_path / "broken.png"
    broken.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(20))
    builder = nested_forms(PdfBuilder().page(INK).page(INK, box=(0, 0, 0, 0))).page(INK)
    path = builder.save(tmp_path / "plan.pdf")
    with load_plan([broken, path], limits=Limits(open_seconds=0.8)) as plan:
        assert [(s.id, s.page) for s in plan.sheets] == [(1, 1), (2, 4)]
        told = [(u.source, u.page, type(u.error)) for u in plan.unopened]
    assert told == [
        ("broken.png", 0, Damaged),
        ("plan.pdf", 2, Damaged),
        ("plan.pdf", 3, WorkerStopped),
    ]
    assert "page 3 of plan.pdf took longer" in caplog.text
