"""Linear dimensions of every kind: pairs of marks on one line.

Between two neighbouring places the arrowheads either face away from each other (inside, pointing
at the ends) or towards each other (outside). Ticks, dots and rings serve either way. What lies
under the ends, how much of the line is drawn, and how alike the marks are, give the strength.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import Crossing, find_crossing, meet_circle, on_arc, tip_end
from audit.dimensions.elbows import elbow_places
from audit.dimensions.even_marks import settle_even_marks, text_spans
from audit.dimensions.ink import Floats, Ink, covered, merge_spans
from audit.dimensions.leaders import leaders_from, tail_places
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.terminators import Mark, MarkKind
from audit.dimensions.texts import SizeText
from audit.geometry import Point
from audit.records import Arc, DimensionKind, End, EndKind

MIN_LENGTH_PT = 1.5
INSIDE, OUTSIDE, EVEN = "inside", "outside", "even"
ALIKE = 0.35  # relative difference in size of two marks of one dimension
THROUGH_CENTRE_PT = 0.6
MAX_SKIPPED = 3
GRAZING_DEG = 40.0
UNDRAWN = 0.3
UNDRAWN_ROOMY = 0.45  # between arrowheads outside, a number and other heads included
FAR_PT = 110.0  # a longer dimension line is drawn: only short ones have no room for it
ROOMY_PT = 60.0  # 21 mm: a number and both arrowheads stand between ends so far apart
BLANK_PT = 14.0  # 5 mm with neither line nor number: gaps between dashes are a third of that
NUMBER_GAP_PT, OTHER_GAP = 3.0, 0.5  # of a line broken for a 1; share of it that others may have
MIDDLE = 0.12  # of a line, from its middle to where it is broken
HARDLY_SEEN = 0.3  # how sure of a mark is too little to trust it over where the number stands
BARRIER = 0.5  # how sure of a mark is to be that surely parts a line
RIM = 0.2  # letter heights from the ends of a number in a line, where a mark may still stand
AS_A_HEAD = 2.0  # heads long: a shorter number there may be the head itself, read as a figure
SURE, FEW, MOSTLY = 0.6, 8, 0.85  # of marks that show how a sheet ends its lines; their share
NO_ROOM = 0.4  # what is left of the strength of one between heads longer than itself
TAIL_GAP_PT = 6.0  # between the end of a size, or its arrowhead, and its tail; and within that
SHORTEST_TAIL_PT, LONGEST_TAIL_PT = 4.0, 40.0  # beyond it
AT_MARK_PT = 4.0  # from a slash or dot to where its tail begins: traces stop at its rim
BARE, TAILED = 0.1, 0.4  # share drawn between them; and as much as tails say instead
ODD_ONE = 0.75  # what is left of the strength of one with a doubtful dot amid arrowheads
BLANK = 0.3  # what is left of the strength of a long line that is hardly drawn
TAILS_ONLY = 0.4  # what is left of the strength of a line of which only tails are drawn


def find_linear(
    ink: Ink, lines: list[MarkedLine], texts: Sequence[SizeText] = ()
) -> list[Candidate]:
    """Candidates for distances, and for diameters drawn across their circle.

    `texts` only say where a line may be broken for one.
    """
    found = []
    places = np.array([t.line.centre for t in texts], float).reshape(-1, 2)
    arrowed = _is_arrowed(lines)
    for index, settled in enumerate(settle_even_marks(lines, texts, places)):
        marked = _without_figures(settled, texts, places)
        if len(marked.places) < 2:
            continue
        crossings = [find_crossing(ink, marked, place) for place in marked.places]
        spans = [*marked.spans, *text_spans(marked, texts, places), *_bodies(marked)]
        filled = merge_spans(np.array(spans, float).reshape(-1, 2), 0.3)
        for i, j in _pairs(marked, crossings, arrowed=arrowed):
            at, under = (index, i, j), (crossings[i], crossings[j])
            candidate = _candidate(ink, marked, at, under, filled, arrowed=arrowed)
            if candidate is not None:
                found.append(replace(candidate, parted=j > i + 1))
    return found


def _without_figures(marked: MarkedLine, texts: Sequence[SizeText], places: Floats) -> MarkedLine:
    """Leave out what was taken for a mark amid a number that stands in the line.

    Where another line runs through the number too, a stroke of a figure looks like a head; but not
    like two sure ones that meet tip to tip.
    """
    if not marked.places or all(m.sure >= 1.0 for p in marked.places for m in p.marks):
        return marked
    first, last = marked.places[0].along, marked.places[-1].along
    spans = text_spans(marked, texts, places, gap=-RIM)
    spans = [(a, b) for a, b in spans if a > first and b < last]
    kept = tuple(
        p
        for p in marked.places
        if _meet_tip_to_tip(p)
        or not any(
            a < p.along < b and b - a > AS_A_HEAD * max(m.size for m in p.marks) for a, b in spans
        )
    )
    return marked if len(kept) == len(marked.places) else replace(marked, places=kept)


def _meet_tip_to_tip(place: Place) -> bool:
    """Whether two sure arrowheads point at a place from both sides."""
    heads = (place.forward, place.backward)
    return all(m is not None and m.sure >= SURE for m in heads)


def _bodies(marked: MarkedLine) -> list[tuple[float, float]]:
    """Stretches that arrowheads cover: a line need not be drawn under them."""
    heads = [(p.along, m, 1) for p in marked.places for m in (p.backward,) if m is not None]
    heads += [(p.along, m, -1) for p in marked.places for m in (p.forward,) if m is not None]
    return [(min(at, at + way * m.size), max(at, at + way * m.size)) for at, m, way in heads]


def _is_arrowed(lines: Sequence[MarkedLine]) -> bool:
    """Whether a sheet's dimension lines end in arrowheads, as its sure marks tell."""
    sure = {
        id(m): m.is_arrow
        for line in lines
        for place in line.places
        for m in place.marks
        if m.sure >= SURE
    }
    return len(sure) >= FEW and sum(sure.values()) >= MOSTLY * len(sure)


