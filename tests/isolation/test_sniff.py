"""What a file is, by its content; one clear line for what cannot be used."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PIL import Image

from audit.errors import NotReadable, TooLarge, WrongKind
from audit.isolation.info import SourceKind
from audit.isolation.limits import Limits
from audit.isolation.sniff import inspect_source, recognise_format
from tests.isolation.files import as_bytes

SMALL = Image.new("L", (9, 9), 255)


def write(tmp_path, name, data):
    path = tmp_path / name
    path.write_bytes(data)
    return path


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "BMP", "WebP"])
def test_pictures_are_known_by_content(tmp_path, kind):
    path = write(tmp_path, f"a.{kind.lower()}", as_bytes(SMALL, kind))
    source = inspect_source(path, limits=Limits())
    assert (source.kind, source.format, source.remarks) == (SourceKind.IMAGE, kind, ())


def test_a_pdf_may_begin_with_something_else(tmp_path):
    path = write(tmp_path, "a.pdf", b"\r\n<junk>\n" + b"%PDF-1.4\n")
    assert inspect_source(path, limits=Limits()).kind is SourceKind.PDF
    assert recognise_format(b" " * 2000 + b"%PDF-1.4") is None


def test_a_name_that_lies_is_told(tmp_path):
    path = write(tmp_path, "plan.PDF", as_bytes(SMALL, "JPEG"))
    remark = "the name ends in .PDF but the content is JPEG; read as JPEG"
    assert inspect_source(path, limits=Limits()).remarks == (remark,)
    path = write(tmp_path, "plan", as_bytes(SMALL, "PNG"))
    assert "ends in no suffix" in inspect_source(path, limits=Limits()).remarks[0]


WRONG = [
    (b"GIF89a", "is a GIF picture: save it as PNG"),
    (b"\0\0\0\x18ftypheic", "is a HEIC photo: export it as JPEG or PNG"),
    (b"AC1032", "is a DWG drawing: plot it to PDF first"),
    (b"  0\r\nSECTION\r\n", "is a DXF drawing: plot it to PDF first"),
    (b"PK\x03\x04....", "is a ZIP archive or office document: unpack it, or print it to PDF first"),
    (b"<?xml version='1.0'?><svg/>", "is an SVG drawing: print it to PDF first"),
    (b"\xef\xbb\xbf<!DOCTYPE HTML>", "is a web page: print it to PDF first"),
    (b"%!PS-Adobe", "is a PostScript file: convert it to PDF first"),
    (b"BM and other words", "is neither a PDF nor a picture we know: give a PDF, TIFF, PNG"),
    (b"\0" * 50, "is neither a PDF nor a picture we know"),
]


@pytest.mark.parametrize(("data", "line"), WRONG)
def test_other_kinds_are_named_with_what_to_do(tmp_path, data, line):
    path = write(tmp_path, "plan.pdf", data)
    with pytest.raises(WrongKind) as caught:
        inspect_source(path, limits=Limits())
    assert str(caught.value).startswith(f"plan.pdf {line}")


def test_what_cannot_be_read_is_told_in_one_line(tmp_path):
    with pytest.raises(NotReadable, match=r"^none\.pdf does not exist: check the name and folder$"):
        inspect_source(tmp_path / "none.pdf", limits=Limits())
    with pytest.raises(NotReadable, match=r"is a folder: give the files in it one by one$"):
        inspect_source(tmp_path, limits=Limits())
    with pytest.raises(NotReadable, match=r"^empty\.pdf is empty: copy or export it again$"):
        inspect_source(write(tmp_path, "empty.pdf", b""), limits=Limits())
    with pytest.raises(NotReadable, match="cannot be read"):
        inspect_source(Path("a\0b.pdf"), limits=Limits())
    with pytest.raises(NotReadable, match="cannot be read"):
        inspect_source(Path("x" * 5000), limits=Limits())


def test_a_file_without_permission_is_told(tmp_path, monkeypatch):
    path = write(tmp_path, "locked.pdf", b"%PDF-1.4")

    def refuse(*_, **__):  # root may read everything, so chmod would prove nothing
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(NotReadable, match=r"^locked\.pdf may not be read: change its permissions"):
        inspect_source(path, limits=Limits())


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes are a matter of Unix")
def test_a_named_pipe_does_not_hang_the_program(tmp_path):
    os.mkfifo(tmp_path / "pipe.pdf")
    with pytest.raises(NotReadable, match=r"pipe\.pdf is no ordinary file"):
        inspect_source(tmp_path / "pipe.pdf", limits=Limits())


def test_a_file_over_the_size_limit_is_refused_unread(tmp_path):
    path = write(tmp_path, "big.pdf", b"")
    with path.open("wb") as stream:
        stream.truncate(30 << 20)  # sparse
    limits = Limits(file_bytes=20 << 20)
    with pytest.raises(TooLarge, match=r"^big\.pdf has 30 MB, more than the 20 allowed: split"):
        inspect_source(path, limits=limits)


def test_control_characters_in_a_name_do_not_reach_the_message(tmp_path):
    with pytest.raises(NotReadable) as caught:
        inspect_source(tmp_path / "a\x1b[31m\nb.pdf", limits=Limits())
    assert "\x1b" not in str(caught.value)
    assert "\n" not in str(caught.value)
