"""Six people who draw by hand: what they draw with and on, how they letter and dimension."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tests.bench.hand2_drafts import Habit
from tests.bench.hand2_letters import Script
from tests.bench.hand2_pen import Tool
from tests.bench.hand_pen import XY, Rng

LETTER, UPRIGHT, LEGAL = (279.4, 215.9), (215.9, 279.4), (355.6, 215.9)
SQUARE_MM = 6.35  # a quarter of an inch
SCALES = (
    25.4,
    19.05,
    12.7,
    9.525,
    6.35,
    4.7625,
    3.175,
    2.38125,
    2.1166667,
    1.5875,
)  # mm to an inch
SQUARES_TO_INCH = (4.0, 2.0, 1.0, 0.5, 0.25)


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """One person's sheet.

    `steps` are scales used, mm to an inch, none for any; `single`: views have the first one's where
    they can; `wide` and `high` how large a view is drawn, mm; `squares` of the paper, mm, 0 for
    none; `blue`: the sheet is a blueline copy; `guides`: lettered between ruled lines; `border`:
    framed, with a title strip; `ghosts` of rubbed-out lines and `smudges`.
    """

    name: str
    paper: XY
    habit: Habit
    steps: tuple[float, ...]
    single: bool
    wide: XY
    high: XY
    squares: float = 0.0
    blue: bool = False
    guides: bool = False
    border: bool = False
    ghosts: int = 0
    smudges: int = 0


Find = Callable[[str], Path | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fonts:
    """Faces of a half, and where to look for them; strokes stand in for one that is missing."""

    stems: tuple[str, ...]
    find: Find

    def pick(self, turn: int) -> Path | None:
        """File of a face, taken in turn."""
        return self.find(self.stems[turn % len(self.stems)])


def pick_style(number: int, people: Sequence[int], fonts: Fonts, rng: Rng) -> Style:
    """Pick who drew a sheet: people in turn, each round from another on (so is each scanned)."""
    turn = number // len(people)
    return PEOPLE[people[(number + turn) % len(people)]](turn, fonts, rng)


def _script(hand: str, rng: Rng, tool: Tool, *, lean: float, fraction: str, high: XY) -> Script:
    return Script(
        hand=hand, height=float(rng.uniform(*high)), lean=lean, fraction=fraction, level=tool.level,
        width=tool.thin * float(rng.uniform(0.9, 1.3)), uneven=float(rng.uniform(0.03, 0.075)),
        tight=float(rng.uniform(0.85, 1.1)), gap=float(rng.uniform(0.2, 0.32)),
        small=float(rng.uniform(0.62, 0.85)),
    )  # fmt: skip


def _faced(face: Path | None, other: Script) -> Script:
    """The same in a face, where there is one."""
    if face is None:
        return other
    return replace(
        other, hand="", face=face, lean=0.0, uneven=0.7 * other.uneven, tight=1.0, gap=0.06
    )


def _pencil(turn: int, fonts: Fonts, rng: Rng) -> Style:
    """Ruled with a sharp pencil on plain paper."""
    tool = Tool(
        kind="pencil", thin=0.26, thick=0.42, level=int(rng.integers(50, 95)), stray=0.1,
        tremor=0.02, over=0.45, twice=0.12, grain=0.3,
    )  # fmt: skip
    fraction = ("bar", "slant", "line")[turn % 3]
    script = _script("bench", rng, tool, lean=3.0, fraction=fraction, high=(2.7, 3.4))
    habit = Habit(
        tool=tool, script=script, place="in", along=False,
        head=("vee", "outlined", "vee")[turn % 3], head_mm=2.6,
        first=7.5, row=7.0, gap=1.0, beyond=1.8, touch=0.25, drafting=0.22,
        spell="inch", mark=("", '"', "")[turn % 3], radius="R {}", hole="{} DIA",
        curly=turn % 2 == 1,
    )  # fmt: skip
    return Style(
        name="ruled pencil", paper=(LETTER, UPRIGHT, LEGAL)[turn % 3], habit=habit,
        steps=() if turn % 2 else SCALES, single=False, wide=(70, 100), high=(48, 68), ghosts=4,
        smudges=3,
    )  # fmt: skip


def _squared(turn: int, fonts: Fonts, rng: Rng) -> Style:
    """Freehand along the squares of squared paper, in ballpoint."""
    squares = (SQUARE_MM, 5.0)[turn % 2]
    tool = Tool(
        kind="ballpoint", thin=0.3, thick=0.38, level=int(rng.integers(45, 80)), stray=0.35,
        tremor=0.04, over=0.3, twice=0.2, grain=0.12,
    )  # fmt: skip
    fraction = ("line", "slant", "bar")[turn % 3]
    other = _script("bench", rng, tool, lean=6.0, fraction=fraction, high=(2.8, 3.6))
    habit = Habit(
        tool=tool, script=_faced(fonts.pick(turn), other),
        place=("above", "in", "beside")[turn % 3], along=False,
        head=("vee", "slash", "none")[turn % 3], head_mm=2.4, first=8.0, row=7.5,
        gap=0.8, beyond=1.4, touch=0.5, drafting=0.2, spell="inch", mark='"', radius="{}R",
        hole="{} HOLE", curly=True,
    )  # fmt: skip
    return Style(
        name="squared paper", paper=LETTER if turn % 2 else UPRIGHT, habit=habit,
        steps=tuple(k * squares for k in SQUARES_TO_INCH), single=False, wide=(80, 110),
        high=(60, 85), squares=squares, smudges=1,
    )  # fmt: skip


def _school(turn: int, fonts: Fonts, rng: Rng) -> Style:
    """A drafting-school plate: ruled, views in line, lettered between guide lines."""
    tool = Tool(
        kind="pencil", thin=0.22, thick=0.5, level=int(rng.integers(40, 75)), stray=0.05,
        tremor=0.012, over=0.2, twice=0.03, grain=0.2,
    )  # fmt: skip
    script = _script("school", rng, tool, lean=0.0, fraction="bar", high=(2.9, 3.3))
    habit = Habit(
        tool=tool, script=script, place="in", along=turn % 2 == 1, head="sliver", head_mm=3.0,
        first=9.5, row=9.0, gap=1.2, beyond=2.0, touch=0.05, drafting=0.12,
        spell=("inch", "decimal", "inch")[turn % 3], mark="", radius="{} R", hole="{} DRILL",
        curly=False,
    )  # fmt: skip
    return Style(
        name="school plate", paper=LETTER if turn % 2 else LEGAL, habit=habit, steps=SCALES,
        single=True, wide=(70, 95), high=(48, 65), guides=True, border=True, ghosts=2, smudges=2,
    )  # fmt: skip


def _carpenter(turn: int, fonts: Fonts, rng: Rng) -> Style:
    """A carpenter's sketch: a blunt pencil, lines gone over, feet and inches."""
    tool = Tool(
        kind="pencil", thin=0.38, thick=0.6, level=int(rng.integers(45, 85)), stray=0.3,
        tremor=0.03, over=0.8, twice=0.4, grain=0.35,
    )  # fmt: skip
    fraction = "line" if turn % 2 else "slant"
    other = _script("bench", rng, tool, lean=-3.0, fraction=fraction, high=(3.4, 4.3))
    habit = Habit(
        tool=tool, script=other if turn % 2 else _faced(fonts.pick(turn + 1), other),
        place="in" if turn % 2 else "beside", along=False, head=("none", "vee", "slash")[turn % 3],
        head_mm=3.2, first=9.0, row=8.0, gap=0.6, beyond=2.4, touch=0.6, drafting=0.3,
        spell="foot", mark='"', radius="{} R", hole="{} HOLE", curly=True,
    )  # fmt: skip
    return Style(
        name="carpenter's sketch", paper=LETTER, habit=habit, steps=(), single=False,
        wide=(80, 110), high=(55, 75), ghosts=5, smudges=5,
    )  # fmt: skip


