"""True-size patterns of an audit: views picked, their ink taken off the plan, pages planned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.checks.names import match_name
from audit.checks.parts import find_parts
from audit.errors import BadUsage
from audit.geometry import Box, NotInvertible, Point, Transform
from audit.lengths import Unit
from audit.pipeline.unpacking import OpenedAudit
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    EndKind,
    NoScale,
    PageKind,
    PrintPicture,
    PrintPlan,
    Scale,
    Sheet,
    View,
    ViewKind,
)
from audit.report.measures import sheet_unit
from audit.report.naming import name_views
from audit.report.pattern import plan_pattern
from audit.report.pattern_ink import (
    PatternInk,
    centres_of,
    complete_half,
    reflect_on,
    trace_vectors,
)
from audit.report.pattern_notes import ChangedSize, find_changed
from audit.report.pattern_subject import PatternOptions, PatternSubject, PlacedNote
from audit.report.true_size import real_map
from audit.scale import measure_folds
from audit.sheets.flat import resample

PICTURE_DPI = 300.0  # of a pattern taken from a picture
MAX_PICTURE_PIXELS = 60_000_000  # of one view at true size; the worker is sent them whole
VIEW_ROOM = 0.02  # of its longer side: shown around the box of a view in a picture
NOTE_LETTER_MM = 3.4  # width of a letter of a changed number
NOTE_TALL_MM = 15.0  # of a changed number with its words
NOTE_OUT_MM = 4.0  # how far it may reach out of the outline
EVEN = 0.0015  # share by which two directions may differ and still be called alike
PAPER = 255
MIRRORED_LINE = 0.9  # of a size: a dimension line shorter than this shows only part of it
# The shade of paper changes over this, mm; lines are thinner, and so is what is looked at.
SHADE_MM, SHADE_PER_MM = 8.0, 3.0
WHITE_FROM, DARKEST = 0.9, 0.25  # shares of the paper's shade: white from here; black up to there
HALF_WORDS = ("HALF VIEW", "HALF PATTERN", "HALF SECTION")
HALF_REACH = 0.25  # of a view's longer side: how far below it words may stand that are about it
NOT_TRUE = {
    ViewKind.PICTORIAL: "is a picture of the part, not a view of it",
    ViewKind.NOT_TO_SCALE: "is not to scale",
    ViewKind.BROKEN: "is broken: it is not as long on the sheet as the part is",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternWish:
    """What is to be printed: a part by its name, or a view by its number.

    `centre_line` are two places in the sheet's frame: the view is mirrored on the line through
    them, as a half view is on its own.
    """

    part: str | None = None
    view: int | None = None
    options: PatternOptions
    dpi: float = PICTURE_DPI
    centre_line: tuple[Point, Point] | None = None


def pattern_unit(audit: Audit) -> Unit:
    """Tell which unit the check bars of an audit's patterns are in."""
    first = audit.sheets[0].id if audit.sheets else 0
    return sheet_unit(audit, first)


def make_pattern(opened: OpenedAudit, wish: PatternWish) -> PrintPlan:
    """Compose the pattern of a part or view.

    Parameters
    ----------
    opened : OpenedAudit
    wish : PatternWish

    Returns
    -------
    PrintPlan

    Raises
    ------
    BadUsage
        If there is no such part or view, or it cannot be printed true to size.
    """
    views = pick_views(opened.audit, wish)
    subjects = [_subject(opened, view, wish) for view in views]
    return plan_pattern(subjects, wish.options)


def pick_views(audit: Audit, wish: PatternWish) -> tuple[View, ...]:
    """Pick the views that a wish names, those of a part that can be printed true to size.

    Raises
    ------
    BadUsage
        If there are none.
    """
    if (wish.part is None) == (wish.view is None):
        raise BadUsage("say what to print", advice="give --part NAME or --view NUMBER")
    if wish.view is not None:
        view = next((v for v in audit.views if v.id == wish.view), None)
        if view is None:
            raise BadUsage(f"there is no view {wish.view}", advice=_list_views(audit))
        _refuse_untrue(view, audit)
        return (view,)
    views = _views_of_part(audit, wish.part or "")
    usable = [v for v in views if v.kind not in NOT_TRUE and not isinstance(v.scale, NoScale)]
    if not usable:
        _refuse_untrue(views[0], audit)
    return tuple(usable)