def _pairs(
    marked: MarkedLine, crossings: list[Crossing | None], *, arrowed: bool
) -> list[tuple[int, int]]:
    """Pair neighbouring places, passing over marks that stand on nothing, or on a slanted line.

    Where a line of the picture just grazes a dimension line, the two look like an arrowhead. And
    where grain or another dimension line crosses one, a picture may seem to show weak heads, or a
    dot where all the others are arrowheads (`arrowed`): whether they part the line is left to where
    its number stands.
    """
    pairs = []
    n = len(marked.places)
    for i in range(n):
        for j in range(i + 1, min(i + 2 + MAX_SKIPPED, n)):
            pairs.append((i, j))
            place, crossing = marked.places[j], crossings[j]
            if crossing is None or crossing.turn < GRAZING_DEG:
                continue
            heads = (m for m in (place.forward, place.backward) if m is not None)
            if any(m.sure >= BARRIER for m in heads):
                break
            if place.even is not None and _bars(place.even, arrowed=arrowed):
                break
    return pairs


def _bars(mark: Mark, *, arrowed: bool) -> bool:
    """Whether a tick or dot surely parts its line; one drawn as such (`sure` is 1) always does."""
    if mark.kind not in (MarkKind.TICK, MarkKind.DOT):
        return False
    return mark.sure >= (1.0 if arrowed else BARRIER)


def _role(place: Place, *, left: bool) -> list[tuple[str, Mark]]:
    """How the marks at a place can end an interval that lies to its right (left=True) or left."""
    inside, outside = (place.backward, place.forward) if left else (place.forward, place.backward)
    roles = []
    if inside is not None:
        roles.append((INSIDE, inside))
    if outside is not None:
        roles.append((OUTSIDE, outside))
    if place.even is not None:
        roles.append((EVEN, place.even))
    return roles


_ROLE_STRENGTH = {
    (INSIDE, INSIDE): 1.0,
    (OUTSIDE, OUTSIDE): 0.8,
    (EVEN, EVEN): 0.8,
    (INSIDE, EVEN): 0.75,
    (EVEN, INSIDE): 0.75,
    (OUTSIDE, EVEN): 0.65,
    (EVEN, OUTSIDE): 0.65,
    (INSIDE, OUTSIDE): 0.35,
    (OUTSIDE, INSIDE): 0.35,
}


