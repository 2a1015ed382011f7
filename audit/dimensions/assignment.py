"""Gives texts to candidates, one to one, by place alone.

What the number says plays no part: a wrong number must be found as surely as a right one, and a
printed number never vouches for itself. Costs are in letter heights. The whole sheet is solved at
once, because a text between two dimension lines belongs to the one whose own text is not better;
what then keeps apart a line and a number that suit each other much better is undone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from audit.dimensions.better_pairs import edges_that_part
from audit.dimensions.candidates import ArcPlace, Candidate, TextPlace
from audit.dimensions.ink import covered
from audit.dimensions.pairing import cheapest_pairs, joined_groups
from audit.dimensions.text_places import distance_to_text
from audit.dimensions.texts import SizeText, TextForm
from audit.dimensions.things_named import names_several
from audit.geometry import Point

MAX_ASIDE = 3.0  # letter heights between a text and the line it stands on
MAX_BEYOND = 2.5  # letter heights between the end of the ink and a text outside
BEHIND = 0.5  # letter heights
NO_TEXT = 3.2  # cost of a candidate that stays without text
# Costs of a line over arrowheads that may part it: as such, and with a number at each part.
PASSED, DIVIDED = 0.15, 0.8
ON_LINE = 1.5  # letter heights from a line to the middle of a number in it or on it
WEAK = 2.0  # cost of a candidate with no strength, on top of its text
AN_EDGE = 0.45  # strength below which what has no marks may as well be an edge beside a number
PARALLEL_DEG = 4.0
_PARTED = re.compile(r"[/.,⁄'\"½¼¾⅛⅜⅝⅞]")
# Between a line with marks and one found by its number: aside, and what a head takes of an end.
ONE_LINE_PT, HEAD_PT = 1.0, 12.0
STYLE_PULL = 0.5  # cost for each letter height away from where this sheet puts its texts
ENOUGH = 4  # texts that show a habit
# Of a number between its ends: off the middle where all but few stand nearer to it, and what that
# costs a line between unsure marks, for each share of its size and at most.
AT_MIDDLE, AT_HEIGHTS, MOSTLY, MANY = 0.05, 0.5, 0.85, 8
MIDDLE_PULL, MOST_PULL = 6.0, 0.9
ALIKE_HIGH = 1.3  # ratio of letter heights that one sheet's dimensions may have
FAR_HIGHER = 1.9
HEIGHT_PULL = 1.5
NOT_PLAIN = 0.5
OF_THINGS = 1.3  # cost of a note about several things to a line between two ends
OTHER_FORM = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """A candidate with its text (`text` indexes the texts; -1: none) and what it cost."""

    candidate: int
    text: int
    cost: float


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a text stands relative to a stretch: cost, and signed height above the line."""

    cost: float
    above: float | None


def assign_texts(
    candidates: Sequence[Candidate], texts: Sequence[SizeText], *, upright: float
) -> list[Match]:
    """Give each candidate at most one text and each text to at most one candidate.

    `upright` is the direction in degrees in which most text on the sheet runs. Solved twice: the
    second time with what the first tells about where this sheet puts its texts.
    """
    first = _solve(candidates, texts, upright, None)
    strong = [m for m in first if m.text >= 0 and candidates[m.candidate].strength > 0.6]
    above = [
        spot.above
        for m in strong
        for spot in [_best_spot(candidates[m.candidate], texts[m.text], upright, None)]
        if spot is not None and spot.above is not None
    ]
    if len(above) < ENOUGH:
        return first
    height = float(np.median([texts[m.text].line.height for m in strong]))
    centred = _are_centred([(candidates[m.candidate], texts[m.text]) for m in strong])
    return _solve(candidates, texts, upright, _Habit(float(np.median(above)), height, centred))


@dataclass(frozen=True, slots=True)
class _Habit:
    """How a sheet letters its dimensions: how far above the line, in letter heights of how much."""

    above: float
    height: float
    centred: bool = False

    def cost_of(self, text: SizeText) -> float | None:
        """Cost of lettering of another height; `None` for a title's or a section mark's."""
        ratio = math.log(text.line.height / self.height)
        if ratio > math.log(FAR_HIGHER):
            return None
        return HEIGHT_PULL * max(0.0, abs(ratio) - math.log(ALIKE_HIGH))


def _are_centred(matches: Sequence[tuple[Candidate, SizeText]]) -> bool:
    """Whether the numbers of a sheet stand at the middles of their lines."""
    offs = [off for c, t in matches if (off := _off_middle(c, t)) is not None]
    return len(offs) >= MANY and sum(off == 0.0 for off in offs) >= MOSTLY * len(offs)