def _list_views(audit: Audit) -> str:
    names = name_views(audit)
    listed = [f"{v.id} {names[v.id]}" for v in audit.views]
    return f"views are: {', '.join(listed)}" if listed else "this audit has no views"


def _views_of_part(audit: Audit, wanted: str) -> tuple[View, ...]:
    by_id = {v.id: v for v in audit.views}
    shown: dict[str, list[View]] = {}
    for part in find_parts(audit):
        views = [by_id[d.view.id] for d in part.drawings if d.view is not None]
        shown.setdefault(part.name, []).extend(views)
    for given in audit.parts:
        views = [by_id[v] for v in given.views if v in by_id]
        if views:
            shown[given.name] = views
    name = match_name(wanted, list(shown))
    if name is None:
        drawn = [n for n, views in shown.items() if views]
        advice = f"drawn parts are: {', '.join(drawn)}" if drawn else "give a view by --view"
        raise BadUsage(f"no part is called {wanted}", advice=advice)
    if not shown[name]:
        problem = f"no view is known to show {name}"
        raise BadUsage(problem, advice=f"give the view by --view; {_list_views(audit)}")
    return tuple(shown[name])


def _refuse_untrue(view: View, audit: Audit) -> None:
    name = name_views(audit)[view.id]
    if view.kind in NOT_TRUE:
        problem = f"view {view.id} ({name}) {NOT_TRUE[view.kind]}"
        raise BadUsage(problem, advice="lay the part out by its printed sizes")
    if isinstance(view.scale, NoScale):
        problem = f"view {view.id} ({name}) has no scale: {view.scale.reason}"
        raise BadUsage(problem, advice=view.scale.advice)


def _subject(opened: OpenedAudit, view: View, wish: PatternWish) -> PatternSubject:
    audit = opened.audit
    sheet = next(s for s in audit.sheets if s.id == view.sheet)
    there = opened.sheet(sheet.id)
    scale = view.scale
    assert isinstance(scale, Scale)  # pick_views refused the others
    try:
        to_real = real_map(sheet, scale, at=view.box.centre)
    except NotInvertible as error:
        problem = f"view {view.id} cannot be made flat ({error})"
        raise BadUsage(problem, advice="give the corners of a rectangle on the photo") from error
    mine = [d for d in audit.dimensions if d.view == view.id]
    axis = _axis(view, mine, wish, to_real)
    seen = _Seen(opened=opened, sheet=sheet, there=there, view=view, to_real=to_real)
    ink = _take_ink(seen, mine, axis, wish)
    changed = find_changed(audit, view.id)
    return PatternSubject(
        name=_name(audit, view, wish),
        where=f"sheet {sheet.id} ({sheet.name}), view {view.id}",
        ink=ink,
        notes=_place_notes(changed, to_real, ink.outline),
        changed=(
            *_warn_half(audit, view, axis),
            *_warn_folds(audit, sheet, view, scale),
            *(c.says for c in changed),
        ),
        corrected=_say_corrected(sheet, scale, axis),
        edge=view.edge,
    )


def _name(audit: Audit, view: View, wish: PatternWish) -> str:
    name = wish.part or name_views(audit)[view.id]
    return name[:1].upper() + name[1:].lower() if name.islower() or name.isupper() else name


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """A view with the sheet it is on, and the way to real mm."""

    opened: OpenedAudit
    sheet: Sheet
    there: Sheet
    view: View
    to_real: Transform

    def to_real_box(self, box: Box) -> Box:
        """Box around a box of the sheet's frame, real mm."""
        return Box.around(self.to_real.apply(corner) for corner in box.corners)


def _axis(
    view: View, dimensions: Sequence[Dimension], wish: PatternWish, to_real: Transform
) -> tuple[Point, Point] | None:
    """Find the centre line a view is mirrored on, real mm; `None` when it is whole."""
    if wish.centre_line is not None:
        a, b = (to_real.apply(p) for p in wish.centre_line)
        if a.distance(b) < 1.0:
            raise BadUsage("the two places of the centre line are one", advice="give two ends")
        return a, b
    if view.kind is not ViewKind.HALF:
        return None
    axis = find_half_axis(view, dimensions, to_real)
    if axis is None:
        problem = f"the centre line of half view {view.id} was not found"
        raise BadUsage(problem, advice="give two places on it with --centre-line 'x,y x,y'")
    return axis


