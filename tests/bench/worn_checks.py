"""Drawn sheets given to `check` as a user gives them: the PDF, a scan of it, a photo of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image

from audit.geometry import Transform
from audit.pipeline import CheckRequest, check
from audit.records import Audit, Settings
from tests.bench.ezdxf_drawing import BenchSheet
from tests.bench.worn_sheets import Gray, WornSheet, wear

VECTOR, PHOTO = "vector", "photo"
QUARTERS = {0: 0, 90: 3, 270: 1}  # counter-clockwise, that undo a page's /Rotate


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What is handed to `check`: a picture as it is stored, and from pt of the page to its px."""

    pixels: Gray
    from_pt: Transform
    dpi: float | None = None
    rectangle: str = ""


def check_sheet(sheet: BenchSheet, *, how: str, dpi: float, rng: np.random.Generator) -> Audit:
    """Check a sheet by the way of `plan-audit check`; dimensions come back in pt of its page.

    Parameters
    ----------
    sheet : BenchSheet
    how : str
        `VECTOR`, or one of `worn_sheets.WEARS`.
    dpi : float
    rng : numpy.random.Generator

    Returns
    -------
    Audit
    """
    with TemporaryDirectory() as folder:
        if how == VECTOR:
            path = Path(folder) / "sheet.pdf"
            path.write_bytes(sheet.pdf)
            return check(CheckRequest(plans=(path,), settings=Settings())).audit
        given = give(sheet, how=how, dpi=dpi, rng=rng)
        path = Path(folder) / "sheet.png"
        stated = {} if given.dpi is None else {"dpi": (given.dpi, given.dpi)}
        Image.fromarray(given.pixels).save(path, **stated)
        rectangles = (given.rectangle,) if given.rectangle else ()
        request = CheckRequest(plans=(path,), settings=Settings(), rectangles=rectangles)
        return _in_pt(check(request).audit, given.from_pt.inverse())


def give(sheet: BenchSheet, *, how: str, dpi: float, rng: np.random.Generator) -> Given:
    """Make the picture of a sheet: lying as it is read; a photo with the paper's four corners."""
    worn = wear(sheet.pdf, dpi=dpi, how=how, rng=rng, flat=False)
    quarter = QUARTERS[worn.turn]
    from_pt = worn.from_pt.then(_turning(worn.pixels.shape, quarter))
    photo = how == PHOTO
    return Given(
        pixels=np.ascontiguousarray(np.rot90(worn.pixels, quarter)),
        from_pt=from_pt,
        dpi=None if photo else dpi,
        rectangle=_paper(worn, from_pt, quarter) if photo else "",
    )


def _paper(worn: WornSheet, from_pt: Transform, quarter: int) -> str:
    """Spell the corners of a photo's paper as `--rectangle` wants them, from the upper left on."""
    height, width = (round(v * 72 / worn.dpi) for v in worn.pixels.shape)
    corners = [(0, 0), (width, 0), (width, height), (0, height)]
    sides = [width, height, width, height]
    first = [from_pt.apply(corners[(k + quarter) % 4]) for k in range(4)]
    places = " ".join(f"{p.x:.2f},{p.y:.2f}" for p in first)
    wide, high = (sides[(k + quarter) % 4] / 72 for k in range(2))
    return f"{wide:g} x {high:g} in @ 1:{places}"


def _turning(shape: tuple[int, ...], quarter: int) -> Transform:
    """From px of a picture to px of the same turned by quarter turns counter-clockwise."""
    h, w = float(shape[0]), float(shape[1])
    rows = {
        0: ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
        1: ((0.0, 1.0, 0.0), (-1.0, 0.0, w), (0.0, 0.0, 1.0)),
        3: ((0.0, -1.0, h), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    }[quarter]
    return Transform(rows)


def _in_pt(audit: Audit, back: Transform) -> Audit:
    dimensions = tuple(
        replace(d, ends=tuple(replace(e, point=back.apply(e.point)) for e in d.ends))
        for d in audit.dimensions
    )
    return replace(audit, dimensions=dimensions)
