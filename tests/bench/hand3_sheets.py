"""Sheets of a third company of drafters: what is on them, where it stands, what it says.

People, papers, pens, letters, heads and parts are of their own (`hand3_*`): nothing is shared with
other hand-drawn sheets but the record of what was drawn and how sheets are scanned.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

import numpy as np

from tests.bench.hand3_home import Bench
from tests.bench.hand3_letters import Text, compose
from tests.bench.hand3_paper import finish
from tests.bench.hand3_pen import Stroke, lay, rule
from tests.bench.hand3_people import COMPANIES, Draw, Person
from tests.bench.hand3_sizes import Laid, Plant, View, set_out
from tests.bench.hand3_units import slipped
from tests.bench.hand_pen import PX_PER_MM, XY, Ink, Rng
from tests.bench.hand_views import Box, Drawn

MARGIN_MM, APART_MM, STRIP_MM, FOOT_MM = 8.0, 9.0, 12.0, 9.0
OTHER = 3  # parts further on stands the one that shares its page
FEW = 5  # that a part that shares its page has
PLENTY = 20  # linear sizes on a sheet; with fewer a second part is drawn, if it finds room
SHARES = (0.5, 0.55, -0.5, -0.57, 0.45, 0.6)  # of the page for the first of two parts
LEAST_MM = 42.0  # of the longest view of a part that shares its page
TRIES = 160  # places that a note is tried at
NOTES = (
    "MAKE TWO", "USE DRY OAK", "PINE OR DEAL", "GLUE ALL JOINTS", "ROUND THE EDGES", "OIL TWICE",
    "SCREWS FROM BELOW", "DRILL BEFORE GLUING", "FIT LAST", "SEE OTHER SHEET", "ASH FOR HANDLE",
)  # fmt: skip
LIST = ("A  SIDE  2 OFF", "B  TOP  1 OFF", "C  RAIL  2 OFF", "D  PEG  4 OFF")


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page of 600 dpi, the ink of its sizes' numbers, and its sizes in mm of the paper."""

    page: Ink
    letters: Ink
    drawn: tuple[Drawn, ...]
    kind: str


class Company(NamedTuple):
    """Whose sheets they are: which of `COMPANIES`, and a seed."""

    which: int
    seed: int

    @property
    def people(self) -> tuple[Person, ...]:
        """Who draws, sheet by sheet in turn."""
        return COMPANIES[self.which][0]

    @property
    def things(self) -> tuple[Draw, ...]:
        """What they draw."""
        return COMPANIES[self.which][1]


@dataclass(frozen=True, slots=True)
class Group:
    """Views of one part and how far each is moved on its page, mm.

    `firsts`: how many sizes were asked of the views before each.
    """

    views: tuple[View, ...]
    moves: tuple[XY, ...]
    firsts: tuple[int, ...]

    @property
    def box(self) -> Box:
        """What they take of the paper."""
        return _hull([_moved(v.box, by) for v, by in zip(self.views, self.moves, strict=True)])

    @property
    def drawn(self) -> tuple[Drawn, ...]:
        """Their sizes."""
        pairs = zip(self.views, self.moves, strict=True)
        return tuple(_size_at(d, by) for v, by in pairs for d in v.drawn)

    @property
    def strokes(self) -> list[Stroke]:
        """Their lines and letters."""
        pairs = zip(self.views, self.moves, strict=True)
        return [s.moved(by) for v, by in pairs for s in v.strokes]

    @property
    def numbered(self) -> list[tuple[int, Fraction]]:
        """Which of all asked sizes its linear ones are, and what they should be."""
        pairs = zip(self.views, self.firsts, strict=True)
        return [
            (first + n, d.right)
            for v, first in pairs
            for n, d in zip(v.asked, v.drawn, strict=True)
            if d.kind == "distance"
        ]

    def moved(self, by: XY) -> Group:
        """The same elsewhere."""
        return replace(self, moves=tuple((x + by[0], y + by[1]) for x, y in self.moves))


class Job(NamedTuple):
    """One part to be drawn: by whom, what, from which seeds, at what scale, where."""

    person: Person
    draw: Draw
    seeds: tuple[int, ...]
    scale: float
    room: Box


def at_home(seed: int, number: int, *, planted: bool) -> Page:
    """Draw a sheet of the first company."""
    return draw_page(Company(0, seed), number, planted=planted)


def in_the_yard(seed: int, number: int, *, planted: bool) -> Page:
    """Draw a sheet of the second company."""
    return draw_page(Company(1, seed), number, planted=planted)


