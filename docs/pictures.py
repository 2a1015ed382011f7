"""Pick the pictures of the README out of the pages of the marked-up demo."""

from __future__ import annotations

import sys
from pathlib import Path

from PIL import Image

WANTED = {"findings-page.png": 0, "marked-sheet.png": None}
COLOURS = 64  # line drawings need few


def main(pages: Path, target: Path) -> None:
    """Write the first findings page, and the first page that is a sheet (wider than high)."""
    made = sorted(pages.glob("page-*.png"))
    opened = [Image.open(page).convert("RGB") for page in made]
    sheet = next(i for i, page in enumerate(opened) if page.width > page.height)
    for name, index in WANTED.items():
        page = opened[sheet if index is None else index]
        page.quantize(COLOURS, Image.Quantize.MAXCOVERAGE).save(target / name, optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
