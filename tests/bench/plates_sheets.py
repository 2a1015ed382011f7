"""Plates of old books and magazines: ruled working drawings in print, with known truth.

A family of pictures apart from those of `hand_sheets` and from what any network was trained on:
views of furniture and toys are set out on a page with type about them, drawn at a scale that is
seldom named, and the page is printed and scanned. Development and held-out plates show other
things, in other faces, with other heads, layouts and ways to draw. Working drawings are more
halves: views put together, sizes across the wood, several figures in one page's frames. The
held-out one shows sheets as shops issued them: sections, holes, radii, numbered parts, stations.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from tests.bench import (
    plates_shop_parts,
    plates_things,
    plates_things_held,
    plates_work_held,
    plates_work_things,
)
from tests.bench.hand_views import Drawn
from tests.bench.plates_letters import Letters, write
from tests.bench.plates_pen import (
    PX_PER_MM,
    XY,
    Ink,
    Lettered,
    Mark,
    Rng,
    Ruler,
    ink_letters,
    ink_mark,
)
from tests.bench.plates_shop_things import ShopThing
from tests.bench.plates_shop_views import ShopView
from tests.bench.plates_text import CAPTIONS, HEADS, heading, paragraph
from tests.bench.plates_things import Rows, Thing
from tests.bench.plates_views import Manner, View
from tests.bench.plates_work_things import WorkThing
from tests.bench.plates_work_views import WorkView

PAGES = ((152.0, 229.0), (178.0, 254.0), (203.0, 279.0))
SHEETS = ((203.0, 267.0), (216.0, 279.0), (254.0, 343.0))  # that a shop or a magazine issued
MARGIN = 14.0
BETWEEN = 8.0  # mm between two views
LARGER = 1.15  # letters of working drawings, to those of plates
RULINGS = ("", "frame", "cells")
CELL = 2.2  # mm from a view to the frame that is ruled about it
SLIP = Fraction(6, 100)  # of a planted error
WITHIN = (0.045, 0.08)  # what is left of it when the wrong number is rounded to a step
ROUNDS = 4  # of finding the scale that fills the page, as a rule
LARGEST = 9.0  # mm of paper to an inch
STATED = (
    (25.4 / 12, 'SCALE 1" = 1 FT.'),
    (25.4 / 8, 'SCALE 1 1/2" = 1\'-0"'),
    (25.4 / 4, 'SCALE 3" = 1 FT.'),
)
FindFace = Callable[[str], Path | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """One half of the plates: what they show and how they are drawn.

    Attributes
    ----------
    seed : int
    things : tuple of Thing
    types : tuple of str
        File stems of the faces that text is set in.
    hands : tuple of (str, float, float)
        Of the faces that sizes are lettered with: stem, slant in degrees, looseness. Type as well.
    heads : tuple of str
    dashes : tuple of (tuple of float)
        What dimension lines are drawn with.
    framed : bool
        Whether plates have a ruled frame and text in two columns above, or text below.
    work : bool
        Whether they are working drawings, as shops and schools made them.
    pen : type of View
        What views are drawn with.
    pages : tuple of (float, float)
        Sizes of its pages, mm.
    sideways : tuple of str
        Names of the things that lie across their page.
    lines : sequence of int
        How many lines of text a page may have.
    rounds : int
        Of finding the scale that fills the page.
    """

    seed: int
    things: tuple[Thing, ...] | tuple[WorkThing, ...] | tuple[ShopThing, ...]
    types: tuple[str, ...]
    hands: tuple[tuple[str, float, float], ...]
    heads: tuple[str, ...]
    dashes: tuple[tuple[float, ...], ...]
    framed: bool
    work: bool = False
    pen: type[View] = View
    pages: tuple[XY, ...] = PAGES
    sideways: tuple[str, ...] = ()
    lines: Sequence[int] = range(5, 12)
    rounds: int = ROUNDS

    def hand(self, number: int) -> tuple[str, float, float]:
        """What a plate is lettered with: no thing keeps to one hand."""
        return self.hands[(number + number // len(self.things)) % len(self.hands)]

    def ruling(self, number: int) -> str:
        """What is ruled about the drawings: a "frame", "cells", or "" for nothing."""
        if not self.work:
            return "frame" if self.framed else ""
        return RULINGS[(number + number // len(self.things)) % len(RULINGS)]


HALVES = {
    "development": Half(
        seed=271,
        things=plates_things.THINGS,
        types=("Century-Catalogue", "libre-caslon-text-latin-400-normal"),
        hands=(
            ("patrick-hand-latin-400-normal", 8.0, 0.018),
            ("BetecknaGS-Italic", 0.0, 0.012),
            ("libre-caslon-text-latin-400-italic", 0.0, 0.0),
            ("patrick-hand-latin-400-normal", 0.0, 0.03),
        ),
        heads=("sliver", "vee"),
        dashes=((), (6.5, 1.1), (9.0, 1.4)),
        framed=False,
    ),
    "held out": Half(
        seed=26407,  # of 6271 and 16271 single plates were looked at
        things=plates_things_held.THINGS,
        types=("gfs-didot-latin-400-normal", "besley-latin-400-normal", "AveriaSerifGWF-Light"),
        hands=(
            ("zen-maru-gothic-latin-400-normal", 14.0, 0.016),
            ("eurof56", 0.0, 0.012),
            ("besley-latin-400-italic", 0.0, 0.0),
            ("kosugi-maru-latin-400-normal", 4.0, 0.022),
            ("AveriaSerifGWF-LightItalic", 0.0, 0.004),
        ),
        heads=("quill", "wedge", "feather"),
        dashes=((), (12.0, 1.0), (4.0, 0.9)),
        framed=True,
    ),
    "work, development": Half(
        seed=5711,
        things=plates_work_things.THINGS,
        types=("C059-Roman", "Essays1743"),
        hands=(
            ("okolaksRegularItalic", 0.0, 0.012),
            ("C059-Italic", 0.0, 0.0),
            ("ComicNeue-Regular", 12.0, 0.022),
            ("Essays1743-Italic", 0.0, 0.003),
            ("BetecknaGSCondensed-Italic", 0.0, 0.016),
        ),
        heads=("barb", "spread", "half"),
        dashes=((), (), (8.0, 1.2)),
        framed=False,
        work=True,
        pen=WorkView,
    ),
    "work, development 2": Half(
        seed=80429,  # held out once; single plates were looked at
        things=plates_work_held.THINGS,
        types=("Caladea-Regular", "sorts-mill-goudy-latin-400-normal"),
        hands=(
            ("nova-script-latin-400-normal", 0.0, 0.014),
            ("Caladea-Italic", 0.0, 0.0),
            ("BarlowCondensed_300Light_Italic", 0.0, 0.02),
            ("AveriaSerifGWF-Italic", 0.0, 0.003),
            ("Berenika-Oblique", 0.0, 0.018),
        ),
        heads=("harpoon", "hollow", "nib"),
        dashes=((), (), (5.0, 1.0)),
        framed=True,
        work=True,
        pen=WorkView,
    ),
    "work, held out": Half(
        seed=51907,  # of others single plates were looked at
        things=plates_shop_parts.THINGS,
        types=("libre-bodoni-latin-400-normal", "mate-latin-400-normal"),
        hands=(
            ("mali-latin-400-italic", 0.0, 0.012),
            ("mynerve-latin-400-normal", 0.0, 0.008),
            ("judson-latin-400-italic", 0.0, 0.0),
            ("dekko-latin-400-normal", 5.0, 0.018),
            ("marvel-latin-400-italic", 0.0, 0.014),
        ),
        heads=("dart", "fork", "tick"),
        dashes=((), (), (7.0, 1.0)),
        framed=False,
        work=True,
        pen=ShopView,
        pages=SHEETS,
        sideways=("workbench", "window_seat"),
        lines=(0, 0, 0, 3, 5),
        rounds=12,
    ),
}
PACKAGES = (
    "npm: @fontsource/ libre-caslon-text, patrick-hand, gfs-didot, besley, zen-maru-gothic, "
    "kosugi-maru, nova-script, sorts-mill-goudy, libre-bodoni, mate, mali, mynerve, judson, dekko, "
    "marvel; Debian: fonts-century-catalogue, fonts-beteckna, "
    "fonts-averia-serif-gwf, fonts-eurofurence, fonts-okolaks, fonts-comic-neue, fonts-essays1743, "
    "fonts-urw-base35, fonts-crosextra-caladea, fonts-klaudia-berenika; Barlow Condensed"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A page before it is printed: marks and sizes in mm of the paper; `kind` says what drew it."""

    size: XY
    marks: tuple[Mark | Lettered, ...]
    drawn: tuple[Drawn, ...]
    kind: str


