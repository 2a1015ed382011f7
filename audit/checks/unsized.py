"""Parts whose drawing gives sizes one way only: a width, and no height anywhere.

A part is told only where nothing can give the other way: no size in any of its views, none in a
view in line with it that may be another of it, no size of its row or of a note that is not printed
already, no round or square shape, and no text near by that was not understood.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import StrEnum

from audit.checks.missing import listed_thickness
from audit.checks.names import find_names, read_words
from audit.checks.parts import PartDrawing, PlanPart
from audit.geometry import Box, Transform
from audit.lengths import CalloutKind, Length, Unit
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    Finding,
    Place,
    Severity,
    Sheet,
    Statement,
    StatementKind,
    TextState,
    Verdict,
    View,
    ViewKind,
)
from audit.scale.findings import say

FACE_ON = frozenset({ViewKind.TRUE, ViewKind.FLAT_PATTERN})
LEVEL_DEG = 3.0  # scans are laid straighter than that
HOLE_SHARE = 0.5  # of the longest size of a view: a larger circle is its outline
ROUND_END_DEG = 150.0  # of arc: half a circle rounds an end, whose width is twice its radius
IN_LINE = 0.5  # of the shorter side: views that share so much of their height stand in line
NEAR_TEXT = 0.1  # of a view's size: a text not understood so near may be the size that lacks
# Titles of these words alone say from where something is seen, and name no part.
SEEN_FROM = frozenset(
    ("PLAN", "TOP", "BOTTOM", "SIDE", "FRONT", "BACK", "REAR", "END", "LEFT", "RIGHT", "ISOMETRIC")
)
ALL_WAYS = frozenset({CalloutKind.SQUARE, CalloutKind.SPHERICAL_DIAMETER})


class Way(StrEnum):
    """A direction of the sheet, and what a size along it is called."""

    ACROSS = "width"
    UP = "height"

    @property
    def other(self) -> Way:
        """The direction square to it."""
        return Way.UP if self is Way.ACROSS else Way.ACROSS


def check_unsized(parts: Sequence[PlanPart], audit: Audit) -> tuple[Finding, ...]:
    """Find parts that are drawn with sizes in one direction only.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        Judged.

    Returns
    -------
    tuple[Finding, ...]
        M102: a warning for a part that is listed or counted, a note for another.
    """
    sheets = {s.id: s for s in audit.sheets}
    names = [p.name for p in parts]
    told = []
    for part in parts:
        thick = listed_thickness(part)
        drawn = (_without(d, thick) for d in part.drawings)
        ways = {_only_way(d, sheets[d.sheet]) for d in drawn if d.dimensions}
        way = ways.pop() if len(ways) == 1 else None
        if way is None or part.is_round or part.is_disk or _is_listed(part) or _is_no_part(part):
            continue
        if not any(
            _may_be_given(d, part, way.other, names=names, audit=audit) for d in part.drawings
        ):
            told.append(_tell(part, way))
    return tuple(told)


def _without(drawing: PartDrawing, thick: Length | None) -> PartDrawing:
    """Leave out the sizes that repeat the thickness of the list: they are no height."""
    kept = tuple(d for d in drawing.dimensions if thick is None or d.printed != thick)
    return replace(drawing, dimensions=kept)


def _only_way(drawing: PartDrawing, sheet: Sheet) -> Way | None:
    """Return the one direction that the sizes of a drawing run in; `None` when it is not sure."""
    view = drawing.view
    if view is None or view.kind not in FACE_ON:
        return None
    ways: set[Way | None] = set()
    for dimension in drawing.dimensions:
        if dimension.verdict is Verdict.NOT_A_DIMENSION:
            continue
        if dimension.kind is not DimensionKind.DISTANCE:
            ways |= set() if _is_detail(dimension, drawing.dimensions) else {None}
        elif _says_more(dimension):
            ways.add(None)
        else:
            ways.add(_way_of(dimension, sheet.to_paper))
    return ways.pop() if len(ways) == 1 else None


def _is_detail(dimension: Dimension, others: Iterable[Dimension]) -> bool:
    """Whether a round size is that of a hole or a corner, and no outline's."""
    if dimension.kind is DimensionKind.RADIUS:
        return dimension.sweep is not None and dimension.sweep < ROUND_END_DEG
    if dimension.kind is not DimensionKind.DIAMETER or dimension.sweep is None:
        return False
    longest = max((_length(d) for d in others if d.kind is DimensionKind.DISTANCE), default=0.0)
    return _length(dimension) < HOLE_SHARE * longest


def _length(dimension: Dimension) -> float:
    return dimension.ends[0].point.distance(dimension.ends[-1].point)


