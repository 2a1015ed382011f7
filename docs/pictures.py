"""Make the pictures of the README and the docs: marked-up pages, and the page in the browser."""

from __future__ import annotations

import sys
from pathlib import Path

from PIL import Image
from screens import take_all

WANTED = {"findings-page.png": 0, "marked-sheet.png": None}
FOR_THE_SHOP = ("shop-sheet.png", "pattern.png")
COLOURS = 64  # line drawings need few


def main(pages: Path, target: Path) -> None:
    """Write the pictures of the marked-up demo, then those of its audit in the browser."""
    pick_pages(pages, target)
    take_all(pages.parent / "demo" / "marble-lift-1.audit", target)


def pick_pages(pages: Path, target: Path) -> None:
    """Write the first findings page, the first sheet (wider than high), and what the shop gets."""
    made = sorted(pages.glob("page-*.png"))
    opened = [Image.open(page).convert("RGB") for page in made]
    sheet = next(i for i, page in enumerate(opened) if page.width > page.height)
    for name, index in WANTED.items():
        _keep(opened[sheet if index is None else index], target / name)
    for name in FOR_THE_SHOP:
        _keep(Image.open(pages / name).convert("RGB"), target / name)


def _keep(page: Image.Image, target: Path) -> None:
    page.quantize(COLOURS, Image.Quantize.MAXCOVERAGE).save(target, optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
