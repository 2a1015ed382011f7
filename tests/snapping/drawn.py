"""Drawings with exact truth, rendered by MuPDF (an outside renderer) at a chosen resolution."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import pymupdf
from numpy.typing import NDArray

from audit.geometry import Point


@dataclass(frozen=True)
class Rendered:
    """A picture, and the scale from pt to px."""

    gray: NDArray[np.uint8]
    px_per_pt: float

    def px(self, x: float, y: float) -> Point:
        return Point(x * self.px_per_pt, y * self.px_per_pt)


def render(page: pymupdf.Page, dpi: int) -> Rendered:
    pixmap = page.get_pixmap(dpi=dpi, colorspace=pymupdf.csGRAY, alpha=False)
    gray = np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.h, pixmap.w)
    return Rendered(gray.copy(), pixmap.w / page.rect.width)


def degrade(
    gray: NDArray[np.uint8], rng: np.random.Generator, *, noise: float, blur: float
) -> NDArray[np.uint8]:
    picture = cv2.GaussianBlur(gray.astype(np.float32), (0, 0), blur) if blur else gray
    return np.clip(picture + rng.normal(0, noise, gray.shape), 0, 255).astype(np.uint8)


def new_page(width: float = 288.0, height: float = 216.0) -> pymupdf.Page:
    """A page whose size is a whole number of px at 150, 200 and 300 dpi (multiples of .72 pt)."""
    return pymupdf.open().new_page(width=width, height=height)
