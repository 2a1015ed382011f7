"""Views: regions of a sheet drawn at one scale, found by the space between them.

Border, title block and tables hang together with the sheet's frame or are plain grids; they are no
views. Everything else that stands close together is one; a dimension joins what it spans.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.dimensions.breaks import BreakPair
from audit.dimensions.figures import find_figure_names, find_figure_numbers, numbers_of
from audit.dimensions.ink import Ink
from audit.dimensions.pictorial import find_pictorial
from audit.dimensions.regions import Regions, reach_of
from audit.geometry import Box, Point
from audit.lengths import FormKind, parse_statements
from audit.reading.pdf_text import TextLine
from audit.records import Dimension, NoScale, VectorPage, View, ViewKind

TITLE_BELOW_PT = 72.0
SAME_ROW = 0.5  # heights of a title, between the middles of two that stand side by side
INSIDE_SHARE = 0.6

_SCALE = re.compile(
    r"(?:SCALE\s*[:=]?\s*)(?P<named>[^\n,;]{1,40})"
    r"|(?P<ratio>\b\d+(?:\.\d+)?\s*:\s*\d+(?:\.\d+)?\b)"
    r"|(?P<size>\b(?:FULL|HALF|QUARTER|DOUBLE|TWICE)\s+SIZE\b)"
    r"|(?P<feet>\b\d+(?:/\d+)?\s*[\"”]\s*=\s*1\s*['’](?:-0[\"”])?)",
    re.IGNORECASE,
)
_WORD = re.compile("[A-Za-z]{2}")
LONGEST_NAME = 60  # letters; captions that name a view or a figure may be longer
# What a note to the maker begins with; common practice, no source. Some are nouns too.
_ORDER = re.compile(
    r"^(?:\d+[.)] *)?(?:ATTACH|BORE|BREAK|CUT|DRILL|DRIVE|FASTEN|FINISH|GLUE|INSERT|NAIL|PAINT"
    r"|PLACE|SAND|SCREW|USE)\b(?=.*\d)",
    re.IGNORECASE | re.DOTALL,
)
_HOLES = re.compile(r"^(?:Ø ?)?\d.*(?:\bHOLES\b|\bDIA\.? HOLE\b)", re.IGNORECASE | re.DOTALL)
LEAST_ORDER = 5  # words of a sentence without its full stop; names of parts have fewer
_ADDRESS = re.compile(r"@|\bwww\.|https?:", re.IGNORECASE)
_HEADING = re.compile(r":\s*$")
_VIEW_WORD = re.compile(
    r"\b(?:FIG(?:URE)?|VIEW|SECT(?:ION)?|ELEVATION|DETAIL|PLAN)\b", re.IGNORECASE
)
_NO_TITLE = frozenset({FormKind.COUNT, FormKind.NOTE})  # but for those of something named
_KINDS = (
    (re.compile(r"\bN\.?T\.?S\.?\b|NOT TO SCALE|NO SCALE", re.IGNORECASE), ViewKind.NOT_TO_SCALE),
    (re.compile(r"\bSECTION\b|\bSECT\.", re.IGNORECASE), ViewKind.SECTION),
    (
        re.compile(r"ISOMETRIC|PERSPECTIVE|PICTORIAL|EXPLODED|OBLIQUE VIEW", re.IGNORECASE),
        ViewKind.PICTORIAL,
    ),
    (re.compile(r"FLAT PATTERN|DEVELOPMENT\b", re.IGNORECASE), ViewKind.FLAT_PATTERN),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Views, the dimensions with their view's number, and the texts used as titles."""

    views: tuple[View, ...]
    dimensions: tuple[Dimension, ...]


def lay_out(
    page: VectorPage,
    ink: Ink,
    dimensions: Sequence[Dimension],
    texts: Sequence[TextLine],
    *,
    sheet: int,
    upright: float,
    lettering: Sequence[TextLine] = (),
    breaks: Sequence[BreakPair] = (),
    halves: frozenset[int] = frozenset(),
) -> Layout:
    """Group a page into views, and give each dimension its view.

    `texts` are those that belong to no dimension; `lettering` are texts of dimensions whose letters
    are strokes of the page; `halves` the ids of dimensions that end past a centre line.
    """
    measured = [p for d in dimensions for p in reach_of(d)]
    labels = Regions(page, ink, measured, dimensions=dimensions, lettering=[*texts, *lettering])
    for dimension in dimensions:
        labels.join(dimension)
    labels.part_figures(
        dimensions,
        find_figure_numbers(texts, upright=upright),
        lambda box: [
            t
            for t in find_figure_names(numbers_of(box, texts), upright=upright)
            if _may_name(t.text)
        ],
    )
    boxes = labels.boxes(dimensions)
    order = sorted(boxes, key=lambda k: (round(boxes[k].y0 / 50), boxes[k].x0))
    number = {label: i for i, label in enumerate(order, 1)}
    placed = tuple(
        replace(
            d, view=number.get(labels.label_of(reach_of(d)), 0), across_break=_across(d, breaks)
        )
        for d in dimensions
    )
    views = []
    for label in order:
        own = [d for d in placed if d.view == number[label]]
        view = _view(number[label], boxes[label], own, texts, sheet=sheet, upright=upright)
        broken = any(boxes[label].overlaps(b.box) for b in breaks)
        if view.kind in (ViewKind.TRUE, ViewKind.UNKNOWN) and broken:
            view = replace(view, kind=ViewKind.BROKEN)
        elif view.kind is ViewKind.TRUE and any(d.id in halves for d in own):
            view = replace(view, kind=ViewKind.HALF)
        views.append(view)
    return _with_pictorial(Layout(views=tuple(views), dimensions=placed), ink, upright=upright)


