"""Pages written by pikepdf, operator by operator, against what is read from them."""

from __future__ import annotations

import io
import itertools
import math
import pickle

import numpy as np
import pikepdf
import pymupdf
import pytest

from audit.isolation.vector import extract_page
from audit.records import VectorPage
from tests.dimensions.page_builder import PageBuilder


def page_of(operators: str, **keys: object) -> VectorPage:
    builder = PageBuilder(width=400, height=500, **keys)  # type: ignore[arg-type]
    builder.raw(operators)
    return builder.page()


FRAMES = list(itertools.product((0, 90, 180, 270), (None, (20, 30, 380, 460)), (1.0, 2.0)))


@pytest.mark.parametrize(("turn", "crop", "unit"), FRAMES)
def test_places_are_points_of_the_unrotated_crop_box_in_every_frame(turn, crop, unit):
    page = page_of(
        "1 w 100 200 m 250 210 l S BT /F 12 Tf 1 0 0 1 120 220 Tm (3 1/2) Tj ET",
        turn=turn,
        crop=crop,
        user_unit=unit,
    )
    left, top = (20, 460) if crop else (0, 500)
    expected = [(100 - left) * unit, (top - 200) * unit, (250 - left) * unit, (top - 210) * unit]
    [line] = [s for s in page.strokes if s.length > 50 * unit]
    assert (*line.a, *line.b) == pytest.approx(expected, abs=1e-3)
    assert line.width == pytest.approx(unit)
    [text] = page.texts
    assert text.origin == pytest.approx(((120 - left) * unit, (top - 220) * unit), abs=1e-3)
    assert text.size == pytest.approx(12 * unit)
    size = (360, 430) if crop else (400, 500)
    assert (page.width, page.height) == pytest.approx((size[0] * unit, size[1] * unit))
    assert page.turn == turn


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_picture_boxes_are_in_the_unrotated_frame(turn):
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(400, 500))
    image = pdf.make_stream(
        b"\x00" * 4,
        Type=pikepdf.Name.XObject,
        Subtype=pikepdf.Name.Image,
        Width=2,
        Height=2,
        BitsPerComponent=8,
        ColorSpace=pikepdf.Name.DeviceGray,
    )
    pdf.pages[0].Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(I=image))
    pdf.pages[0].Contents = pdf.make_stream(b"q 100 0 0 50 30 400 cm /I Do Q")
    if turn:
        pdf.pages[0].Rotate = turn
    out = io.BytesIO()
    pdf.save(out)
    [box] = extract_page(pymupdf.open(stream=out.getvalue(), filetype="pdf"), 0).images
    assert box == pytest.approx((30, 50, 130, 100), abs=0.01)


def test_stroke_widths_and_dashes_follow_the_transform():
    page = page_of("q .12 0 0 .12 0 0 cm 10 w [50 25] 0 d 100 1000 m 900 1000 l S Q")
    [line] = page.strokes
    assert line.width == pytest.approx(1.2)
    assert line.dashes == pytest.approx((6.0, 3.0))
    assert line.length == pytest.approx(96.0, abs=1e-3)


def test_width_under_a_turned_and_scaled_transform():
    c, s = 0.12 * math.cos(0.5), 0.12 * math.sin(0.5)
    page = page_of(f"q {c} {s} {-s} {c} 200 100 cm 10 w 0 0 m 500 0 l S Q")
    [line] = page.strokes
    assert line.width == pytest.approx(1.2, rel=1e-4)


def test_rectangle_gives_four_strokes_and_closed_path_its_last_side():
    assert len(page_of("10 10 50 30 re S").strokes) == 4
    assert len(page_of("10 10 m 60 10 l 50 40 l h S").strokes) == 3
    assert len(page_of("10 10 m 60 10 l 50 40 l S").strokes) == 2


def test_lines_inside_a_form_are_read_where_they_are_drawn():
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(400, 500))
    form = pdf.make_stream(b"1 w 0 0 m 100 0 l S")
    form.Type, form.Subtype = pikepdf.Name.XObject, pikepdf.Name.Form
    form.BBox, form.Matrix = pikepdf.Array([0, -5, 200, 5]), pikepdf.Array([2, 0, 0, 2, 0, 0])
    pdf.pages[0].Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=form))
    pdf.pages[0].Contents = pdf.make_stream(b"q 1 0 0 1 50 100 cm /F Do Q")
    out = io.BytesIO()
    pdf.save(out)
    page = extract_page(pymupdf.open(stream=out.getvalue(), filetype="pdf"), 0)
    [line] = page.strokes
    assert (*line.a, *line.b) == pytest.approx((50, 400, 250, 400))
    assert line.width == pytest.approx(2.0)


