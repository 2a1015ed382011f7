"""Ruling pen and engraver's strokes: what a view is made of, in mm, and how it gets onto a page.

A view is a list of marks in mm of its own; y points down. Marks are drawn as filled outlines at
`PX_PER_MM`, so that a line may have any weight.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ink = NDArray[np.uint8]
XY = tuple[float, float]
Rng = np.random.Generator

PX_PER_MM = 32.0
SHIFT = 4  # bits of a pixel's fraction
STEP_MM = 0.7  # between two points of a stroke
SPECK_MM = 0.6  # no dash so short is left at a dashed line's end
CORNER_COS = 0.9  # a path that turns more than this is drawn as two strokes


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One piece of ink: a stroke of `width` mm, or with no width a filled outline.

    `blank`: the outline is left white, whatever is drawn there.
    """

    points: Floats
    width: float = 0.0
    dashes: tuple[float, ...] = ()
    blank: bool = False

    def moved(self, by: XY) -> Mark:
        """The same mark somewhere else."""
        return replace(self, points=self.points + np.array(by))


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettered:
    """A picture of letters (ink 255) whose middle lies at `at`, turned by `turn` degrees."""

    mask: Ink
    at: XY
    turn: float = 0.0

    def moved(self, by: XY) -> Lettered:
        """The same letters somewhere else."""
        return replace(self, at=(self.at[0] + by[0], self.at[1] + by[1]))

    @property
    def size(self) -> XY:
        """Width and height along the letters, mm."""
        return self.mask.shape[1] / PX_PER_MM, self.mask.shape[0] / PX_PER_MM

    def corners(self) -> Floats:
        """Corners of the box about it, mm."""
        w, h = self.size
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        square = np.array([(-w, -h), (w, -h), (w, h), (-w, h)]) / 2
        return np.asarray(square @ np.array([[c, -s], [s, c]]) + np.array(self.at))


@dataclass(frozen=True, slots=True)
class Ruler:
    """How steadily lines are drawn: waver in mm, how much a stroke's weight varies."""

    waver: float
    swell: float


def arc_points(centre: XY, radius: float, start: float, stop: float) -> Floats:
    """Points along an arc, degrees, anticlockwise as seen with y down turned up."""
    count = max(8, int(abs(stop - start) * radius / 40))
    turn = np.radians(np.linspace(start, stop, count))
    return np.stack([centre[0] + radius * np.cos(turn), centre[1] - radius * np.sin(turn)], axis=1)


def walk(points: Floats) -> tuple[Floats, Floats]:
    """Points evenly along a path, and how far along each lies."""
    legs = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(legs)])
    count = max(2, int(along[-1] / STEP_MM) + 1)
    at = np.linspace(0.0, along[-1], count)
    return np.stack([np.interp(at, along, points[:, k]) for k in (0, 1)], axis=1), at


def cut_dashes(points: Floats, dashes: Sequence[float], rng: Rng) -> Iterator[Floats]:
    """Parts of a path that a dashed line draws; `dashes` are drawn, left out, drawn ... mm."""
    legs = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(legs)])
    at, k = 0.0, 0
    while at < along[-1]:
        step = dashes[k % len(dashes)] * float(rng.uniform(0.85, 1.15))
        stop = min(at + step, along[-1])
        if k % 2 == 0 and (stop - at > SPECK_MM or k == 0):
            inner = along[(along > at) & (along < stop)]
            places = np.concatenate([[at], inner, [stop]])
            yield np.stack([np.interp(places, along, points[:, j]) for j in (0, 1)], axis=1)
        at, k = stop, k + 1


def split_at_corners(points: Floats) -> Iterator[Floats]:
    """Parts of a path between its sharp corners."""
    first = 0
    for k in range(1, len(points) - 1):
        a, b = points[k] - points[k - 1], points[k + 1] - points[k]
        if float(a @ b) < CORNER_COS * math.hypot(*a) * math.hypot(*b):
            yield points[first : k + 1]
            first = k
    yield points[first:]


def outline(points: Floats, width: float, ruler: Ruler, rng: Rng) -> Floats:
    """The filled outline of one stroke without corners."""
    path, at = walk(points)
    way = np.gradient(path, axis=0)
    way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    across = np.stack([-way[:, 1], way[:, 0]], axis=1)
    count = max(3, int(at[-1] / 9.0) + 3)
    knots = np.linspace(0.0, max(at[-1], 1e-9), count)
    off = np.interp(at, knots, rng.normal(0, ruler.waver, count))
    off *= np.clip(np.minimum(at, at[-1] - at) / 3.0, 0.0, 1.0)  # ends stay where they belong
    half = width / 2 * (1 + np.interp(at, knots, rng.normal(0, ruler.swell, count)))
    path = path + off[:, None] * across
    cap = width * 0.35
    path[0] -= cap * way[0]
    path[-1] += cap * way[-1]
    left, right = path + half[:, None] * across, path - half[:, None] * across
    return np.concatenate([left, right[::-1]])


def ink_mark(page: Ink, mark: Mark, ruler: Ruler, rng: Rng) -> None:
    """Draw one mark."""
    if not mark.width:
        _fill(page, mark.points, level=255 if mark.blank else 0)
        return
    parts = cut_dashes(mark.points, mark.dashes, rng) if mark.dashes else [mark.points]
    for part in parts:
        for piece in split_at_corners(part):
            if len(piece) > 1 and np.hypot(*np.ptp(piece, axis=0)) > 1e-6:
                _fill(page, outline(piece, mark.width, ruler, rng))


