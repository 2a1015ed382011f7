"""A piece of a given size laid on a view: its outline, and how far it reaches over what is drawn.

Edges of a rectangle are counted clockwise from the top one; a circle is looked at in the same four
directions. *Over* is positive where the piece covers the drawn line, negative where it ends before.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.errors import BadUsage
from audit.geometry import Point
from audit.lengths import Unit
from audit.pipeline.placing import SnapGround
from audit.records import (
    DimensionKind,
    End,
    EndKind,
    LaidPiece,
    PieceShape,
    Scale,
    Sheet,
    View,
)
from audit.snapping.profile import darkness, sample_profiles
from audit.uncertainty import measure, real_matrix

Array = NDArray[np.float64]

SIDES = ("top", "right", "bottom", "left")
SAMPLES = 33  # profiles along an edge
INNER = 0.86  # share of an edge that is sampled: at its ends other edges begin
ARC_DEG = 12.0  # half of the arc of a circle that is sampled for one direction
REACH_SHARE = 0.35  # of the smaller side: how far from an edge its line is looked for
REACH_PAPER_MM = 12.0  # and no further than this on the paper
LEAST_REACH_PX = 6.0
LEAST_SHARE = 0.45  # of the profiles must show one line
SAME_LINE_PX = 1.6  # middles of one line scatter less about it
CIRCLE_POINTS = 72
SIGMA_FLOOR_PX = 0.03  # as for strokes


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidEdge:
    """One edge of a laid piece against the line that is drawn there.

    Attributes
    ----------
    side : str
        As seen: top, right, bottom or left, whatever the piece is turned by.
    at : Point
        Middle of the edge, sheet frame.
    line : Point or None
        The place on the drawn line straight off that middle; `None` where none is seen near.
    over : float or None
        Real mm by which the piece reaches over the line.
    expanded : float or None
        U of it, k = 2, real mm.
    across_fold : bool
        A fold of unknown step parts its line from the middle of the piece: nothing is told of it.
    """

    side: str
    at: Point
    line: Point | None
    over: float | None
    expanded: float | None
    across_fold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A laid piece as it is drawn: outline in the sheet's frame, and its edges."""

    outline: tuple[Point, ...]
    edges: tuple[LaidEdge, ...]


def lay_piece(ground: SnapGround, piece: LaidPiece, *, sheet: Sheet, view: View) -> Laid:
    """Lay a piece of a given size on a view.

    Parameters
    ----------
    ground : SnapGround
        Of the sheet.
    piece : LaidPiece
    sheet : Sheet
        Its folds measured.
    view : View
        With a scale.

    Returns
    -------
    Laid

    Raises
    ------
    BadUsage
        If the view has no scale, or the piece has no size.
    """
    scale = view.scale
    if not isinstance(scale, Scale):
        problem = f"this view has no scale ({scale.reason})"
        raise BadUsage(problem, advice=scale.advice)
    half = _half_sides(piece)
    frame = _Frame.of(piece, sheet, scale)
    laying = _Laying(ground, frame, half, piece.shape is PieceShape.CIRCLE)
    edges = tuple(_find_edge(laying, view, k) for k in range(4))
    quarter = round(piece.angle / 90) % 4
    named = (replace(e, side=SIDES[(k + quarter) % 4]) for k, e in enumerate(edges))
    ordered = sorted(named, key=lambda e: SIDES.index(e.side))
    return Laid(outline=outline_piece(piece, sheet=sheet, scale=scale), edges=tuple(ordered))


def outline_piece(piece: LaidPiece, *, sheet: Sheet, scale: Scale) -> tuple[Point, ...]:
    """Return the outline of a laid piece, in the sheet's frame.

    Parameters
    ----------
    piece : LaidPiece
    sheet : Sheet
    scale : Scale
        Of its view.

    Returns
    -------
    tuple of Point
        Corners clockwise from the top left; of a circle points around it.
    """
    half = _half_sides(piece)
    frame = _Frame.of(piece, sheet, scale)
    if piece.shape is PieceShape.CIRCLE:
        turns = np.linspace(0, 2 * math.pi, CIRCLE_POINTS, endpoint=False)
        outline = [half[0] * np.array([math.cos(t), math.sin(t)]) for t in turns]
    else:
        w, h = half
        outline = [np.array(c) for c in ((-w, -h), (w, -h), (w, h), (-w, h))]
    return tuple(frame.place(p) for p in outline)


def _half_sides(piece: LaidPiece) -> tuple[float, float]:
    """Half width and half height, real mm."""
    if piece.width.unit is Unit.DEG or (piece.height and piece.height.unit is Unit.DEG):
        raise BadUsage("a piece has lengths, no angles", advice="write 3/4 x 2")
    width = float(piece.width.to(Unit.MM)) / 2
    if piece.shape is PieceShape.CIRCLE:
        return width, width
    if piece.height is None:
        raise BadUsage("a rectangle has two sides", advice="write 3/4 x 2")
    return width, float(piece.height.to(Unit.MM)) / 2


