"""Our raster work beside general libraries doing the same job on the same sheet in the same run."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pymupdf
import pypdfium2
from rich.console import Console
from rich.table import Table

from audit.isolation import open_document
from audit.sheets import open_pyramid
from tests.bench.isolation import median_seconds

SAMPLE = Path(__file__).parents[2] / "sample_scans" / "marble-lift-1.pdf"
DPI = 200
SCAN_IN, SCAN_DPI = (34, 22), 300


def run(*, full: bool) -> None:
    """Print seconds and ratios; `full` takes more repetitions."""
    times = 9 if full else 3
    table = Table("work", "ours, s", "yardstick, s", "ratio", "which", title="yardsticks")
    for row in [*time_rendering(times), *time_tiles(times)]:
        table.add_row(*row)
    Console(width=110).print(table)


def row(what: str, ours: float, other: float, which: str) -> tuple[str, str, str, str, str]:
    return what, f"{ours:.3f}", f"{other:.3f}", f"{ours / other:.2f}", which


def time_rendering(times: int) -> list[tuple[str, str, str, str, str]]:
    """Render the sample sheet: through the worker, by MuPDF in this process, by PDFium."""
    with open_document(SAMPLE) as document:
        ours = median_seconds(lambda: document.render(1, dpi=DPI), times=times)
    with pymupdf.open(SAMPLE) as plain:
        mupdf = median_seconds(
            lambda: plain[0].get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY), times=times
        )
    pdfium = pypdfium2.PdfDocument(SAMPLE)
    other = median_seconds(
        lambda: pdfium[0].render(scale=DPI / 72, grayscale=True).to_numpy(), times=times
    )
    pdfium.close()
    what = f"render the sample sheet, {DPI} dpi"
    return [row(what, ours, mupdf, "MuPDF, no worker"), row(what, ours, other, "PDFium")]


def time_tiles(times: int) -> list[tuple[str, str, str, str, str]]:
    """Make the zoom levels of a large scan."""
    height, width = SCAN_IN[1] * SCAN_DPI, SCAN_IN[0] * SCAN_DPI
    pixels = np.full((height, width), 240, np.uint8)
    pixels[::90], pixels[:, ::90] = 30, 30
    what = f"zoom levels, {SCAN_IN[0]} × {SCAN_IN[1]} in at {SCAN_DPI} dpi"
    with tempfile.TemporaryDirectory() as folder:
        count = iter(range(10_000))
        ours = median_seconds(
            lambda: open_pyramid(pixels, digest=f"bench{next(count)}-{folder[-8:]}", page=1),
            times=times,
        )
        rows = [row(what, ours, median_seconds(lambda: halve(pixels), times=times), "OpenCV area")]
        vips = vips_levels(pixels, Path(folder))
        if vips is not None:
            rows.append(row(what, ours, median_seconds(vips, times=times), "libvips pyramid TIFF"))
    return rows


def halve(pixels: np.ndarray) -> None:
    """Shrink by two until it fits a tile, nothing written."""
    while max(pixels.shape) > 256:
        pixels = cv2.resize(pixels, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)


def vips_levels(pixels: np.ndarray, folder: Path) -> Callable[[], None] | None:
    """Libvips writing a tiled pyramid, uncompressed as ours is; None where it is not installed."""
    try:
        import pyvips
    except (ImportError, OSError):
        return None
    image = pyvips.Image.new_from_array(pixels)

    def write() -> None:
        image.tiffsave(str(folder / "levels.tif"), tile=True, pyramid=True, bigtiff=True)

    return write
