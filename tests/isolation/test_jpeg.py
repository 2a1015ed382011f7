"""Whole JPEGs and those that only look whole."""

from __future__ import annotations

import os

import pytest
from PIL import Image

from audit.isolation.jpeg import is_cut_off
from tests.isolation.files import as_bytes, drawing

GRAY = Image.fromarray(drawing(900, 700))


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
@pytest.mark.parametrize("progressive", [False, True])
def test_a_whole_jpeg_is_whole(mode, progressive):
    data = as_bytes(GRAY.convert(mode), "JPEG", progressive=progressive)
    assert not is_cut_off(data)
    assert not is_cut_off(data + bytes(100))  # some programs pad
    assert not is_cut_off(data[:-2] + bytes(5) + data[-2:])  # stray bytes before the end marker


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9, 0.99])
def test_a_jpeg_closed_early_is_cut_off(share):
    data = as_bytes(GRAY, "JPEG")
    part = data[: int(len(data) * share)]
    assert is_cut_off(part)
    assert is_cut_off(part + b"\xff\xd9")


def test_what_is_no_jpeg_is_cut_off_and_standard_error_is_given_back(capfd):
    assert is_cut_off(b"no picture at all")
    os.write(2, b"still here")
    assert capfd.readouterr().err == "still here"
