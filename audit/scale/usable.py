"""Whether a dimension can be measured on its view, and whether its text can be believed.

Each question answers with `None` (yes) or with the reason in plain words (no).
"""

from __future__ import annotations

import math

from audit.lengths import Callout, CalloutKind, Length, Mark, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    EndKind,
    FoundBy,
    Frame,
    Reading,
    Settings,
    Sheet,
    UserSet,
    View,
    ViewKind,
)
from audit.uncertainty import MEASURABLE

ON_NOTHING = "the line that one of its ends stands on was not found; place that end"
ACROSS_A_FOLD = "across a fold or joint whose step nobody has said"

# Marked EQ SP, it is still the size of each: only a length may span one step or all of them.
OF_ONE = frozenset(
    {
        CalloutKind.RADIUS,
        CalloutKind.DIAMETER,
        CalloutKind.SPHERICAL_RADIUS,
        CalloutKind.SPHERICAL_DIAMETER,
    }
)
LEAST_SWEEP_DEG = 40.0  # below, a radius hangs on a few hundredths of a pixel
LEAST_SAGITTA_PX = 5.0
NO_UNIT = "no unit"  # as the callout grammar remarks
_CIRCLE = "CIRCLE"  # so too: 6 HOLES EQUALLY SPACED ON A 3 DIA CIRCLE
# A tapped hole is drawn as large as its thread, its tap drill, or a drill that was at hand; no
# drawing shows a thread that is wrong (common practice, no source).
OF_A_THREAD = "a thread is a name; its hole may be drawn as large as its tap drill"

# A size with one of these words need not be what the drawing shows.
NOT_A_DRAWN_SIZE = {
    Mark.MAXIMUM: "a largest size (MAX) need not be what is drawn",
    Mark.MINIMUM: "a smallest size (MIN) need not be what is drawn",
    Mark.TO_FIT: "made to fit, whatever is drawn",
    Mark.TO_SUIT: "made to suit, whatever is drawn",
    Mark.APPROXIMATE: "an approximate size (APPROX) need not be what is drawn",
    Mark.STOCK: "a stock size is a name, not a length",
    Mark.NOT_TO_SCALE: "marked not to scale",
}
SURELY_FOUND = 0.62  # score of a length of a picture; measured on drawn sheets: below, as many
# lengths between arrowheads of two dimensions as real ones; hand-drawn ones begin at .70
NOT_SURELY_FOUND = "check whether this is a dimension: its arrowheads may be those of two others"
UNSCALED_VIEWS = {
    ViewKind.PICTORIAL: "a pictorial view shows no true lengths",
    ViewKind.NOT_TO_SCALE: "this view is not to scale",
}
WITHOUT_ENDS = {
    DimensionKind.CHAMFER: "a chamfer is not measured on the drawing",
    DimensionKind.TAPER: "a taper is not measured on the drawing",
    DimensionKind.ARC_LENGTH: "an arc length is not measured on the drawing",
    DimensionKind.DEPTH: "a depth runs into the sheet",
    DimensionKind.THREAD: "a thread is a name, not a drawn size",
    DimensionKind.THICKNESS: "a thickness runs into the sheet",
}


def why_not_scaled(dimension: Dimension, view: View, *, sheet: Sheet) -> str | None:
    """Tell why a dimension cannot be measured in its view, leaving the scale aside.

    Parameters
    ----------
    dimension : Dimension
        With its ends in the sheet's frame.
    view : View
        The view it stands in.
    sheet : Sheet
        The sheet of that view.

    Returns
    -------
    str | None
        The reason, or `None` when it can be measured.
    """
    if view.kind in UNSCALED_VIEWS:
        return UNSCALED_VIEWS[view.kind]
    if dimension.across_break:
        return "it runs across a break in the view"
    needed = 3 if dimension.kind is DimensionKind.ANGLE else 2
    if dimension.kind not in MEASURABLE or len(dimension.ends) != needed:
        return WITHOUT_ENDS.get(dimension.kind, "its ends are not known")
    if _coincide(dimension, sheet):
        return "its two ends are one point"
    if any(f.u_paper is None for f in sheet.folds_between(*(e.point for e in dimension.ends))):
        return ACROSS_A_FOLD
    return (
        _marked_away(dimension)
        or _stands_on_nothing(dimension, sheet)
        or _arc_too_short(dimension, sheet)
    )


def is_surely_found(dimension: Dimension, *, sheet: Sheet) -> bool:
    """Tell whether a length is surely one: only then may it call a number wrong.

    Parameters
    ----------
    dimension : Dimension
        With its score. What a person placed, moved or read was looked at.
    sheet : Sheet
        Where a program drew, lines are what they are.

    Returns
    -------
    bool
    """
    read = dimension.reading is not None and dimension.reading.confirmed
    if read or dimension.found_by is not FoundBy.TOOL or UserSet.ENDS in dimension.user_set:
        return True
    if dimension.sweep is not None or dimension.score >= SURELY_FOUND:
        return True
    return sheet.is_drawn_at(*(e.point for e in dimension.ends))


