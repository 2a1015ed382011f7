"""One callout in every form a picture file may have reads the same; written by Pillow."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from audit.isolation import decode_series
from audit.networks.reader import read_crops
from tests.snapping.drawn import new_page, render


def callout() -> Image.Image:
    page = new_page()
    page.insert_text((40, 60), "13'-11\"", fontsize=11)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    return Image.fromarray(
        gray[rows.min() - 8 : rows.max() + 9, columns.min() - 8 : columns.max() + 9]
    )


def clear_ground(gray: Image.Image) -> Image.Image:
    ink = Image.new("RGBA", gray.size, (0, 0, 0, 0))
    ink.putalpha(ImageOps.invert(gray))
    return ink


def write_forms(folder: Path) -> list[Path]:
    gray = callout()
    deep = np.asarray(gray, np.uint16) * 257
    forms = {
        "two-level.tif": (gray.convert("1", dither=Image.Dither.NONE), {"compression": "group4"}),
        "palette.png": (gray.convert("RGB").quantize(4), {}),
        "clear.png": (clear_ground(gray), {}),
        "deep.png": (Image.fromarray(deep), {}),
        "press.jpg": (gray.convert("CMYK"), {}),
        "blueprint.png": (ImageOps.colorize(gray, (240, 245, 255), (20, 40, 110)), {}),
        "red.png": (ImageOps.colorize(gray, (255, 0, 0), (255, 255, 255)), {}),
        "faint.png": (ImageOps.colorize(gray, (150, 150, 150), (165, 165, 165)), {}),
        "low.png": (gray.resize((15 * gray.width // gray.height, 15), Image.Resampling.BOX), {}),
        "high.png": (gray.resize((400 * gray.width // gray.height, 400)), {}),
        "bare.png": (ImageOps.crop(gray, 8), {}),
        "roomy.png": (ImageOps.expand(gray, 300, 255), {}),
    }
    for name, (picture, how) in forms.items():
        picture.save(folder / name, **how)
    return [folder / name for name in forms]


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    paths = write_forms(tmp_path_factory.mktemp("forms"))
    decoded = list(decode_series(paths))
    said = read_crops([one.pixels for one in decoded])
    return {one.path.name: c[0].text if c else "" for one, c in zip(decoded, said, strict=True)}


def test_a_callout_reads_the_same_from_every_form_of_picture(heard):
    assert heard == dict.fromkeys(heard, "13'-11\"")