def _candidate(
    ink: Ink,
    marked: MarkedLine,
    at: tuple[int, int, int],
    crossings: tuple[Crossing | None, Crossing | None],
    filled: list[tuple[float, float]],
    *,
    arrowed: bool,
) -> Candidate | None:
    index, i, j = at
    a, b = marked.places[i], marked.places[j]
    if b.along - a.along < MIN_LENGTH_PT:
        return None
    best: tuple[float, tuple[str, Mark], tuple[str, Mark]] | None = None
    for left in _role(a, left=True):
        for right in _role(b, left=False):
            value = _ROLE_STRENGTH[left[0], right[0]] * _likeness(left[1], right[1])
            if best is None or value > best[0]:
                best = (value, left, right)
    if best is None:
        return None
    strength, left, right = best
    if arrowed and any(role == EVEN and mark.sure < SURE for role, mark in (left, right)):
        strength *= ODD_ONE
    drawn = covered(filled, a.along, b.along) / (b.along - a.along)
    shown = max(drawn, TAILED) if _is_tailed(marked, (i, j), (left, right), drawn) else drawn
    strength *= _support(left, right, crossings, shown)
    strength *= _blankness((left[0], right[0]), drawn, b.along - a.along)
    bare = b.along - a.along > FAR_PT and _share_inked(marked, a.along, b.along) < BARE
    if bare or _is_passed_over_blank(marked, i, j, filled):
        strength *= BLANK
    if left[0] == right[0] == INSIDE and b.along - a.along < max(left[1].size, right[1].size):
        strength *= NO_ROOM
    tails = INSIDE in (left[0], right[0]) and _are_tails(marked, i, j, filled)
    if tails:
        strength *= TAILS_ONLY
    if strength < 0.15:
        return None
    diameter = _across_circle(ink, marked, a.along, b.along)
    ends = (
        crossings[0].end if crossings[0] else tip_end(marked, a),
        crossings[1].end if crossings[1] else tip_end(marked, b),
    )
    if diameter is not None:
        ends = diameter[1]
    kind = DimensionKind.DISTANCE if diameter is None else DimensionKind.DIAMETER
    return Candidate(
        kind=kind,
        ends=ends,
        line=(ends[0].point, ends[1].point),
        strength=strength,
        places=text_places_of(ink, marked, a.along, b.along),
        claims=_claims(index, i, j) | _arrow_claims(left, right),
        strokes=_strokes_between(marked, a, b),
        alone=not tails
        and (
            _stands_alone(left, right, crossings, drawn)
            or _is_broken_between(left, right, crossings, (marked, a.along, b.along))
        ),
        wants=frozenset({"length", "diameter"}),
        sweep=None if diameter is None else diameter[0].sweep,
        unsure=min(left[1].sure, right[1].sure) < HARDLY_SEEN,
    )


def _share_inked(marked: MarkedLine, low: float, high: float) -> float:
    """How much of a stretch is drawn, heads included; numbers may be those of other lines."""
    inked = merge_spans(np.array([*marked.spans, *_bodies(marked)], float).reshape(-1, 2), 0.3)
    return covered(inked, low, high) / (high - low)


def _blankness(roles: tuple[str, str], drawn: float, length: float) -> float:
    """What is left of the strength of a long stretch of which little is drawn."""
    outside = roles == (OUTSIDE, OUTSIDE)
    room, least = (ROOMY_PT, UNDRAWN_ROOMY) if outside else (FAR_PT, UNDRAWN)
    return BLANK if drawn < least and length > room else 1.0


def _is_passed_over_blank(
    marked: MarkedLine, i: int, j: int, filled: list[tuple[float, float]]
) -> bool:
    """Whether a line that passes over marks is not drawn at all between two of them.

    It ends at the first then, and what is in line behind the blank is another.
    """
    along = [p.along for p in marked.places[i : j + 1]]
    return len(along) > 2 and any(
        b - a > BLANK_PT and covered(filled, a, b) < BARE * (b - a) for a, b in pairwise(along)
    )


def _are_tails(marked: MarkedLine, i: int, j: int, filled: list[tuple[float, float]]) -> bool:
    """Whether what is drawn between two places are the tails of arrowheads outside two others.

    Before and behind a short size its arrowheads stand outside: `-> | 4 | <-   -> | 4 | <-`. What
    lies between two such sizes is blank but for their tails and numbers.
    """
    low, high = marked.places[i].along, marked.places[j].along
    inside = [(max(a, low), min(b, high)) for a, b in filled if b > low and a < high]
    edges = [low, *(v for span in inside for v in span), high]
    if max(b - a for a, b in zip(edges[::2], edges[1::2], strict=True)) < BLANK_PT:
        return False
    return _is_outside(marked, i - 1, i, high - low) or _is_outside(marked, j, j + 1, high - low)