class _Slip:
    """Makes the n-th size that is asked for 6 % wrong."""

    def __init__(self, rng: Rng, which: int) -> None:
        self.way, self.left = int(rng.choice([-1, 1])), which

    def __call__(self, right: Fraction) -> Fraction:
        self.left -= 1
        if self.left != 0:
            return right
        step = Fraction(1, 8) if right > 2 else Fraction(1, 32)
        wrong = round(right * (1 + SLIP * self.way) / step) * step
        if WITHIN[0] < abs(wrong / right - 1) < WITHIN[1]:
            return wrong
        self.left = 1  # a size too small for it: the next one
        return right


def make_plate(half: Half, number: int, *, find_face: FindFace, planted: bool) -> Plate:
    """Draw one plate.

    Parameters
    ----------
    half : Half
    number : int
        Which of its plates.
    find_face : callable
        From a file stem to the file of a face, where it is installed.
    planted : bool
        Whether one number is 6 % off.

    Returns
    -------
    Plate
    """
    rng = np.random.default_rng([half.seed, number, 1])
    wide, high = half.pages[int(rng.integers(len(half.pages)))]
    if half.things[number % len(half.things)].__name__ in half.sideways:
        wide, high = high, wide
    manner, body = pick_manner(half, number, rng, find_face)
    if half.work:
        manner = _at_work(manner, np.random.default_rng([half.seed, number, 4]))
    lines = half.lines[int(rng.integers(len(half.lines)))]
    room = (wide - 2 * MARGIN, high - 2 * MARGIN - lines * body.height * 2.0 - 22.0)
    rows, stated = _fit(half, number, manner, room, planted=planted)
    words, top = _page_words(half, body, lines, (wide, high), rng)
    ruled = half.ruling(number)
    marks, drawn, low = _set_out(rows, top, wide, room, rng, cells=ruled == "cells")
    marks += words
    caption = CAPTIONS[int(rng.integers(len(CAPTIONS)))].format(int(rng.integers(2, 90)))
    marks.append(heading(caption, body, wide / 2, min(low + 6.0, high - 6.0), rng))
    if stated:
        name = write(stated, manner.captions, rng)
        marks.append(name.moved((wide - MARGIN - name.size[0] / 2 - 2.0, min(low + 6.0, high - 6))))
    if ruled == "frame":
        marks.append(_frame(wide, top, low + 10.0))
    thing, face = half.things[number % len(half.things)].__name__, half.hand(number)[0]
    kind = f"{thing}, {face} {manner.letters.height:.1f}, {manner.letters.fraction}, {manner.head}"
    return Plate(size=(wide, high), marks=tuple(marks), drawn=tuple(drawn), kind=kind)


