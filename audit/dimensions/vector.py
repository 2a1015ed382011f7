"""Finds whole dimensions on a vector page: line, ends, extension lines, text.

Words: a *mark* ends a dimension line (arrowhead, tick, dot); a *candidate* is a dimension before it
has its text; the *crossing* under a mark is the extension line, outline or centre line measured to.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.dimensions.angular import find_angles, find_bare_angles
from audit.dimensions.assignment import Match, assign_texts
from audit.dimensions.breaks import find_breaks
from audit.dimensions.candidates import Candidate
from audit.dimensions.compartments import set_aside_compartments
from audit.dimensions.half_views import find_half_dimensions
from audit.dimensions.ink import Ink
from audit.dimensions.lettering import (
    lettering_factor,
    scale_dimension,
    scale_page,
    scale_text,
    scale_view,
)
from audit.dimensions.linear import find_linear
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.ordinate import find_ordinates
from audit.dimensions.plain_lines import find_plain
from audit.dimensions.radial import find_radial
from audit.dimensions.stemmed_arrows import with_stems
from audit.dimensions.terminators import Mark, find_marks
from audit.dimensions.texts import (
    SizeText,
    TextForm,
    classify,
    classify_all,
    read_text,
    sizes_on_lines,
)
from audit.dimensions.views import lay_out
from audit.geometry import Point
from audit.lengths import Unit
from audit.reading.pdf_text import TextLine
from audit.records import Arc, Dimension, DimensionKind, Reading, VectorPage, View

MIN_STRENGTH = 0.3  # with a text
ALONE_STRENGTH = 0.75  # without one
SURE_STRENGTH = 0.6  # of a line with its marks alone
TWIN_PT = 0.4  # between the ends of a dimension and its copy: hairlines apart
TAIL_PT, ON_TIP_PT = 4.0, 3.0  # least length of a tail; from its head's tip to where it begins
BALLOON = 3.0  # letter heights: the largest radius of an item balloon


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPage:
    """What was found on one page.

    `leftover` are the texts that belong to no dimension; views carry no scale yet.
    """

    dimensions: tuple[Dimension, ...]
    leftover: tuple[TextLine, ...]
    views: tuple[View, ...] = ()


def find_dimensions(
    page: VectorPage, texts: Sequence[TextLine], *, sheet: int, unit: Unit | None
) -> FoundPage:
    """Find the dimensions of a page and the views they stand in.

    Dimensions are numbered from 1 and not yet judged; their ends are exact. One without text has
    no reading.
    """
    k = lettering_factor([t for t in texts if t.visible and classify(t).plain])
    if k == 1.0:
        plain = _find(page, texts, sheet=sheet, unit=unit)
        return replace(plain, dimensions=sizes_on_lines(plain.dimensions, unit=unit))
    lines = [scale_text(t, k) for t in texts]
    own = {id(line): text for line, text in zip(lines, texts, strict=True)}
    found = _find(scale_page(page, k), lines, sheet=sheet, unit=unit)
    sized = sizes_on_lines(found.dimensions, unit=unit)
    return FoundPage(
        dimensions=tuple(scale_dimension(d, 1 / k) for d in sized),
        leftover=tuple(own[id(t)] for t in found.leftover),
        views=tuple(scale_view(v, 1 / k) for v in found.views),
    )


def _find(
    page: VectorPage, texts: Sequence[TextLine], *, sheet: int, unit: Unit | None
) -> FoundPage:
    page = with_stems(page)
    ink = Ink(page)
    balloons = [a for a in page.arcs if a.is_circle]
    loose = [t for t in texts if t.visible and not in_balloon(t, balloons)]
    sized = classify_all(loose)
    candidates = that_may_hold(find_candidates(page, ink, find_marks(page, ink), sized))
    straight = page.strokes.ends[~page.strokes.curved]
    drawn = [(c.line[0], c.line[-1]) for c in candidates if is_between_marks(c)]
    sized = set_aside_compartments(sized, straight, lines=drawn)
    upright = main_direction(texts, page.turn)
    matches = assign_texts(candidates, sized, upright=upright)
    kept = [m for m in matches if holds(candidates[m.candidate], m)]
    dimensions = tuple(
        make_dimension(
            number,
            candidates[m.candidate],
            m,
            form=TextForm.OTHER if m.text < 0 else sized[m.text].form,
            reading=None if m.text < 0 else read_text(sized[m.text].line, unit=unit),
            sheet=sheet,
        )
        for number, m in enumerate(in_reading_order(kept, candidates), 1)
    )
    used = {id(sized[m.text].line) for m in kept if m.text >= 0}
    leftover = tuple(t for t in texts if id(t) not in used)
    layout = lay_out(
        page,
        ink,
        dimensions,
        [t for t in leftover if t.visible],
        sheet=sheet,
        upright=upright,
        breaks=find_breaks(ink),
        halves=frozenset(
            number
            for number, m in enumerate(in_reading_order(kept, candidates), 1)
            if candidates[m.candidate].half
        ),
    )
    return FoundPage(dimensions=layout.dimensions, leftover=leftover, views=layout.views)


def is_between_marks(candidate: Candidate) -> bool:
    """Whether a candidate is a dimension line by itself, whatever stands beside it."""
    straight = candidate.kind in (DimensionKind.DISTANCE, DimensionKind.DIAMETER)
    return straight and not candidate.leader and candidate.strength >= SURE_STRENGTH


def tails_of(candidate: Candidate) -> list[tuple[Point, Point]]:
    """Ends of a narrow dimension and how far its line runs past each, behind heads outside it."""
    if not is_between_marks(candidate) or not candidate.places:
        return []
    place = candidate.places[0]
    before = [a for a, b in place.ink if a < place.low - TAIL_PT and b > place.low - ON_TIP_PT]
    after = [b for a, b in place.ink if b > place.high + TAIL_PT and a < place.high + ON_TIP_PT]
    ends = [(place.low, min(before))] if before else []
    ends += [(place.high, max(after))] if after else []
    return [(place.line.at(tip), place.line.at(end)) for tip, end in ends]


def in_balloon(text: TextLine, circles: Sequence[Arc]) -> bool:
    """Whether a text is an item number: alone in a circle not much larger than itself."""
    return any(
        c.centre.distance(text.centre) < 0.25 * c.radius
        and 0.5 * text.length < c.radius < BALLOON * text.height
        for c in circles
    )


def find_candidates(
    page: VectorPage, ink: Ink, marks: list[Mark], texts: Sequence[SizeText]
) -> list[Candidate]:
    """Everything on a page that could be a dimension, given the marks on it."""
    lines = find_marked_lines(ink, marks)
    found = [
        *find_linear(ink, lines, texts),
        *find_radial(ink, marks, lines, texts),
        *find_angles(ink, marks),
        *find_bare_angles(ink, marks),
        *find_half_dimensions(ink, lines, width=page.width, height=page.height),
        *find_plain(ink, marks, texts),
        *find_ordinates(page, ink, texts),
    ]
    return without_twins(found)


def without_twins(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Of distances drawn twice in one place, as careless copies are, keep the stronger."""
    gone: set[int] = set()
    cells: dict[tuple[int, int], list[Candidate]] = {}
    for k in sorted(range(len(candidates)), key=lambda k: -candidates[k].strength):
        candidate = candidates[k]
        if candidate.kind is not DimensionKind.DISTANCE or candidate.leader:
            continue
        middle = candidate.ends[0].point.midpoint(candidate.ends[1].point)
        x, y = round(middle.x), round(middle.y)
        near = [c for i in (-1, 0, 1) for j in (-1, 0, 1) for c in cells.get((x + i, y + j), ())]
        if any(_is_twin(candidate, other) for other in near):
            gone.add(k)
        else:
            cells.setdefault((x, y), []).append(candidate)
    return [c for k, c in enumerate(candidates) if k not in gone]


