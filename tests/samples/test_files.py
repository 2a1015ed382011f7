"""The folder's papers: a row for every file, a file for every row, and size."""

from __future__ import annotations

import re
from pathlib import Path

import pikepdf
import pymupdf
import pytest
from PIL import Image

SAMPLES = Path(__file__).parents[2] / "sample_scans"
PROGRAM = {"draw.py", "truth.py", "README.md"}


def sample_files() -> set[str]:
    return {p.name for p in SAMPLES.iterdir() if p.is_file() and p.name not in PROGRAM}


def rows() -> dict[str, list[str]]:
    text = (SAMPLES / "README.md").read_text(encoding="utf-8")
    table = text.split("## Files")[1].split("\n## ")[0]
    found = {}
    for line in table.splitlines():
        cells = [c.strip() for c in line.strip("|").split("|")]
        if match := re.fullmatch(r"`(.+)`", cells[0]):
            found[match[1]] = cells[1:]
    return found


def test_every_file_has_a_row_and_every_row_a_file():
    assert set(rows()) == sample_files()


def test_every_row_is_filled():
    assert all(len(cells) == 4 and all(cells) for cells in rows().values())


def test_samples_stay_under_three_megabytes():
    assert sum((SAMPLES / name).stat().st_size for name in sample_files()) < 3_000_000


def test_pdf_is_sound_and_upright():
    """Checked with pikepdf (qpdf)."""
    with pikepdf.open(SAMPLES / "marble-lift-1.pdf") as document:
        assert document.check_pdf_syntax() == []
        assert [float(v) for v in document.pages[0].mediabox] == [0, 0, 17 * 72, 11 * 72]


def test_photo_is_stored_turned():
    """Orientation 6: turn by a quarter clockwise to look at (EXIF 2.3, from memory)."""
    with Image.open(SAMPLES / "marble-lift-3.jpg") as photo:
        assert photo.getexif()[0x0112] == 6
        assert photo.size == (2592, 1944)


def test_scan_states_its_resolution():
    with Image.open(SAMPLES / "marble-lift-2.png") as scan:
        assert scan.info["dpi"] == pytest.approx((200, 200), abs=0.1)


def test_letter_widths_are_helvetica_s():
    """Checked against PyMuPDF's own copy of the font."""
    from drawing.lettering import HELVETICA

    for letter, width in HELVETICA.items():
        assert pymupdf.get_text_length(letter, "helv", 1000) == pytest.approx(width, abs=1), letter