def ink(plate: Plate, rng: Rng) -> Ink:
    """Draw a plate, `PX_PER_MM`."""
    wide, high = plate.size
    page = np.full((round(high * PX_PER_MM), round(wide * PX_PER_MM)), 255, np.uint8)
    ruler = Ruler(waver=float(rng.uniform(0.005, 0.035)), swell=float(rng.uniform(0.04, 0.12)))
    for mark in plate.marks:
        if isinstance(mark, Mark):
            ink_mark(page, mark, ruler, rng)
        else:
            ink_letters(page, mark)
    return page


def _fit(half: Half, number: int, manner: Manner, room: XY, *, planted: bool) -> tuple[Rows, str]:
    """Draw the views at the scale that fills the room, or at a usual one just below it."""
    scale, stated = 2.0, ""
    for _ in range(half.rounds):
        rows = _views(half, number, manner, scale, planted=planted)
        wide, high = _extent(rows)
        grown = scale * min(room[0] / wide, room[1] / high)
        scale = min(LARGEST, 0.98 * grown)
    rng = np.random.default_rng([half.seed, number, 2])
    if rng.random() < 0.3:
        usual = [(s, text) for s, text in STATED if 0.7 * scale < s <= scale]
        scale, stated = usual[-1] if usual else (scale, "")
    return _views(half, number, manner, scale, planted=planted), stated


