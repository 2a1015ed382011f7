"""Sheets of bent paper seen through the camera model, their sides traced without a picture."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from audit.errors import BadPlace
from audit.geometry import Box, Point, Transform
from audit.lengths import Length, Unit
from audit.records import (
    DimensionKind,
    End,
    EndKind,
    Frame,
    PageKind,
    Scale,
    ScaleFrom,
    Sheet,
)
from audit.sheets.border import Border, BorderKind, meet_sides
from audit.sheets.photo import BENT, UNSEEN, Flattened, flatten_by_border
from audit.sheets.plumb import fit_lens
from audit.uncertainty import measure
from tests.sheets.camera import PAPERS_MM, Curl, aim, corners_of

PICTURE = (1600, 1200)
TRACE_PX = 0.15  # how well a place on a side is found
END_PX = 0.3  # how well an end of a length is snapped
EXACT = Scale(x=1.0, y=1.0, covariance=((0.0,) * 3,) * 3, source=ScaleFrom.KNOWN)
PHOTO = Sheet(
    id=1, name="photo.jpg", source="photo.jpg", digest="0" * 64, page=1, frame=Frame.PX,
    kind=PageKind.SCAN, width=float(PICTURE[0]), height=float(PICTURE[1]),
    to_paper=Transform.scaling(25.4 / 200), paper_known=False,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BentSheet:
    """Errors of lengths on one sheet, their U, and U without what the bows add; mm."""

    errors: np.ndarray
    limits: np.ndarray
    plain_limits: np.ndarray
    told: bool


def bend_sheet(seed: int, *, most_mm: float, lengths: int) -> BentSheet | None:
    """Bend a sheet, make it flat by its sides, measure on it; `None`: it is not all seen."""
    rng = np.random.default_rng(seed)
    size = PAPERS_MM[str(rng.choice(list(PAPERS_MM)))]
    camera = aim(size, PICTURE, rng)
    curl = Curl.draw(size, rng, most_mm=most_mm)
    done = _flatten(_sides(camera, curl, size, rng), size)
    if done is None:
        return None
    bare = done.lens.after / float(np.hypot(done.lens.after, BENT * done.lens.unexplained))
    plain = replace(done.sheet, scatter=UNSEEN * done.lens.after, u_paper=bare * done.sheet.u_paper)
    errors, limits, plain_limits = [], [], []
    for _ in range(lengths):
        mm = rng.uniform(0.06, 0.94, (2, 2)) * size
        px = curl.see(camera, mm) + rng.normal(0, END_PX, (2, 2))
        ends = tuple(
            End(point=Point(*map(float, p)), kind=EndKind.EXTENSION, sigma=END_PX) for p in px
        )
        true = float(np.hypot(*(mm[1] - mm[0])))
        for sheet, kept in ((done.sheet, limits), (plain, plain_limits)):
            got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=EXACT)
            kept.append(got.expanded)
        errors.append(got.value - true)
    return BentSheet(np.array(errors), np.array(limits), np.array(plain_limits), done.is_curled)


def _sides(camera, curl, size, rng) -> list[np.ndarray]:
    corners = corners_of(size)
    along = np.linspace(0.02, 0.98, 160)[:, None]
    return [
        curl.see(camera, a + along * (b - a)) + rng.normal(0, TRACE_PX, (160, 2))
        for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)
    ]


def _flatten(sides: list[np.ndarray], size: tuple[float, float]) -> Flattened | None:
    lens = fit_lens(sides, Box(0.0, 0.0, *map(float, PICTURE)))
    corners, sigma = meet_sides(sides, lens)
    if not all(PHOTO.box.contains(c) for c in corners):
        return None
    border = Border(
        kind=BorderKind.PAPER, corners=tuple(corners), sigma=sigma, sides=tuple(sides),
        lens=lens, share=1.0,
    )  # fmt: skip
    wide, high = (Length(round(10 * v), Unit.MM) for v in size)
    try:
        return flatten_by_border(PHOTO, border, _tenth(wide), _tenth(high))
    except BadPlace:
        return None


def _tenth(length: Length) -> Length:
    return Length(length.value / 10, length.unit)
