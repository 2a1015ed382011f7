"""More sheets drawn by hand: who drew them, what is on them, where it stands, what it says.

Nothing here is shared with the sheets of `hand_parts` but the record of what was drawn.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

import numpy as np

from tests.bench.hand2_drafts import Word
from tests.bench.hand2_letters import Script, write
from tests.bench.hand2_parts import Bench
from tests.bench.hand2_pen import Mark, blank, copy_blue, draw_line, ink, rule_squares, smudge, wear
from tests.bench.hand2_styles import Find, Fonts, Style, pick_style
from tests.bench.hand2_things import THINGS
from tests.bench.hand2_views import View
from tests.bench.hand_letters import paste
from tests.bench.hand_pen import XY, Ink, Rng
from tests.bench.hand_views import Box, Drawn

MARGIN_MM, GAP_MM, STRIP_MM = 9.0, 7.0, 13.0
MOST = 5  # parts on a sheet
LEAST_MM, MOST_MM = 28.0, 130.0  # width of a view where one scale serves all
STEPS = ((8, Fraction(1, 4)), (4, Fraction(1, 8)), (0, Fraction(1, 16)))  # from so many inches on
LEAST_SLIP, SLIP, MOST_SLIP = 0.045, Fraction(6, 100), 0.08
GHOST = (205, 228)  # greys of what was rubbed out
GUIDE = (180, 205)
NOTES = (
    "MAKE 2", "MAKE 4", "OAK OR ASH", "SAND ALL EDGES", "BREAK SHARP CORNERS", "USE BRASS SCREWS",
    "ONE RIGHT ONE LEFT", "PAINT GREEN", "FIT TO SUIT", "DOWEL AND GLUE",
)  # fmt: skip


class Cast(NamedTuple):
    """What sheets of one half are made of: people of `PEOPLE` and parts of `THINGS` by number."""

    seed: int
    faces: tuple[str, ...]
    people: tuple[int, ...]
    things: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page of 600 dpi, what is lettered on it, and its sizes in mm of the paper."""

    page: Ink
    letters: Ink
    drawn: tuple[Drawn, ...]
    kind: str


class _Thing(NamedTuple):
    """Which part, on which sheet."""

    seed: int
    number: int
    thing: int

    @property
    def name(self) -> str:
        """What it is."""
        return THINGS[self.thing].__name__.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Group:
    """Views of one part that stand together, each with its place in the group, mm."""

    job: _Thing
    drafts: tuple[tuple[View, XY], ...]

    @property
    def scale(self) -> float:
        """Mm to an inch."""
        return self.drafts[0][0].per_inch

    @property
    def wide(self) -> float:
        """Of the first view's outline, mm."""
        return self.drafts[0][0].wide

    @property
    def box(self) -> Box:
        """What it takes of the paper."""
        boxes = [_moved(d.box, by) for d, by in self.drafts]
        return (
            min(b[0] for b in boxes), min(b[1] for b in boxes),
            max(b[2] for b in boxes), max(b[3] for b in boxes),
        )  # fmt: skip


def draw_page(cast: Cast, number: int, find: Find, *, planted: bool) -> Page:
    """Draw one sheet; where `planted`, one of its numbers is about 6 % off."""
    rng = np.random.default_rng([cast.seed, number])
    style = pick_style(number, cast.people, Fonts(stems=cast.faces, find=find), rng)
    groups, places = plan_views(style, cast, number, rng, planted=planted)
    return _lay(style, groups, places, rng)


def plan_views(
    style: Style, cast: Cast, number: int, rng: Rng, *, planted: bool
) -> tuple[Sequence[Group], Sequence[XY]]:
    """Draw the views of a sheet, not inked yet, and tell how far each is to be moved."""
    things = cast.things
    turn = [things[(2 * number + k) % len(things)] for k in (0, 1)]  # every part is a first one
    rest = [int(k) for k in rng.permutation(things) if k not in turn]
    groups, places = _choose(style, [_Thing(cast.seed, number, k) for k in (*turn, *rest)])
    return (_plant(style, groups, rng) if planted else groups), places


def _build(
    style: Style, job: _Thing, plant: Callable[[Fraction], Fraction], scale: float | None = None
) -> Group:
    """Draw one part's views, at a scale of its own or a given one; the same again for the same."""
    rng = np.random.default_rng([job.seed, job.number, job.thing])

    def pick(wide: Fraction, high: Fraction) -> float:
        most = min(
            float(rng.uniform(*style.wide)) / float(wide),
            float(rng.uniform(*style.high)) / float(high),
        )
        return scale or next((s for s in style.steps if s <= most), most)

    bench = Bench(habit=style.habit, rng=rng, pick=pick, plant=plant)
    return Group(job, _together(THINGS[job.thing](bench)))