def _off_middle(candidate: Candidate, text: SizeText) -> float | None:
    """Share of its size that a number is off its middle; 0 near it, `None` beyond its ends."""
    for place in candidate.places[:1]:  # the line's own: a number may stand at a leader, too
        far, at = place.high - place.low, place.line.place(text.line.centre)[0]
        if place.tail or not place.low < at < place.high:
            return None
        off = abs(at - (place.low + place.high) / 2)
        return max(0.0, off - AT_HEIGHTS * text.line.height) / far if off > AT_MIDDLE * far else 0.0
    return None


def _solve(
    candidates: Sequence[Candidate],
    texts: Sequence[SizeText],
    upright: float,
    habit: _Habit | None,
) -> list[Match]:
    costs = _edge_costs(candidates, texts, upright, habit)
    limits = [_alone(c) for c in candidates]
    left = set(range(len(candidates))) - _outdone(candidates)
    while True:
        matches = _assign({e: cost for e, cost in costs.items() if e[0] in left}, limits)
        kept = _without_conflicts(candidates, [m for m in matches if m.candidate in left])
        # a candidate that gave way may have held a text that another needs: deal again without it
        if len(kept) < len(left):
            left = {m.candidate for m in kept}
            continue
        parting = edges_that_part(costs, [(m.candidate, m.text) for m in kept if m.text >= 0])
        if not parting:
            return kept
        costs = {e: cost for e, cost in costs.items() if e not in parting}


def _edge_costs(
    candidates: Sequence[Candidate],
    texts: Sequence[SizeText],
    upright: float,
    habit: _Habit | None,
) -> dict[tuple[int, int], float]:
    """Return what each text costs each candidate that may have it."""
    costs = {}
    other = [habit.cost_of(t) if habit is not None else 0.0 for t in texts]
    boxes = np.array([t.line.box for t in texts], float).reshape(-1, 4)
    heights = np.array([t.line.height for t in texts], float)
    for i, candidate in enumerate(candidates):
        spots = {
            j: spot.cost + odd
            for j in _texts_near(candidate, boxes, heights)
            if _may_take(candidate, texts[j])
            for spot, odd in [(_best_spot(candidate, texts[j], upright, habit), other[j])]
            if spot is not None and odd is not None and spot.cost + odd < NO_TEXT
        }
        weak = WEAK * (1 - candidate.strength)
        if candidate.parted:
            weak += DIVIDED if _is_divided(candidate, [texts[j] for j in spots]) else PASSED
        costs.update({(i, j): cost + weak for j, cost in spots.items()})
    return costs


def _may_take(candidate: Candidate, text: SizeText) -> bool:
    """Whether a text is the one that a candidate was found by, if it was found by one."""
    own = candidate.number
    return own is None or distance_to_text(text, own) == 0.0


def _outdone(candidates: Sequence[Candidate]) -> set[int]:
    """Candidates found by a number that stands in the same line between better ends with marks.

    What crosses that line within its arrowhead is another end for the number; with both left, a
    second number would take the line.
    """
    marked = [c for c in candidates if c.number is None and not (c.plain or c.parted or c.leader)]
    return {
        k
        for k, c in enumerate(candidates)
        if c.number is not None and any(_outdoes(m, c, c.number) for m in marked)
    }


def _outdoes(marked: Candidate, found: Candidate, number: Point) -> bool:
    if marked.strength <= found.strength or marked.kind is not found.kind:
        return False
    return any(
        place.low < place.line.place(number)[0] < place.high and _ends_as(place, found)
        for place in marked.places
        if not place.tail
    )


def _ends_as(place: TextPlace, found: Candidate) -> bool:
    """Whether a candidate lies on a stretch of line and ends within its arrowheads."""
    ends = sorted(place.line.place(end.point) for end in found.ends)
    wanted = zip(ends, (place.low, place.high), strict=True)
    return all(abs(at - end) < HEAD_PT and abs(aside) < ONE_LINE_PT for (at, aside), end in wanted)


def _is_divided(candidate: Candidate, texts: Sequence[SizeText]) -> bool:
    """Whether more than one number stands along a line, each in or beside it."""
    numbers = 0
    for place in candidate.places:
        for text in texts:
            at, aside = place.line.place(text.line.centre)
            beside = abs(aside) < ON_LINE * text.line.height
            numbers += beside and place.low < at < place.high
    return numbers > 1


def _alone(candidate: Candidate) -> float:
    """Cost of a candidate without a text: an edge that has a number beside it is no loss."""
    return NO_TEXT if candidate.plain and candidate.strength < AN_EDGE else NO_TEXT + WEAK


