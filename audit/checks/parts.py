"""Parts: where each is drawn, listed and counted.

A part is a name that a parts list, a title under a view, or the line above a count gives. A view
belongs to the part its title names; where views have no titles, what is drawn right above the name
of a counted part belongs to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from audit.checks.grouping import group_boxes, paper_box
from audit.checks.names import is_same_name, match_name, plain_name, read_rule, read_words
from audit.checks.stations import REGION_PAPER_MM
from audit.geometry import Box
from audit.lengths import CalloutKind, FormKind, parse_statements
from audit.records import (
    Audit,
    Dimension,
    Place,
    Sheet,
    Statement,
    StatementKind,
    View,
)

COUNT_REACH_MM = 30.0  # paper, from a view to the count under it
ROUND_STOCK = frozenset(("DOWEL", "ROD", "TUBE", "BAR"))

ROUND_NAMES = frozenset(("AXLE", "DOWEL", "PEG", "PIN", "ROD", "SHAFT", "SPINDLE"))
FLAT_RODS = frozenset(("CONNECTING", "CON", "PISTON", "PUSH", "TIE"))  # mostly cut from flat stock


@dataclass(frozen=True, slots=True, kw_only=True)
class PartDrawing:
    """One view of a part: its dimensions, where it is, and the view when it has one."""

    sheet: int
    box: Box
    dimensions: tuple[Dimension, ...]
    view: View | None = None

    @property
    def place(self) -> Place:
        """Where it is."""
        return Place(sheet=self.sheet, box=self.box)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPart:
    """All that a plan says of one part."""

    name: str
    drawings: tuple[PartDrawing, ...] = ()
    rows: tuple[Statement, ...] = ()
    counts: tuple[Statement, ...] = ()

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """Of all its drawings."""
        return tuple(d for drawing in self.drawings for d in drawing.dimensions)

    @property
    def is_disk(self) -> bool:
        """Whether it is listed by a diameter and a thickness."""
        return any({"D", "T"} == set(row.form.columns) for row in self.rows if row.form)

    @property
    def is_round(self) -> bool:
        """Whether it is listed as made of round stock, or, unlisted, named as what is round.

        A row that gives a diameter and a length lists a round piece, whatever it is made of.
        """
        if any({"D", "L"} == set(row.form.columns) for row in self.rows if row.form):
            return True
        materials = [w for row in self.rows if row.form for w in read_words(row.form.material)]
        if materials:
            return bool(ROUND_STOCK & set(materials))
        words = read_words(self.name)
        return bool(words) and words[-1] in ROUND_NAMES and not FLAT_RODS & set(words)


def find_parts(audit: Audit) -> tuple[PlanPart, ...]:
    """Bring together what a plan draws, lists and counts under one name.

    Parameters
    ----------
    audit : Audit
        Judged.

    Returns
    -------
    tuple[PlanPart, ...]
        Listed parts in the order of the list, then others.
    """
    rows = _fill_dittos([s for s in audit.statements if s.kind is StatementKind.PARTS_ROW])
    listed = list(dict.fromkeys(row.subject for row in rows if row.subject))
    names = list(listed)
    names += [p.name for p in audit.parts if p.views and match_name(p.name, names) is None]
    counts = [s for s in audit.statements if s.kind is StatementKind.COUNT and s.count]
    titles = [v.title for v in audit.views] + [c.subject for c in counts]
    for title in (t for t in titles if t):
        if match_name(title, listed) is None and _name_by_mark(title, rows) is not None:
            continue
        name = plain_name(_name_in(title))
        # CAM ROD is no CAM, unless a list names no rod
        known = match_name(name, listed) is not None or any(is_same_name(name, n) for n in names)
        if name and not known:
            names.append(name)
    given = _draw_given(audit, names)
    drawings = given + [
        (name, drawing)
        for name, drawing in _draw_titled(audit, names, rows) + _draw_labelled(audit, counts, names)
        if drawing.view is None or drawing.view not in [own.view for _, own in given]
    ]
    counted = [(_name_of_count(c, names, audit), c) for c in counts]
    return tuple(
        PlanPart(
            name=name,
            drawings=tuple(d for n, d in drawings if n == name),
            rows=tuple(r for r in rows if is_same_name(r.subject, name)),
            counts=tuple(c for n, c in counted if n == name),
        )
        for name in names
    )


def _draw_given(audit: Audit, names: Sequence[str]) -> list[tuple[str, PartDrawing]]:
    """Return the views that a person gave to a part, the first with what else he gave it."""
    found = []
    for part in audit.parts:
        more = set(part.dimensions)
        for view in (v for v in audit.views if v.id in part.views):
            mine = tuple(d for d in audit.dimensions if d.view == view.id or d.id in more)
            more.clear()
            drawing = PartDrawing(sheet=view.sheet, box=view.box, dimensions=mine, view=view)
            found.append((match_name(part.name, names) or part.name, drawing))
    return found


def _name_in(title: str) -> str:
    """Return the part a title names; empty when it only says how something is seen, or counts.

    A count in the title is no part of the name: LIFT STEP, MAKE 4. A rule with its length, drawn
    for whoever copies the sheet, is none: CHECK RULE 4 IN.
    """
    if read_rule(title) is not None:
        return ""
    forms = parse_statements(title, unit=None)
    if any(f.kind is FormKind.TITLE for f in forms):
        return ""
    counted = [f for f in forms if f.kind is FormKind.COUNT]
    if counted:
        return counted[0].subject.upper()
    return title.upper()


def _fill_dittos(rows: Sequence[Statement]) -> list[Statement]:
    """Give a row that repeats the one above its sizes and material."""
    filled: list[Statement] = []
    for row in rows:
        form, above = row.form, filled[-1].form if filled else None
        if form is not None and above is not None and form.material == '"':
            more = replace(
                form,
                material=above.material,
                sizes=form.sizes or above.sizes,
                columns=form.columns if form.sizes else above.columns,
                count=form.count if form.count is not None else above.count,
            )
            filled.append(replace(row, form=more, count=more.count))
        else:
            filled.append(row)
    return filled


def _name_by_mark(title: str, rows: Iterable[Statement]) -> str | None:
    """Return the part that a title names by its mark of the list, with a word more: D KNOB WHEEL.

    The mark alone is not enough: the name of its row must end what the title says, and no more
    than one word may stand before it, or 4 HOLES IN RAIL would be the rail that is No. 4.
    """
    words = read_words(title)
    for row in rows:
        name, mark = read_words(row.subject or ""), read_words(row.form.item if row.form else "")
        more = words[len(mark) : len(words) - len(name)]
        if mark and name and len(more) == 1 and words == (*mark, *more, *name):
            return row.subject
    return None


def _draw_titled(
    audit: Audit, names: Sequence[str], rows: Sequence[Statement]
) -> list[tuple[str, PartDrawing]]:
    found = []
    for view in audit.views:
        name = None
        if view.title:
            name = match_name(view.title, names) or _name_by_mark(view.title, rows)
        if name is not None:
            mine = tuple(d for d in audit.dimensions if d.view == view.id)
            drawing = PartDrawing(sheet=view.sheet, box=view.box, dimensions=mine, view=view)
            found.append((name, drawing))
    return found


def _draw_labelled(
    audit: Audit, counts: Iterable[Statement], names: Sequence[str]
) -> list[tuple[str, PartDrawing]]:
    """Where views have no titles: what is drawn right above a counted name is that part."""
    titled = {v.id for v in audit.views if v.title}
    counts = list(counts)
    found = []
    for sheet in audit.sheets:
        loose = [d for d in audit.dimensions if d.sheet == sheet.id and d.view not in titled]
        labels = [c for c in counts if c.sheet == sheet.id and c.subject]
        if not loose or not labels:
            continue
        regions = [_region_drawing(r, sheet) for r in part_regions(loose, sheet)]
        for label in labels:
            name = match_name(label.subject, names)
            region = _above(label, regions, labels, sheet)
            if name is not None and region is not None:
                found.append((name, region))
    return found


def part_regions(dimensions: Sequence[Dimension], sheet: Sheet) -> list[list[Dimension]]:
    """Part dimensions into groups that stand apart on the paper."""
    boxes = [paper_box(d, sheet).grown(REGION_PAPER_MM) for d in dimensions]
    return [[dimensions[k] for k in group] for group in group_boxes(boxes)]


def _region_drawing(dimensions: Sequence[Dimension], sheet: Sheet) -> PartDrawing:
    points = [e.point for d in dimensions for e in d.ends]
    return PartDrawing(sheet=sheet.id, box=Box.around(points), dimensions=tuple(dimensions))


def _above(
    label: Statement, regions: Sequence[PartDrawing], labels: Sequence[Statement], sheet: Sheet
) -> PartDrawing | None:
    """Find the one region right above a label; none when another label is as near to it."""
    near = sorted(
        (away, k)
        for k, region in enumerate(regions)
        if (away := _height_above(label.box, region.box, sheet)) is not None
    )
    if not near or near[0][0] > COUNT_REACH_MM:
        return None
    region = regions[near[0][1]]
    others = [_apart(o.box, region.box, sheet) for o in labels if o is not label]
    return region if all(near[0][0] < other for other in others) else None


def _height_above(label: Box, region: Box, sheet: Sheet) -> float | None:
    """How far above a level text a region stands, mm of paper; `None` when it does not."""
    text, drawn = _on_paper(label, sheet), _on_paper(region, sheet)
    level = text.width > text.height
    over = drawn.centre.y < text.centre.y and drawn.y1 <= text.y0 + REGION_PAPER_MM
    meets = drawn.x0 <= text.x1 and text.x0 <= drawn.x1
    return max(text.y0 - drawn.y1, 0.0) if level and over and meets else None


def _on_paper(box: Box, sheet: Sheet) -> Box:
    return Box.around([sheet.to_paper.apply(c) for c in box.corners])


def _apart(first: Box, second: Box, sheet: Sheet) -> float:
    """Distance of two boxes on the paper, mm."""
    a, b = _on_paper(first, sheet), _on_paper(second, sheet)
    dx = max(a.x0 - b.x1, b.x0 - a.x1, 0.0)
    dy = max(a.y0 - b.y1, b.y0 - a.y1, 0.0)
    return float((dx * dx + dy * dy) ** 0.5)


def _name_of_count(count: Statement, names: Sequence[str], audit: Audit) -> str | None:
    """Say which part a count is of: named in it, or drawn right above it."""
    if count.subject:
        return match_name(count.subject, names)
    view = nearest_view(count, audit)
    return match_name(view.title, names) if view is not None else None


def nearest_view(statement: Statement, audit: Audit) -> View | None:
    """Return the titled view that a text under a drawing belongs to.

    Parameters
    ----------
    statement : Statement
        A count, a thickness.
    audit : Audit
        For its views and sheets.

    Returns
    -------
    View | None
        The nearest on the same sheet, when it is near on the paper.
    """
    sheet = next((s for s in audit.sheets if s.id == statement.sheet), None)
    views = [v for v in audit.views if v.sheet == statement.sheet and v.title]
    if sheet is None or not views:
        return None
    nearest = min(views, key=lambda v: _apart(statement.box, v.box, sheet))
    return nearest if _apart(statement.box, nearest.box, sheet) <= COUNT_REACH_MM else None


def thickness_notes(audit: Audit) -> tuple[Statement, ...]:
    """Return the general notes that give parts their thickness."""
    return tuple(
        s
        for s in audit.statements
        if s.kind is StatementKind.NOTE
        and s.value is not None
        and s.form is not None
        and s.form.value_kind is CalloutKind.THICKNESS
    )
