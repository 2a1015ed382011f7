"""The marked-up PDF, read back and rendered with libraries other than the one that made it."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pikepdf
import pymupdf
import pypdf
import pypdfium2
import pytest
from PIL import Image

from audit.errors import CannotWrite, Damaged, Encrypted, NotReadable
from audit.geometry import Transform
from audit.isolation.marking import apply_markup
from audit.records import Frame, Mark, MarkupPlan, PageKind, Sheet, SourceFile
from audit.report import plan_markup
from tests.report.builders import (
    SIZES,
    Setting,
    draw_pdf,
    make_audit,
    make_picture,
    make_sheet,
    seen_to_user,
    write_source,
)

DPI = 100
SETTINGS = [
    Setting(turn=turn, origin=origin, border=border, unit=unit)
    for turn, (origin, border, unit) in product(
        (0, 90, 180, 270),
        (((0, 0), 0, 1), ((-30, -45), 0, 1), ((20, 10), 25, 1), ((-10, 15), 18, 2)),
    )
]


def mark_up(folder: Path, setting: Setting, *, pages: int = 1) -> tuple[Path, MarkupPlan]:
    source = write_source(folder, draw_pdf(setting, pages=pages))
    plan = plan_markup(make_audit(setting, digest=source.digest, sheets=pages))
    target = folder / "marked.pdf"
    apply_markup([source], plan, target)
    return target, plan


def find_mark(plan: MarkupPlan, key: str, *, sheet: int = 0) -> Mark:
    return next(m for m in plan.sheets[sheet].marks if m.key == key)


def front_pages(path: Path, plan: MarkupPlan) -> int:
    return len(pypdf.PdfReader(path).pages) - len(plan.sheets)


def check(path: Path) -> str:
    done = subprocess.run(
        ["qpdf", "--check", str(path)], check=False, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


# Rendering ------------------------------------------------------------------------------------


def render_mupdf(path: Path, page: int, dpi: int = DPI) -> np.ndarray:
    with pymupdf.open(path) as doc:
        pixmap = doc[page].get_pixmap(dpi=dpi)
        return np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.height, pixmap.width, 3)


def render_pdfium(path: Path, page: int, dpi: int = DPI) -> np.ndarray:
    doc = pypdfium2.PdfDocument(path)
    try:
        return np.array(doc[page].render(scale=dpi / 72).to_pil().convert("RGB"))
    finally:
        doc.close()


def render_poppler(path: Path, page: int, dpi: int = DPI) -> np.ndarray:
    number = str(page + 1)
    made = subprocess.run(
        ["pdftoppm", "-cropbox", "-r", str(dpi), "-f", number, "-l", number, str(path)],
        capture_output=True,
        check=True,
    )  # fmt: skip
    return np.array(Image.open(io.BytesIO(made.stdout)).convert("RGB"))


RENDERERS = (render_mupdf, render_pdfium, render_poppler)


def middle_of(image: np.ndarray, colour: tuple[float, float, float]) -> tuple[float, float]:
    """Middle of the box of all pixels near a colour, as shares of width and height."""
    near = np.abs(image.astype(int) - np.array(colour) * 255).max(axis=2) < 14
    assert near.sum() > 30
    rows, columns = np.nonzero(near)
    height, width = near.shape
    x, y = (columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2
    return x / width, y / height


@pytest.mark.parametrize("setting", SETTINGS, ids=str)
def test_marks_land_on_their_places_in_three_renderers(tmp_path: Path, setting: Setting) -> None:
    path, plan = mark_up(tmp_path, setting)
    mark = find_mark(plan, "d12")
    sheet = plan.sheets[0]
    wanted = mark.shape.centre.x / sheet.page_width, mark.shape.centre.y / sheet.page_height
    for render in RENDERERS:
        image = render(path, front_pages(path, plan), round(DPI * setting.unit))
        x, y = middle_of(image, mark.style.colour)
        # MuPDF alone applies UserUnit to the size of the picture; shares of the page are alike.
        assert abs(x - wanted[0]) * sheet.page_width < 0.8, render.__name__
        assert abs(y - wanted[1]) * sheet.page_height < 0.8, render.__name__


@pytest.mark.parametrize("setting", [SETTINGS[0], SETTINGS[7], SETTINGS[15]], ids=str)
def test_printed_numbers_keep_every_pixel(tmp_path: Path, setting: Setting) -> None:
    """Compared with a render of the original: nothing is drawn over any printed size."""
    path, plan = mark_up(tmp_path, setting)
    before = render_pdfium(tmp_path / "plan.pdf", 0)
    after = render_pdfium(path, front_pages(path, plan))
    scale = before.shape[1] / plan.sheets[0].page_width
    for size in SIZES:
        x0, y0, x1, y1 = (round(v * scale) for v in size.at)
        assert np.array_equal(before[y0:y1, x0:x1], after[y0:y1, x0:x1]), size.text


def test_numbers_stand_upright_on_a_turned_page(tmp_path: Path) -> None:
    pictures = []
    for turn in (0, 90):
        folder = tmp_path / str(turn)
        folder.mkdir()
        path, plan = mark_up(folder, Setting(turn=turn))
        image = render_pdfium(path, front_pages(path, plan), 3 * DPI)
        k = 3 * DPI / 72
        box = find_mark(plan, "d14").box.grown(1)
        width, height = round(box.width * k), round(box.height * k)
        corner = image[round(box.y0 * k) :, round(box.x0 * k) :]
        pictures.append(corner[:height, :width].astype(int))
    # The mark is wider than high: turned by a quarter, hardly a pixel would be the same.
    assert (pictures[0].min(axis=2) < 100).mean() > 0.05
    assert (np.abs(pictures[0] - pictures[1]).max(axis=2) > 90).mean() < 0.04


# Structure --------------------------------------------------------------------------------------


def test_the_original_is_an_exact_prefix_and_nothing_is_faulty(tmp_path: Path) -> None:
    path, _ = mark_up(tmp_path, Setting(), pages=3)
    assert path.read_bytes().startswith((tmp_path / "plan.pdf").read_bytes())
    assert "No syntax or stream encoding errors found" in check(path)


@pytest.mark.parametrize("setting", SETTINGS[::5], ids=str)
def test_lines_carry_measures_that_give_the_drawn_length(tmp_path: Path, setting: Setting) -> None:
    """Length by the measure dictionary (ISO 32000-1, 12.9), read with pikepdf."""
    path, plan = mark_up(tmp_path, setting)
    with pikepdf.open(path) as pdf:
        page = pdf.pages[front_pages(path, plan)]
        lines = {str(a.NM): a for a in page.Annots if a.Subtype == "/Line"}
        line = lines["audit-line-d12"]
        assert line.IT == "/LineDimension"
        x0, y0, x1, y1 = (float(v) for v in line.L)
        length = np.hypot(x1 - x0, y1 - y0) * float(line.Measure.X[0].C)
        # 184 pt of paper at 1:2.
        assert length == pytest.approx(184 / 72 * 2, rel=1e-6)
        a = seen_to_user(SIZES[2].a, setting)
        assert (x0, y0) == pytest.approx(tuple(a), abs=1e-3)
        viewport = page.VP[0]
        assert viewport.Measure.objgen == line.Measure.objgen
        assert str(viewport.Name) == "side plate"
        assert [v.Name for v in page.VP] == ["side plate"]  # the other view has no scale
        b = [float(v) for v in viewport.BBox]
        assert b[0] <= min(x0, x1)
        assert b[2] >= max(x0, x1)
        assert b[1] <= y0 <= b[3]
        assert "/Measure" not in lines["audit-line-d15"]


def test_different_scales_across_and_up_are_told_apart(tmp_path: Path) -> None:
    from tests.report.builders import make_scale

    for turn, (across, up) in ((0, (2.0, 2.2)), (90, (2.0, 2.2))):
        folder = tmp_path / str(turn)
        folder.mkdir()
        source = write_source(folder, draw_pdf(Setting(turn=turn)))
        audit = make_audit(Setting(turn=turn), digest=source.digest)
        views = (replace(audit.views[0], scale=make_scale(across, up)), audit.views[1])
        plan = plan_markup(replace(audit, views=views))
        apply_markup([source], plan, folder / "m.pdf")
        with pikepdf.open(folder / "m.pdf") as pdf:
            measure = pdf.pages[front_pages(folder / "m.pdf", plan)].VP[0].Measure
            # User space is not turned: x of the sheet's frame is x of user space.
            assert float(measure.X[0].C) == pytest.approx(across / 72)
            assert float(measure.Y[0].C) == pytest.approx(up / 72)
            assert float(measure.CYX) == pytest.approx(up / across)


def test_marks_are_real_annotations_with_the_evidence(tmp_path: Path) -> None:
    path, plan = mark_up(tmp_path, Setting())
    page = pypdf.PdfReader(path).pages[front_pages(path, plan)]
    marks = {
        a["/NM"]: a
        for a in (ref.get_object() for ref in page["/Annots"])
        if a["/Subtype"] == "/Stamp"
    }
    assert len(marks) == len(plan.sheets[0].marks)
    said = marks["audit-d12"]["/Contents"]
    for part in ("3 9/32", "3 3/8", "± 0.0091", "3/32 short", "5 13/32", "Suggestion: 3 3/8"):
        assert part in said
    assert int(marks["audit-d12"]["/F"]) & 4  # printed


def test_links_lead_there_and_back(tmp_path: Path) -> None:
    path, plan = mark_up(tmp_path, Setting(turn=90, border=20), pages=2)
    with pikepdf.open(path) as pdf:
        front = front_pages(path, plan)
        numbers = {page.objgen: i for i, page in enumerate(pdf.pages)}
        there = [
            (numbers[a.Dest[0].objgen], [float(v) for v in a.Dest[2:]])
            for page in list(pdf.pages)[:front]
            for a in page.get("/Annots", [])
        ]
        assert {page for page, _ in there} == {front, front + 1}
        # Every listed mark of both sheets is led to, and its place lies in the window shown.
        for sheet in (0, 1):
            for mark in plan.sheets[sheet].marks:
                at = seen_to_user(mark.shape.centre, Setting(turn=90, border=20))
                assert any(
                    page == front + sheet and w[0] <= at.x <= w[2] and w[1] <= at.y <= w[3]
                    for page, w in there
                )
        back = [a for a in pdf.pages[front].Annots if a.Subtype == "/Link"]
        assert len(back) == len(plan.sheets[0].marks)
        assert {numbers[a.Dest[0].objgen] for a in back} <= set(range(front))


def test_text_of_the_findings_page_is_searchable_and_its_fonts_embedded(tmp_path: Path) -> None:
    path, plan = mark_up(tmp_path, Setting())
    text = subprocess.run(
        ["pdftotext", "-layout", "-l", "1", str(path), "-"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert "Marble lift" in text
    assert "6 of 9 sizes and notes checked; 3 not" in text
    for found in (text, pypdf.PdfReader(path).pages[0].extract_text()):
        assert re.search(r"3 9/32 is printed +3/32 short", found)
    assert text.index("Coverage") < text.index("Findings") < text.index("Cautions")
    with pikepdf.open(path) as pdf:
        for page in list(pdf.pages)[: front_pages(path, plan)]:
            for font in page.Resources.Font.values():
                descriptor = font.DescendantFonts[0].FontDescriptor
                assert "/FontFile3" in descriptor or "/FontFile2" in descriptor


def test_signs_of_other_scripts_are_set_too(tmp_path: Path) -> None:
    source = write_source(tmp_path, draw_pdf())
    plan = plan_markup(replace(make_audit(digest=source.digest), name="滑梯 Подъёмник 3/4"))
    apply_markup([source], plan, tmp_path / "m.pdf")
    text = pypdf.PdfReader(tmp_path / "m.pdf").pages[0].extract_text()
    assert "滑梯 Подъёмник 3/4" in text
    assert (tmp_path / "m.pdf").stat().st_size < 600_000  # the large font is cut to what is used
    check(tmp_path / "m.pdf")


def test_the_page_tree_hands_nothing_down_to_the_findings_pages(tmp_path: Path) -> None:
    with pikepdf.open(io.BytesIO(draw_pdf(Setting(turn=0)))) as pdf:
        page = pdf.pages[0]
        del page["/Rotate"]
        crop = page.CropBox
        del page["/CropBox"]
        pdf.Root.Pages.Rotate, pdf.Root.Pages.CropBox = 90, crop
        stream = io.BytesIO()
        pdf.save(stream)
    source = write_source(tmp_path, stream.getvalue())
    # The drawing is turned by the page tree here; the audit saw it that way.
    sheet = make_sheet(Setting(turn=0), digest=source.digest)
    audit = replace(make_audit(digest=source.digest), sheets=(replace(sheet, turn=90),))
    apply_markup([source], plan_markup(audit), tmp_path / "m.pdf")
    pages = pypdf.PdfReader(tmp_path / "m.pdf").pages
    assert [p.rotation for p in pages] == [0] * (len(pages) - 1) + [90]
    assert tuple(pages[0].cropbox)[2:] == (612, 792)


def test_a_finding_longer_than_a_page_still_leads_to_its_place(tmp_path: Path) -> None:
    source = write_source(tmp_path, draw_pdf())
    audit = make_audit(digest=source.digest)
    long = replace(audit.findings[1], id=77, text="Word after word. " * 900)
    plan = plan_markup(replace(audit, findings=(long, *audit.findings)))
    apply_markup([source], plan, tmp_path / "m.pdf")
    front = front_pages(tmp_path / "m.pdf", plan)
    assert front >= 3
    with pikepdf.open(tmp_path / "m.pdf") as pdf:
        there = [a for page in list(pdf.pages)[:front] for a in page.get("/Annots", [])]
    # A line for each finding, text not checked and dimension.
    assert len(there) == len(plan.findings) + 3 + len(plan.ledger)


def test_the_worker_marks_up_several_files(tmp_path: Path) -> None:
    from audit.isolation import open_document

    first = write_source(tmp_path, draw_pdf(), name="a.pdf")
    photo = write_source(tmp_path, make_picture(440, 340), name="b.jpg")
    sheets = (make_sheet(digest=first.digest), picture_sheet(2, photo, (440, 340)))
    plan = plan_markup(replace(make_audit(sheets=2), sheets=sheets))
    with open_document(first.path) as document:
        remarks = document.mark_up(plan, tmp_path / "m.pdf", sources=(first, photo))
    assert remarks == ()
    check(tmp_path / "m.pdf")
    assert len(pypdf.PdfReader(tmp_path / "m.pdf").pages) >= 3


# Several files, pictures ------------------------------------------------------------------------


def picture_sheet(number: int, source: SourceFile, size: tuple[int, int], **more: object) -> Sheet:
    fields: dict[str, object] = {
        "id": number, "name": source.path.name, "source": source.path.name,
        "digest": source.digest, "page": 1, "frame": Frame.PX, "kind": PageKind.SCAN,
        "width": size[0], "height": size[1], "to_paper": Transform.scaling(25.4 / 100),
        "stated_dpi": 100.0,
    }  # fmt: skip
    return Sheet(**(fields | more))  # type: ignore[arg-type]


# EXIF orientation: mirrored, turn; where the stored top left (red) is seen.
ORIENTATIONS = {
    1: (False, 0, "top left"),
    2: (True, 0, "top right"),
    3: (False, 180, "bottom right"),
    4: (True, 180, "bottom left"),
    5: (True, 270, "top left"),
    6: (False, 90, "top right"),
    7: (True, 90, "bottom right"),
    8: (False, 270, "bottom left"),
}


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_a_photo_is_embedded_as_it_is_and_stands_upright(tmp_path: Path, orientation: int) -> None:
    """Against Pillow's own reading of the EXIF tag (ImageOps.exif_transpose)."""
    from PIL import ImageOps

    data = make_picture(400, 300, orientation=orientation)
    source = write_source(tmp_path, data, name="photo.jpg")
    mirrored, turn, _ = ORIENTATIONS[orientation]
    sheet = picture_sheet(1, source, (400, 300), mirrored=mirrored, turn=turn)
    plan = plan_markup(replace(make_audit(), sheets=(sheet,), dimensions=(), texts=(), findings=()))
    apply_markup([source], plan, tmp_path / "m.pdf")
    with pikepdf.open(tmp_path / "m.pdf") as pdf:
        image = next(iter(pdf.pages[-1].Resources.XObject.values()))
        assert image.read_raw_bytes() == data
    upright = np.array(ImageOps.exif_transpose(Image.open(io.BytesIO(data))).convert("RGB"))
    size = (upright.shape[1], upright.shape[0])
    for render in RENDERERS:
        page = Image.fromarray(render(tmp_path / "m.pdf", 1)).resize(size)
        differ = np.abs(np.array(page).astype(int) - upright.astype(int)).max(axis=2) > 60
        assert differ.mean() < 0.01, render.__name__


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "BMP", "WEBP"])
@pytest.mark.parametrize("mode", ["RGB", "L", "1"])
def test_other_pictures_lose_nothing(tmp_path: Path, kind: str, mode: str) -> None:
    rng = np.random.default_rng(4)
    image = Image.fromarray(rng.integers(0, 256, (40, 61, 3), np.uint8)).convert(mode)
    stream = io.BytesIO()
    image.save(stream, kind, **({"lossless": True} if kind == "WEBP" else {}))
    source = write_source(tmp_path, stream.getvalue(), name=f"scan.{kind.lower()}")
    sheet = picture_sheet(1, source, (61, 40))
    plan = plan_markup(replace(make_audit(), sheets=(sheet,), dimensions=(), texts=(), findings=()))
    apply_markup([source], plan, tmp_path / "m.pdf")
    with pikepdf.open(tmp_path / "m.pdf") as pdf:
        found = pikepdf.PdfImage(
            next(iter(pdf.pages[-1].Resources.XObject.values()))
        ).as_pil_image()
    wanted = image.convert("RGB")
    assert np.array_equal(np.array(found.convert("RGB")), np.array(wanted))


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "I;16"])
def test_pictures_of_other_kinds_look_as_they_should(tmp_path: Path, mode: str) -> None:
    """Transparent parts lie on white paper, sixteen bits become eight."""
    ramp = np.linspace(0, 255, 61 * 40).reshape(40, 61).astype(np.uint8)
    image = Image.fromarray(ramp)
    if mode == "I;16":
        image = Image.fromarray(ramp.astype(np.uint16) * 257)
    elif mode == "P":
        image = image.convert("RGB").quantize(200)
    else:
        image = image.convert(mode)
        image.putalpha(Image.fromarray(np.where(ramp > 128, 255, 0).astype(np.uint8)))
    stream = io.BytesIO()
    image.save(stream, "PNG")
    source = write_source(tmp_path, stream.getvalue(), name="scan.png")
    sheet = picture_sheet(1, source, (61, 40))
    plan = plan_markup(replace(make_audit(), sheets=(sheet,), dimensions=(), texts=(), findings=()))
    apply_markup([source], plan, tmp_path / "m.pdf")
    with pikepdf.open(tmp_path / "m.pdf") as pdf:
        made = pikepdf.PdfImage(next(iter(pdf.pages[-1].Resources.XObject.values())))
        found = np.array(made.as_pil_image().convert("L")).astype(int)
    wanted = np.where(ramp > 128, ramp, 255) if mode in ("RGBA", "LA") else ramp
    assert np.abs(found - wanted.astype(int)).max() <= 2