def _assign(costs: Mapping[tuple[int, int], float], limits: Sequence[float]) -> list[Match]:
    """Cheapest one-to-one assignment, solved for each connected group by itself."""
    chosen: dict[int, tuple[int, float]] = {}
    given = list(costs)
    for edges in joined_groups(given) if given else ():
        r = sorted({given[k][0] for k in edges})
        c = sorted({given[k][1] for k in edges})
        own = np.array([limits[i] for i in r])
        table = np.tile(own[:, None], len(c) + len(r))
        row_at, column_at = {v: k for k, v in enumerate(r)}, {v: k for k, v in enumerate(c)}
        for k in edges:
            i, j = given[k]
            table[row_at[i], column_at[j]] = costs[i, j]
        for a, b in cheapest_pairs(table):
            if b < len(c) and table[a, b] < own[a]:
                chosen[r[a]] = (c[b], float(table[a, b]))
    return [
        Match(candidate=i, text=chosen[i][0], cost=chosen[i][1])
        if i in chosen
        else Match(candidate=i, text=-1, cost=limit)
        for i, limit in enumerate(limits)
    ]


def _without_conflicts(candidates: Sequence[Candidate], matches: list[Match]) -> list[Match]:
    """Of candidates that use the same stretch of line keep the best, those with a text first."""
    taken: set[tuple[object, ...]] = set()
    strokes: dict[bool, set[int]] = {True: set(), False: set()}
    kept = []
    order = sorted(matches, key=lambda m: (m.text < 0, m.cost, -candidates[m.candidate].strength))
    for match in order:
        candidate = candidates[match.candidate]
        foreign = strokes[not candidate.leader]
        if taken.isdisjoint(candidate.claims) and foreign.isdisjoint(candidate.strokes):
            taken |= candidate.claims
            strokes[candidate.leader] |= candidate.strokes
            kept.append(match)
    return kept