def _with_pictorial(layout: Layout, ink: Ink, *, upright: float) -> Layout:
    """Give the sizes of pictorial views a view of their own, where more was taken for one view."""
    ids = find_pictorial(ink, layout.dimensions, upright=upright)
    views, dimensions = list(layout.views), list(layout.dimensions)
    for view in layout.views:
        own = [d for d in layout.dimensions if d.view == view.id]
        slanted = [d for d in own if d.id in ids]
        if view.kind is not ViewKind.TRUE or not slanted:
            continue
        if 2 * len(slanted) >= len(own):
            views[views.index(view)] = replace(view, kind=ViewKind.PICTORIAL)
            continue
        box = Box.around([p for d in slanted for p in reach_of(d)])
        part = replace(view, id=len(views) + 1, kind=ViewKind.PICTORIAL, box=box, title="")
        views.append(part)
        dimensions = [
            replace(d, view=part.id) if d.view == view.id and d.id in ids else d for d in dimensions
        ]
    return Layout(views=tuple(views), dimensions=tuple(dimensions))


def _across(dimension: Dimension, breaks: Sequence[BreakPair]) -> bool:
    first, last = dimension.ends[0].point, dimension.ends[-1].point
    return len(dimension.ends) == 2 and any(b.lies_between(first, last) for b in breaks)


def _view(
    number: int,
    box: Box,
    own: Sequence[Dimension],
    texts: Sequence[TextLine],
    *,
    sheet: int,
    upright: float,
) -> View:
    below = _texts_below(box, texts, upright)
    scale = next((s for t in below for s in [stated_scale(t.text)] if s is not None), None)
    words = " ".join(t.text for t in below)
    kind = next((k for pattern, k in _KINDS if pattern.search(words)), None)
    if kind is None:
        kind = ViewKind.TRUE if own else ViewKind.UNKNOWN
    plain = [replace(t, text=_SCALE.sub("", t.text).strip(" -–—,;()")) for t in below]
    named = [t for t in plain if _may_name(t.text)]
    named.sort(key=lambda t: t.text[:1].isdigit())  # 1/8 THICK stands nearer than many a name
    return View(
        id=number,
        sheet=sheet,
        kind=kind,
        box=box,
        title=" / ".join(t.text.replace("\n", " ") for t in _in_row(named, upright)),
        stated_scale=scale,
        scale=NoScale(reason="not scaled yet"),
    )


def _in_row(titles: Sequence[TextLine], upright: float) -> list[TextLine]:
    """Return the first title and those beside it in its row: of parts drawn together each has one.

    A text that begins with a figure is a title only where there is no other.
    """
    turn = math.radians(upright)
    first = titles[0] if titles else None
    beside = [
        t
        for t in titles
        if first is not None
        and t.text[:1].isdigit() == first.text[:1].isdigit()
        and abs(_down(t.centre, turn) - _down(first.centre, turn)) < SAME_ROW * first.height
    ]
    return sorted(beside, key=lambda t: t.centre.x * math.cos(turn) - t.centre.y * math.sin(turn))


def _down(p: Point, turn: float) -> float:
    return p.y * math.cos(turn) + p.x * math.sin(turn)


def _may_name(text: str) -> bool:
    """Whether a text under a view may be its title: words, no heading, no mere count or note."""
    of_a_view = _VIEW_WORD.search(text) is not None
    is_heading = _HEADING.search(text) is not None and not of_a_view
    is_note = len(text) > LONGEST_NAME or _is_order(text) or _HOLES.search(text) is not None
    is_sentence = is_note and not of_a_view
    if _WORD.search(text) is None or is_heading or is_sentence or _ADDRESS.search(text):
        return False
    forms = parse_statements(text, unit=None)
    return not any(
        form.kind is FormKind.UNIT or (form.kind in _NO_TITLE and not form.subject)
        for form in forms
    )


def _is_order(text: str) -> bool:
    """Whether a text tells the maker what to do, with a number: GLUE 1/2 DIA PEGS IN ALL HOLES."""
    words = re.findall("[A-Za-z]{2,}", text)
    return _ORDER.search(text) is not None and (text.endswith(".") or len(words) >= LEAST_ORDER)


def stated_scale(text: str) -> str | None:
    """Read the scale a title states, as printed; `None` when it states none.

    Examples
    --------
    >>> stated_scale("SIDE PLATE  SCALE 1:2"), stated_scale("HALF SIZE"), stated_scale("MAKE 2")
    ('1:2', 'HALF SIZE', None)
    """
    match = _SCALE.search(text)
    if match is None:
        return None
    found = next(g for g in match.groups() if g is not None)
    return " ".join(found.split()) or None


def _texts_below(box: Box, texts: Sequence[TextLine], upright: float) -> list[TextLine]:
    """Upright texts under a view, nearest first, no further than a title stands."""
    turn = math.radians(upright)
    ux, uy = math.cos(turn), -math.sin(turn)

    def place(p: Point) -> tuple[float, float]:
        return p.x * ux + p.y * uy, p.y * ux - p.x * uy

    corners = [place(c) for c in box.corners]
    left, right = min(c[0] for c in corners), max(c[0] for c in corners)
    bottom = max(c[1] for c in corners)
    middle = (left + right) / 2
    found = []
    for text in texts:
        if abs((text.angle - upright + 180.0) % 360.0 - 180.0) > 3.0:
            continue
        x, y = place(text.centre)
        gap = y - text.height / 2 - bottom
        reach = max((right - left) / 2, text.length / 2)
        # in perspective the box of a view reaches beside its title
        if -max(4.0, text.height) < gap < TITLE_BELOW_PT and abs(x - middle) < reach:
            found.append((gap, text))
    found.sort(key=lambda row: row[0])
    return [text for _, text in found]
