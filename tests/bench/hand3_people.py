"""A third company of drafters: what they draw with, on what paper, and how they dimension."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tests.bench.hand3_home import THINGS as HOME
from tests.bench.hand3_home import Bench, Views
from tests.bench.hand3_letters import Script
from tests.bench.hand3_pen import Tool
from tests.bench.hand3_sketch import Habit
from tests.bench.hand3_yard import THINGS as YARD
from tests.bench.hand_pen import XY, Rng

Draw = Callable[[Bench], Views]
INCH, FOOT = 25.4, 25.4 / 12  # mm: full size; an inch to the foot


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who draws: lengths in mm of the paper.

    Attributes
    ----------
    name : str
    habit : Habit
    paper : str
        "plain", "squares", "lines", "millimetres", "brown", "tracing" or "blue".
    sheet : (float, float)
    scales : tuple of float
        Mm to an inch that he draws at, largest first.
    framed : bool
        Whether he rules a frame and a strip for the title.
    listed : bool
        Whether he adds a list of parts.
    tells : str
        What he says of his units.
    lined : bool
        Whether views stand in line with one another.
    """

    name: str
    habit: Habit
    paper: str
    sheet: XY
    scales: tuple[float, ...]
    framed: bool = False
    listed: bool = False
    tells: str = ""
    lined: bool = True

    def today(self, rng: Rng) -> Person:
        """Tell how he draws today: larger or smaller, darker, looser."""
        tool, script = self.habit.tool, self.habit.script
        grow = float(rng.uniform(0.9, 1.1))
        tool = replace(
            tool, dark=min(1.0, tool.dark * float(rng.uniform(0.88, 1.08))),
            light=tool.light * float(rng.uniform(0.9, 1.12)),
        )  # fmt: skip
        script = replace(
            script, height=script.height * grow, lean=script.lean + float(rng.normal(0, 2))
        )
        habit = replace(
            self.habit, tool=tool, script=script,
            away=self.habit.away * float(rng.uniform(0.9, 1.2)),
            pitch=self.habit.pitch * max(grow, 1.0), head_size=self.habit.head_size * grow,
        )  # fmt: skip
        return replace(self, habit=habit)


def _imperial(*shares: float) -> tuple[float, ...]:
    return tuple(INCH * s for s in shares)


SHOP = _imperial(1, 3 / 4, 1 / 2, 3 / 8, 1 / 4, 3 / 16, 1 / 8, 3 / 32, 1 / 12, 1 / 16, 1 / 24)
METRIC = _imperial(1, 1 / 2, 2 / 5, 1 / 4, 1 / 5, 1 / 8, 1 / 10, 1 / 15, 1 / 20)
FREE = tuple(20.0 * 0.9**k for k in range(30))  # to fill the page

