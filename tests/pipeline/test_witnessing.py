"""Fonts that lie about their letters: MuPDF sets the page, its character map is then forged."""

from __future__ import annotations

from pathlib import Path

import pymupdf
import pytest

from audit.geometry import Box, Point
from audit.pipeline.sheet_texts import read_sheet_texts
from audit.pipeline.witnessing import choose_texts, find_lies, pair_characters, witness_texts
from audit.reading import TextLine, join_texts
from audit.records import Candidate, Glyphs, ReadBy
from audit.sheets import load_plan

# PDF 32000-1, 9.10.3: what a ToUnicode map looks like.
CMAP = """/CIDInit /ProcSet findresource begin 12 dict begin begincmap
/CMapName /Forged def /CMapType 2 def
1 begincodespacerange <00> <FF> endcodespacerange
1 beginbfrange <20> <7E> <0020> endbfrange
endcmap CMapName currentdict /CMap defineresource pop end end"""


def make_page(path: Path, *, forged: bool) -> Path:
    """A page of sizes; forged, the letter P is drawn as Ø while its map says P."""
    document = pymupdf.open()
    page = document.new_page(width=400, height=300)
    for k, text in enumerate(("P 1/4", "P 3/8", "2.125", "3 9/32", "14 5/16", "R 7/8")):
        page.insert_text((50, 50 + 30 * k), text, fontsize=11, fontname="helv")
        page.draw_line((250, 40 + 30 * k), (350, 40 + 30 * k))
    if forged:
        font = next(xref for xref, *_ in page.get_fonts())
        stream = document.get_new_xref()
        document.update_object(stream, "<<>>")
        document.update_stream(stream, CMAP.encode())
        document.xref_set_key(font, "ToUnicode", f"{stream} 0 R")
        document.xref_set_key(
            font, "Encoding", "<</BaseEncoding/WinAnsiEncoding/Differences[80/Oslash]>>"
        )
    document.save(path)
    return path


def read_all(path: Path):
    with load_plan([path]) as plan:
        return {r.text: r for r in read_sheet_texts(plan, plan.sheets[0], unit=None) if r}


def test_a_font_that_draws_another_letter_than_it_says_is_contradicted_by_the_picture(tmp_path):
    readings = read_all(make_page(tmp_path / "forged.pdf", forged=True))
    for text, shown in (("P 1/4", "Ø 1/4"), ("P 3/8", "Ø 3/8")):
        said = {c.by: c.text for c in readings[text].candidates}
        assert said == {ReadBy.PDF: text, ReadBy.NET: shown}
        assert readings[text].confidence <= 0.6
        assert shown in readings[text].doubt
    assert readings["3 9/32"].confidence > 0.9


def test_an_honest_page_is_left_as_it_is(tmp_path):
    with load_plan([make_page(tmp_path / "honest.pdf", forged=False)]) as plan:
        lines = join_texts(plan.vector_page(plan.sheets[0]))
        seen = witness_texts(plan, plan.sheets[0], lines)
    assert seen.lines == lines
    assert seen.said == {}


def test_letters_the_file_does_not_know_are_read_off_the_picture(tmp_path):
    with load_plan([make_page(tmp_path / "honest.pdf", forged=False)]) as plan:
        lines = join_texts(plan.vector_page(plan.sheets[0]))
        # no callout begins with a P, and the networks take one for an R now and then
        lines = tuple(line for line in lines if not line.text.startswith("P"))
        # as a font without a character map leaves them: private codes
        blind = [_unknown(line) for line in lines]
        seen = witness_texts(plan, plan.sheets[0], blind)
    assert sorted(line.text for line in seen.lines) == sorted(line.text for line in lines)
    assert all(line.trusted for line in seen.lines)


def _unknown(line: TextLine) -> TextLine:
    return TextLine(
        text="\ue001" * len(line.text), box=line.box, angle=line.angle, quad=line.quad,
        height=line.height, trusted=False,
    )  # fmt: skip


def test_letters_drawn_as_lines_are_read_off_the_picture(tmp_path):
    document = pymupdf.open()
    page = document.new_page(width=400, height=300)
    page.insert_text((50, 80), "3 9/32", fontsize=14)
    for k in range(24):
        page.draw_line((60, 120 + 6 * k), (340, 120 + 6 * k))
    outlined = pymupdf.open(
        "pdf", pymupdf.open("svg", page.get_svg_image().encode()).convert_to_pdf()
    )
    outlined.save(tmp_path / "outlined.pdf")
    with load_plan([tmp_path / "outlined.pdf"]) as plan:
        assert not plan.vector_page(plan.sheets[0]).texts
    assert "3 9/32" in read_all(tmp_path / "outlined.pdf")


@pytest.mark.parametrize(
    ("written", "shown", "pairs"),
    [
        ("P 1/4", "Ø 1/4", [("P", "Ø"), ("1", "1"), ("/", "/"), ("4", "4")]),
        ("12", "34", [("1", "3"), ("2", "4")]),
        ("1/4", "1/4 TYP", None),
    ],
)
def test_spellings_are_matched_character_by_character(written, shown, pairs):
    assert pair_characters(written, shown) == pairs


def line_of(text: str, at: float, font: str = "A") -> TextLine:
    quad = (Point(0, at), Point(9, at), Point(9, at + 5), Point(0, at + 5))
    run = Glyphs(text=text, origin=quad[3], angle=0.0, size=5.0, font=font, quad=quad)
    return TextLine(text=text, box=Box.around(quad), angle=0.0, quad=quad, height=5.0, runs=(run,))


def heard(*said: tuple[str, str]):
    lines = [line_of(written, 10.0 * k) for k, (written, _) in enumerate(said)]
    return {
        line.box: (line, (Candidate(text=shown, confidence=0.99, by=ReadBy.NET),))
        for line, (_, shown) in zip(lines, said, strict=True)
    }


def test_one_misread_text_does_not_make_a_font_a_liar():
    assert find_lies(heard(("5/16", "3/16"), ("5/8", "5/8"))) == frozenset()
    assert find_lies(heard(("5/16", "3/16"), ("5/8", "3/8"))) == {("A", "5", "3")}


def test_letters_that_pass_for_each_other_prove_nothing():
    assert find_lies(heard(("1.05", "1,O5"), ("10", "1O"))) == frozenset()


def test_every_character_is_looked_at_but_not_every_text():
    lines = [line_of(text, 10.0 * k) for k, text in enumerate(["12"] * 40 + ["3"] * 40)]
    chosen = choose_texts(lines)
    assert [line.text for line in chosen] == ["12", "12", "3", "3"]
    assert choose_texts([]) == []