def find_half_axis(
    view: View, dimensions: Sequence[Dimension], to_real: Transform
) -> tuple[Point, Point] | None:
    """Take the centre line of a half view off the sizes drawn across it.

    Where the whole size is printed, the far end was mirrored: the middle of the ends lies on the
    centre line. Where half of it is printed, the size ends on the centre line. Either way the line
    is square to the size.

    Parameters
    ----------
    view : View
    dimensions : sequence of Dimension
        Of the view.
    to_real : Transform

    Returns
    -------
    (Point, Point) or None
        Real mm; `None` when no size tells.
    """
    for dimension in dimensions:
        place = _on_centre_line(view, dimension)
        if place is not None:
            a, b = (to_real.apply(end.point) for end in dimension.ends)
            at = to_real.apply(place)
            return at, at.moved(-(b.y - a.y), b.x - a.x)
    return None


def _on_centre_line(view: View, dimension: Dimension) -> Point | None:
    """Return the place where a size meets the centre line of a half view, if it does."""
    if dimension.kind not in (DimensionKind.DISTANCE, DimensionKind.DIAMETER):
        return None
    ends = [end.point for end in dimension.ends]
    if len(ends) != 2 or ends[0] == ends[1]:
        return None
    middle = ends[0].midpoint(ends[1])
    if [view.box.contains(end) for end in ends].count(True) == 1:
        return middle
    centre = [e.point for e in dimension.ends if e.kind is EndKind.CENTRE]
    if len(centre) != 1:
        return None
    drawn = dimension.line[0].distance(dimension.line[-1]) if len(dimension.line) > 1 else 0.0
    # the line of a mirrored size stops soon behind the centre line
    is_mirrored = 0 < drawn < MIRRORED_LINE * ends[0].distance(ends[1])
    return middle if is_mirrored else centre[0]


def _warn_half(audit: Audit, view: View, axis: tuple[Point, Point] | None) -> tuple[str, ...]:
    """Warn where the sheet speaks of half a view, and it is not mirrored."""
    reach = HALF_REACH * max(view.box.width, view.box.height)
    beside = [v for v in audit.views if v.sheet == view.sheet]
    says = [
        s.text
        for s in audit.statements
        if s.sheet == view.sheet
        and s.text.upper() in HALF_WORDS
        and _apart(view.box, s.box) <= min(_apart(v.box, s.box) for v in beside)
        and _apart(view.box, s.box) <= reach
    ]
    if axis is not None or not says:
        return ()
    return (
        f"The sheet says “{says[0]}” here. If only half of the part is drawn, print again with "
        "--centre-line, two places on its centre line.",
    )


def _warn_folds(audit: Audit, sheet: Sheet, view: View, scale: Scale) -> tuple[str, ...]:
    """Warn where a fold or joint runs through a view: nothing puts its two sides right."""
    folds = measure_folds(sheet, audit.known_sizes).folds_between(*view.box.corners)
    if not folds:
        return ()
    steps = [fold.u_paper for fold in folds if fold.u_paper is not None]
    off = 2 * math.hypot(*steps) * max(scale.x, scale.y)
    by = f"by {off:.2g} mm (k = 2)" if len(steps) == len(folds) else "by a step nobody has stated"
    return (
        f"The sheet is folded or joined across this view: what lies beyond it may be off {by}. "
        "Check sizes across it before you cut.",
    )


def _apart(first: Box, second: Box) -> float:
    """Distance of two boxes, sheet frame; 0 where they touch."""
    dx = max(first.x0 - second.x1, second.x0 - first.x1, 0.0)
    dy = max(first.y0 - second.y1, second.y0 - first.y1, 0.0)
    return math.hypot(dx, dy)


