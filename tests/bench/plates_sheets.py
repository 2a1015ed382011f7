"""Plates of old books and magazines: ruled working drawings in print, with known truth.

A family of pictures apart from those of `hand_sheets` and from what any network was trained on:
views of furniture and toys are set out on a page with type about them, drawn at a scale that is
seldom named, and the page is printed and scanned. Development and held-out plates show other
things, in other faces, with other heads, layouts and ways to draw. Working drawings are more
halves: views put together, sizes across the wood, several figures in one page's frames. The
third shows sheets as shops issued them: sections, holes, radii, numbered parts, stations. The
fourth and the held-out one were drawn by somebody who did not know how the tool finds.
Two halves more ("real") show plans as makers buy or download them, each other things, faces, heads;
a third, held out, was drawn by somebody who did not know how the tool finds, with pens of his own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np

from tests.bench import (
    plates_real2_sheets,
    plates_real2_ways,
    plates_real_held,
    plates_real_things,
    plates_shop_parts,
    plates_things,
    plates_things_held,
    plates_work2_sheets,
    plates_work2_ways,
    plates_work_held,
    plates_work_things,
)
from tests.bench.hand_views import Drawn
from tests.bench.plates_layout import MARGIN, extent, frame, set_out
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
from tests.bench.plates_real2_ink import Tint, ink_tint
from tests.bench.plates_real2_scan import scan_bought
from tests.bench.plates_real2_sheets import Bought
from tests.bench.plates_real_paper import bend_marks, bend_sizes, warp_of
from tests.bench.plates_real_pen import real_ways
from tests.bench.plates_real_things import RealThing
from tests.bench.plates_real_views import RealView
from tests.bench.plates_scan import Picture, scan
from tests.bench.plates_shop_things import ShopThing
from tests.bench.plates_shop_views import ShopView
from tests.bench.plates_slip import Slip
from tests.bench.plates_text import CAPTIONS, HEADS, heading, paragraph
from tests.bench.plates_things import Rows, Thing
from tests.bench.plates_views import Manner, View
from tests.bench.plates_work2_scan import scan_work
from tests.bench.plates_work_things import WorkThing
from tests.bench.plates_work_views import WorkView

PAGES = ((152.0, 229.0), (178.0, 254.0), (203.0, 279.0))
SHEETS = ((203.0, 267.0), (216.0, 279.0), (254.0, 343.0))  # that a shop or a magazine issued
LARGER = 1.15  # letters of working drawings, to those of plates
RULINGS = ("", "frame", "cells")
ROUNDS = 4  # of finding the scale that fills the page, as a rule
LARGEST = 9.0  # mm of paper to an inch
STATED = (
    (25.4 / 12, 'SCALE 1" = 1 FT.'),
    (25.4 / 8, 'SCALE 1 1/2" = 1\'-0"'),
    (25.4 / 4, 'SCALE 3" = 1 FT.'),
)
FULL = 28.0  # mm of paper to an inch: the largest of plans that are sold, small parts full size
INKED = (-1, 5)  # px that ink spreads on such a plan, as a rule
FindFace = Callable[[str], Path | None]
MakeOwn = Callable[..., Bought]
Scan = Callable[..., Picture]


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
    real : bool
        Whether they are plans as makers buy them: later ways to draw, warped paper, ink that
        spread or faded.
    own : callable, optional
        What draws its sheets instead, from the seed on: then faces alone are told above.
    scan : callable
        What makes a picture of a page.
    """

    seed: int
    things: (
        tuple[Thing, ...] | tuple[WorkThing, ...] | tuple[ShopThing, ...] | tuple[RealThing, ...]
    )
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
    real: bool = False
    own: MakeOwn | None = None
    scan: Scan = scan

    def hand(self, number: int) -> tuple[str, float, float]:
        """What a plate is lettered with: no thing keeps to one hand."""
        return self.hands[(number + number // len(self.things)) % len(self.hands)]

    def ruling(self, number: int) -> str:
        """What is ruled about the drawings: a "frame", "cells", or "" for nothing."""
        if not self.work:
            return "frame" if self.framed else ""
        return RULINGS[(number + number // len(self.things)) % len(RULINGS)]


def _typed(shops: Sequence[plates_work2_ways.Ways]) -> tuple[tuple[str, float, float], ...]:
    """The faces of those draughtsmen who do not letter with a pen."""
    return tuple((ways.face, ways.slant, ways.loose) for ways in shops if ways.face)


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
    "work, development 3": Half(
        seed=51907,  # held out once
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
    "work, development 4": Half(
        seed=30211,
        things=(),
        types=(),
        hands=_typed(plates_work2_ways.SHOPS),
        heads=(),
        dashes=(),
        framed=False,
        own=plates_work2_sheets.make_fourth,
        scan=scan_work,
    ),
    "work, held out": Half(
        seed=77041,
        things=(),
        types=(),
        hands=_typed(plates_work2_ways.SHOPS_HELD),
        heads=(),
        dashes=(),
        framed=False,
        own=plates_work2_sheets.make_held,
        scan=scan_work,
    ),
    "real, development": Half(
        seed=94261,
        things=plates_real_things.THINGS,
        types=("PTF55F", "eurof55"),
        hands=(
            ("architects-daughter-latin-400-normal", 0.0, 0.016),
            ("routed-gothic", 0.0, 0.0),
            ("pangolin-latin-400-normal", 0.0, 0.012),
            ("Dustismo", 0.0, 0.0),
            ("OxygenMono-Regular", 0.0, 0.003),
            ("PTS56F", 0.0, 0.0),
        ),
        heads=("blade", "dot", "slash", "pip", "delta"),
        dashes=((), (), ()),
        framed=False,
        work=True,
        pen=RealView,
        pages=PAGES[2:] + SHEETS[:2],
        sideways=("jig", "gusset"),
        lines=(0, 0, 4, 8),
        rounds=6,
        real=True,
    ),
    "real, development 2": Half(
        seed=31973,  # held out once; single plates were looked at
        things=plates_real_held.THINGS,
        types=("rasa-latin-300-normal", "GilliusADFNo2-Regular"),
        hands=(
            ("Humor-Sans", 0.0, 0.0),
            ("SteveHand", 0.0, 0.01),
            ("eurofc55", 0.0, 0.0),
            ("dkg", 0.0, 0.016),
            ("PTM55F", 0.0, 0.003),
            ("okolaksRegular", 10.0, 0.006),
        ),
        heads=("spear", "bare", "check", "blot", "cross"),
        dashes=((), (), ()),
        framed=False,
        work=True,
        pen=RealView,
        pages=PAGES[2:] + SHEETS[:2],
        sideways=("gate", "glider"),
        lines=(0, 0, 3, 6),
        rounds=6,
        real=True,
    ),
    "real, held out": Half(
        seed=60617,
        things=(),
        types=(),
        hands=tuple((ways.face, ways.slant, ways.loose) for ways in plates_real2_ways.WAYS),
        heads=(),
        dashes=(),
        framed=False,
        own=plates_real2_sheets.make_bought,
        scan=scan_bought,
    ),
}
PACKAGES = (
    "npm: @fontsource/ architects-daughter, pangolin, rasa, libre-caslon-text, patrick-hand, "
    "gfs-didot, besley, zen-maru-gothic, kosugi-maru, nova-script, sorts-mill-goudy, libre-bodoni, "
    "mate, mali, mynerve, judson, dekko, marvel, electrolize, titillium-web, archivo-narrow, "
    "pompiere, cutive-mono, gamja-flower, kavivanar, pathway-gothic-one, walter-turncoat; "
    "Debian: fonts-century-catalogue, fonts-beteckna, "
    "fonts-averia-serif-gwf, fonts-eurofurence, fonts-okolaks, fonts-comic-neue, fonts-essays1743, "
    "fonts-routed-gothic, fonts-dustin, fonts-oxygen, fonts-paratype, fonts-humor-sans, "
    "fonts-dkg-handwriting, fonts-adf-gillius, fonts-sjfonts, fonts-urw-base35, "
    "fonts-crosextra-caladea, fonts-klaudia-berenika, fonts-linuxlibertine, fonts-mplus, "
    "fonts-nanum-extra, fonts-yozvox-yozfont-standard-kana, fonts-unfonts-extra; "
    "Barlow Condensed"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A page before it is printed: marks and sizes in mm of the paper; `kind` says what drew it.

    `spread` is how far ink runs, px; faint ink is drawn back. `ruler` is how steady its
    lines are, where the half's own draughtsman says so.
    """

    size: XY
    marks: tuple[Mark | Lettered, ...]
    drawn: tuple[Drawn, ...]
    kind: str
    spread: int = 0
    ruler: Ruler | None = None


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
    if half.own is not None:
        own = half.own(half.seed, number, find_face=find_face, planted=planted)
        return Plate(
            size=own.size, marks=own.marks, drawn=own.drawn, kind=own.kind, ruler=own.ruler
        )
    rng = np.random.default_rng([half.seed, number, 1])
    wide, high = half.pages[int(rng.integers(len(half.pages)))]
    if half.things[number % len(half.things)].__name__ in half.sideways:
        wide, high = high, wide
    manner, body = pick_manner(half, number, rng, find_face)
    if half.work:
        manner = _at_work(manner, np.random.default_rng([half.seed, number, 4]))
    if half.real:
        manner = real_ways(manner, np.random.default_rng([half.seed, number, 5]))
    lines = half.lines[int(rng.integers(len(half.lines)))]
    room = (wide - 2 * MARGIN, high - 2 * MARGIN - lines * body.height * 2.0 - 22.0)
    rows, stated = _fit(half, number, manner, room, planted=planted)
    words, top = _page_words(half, body, lines, (wide, high), rng)
    ruled = half.ruling(number)
    marks, drawn, low = set_out(rows, top, wide, room, rng, cells=ruled == "cells")
    marks += words
    caption = CAPTIONS[int(rng.integers(len(CAPTIONS)))].format(int(rng.integers(2, 90)))
    marks.append(heading(caption, body, wide / 2, min(low + 6.0, high - 6.0), rng))
    if stated:
        name = write(stated, manner.captions, rng)
        marks.append(name.moved((wide - MARGIN - name.size[0] / 2 - 2.0, min(low + 6.0, high - 6))))
    if ruled == "frame":
        marks.append(frame(wide, top, low + 10.0))
    thing, face = half.things[number % len(half.things)].__name__, half.hand(number)[0]
    kind = f"{thing}, {face} {manner.letters.height:.1f}, {manner.letters.fraction}, {manner.head}"
    spread = 0
    if half.real:
        worn = np.random.default_rng([half.seed, number, 6])
        warp, spread = warp_of(worn), int(worn.integers(*INKED))
        marks, drawn = bend_marks(marks, warp), bend_sizes(drawn, warp)
    return Plate(
        size=(wide, high), marks=tuple(marks), drawn=tuple(drawn), kind=kind, spread=spread
    )


def ink(plate: Plate, rng: Rng) -> Ink:
    """Draw a plate, `PX_PER_MM`."""
    wide, high = plate.size
    page = np.full((round(high * PX_PER_MM), round(wide * PX_PER_MM)), 255, np.uint8)
    ruler = Ruler(waver=float(rng.uniform(0.005, 0.035)), swell=float(rng.uniform(0.04, 0.12)))
    ruler = plate.ruler or ruler
    for mark in plate.marks:
        if isinstance(mark, Tint):
            ink_tint(page, mark, ruler, rng)
        elif isinstance(mark, Mark):
            ink_mark(page, mark, ruler, rng)
        else:
            ink_letters(page, mark)
    return _spread(page, plate.spread)


def _spread(page: Ink, px: int) -> Ink:
    """Let ink run, or draw it back, by some pixels."""
    if not px:
        return page
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (abs(px) + 1, abs(px) + 1))
    return np.asarray((cv2.erode if px > 0 else cv2.dilate)(page, disc), np.uint8)


def _fit(half: Half, number: int, manner: Manner, room: XY, *, planted: bool) -> tuple[Rows, str]:
    """Draw the views at the scale that fills the room, or at a usual one just below it."""
    scale, stated = 2.0, ""
    for _ in range(half.rounds):
        rows = _views(half, number, manner, scale, planted=planted)
        wide, high = extent(rows)
        grown = scale * min(room[0] / wide, room[1] / high)
        scale = min(FULL if half.real else LARGEST, 0.98 * grown)
    rng = np.random.default_rng([half.seed, number, 2])
    if rng.random() < 0.3:
        usual = [(s, text) for s, text in STATED if 0.7 * scale < s <= scale]
        scale, stated = usual[-1] if usual else (scale, "")
    return _views(half, number, manner, scale, planted=planted), stated


def _views(half: Half, number: int, manner: Manner, scale: float, *, planted: bool) -> Rows:
    rng = np.random.default_rng([half.seed, number, 3])
    plant = Slip(rng, int(rng.integers(1, 7)) if planted else -1)

    def build(zoom: float) -> View:
        return half.pen(manner=manner, per_inch=scale * zoom, rng=rng, plant=plant)

    return half.things[number % len(half.things)](build, rng)


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
