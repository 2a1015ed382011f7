"""Opening and reading files in the worker: time, memory, and what the detour costs.

The baseline of each row is the same work done in this process by the library itself.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import psutil
import pymupdf
from pikepdf import Dictionary, Name
from PIL import Image
from rich.console import Console
from rich.table import Table

from audit.isolation import Document, Limits, open_document
from audit.isolation.vector import extract_page
from tests.isolation.files import PdfBuilder

HONEST_SHEET = (21600, 14400)  # 36 × 24 in at 600 dpi: 311 million pixels


def letter_page(folder: Path, *, lines: int) -> Path:
    """A letter page of so many lines and a tenth as many short texts."""
    rng = np.random.default_rng(1)
    ends = np.tile(rng.uniform(20, 560, (lines, 2)), 2)
    ends[:, 2:] += rng.normal(0, 20, (lines, 2))
    drawn = b"".join(b"%.2f %.2f m %.2f %.2f l S " % tuple(row) for row in ends)
    places = rng.uniform(30, 580, (lines // 10, 2))
    written = b"".join(b"BT /F 8 Tf %.1f %.1f Td (3 1/2) Tj ET " % tuple(p) for p in places)
    font = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
    builder = PdfBuilder()
    builder.page(b".5 w " + drawn + written, resources=Dictionary(Font=Dictionary(F=font)))
    return builder.save(folder / f"{lines}.pdf")


def median_seconds(work: Callable[[], object], *, times: int) -> float:
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return statistics.median(taken)


def time_start(path: Path, *, times: int) -> tuple[float, float]:
    """Seconds until a document is open, and for a bare interpreter as the baseline."""

    def open_and_close() -> None:
        open_document(path).close()

    bare = [sys.executable, "-c", "pass"]
    baseline = median_seconds(lambda: subprocess.run(bare, check=True), times=times)
    return median_seconds(open_and_close, times=times), baseline


def worker_of(document: Document) -> psutil.Process:
    worker = document._worker
    assert worker is not None
    return psutil.Process(worker.pid)


def add_pages(table: Table, folder: Path, *, times: int) -> None:
    for lines in (500, 5_000, 50_000):
        path = letter_page(folder, lines=lines)
        with pymupdf.open(path) as plain, open_document(path) as doc:
            doc.vector_page(1)  # both have loaded what they need
            extract_page(plain, 0)
            inside = median_seconds(lambda: extract_page(plain, 0), times=times)
            across = median_seconds(lambda: doc.vector_page(1), times=times)
            cpu_before = sum(worker_of(doc).cpu_times()[:2])
            doc.vector_page(1)
            cpu = sum(worker_of(doc).cpu_times()[:2]) - cpu_before
            memory = worker_of(doc).memory_info().rss
            note = f"{cpu:.2f} s CPU in the worker, {memory / 1e6:.0f} MB"
            table.add_row(f"vector page, {lines} lines", f"{across:.3f}", f"{inside:.3f}", note)
            drawn = median_seconds(lambda: doc.render(1, dpi=200), times=times)
            plainly = median_seconds(
                lambda: plain[0].get_pixmap(dpi=200, colorspace=pymupdf.csGRAY), times=times
            )
            table.add_row(f"render at 200 dpi, {lines} lines", f"{drawn:.3f}", f"{plainly:.3f}", "")


def add_large_pictures(table: Table, folder: Path) -> None:
    """One sheet of 311 million pixels in three formats; the baseline is Pillow's own decoding."""
    width, height = HONEST_SHEET
    pixels = np.full((height, width), 255, np.uint8)
    pixels[::97] = 0
    pixels[:, ::113] = 0
    Image.MAX_IMAGE_PIXELS = None
    gray = Image.fromarray(pixels)
    forms = (
        ("TIFF G4", gray.convert("1"), "g4.tif", {"compression": "group4"}),
        ("JPEG gray", gray, "gray.jpg", {"quality": 80}),
        ("PNG gray", gray, "gray.png", {"compress_level": 1}),
    )
    for name, image, file, keys in forms:
        path = folder / file
        image.save(path, **keys)
        began = time.perf_counter()
        Image.open(path).load()
        plainly = time.perf_counter() - began
        with open_document(path, limits=Limits(page_seconds=300)) as doc:
            worker = worker_of(doc)
            began = time.perf_counter()
            shape = doc.raster(1).pixels.shape
            taken = time.perf_counter() - began
            memory = peak_memory(worker)
        note = f"{shape[0] * shape[1] / 1e6:.0f} MP, worker's peak {memory / 1e6:.0f} MB"
        table.add_row(f"{name}, 36 × 24 in at 600 dpi", f"{taken:.1f}", f"{plainly:.1f}", note)


def peak_memory(process: psutil.Process) -> float:
    """Largest resident memory so far, bytes; what it is now where the system does not tell."""
    status = Path(f"/proc/{process.pid}/status")
    if status.exists():
        for line in status.read_text().splitlines():
            if line.startswith("VmHWM"):
                return float(line.split()[1]) * 1024
    return float(process.memory_info().rss)


def run(*, full: bool) -> None:
    """Print seconds through the worker beside seconds without it."""
    times = 9 if full else 5
    table = Table("work", "s", "baseline, s", "note", title="isolation: the worker's price")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        started, bare = time_start(letter_page(folder, lines=500), times=times)
        table.add_row("open and close a PDF", f"{started:.3f}", f"{bare:.3f}", "bare interpreter")
        add_pages(table, folder, times=times)
        if full:
            add_large_pictures(table, folder)
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    table.caption = f"this process: {own:.0f} MB at its peak"
    Console().print(table)