def test_several_files_become_one_in_the_order_of_the_sheets(tmp_path: Path) -> None:
    first = write_source(tmp_path, draw_pdf(pages=2), name="a.pdf")
    photo = write_source(tmp_path, make_picture(440, 340), name="b.jpg")
    last = write_source(tmp_path, draw_pdf(Setting(turn=90)), name="c.pdf")
    base = make_audit(sheets=4)
    sheets = (
        make_sheet(number=1, digest=first.digest, source="a.pdf"),
        picture_sheet(2, photo, (440, 340)),
        replace(make_sheet(Setting(turn=90), number=3, digest=last.digest), page=1),
        replace(make_sheet(number=4, digest=first.digest, source="a.pdf"), page=2),
    )
    plan = plan_markup(replace(base, sheets=sheets))
    apply_markup([first, photo, last], plan, tmp_path / "m.pdf")
    check(tmp_path / "m.pdf")
    front = front_pages(tmp_path / "m.pdf", plan)
    with pikepdf.open(tmp_path / "m.pdf") as pdf, pikepdf.open(first.path) as original:
        turns = [int(p.get("/Rotate", 0)) for p in list(pdf.pages)[front:]]
        assert turns == [0, 0, 90, 0]
        for made, page in ((front, 0), (front + 3, 1)):
            assert (
                pdf.pages[made].Contents.read_bytes() == original.pages[page].Contents.read_bytes()
            )