def _views(half: Half, number: int, manner: Manner, scale: float, *, planted: bool) -> Rows:
    rng = np.random.default_rng([half.seed, number, 3])
    plant = _Slip(rng, int(rng.integers(1, 7)) if planted else -1)

    def build(zoom: float) -> View:
        return half.pen(manner=manner, per_inch=scale * zoom, rng=rng, plant=plant)

    return half.things[number % len(half.things)](build, rng)


def _extent(rows: Rows) -> tuple[float, float]:
    """Width and height of the views set out, mm."""
    boxes = [[view.bounds() for view in row] for row in rows]
    wide = max(sum(b[2] - b[0] for b in row) + BETWEEN * (len(row) - 1) for row in boxes)
    high = sum(max(b[3] for b in row) - min(b[1] for b in row) for row in boxes)
    return wide, high + BETWEEN * (len(rows) - 1)


def _set_out(
    rows: Rows, top: float, wide: float, room: XY, rng: Rng, *, cells: bool
) -> tuple[list[Mark | Lettered], list[Drawn], float]:
    """Place the views row by row, their feet on one line; return how low they reach too."""
    marks: list[Mark | Lettered] = []
    drawn: list[Drawn] = []
    spare = max(room[1] - _extent(rows)[1], 0.0) / max(len(rows), 1)
    for row in rows:
        boxes = [view.bounds() for view in row]
        foot = top - min(b[1] for b in boxes)
        used = sum(b[2] - b[0] for b in boxes)
        gap = (room[0] - used) / (len(row) + 1)
        x = (wide - room[0]) / 2 + gap * float(rng.uniform(0.7, 1.3))
        for view, box in zip(row, boxes, strict=True):
            more, sizes = view.moved((x - box[0], foot))
            marks += more
            drawn += sizes
            if cells:
                marks.append(_rule_about(box, (x - box[0], foot)))
            x += box[2] - box[0] + max(gap, BETWEEN * 0.6)
        top = foot + max(b[3] for b in boxes) + BETWEEN + min(spare, 12.0)
    return marks, drawn, top - BETWEEN - min(spare, 12.0)


def _page_words(
    half: Half, body: Letters, lines: int, page: XY, rng: Rng
) -> tuple[list[Mark | Lettered], float]:
    """Running head and text; return where the drawing may begin too."""
    wide, high = page
    words: list[Mark | Lettered] = []
    head = HEADS[int(rng.integers(len(HEADS)))]
    words.append(heading(head, body, wide / 2, MARGIN, rng))
    number = write(str(int(rng.integers(12, 260))), body, rng)
    words.append(number.moved((wide - MARGIN - 4.0, MARGIN)))
    top = MARGIN + 8.0
    if not half.framed:
        y = high - MARGIN - lines * body.height * 2.0
        words += paragraph(body, (MARGIN, y), wide=wide - 2 * MARGIN, lines=lines, rng=rng)
        return words, top
    column = (wide - 2 * MARGIN - 6.0) / 2
    for x in (MARGIN, MARGIN + column + 6.0):
        words += paragraph(body, (x, top - 4.0), wide=column, lines=lines, rng=rng)
    return words, top + lines * body.height * 2.0 + 5.0


