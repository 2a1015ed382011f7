"""Setting text: widths are those that MuPDF gives, character for character."""

import pymupdf
import pytest

from audit.isolation.typesetting import _FRACTION, Piece, Typesetter


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", ["3 1/2 in is printed", "Ø 2.064 ± 0.032", "“view” – (CRANK)"])
def test_a_text_is_as_wide_as_mupdf_sets_it(text, bold):
    font = pymupdf.Font("hebo" if bold else "helv")
    setter = Typesetter(width=300, height=200)
    for size in (7.3, 9.5):  # the second from what is remembered of the first
        assert setter.measure(text, size=size, bold=bold) == pytest.approx(
            font.text_length(text, fontsize=size), abs=1e-9
        )


def test_a_character_that_the_font_lacks_is_measured_in_the_one_that_is_used_for_it():
    setter = Typesetter(width=300, height=200)
    assert [name for name, _ in setter.runs("a日b", bold=False)] == ["Fr", "Ff", "Fr"]
    alone = pymupdf.Font("cjk").text_length("日", fontsize=8)
    assert setter.measure("日", size=8) == pytest.approx(alone, abs=1e-9)


@pytest.mark.parametrize("text", ["3 1/2", "Ø1/8 THRU", "R3/8", "2X1/4", "(1/2)"])
def test_a_fraction_is_set_as_one_after_the_signs_that_stand_before_sizes(text):
    assert _FRACTION.search(text)


@pytest.mark.parametrize("text", ["A1/2 sheet", "3/4/2026", "v1/2", "1.1/2"])
def test_what_only_has_a_stroke_in_it_is_set_as_it_is(text):
    assert not _FRACTION.search(text)


@pytest.mark.parametrize("sign", "⌴⌵↧⌲⌳℄")
def test_a_drawing_sign_that_no_font_has_is_drawn_and_can_be_copied(sign):
    setter = Typesetter(width=200, height=60)
    setter.add_page()
    end = setter.show(20, 40, f"Ø3/8 {sign} 1/4", style=Piece(text="", size=20.0))
    assert end == pytest.approx(20 + setter.measure(f"Ø3/8 {sign} 1/4", size=20.0))
    with pymupdf.open(stream=setter.to_pdf()) as document:
        page = document[0]
        assert sign in page.get_text()
        before = 20 + setter.measure("Ø3/8 ", size=20.0)
        clip = pymupdf.Rect(before, 20, before + setter.measure(sign, size=20.0), 46)
        assert page.get_pixmap(clip=clip).color_topusage()[0] < 0.95  # white alone: nothing stood
