"""True-size patterns of an audit: views picked, their ink taken off the plan, pages planned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from audit.checks.names import match_name
from audit.checks.parts import find_parts
from audit.errors import BadUsage
from audit.geometry import Box, NotInvertible, Point, Transform
from audit.lengths import Unit
from audit.pipeline.half_views import centre_line, warn_half
from audit.pipeline.pattern_pictures import SeenView, flatten_view
from audit.pipeline.unpacking import OpenedAudit
from audit.records import (
    Audit,
    Dimension,
    NoScale,
    PageKind,
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
    complete_half,
    trace_vectors,
)
from audit.report.pattern_notes import ChangedSize, find_changed
from audit.report.pattern_subject import PatternOptions, PatternSubject, PlacedNote
from audit.report.true_size import real_map
from audit.scale import measure_folds

PICTURE_DPI = 300.0  # of a pattern taken from a picture
NOTE_LETTER_MM = 3.4  # width of a letter of a changed number
NOTE_TALL_MM = 15.0  # of a changed number with its words
NOTE_OUT_MM = 4.0  # how far it may reach out of the outline
EVEN = 0.0015  # share by which two directions may differ and still be called alike
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
    axis = centre_line(view, mine, to_real, given=wish.centre_line)
    seen = SeenView(opened=opened, sheet=sheet, there=there, view=view, to_real=to_real)
    ink = _take_ink(seen, mine, axis, wish)
    changed = find_changed(audit, view.id)
    return PatternSubject(
        name=_name(audit, view, wish),
        where=f"sheet {sheet.id} ({sheet.name}), view {view.id}",
        ink=ink,
        notes=_place_notes(changed, to_real, ink.outline),
        changed=(
            *warn_half(audit, view, axis),
            *_warn_folds(audit, sheet, view, scale),
            *(c.says for c in changed),
        ),
        corrected=_say_corrected(sheet, scale, axis),
        edge=view.edge,
    )


def _name(audit: Audit, view: View, wish: PatternWish) -> str:
    name = wish.part or name_views(audit)[view.id]
    return name[:1].upper() + name[1:].lower() if name.islower() or name.isupper() else name


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


def _take_ink(
    seen: SeenView,
    dimensions: Sequence[Dimension],
    axis: tuple[Point, Point] | None,
    wish: PatternWish,
) -> PatternInk:
    if seen.sheet.kind in (PageKind.VECTOR, PageKind.BOTH):
        page = seen.opened.plan.vector_page(seen.there)
        ink = trace_vectors(page, seen.view.box, seen.to_real, dimensions)
        if ink is not None and not _shows_picture(page.images, seen.view.box):
            return ink if axis is None else complete_half(ink, axis)
    return flatten_view(seen, dimensions, axis, dpi=wish.dpi)


def _shows_picture(images: Sequence[Box], box: Box) -> bool:
    """Whether a picture fills most of a view on a drawn page."""
    for image in images:
        wide = min(image.x1, box.x1) - max(image.x0, box.x0)
        tall = min(image.y1, box.y1) - max(image.y0, box.y0)
        if wide > 0 and tall > 0 and wide * tall > 0.5 * box.width * box.height:
            return True
    return False


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