def test_layers_that_are_switched_off_stay_off_when_files_are_merged(tmp_path: Path) -> None:
    doc = pymupdf.open()
    page = doc.new_page(width=612, height=396)
    hidden = doc.add_ocg("construction lines", on=False)
    shown = doc.add_ocg("outline", on=True)
    page.draw_rect((100, 100, 300, 300), fill=(1, 0, 0), color=None, oc=hidden)
    page.draw_rect((350, 100, 450, 300), fill=(0, 0, 1), color=None, oc=shown)
    layered = write_source(tmp_path, doc.tobytes(), name="layers.pdf")
    photo = write_source(tmp_path, make_picture(440, 340), name="b.jpg")
    sheets = (make_sheet(digest=layered.digest), picture_sheet(2, photo, (440, 340)))
    audit = replace(make_audit(), sheets=sheets, dimensions=(), texts=(), findings=())
    apply_markup([layered, photo], plan_markup(audit), tmp_path / "m.pdf")
    for render in (render_pdfium, render_poppler):
        image = render(tmp_path / "m.pdf", 1)
        assert not (np.abs(image.astype(int) - (255, 0, 0)).max(axis=2) < 30).any()
        assert (np.abs(image.astype(int) - (0, 0, 255)).max(axis=2) < 30).any()