def _tracing(turn: int, fonts: Fonts, rng: Rng) -> Style:
    """An inked tracing: a ruling pen, leant single-stroke lettering."""
    tool = Tool(
        kind="nib", thin=0.24, thick=0.5, level=15, stray=0.06, tremor=0.012, over=0.25, twice=0.02,
    )  # fmt: skip
    lean, fraction = (18.0, 12.0, 22.0)[turn % 3], ("bar", "slant")[turn % 2]
    script = _script("tracer", rng, tool, lean=lean, fraction=fraction, high=(2.5, 3.2))
    habit = Habit(
        tool=tool, script=script, place="in", along=turn % 2 == 0, head=("sliver", "vee")[turn % 2],
        head_mm=3.2, first=9.0, row=8.5, gap=1.0, beyond=1.6, touch=0.15, drafting=0.15,
        spell="inch", mark=('"', "")[turn % 2], radius="{} RAD", hole="{} DIA", curly=turn % 2 == 0,
    )  # fmt: skip
    return Style(
        name="inked tracing", paper=LEGAL if turn % 2 else LETTER, habit=habit, steps=SCALES,
        single=turn % 2 == 0, wide=(70, 100), high=(48, 68), border=turn % 2 == 1,
    )  # fmt: skip


def _blueline(turn: int, fonts: Fonts, rng: Rng) -> Style:
    """A blueline copy of somebody's tracing."""
    tool = Tool(
        kind="nib", thin=0.26, thick=0.46, level=20, stray=0.1, tremor=0.015, over=0.4, twice=0.05,
    )  # fmt: skip
    hand, fraction = ("tracer", "school")[turn % 2], ("slant", "bar")[turn % 2]
    other = _script(hand, rng, tool, lean=5.0, fraction=fraction, high=(2.9, 3.6))
    habit = Habit(
        tool=tool, script=other if turn % 2 else _faced(fonts.pick(turn + 2), other),
        place="above", along=True, head=("spot", "slash")[turn % 2], head_mm=2.6, first=8.5,
        row=8.5, gap=1.2, beyond=2.0, touch=0.1, drafting=0.18, spell=("inch", "foot")[turn % 2],
        mark='"', radius="R {}", hole="{} DIA", curly=False,
    )  # fmt: skip
    return Style(
        name="blueline copy", paper=LETTER if turn % 2 else LEGAL, habit=habit, steps=SCALES,
        single=False, wide=(70, 100), high=(48, 68), blue=True, border=turn % 2 == 0,
    )  # fmt: skip


PEOPLE = (_pencil, _squared, _school, _carpenter, _tracing, _blueline)
