"""Finds whole dimensions in a picture: the network proposes, geometry decides.

Terminators and text come from the page network, lines from the ink; pairing, what the ends stand
on, radii, angles, text and views are found as on vector pages. The ends are then fitted again on
the full raster. What the texts say plays no part in choosing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.assignment import assign_texts
from audit.dimensions.candidates import Candidate
from audit.dimensions.compartments import (
    readmit_at_tails,
    readmit_on_lines,
    set_aside_compartments,
)
from audit.dimensions.divided import without_divided
from audit.dimensions.ink import Ink
from audit.dimensions.raster_aiming import aim_along_runs
from audit.dimensions.raster_angles import aim_arcs
from audit.dimensions.raster_bare import without_bare_crossings, without_headless
from audit.dimensions.raster_bare_lines import SURE, find_bare_lines, is_bare
from audit.dimensions.raster_beside import find_beside
from audit.dimensions.raster_between_tails import find_between_tails
from audit.dimensions.raster_bows import lead_bows
from audit.dimensions.raster_breaks import find_gaps
from audit.dimensions.raster_crossed import find_crossed
from audit.dimensions.raster_ends import refine_ends, round_ends
from audit.dimensions.raster_faced_dots import aim_between_heads
from audit.dimensions.raster_forms import (
    free_forms,
    keep_along_leaders,
    lean_on_arcs,
    without_fragments,
    without_heads_as_texts,
)
from audit.dimensions.raster_habits import as_sheet_ends
from audit.dimensions.raster_layout import lay_out_askew
from audit.dimensions.raster_leader_choice import (
    doubt_rival_arcs,
    merge_leaders,
    without_bends_at_holes,
    without_crossed_rims,
    without_half_diameters,
    without_repeats,
)
from audit.dimensions.raster_leaders import find_leaders
from audit.dimensions.raster_letter_arcs import (
    without_centre_lines_as_texts,
    without_letter_arcs,
    without_on_frames,
)
from audit.dimensions.raster_marks import (
    set_marks,
    settle_on_arcs,
    stands_on_crossing,
    without_slash_ends,
    without_tick_bends,
)
from audit.dimensions.raster_middles import doubt_off_middle
from audit.dimensions.raster_one_headed import find_one_headed
from audit.dimensions.raster_outer_tails import aim_by_tails
from audit.dimensions.raster_page import (
    DEFAULT_PX_PER_MM,
    TracedPage,
    trace_page,
    with_texts,
)
from audit.dimensions.raster_sectors import find_sectors, merge_sectors, without_angle_arcs
from audit.dimensions.raster_stubs import lead_stubs
from audit.dimensions.raster_support import weigh_lines
from audit.dimensions.raster_texts import turn_texts
from audit.dimensions.raster_unmarked import find_unmarked
from audit.dimensions.raster_vetoes import without_vetoed
from audit.dimensions.raster_walked_leaders import with_walked
from audit.dimensions.raster_walked_lines import find_walked_lines
from audit.dimensions.raster_waver import measure_skewness
from audit.dimensions.texts import SizeText, TextForm, classify, without_second_rows
from audit.dimensions.vector import (
    FoundPage,
    find_candidates,
    holds,
    in_reading_order,
    is_between_marks,
    make_dimension,
    tails_of,
    that_may_hold,
)
from audit.geometry import Box, Point, project_onto
from audit.networks.page import PageMaps, Terminator
from audit.reading import TextLine
from audit.records import Dimension, DimensionKind, End, Reading, View
from audit.snapping import snap_angle

Gray = NDArray[np.uint8]

IN_TEXT_SCORE = 0.6  # of a tip amid letters
ON_LETTERS_SCORE = 0.3  # and of one where a line crosses another: grain crosses letters too
DOUBLE_PT = 1.2  # two candidates whose ends are this near are one
TIP_SCORE = 0.2  # of the network: fewer miss, more are false; pairs sort them out
ROUND = (DimensionKind.RADIUS, DimensionKind.DIAMETER)
MIN_SIGMA_PX = 0.03


def find_in_picture(
    gray: Gray,
    maps: PageMaps,
    texts: Sequence[TextLine],
    readings: Sequence[Reading],
    *,
    px_per_mm: float | None,
    sheet: int,
    upright: float,
    traced: TracedPage | None = None,
) -> FoundPage:
    """Find the dimensions of a picture and the views they stand in.

    Parameters
    ----------
    gray : (h, w) uint8 array
    maps : PageMaps
        What the network sees in it.
    texts : sequence of TextLine
        All texts of the picture, in its px.
    readings : sequence of Reading
        What each text was read as.
    px_per_mm : float or None
        Pixels to a millimetre of paper.
    sheet : int
    upright : float
        Direction in which most text runs, degrees.
    traced : TracedPage, optional
        Its strokes and arcs, when they were traced already.

    Returns
    -------
    FoundPage
        In px of the picture; `leftover` are records out of `texts`.
    """
    px = (px_per_mm or DEFAULT_PX_PER_MM) * 25.4 / 72
    in_pt = [_text_in_pt(t, 1 / px) for t in texts]
    traced = with_texts(traced or trace_page(gray, maps, px_per_mm=px_per_mm), in_pt)
    ink = Ink(traced.page, waver=traced.waver)
    cut, in_pt = turn_texts(in_pt, ink, upright=upright)
    sized = without_heads_as_texts(
        without_second_rows([classify(t) for t in in_pt]), traced.terminators
    )
    straight = traced.page.strokes.ends[~traced.page.strokes.curved]
    free = without_centre_lines_as_texts(without_fragments(sized), ink.arcs)
    sized = set_aside_compartments(free, straight)
    marks = set_marks(
        ink, without_on_frames(_seen_marks(traced, ink, sized, maps, px), ink.arcs, free)
    )
    arcs = without_letter_arcs(without_tick_bends(aim_arcs(ink, marks), marks), free)
    traced = replace(traced, page=lead_stubs(traced.page, ink, marks, sized, maps, px_per_pt=px))
    ink = Ink(traced.page, waver=traced.waver)
    ink.arcs = arcs
    along_runs = aim_along_runs(
        ink, settle_on_arcs(ink, marks), sized, maps, px_per_pt=px, upright=upright
    )
    marks = aim_between_heads(ink, aim_by_tails(ink, along_runs))
    found = [
        *find_candidates(traced.page, ink, marks, sized),
        *find_one_headed(ink, marks, sized, maps, px_per_pt=px),
        *find_between_tails(ink, sized, maps, px_per_pt=px),
        *find_crossed(ink, marks, sized, maps, px_per_pt=px),
    ]
    sectors = find_sectors(ink, traced.terminators, maps, px_per_pt=px)
    sectors += find_unmarked(ink, sized, sectors, maps, px_per_pt=px)
    rounds = without_angle_arcs(ink.arcs, sectors)
    found = merge_leaders(find_leaders(ink, rounds, traced.terminators), found)
    found = without_bends_at_holes(without_crossed_rims(found, traced.terminators))
    found = without_half_diameters(merge_sectors(sectors, doubt_rival_arcs(found)), rounds)
    weighed = that_may_hold(
        lead_bows(
            weigh_lines(without_divided(found), maps, px_per_pt=px, aimed=marks),
            sized,
            maps,
            px_per_pt=px,
        )
    )
    between = [(c.line[0], c.line[-1]) for c in weighed if is_between_marks(c)]
    sized = readmit_at_tails(
        readmit_on_lines(sized, free, lines=between),
        free,
        tails=[tail for c in weighed for tail in tails_of(c)],
    )
    sized = keep_along_leaders(sized, cut, found)
    sized = free_forms(lean_on_arcs(sized, found), found)
    candidates = with_walked(
        without_doubles(
            [
                *weighed,
                *find_beside(ink, sized, marks),
                *find_bare_lines(ink, traced.terminators, sized, maps, px_per_pt=px),
                *find_walked_lines(ink, marks, sized, maps, px_per_pt=px),
            ],
            play=ink.play,
        ),
        sized,
        rounds,
        terminators=traced.terminators,
        gray=gray,
        maps=maps,
        px_per_pt=px,
    )
    assigned = without_repeats(assign_texts(candidates, sized, upright=upright), candidates, sized)
    likely = without_vetoed(assigned, candidates, sized, ink, traced.terminators)
    matches = in_reading_order([m for m in likely if holds(candidates[m.candidate], m)], candidates)
    drawn = doubt_off_middle(
        [
            make_dimension(
                number,
                candidates[m.candidate],
                m,
                form=TextForm.OTHER if m.text < 0 else sized[m.text].form,
                reading=None if m.text < 0 else _scale_reading(readings[m.text], 1 / px),
                sheet=sheet,
            )
            for number, m in enumerate(matches, 1)
        ],
        [m.text for m in matches],
        sized,
        ink,
    )
    used = {m.text for m in matches if m.text >= 0}
    layout = lay_out_askew(
        traced.page,
        drawn,
        [t for k, t in enumerate(in_pt) if k not in used],
        lettering=in_pt,
        sheet=sheet,
        upright=upright,
        breaks=find_gaps(ink, measured=[d.line for d in drawn], texts=[t.box for t in in_pt]),
        halves=frozenset(n for n, m in enumerate(matches, 1) if candidates[m.candidate].half),
    )
    askew = measure_skewness(ink) * px
    dimensions = tuple(_on_raster(gray, ink, d, px, askew=askew) for d in layout.dimensions)
    leftover = tuple(t for k, t in enumerate(texts) if k not in used)
    views = tuple(_view_in_px(v, px) for v in layout.views)
    return FoundPage(dimensions=dimensions, leftover=leftover, views=views)


def _seen_marks(
    traced: TracedPage, ink: Ink, texts: Sequence[SizeText], maps: PageMaps, px: float
) -> list[Terminator]:
    """Terminators that are likely enough, and neither parts of letters nor mere crossings."""
    lines = [text.line for text in texts]
    least = SURE if is_bare(traced.terminators, texts) else TIP_SCORE
    sure = [
        t
        for t in traced.terminators
        if t.score >= least
        and (
            t.score >= IN_TEXT_SCORE
            or not _in_a_text(t.point, lines)
            or (t.score >= ON_LETTERS_SCORE and stands_on_crossing(ink, t.point, t.direction))
        )
    ]
    headed = without_headless(without_slash_ends(ink, sure), maps, px_per_pt=px)
    bare = without_bare_crossings(ink, headed, maps, px_per_pt=px)
    return as_sheet_ends(bare, ink)


def _in_a_text(p: Point, texts: Sequence[TextLine]) -> bool:
    """Whether a point lies well inside a text."""
    for text in texts:
        if not text.box.contains(p):
            continue
        a, b, _, d = text.quad
        along, aside = project_onto(p, a, b) if a != b else (0.0, 0.0)
        length, height = a.distance(b), a.distance(d)
        rim = 0.12 * height
        if rim < along < length - rim and rim < abs(aside) < height - rim:
            return True
    return False


def without_doubles(candidates: Sequence[Candidate], *, play: float = 0.0) -> list[Candidate]:
    """Leave out candidates that a stronger one of the same kind shows already.

    A traced line may be taken twice, a hair apart, or by hand as far as lines stray (`play`, pt);
    each would look for a text of its own.
    """
    kept: list[Candidate] = []
    cells: dict[tuple[int, int], list[Candidate]] = {}
    for candidate in sorted(candidates, key=lambda c: -c.strength):
        middle = Box.around([e.point for e in candidate.ends]).centre
        column, row = round(middle.x / 4), round(middle.y / 4)
        near = [
            other
            for i in (-1, 0, 1)
            for j in (-1, 0, 1)
            for other in cells.get((column + i, row + j), ())
        ]
        if any(_is_double(candidate, other, DOUBLE_PT + play) for other in near):
            continue
        kept.append(candidate)
        cells.setdefault((column, row), []).append(candidate)
    return kept


def _is_double(one: Candidate, other: Candidate, within: float) -> bool:
    if one.kind is not other.kind or len(one.ends) != len(other.ends) or one.leader:
        return False
    first = [e.point for e in one.ends]
    second = [e.point for e in other.ends]
    return any(
        all(a.distance(b) < within for a, b in zip(first, order, strict=True))
        for order in (second, second[::-1])
    )


def _on_raster(gray: Gray, ink: Ink, d: Dimension, px: float, *, askew: float) -> Dimension:
    """Bring a dimension into px, its ends fitted on the ink; lines stand `askew` px at one end."""
    line = tuple(Point(p.x * px, p.y * px) for p in d.line)
    if d.reading is not None:
        d = replace(d, reading=_scale_reading(d.reading, px))
    rough = tuple(_end_in_px(end, px) for end in d.ends)
    points = [end.point for end in rough]
    is_radius = d.kind is DimensionKind.RADIUS
    if d.kind in ROUND and d.sweep is not None:
        stray = max(ink.waver * px, askew)
        ends = round_ends(rough, d.sweep, is_radius=is_radius, stray=stray)
        return replace(d, line=line, ends=ends)
    if d.kind is DimensionKind.ANGLE:
        snapped = snap_angle(gray, points[0], points[1], points[2])
        if not snapped.remark and snapped.ends[0].point.distance(points[0]) < 4.0 * px:
            return replace(d, line=line, ends=snapped.ends)
    if len(d.ends) == 2 and d.sweep is None:
        ends = refine_ends(gray, ink, d.ends, px_per_pt=px)
        loose = tuple(replace(end, sigma=math.hypot(end.sigma, askew)) for end in ends)
        return replace(d, line=line, ends=loose)
    return replace(d, line=line, ends=rough)


def _end_in_px(end: End, px: float) -> End:
    return replace(
        end,
        point=Point(end.point.x * px, end.point.y * px),
        sigma=max(end.sigma * px, MIN_SIGMA_PX),
        line_width=end.line_width * px,
    )


def _scale_reading(reading: Reading, by: float) -> Reading:
    return replace(reading, box=Box(*(v * by for v in reading.box)))


def _view_in_px(view: View, px: float) -> View:
    return replace(view, box=Box(*(v * px for v in view.box)))


def _text_in_pt(text: TextLine, by: float) -> TextLine:
    a, b, c, d = (Point(p.x * by, p.y * by) for p in text.quad)
    return replace(
        text, box=Box(*(v * by for v in text.box)), quad=(a, b, c, d), height=text.height * by
    )
