"""Pixels in a file: written whole, or one line about the disk."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from audit.errors import CannotWrite
from audit.isolation import open_document
from audit.isolation.pixels import write_pixels
from tests.isolation.files import PdfBuilder, as_bytes, drawing

FULL = Path("/dev/full")


def test_bands_are_written_one_after_the_other(tmp_path):
    write_pixels(tmp_path / "a", iter([b"one", memoryview(b"two"), b"", b"three"]))
    assert (tmp_path / "a").read_bytes() == b"onetwothree"


def test_a_folder_that_is_gone_is_told(tmp_path):
    with pytest.raises(CannotWrite, match=r"cannot be written to the cache \(No such file"):
        write_pixels(tmp_path / "gone" / "a", [b"x"])


@pytest.mark.skipif(not FULL.exists(), reason="a disk that is always full is a matter of Linux")
@pytest.mark.parametrize("kind", ["pdf", "png"])
def test_a_full_disk_is_not_blamed_on_the_file(tmp_path, monkeypatch, kind):
    path = tmp_path / f"plan.{kind}"
    if kind == "pdf":
        PdfBuilder().page(b"0 0 m 9 9 l S").save(path)
    else:
        path.write_bytes(as_bytes(Image.fromarray(drawing()), "PNG"))
    with open_document(path) as doc:
        (tmp_path / "link").symlink_to(FULL)
        monkeypatch.setattr(doc, "_new_file", lambda: tmp_path / "link")
        with pytest.raises(CannotWrite, match=r"No space left on device.*: free some space"):
            doc.raster(1)
