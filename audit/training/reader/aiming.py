"""How a window of a drawn page becomes a crop of a scan."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from audit.training.reader import clutter
from audit.training.reader.layout import Page

Rng = np.random.Generator


@dataclass(frozen=True, slots=True, eq=False)
class Aim:
    """How a window of a page becomes a crop: map of px, size of the crop, px of it to one of ink."""

    affine: np.ndarray
    size: tuple[int, int]
    scale: float

    def take(self, ink: np.ndarray) -> np.ndarray:
        """Ink of the page as it lies in the crop."""
        affine = self.affine.copy()
        if self.scale < 0.75:
            # Shrink by area first; a warp alone would skip pixels.
            ink = cv2.resize(ink, None, fx=self.scale, fy=self.scale, interpolation=cv2.INTER_AREA)
            affine[:, :2] /= self.scale
        return cv2.warpAffine(ink, affine, self.size, flags=cv2.INTER_LINEAR)


def aim_at(rng: Rng, page: Page, window: clutter.Window, *, cap_px: float) -> Aim:
    """Draw how a window is seen at the scan's resolution: a little turned, sheared, stretched."""
    scale = cap_px / page.cap
    # CAD programs squeeze and widen lettering at will.
    stretch = float(rng.uniform(0.62, 1.3) if rng.random() < 0.2 else np.exp(rng.normal(0, 0.1)))
    x0, y0, x1, y1 = window
    width, height = (x1 - x0) * scale * stretch, (y1 - y0) * scale
    turn = rng.normal(0, 0.012) if rng.random() < 0.75 else rng.normal(0, 0.05)
    # A long line turned far is cut level in practice: never more than a third of its height off.
    turn = float(np.clip(turn, -0.35 * height / width, 0.35 * height / width))
    size = (max(8, round(width)), max(8, round(height + 0.7 * abs(turn) * width)))
    shear = rng.normal(0, 0.02) if rng.random() < 0.7 else rng.normal(0, 0.14)
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    matrix = np.array([[scale * stretch, scale * shear], [0, scale]])
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    matrix = spin @ matrix
    offset = np.array([size[0] / 2, size[1] / 2]) - matrix @ middle
    return Aim(np.column_stack([matrix, offset]), size, scale)