def _is_outside(marked: MarkedLine, i: int, j: int, longest: float) -> bool:
    """Whether two neighbouring places have arrowheads that point at each other, and no others."""
    if i < 0 or j >= len(marked.places):
        return False
    a, b = marked.places[i], marked.places[j]
    only = a.forward is not None and b.backward is not None
    return only and a.backward is b.forward is None and b.along - a.along < longest


def _is_tailed(
    marked: MarkedLine, at: tuple[int, int], ends: tuple[tuple[str, Mark], ...], drawn: float
) -> bool:
    """Whether two slashes or dots that measure along a line have tails outside, and no ink between.

    So a short size is drawn whose number takes up its room: `-/ 8 /-`. A tail ends free: behind
    another mark a neighbour's line begins.
    """
    i, j = at
    low, high = marked.places[i].along, marked.places[j].along
    if drawn > BARE or high - low > ROOMY_PT:
        return False
    if not all(role == EVEN and (m.ux or m.uy) for role, m in ends):
        return False
    before = [a for a, b in marked.spans if abs(b - low) < AT_MARK_PT]
    after = [b for a, b in marked.spans if abs(a - high) < AT_MARK_PT]
    if not before or not after:
        return False
    tails = low - min(before), max(after) - high
    others = [p.along for k, p in enumerate(marked.places) if k not in at]
    free = not any(min(before) - AT_MARK_PT < p < max(after) + AT_MARK_PT for p in others)
    return free and min(tails) > SHORTEST_TAIL_PT and max(tails) < LONGEST_TAIL_PT


def _claims(index: int, i: int, j: int) -> frozenset[tuple[object, ...]]:
    """Stretches of the line between neighbouring places, so that no two dimensions overlap."""
    return frozenset(("stretch", index, k) for k in range(i, j))


def _arrow_claims(*ends: tuple[str, Mark]) -> frozenset[tuple[object, ...]]:
    """An arrowhead that points at the end of its own dimension belongs to that one alone."""
    return frozenset(("arrow", id(mark)) for role, mark in ends if role == INSIDE)


def text_places_of(ink: Ink, marked: MarkedLine, low: float, high: float) -> tuple[TextPlace, ...]:
    """Text stands by the dimension line, where it bends, or at the end of a leader from it."""
    own = TextPlace(line=marked.line, low=low, high=high, ink=marked.spans)
    bent = elbow_places(ink, marked.line, marked.spans, low, high)
    led = [p for one in leaders_from(ink, marked.line, low, high) for p in tail_places(one)]
    return (own, *bent, *led)


def _strokes_between(marked: MarkedLine, a: Place, b: Place) -> frozenset[int]:
    """Strokes of a line from place to place, and of its tails: what lies in line is another's."""
    room = TAIL_GAP_PT + max(m.size for place in (a, b) for m in place.marks)
    low, high = _grown(marked.pieces, a.along, b.along, room)
    low, high = max(low, a.along - LONGEST_TAIL_PT), min(high, b.along + LONGEST_TAIL_PT)
    touching = (marked.pieces[:, 1] >= low) & (marked.pieces[:, 0] <= high)
    return frozenset(int(i) for i in marked.strokes[touching])


def _grown(pieces: Floats, low: float, high: float, room: float) -> tuple[float, float]:
    """Stretch of a line with the pieces that follow it, each at most so far from the last."""
    for start, stop in sorted(pieces.tolist()):
        if start <= high + room:
            high = max(high, stop)
    for start, stop in sorted(pieces.tolist(), key=lambda piece: -piece[1]):
        if stop >= low - room:
            low = min(low, start)
    return low, high


def _likeness(a: Mark, b: Mark) -> float:
    """How alike two marks are: one dimension is drawn with one kind of mark."""
    value = 1.0
    if a.kind is not b.kind:
        value *= 0.8 if a.is_arrow and b.is_arrow else 0.85
    larger = max(a.size, b.size)
    # of slashes drawn by hand the trace often has a part only: their line says more
    slashes = a.kind is MarkKind.TICK and all(m.ux or m.uy for m in (a, b))
    if a.kind is b.kind and not slashes and abs(a.size - b.size) > ALIKE * larger:
        value *= 0.5
    return value