# Sources with something about them ----------------------------------------------------------------


def test_a_file_with_an_owner_password_is_marked_and_keeps_its_restrictions(tmp_path: Path) -> None:
    with pikepdf.open(io.BytesIO(draw_pdf())) as pdf:
        stream = io.BytesIO()
        allow = pikepdf.Permissions(extract=False)
        pdf.save(stream, encryption=pikepdf.Encryption(owner="secret", user="", allow=allow))
    source = write_source(tmp_path, stream.getvalue())
    plan = plan_markup(make_audit(digest=source.digest))
    apply_markup([source], plan, tmp_path / "m.pdf")
    check(tmp_path / "m.pdf")
    with pikepdf.open(tmp_path / "m.pdf") as pdf:
        assert pdf.is_encrypted
        assert not pdf.allow.extract
    x, _ = middle_of(render_pdfium(tmp_path / "m.pdf", 2), find_mark(plan, "d12").style.colour)
    assert x * 612 == pytest.approx(find_mark(plan, "d12").shape.centre.x, abs=1)


def test_a_file_that_needs_a_password_is_refused_in_one_line(tmp_path: Path) -> None:
    with pikepdf.open(io.BytesIO(draw_pdf())) as pdf:
        stream = io.BytesIO()
        pdf.save(stream, encryption=pikepdf.Encryption(owner="secret", user="also"))
    source = write_source(tmp_path, stream.getvalue())
    with pytest.raises(Encrypted, match="needs a password"):
        apply_markup([source], plan_markup(make_audit(digest=source.digest)), tmp_path / "m.pdf")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["plan.pdf"]


