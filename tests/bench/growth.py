"""Time and memory of checking a whole raster, over its pixels: they must grow no faster."""

from __future__ import annotations

import resource
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager, suppress
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import cv2
import numpy as np
import psutil
from rich.console import Console
from rich.table import Table

from audit.pipeline import CheckRequest, check
from audit.records import Settings
from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.ezdxf_styles import DEVELOPMENT
from tests.bench.stages import peak_mb
from tests.bench.worn_sheets import Gray, render

DPI = 300
SIZES_IN = ((11.0, 8.5), (17.0, 11.0), (22.0, 17.0), (34.0, 22.0))
GROUND = 245
LOOK_S = 0.1  # between two looks at what the worker holds


class Cost(NamedTuple):
    """What one sheet took; `peak_mb` of the process and of the worker that opens the file."""

    dimensions: int
    seconds: float
    cpu_s: float
    peak_mb: float
    worker_mb: float


def fill_sheet(width_in: float, height_in: float) -> Gray:
    """Fill a raster with drawn views, as densely at every size."""
    rng = np.random.default_rng(34)
    sheet = np.full((round(height_in * DPI), round(width_in * DPI)), GROUND, np.uint8)
    row = 0
    while row < sheet.shape[0]:
        column, low = 0, 0
        while column < sheet.shape[1]:
            tile = render(make_sheet(DEVELOPMENT[0], rng).pdf, dpi=DPI)[0][:2550, :3300]
            room = sheet[row : row + tile.shape[0], column : column + tile.shape[1]]
            room[:] = tile[: room.shape[0], : room.shape[1]]
            column, low = column + tile.shape[1], max(low, tile.shape[0])
        row += low
    return sheet


def check_size(size_in: tuple[float, float]) -> Cost:
    """Check one sheet of a size, as a user does, in a process of its own."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.tif"
        done, packed = cv2.imencode(
            ".tif", fill_sheet(*size_in), [cv2.IMWRITE_TIFF_XDPI, DPI, cv2.IMWRITE_TIFF_YDPI, DPI]
        )
        assert done
        path.write_bytes(packed.tobytes())
        del packed
        began, cpu = time.perf_counter(), _cpu_s()
        with watch_children() as children:
            audit = check(CheckRequest(plans=(path,), settings=Settings())).audit
        seconds, cpu = time.perf_counter() - began, _cpu_s() - cpu
    mine = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return Cost(len(audit.dimensions), seconds, cpu, mine, max(children.values(), default=0.0))


@contextmanager
def watch_children() -> Iterator[dict[int, float]]:
    """Note the peak memory, MB, of each process that is started meanwhile, by its number.

    What the kernel tells of ended children holds what their parent held when it made them.
    """
    peaks: dict[int, float] = {}
    done = threading.Event()

    def look() -> None:
        while not done.wait(LOOK_S):
            for child in psutil.Process().children(recursive=True):
                with suppress(psutil.Error, OSError):
                    if "audit.isolation" in " ".join(child.cmdline()):
                        peaks[child.pid] = max(peaks.get(child.pid, 0.0), peak_mb(child.pid))

    looking = threading.Thread(target=look)
    looking.start()
    try:
        yield peaks
    finally:
        done.set()
        looking.join()


def _cpu_s() -> float:
    """CPU seconds of this process and of the workers that have ended."""
    uses = [resource.getrusage(w) for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(use.ru_utime + use.ru_stime for use in uses)


def run(*, full: bool) -> None:
    """Print time and memory over pixels; the smallest sheet is the baseline of the others."""
    table = Table(title=f"Checking a raster of {DPI} dpi: time and memory over pixels")
    for name in (
        *("sheet", "MP", "dimensions", "s", "s of CPU", "CPU s / MP", "peak MB", "MB / MP"),
        "worker's peak MB",
    ):
        table.add_column(name)
    for size in SIZES_IN if full else SIZES_IN[::3]:
        print(f"growth: {size[0]:g} x {size[1]:g} in", file=sys.stderr, flush=True)
        # a process each: the peak of one must not hide that of the next
        with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
            cost = pool.submit(check_size, size).result()
        megapixels = size[0] * size[1] * DPI * DPI / 1e6
        table.add_row(
            f"{size[0]:g} x {size[1]:g} in",
            f"{megapixels:.0f}",
            str(cost.dimensions),
            f"{cost.seconds:.1f}",
            f"{cost.cpu_s:.1f}",
            f"{cost.cpu_s / megapixels:.2f}",
            f"{cost.peak_mb:.0f}",
            f"{cost.peak_mb / megapixels:.0f}",
            f"{cost.worker_mb:.0f}",
        )
    Console(width=150).print(table)