def _fill(page: Ink, points: Floats, *, level: int = 0) -> None:
    at = np.round((points * PX_PER_MM - 0.5) * (1 << SHIFT)).astype(np.int32)
    cv2.fillPoly(page, [at], level, lineType=cv2.LINE_AA, shift=SHIFT)


def ink_letters(page: Ink, letters: Lettered) -> None:
    """Press letters onto the page."""
    h, w = letters.mask.shape
    lean = cv2.getRotationMatrix2D((w / 2, h / 2), letters.turn, 1.0)
    side = math.ceil(math.hypot(w, h)) + 4
    x, y = (v * PX_PER_MM for v in letters.at)
    left, top = round(x - side / 2), round(y - side / 2)
    lean[:, 2] += (x - left - w / 2, y - top - h / 2)
    turned = cv2.warpAffine(letters.mask, lean, (side, side), flags=cv2.INTER_LINEAR)
    a, b = max(left, 0), max(top, 0)
    c, d = min(left + side, page.shape[1]), min(top + side, page.shape[0])
    if c > a and d > b:
        under = page[b:d, a:c]
        np.minimum(under, 255 - turned[b - top : d - top, a - left : c - left], out=under)


def _across(u: Floats) -> Floats:
    return np.array([-u[1], u[0]])


Head = Callable[[Floats, Floats, float, Rng], list[Mark]]


def sliver(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A long thin filled head with a hollow back."""
    n, w = _across(u), size * float(rng.uniform(0.13, 0.2))
    back = tip - size * u
    return [Mark(points=np.stack([tip, back + w * n, tip - 0.8 * size * u, back - w * n]))]


def vee(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two short pen strokes."""
    n, w = _across(u), size * float(rng.uniform(0.2, 0.32))
    return [
        Mark(points=np.stack([tip, tip - size * u + side * w * n]), width=0.2) for side in (-1, 1)
    ]


def quill(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two strokes that curve outwards like a split quill, heavy at the tip."""
    n, w = _across(u), size * float(rng.uniform(0.25, 0.36))
    marks = []
    for side in (-1, 1):
        t = np.linspace(0, 1, 7)[:, None]
        path = tip - size * t * u + side * w * t**2.2 * n
        marks.append(Mark(points=path, width=float(rng.uniform(0.16, 0.24))))
    return marks


def wedge(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A small filled triangle, one side fuller than the other."""
    n, back = _across(u), tip - 0.8 * size * u
    w = size * rng.uniform(0.16, 0.27, 2)
    return [Mark(points=np.stack([tip, back + w[0] * n, back - w[1] * n]))]


def feather(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A long vee nearly closed, made in one stroke that turns at the tip."""
    n, w = _across(u), size * float(rng.uniform(0.12, 0.2))
    ends = [tip - 1.25 * size * u + side * w * n for side in (-1, 1)]
    return [Mark(points=np.stack([ends[0], tip, ends[1]]), width=float(rng.uniform(0.15, 0.22)))]


def barb(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A small filled head with hollow sides, as a graver cuts it."""
    n, w = _across(u), size * float(rng.uniform(0.22, 0.32))
    t = np.linspace(0.0, 1.0, 6)[:, None]
    sides = [tip - 0.75 * size * t * u + side * w * t**1.7 * n for side in (1, -1)]
    back = tip - 0.5 * size * u
    return [Mark(points=np.concatenate([sides[0], back[None], sides[1][::-1]]))]


def half(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """One pen stroke on one side of the line only."""
    w = size * float(rng.uniform(0.28, 0.4))
    side = 1.0 if rng.random() < 0.8 else -1.0
    end = tip - 0.9 * size * u + side * w * _across(u)
    return [Mark(points=np.stack([tip, end]), width=float(rng.uniform(0.16, 0.22)))]


def spread(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two short strokes far apart, of unequal length."""
    n, marks = _across(u), []
    for side in (-1, 1):
        long, w = size * float(rng.uniform(0.6, 0.95)), size * float(rng.uniform(0.3, 0.42))
        marks.append(Mark(points=np.stack([tip, tip - long * u + side * w * n]), width=0.17))
    return marks


def harpoon(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A filled head on one side of the line only, its side hollow."""
    w = size * float(rng.uniform(0.3, 0.42)) * (1.0 if rng.random() < 0.8 else -1.0)
    t = np.linspace(0.0, 1.0, 6)[:, None]
    side = tip - 0.9 * size * t * u + w * t**1.6 * _across(u)
    return [Mark(points=np.concatenate([side, (tip - 0.6 * size * u)[None]]))]


def hollow(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A narrow head drawn in outline."""
    n, w = _across(u), size * float(rng.uniform(0.16, 0.24))
    back = tip - size * u
    around = np.stack([tip, back + w * n, back - w * n, tip])
    return [Mark(points=around, width=float(rng.uniform(0.13, 0.18)))]


def nib(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """One blot of a pen pressed down: a drop that narrows backwards from near its tip."""
    n, w = _across(u), size * float(rng.uniform(0.14, 0.2))
    t = np.linspace(0.0, 1.0, 9)[:, None]
    wide = w * np.sqrt(t) * (1.0 - t) * 2.6
    sides = [tip - size * t * u + side * wide * n for side in (1, -1)]
    return [Mark(points=np.concatenate([sides[0], sides[1][::-1]]))]


HEADS: dict[str, Head] = {
    "sliver": sliver,
    "vee": vee,
    "quill": quill,
    "wedge": wedge,
    "feather": feather,
    "barb": barb,
    "half": half,
    "spread": spread,
    "harpoon": harpoon,
    "hollow": hollow,
    "nib": nib,
}