def test_a_damaged_file_is_written_anew(tmp_path: Path) -> None:
    data = draw_pdf()
    broken = data.replace(b"startxref", b"startxxxx").replace(b"xref\n", b"xxxx\n")
    assert broken != data
    source = write_source(tmp_path, broken)
    apply_markup([source], plan_markup(make_audit(digest=source.digest)), tmp_path / "m.pdf")
    check(tmp_path / "m.pdf")


def make_active_pdf() -> bytes:
    with pikepdf.open(io.BytesIO(draw_pdf())) as pdf:
        script = pdf.make_indirect(
            pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS=pikepdf.String("app.alert(1)"))
        )
        pdf.Root.OpenAction = script
        pdf.Root.AA = pikepdf.Dictionary(WC=script)
        pdf.Root.Names = pikepdf.Dictionary(
            JavaScript=pikepdf.Dictionary(Names=[pikepdf.String("x"), script])
        )
        pdf.attachments["tool.exe"] = pikepdf.AttachedFileSpec(pdf, b"MZ-payload")
        launch = pikepdf.Dictionary(S=pikepdf.Name.Launch, F=pikepdf.String("calc.exe"))
        link = pikepdf.Dictionary(
            Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Link, Rect=[10, 10, 60, 60], A=launch
        )
        page = pdf.pages[0]
        note = pikepdf.Dictionary(
            Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Text, Rect=[70, 10, 90, 30],
            Contents=pikepdf.String("publisher's note"),
        )  # fmt: skip
        page.Annots = pikepdf.Array([link, note])  # not objects of their own
        with pdf.open_outline() as outline:
            outline.root.append(pikepdf.OutlineItem("Side plate", 0))
        page.AA = pikepdf.Dictionary(O=script)
        stream = io.BytesIO()
        pdf.save(stream)
    return stream.getvalue()