def _take_ink(
    seen: _Seen,
    dimensions: Sequence[Dimension],
    axis: tuple[Point, Point] | None,
    wish: PatternWish,
) -> PatternInk:
    if seen.sheet.kind in (PageKind.VECTOR, PageKind.BOTH):
        page = seen.opened.plan.vector_page(seen.there)
        ink = trace_vectors(page, seen.view.box, seen.to_real, dimensions)
        if ink is not None and not _shows_picture(page.images, seen.view.box):
            return ink if axis is None else complete_half(ink, axis)
    return _flat_picture(seen, dimensions, axis, wish)


def _shows_picture(images: Sequence[Box], box: Box) -> bool:
    """Whether a picture fills most of a view on a drawn page."""
    for image in images:
        wide = min(image.x1, box.x1) - max(image.x0, box.x0)
        tall = min(image.y1, box.y1) - max(image.y0, box.y0)
        if wide > 0 and tall > 0 and wide * tall > 0.5 * box.width * box.height:
            return True
    return False


def _flat_picture(
    seen: _Seen,
    dimensions: Sequence[Dimension],
    axis: tuple[Point, Point] | None,
    wish: PatternWish,
) -> PatternInk:
    """Warp the picture of a view into real mm."""
    room = VIEW_ROOM * max(seen.view.box.width, seen.view.box.height)
    area = Box.around(seen.to_real.apply(c) for c in seen.view.box.grown(room).corners)
    if axis is not None:
        move = reflect_on(axis)
        area = area.union(Box.around(move.apply(c) for c in area.corners))
    per_mm = wish.dpi / 25.4
    pixels = area.width * area.height * per_mm**2
    if pixels > MAX_PICTURE_PIXELS:
        per_mm *= math.sqrt(MAX_PICTURE_PIXELS / pixels)
    warped = _warp(seen, area, per_mm)
    texts = [seen.to_real_box(b) for b in _written(seen, dimensions)]
    if axis is not None:
        move = reflect_on(axis)
        bare = _blanked(warped, texts, area, per_mm)
        warped = np.minimum(warped, _mirror(bare, area, per_mm, move))
    rows, columns = warped.shape
    fitted = Box(area.x0, area.y0, area.x0 + columns / per_mm, area.y0 + rows / per_mm)
    return PatternInk(
        picture=PrintPicture(pixels=warped, box=fitted),
        readable=tuple(texts),
        centres=tuple(seen.to_real.apply(c) for c in centres_of(dimensions)),
        line_width=_line_width(seen, dimensions),
        outline=area,
    )


def _written(seen: _Seen, dimensions: Sequence[Dimension]) -> list[Box]:
    """Boxes of all texts in a view or right beside it, sheet frame."""
    audit, number = seen.opened.audit, seen.sheet.id
    boxes = [t.box for t in audit.texts if t.sheet == number]
    boxes += [s.box for s in audit.statements if s.sheet == number]
    boxes += [d.reading.box for d in dimensions if d.reading is not None]
    near = seen.view.box.grown(VIEW_ROOM * max(seen.view.box.width, seen.view.box.height))
    return [box for box in dict.fromkeys(boxes) if box.overlaps(near)]


def _blanked(
    pixels: NDArray[np.uint8], texts: Sequence[Box], area: Box, per_mm: float
) -> NDArray[np.uint8]:
    """Take texts out of a picture that is going to be mirrored."""
    blank = pixels.copy()
    for text in texts:
        x0, x1 = (max(0, round((x - area.x0) * per_mm)) for x in (text.x0, text.x1))
        y0, y1 = (max(0, round((y - area.y0) * per_mm)) for y in (text.y0, text.y1))
        blank[y0:y1, x0:x1] = PAPER
    return blank


