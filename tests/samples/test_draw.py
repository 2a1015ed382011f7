"""The committed samples are what the script draws, and hold what the truth file says."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

SAMPLES = Path(__file__).parents[2] / "sample_scans"


def test_script_draws_the_committed_files():
    done = subprocess.run(
        [sys.executable, str(SAMPLES / "draw.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "")


def test_script_refuses_an_unknown_option():
    done = subprocess.run(
        [sys.executable, str(SAMPLES / "draw.py"), "--chekc"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr.startswith("usage:")


def picture(change: int = 0, *, form: str = "PNG", turn: int = 1) -> bytes:
    pixels = np.arange(40 * 30, dtype=np.uint8).reshape(30, 40) // 2
    pixels[3, 4] += change
    exif = Image.Exif()
    exif[0x0112] = turn
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, form, exif=exif)
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("a.json", b"1", b"2"),
        ("a.png", picture(), picture(1)),
        ("a.jpg", picture(form="JPEG"), picture(form="JPEG", turn=6)),
        ("a.jpg", picture(form="JPEG"), picture(120, form="JPEG")),
        ("a.png", None, picture()),
    ],
)
def test_check_tells_a_changed_file(tmp_path, name, old, new):
    from draw import difference

    if old is not None:
        (tmp_path / name).write_bytes(old)
    assert difference(name, new, tmp_path)


def test_check_accepts_a_png_packed_another_way(tmp_path):
    from draw import difference

    out = io.BytesIO()
    Image.open(io.BytesIO(picture())).save(out, "PNG", compress_level=0)
    (tmp_path / "a.png").write_bytes(out.getvalue())
    assert out.getvalue() != picture()
    assert difference("a.png", picture(), tmp_path) is None
