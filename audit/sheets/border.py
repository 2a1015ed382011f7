"""The edge of the paper, or the border drawn on it, found by itself on a photo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.sheets.plumb import LensFit, fit_lens
from audit.sheets.quads import Quad, cut_regions, find_lines, judge_quads, make_quads
from audit.sheets.sides import MOST_PX, Side, SideKind, trace_side

Array = NDArray[np.float64]

WORK_PX = 640  # long side of the picture in which figures are looked for
TRIED = 6  # best figures that are followed through the full picture
REACH = 12.0  # px of the small picture a side may lie from where it was seen there
PAPER_STEP = 5.0  # gray levels; paper is brighter than what it lies on by more
STEP_HALF = 15.0  # gray levels; a step so large is half as good as can be
LEAST_SUPPORT = 0.3
SURE_SHARE = 0.75  # of each side must be seen for a border to be used without being asked
SURE_RMS = 1.0  # px of the small picture
RIVAL = 0.88  # of the best figure's worth; another one as good makes it doubtful
APART = 0.02  # of the small picture's diagonal; corners nearer are those of the same figure
INSIDE_PX = 0.5  # of the picture; corners cut off by its rim are no corners


class BorderKind(StrEnum):
    """What the four sides are."""

    PAPER = "the edge of the paper"
    DRAWN = "the border drawn on the sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Border:
    """A rectangle found on a photo.

    Attributes
    ----------
    kind : BorderKind
    corners : tuple of four Points
        Clockwise as seen from above the picture, the first nearest its top left; px.
    sigma : float
        Standard uncertainty of a corner along x and y, px.
    sides : tuple of four arrays of shape (n, 2)
        Places on each side, from its corner on; px.
    lens : LensFit
        What the four sides say of the lens.
    share : float
        Of the least seen side, the share that was seen.
    doubt : str
        Why it may not be the rectangle that is wanted; empty when sure.
    """

    kind: BorderKind
    corners: tuple[Point, Point, Point, Point]
    sigma: float
    sides: tuple[Array, Array, Array, Array]
    lens: LensFit
    share: float
    doubt: str = ""

    @property
    def sure(self) -> bool:
        """Whether it may be used without asking."""
        return not self.doubt


@dataclass(frozen=True, slots=True, kw_only=True)
class NoBorder:
    """Why no rectangle was found."""

    reason: str


def find_border(gray: NDArray[np.uint8]) -> Border | NoBorder:
    """Find the paper, or the border drawn on it, on a photo.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)
        The whole photo.

    Returns
    -------
    Border or NoBorder
        With its doubt; whether to use it is for the caller to decide.
    """
    if max(gray.shape) > MOST_PX:
        return NoBorder(reason="the picture is too long to be a photo")
    small, per_px = _shrink(gray)
    quads = _rank(small)
    if not quads:
        return NoBorder(reason="no four sides of a sheet are seen")
    followed = []
    for quad in quads[:TRIED]:
        border = _follow(gray, quad, per_px)
        if border is not None:
            followed.append((_worth(quad) * border.share, border))
    if not followed:
        return NoBorder(reason="what looked like a sheet has no clear sides")
    worth, best = max(followed, key=lambda pair: pair[0])
    rivals = [b for w, b in followed if w > RIVAL * worth and not _is_same(b, best, gray.shape)]
    return _with_doubt(best, rivals, per_px)


def _shrink(gray: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], float]:
    """Return the small picture, and how many px of the photo one px of it is."""
    factor = min(1.0, WORK_PX / max(gray.shape))
    rows, columns = gray.shape
    size = (max(1, round(columns * factor)), max(1, round(rows * factor)))
    small = cv2.resize(gray, size, interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8), 1 / factor


def _rank(small: NDArray[np.uint8]) -> list[Quad]:
    """Figures that may be a sheet, the best first; of nearly the same ones the best."""
    corners = np.concatenate([make_quads(find_lines(small), small.shape), cut_regions(small)])
    quads = [q for q in judge_quads(small, corners) if q.support >= LEAST_SUPPORT]
    kept: list[Quad] = []
    near = APART * float(np.hypot(*small.shape))
    for quad in sorted(quads, key=_worth, reverse=True):
        if len(kept) >= TRIED:
            break
        if not any(_off(quad.corners, k.corners) < near for k in kept):
            kept.append(quad)
    return kept


def _worth(quad: Quad) -> float:
    step = max(quad.step, 0.0)
    return float(quad.support * quad.area**0.25 * (0.35 + 0.65 * step / (step + STEP_HALF)))


def _off(first: Array, second: Array) -> float:
    """Largest distance between corners, whichever is called the first."""
    return min(float(np.hypot(*(np.roll(first, k, axis=0) - second).T).max()) for k in range(4))


def _is_same(first: Border, second: Border, shape: tuple[int, ...]) -> bool:
    near = APART * float(np.hypot(shape[0], shape[1]))
    return _off(np.array(first.corners), np.array(second.corners)) < near


def _follow(gray: NDArray[np.uint8], quad: Quad, per_px: float) -> Border | None:
    """Follow the sides of a figure in the full picture."""
    corners = quad.corners * per_px
    kind = BorderKind.PAPER if quad.step > PAPER_STEP else BorderKind.DRAWN
    how = SideKind.EDGE if kind is BorderKind.PAPER else SideKind.LINE
    sides = []
    for k in range(4):
        a, b = (Point(float(x), float(y)) for x, y in (corners[k], corners[(k + 1) % 4]))
        side = trace_side(gray, a, b, kind=how, reach=REACH * per_px)
        if side is None:
            return None
        sides.append(side)
    return _border(gray.shape, kind, sides)


def _border(shape: tuple[int, ...], kind: BorderKind, sides: Sequence[Side]) -> Border | None:
    rows, columns = shape[:2]
    box = Box(0.0, 0.0, float(columns), float(rows))
    lens = fit_lens([side.points for side in sides], box)
    corners, sigma = meet_sides([side.points for side in sides], lens)
    if not all(box.grown(INSIDE_PX).contains(c) for c in corners):
        return None
    first = min(range(4), key=lambda k: corners[k].x + corners[k].y)
    order = [(first + k) % 4 for k in range(4)]
    a, b, c, d = (corners[k] for k in order)
    s, t, u, v = (sides[k].points for k in order)
    return Border(
        kind=kind,
        corners=(a, b, c, d),
        sigma=sigma,
        sides=(s, t, u, v),
        lens=lens,
        share=min(side.share for side in sides),
    )


def meet_sides(sides: Sequence[Array], lens: LensFit) -> tuple[list[Point], float]:
    """Find the corners in which four sides meet.

    Parameters
    ----------
    sides : sequence of four arrays of shape (n, 2)
        In order around the figure; the first runs from the first corner to the second.
    lens : LensFit

    Returns
    -------
    corners : list of four Points
        As the picture shows them, px.
    sigma : float
        Standard uncertainty of a corner along x and y, px: scatter of the places about the sides,
        of which the few independent bows count, not the many places.
    """
    flat = [side if lens.lens is None else lens.lens.straighten(side) for side in sides]
    lines, scatter = [], []
    for side in flat:
        middle = side.mean(axis=0)
        _, _, way = np.linalg.svd(side - middle, full_matrices=False)
        normal = np.array([-way[0][1], way[0][0]])
        lines.append((normal, float(normal @ middle)))
        scatter.append(float(np.sqrt(np.mean(((side - middle) @ normal) ** 2))))
    corners = np.array([_meet(lines[k - 1], lines[k]) for k in range(4)])
    if lens.lens is not None:
        corners = lens.lens.bend(corners)
    return [Point(float(x), float(y)) for x, y in corners], max(scatter)


def _meet(first: tuple[Array, float], second: tuple[Array, float]) -> Array:
    return np.linalg.solve(np.array([first[0], second[0]]), np.array([first[1], second[1]]))


def _with_doubt(border: Border, rivals: Sequence[Border], per_px: float) -> Border:
    doubts = []
    if border.kind is BorderKind.DRAWN:
        doubts.append("it is a drawn rectangle, whose size nobody has said")
    if border.share < SURE_SHARE:
        doubts.append(f"only {border.share:.0%} of one side is seen")
    if border.sigma > SURE_RMS * per_px:
        doubts.append(f"its sides wander by {border.sigma:.1f} px")
    if rivals:
        doubts.append("another rectangle looks as good")
    return Border(
        kind=border.kind,
        corners=border.corners,
        sigma=border.sigma,
        sides=border.sides,
        lens=border.lens,
        share=border.share,
        doubt="; ".join(doubts),
    )