def _whitened(pixels: NDArray[np.uint8], per_mm: float) -> NDArray[np.uint8]:
    """Take the shade of the paper out: what is lighter than its surroundings is white."""
    rows, columns = pixels.shape
    step = max(1, round(per_mm / SHADE_PER_MM))
    size = (max(1, columns // step), max(1, rows // step))
    small = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA)
    reach = 2 * round(SHADE_MM * SHADE_PER_MM / 2) + 1
    shade = cv2.dilate(small, np.ones((reach, reach), np.uint8))
    shade = cv2.GaussianBlur(shade, (reach, reach), 0)
    shade = cv2.resize(shade, (columns, rows), interpolation=cv2.INTER_LINEAR)
    share = pixels.astype(np.float32) / np.maximum(shade, 1).astype(np.float32)
    level = (share - DARKEST) / (WHITE_FROM - DARKEST)
    return np.asarray(np.clip(level * 255.0, 0, 255), np.uint8)


def _warp(seen: _Seen, area: Box, per_mm: float) -> NDArray[np.uint8]:
    """Resample a sheet so that a pixel is a square of real size."""
    drawn = seen.sheet.kind in (PageKind.VECTOR, PageKind.BOTH)
    image = seen.opened.plan.gray(seen.there, dpi=300.0 if drawn else None)
    size = (max(1, math.ceil(area.width * per_mm)), max(1, math.ceil(area.height * per_mm)))
    back = _from_area(area, per_mm).then(image.to_frame.then(seen.to_real).inverse())
    return _whitened(resample(image.pixels, back, size), per_mm)


def _from_area(area: Box, per_mm: float) -> Transform:
    """Lead from pixels of an area to its real mm."""
    return Transform(((1 / per_mm, 0.0, area.x0), (0.0, 1 / per_mm, area.y0), (0.0, 0.0, 1.0)))


def _mirror(
    pixels: NDArray[np.uint8], area: Box, per_mm: float, move: Transform
) -> NDArray[np.uint8]:
    """Reflect a picture in place; what comes from outside is paper."""
    real = _from_area(area, per_mm)
    rows, columns = pixels.shape
    return resample(pixels, real.then(move).then(real.inverse()), (columns, rows))


def _line_width(seen: _Seen, dimensions: Sequence[Dimension]) -> float:
    """Width of the view's lines at true size, mm: the median of what the ends stand on."""
    widths = [e.line_width for d in dimensions for e in d.ends if e.line_width > 0]
    width = float(np.median(widths)) if widths else 0.0
    steps = seen.to_real.jacobian(seen.view.box.centre)
    return width * math.sqrt(abs(float(np.linalg.det(steps))))


def _place_notes(
    changed: Sequence[ChangedSize], to_real: Transform, outline: Box
) -> tuple[PlacedNote, ...]:
    """Place changed numbers where they belong, but inside what is printed."""
    notes: list[PlacedNote] = []
    for one in changed:
        at = to_real.apply(one.at)
        half = NOTE_LETTER_MM * max(len(one.large), len(one.small) / 2) / 2
        x = _clamped(at.x, outline.x0 + half - NOTE_OUT_MM, outline.x1 - half + NOTE_OUT_MM)
        y = _clamped(at.y, outline.y0 + 2.0, outline.y1 - 3.0)
        while any(abs(n.at.y - y) < NOTE_TALL_MM and abs(n.at.x - x) < 2 * half for n in notes):
            y += NOTE_TALL_MM
        notes.append(PlacedNote(text=one.large, small=one.small, at=Point(x, y)))
    return tuple(notes)


def _clamped(value: float, low: float, high: float) -> float:
    """Keep a value between two others; in their middle when they have crossed."""
    return (low + high) / 2 if low > high else min(max(value, low), high)


def _say_corrected(sheet: Sheet, scale: Scale, axis: tuple[Point, Point] | None) -> tuple[str, ...]:
    """Say what was taken out of the sheet, and how well the size is known."""
    told = []
    if not sheet.to_paper.is_affine:
        told.append("The photo was made flat from its known rectangle.")
    x, y = 100 * scale.x, 100 * scale.y
    if abs(scale.x / scale.y - 1) <= EVEN:
        told.append(f"Enlarged to {math.sqrt(x * y):.2f} % of the sheet, alike in both directions.")
    else:
        told.append(
            f"The sheet is stretched: enlarged to {x:.2f} % along its x and {y:.2f} % along its y."
        )
    if abs(scale.shear) > EVEN:
        skew = math.degrees(math.asin(scale.shear))
        told.append(f"The sheet is skewed by {abs(skew):.2f}°; that is taken out.")
    if axis is not None:
        told.append("Only half is drawn: the other half is mirrored on the centre line.")
    u = 2 * math.sqrt(max(scale.covariance[0][0], scale.covariance[1][1], 0.0))
    told.append(
        f"The scale is known to ± {100 * u:.2g} %: ± {max(100 * u, 0.005):.2f} mm in 100 mm."
    )
    return tuple(told)