def test_what_a_source_could_do_is_left_out_and_told(tmp_path: Path) -> None:
    source = write_source(tmp_path, make_active_pdf())
    remarks = apply_markup(
        [source], plan_markup(make_audit(digest=source.digest)), tmp_path / "m.pdf"
    )
    assert len(remarks) == 1
    for word in ("scripts", "starts a program", "attached files"):
        assert word in remarks[0]
    with pikepdf.open(tmp_path / "m.pdf") as pdf:
        stream = io.BytesIO()
        pdf.save(
            stream,
            compress_streams=False,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
        )
    plain = stream.getvalue()
    for trace in (b"/JavaScript", b"/JS", b"/Launch", b"calc.exe", b"payload", b"/EmbeddedFile"):
        assert trace not in plain
    reader = pypdf.PdfReader(tmp_path / "m.pdf")
    assert [item["/Title"] for item in reader.outline] == ["Side plate"]
    notes = [ref.get_object().get("/Contents") for ref in reader.pages[-1]["/Annots"]]
    assert "publisher's note" in notes
    text = " ".join(page.extract_text() for page in reader.pages)
    assert "carried" in text
    assert "scripts" in text
    check(tmp_path / "m.pdf")


def test_fonts_named_like_scripts_are_no_scripts(tmp_path: Path) -> None:
    with pikepdf.open(io.BytesIO(draw_pdf())) as pdf:
        page = pdf.pages[0]
        fonts = pdf.make_indirect(page.Resources.Font)
        for name in ("/JS", "/AA", "/A", "/EF", "/Next", "/JavaScript"):
            fonts[name] = fonts["/Hv"]
        page.Resources.Font = fonts
        page.Contents = pdf.make_stream(page.Contents.read_bytes().replace(b"/Hv", b"/JS"))
        stream = io.BytesIO()
        pdf.save(stream)
    source = write_source(tmp_path, stream.getvalue())
    plan = plan_markup(make_audit(digest=source.digest))
    apply_markup([source], plan, tmp_path / "m.pdf")
    assert "3 9/32" in pypdf.PdfReader(tmp_path / "m.pdf").pages[-1].extract_text()


