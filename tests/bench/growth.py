"""Time and memory of looking at a whole raster, over its pixels: they must grow no faster."""

from __future__ import annotations

import resource
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import NamedTuple

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.dimensions.raster import find_in_picture
from audit.geometry import Transform
from audit.isolation import GrayImage
from audit.pipeline.looking import readings_of, see_picture, text_lines
from audit.pipeline.placing import SnapGround
from audit.pipeline.second_look import look_again
from audit.reading import available_readers
from tests.bench.ezdxf_sheets import DEVELOPMENT, make_sheet
from tests.bench.worn_sheets import Gray, render

DPI = 300
SIZES_IN = ((11.0, 8.5), (17.0, 11.0), (22.0, 17.0), (34.0, 22.0))
GROUND = 245


class Cost(NamedTuple):
    """What one sheet took; `peak_mb` of the whole process, its libraries included."""

    dimensions: int
    seconds: float
    cpu_s: float
    peak_mb: float


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


def look_at(size_in: tuple[float, float], reading: bool) -> Cost:
    """Look at one sheet of a size, in a process of its own."""
    sheet = fill_sheet(*size_in)
    began, cpu = time.perf_counter(), time.process_time()
    image = GrayImage(pixels=sheet, to_frame=Transform.scaling(1.0))
    ground = SnapGround(image, Transform.scaling(1.0), DPI / 25.4)
    seen = see_picture(ground, available_readers() if reading else (), turn=0)
    found = find_in_picture(
        sheet,
        seen.maps,
        text_lines(seen),
        readings_of(seen, unit=None),
        px_per_mm=DPI / 25.4,
        sheet=1,
        upright=seen.upright,
    )
    found_again = look_again(seen, found.dimensions, unit=None)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return Cost(
        len(found_again), time.perf_counter() - began, time.process_time() - cpu, float(peak)
    )


def run(*, full: bool) -> None:
    """Print time and memory over pixels; the smallest sheet is the baseline of the others."""
    table = Table(title=f"A raster of {DPI} dpi: time and memory over pixels")
    for name in (
        "sheet",
        "MP",
        "reading",
        "dimensions",
        "s",
        "s of CPU",
        "CPU s / MP",
        "peak MB",
        "MB / MP",
    ):
        table.add_column(name)
    for size in SIZES_IN if full else SIZES_IN[::3]:
        for reading in (False, True):
            # a process each: the peak of one must not hide that of the next
            with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
                cost = pool.submit(look_at, size, reading).result()
            megapixels = size[0] * size[1] * DPI * DPI / 1e6
            table.add_row(
                f"{size[0]:g} x {size[1]:g} in",
                f"{megapixels:.0f}",
                "yes" if reading else "no",
                str(cost.dimensions),
                f"{cost.seconds:.1f}",
                f"{cost.cpu_s:.1f}",
                f"{cost.cpu_s / megapixels:.2f}",
                f"{cost.peak_mb:.0f}",
                f"{cost.peak_mb / megapixels:.0f}",
            )
    Console(width=150).print(table)