def _rule_about(box: tuple[float, float, float, float], by: XY) -> Mark:
    """A ruled frame about one view."""
    x0, y0 = box[0] + by[0] - CELL, box[1] + by[1] - CELL
    x1, y1 = box[2] + by[0] + CELL, box[3] + by[1] + CELL
    points = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])
    return Mark(points=points, width=0.3)


def _frame(wide: float, top: float, low: float) -> Mark:
    x0, x1, y0 = MARGIN - 5.0, wide - MARGIN + 5.0, top - 3.5
    points = np.array([(x0, y0), (x1, y0), (x1, low), (x0, low), (x0, y0)])
    return Mark(points=points, width=0.45)


def pick_manner(half: Half, number: int, rng: Rng, find_face: FindFace) -> tuple[Manner, Letters]:
    """One draughtsman's ways, and what text is set in."""
    stem, slant, loose = half.hand(number)
    height = float(rng.uniform(1.6, 2.3))
    letters = Letters(
        face=find_face(stem), height=height, loose=loose, slant=slant,
        fraction=str(rng.choice(["bar", "bar", "slant", "line"])),
        narrow=float(rng.uniform(0.85, 1.0)),
    )  # fmt: skip
    face = find_face(half.types[number % len(half.types)])
    body = Letters(face=face, height=float(rng.uniform(1.5, 1.8)), fraction="slant")
    captions = Letters(face=letters.face if loose else face, height=height * 1.05, loose=loose)
    thin = float(rng.uniform(0.18, 0.28))
    return Manner(
        letters=letters,
        captions=captions,
        mark='"' if rng.random() < 0.6 else "",
        feet=int(rng.choice([0, 0, 12, 24])),
        joint=str(rng.choice(["-", " ", ""])),
        broken=bool(rng.random() < 0.7),
        upright=bool(rng.random() < 0.5),
        dimension_dash=half.dashes[int(rng.integers(len(half.dashes)))],
        extension_dash=((), (), (1.6, 0.8), (3.0, 0.9))[int(rng.integers(4))],
        fine=float(rng.uniform(0.14, 0.2)),
        thin=thin,
        thick=float(rng.uniform(0.32, 0.55)),
        head=half.heads[(number + number // len(half.heads)) % len(half.heads)],
        head_mm=float(rng.uniform(1.3, 2.2)),
        first=float(rng.uniform(4.0, 6.0)),
        step=float(rng.uniform(4.5, 5.5)),
        gap=float(rng.uniform(0.0, 0.9)),
        beyond=float(rng.uniform(0.6, 1.6)),
        drafting=float(rng.choice([0.04, 0.08, 0.12])),
        radius=str(rng.choice(["{} R", "R {}", "{} RAD."])),
    ), body  # fmt: skip


def _at_work(manner: Manner, rng: Rng) -> Manner:
    """The ways of a workshop drawing on top of those of a plate."""
    return replace(
        manner,
        letters=replace(manner.letters, height=LARGER * manner.letters.height),
        mark=manner.mark or str(rng.choice(["", '"'])),
        mark_on=str(rng.choice(["all", "all", "fraction"])),
        zero=bool(rng.random() < 0.7),
        clears=bool(rng.random() < 0.5),
        ringed=bool(rng.random() < 0.5),
        broken=bool(rng.random() < 0.85),
        gap=float(rng.choice([0.0, 0.0, 0.5, 0.9])),
        head_mm=float(rng.uniform(1.0, 1.8)),
    )