def _says_more(dimension: Dimension) -> bool:
    """Whether a text is not understood, or gives a size in both directions."""
    callout = dimension.reading.callout if dimension.reading is not None else None
    if callout is None or callout.size is None or callout.size.unit is Unit.DEG:
        return True
    return callout.kind in ALL_WAYS or callout.second is not None


def _way_of(dimension: Dimension, to_paper: Transform) -> Way | None:
    """Return the direction of a length on the upright paper; `None` when it slopes."""
    a, b = (to_paper.apply(end.point) for end in dimension.ends)
    angle = math.degrees(math.atan2(abs(b.y - a.y), abs(b.x - a.x)))
    if angle <= LEVEL_DEG:
        return Way.ACROSS
    return Way.UP if angle >= 90.0 - LEVEL_DEG else None


def _is_no_part(part: PlanPart) -> bool:
    return not (part.rows or part.counts) and set(read_words(part.name)) <= SEEN_FROM


def _is_listed(part: PlanPart) -> bool:
    """Whether a row of the parts list gives a size that is not printed on the drawing."""
    printed = {d.printed for d in part.dimensions}
    return any(
        size not in printed and column != "T"
        for row in part.rows
        if row.form is not None
        for size, column in zip(
            row.form.sizes, row.form.columns or [""] * len(row.form.sizes), strict=True
        )
    )


def _may_be_given(
    drawing: PartDrawing, part: PlanPart, way: Way, *, names: Sequence[str], audit: Audit
) -> bool:
    """Whether a note, a view in line, or a text nobody understood may give a size."""
    view = drawing.view
    if view is None or any(_speaks_of(part.name, s.text, names) for s in _sized_notes(audit)):
        return True
    near = view.box.grown(NEAR_TEXT * max(view.box.width, view.box.height))
    lost = (t for t in audit.texts if t.sheet == view.sheet and t.state is TextState.NOT_CHECKED)
    if any(near.contains(t.box.centre) for t in lost):
        return True
    own = {d.view.id for d in part.drawings if d.view is not None}
    others = (v for v in audit.views if v.sheet == view.sheet and v.id not in own)
    return any(
        _stands_in_line(view.box, other.box, way)
        and _may_show(other, part.name, names)
        and _has_sizes(other, way, audit)
        for other in others
    )


def _has_sizes(view: View, way: Way, audit: Audit) -> bool:
    """Whether a view has sizes in a direction, or round and sloping ones that may be."""
    sheet = next(s for s in audit.sheets if s.id == view.sheet)
    mine = [d for d in audit.dimensions if d.view == view.id]
    return any(not _is_straight(d) or _way_of(d, sheet.to_paper) in (way, None) for d in mine)


def _is_straight(dimension: Dimension) -> bool:
    """Whether a size is drawn as a length, be it that of something round."""
    return dimension.kind is DimensionKind.DISTANCE or (
        dimension.kind is DimensionKind.DIAMETER and dimension.sweep is None
    )


def _sized_notes(audit: Audit) -> list[Statement]:
    kinds = (StatementKind.NOTE, StatementKind.STOCK)
    return [s for s in audit.statements if s.kind in kinds and any(c.isdigit() for c in s.text)]


def _speaks_of(name: str, text: str, names: Sequence[str]) -> bool:
    return any(found == name for _, found in find_names(text, names))


def _stands_in_line(one: Box, other: Box, way: Way) -> bool:
    """Whether two views share their height (or their width), as projections of one part do."""
    if way is Way.UP:
        shared = min(one.y1, other.y1) - max(one.y0, other.y0)
        return shared >= IN_LINE * min(one.height, other.height)
    shared = min(one.x1, other.x1) - max(one.x0, other.x0)
    return shared >= IN_LINE * min(one.width, other.width)


def _may_show(view: View, name: str, names: Sequence[str]) -> bool:
    """Whether a view may be one of a part: it is not titled as another alone."""
    shown = [found for _, found in find_names(view.title, names)] if view.title else []
    return not shown or name in shown


def _tell(part: PlanPart, way: Way) -> Finding:
    lacks = way.other
    text = (
        f"No {lacks} is given for {part.name}: its drawing has sizes {_ALONG[way]} only, and no "
        "other view, row of a list or note gives one. Ask before cutting."
    )
    places = [d.place for d in part.drawings]
    places += [Place(sheet=s.sheet, box=s.box) for s in part.rows]
    sure = bool(part.rows or part.counts)
    return say("M102", text, places=places, severity=None if sure else Severity.NOTE)


_ALONG = {Way.ACROSS: "across", Way.UP: "up and down"}
