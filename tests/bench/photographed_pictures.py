"""Pictures of a printed page as people give them: photos of it, and copies saved from the web.

The page is one that a press or a hand made (`plates_scan`, `hand_sheets`), finer than any picture
here. It lies on a bench by itself, or printed in the middle of a larger sheet of usual size.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.bench.plates_pen import XY, Ink, Rng
from tests.sheets.camera import PAPERS_MM, Camera, aim, corners_of, photograph_page

Floats = NDArray[np.float64]

PHONE_PX = (4000, 3000)  # 12 megapixels
MESSAGE_PX = (2000, 1500)  # what is left of it when a message carried it
TILT_DEG = 15.0  # of a photo of one part of a sheet, which people take more from above
CROPPED = 0.5  # of those photos
MOST_TRIES = 4000
WEB_DPI = (90, 130)
WEB_QUALITY = (50, 70)
WEB_LARGER = (1.0, 1.0, 1.5, 2.0)  # times as large as it was saved, by whoever put it there
WEB_STATES = (None, 72.0, 96.0, 300.0)  # dpi that the file states; none is true


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page as a press made it, and how fine.

    Attributes
    ----------
    pixels : uint8 array
    dpi : float
    to_px : callable
        From mm of the drawing to px of `pixels`.
    """

    pixels: Ink
    dpi: float
    to_px: Callable[[XY], XY]

    @property
    def size_mm(self) -> XY:
        """Width and height of the paper."""
        rows, columns = self.pixels.shape
        return columns * 25.4 / self.dpi, rows * 25.4 / self.dpi

    def to_mm(self, at: XY) -> XY:
        """From mm of the drawing to mm of the paper it is printed on."""
        x, y = self.to_px(at)
        return x * 25.4 / self.dpi, y * 25.4 / self.dpi


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """A picture of a page: the file's bytes, and what took it: a camera, or a scanner's dpi."""

    data: bytes
    by: Camera | float

    def to_mm(self, px: Floats) -> Floats:
        """From px of the picture to mm of the paper, both of shape (n, 2)."""
        if isinstance(self.by, Camera):
            return self.by.place(px)
        return px * 25.4 / self.by


def print_out(page: Page, rng: Rng) -> Page:
    """Lay a page in the middle of the smallest usual paper that it fits on."""
    need = page.size_mm
    fitting = [
        (a, b)
        for low, high in PAPERS_MM.values()
        for a, b in ((low, high), (high, low))
        if a >= need[0] and b >= need[1]
    ]
    if not fitting:
        return page
    wide, high = min(fitting, key=lambda size: size[0] * size[1])
    size = round(wide * page.dpi / 25.4), round(high * page.dpi / 25.4)
    rows, columns = page.pixels.shape
    left, top = (size[0] - columns) // 2, (size[1] - rows) // 2
    tone = float(np.percentile(page.pixels, 90))
    sheet = np.clip(rng.normal(tone, 2.0, size[::-1]), 0, 255).astype(np.uint8)
    sheet[top : top + rows, left : left + columns] = page.pixels
    to_px = page.to_px

    def moved(at: XY) -> XY:
        x, y = to_px(at)
        return x + left, y + top

    return Page(pixels=sheet, dpi=page.dpi, to_px=moved)


def scan_flat(page: Page, rng: Rng) -> Shot:
    """Save a page as a scanner does: 300 dpi, which the file tells."""
    return _saved(page, dpi=300.0, states=300.0, quality=int(rng.integers(75, 92)))


def save_for_web(page: Page, rng: Rng) -> Shot:
    """Save a page small, packed hard, often enlarged again, with no true resolution."""
    dpi = float(rng.integers(*WEB_DPI))
    quality = int(rng.integers(*WEB_QUALITY))
    states = WEB_STATES[int(rng.integers(len(WEB_STATES)))]
    larger = float(rng.choice(WEB_LARGER))
    shot = _saved(page, dpi=dpi, states=states, quality=quality)
    if larger == 1.0:
        return shot
    small = Image.open(BytesIO(shot.data))
    size = round(small.width * larger), round(small.height * larger)
    big = small.resize(size, Image.Resampling.BICUBIC)
    return Shot(data=_pack(big, states, quality=85), by=dpi * larger)