def test_a_script_beside_such_fonts_goes_and_the_text_stays(tmp_path: Path) -> None:
    with pikepdf.open(io.BytesIO(make_active_pdf())) as pdf:
        page = pdf.pages[0]
        fonts = pdf.make_indirect(page.Resources.Font)
        for name in ("/JS", "/AA", "/A"):
            fonts[name] = fonts["/Hv"]
        page.Resources.Font = fonts
        page.Contents = pdf.make_stream(page.Contents.read_bytes().replace(b"/Hv", b"/AA"))
        stream = io.BytesIO()
        pdf.save(stream)
    source = write_source(tmp_path, stream.getvalue())
    plan = plan_markup(make_audit(digest=source.digest))
    assert apply_markup([source], plan, tmp_path / "m.pdf")
    before, after = render_pdfium(source.path, 0), render_pdfium(tmp_path / "m.pdf", 2)
    x0, y0, x1, y1 = (round(v * DPI / 72) for v in SIZES[2].at)
    assert np.array_equal(before[y0:y1, x0:x1], after[y0:y1, x0:x1])
    assert before[y0:y1, x0:x1].min() < 100


def test_a_note_and_a_web_link_of_the_source_stay(tmp_path: Path) -> None:
    with pymupdf.open(stream=draw_pdf()) as doc:
        doc[0].add_text_annot((50, 50), "publisher's note")
        doc[0].insert_link(
            {
                "kind": pymupdf.LINK_URI,
                "from": pymupdf.Rect(5, 5, 50, 20),
                "uri": "https://e.example",
            }
        )
        data = doc.tobytes()
    source = write_source(tmp_path, data)
    assert (
        apply_markup([source], plan_markup(make_audit(digest=source.digest)), tmp_path / "m.pdf")
        == ()
    )
    page = pypdf.PdfReader(tmp_path / "m.pdf").pages[-1]
    annotations = [ref.get_object() for ref in page["/Annots"]]
    assert any(a.get("/Contents") == "publisher's note" for a in annotations)
    assert any("/URI" in a.get("/A", {}) for a in annotations)


