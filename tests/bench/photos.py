"""Sheets found on photos, and how well lengths on them are known afterwards.

Photos are made through a camera model (`tests.sheets.camera`): pose, focal length, distortion,
light, shadow, blur, noise, JPEG, textured backgrounds; development and held-out backgrounds and
poses are apart. Baseline in the same run: Canny and the largest four-sided contour; for lengths,
its own four corners alone, without lens.

Second table: bent paper (bulges, waves, lifted edges up to so many mm), its sides traced without
any picture. Bends are not corrected; what counts is that the ± holds, and that they are told.
Baseline: the same sheets with the ± that the corners and the lens alone would give.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from fractions import Fraction

import cv2
import numpy as np
from rich.console import Console
from rich.table import Table

from audit.geometry import Point, Transform
from audit.lengths import Length, Unit
from audit.records import DimensionKind, End, EndKind, Frame, PageKind, Scale, ScaleFrom, Sheet
from audit.sheets.border import Border, NoBorder, find_border
from audit.sheets.photo import flatten_by_border
from audit.uncertainty import measure
from tests.sheets.bent import BentSheet, bend_sheet
from tests.sheets.camera import DEVELOPMENT, HELD_OUT, Photo, photograph

PICTURE = (1200, 900)
PHOTOS = {"development": (DEVELOPMENT, 1000), "held out": (HELD_OUT, 500_000)}
FOUND_WITHIN = 0.004  # of the picture's diagonal, every corner
LENGTHS = 40  # measured on each photo
END_SIGMA_PX = 0.3  # how well an end of a length is snapped
COLUMNS = (
    *("photos", "found", "sure, and wrong", "Canny + largest quad", "corner px, 50 % / 95 %"),
    *("lengths", "in U", "error mm, rms", "U mm, median", "s of CPU"),
)
MOST_MM = (0.0, 3.0, 6.0, 12.0, 25.0)
BENT_SEEDS = {"development": 3000, "held out": 900_000}
BENT_COLUMNS = (
    *("bent paper", "by up to, mm", "sheets", "in U", "in U of corners and lens alone"),
    *("error mm, rms", "U mm, median", "told"),
)
EXACT = Scale(x=1.0, y=1.0, covariance=((0.0,) * 3,) * 3, source=ScaleFrom.KNOWN)


@dataclass(slots=True)
class Tally:
    """What became of the photos of one kind."""

    photos: int = 0
    found: int = 0
    sure: int = 0
    sure_wrong: int = 0
    plain: int = 0
    corners: list[float] = field(default_factory=list)
    off: list[float] = field(default_factory=list)
    limits: list[float] = field(default_factory=list)
    spent: float = 0.0


def run(*, full: bool) -> None:
    """Print the table; `full` takes 300 photos of each kind."""
    count = 300 if full else 24
    table = Table(title=f"Sheets on photos of {PICTURE[0]} × {PICTURE[1]} px, {count} of each kind")
    for column in COLUMNS:
        table.add_column(column, justify="right")
    for name, (backgrounds, seed) in PHOTOS.items():
        tally = Tally()
        for k in range(count):
            rng = np.random.default_rng(seed + k)
            count_photo(tally, photograph(rng, backgrounds=backgrounds, picture=PICTURE), rng)
        table.add_row(name, *_cells(tally))
    Console(width=150).print(table)
    _bent(300 if full else 24)


def _bent(count: int) -> None:
    table = Table(title=f"Bent paper, {count} sheets of each kind, {LENGTHS} lengths on each")
    for column in BENT_COLUMNS:
        table.add_column(column, justify="right")
    for name, seed in BENT_SEEDS.items():
        pooled: list[BentSheet] = []
        for most in MOST_MM:
            made = [bend_sheet(seed + k, most_mm=most, lengths=LENGTHS) for k in range(count)]
            seen = [sheet for sheet in made if sheet is not None]
            table.add_row(name, f"{most:g}", *_bent_cells(seen))
            pooled += seen
        table.add_row(name, "all", *_bent_cells(pooled))
    Console(width=150).print(table)


def _bent_cells(sheets: list[BentSheet]) -> list[str]:
    off = np.concatenate([s.errors for s in sheets])
    limits = np.concatenate([s.limits for s in sheets])
    plain = np.concatenate([s.plain_limits for s in sheets])
    return [
        str(len(sheets)),
        f"{np.mean(np.abs(off) <= limits):.1%}",
        f"{np.mean(np.abs(off) <= plain):.1%}",
        f"{np.sqrt(np.mean(off**2)):.2f}",
        f"{np.median(limits):.2f}",
        f"{np.mean([s.told for s in sheets]):.0%}",
    ]


def count_photo(tally: Tally, photo: Photo, rng: np.random.Generator) -> None:
    """Find the sheet of one photo and measure lengths on it."""
    tally.photos += 1
    begun = time.process_time()
    border = find_border(photo.pixels)
    tally.spent += time.process_time() - begun
    limit = FOUND_WITHIN * float(np.hypot(*PICTURE))
    plain = find_plainly(photo.pixels)
    tally.plain += plain is not None and corners_off(plain, photo.corners_px) <= limit
    if isinstance(border, NoBorder):
        return
    off = corners_off(np.array(border.corners), photo.corners_px)
    tally.sure += border.sure
    if off > limit:
        tally.sure_wrong += border.sure
        return
    tally.found += 1
    tally.corners.append(off)
    if border.sure:
        errors = measure_lengths(photo, border, rng)
        tally.off += [e for e, _ in errors]
        tally.limits += [u for _, u in errors]


def measure_lengths(
    photo: Photo, border: Border, rng: np.random.Generator
) -> list[tuple[float, float]]:
    """Errors of lengths between places of the sheet, and their U, mm."""
    sheet = flatten_by_border(sheet_of(photo), border, *border_size(photo, border)).sheet
    made = []
    for _ in range(LENGTHS):
        mm = rng.uniform(0.06, 0.94, (2, 2)) * photo.size_mm
        px = photo.camera.see(mm) + rng.normal(0, END_SIGMA_PX, (2, 2))
        ends = tuple(
            End(point=Point(*map(float, p)), kind=EndKind.EXTENSION, sigma=END_SIGMA_PX) for p in px
        )
        got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=EXACT)
        made.append((got.value - float(np.hypot(*(mm[1] - mm[0]))), got.expanded))
    return made


def border_size(photo: Photo, border: Border) -> tuple[Length, Length]:
    """Nominal width and height of the sheet, as the found corners name its sides."""
    first = np.array(border.corners[0])
    nearest = int(np.argmin(np.hypot(*(photo.corners_px - first).T)))
    wide, high = (Length(Fraction(round(10 * v), 10), Unit.MM) for v in photo.nominal_mm)
    return (wide, high) if nearest % 2 == 0 else (high, wide)


def sheet_of(photo: Photo) -> Sheet:
    """The photo as a sheet of which nothing is known."""
    rows, columns = photo.pixels.shape
    return Sheet(
        id=1,
        name="photo.jpg",
        source="photo.jpg",
        digest="0" * 64,
        page=1,
        frame=Frame.PX,
        kind=PageKind.SCAN,
        width=float(columns),
        height=float(rows),
        to_paper=Transform.scaling(25.4 / 200),
        paper_known=False,
    )


def corners_off(corners: np.ndarray, true: np.ndarray) -> float:
    """Largest distance of a corner from the true one, whichever is called the first."""
    ways = [np.roll(way, k, axis=0) for way in (true, true[::-1]) for k in range(4)]
    return min(float(np.hypot(*(corners - way).T).max()) for way in ways)


def find_plainly(gray: np.ndarray) -> np.ndarray | None:
    """The baseline: Canny, closed, the largest contour that simplifies to four corners."""
    edges = cv2.Canny(cv2.GaussianBlur(gray, (5, 5), 0), 50, 150)
    closed = cv2.morphologyEx(edges, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
    outlines = cv2.findContours(closed, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)[0]
    quads = [
        quad.reshape(4, 2) + 0.5
        for outline in outlines
        if len(quad := cv2.approxPolyDP(outline, 0.02 * cv2.arcLength(outline, True), True)) == 4
        and cv2.isContourConvex(quad)
    ]
    return max(quads, key=lambda q: cv2.contourArea(q.astype(np.float32)), default=None)


def _cells(tally: Tally) -> list[str]:
    off, limits = np.array(tally.off), np.array(tally.limits)
    return [
        f"{tally.found / tally.photos:.1%}",
        f"{tally.sure} / {tally.sure_wrong}",
        f"{tally.plain / tally.photos:.1%}",
        f"{np.percentile(tally.corners, 50):.2f} / {np.percentile(tally.corners, 95):.2f}",
        str(len(off)),
        f"{np.mean(np.abs(off) <= limits):.1%}",
        f"{np.sqrt(np.mean(off**2)):.3f}",
        f"{np.median(limits):.3f}",
        f"{tally.spent / tally.photos:.2f}",
    ]