def _together(views: Sequence[tuple[View, str]]) -> tuple[tuple[View, XY], ...]:
    """Place further views right of or above the first one, in line with it."""
    first = views[0][0]
    placed: list[tuple[View, XY]] = [(first, (0.0, 0.0))]
    for draft, where in views[1:]:
        if where == "right":
            placed.append((draft, (first.box[2] - draft.box[0] + GAP_MM, 0.0)))
        else:
            placed.append((draft, (0.0, first.box[1] - draft.box[3] - GAP_MM)))
    return tuple(placed)


def _choose(style: Style, jobs: Sequence[_Thing]) -> tuple[list[Group], list[XY]]:
    """Take parts in order while they find room: rows from the left, from the top."""
    chosen: list[Group] = []
    places: list[XY] = []
    shelf = _Shelf(style.paper)
    for job in jobs:
        scale = chosen[0].scale if style.single and chosen else None
        group = _build(style, job, lambda right: right, scale)
        if scale and not LEAST_MM < group.wide < MOST_MM:
            group = _build(style, job, lambda right: right)
        place = shelf.take(group.box) if len(chosen) < MOST else None
        if place is not None:
            chosen.append(group)
            places.append(place)
    return chosen, places


class _Shelf:
    """Rows of views on a sheet, from the top left."""

    def __init__(self, paper: XY) -> None:
        self.right, self.bottom = paper[0] - MARGIN_MM, paper[1] - MARGIN_MM - STRIP_MM
        self.left = self.top = self.low = MARGIN_MM

    def take(self, box: Box) -> XY | None:
        """Room for a box: how far it has to be moved; `None` where there is none."""
        wide, high = box[2] - box[0], box[3] - box[1]
        x, y = self.left, self.top
        if x + wide > self.right and x > MARGIN_MM:
            x, y = MARGIN_MM, self.low + GAP_MM
        if x + wide > self.right or y + high > self.bottom:
            return None
        self.left, self.top, self.low = x + wide + GAP_MM, y, max(self.low, y + high)
        return x - box[0], y - box[1]


class _Slip:
    """Makes the n-th size that is asked for wrong by about `SLIP`."""

    def __init__(self, which: int, sign: int) -> None:
        self.left, self.sign = which, sign

    def __call__(self, right: Fraction) -> Fraction:
        self.left -= 1
        return slipped(right, self.sign) or right if self.left == -1 else right


def slipped(right: Fraction, sign: int) -> Fraction | None:
    """A size about 6 % off, to a whole step; `None` where none is."""
    step = next(step for least, step in STEPS if right >= least)
    wrong = round(right * (1 + sign * SLIP) / step) * step
    return wrong if LEAST_SLIP < abs(float(wrong / right) - 1) < MOST_SLIP else None


def _plant(style: Style, groups: Sequence[Group], rng: Rng) -> list[Group]:
    """Draw one of the parts anew, one of its numbers wrong."""
    found = [
        (k, n, sign)
        for k, group in enumerate(groups)
        for n, size in enumerate(_asked(group))
        for sign in (-1, 1)
        if slipped(size, sign)
    ]
    k, n, sign = found[int(rng.integers(len(found)))]
    again = _build(style, groups[k].job, _Slip(n, sign), groups[k].scale)
    return [*groups[:k], again, *groups[k + 1 :]]


def _asked(group: Group) -> list[Fraction]:
    """Sizes of a group in the order in which they were spelled."""
    drawn = [d for draft, _ in group.drafts for d in draft.drawn]
    return [d.right for d in drawn if d.kind in ("distance", "beside")]


def _lay(style: Style, groups: Sequence[Group], places: Sequence[XY], rng: Rng) -> Page:
    """Ink everything on one page."""
    marks: list[Mark] = []
    words: list[Word] = []
    drawn: list[Drawn] = []
    for group, place in zip(groups, places, strict=True):
        for draft, by in group.drafts:
            at = _on_squares((place[0] + by[0], place[1] + by[1]), style)
            marks += [m.moved(at) for m in draft.marks]
            words += [w.moved(at) for w in draft.words]
            drawn += [_drawn_at(d, at) for d in draft.drawn]
    words += _notes(style, words, marks, rng)
    if style.border:
        frame, strip = _border(style, groups, rng)
        marks, words = marks + frame, words + strip
    faint = _ghosts(style, marks, rng) + (_guides(style, words, rng) if style.guides else [])
    page, letters = blank(style.paper), blank(style.paper)
    ink(page, [*marks, *faint], rng)
    for word in words:
        paste(page, word.tile, word.centre, word.turn)
        if word.size:
            paste(letters, word.tile, word.centre, word.turn)
    kind = _tell(style, groups)
    return Page(page=_finish(page, style, rng), letters=letters, drawn=tuple(drawn), kind=kind)


