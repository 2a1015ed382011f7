"""A photo made metric by what is seen on it: lens, plane, what is left over, and curl."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from audit.errors import BadPlace
from audit.geometry import Box, NotInvertible, Point, Transform
from audit.lengths import Length, Unit
from audit.records import Aside, Flatness, Sheet
from audit.sheets.border import Border, BorderKind, meet_sides
from audit.sheets.lean import Lean, NoLean, find_lean
from audit.sheets.papers import CUT_U_MM, Paper, papers_of_shape
from audit.sheets.plumb import LensFit, fit_lens
from audit.sheets.rectify import rectify
from audit.sheets.residuals import ResidualMap, map_residuals
from audit.sheets.resolution import GUESSED_DPI
from audit.sheets.shape import Shape, measure_shape
from audit.sheets.sides import MOST_PX, Side, SideKind, trace_side
from audit.sheets.strokes import find_strokes

Array = NDArray[np.float64]

SIDE_REACH = 0.01  # of the picture's diagonal: how far a side may bow between given corners
SEEN_SHARE = 0.6  # of every side must be seen for it to speak
SAME_CORNER = 5.0  # uncertainties of a given corner; a side that misses it by more is another line
# Between the sides nothing is seen: there the paper may bulge by as much again as along them, and
# never less than this share of the picture's diagonal, for one place along one direction.
UNSEEN = 1.25
LEAST_SCATTER = 5e-5
KEPT = 6  # every so many places of a side are kept for the picture of what is left
# Simulated photographs of bent paper (a test repeats it): with this many times the bow that lens
# and noise leave, intervals of lengths hold as often as they say.
BENT = 2.0
CURL_TOLD = 2e-3  # of its side: a bow that a lens does not explain, worth telling


@dataclass(frozen=True, slots=True, kw_only=True)
class Flattened:
    """A sheet made metric, and what was found on the way.

    Attributes
    ----------
    sheet : Sheet
        With `to_paper` through the lens, `u_paper` and `scatter`.
    lens : LensFit
    residuals : ResidualMap
        What is left along the lines that were followed, by region.
    curl_mm : float
        Largest bow of a side that the lens does not explain, mm on the paper.
    seen : bool
        The sides themselves were followed; otherwise only the four corners count.
    """

    sheet: Sheet
    lens: LensFit
    residuals: ResidualMap
    curl_mm: float
    seen: bool

    @property
    def is_curled(self) -> bool:
        """Whether the paper does not lie flat, as far as its sides tell."""
        return self.curl_mm > CURL_TOLD * self.residuals.longest_mm


def tell_flatness(done: Flattened, *, by: str) -> Flatness:
    """Return what is to be kept of how a photo was made flat.

    Parameters
    ----------
    done : Flattened
    by : str
        What it was made flat by, in words.

    Returns
    -------
    Flatness
    """
    back = done.sheet.to_paper.inverse()
    lens = done.lens.lens
    return Flatness(
        by=by,
        lens_before=done.lens.before,
        lens_after=done.lens.after,
        k1=lens.k1 if lens else 0.0,
        k2=lens.k2 if lens else 0.0,
        rms_mm=done.residuals.rms_mm,
        largest_mm=done.curl_mm,
        curled=done.is_curled,
        asides=tuple(
            Aside(back.apply((r.x, r.y)), r.dx, r.dy) for r in done.residuals.residuals[::KEPT]
        ),
    )


def shape_of_border(sheet: Sheet, border: Border) -> Shape:
    """Measure the proportions of a border found on a sheet, its first side as the width."""
    lens = border.lens.lens
    corners = border.corners
    if lens is not None:
        corners = _points(lens.straighten(corners))  # type: ignore[assignment]  # four again
    return measure_shape(corners, sheet.box, sigma=border.sigma)


def propose_papers(shape: Shape) -> tuple[Paper, ...]:
    """Return the papers of this shape, upright or not, the most likely first."""
    ratio = max(shape.ratio, 1 / shape.ratio)
    return papers_of_shape(ratio, u_shape=shape.u / shape.ratio * ratio)


def flatten_by_border(sheet: Sheet, border: Border, width: Length, height: Length) -> Flattened:
    """Make a sheet metric by a border found on it.

    Parameters
    ----------
    sheet : Sheet
    border : Border
    width : Length
        Of the side from its first corner to the second.
    height : Length

    Returns
    -------
    Flattened

    Raises
    ------
    BadPlace
        If a rectangle of this size cannot look like that.
    """
    corners, size = list(border.corners), (width, height)
    if sheet.mirrored:  # clockwise on the paper is counter-clockwise here
        corners, size = [corners[0], *corners[:0:-1]], (height, width)
    is_paper = border.kind is BorderKind.PAPER
    u_size = CUT_U_MM / math.sqrt(3) if is_paper else 0.0
    done = _flatten(
        sheet, corners, list(border.sides), border.lens, size, border.sigma, u_size=u_size
    )
    if not is_paper:
        return done
    wide, high = (float(side.to(Unit.MM).value) for side in size)
    return replace(done, sheet=replace(done.sheet, paper_box=Box(0.0, 0.0, wide, high)))


def flatten_by_paper(sheet: Sheet, border: Border, paper: Paper) -> Flattened:
    """Make a sheet metric by the edge of paper of a known size, whichever way it lies.

    Raises
    ------
    BadPlace
        If paper of this size cannot look like that.
    """
    upright = shape_of_border(sheet, border).ratio < 1
    width, height = paper.sides(upright=upright)
    return flatten_by_border(sheet, border, width, height)


def flatten_by_shape(sheet: Sheet, border: Border) -> tuple[Sheet, Shape]:
    """Make a sheet metric by the edge of paper of which only the shape is measured, not known.

    Parameters
    ----------
    sheet : Sheet
    border : Border

    Returns
    -------
    sheet : Sheet
        On paper of a guessed size; how wide it is to its height is as uncertain as its shape.
    shape : Shape

    Raises
    ------
    BadPlace
        If no rectangle can look like that.
    """
    shape = shape_of_border(sheet, border)
    a, b, c, d = border.corners
    area = abs((c.x - a.x) * (d.y - b.y) - (c.y - a.y) * (d.x - b.x)) / 2
    high = math.sqrt(area / shape.ratio) * 25.4 / GUESSED_DPI
    size = (_mm(high * shape.ratio), _mm(high))
    done = flatten_by_border(sheet, border, *size)
    return replace(done.sheet, paper_known=False), shape


def _mm(value: float) -> Length:
    return Length(Fraction(value).limit_denominator(1000), Unit.MM)


def flatten_by_corners(
    sheet: Sheet,
    gray: NDArray[np.uint8],
    corners: Sequence[Point],
    size: tuple[Length, Length],
    *,
    sigma: float,
) -> Flattened:
    """Make a sheet metric by four given corners; the sides between them, if seen, say more.

    Parameters
    ----------
    sheet : Sheet
        A picture: its frame is px.
    gray : ndarray of uint8, shape (rows, columns)
    corners : sequence of four Points
        Clockwise from the top left, in the sheet's frame.
    size : tuple of Length
        Width and height.
    sigma : float
        Standard uncertainty of a corner as given.

    Returns
    -------
    Flattened
        By the corners alone where the sides are not seen, or run elsewhere.

    Raises
    ------
    BadPlace
        If the corners or the size cannot be those of a rectangle on this sheet.
    """
    bare = rectify(sheet, corners, *size, sigma=sigma)
    way = list(corners)[::-1] if sheet.mirrored else list(corners)
    sides = _trace(gray, way, reach=SIDE_REACH * math.hypot(sheet.width, sheet.height))
    if sides is not None:
        points = [side.points for side in sides]
        lens = fit_lens(points, sheet.box)
        met, scatter = meet_sides(points, lens)
        met = met[::-1] if sheet.mirrored else met
        if max(a.distance(b) for a, b in zip(met, corners, strict=True)) <= SAME_CORNER * sigma:
            return _flatten(sheet, met, points, lens, size, scatter)
    return Flattened(
        sheet=bare,
        lens=LensFit(lens=None, before=0.0, after=0.0, u_k1=0.0),
        residuals=map_residuals(bare, []),
        curl_mm=0.0,
        seen=False,
    )


def flatten_by_strokes(
    sheet: Sheet, gray: NDArray[np.uint8], *, within: Sequence[Point] = ()
) -> tuple[Sheet, Lean] | NoLean:
    """Make a photo flat by its own long strokes, most of which are level or plumb on the paper.

    Parameters
    ----------
    sheet : Sheet
        A picture: its frame is px.
    gray : ndarray of uint8, shape (rows, columns)
    within : sequence of Point
        Corners of the paper, where they are seen: strokes outside are the table's.

    Returns
    -------
    (Sheet, Lean) or NoLean
        The sheet on paper of a guessed size, so that `paper_known` stays as it was; its stretch is
        as uncertain as the second says. The latter where the strokes do not say surely that it
        leans.
    """
    if max(gray.shape) > MOST_PX:
        return NoLean(reason="the picture is too long to be a photo")
    strokes = find_strokes(gray)
    if within:
        strokes = strokes[_are_within(strokes.mean(axis=1), within)]
    lean = find_lean(strokes, sheet.box)
    if isinstance(lean, NoLean):
        return lean
    mm = 25.4 / GUESSED_DPI
    over = -mm if sheet.mirrored else mm  # so that its texts can be read
    rows = Transform.scaling(over, mm).matrix @ lean.to_plane.matrix
    diagonal = math.hypot(sheet.width, sheet.height)
    done = replace(
        sheet,
        to_paper=Transform(Transform.from_matrix(rows).rows, lens=lean.to_plane.lens),
        u_paper=lean.u_places * mm,
        scatter=max(UNSEEN * lean.scatter, LEAST_SCATTER * diagonal),
    )
    return done, lean


def _are_within(places: Array, corners: Sequence[Point]) -> NDArray[np.bool_]:
    """Tell which places a figure without dents holds."""
    return np.asarray(Delaunay(np.array(corners)).find_simplex(places) >= 0)


def _trace(gray: NDArray[np.uint8], corners: Sequence[Point], *, reach: float) -> list[Side] | None:
    """Follow the four sides as drawn lines, or as edges of paper: as what they are seen best."""
    best: list[Side] | None = None
    if max(gray.shape) > MOST_PX:
        return None
    for kind in SideKind:
        sides = [
            trace_side(gray, corners[k], corners[(k + 1) % 4], kind=kind, reach=reach)
            for k in range(4)
        ]
        seen = [side for side in sides if side is not None and side.share >= SEEN_SHARE]
        if len(seen) == 4 and (best is None or _share(seen) > _share(best)):
            best = seen
    return best


def _share(sides: Sequence[Side]) -> float:
    return min(side.share for side in sides) - max(side.rms for side in sides) / 10


def _flatten(  # noqa: PLR0917  # what the two ways here have in common
    sheet: Sheet,
    corners: Sequence[Point],
    sides: Sequence[Array],
    fit: LensFit,
    size: tuple[Length, Length],
    sigma: float,
    *,
    u_size: float = 0.0,
) -> Flattened:
    lens = fit.lens
    straight = list(corners) if lens is None else _points(lens.straighten(corners))
    bent = _bent_times(fit)
    exact = replace(sheet, scatter=0.0)  # what the sides show is in `sigma`
    flat = rectify(exact, _inside(straight, sheet), *size, sigma=sigma, u_size=u_size)
    target = [(0.0, 0.0), *_rectangle(size)]
    try:
        plane = Transform.from_points(straight, target)
    except NotInvertible as error:
        raise BadPlace(f"these corners fix no rectangle: {error}", advice="give others") from error
    scatter = UNSEEN * max(bent * fit.after, LEAST_SCATTER * math.hypot(sheet.width, sheet.height))
    done = replace(
        flat,
        to_paper=Transform(plane.rows, lens=lens),
        u_paper=bent * flat.u_paper,
        scatter=scatter,
    )
    residuals = map_residuals(done, sides)
    return Flattened(
        sheet=done, lens=fit, residuals=residuals, curl_mm=residuals.largest_bow_mm, seen=True
    )


def _bent_times(fit: LensFit) -> float:
    """How many times as uncertain places are on paper whose sides bow by more than lens and noise.

    Between its sides bent paper is as far off as along them, and the corners follow the bend.
    """
    if fit.after <= 0.0:
        return 1.0
    return math.hypot(fit.after, BENT * fit.unexplained) / fit.after


def _inside(corners: Sequence[Point], sheet: Sheet) -> list[Point]:
    """Straightened corners may leave the picture by what the lens had pulled in."""
    box = sheet.box
    return [Point(min(max(c.x, 0.0), box.x1), min(max(c.y, 0.0), box.y1)) for c in corners]


def _rectangle(size: tuple[Length, Length]) -> list[tuple[float, float]]:
    wide, high = (float(side.to(Unit.MM).value) for side in size)
    return [(wide, 0.0), (wide, high), (0.0, high)]


def _points(places: Array) -> list[Point]:
    return [Point(float(x), float(y)) for x, y in places]