def _saved(page: Page, *, dpi: float, states: float | None, quality: int) -> Shot:
    factor = dpi / page.dpi
    rows, columns = page.pixels.shape
    size = round(columns * factor), round(rows * factor)
    small = cv2.resize(page.pixels, size, interpolation=cv2.INTER_AREA)
    return Shot(data=_pack(Image.fromarray(small), states, quality=quality), by=dpi)


def _pack(picture: Image.Image, states: float | None, *, quality: int) -> bytes:
    buffer = BytesIO()
    told = {} if states is None else {"dpi": (states, states)}
    picture.save(buffer, "JPEG", quality=quality, **told)
    return buffer.getvalue()


def photograph_whole(page: Page, rng: Rng, backgrounds: tuple[str, ...]) -> Shot:
    """Photograph a page on a bench, all of it, as a phone does or as a message leaves it."""
    picture = PHONE_PX if rng.random() < 0.6 else MESSAGE_PX
    camera = aim(page.size_mm, picture, rng)
    return _shot(page, camera, picture, rng, backgrounds)


def photograph_part(page: Page, drawn_mm: Floats, rng: Rng, backgrounds: tuple[str, ...]) -> Shot:
    """Photograph a page from nearer: its drawing is all seen, of its edge a part is not.

    Parameters
    ----------
    page : Page
    drawn_mm : array of shape (n, 2)
        Places of the paper that are to be seen.
    rng : Generator
    backgrounds : tuple of str

    Returns
    -------
    Shot
    """
    picture = PHONE_PX if rng.random() < 0.6 else MESSAGE_PX
    for _ in range(MOST_TRIES):
        camera = aim(page.size_mm, picture, rng, tilt=TILT_DEG, fill=(0.8, 1.25), inside=False)
        seen, corners = camera.see(drawn_mm), camera.see(corners_of(page.size_mm))
        room = 0.012 * np.array(picture)
        all_seen = (seen > room).all() and (seen < np.array(picture) - room).all()
        out = ((corners < 0) | (corners > picture)).any(axis=1).sum()
        if all_seen and out:
            shot = _shot(page, camera, picture, rng, backgrounds)
            return _crop(shot, camera, seen, rng) if rng.random() < CROPPED else shot
    raise AssertionError("no pose shows the drawing and not the sheet")


def _crop(shot: Shot, camera: Camera, seen: Floats, rng: Rng) -> Shot:
    """Cut a photo to about its drawing, as people do before they keep it."""
    photo = Image.open(BytesIO(shot.data))
    room = rng.uniform(0.03, 0.12, 4) * max(np.ptp(seen, axis=0))
    left, top = np.maximum(seen.min(axis=0) - room[:2], 0).astype(int)
    right, low = np.minimum(seen.max(axis=0) + room[2:], photo.size).astype(int)
    cut = photo.crop((int(left), int(top), int(right), int(low)))
    shift = np.array([[1, 0, -left], [0, 1, -top], [0, 0, 1.0]])
    centre = camera.centre[0] - left, camera.centre[1] - top
    moved = replace(
        camera, matrix=shift @ camera.matrix, centre=centre, upward=shift @ camera.upward
    )
    return Shot(data=_pack(cut, None, quality=int(rng.integers(75, 93))), by=moved)


def _shot(
    page: Page,
    camera: Camera,
    picture: tuple[int, int],
    rng: Rng,
    backgrounds: tuple[str, ...],
) -> Shot:
    pixels = photograph_page(
        page.pixels, page.size_mm, camera, picture, rng, backgrounds=backgrounds
    )
    data = _pack(Image.fromarray(pixels), None, quality=int(rng.integers(60, 93)))
    return Shot(data=data, by=camera)