def why_not_read(dimension: Dimension, settings: Settings) -> str | None:
    """Tell why the printed text of a dimension cannot be judged by.

    Parameters
    ----------
    dimension : Dimension
        One that has a reading; without one there is nothing to doubt.
    settings : Settings
        Its `confidence_limit` counts.

    Returns
    -------
    str | None
        The reason, or `None` when the text may be compared.
    """
    reading = dimension.reading
    if reading is None:
        return None
    unsure = _why_unsure(reading, settings)
    if unsure is not None:
        return unsure
    if reading.callout is None:
        return f"“{reading.text}” was not understood as a size"
    return _why_no_size(reading.callout, angle=dimension.kind is DimensionKind.ANGLE)


def printed_size(dimension: Dimension, settings: Settings) -> Length | None:
    """Return the printed size that may be compared, or `None`.

    Parameters
    ----------
    dimension : Dimension
        With or without a reading.
    settings : Settings
        Its `confidence_limit` counts.

    Returns
    -------
    Length | None
        Exact.
    """
    if dimension.reading is None or why_not_read(dimension, settings) is not None:
        return None
    return dimension.printed


def size_of_ends(dimension: Dimension) -> float:
    """Return how many times the printed size the length between the ends is.

    A diameter marked ``R`` is drawn twice as long as it is printed, a radius marked ``Ø`` half.

    Parameters
    ----------
    dimension : Dimension
        With or without a reading.

    Returns
    -------
    float
        2, 1 or 1/2.
    """
    if dimension.reading is None or dimension.reading.callout is None:
        return 1.0
    says = dimension.reading.callout.kind
    radii = (CalloutKind.RADIUS, CalloutKind.SPHERICAL_RADIUS)
    diameters = (CalloutKind.DIAMETER, CalloutKind.SPHERICAL_DIAMETER)
    if dimension.kind is DimensionKind.DIAMETER and says in radii:
        return 2.0
    return 0.5 if dimension.kind is DimensionKind.RADIUS and says in diameters else 1.0


def _why_no_size(callout: Callout, *, angle: bool) -> str | None:
    """Tell why an understood callout gives nothing to compare."""
    if callout.ditto:
        return "it repeats another size (ditto)"
    if callout.thread is not None or Mark.TAP in callout.marks:
        return OF_A_THREAD
    if callout.size is None:
        if NO_UNIT in callout.remark:
            return "its unit is not known; say what unit the plan is in"
        return f"“{callout.text}” gives no size to compare"
    if (callout.size.unit is Unit.DEG) != angle:
        return "the text and the drawing are not the same kind of size"
    if Mark.EQUALLY_SPACED in callout.marks and (callout.count or callout.total):
        if callout.kind not in OF_ONE:
            return "whether its line spans one step or all of them is not known"
        if Mark.BOLT_CIRCLE in callout.marks or _CIRCLE in callout.remark:
            return "whether it points at the circle of its holes or at one of them is not known"
    return None if callout.size.value > 0 else "a size of nothing cannot be compared"


def _why_unsure(reading: Reading, settings: Settings) -> str | None:
    if reading.confirmed:
        return None
    if reading.doubt:
        return f"check the reading: {reading.doubt}"
    if reading.confidence < settings.confidence_limit:
        return "check the reading: it is not sure enough to judge by"
    return None


def _coincide(dimension: Dimension, sheet: Sheet) -> bool:
    first, *rest = (sheet.to_paper.apply(e.point) for e in dimension.ends)
    return any(first.distance(p) == 0.0 for p in rest)


def _marked_away(dimension: Dimension) -> str | None:
    if dimension.reading is None or dimension.reading.callout is None:
        return None
    marks = dimension.reading.callout.marks
    return next((why for mark, why in NOT_A_DRAWN_SIZE.items() if mark in marks), None)


def _stands_on_nothing(dimension: Dimension, sheet: Sheet) -> str | None:
    """Tell where a picture shows a line under one end of a length, and none under the other.

    That end is then as likely another place of the arrowhead, or of a mark that looks like one.
    Exact is an end of a program's drawing; on a picture none is.
    """
    placed = dimension.found_by is not FoundBy.TOOL or UserSet.ENDS in dimension.user_set
    bare = [e.kind in (EndKind.TIP, EndKind.EXACT) for e in dimension.ends]
    if placed or len(bare) != 2 or bare[0] == bare[1]:
        return None
    drawn = sheet.is_drawn_at(*(e.point for e in dimension.ends))
    return None if drawn else ON_NOTHING


def _arc_too_short(dimension: Dimension, sheet: Sheet) -> str | None:
    round_kinds = (DimensionKind.RADIUS, DimensionKind.DIAMETER)
    if dimension.kind not in round_kinds or dimension.sweep is None:
        return None
    if dimension.sweep < LEAST_SWEEP_DEG:
        return f"only {dimension.sweep:.0f}° of the arc are drawn"
    reach = dimension.ends[0].point.distance(dimension.ends[1].point)
    radius = reach / 2 if dimension.kind is DimensionKind.DIAMETER else reach
    sagitta = radius * (1 - math.cos(math.radians(min(dimension.sweep, 360.0) / 2)))
    if sheet.frame is Frame.PX and sagitta < LEAST_SAGITTA_PX:
        return "the arc is too small on this sheet"
    return None