def test_what_a_clip_cuts_off_is_not_there():
    page = page_of("q 100 100 50 50 re W n 0 120 m 400 120 l S 0 300 m 400 300 l S Q")
    [line] = page.strokes
    assert sorted([line.a.x, line.b.x]) == pytest.approx([100, 150], abs=1e-3)


def test_nested_clips_narrow_each_other_and_end_with_their_state():
    page = page_of(
        "q 100 100 100 100 re W n q 150 50 200 200 re W n 0 120 m 400 120 l S Q"
        " 0 130 m 400 130 l S Q 0 140 m 400 140 l S"
    )
    spans = [sorted([s.a.x, s.b.x]) for s in page.strokes]
    np.testing.assert_allclose(spans, [[150, 200], [100, 200], [0, 400]], atol=1e-3)


def test_a_later_white_fill_hides_what_lies_under_it_and_an_earlier_one_does_not():
    hidden = page_of("0 100 m 400 100 l S 1 1 1 rg 180 90 40 20 re f")
    spans = sorted(sorted([s.a.x, s.b.x]) for s in hidden.strokes)
    np.testing.assert_allclose(spans, [[0, 180], [220, 400]], atol=0.05)
    assert len(hidden.fills) == 0
    shown = page_of("1 1 1 rg 180 90 40 20 re f 0 100 m 400 100 l S")
    assert [s.length for s in shown.strokes] == pytest.approx([400])


def test_white_text_mask_hides_text_below_but_not_the_one_above():
    page = page_of(
        "BT /F 10 Tf 190 96 Td (old) Tj ET 1 1 1 rg 180 90 40 20 re f 0 0 0 rg"
        " BT /F 10 Tf 190 96 Td (new) Tj ET"
    )
    assert {t.text: t.visible for t in page.texts} == {"old": False, "new": True}


def test_white_page_background_hides_nothing_drawn_later():
    page = page_of("1 1 1 rg 0 0 400 500 re f 0 0 0 RG 10 10 m 60 10 l S")
    assert len(page.strokes) == 1


def test_white_ink_is_no_ink_and_light_grey_ink_is():
    page = page_of("1 1 1 RG 0 100 m 400 100 l S .85 .85 .85 RG 0 120 m 400 120 l S")
    [line] = page.strokes
    assert line.grey == pytest.approx(0.85, abs=1e-3)


def test_hairlines_have_width_zero():
    assert page_of("0 w 0 100 m 400 100 l S").strokes[0].width == 0.0


def test_thin_filled_rectangle_is_a_line_and_an_arrowhead_is_not():
    page = page_of("100 100 200 .6 re f 50 50 m 60 52 l 60 48 l f")
    [line] = page.strokes
    assert sorted([line.a.x, line.b.x]) == pytest.approx([100, 300], abs=1e-3)
    assert line.a.y == pytest.approx(500 - 100.3, abs=1e-3)
    assert line.width == pytest.approx(0.6, abs=1e-4)
    assert len(page.fills) == 1
    assert len(page.fills[0].points) == 3


def test_slender_notched_arrowhead_is_no_bar():
    page = page_of("50 50 m 64 51.4 l 61 50 l 64 48.6 l f")
    assert len(page.strokes) == 0
    assert len(page.fills) == 1


def test_circle_of_four_beziers_is_one_exact_arc():
    builder = PageBuilder(400, 500)
    builder.circle((200.37, 300.11), 33.3)
    page = builder.page()
    [arc] = page.arcs
    assert arc.centre == pytest.approx((200.37, 300.11), abs=2e-3)
    assert arc.radius == pytest.approx(33.3, abs=0.01)
    assert arc.is_circle
    assert len(page.strokes) == 0


@pytest.mark.parametrize("sides", [16, 36, 90])
def test_polyline_with_many_equal_sides_is_an_arc(sides):
    turns = np.radians(20 + 100 * np.arange(sides + 1) / sides)
    points = [(200 + 50 * math.cos(t), 300 - 50 * math.sin(t)) for t in turns]
    builder = PageBuilder(400, 500)
    builder.path(points)
    [arc] = builder.page().arcs
    assert arc.centre == pytest.approx((200, 300), abs=0.02)
    assert (arc.radius, arc.start, arc.sweep) == pytest.approx((50, 20, 100), abs=0.05)


@pytest.mark.parametrize("sides", [4, 6, 8])
def test_nut_is_no_circle(sides):
    turns = 2 * np.pi * np.arange(sides) / sides
    builder = PageBuilder(400, 500)
    builder.path([(200 + 9 * math.cos(t), 300 - 9 * math.sin(t)) for t in turns], close=True)
    page = builder.page()
    assert page.arcs == ()
    assert len(page.strokes) == sides