def draw_page(company: Company, number: int, *, planted: bool) -> Page:
    """Draw one sheet; where `planted`, one of its numbers is about 6 % off."""
    person, groups, rng = plan(company, number, planted=planted)
    strokes = [s for g in groups for s in g.strokes]
    strokes += _words(person, groups, strokes, rng)
    shape = (round(person.sheet[1] * PX_PER_MM), round(person.sheet[0] * PX_PER_MM))
    tool = person.habit.tool
    page = finish(lay(shape, strokes), tool.kind, person.paper, rng)
    letters = 255 - lay(shape, (s for s in strokes if s.lettered))
    script = person.habit.script
    return Page(
        page=page, letters=letters, drawn=tuple(d for g in groups for d in g.drawn),
        kind=f"{person.name}, {script.fraction}, {person.habit.head}, {person.habit.unit}",
    )  # fmt: skip


def plan(company: Company, number: int, *, planted: bool) -> tuple[Person, list[Group], Rng]:
    """Draw a sheet's views, not inked yet."""
    rng = np.random.default_rng([company.seed, number])
    person = company.people[number % len(company.people)].today(rng)
    jobs = _jobs(company, person, number)
    groups = [_build(job, _as_it_is) for job in jobs]
    if planted:
        groups = _plant(jobs, groups, rng)
    return person, groups, rng


def _as_it_is(number: int, right: Fraction) -> Fraction:
    return right


def _jobs(company: Company, person: Person, number: int) -> list[Job]:
    """Choose one part, or two that share the page, and their scales."""
    things = company.things
    room = _room(person)
    ks = [(number + OTHER * k) % len(things) for k in (0, 1)]
    one = _fitted(person, things[ks[0]], (company.seed, number, ks[0]), room)
    alone = _build(one, _as_it_is)
    if _count(alone) >= PLENTY:
        return [one]
    for share in SHARES[number % 2 :: 2]:
        two = [
            _fitted(person, things[k], (company.seed, number, k), part)
            for k, part in zip(ks, _split(room, share), strict=True)
        ]
        built = [_build(job, _as_it_is) for job in two]
        if all(_inside(g.box, job.room) and _large(g) for g, job in zip(built, two, strict=True)):
            return two
    return [one]


def _split(room: Box, share: float) -> tuple[Box, Box]:
    """Cut a room in two: one over the other, or, where the share is below nought, side by side."""
    left, top, right, low = room
    if share > 0:
        cut = top + share * (low - top)
        return (left, top, right, cut), (left, cut + 2.0, right, low)
    cut = left - share * (right - left)
    return (left, top, cut, low), (cut + APART_MM, top, right, low)


def _inside(box: Box, room: Box) -> bool:
    return box[2] - box[0] <= room[2] - room[0] and box[3] - box[1] <= room[3] - room[1]


def _room(person: Person) -> Box:
    """Where views may stand."""
    foot = STRIP_MM if person.framed else FOOT_MM
    edge = 24.0 if person.paper == "lines" else MARGIN_MM
    return edge, MARGIN_MM, person.sheet[0] - MARGIN_MM, person.sheet[1] - MARGIN_MM - foot


def _large(group: Group) -> bool:
    """Whether a part that shares its page is large enough to be drawn so."""
    sides = [max(v.body[2] - v.body[0], v.body[3] - v.body[1]) for v in group.views]
    return max(sides) > LEAST_MM and _count(group) >= FEW


def _count(group: Group) -> int:
    return sum(d.kind == "distance" for d in group.drawn)


def _fitted(person: Person, draw: Draw, seeds: tuple[int, ...], room: Box) -> Job:
    """Take the largest of his scales at which a part finds room, or the smallest."""
    first, last = 0, len(person.scales) - 1
    while first < last:
        middle = (first + last) // 2
        job = Job(person, draw, seeds, person.scales[middle], room)
        if _inside(_build(job, _as_it_is).box, room):
            last = middle
        else:
            first = middle + 1
    return Job(person, draw, seeds, person.scales[last], room)


def _build(job: Job, plant: Plant) -> Group:
    """Draw one part's views in its room; the same again for the same."""
    rng = np.random.default_rng(job.seeds)
    bench = Bench(job.person.habit, job.scale, rng)
    asked = 0
    firsts: list[int] = []
    views: list[tuple[View, str]] = []
    for sketch, where in job.draw(bench):
        firsts.append(asked)
        views.append((set_out(sketch, _counted(plant, asked)), where))
        asked += len(sketch.asked)
    placed = _together([v for v, _ in views], [w for _, w in views], job.person, rng)
    group = Group(tuple(v for v, _ in views), placed, tuple(firsts))
    left, top, right, low = group.box
    spare = (job.room[2] - job.room[0] - right + left, job.room[3] - job.room[1] - low + top)
    share = rng.uniform(0.25, 0.75, 2)
    by = tuple(job.room[k] - (left, top)[k] + float(share[k]) * max(0.0, spare[k]) for k in (0, 1))
    return group.moved((by[0], by[1]))


def _counted(plant: Plant, first: int) -> Plant:
    return lambda number, right: plant(first + number, right)


