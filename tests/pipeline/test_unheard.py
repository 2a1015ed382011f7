"""A second reader that fails is told of on the sheet, not only in the log."""

from __future__ import annotations

import os
import re

import pytest
from PIL import Image, ImageDraw, ImageFont

from audit.pipeline import CheckRequest, check, pictures
from audit.records import Settings


@pytest.fixture
def scan(tmp_path):
    """A page of words that are no sizes: our reader doubts them all."""
    page = Image.new("L", (900, 500), 250)
    draw, font = ImageDraw.Draw(page), ImageFont.load_default(size=34)
    for row, word in enumerate(("qvx~j", "wg;ky", "zpq:m", "gjy,x")):
        draw.text((120, 60 + 100 * row), word, fill=10, font=font)
    page.save(tmp_path / "page.png", dpi=(200, 200))
    return tmp_path / "page.png"


def codes(plan, points=()):
    audit = check(CheckRequest(plans=(plan,), settings=Settings(), points=points)).audit
    return {finding.code: finding.text for finding in audit.findings}


def test_texts_that_tesseract_gave_up_are_counted(scan, tmp_path, monkeypatch):
    program = tmp_path / "tesseract"
    program.write_text("#!/bin/sh\nexit 1\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    said = codes(scan)["D108"]
    assert said.startswith("Tesseract failed or took too long over ")
    assert "page.png" in said


def test_nothing_is_told_where_it_answers(scan, tmp_path, monkeypatch):
    program = tmp_path / "tesseract"
    program.write_text("#!/bin/sh\nexit 0\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    assert "D108" not in codes(scan)


def test_texts_beside_points_that_a_person_gave_are_counted_too(scan, tmp_path, monkeypatch):
    program = tmp_path / "tesseract"
    program.write_text("#!/bin/sh\nexit 1\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    pictures._readers.cache_clear()
    points = tmp_path / "points.csv"
    points.write_text("sheet,kind,x1,y1,x2,y2\n1,distance,100,310,260,310\n")
    alone, both = (codes(scan, given)["D108"] for given in ((), (points,)))
    pictures._readers.cache_clear()
    counts = [int(re.search(r"over (\d+) text", said)[1]) for said in (alone, both)]
    assert counts[1] == counts[0] + 1