@dataclass(frozen=True, slots=True)
class _Frame:
    """From the piece's own real mm (x across, y down, origin in its middle) to the sheet.

    `turn` is that of the piece as seen, radians clockwise; `upright` leads from what is right and
    down as seen on the sheet to the real metric.
    """

    sheet: Sheet
    scale: Scale
    centre: Point
    turn: float
    upright: Array

    @classmethod
    def of(cls, piece: LaidPiece, sheet: Sheet, scale: Scale) -> _Frame:
        """Make the frame of a laid piece."""
        turn = math.radians(piece.angle)
        return cls(sheet, scale, piece.centre, turn, _upright(piece.centre, sheet, scale))

    def place(self, at: Array) -> Point:
        """Return the place of a point of the piece on the sheet."""
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        turned = np.array([cos * at[0] - sin * at[1], sin * at[0] + cos * at[1]])
        paper = np.linalg.solve(real_matrix(self.scale), self.upright @ turned)
        x, y = self.sheet.to_paper.apply(self.centre)
        return self.sheet.to_paper.inverse().apply((x + float(paper[0]), y + float(paper[1])))


def _upright(centre: Point, sheet: Sheet, scale: Scale) -> Array:
    """Turn (or mirror) so that 0° is upright as seen, however the paper lies in the picture."""
    back = math.radians(-sheet.turn)
    right = np.array([math.cos(back), math.sin(back)])
    down = np.array([-math.sin(back), math.cos(back)])
    if sheet.mirrored:
        right[0], down[0] = -right[0], -down[0]
    real = real_matrix(scale) @ np.asarray(sheet.to_paper.jacobian(centre))
    across, below = real @ right, real @ down
    base = math.atan2(float(across[1]), float(across[0]))
    flip = math.copysign(1.0, float(across[0] * below[1] - across[1] * below[0]))
    cos, sin = math.cos(base), math.sin(base)
    return np.array([[cos, -sin * flip], [sin, cos * flip]])


_OUTWARD = tuple(np.array(v, float) for v in ((0, -1), (1, 0), (0, 1), (-1, 0)))


@dataclass(frozen=True, slots=True)
class _Laying:
    """A piece on the raster that its edges are looked for on; lengths in px of that raster."""

    ground: SnapGround
    frame: _Frame
    half: tuple[float, float]
    is_round: bool

    def reach_real(self, k: int) -> float:
        """Real mm from the middle of the piece to an edge."""
        return self.half[0] if k % 2 else self.half[1]

    def pixel(self, at: Array) -> Point:
        """Return the px of a place of the piece."""
        return self.ground.from_frame.apply(self.frame.place(at))

    def edge(self, k: int, turn: float = 0.0) -> tuple[Point, tuple[float, float]]:
        """Middle of an edge and the unit direction outward; of a circle also beside it."""
        cos, sin = math.cos(turn), math.sin(turn)
        x, y = _OUTWARD[k]
        outward = np.array([cos * x - sin * y, sin * x + cos * y]) * self.reach_real(k)
        middle, inner = self.pixel(outward), self.pixel(outward * 0.999)
        dx, dy = middle.x - inner.x, middle.y - inner.y
        far = math.hypot(dx, dy) or 1.0
        return middle, (dx / far, dy / far)

    def length(self, k: int) -> float:
        """Length of an edge."""
        corners = [self.pixel(c) for c in self.corners()]
        return corners[k].distance(corners[(k + 1) % 4])

    def corners(self) -> list[Array]:
        """Corners of the box around the piece, real mm, clockwise from the top left."""
        w, h = self.half
        return [np.array(c) for c in ((-w, -h), (w, -h), (w, h), (-w, h))]

    def reach(self) -> float:
        """How far from an edge its line is looked for."""
        near = min(self.length(k) for k in (0, 1)) * REACH_SHARE
        if self.ground.px_per_mm is not None:
            near = min(near, REACH_PAPER_MM * self.ground.px_per_mm)
        return max(near, LEAST_REACH_PX)

    def window(self, k: int, reach: float) -> tuple[NDArray[np.uint8] | None, tuple[float, float]]:
        """Cut an edge with its surroundings out of the raster; `None` off the sheet."""
        if self.is_round:
            turns = np.radians((-ARC_DEG, 0.0, ARC_DEG))
            corners = [self.edge(k, float(turn))[0] for turn in turns]
        else:
            around = [self.pixel(c) for c in self.corners()]
            corners = [around[k], around[(k + 1) % 4]]
        rows, columns = self.ground.image.pixels.shape
        x0 = max(math.floor(min(p.x for p in corners) - reach - 4), 0)
        y0 = max(math.floor(min(p.y for p in corners) - reach - 4), 0)
        x1 = min(math.ceil(max(p.x for p in corners) + reach + 4), columns)
        y1 = min(math.ceil(max(p.y for p in corners) + reach + 4), rows)
        if x1 - x0 < 8 or y1 - y0 < 8:
            return None, (0.0, 0.0)
        return self.ground.image.pixels[y0:y1, x0:x1], (float(x0), float(y0))


