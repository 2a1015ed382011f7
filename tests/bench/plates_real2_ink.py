"""Ink that is not black, for the held-out bought plans: gray or coloured lines, toned faces."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.bench.plates_pen import PX_PER_MM, Ink, Mark, Rng, Ruler, ink_mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Tint(Mark):
    """A mark in some gray, 0 (black) to 255, as a coloured line comes out of a gray scanner."""

    level: int = 0


def ink_tint(page: Ink, mark: Tint, ruler: Ruler, rng: Rng) -> None:
    """Draw a mark in its gray; what is darker already stays."""
    around = np.concatenate([mark.points.min(axis=0) - 2.0, mark.points.max(axis=0) + 2.0])
    left, top, right, low = (int(v * PX_PER_MM) for v in around)
    left, top = max(left, 0), max(top, 0)
    under = page[top : max(low, 0), left : max(right, 0)]
    if not under.size:
        return
    over = np.full_like(under, 255)
    moved = replace(mark, points=mark.points - np.array([left, top]) / PX_PER_MM)
    ink_mark(over, moved, ruler, rng)
    if mark.level:
        over = (255 - (255 - over.astype(np.uint16)) * (255 - mark.level) // 255).astype(np.uint8)
    np.minimum(under, over, out=under)