def _together(
    views: Sequence[View], where: Sequence[str], person: Person, rng: Rng
) -> tuple[XY, ...]:
    """Stand further views right of, below or next to the first, in line or not quite."""
    moves: list[XY] = [(0.0, 0.0)]
    for k, view in enumerate(views[1:], 1):
        taken = _hull([_moved(v.box, by) for v, by in zip(views[:k], moves, strict=True)])
        off = 0.0 if person.lined else float(rng.normal(0, 3.0))
        if where[k] == "below":
            moves.append((off, taken[3] - view.box[1] + APART_MM))
        elif where[k] == "right":
            moves.append((views[0].box[2] - view.box[0] + APART_MM, off))
        else:
            moves.append((taken[2] - view.box[0] + APART_MM, off))
    return tuple(moves)


def _plant(jobs: Sequence[Job], groups: Sequence[Group], rng: Rng) -> list[Group]:
    """Draw one part anew with one number wrong."""
    sizes = [(k, n, right) for k, g in enumerate(groups) for n, right in g.numbered]
    for place in rng.permutation(2 * len(sizes)):
        which, nth, right = sizes[int(place) // 2]
        wrong = slipped(right, jobs[which].person.habit.unit, 2 * int(place % 2) - 1)
        if wrong is None:
            continue
        again = _build(jobs[which], _instead(nth, wrong))
        if sum(d.printed != d.right for d in again.drawn) == 1:
            return [*groups[:which], again, *groups[which + 1 :]]
    return list(groups)


def _instead(nth: int, wrong: Fraction) -> Plant:
    return lambda number, right: wrong if number == nth else right


def _words(
    person: Person, groups: Sequence[Group], strokes: Sequence[Stroke], rng: Rng
) -> list[Stroke]:
    """A title, notes and a list where there is room; a frame where he rules one."""
    laid = Laid()
    for s in strokes:
        laid.add(s.path)
    made: list[Stroke] = []
    if person.framed:
        made += _frame(person, rng)
        for s in made:
            laid.add(s.path)
    notes = [NOTES[int(k)] for k in rng.choice(len(NOTES), 2, replace=False)]
    told = [*([person.tells] if person.tells else []), *notes]
    for texts in [*((text,) for text in told), *((LIST,) if person.listed else ())]:
        made += _note(texts, person, laid, rng)
    return made


def _note(texts: Sequence[str], person: Person, laid: Laid, rng: Rng) -> list[Stroke]:
    """Letter a note, line under line, where nothing stands; nothing where there is no room."""
    habit = person.habit
    tiles = [compose(text, habit.script, habit.tool, rng, size=False) for text in texts]
    pitch = 1.8 * habit.script.height
    wide, high = max(t.wide for t in tiles), pitch * len(tiles)
    left, top, right, low = _room(person)
    for k in range(TRIES):
        x = float(rng.uniform(left, right - wide))
        y = low - high + 4.0 + float(rng.uniform(-2, 3))
        y = y if k < TRIES / 3 else float(rng.uniform(top, low - high + 4.0))
        box = (x - 2, y - 1, x + wide + 2, y + high + 1)
        if laid.under(box) == 0:
            laid.boxes.append(box)
            middles = [(x + t.wide / 2, y + (n + 0.5) * pitch) for n, t in enumerate(tiles)]
            turn = float(rng.normal(0, 0.8))
            return [s for t, at in zip(tiles, middles, strict=True) for s in t.set_down(at, turn)]
    return []


def _frame(person: Person, rng: Rng) -> list[Stroke]:
    """A frame and a strip with a title."""
    (w, h), m, tool = person.sheet, 4.5, person.habit.tool
    top = h - m - 9.5
    corners = [(m, m), (w - m, m), (w - m, h - m), (m, h - m), (m, m)]
    lines = [
        *itertools.pairwise(corners),
        ((m, top), (w - m, top)),
        ((0.4 * w, top), (0.4 * w, h - m)),
    ]
    made = [rule(a, b, tool, rng, width=tool.heavy) for a, b in lines]
    sheet = f"SHEET {int(rng.integers(1, 9))}"
    for text, x in ((sheet, 0.22), ("DRAWN BY HAND", 0.66)):
        tile: Text = compose(text, person.habit.script, tool, rng, size=False)
        made += tile.set_down((x * w, top + 4.8), float(rng.normal(0, 0.5)))
    return made


def _hull(boxes: Sequence[Box]) -> Box:
    sides = tuple(zip(*boxes, strict=True))
    return min(sides[0]), min(sides[1]), max(sides[2]), max(sides[3])


def _moved(box: Box, by: XY) -> Box:
    return box[0] + by[0], box[1] + by[1], box[2] + by[0], box[3] + by[1]


def _size_at(d: Drawn, by: XY) -> Drawn:
    (a, b), (c, e) = d.ends
    ends = ((a + by[0], b + by[1]), (c + by[0], e + by[1]))
    return replace(d, ends=ends, lettered=_moved(d.lettered, by))