def _support(
    left: tuple[str, Mark],
    right: tuple[str, Mark],
    crossings: tuple[Crossing | None, Crossing | None],
    drawn: float,
) -> float:
    """Weigh what the lines around say: both ends on something, the line drawn between them."""
    value = 1.0
    for (role, mark), crossing in zip((left, right), crossings, strict=True):
        if crossing is None:
            # a tick that is known to measure along its line says as much as an arrowhead
            value *= 0.55 if mark.is_arrow or mark.ux or mark.uy else 0.25
        elif crossing.turn < 80.0:
            value *= 0.8 if crossing.turn > 40.0 else 0.5
        if mark.kind is MarkKind.RING and role == EVEN:
            value *= 0.9
    if left[0] == EVEN and right[0] == EVEN:
        value *= 0.3 + 0.7 * min(1.0, drawn / 0.6)
    elif INSIDE in (left[0], right[0]):
        value *= 0.6 + 0.4 * min(1.0, drawn / 0.5)
    one, two = crossings
    if one is not None and two is not None and one.stroke >= 0 and two.stroke == one.stroke:
        value *= 0.3
    return value


def _stands_alone(
    left: tuple[str, Mark],
    right: tuple[str, Mark],
    crossings: tuple[Crossing | None, Crossing | None],
    drawn: float,
) -> bool:
    """Whether this is a dimension even when its text cannot be found."""
    return (
        left[0] == INSIDE
        and right[0] == INSIDE
        and left[1].kind is right[1].kind
        and left[1].kind is not MarkKind.OPEN
        and all(c is not None and c.turn > 80.0 for c in crossings)
        and drawn > 0.3
    )


def _is_broken_between(
    left: tuple[str, Mark],
    right: tuple[str, Mark],
    crossings: tuple[Crossing | None, Crossing | None],
    stretch: tuple[MarkedLine, float, float],
) -> bool:
    """Whether a line between ticks or dots that measure along it is broken at its middle alone.

    What it is broken for is its number, though nobody saw one: a 1 may be a mere stroke.
    """
    aimed = any(mark.ux or mark.uy for _, mark in (left, right))
    if left[0] != EVEN or right[0] != EVEN or not aimed:
        return False
    if not all(c is not None and c.turn > 80.0 for c in crossings):
        return False
    marked, low, high = stretch
    spans = [(max(a, low), min(b, high)) for a, b in marked.spans if b > low and a < high]
    gaps = sorted((b - a, (a + b) / 2) for (_, a), (b, _) in pairwise(spans))
    if not gaps or (len(gaps) > 1 and gaps[-2][0] > OTHER_GAP * gaps[-1][0]):
        return False
    width, at = gaps[-1]
    return NUMBER_GAP_PT < width < (high - low) / 2 and abs(at - (low + high) / 2) < MIDDLE * (
        high - low
    )


def _across_circle(
    ink: Ink, marked: MarkedLine, low: float, high: float
) -> tuple[Arc, tuple[End, End]] | None:
    """Find the circle whose diameter runs from `low` to `high` on the line, and the exact ends."""
    middle = marked.line.at((low + high) / 2)
    half = (high - low) / 2
    for arc in ink.arcs:
        if abs(arc.radius - half) > 0.02 * half + 0.6:
            continue
        if arc.centre.distance(middle) > THROUGH_CENTRE_PT + 0.02 * half:
            continue
        places = [
            meet_circle(marked.line, arc.centre, arc.radius, near=near) for near in (low, high)
        ]
        points = [marked.line.at(t) for t in places if t is not None]
        if len(points) == 2 and any(on_arc(arc, p) for p in points):
            return arc, opposite_ends(arc, points[0])
    return None


def opposite_ends(arc: Arc, near: Point) -> tuple[End, End]:
    """Return two opposite points of a circle, the first in the direction of `near`."""
    far = near.distance(arc.centre)
    ux, uy = (
        ((near.x - arc.centre.x) / far, (near.y - arc.centre.y) / far) if far > 0 else (1.0, 0.0)
    )
    along = math.degrees(math.atan2(-uy, ux)) % 180.0
    ends = [
        End(
            point=Point(
                arc.centre.x + s * arc.radius * ux,
                arc.centre.y + s * arc.radius * uy,
            ),
            kind=EndKind.EXACT,
            sigma=0.01,
            line_width=arc.width,
            along=along,
        )
        for s in (1.0, -1.0)
    ]
    return ends[0], ends[1]