ENGINEER = Person(
    name="retired engineer",
    habit=Habit(
        tool=Tool(kind="ink", heavy=0.5, light=0.22, letter=0.27, dark=0.97,
                  steady=0.04, miss=0.1, edge=0.12),
        script=Script(owner="engineer", figures="0020022200", capitals=0, height=2.9, wide=0.78,
                      gap=0.22, lean=2.0, own=0.18, loose=0.09, fraction="stacked"),
        unit="inch", number="gap", turned=True, head="slim", head_size=3.0, away=9.0, pitch=8.0,
        gap=1.2, beyond=1.8, radius="{} R", bore="{} DRILL",
    ),
    paper="tracing", sheet=(279.0, 216.0), scales=SHOP, framed=True, listed=True,
)  # fmt: skip
NOTEBOOK = Person(
    name="ball-point notebook",
    habit=Habit(
        tool=Tool(kind="ball", heavy=0.38, light=0.26, letter=0.3, dark=0.72,
                  steady=0.1, miss=0.5, edge=0.3),
        script=Script(owner="notebook", figures="2202200022", capitals=0, height=3.2, wide=0.72,
                      gap=0.16, lean=9.0, own=0.3, loose=0.2),
        unit="mm", number="above", turned=True, head="vee", head_size=2.4, away=8.0, pitch=8.5,
        gap=0.5, beyond=1.5, radius="R{}", bore="Ø{}",
    ),
    paper="squares", sheet=(210.0, 285.0), scales=METRIC, tells="ALL SIZES IN MM", lined=True,
)  # fmt: skip
FARMER = Person(
    name="farmer's pencil",
    habit=Habit(
        tool=Tool(kind="lead", heavy=0.75, light=0.42, letter=0.46, dark=0.82,
                  steady=0.24, miss=0.7, edge=0.35),
        script=Script(owner="farmer", figures="0222020222", capitals=0, height=3.9, wide=0.82,
                      gap=0.24, lean=-3.0, own=0.34, loose=0.26, fraction="line"),
        unit="inch", number="gap", turned=False, head="wide", head_size=3.0, away=10.0, pitch=9.5,
        gap=0.4, beyond=1.5, mark='"', inside=True, radius="{} RADIUS", bore="{} HOLE",
    ),
    paper="lines", sheet=(279.0, 216.0), scales=FREE, lined=True,
)  # fmt: skip
PUPIL = Person(
    name="school exercise",
    habit=Habit(
        tool=Tool(kind="lead", heavy=0.42, light=0.24, letter=0.28, dark=0.62,
                  steady=0.06, miss=0.3, edge=0.2),
        script=Script(owner="pupil", figures="0000002000", capitals=0, height=3.4, wide=0.86,
                      gap=0.28, lean=0.0, own=0.26, loose=0.15),
        unit="cm", number="above", turned=True, head="crow", head_size=2.6, away=9.0, pitch=9.0,
        gap=0.8, beyond=2.0, chain=False, radius="R = {}", bore="Ø {}",
    ),
    paper="millimetres", sheet=(297.0, 210.0), scales=METRIC, framed=True, tells="SIZES IN CM",
)  # fmt: skip
FELT = Person(
    name="felt tip on brown paper",
    habit=Habit(
        tool=Tool(kind="felt", heavy=0.95, light=0.6, letter=0.62, dark=0.92,
                  steady=0.12, miss=0.6, edge=0.35),
        script=Script(owner="felt", figures="2020200202", capitals=0, height=4.8, wide=0.8,
                      gap=0.26, lean=4.0, own=0.28, loose=0.2, fraction="slant"),
        unit="foot", number="gap", turned=False, head="blob", head_size=6.0, away=11.0, pitch=11.0,
        gap=0.0, beyond=2.5, radius="R {}", bore="{} DIA",
    ),
    paper="brown", sheet=(320.0, 235.0), scales=FREE,
)  # fmt: skip
INKER = Person(
    name="magazine inker",
    habit=Habit(
        tool=Tool(kind="ink", heavy=0.65, light=0.24, letter=0.32, dark=1.0,
                  steady=0.035, miss=0.12, edge=0.2),
        script=Script(owner="inker", figures="1111111111", capitals=1, height=3.0, wide=0.74,
                      gap=0.2, lean=15.0, own=0.2, loose=0.11, fraction="slant"),
        unit="inch", number="gap", turned=False, head="leaf", head_size=3.2, away=8.5, pitch=8.0,
        gap=1.0, beyond=1.5, mark='"', radius="{} RAD.", bore="{} DIA.",
    ),
    paper="plain", sheet=(290.0, 215.0), scales=FREE, listed=True, lined=True,
)  # fmt: skip
ARCHITECT = Person(
    name="architect's hand",
    habit=Habit(
        tool=Tool(kind="lead", heavy=0.5, light=0.22, letter=0.3, dark=0.85,
                  steady=0.05, miss=1.1, edge=0.18),
        script=Script(owner="architect", figures="3313333133", capitals=1, height=2.7, wide=1.0,
                      gap=0.3, lean=1.0, own=0.3, loose=0.14, fraction="slant"),
        unit="foot", number="above", turned=True, head="stroke", head_size=2.6, away=9.0, pitch=7.5,
        gap=1.5, beyond=2.2, radius="R {}", bore="{} DIA",
    ),
    paper="tracing", sheet=(305.0, 229.0), scales=SHOP, framed=True,
)  # fmt: skip
COPY = Person(
    name="blueprint",
    habit=Habit(
        tool=Tool(kind="ink", heavy=0.5, light=0.26, letter=0.32, dark=0.95,
                  steady=0.05, miss=0.15, edge=0.2),
        script=Script(owner="copy", figures="3131131311", capitals=1, height=3.2, wide=0.86,
                      gap=0.26, lean=6.0, own=0.22, loose=0.12),
        unit="decimal", number="gap", turned=False, head="hollow", head_size=2.8, away=9.5,
        pitch=9.0, gap=1.2, beyond=1.6, chain=False, radius="{} R", bore="{} DIA.",
    ),
    paper="blue", sheet=(300.0, 220.0), scales=SHOP, framed=True,
)  # fmt: skip
MAKER = Person(
    name="maker's pencil on squares",
    habit=Habit(
        tool=Tool(kind="lead", heavy=0.45, light=0.3, letter=0.36, dark=0.66,
                  steady=0.28, miss=0.6, edge=0.45),
        script=Script(owner="maker", figures="1331313113", capitals=1, height=3.6, wide=0.76,
                      gap=0.2, lean=-6.0, own=0.34, loose=0.22, fraction="line"),
        unit="inch", number="gap", turned=True, head="half", head_size=3.0, away=8.5, pitch=8.5,
        gap=0.3, beyond=1.2, radius="R{}", bore="{} HOLE",
    ),
    paper="squares", sheet=(279.0, 216.0), scales=FREE, lined=False,
)  # fmt: skip
WRITER = Person(
    name="fountain pen",
    habit=Habit(
        tool=Tool(kind="nib", heavy=0.5, light=0.3, letter=0.36, dark=0.82,
                  steady=0.08, miss=0.4, edge=0.25),
        script=Script(owner="writer", figures="1113131331", capitals=1, height=3.3, wide=0.8,
                      gap=0.2, lean=12.0, own=0.28, loose=0.16),
        unit="mm", number="below", turned=True, head="cross", head_size=2.6, away=8.0, pitch=9.0,
        gap=0.6, beyond=1.8, inside=True, radius="R = {}", bore="Ø {}",
    ),
    paper="lines", sheet=(297.0, 210.0), scales=METRIC, tells="DIMENSIONS IN MM", lined=True,
)  # fmt: skip

COMPANIES: tuple[tuple[tuple[Person, ...], tuple[Draw, ...]], ...] = (
    ((ENGINEER, NOTEBOOK, FARMER, PUPIL, FELT), HOME),
    ((INKER, ARCHITECT, COPY, MAKER, WRITER), YARD),
)