def _is_twin(one: Candidate, other: Candidate) -> bool:
    (a, b), (c, d) = ([e.point for e in each.ends] for each in (one, other))
    return min(max(a.distance(c), b.distance(d)), max(a.distance(d), b.distance(c))) < TWIN_PT


def main_direction(texts: Sequence[TextLine], turn: int) -> float:
    """Direction in which most text runs, degrees; the page's own upright when there is none."""
    if not texts:
        return float(turn)
    angles = np.array([round(t.angle) % 360 for t in texts])
    weights = np.array([len(t.text) for t in texts], float)
    counts = np.bincount(angles, weights=weights, minlength=360)
    return float(np.argmax(counts))


def that_may_hold(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Leave out what is too weak to be reported with any text: it would only take one from others.

    Parameters
    ----------
    candidates : sequence of Candidate

    Returns
    -------
    list of Candidate
        In the same order.
    """
    return [c for c in candidates if c.strength >= MIN_STRENGTH]


def holds(candidate: Candidate, match: Match) -> bool:
    """Whether a candidate is strong enough to be reported."""
    if match.text >= 0:
        return candidate.strength >= MIN_STRENGTH
    return candidate.alone and candidate.strength >= ALONE_STRENGTH


def in_reading_order(matches: list[Match], candidates: Sequence[Candidate]) -> list[Match]:
    """Matches from the top of the sheet down, then from the left."""

    def place(match: Match) -> tuple[int, float]:
        first = candidates[match.candidate].line[0]
        return round(first.y / 20), first.x

    return sorted(matches, key=place)


def make_dimension(
    number: int,
    candidate: Candidate,
    match: Match,
    *,
    form: TextForm,
    reading: Reading | None,
    sheet: int,
) -> Dimension:
    """Make a dimension of a candidate and its text; the text's form may settle the kind."""
    kind = _kind(candidate, form)
    as_radius = kind is DimensionKind.RADIUS and candidate.radius_ends
    return Dimension(
        id=number,
        sheet=sheet,
        view=0,
        kind=kind,
        ends=candidate.radius_ends if as_radius else candidate.ends,
        line=candidate.line,
        reading=reading,
        score=_score(candidate, match),
        sweep=candidate.sweep,
    )


def _kind(candidate: Candidate, form: TextForm) -> DimensionKind:
    """Let the sign before the number say what a leader, or two parallel lines, show.

    A length between two parallel lines with a Ø before it is a diameter seen from the side.
    """
    if candidate.radius_ends and form in (TextForm.RADIUS, TextForm.DIAMETER):
        return DimensionKind.RADIUS if form is TextForm.RADIUS else DimensionKind.DIAMETER
    if candidate.kind is DimensionKind.DISTANCE and form is TextForm.DIAMETER:
        return DimensionKind.DIAMETER
    return candidate.kind


def _score(candidate: Candidate, match: Match) -> float:
    if match.text < 0:
        return 0.5 * candidate.strength
    fit = max(0.0, 1.0 - match.cost / 8.0)
    return round(math.sqrt(candidate.strength) * fit, 3)