def test_ellipse_is_no_circle():
    page = page_of("q 1 0 0 .6 0 0 cm 230 200 m 230 216.6 216.6 230 200 230 c S Q")
    assert page.arcs == ()
    assert all(s.curved for s in page.strokes)


def test_bezier_with_its_control_points_on_the_chord_is_a_straight_line():
    page = page_of("10 100 m 50 100 90 100 130 100 c S")
    [line] = page.strokes
    assert not line.curved
    assert line.length == pytest.approx(120)


@pytest.mark.parametrize("backwards", [False, True])
def test_arc_directions_are_counter_clockwise_as_seen_however_they_are_drawn(backwards):
    # from the right (0 degrees) up to the top (90 degrees): y up in PDF, up as seen
    k = 0.5522847498 * 50
    points = [(250, 300), (250, 300 + k), (200 + k, 350), (200, 350)]
    a, b, c, d = reversed(points) if backwards else points
    page = page_of(f"{a[0]} {a[1]} m {b[0]} {b[1]} {c[0]} {c[1]} {d[0]} {d[1]} c S")
    [arc] = page.arcs
    assert (arc.start, arc.sweep) == pytest.approx((0, 90), abs=0.1)


def test_invisible_text_is_flagged():
    builder = PageBuilder(400, 500)
    builder.text("1/2", (100, 100))
    builder.text("3/4", (100, 130), mode=3)
    assert {t.text: t.visible for t in builder.page().texts} == {"1/2": True, "3/4": False}


def test_turned_text_has_its_direction_and_quad():
    builder = PageBuilder(400, 500)
    builder.text("3 1/2", (100, 100), angle=90)
    [text] = builder.page().texts
    assert text.angle == pytest.approx(90, abs=1e-3)
    top_left, top_right, *_ = text.quad
    assert top_left.x == pytest.approx(top_right.x, abs=1e-3)
    assert top_left.y > top_right.y


def test_texts_of_one_operator_far_apart_are_runs_of_their_own():
    page = page_of("BT /F 10 Tf 100 300 Td [(1/2) -9000 (3/4)] TJ 0 -40 Td (7) Tj ET")
    assert [t.text for t in page.texts] == ["1/2", "3/4", "7"]


def private_font(pdf: pikepdf.Pdf, **more: object) -> pikepdf.Object:
    differences = pikepdf.Array([49, pikepdf.Name("/g12"), pikepdf.Name("/g13")])
    return pdf.make_indirect(
        pikepdf.Dictionary(
            Type=pikepdf.Name.Font,
            Subtype=pikepdf.Name.Type1,
            BaseFont=pikepdf.Name("/ABCDEF+Plan"),
            Encoding=pikepdf.Dictionary(Type=pikepdf.Name.Encoding, Differences=differences),
            FirstChar=49,
            LastChar=50,
            Widths=pikepdf.Array([500, 500]),
            **more,
        )
    )


def test_font_with_private_glyph_names_is_not_trusted_unless_it_has_a_character_map():
    pdf = pikepdf.new()
    cmap = pdf.make_stream(
        b"/CIDInit /ProcSet findresource begin begincmap 1 begincodespacerange <00> <FF>"
        b" endcodespacerange 2 beginbfchar <31> <0031> <32> <0032> endbfchar endcmap end"
    )
    for more, trusted in (({}, False), ({"ToUnicode": cmap}, True)):
        pdf.add_blank_page(page_size=(400, 500))
        page = pdf.pages[-1]
        page.Resources = pikepdf.Dictionary(Font=pikepdf.Dictionary(F=private_font(pdf, **more)))
        page.Contents = pdf.make_stream(b"BT /F 10 Tf 100 300 Td (12) Tj ET")
        out = io.BytesIO()
        pdf.save(out)
        document = pymupdf.open(stream=out.getvalue(), filetype="pdf")
        [text] = extract_page(document, len(pdf.pages) - 1).texts
        assert text.trusted is trusted


def test_page_survives_pickling_and_hands_out_single_records():
    builder = PageBuilder(400, 500)
    builder.rectangle((10, 10, 60, 40))
    builder.arrow((100, 100), (120, 100))
    builder.text("1/2", (100, 60))
    page = builder.page()
    again = pickle.loads(pickle.dumps(page))  # our own bytes
    assert list(again.strokes) == list(page.strokes)
    assert list(again.fills) == list(page.fills)
    assert again.texts == page.texts


def test_empty_page_is_an_empty_record():
    page = page_of("")
    assert (len(page.strokes), len(page.fills), page.arcs, page.texts) == (0, 0, (), ())