def _texts_near(
    candidate: Candidate,
    boxes: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    heights: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> list[int]:
    if not len(boxes):
        return []
    points = []
    for place in candidate.places:
        low = min([place.low, *(a for a, b in place.ink if b > place.low - 80 and a < place.high)])
        high = max(
            [place.high, *(b for a, b in place.ink if a < place.high + 80 and b > place.low)]
        )
        points += [place.line.at(low), place.line.at(high)]
    for arc in candidate.arcs:
        for k in range(9):
            turn = math.radians(arc.start + arc.sweep * k / 8)
            points.append(
                arc.centre.moved(arc.radius * math.cos(turn), -arc.radius * math.sin(turn))
            )
    x0, y0 = min(p.x for p in points), min(p.y for p in points)
    x1, y1 = max(p.x for p in points), max(p.y for p in points)
    room = 5 * heights
    near = (
        (boxes[:, 2] > x0 - room)
        & (boxes[:, 0] < x1 + room)
        & (boxes[:, 3] > y0 - room)
        & (boxes[:, 1] < y1 + room)
    )
    return [int(j) for j in np.flatnonzero(near)]


def _best_spot(
    candidate: Candidate, text: SizeText, upright: float, habit: _Habit | None
) -> _Spot | None:
    extra = _form_cost(candidate, text)
    if extra is None:
        return None
    spots = [_line_spot(p, text, upright, habit) for p in candidate.places]
    spots += [_arc_spot(a, text, upright) for a in candidate.arcs]
    good = [s for s in spots if s is not None]
    if not good:
        return None
    best = min(good, key=lambda s: s.cost)
    if candidate.unsure and habit is not None and habit.centred:
        extra += min(MIDDLE_PULL * (_off_middle(candidate, text) or 0.0), MOST_PULL)
    return _Spot(best.cost + extra, best.above)


def _form_cost(candidate: Candidate, text: SizeText) -> float | None:
    if text.form is TextForm.OTHER:
        return None
    cost = 0.0 if text.plain else NOT_PLAIN
    if not candidate.leader and names_several(text.line.text):
        cost = OF_THINGS
    if text.form is TextForm.UNREADABLE or text.form.value in candidate.wants:
        return cost
    if candidate.strict:
        return None
    if candidate.leader and text.form is TextForm.LENGTH and not _PARTED.search(text.line.text):
        return None  # a whole number at a leader is an item number
    if TextForm.ANGLE in (text.form, *(TextForm(w) for w in candidate.wants)):
        return None
    return cost + OTHER_FORM


def _line_spot(
    place: TextPlace, text: SizeText, upright: float, habit: _Habit | None
) -> _Spot | None:
    line, h = place.line, text.line.height
    corners = [line.place(q) for q in text.line.quad]
    a0, a1 = min(c[0] for c in corners), max(c[0] for c in corners)
    b0, b1 = min(c[1] for c in corners), max(c[1] for c in corners)
    turn = math.radians(text.line.angle)
    along_text = line.turned_from(math.cos(turn), -math.sin(turn)) < PARALLEL_DEG
    level = abs((text.line.angle - upright + 180.0) % 360.0 - 180.0) < PARALLEL_DEG
    if not along_text and not level:
        return None
    aside = max(0.0, b0, -b1) / h
    if aside > (MAX_ASIDE if along_text else 0.8 * MAX_ASIDE):
        return None
    middle = (a0 + a1) / 2
    straddles = b0 < -0.15 * h and b1 > 0.15 * h
    cost = 0.55 * aside
    if not along_text:
        cost += 0.25 if straddles else 0.5
    cost += _struck_through(place, a0, a1) if straddles else 0.0
    if place.low <= middle <= place.high and not place.tail:
        off = abs(middle - (place.low + place.high) / 2)
        half = (place.high - place.low) / 2
        cost += 0.8 * max(0.0, off - 0.15 * h) / (half + h)
        spill = max(0.0, place.low - a0) + max(0.0, a1 - place.high)
        cost += 0.1 * min(spill / h, 4.0)
    else:
        outside = _outside_cost(place, a0, a1, h)
        if outside is None:
            return None
        cost += outside
    above = None
    if along_text:
        # up is to the left of the direction of writing
        sign = 1.0 if math.cos(turn) * line.ux - math.sin(turn) * line.uy > 0 else -1.0
        above = -sign * (b0 + b1) / 2 / h
        if habit is not None:
            cost += min(STYLE_PULL * abs(above - habit.above), 0.9)
    return _Spot(cost, above)


def _struck_through(place: TextPlace, a0: float, a1: float) -> float:
    """Cost of a line running on through the text, instead of being broken for it."""
    inside = covered(list(place.ink), a0, a1) / max(a1 - a0, 1e-6)
    return 0.9 * inside


def _outside_cost(place: TextPlace, a0: float, a1: float, h: float) -> float | None:
    """Text past an end: the line, its arrowhead or its leader should reach it."""
    if a1 < (place.low + place.high) / 2 and not place.tail:
        edge = min(
            [place.low, *(a for a, b in place.ink if b >= place.low - 8 * h and a < place.low)]
        )
        gap, beyond = edge - a1, place.low - a1
    else:
        edge = max(
            [place.high, *(b for a, b in place.ink if a <= place.high + 8 * h and b > place.high)]
        )
        gap, beyond = a0 - edge, a0 - place.high
    reach = max(gap, 0.0) / h
    if reach > MAX_BEYOND or (place.tail and a1 < place.low - BEHIND * h):
        return None  # too far off, or behind the end of a leader
    if place.tail:
        return 0.35 * reach
    return 0.7 + 0.35 * reach + 0.03 * max(beyond, 0.0) / h


def _arc_spot(arc: ArcPlace, text: SizeText, upright: float) -> _Spot | None:
    centre = text.line.centre
    h = text.line.height
    dx, dy = centre.x - arc.centre.x, centre.y - arc.centre.y
    far = math.hypot(dx, dy)
    if far < 1e-6:
        return None
    turn = math.degrees(math.atan2(-dy, dx))
    half = arc.sweep / 2
    off = abs((turn - arc.start - half + 180.0) % 360.0 - 180.0)
    # a text is as thick as half its diagonal at most, as half its height at least
    tilt = math.radians(turn - text.line.angle)
    reach = abs(math.cos(tilt)) * text.line.length / 2 + abs(math.sin(tilt)) * h / 2
    aside = max(0.0, abs(far - arc.radius) - reach) / h
    past = max(0.0, off - half) * math.pi / 180.0 * arc.radius
    past = max(0.0, past - text.line.length / 2) / h
    if aside > MAX_ASIDE or past > 2 * MAX_BEYOND:
        return None
    along = abs((text.line.angle - turn + 90.0 + 90.0) % 180.0 - 90.0) < 15.0
    level = abs((text.line.angle - upright + 180.0) % 360.0 - 180.0) < PARALLEL_DEG
    if not along and not level:
        return None
    inside = min(off, half) / max(half, 1.0)
    return _Spot(0.55 * aside + 0.4 * inside + (0.7 + 0.35 * past if past > 0 else 0.0), None)