def test_a_changed_source_is_refused(tmp_path: Path) -> None:
    source = write_source(tmp_path, draw_pdf())
    plan = plan_markup(make_audit(digest=source.digest))
    source.path.write_bytes(draw_pdf(Setting(turn=90)))
    with pytest.raises(NotReadable, match="changed since it was audited"):
        apply_markup([source], plan, tmp_path / "m.pdf")


def test_a_page_of_another_size_is_refused(tmp_path: Path) -> None:
    source = write_source(tmp_path, draw_pdf(Setting(turn=90)))
    audit = replace(make_audit(digest=source.digest))
    sheet = replace(audit.sheets[0], width=500.0)
    with pytest.raises(Damaged, match="is not the one that was audited"):
        apply_markup([source], plan_markup(replace(audit, sheets=(sheet,))), tmp_path / "m.pdf")


# Writing -----------------------------------------------------------------------------------------


def test_a_missing_folder_is_told_in_one_line(tmp_path: Path) -> None:
    source = write_source(tmp_path, draw_pdf())
    plan = plan_markup(make_audit(digest=source.digest))
    with pytest.raises(CannotWrite, match="cannot be written") as raised:
        apply_markup([source], plan, tmp_path / "missing" / "m.pdf")
    assert "\n" not in str(raised.value)


@pytest.mark.parametrize("merged", [False, True])
def test_a_full_disk_leaves_the_old_file_and_no_rest(tmp_path: Path, merged: bool) -> None:
    import resource
    import signal

    source = write_source(tmp_path, draw_pdf())
    plan = plan_markup(make_audit(digest=source.digest))
    if merged:
        plan = replace(plan, sheets=plan.sheets * 2)
    target = tmp_path / "m.pdf"
    target.write_bytes(b"old")
    # A limit on the size of files fails like a full disk, with EFBIG for ENOSPC.
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, hard))
    try:
        with pytest.raises(CannotWrite):
            apply_markup([source], plan, target)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, handler)
    assert target.read_bytes() == b"old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["m.pdf", "plan.pdf"]