def _find_edge(laying: _Laying, view: View, k: int) -> LaidEdge:
    reach = laying.reach_real(k)
    centre = laying.frame.centre
    at = laying.frame.place(_OUTWARD[k] * reach)
    bare = LaidEdge(side="", at=at, line=None, over=None, expanded=None)
    found = _find_line(laying, k)
    if found is None or found[0] == centre:
        return bare
    line, sigma, width = found
    if any(fold.u_paper is None for fold in laying.frame.sheet.folds_between(centre, line)):
        return replace(bare, across_fold=True)
    ends = (
        End(point=centre, kind=EndKind.EXACT),
        End(point=line, kind=EndKind.OUTLINE, sigma=sigma, line_width=width),
    )
    measured = measure(
        ends,
        kind=DimensionKind.DISTANCE,
        sheet=laying.frame.sheet,
        scale=laying.frame.scale,
        drafting=view.drafting or 0.0,
        edge=view.edge,
    )
    return replace(bare, line=line, over=reach - measured.value, expanded=measured.expanded)


def _find_line(laying: _Laying, k: int) -> tuple[Point, float, float] | None:
    """Find the drawn line off one edge: its place off the edge's middle, sigma, line width."""
    reach = laying.reach()
    gray, corner = laying.window(k, reach)
    if gray is None:
        return None
    dark = darkness(gray)
    middles, widths = (_round_middles if laying.is_round else _straight_middles)(
        dark, laying, k, corner=corner, reach=reach
    )
    chosen = _agreeing(middles)
    if chosen is None:
        return None
    off = float(np.median(middles[chosen]))
    spread = 1.4826 * float(np.median(np.abs(middles[chosen] - off)))
    sigma = max(spread / math.sqrt(len(chosen)), SIGMA_FLOOR_PX)
    at, outward = laying.edge(k)
    line_px = at.moved(outward[0] * off, outward[1] * off)
    to_frame = laying.ground.image.to_frame
    stretch = math.sqrt(abs(float(np.linalg.det(to_frame.jacobian(line_px)))))
    width = float(np.nanmedian(widths[chosen])) * stretch
    return to_frame.apply(line_px), sigma * stretch, width


def _straight_middles(
    dark: NDArray[np.float32],
    laying: _Laying,
    k: int,
    *,
    corner: tuple[float, float],
    reach: float,
) -> tuple[Array, Array]:
    """Offsets of a line from a straight edge, outward, px; and widths."""
    at, outward = laying.edge(k)
    along = np.linspace(-INNER / 2, INNER / 2, SAMPLES) * laying.length(k)
    origin = (at.x - corner[0], at.y - corner[1])
    direction = (outward[1], -outward[0])
    profiles = sample_profiles(dark, origin, direction, along=along, reach=reach)
    return _level(profiles.middle, along), profiles.width


def _round_middles(
    dark: NDArray[np.float32],
    laying: _Laying,
    k: int,
    *,
    corner: tuple[float, float],
    reach: float,
) -> tuple[Array, Array]:
    """Offsets of a line from a circle, along its radii around one direction, px; and widths."""
    middles, widths = [], []
    turns = np.radians(np.linspace(-ARC_DEG, ARC_DEG, SAMPLES))
    for turn in turns:
        at, outward = laying.edge(k, float(turn))
        origin = (at.x - corner[0], at.y - corner[1])
        direction = (outward[1], -outward[0])
        profile = sample_profiles(dark, origin, direction, along=np.zeros(1), reach=reach)
        middles.append(float(profile.middle[0]))
        widths.append(float(profile.width[0]))
    return _level(np.array(middles), np.sin(turns)), np.array(widths)


def _level(middles: Array, along: Array) -> Array:
    """Take the lean of a line out of its offsets, about the middle of the edge."""
    seen = np.flatnonzero(np.isfinite(middles))
    if len(seen) < 4:
        return middles
    i, j = np.triu_indices(len(seen), k=max(len(seen) // 3, 1))
    rises = (middles[seen[j]] - middles[seen[i]]) / (along[seen[j]] - along[seen[i]])
    lean = float(np.median(rises))  # Theil and Sen's slope
    return np.asarray(middles - lean * along)


def _agreeing(middles: Array) -> NDArray[np.intp] | None:
    """Choose the profiles that show one line; `None` where too few do."""
    seen = np.flatnonzero(np.isfinite(middles))
    if len(seen) < LEAST_SHARE * len(middles):
        return None
    near: Sequence[NDArray[np.intp]] = [
        seen[np.abs(middles[seen] - middles[s]) <= SAME_LINE_PX] for s in seen
    ]
    best = max(near, key=len)
    return best if len(best) >= LEAST_SHARE * len(middles) else None