def _tell(style: Style, groups: Sequence[Group]) -> str:
    """Say what a sheet is."""
    script, things = style.habit.script, ", ".join(g.job.name for g in groups)
    how = script.hand or (script.face.stem.partition("-latin")[0] if script.face else "")
    return f"{style.name}: {things}; {how}, {script.fraction}, {style.habit.head}"


def _finish(page: Ink, style: Style, rng: Rng) -> Ink:
    """Give the page its paper: grain, squares, thumbs, or a copy's ground."""
    page = wear(page, style.habit.tool, rng)
    if style.squares:
        rule_squares(page, style.squares, (3.0, 3.0), int(rng.integers(205, 232)))
    if style.smudges:
        page = smudge(page, rng, style.smudges)
    return copy_blue(page, rng) if style.blue else page


def _on_squares(at: XY, style: Style) -> XY:
    """The nearest crossing of the paper's squares, where it has any."""
    if not style.squares:
        return at
    return tuple(3.0 + round((v - 3.0) / style.squares) * style.squares for v in at)  # type: ignore[return-value]


def _moved(box: Box, by: XY) -> Box:
    return box[0] + by[0], box[1] + by[1], box[2] + by[0], box[3] + by[1]


def _drawn_at(d: Drawn, by: XY) -> Drawn:
    ends = tuple((x + by[0], y + by[1]) for x, y in d.ends)
    return replace(d, ends=(ends[0], ends[1]), lettered=_moved(d.lettered, by))


def _notes(style: Style, words: Sequence[Word], marks: Sequence[Mark], rng: Rng) -> list[Word]:
    """Two notes along the foot of the sheet, where nothing stands."""
    low = style.paper[1] - MARGIN_MM - (STRIP_MM + 1.0 if style.border else 2.0)
    made: list[Word] = []
    for k, note in enumerate(rng.choice(len(NOTES), 2, replace=False)):
        tile = write(NOTES[int(note)], style.habit.script, rng)
        at = (
            style.paper[0] * (0.28 + 0.42 * k) + float(rng.uniform(-8, 8)),
            low - float(rng.uniform(0, 2)),
        )
        word = Word(tile=tile, centre=at, turn=float(rng.normal(0, 0.8)))
        if not any(_meet(word.box, w.box) for w in [*words, *made]) and not _crossed(
            word.box, marks
        ):
            made.append(word)
    return made


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _crossed(box: Box, marks: Sequence[Mark]) -> bool:
    inside = (
        ((m.points > [box[0] - 1, box[1] - 1]) & (m.points < [box[2] + 1, box[3] + 1]))
        .all(axis=1)
        .any()
        for m in marks
    )
    return any(inside)


def _border(style: Style, groups: Sequence[Group], rng: Rng) -> tuple[list[Mark], list[Word]]:
    """A frame ruled about the sheet, and a strip with its title."""
    w, h, m = *style.paper, 5.0
    tool, top = style.habit.tool, style.paper[1] - 5.0 - 11.0
    corners = [(m, m), (w - m, m), (w - m, h - m), (m, h - m), (m, m)]
    lines = [*itertools.pairwise(corners), ((m, top), (w - m, top))]
    lines += [((x * w, top), (x * w, h - m)) for x in (0.36, 0.7)]
    marks = [k for a, b in lines for k in draw_line(a, b, tool, rng, width=tool.thick, over=0.4)]
    title = groups[0].job.name.upper()
    texts = (title, "DRAWN BY HAND", f"PLATE {int(rng.integers(2, 40))}")
    script: Script = replace(style.habit.script, height=1.1 * style.habit.script.height)
    words = [
        Word(tile=write(text, script, rng), centre=(x * w, top + 5.5))
        for text, x in zip(texts, (0.19, 0.53, 0.84), strict=True)
    ]
    return marks, words


def _ghosts(style: Style, marks: Sequence[Mark], rng: Rng) -> list[Mark]:
    """What is left of lines that were rubbed out beside those that stand."""
    made = []
    for k in rng.integers(0, len(marks), style.ghosts):
        by = (float(rng.uniform(-3, 3)), float(rng.uniform(-3, 3)))
        moved = marks[int(k)].moved(by)
        made.append(Mark(points=moved.points, width=0.5, level=int(rng.integers(*GHOST))))
    return made


def _guides(style: Style, words: Sequence[Word], rng: Rng) -> list[Mark]:
    """Faint lines over and under every level text."""
    made = []
    for word in words:
        left, top, right, low = word.box
        if abs(word.turn) > 10:
            continue
        for y in (top, low):
            ends = np.array([[left - rng.uniform(0, 2), y], [right + rng.uniform(0, 2), y]])
            made.append(Mark(points=ends, width=0.12, level=int(rng.integers(*GUIDE))))
    return made
