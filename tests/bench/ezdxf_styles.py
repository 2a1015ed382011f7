"""Ways of dimensioning that the random sheets are drawn in; development and held out kept apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.bench.ezdxf_texts import FACES, LAYOUTS


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """A way of dimensioning; lengths in inches on the paper."""

    name: str
    arrow: str = ""
    arrow_size: float = 0.12
    tick: float = 0.0
    height: float = 0.11
    above: int = 1
    gap: float = 0.05
    offset: float = 0.06
    beyond: float = 0.08
    width: int = 18
    texts: str = "inline"
    font: str = "Helvetica"
    unit: str = "fraction"
    horizontal: bool = False


DEVELOPMENT = (
    Style(name="filled above", texts="stack bar"),
    Style(name="filled broken", above=0, texts="stack fill", arrow_size=0.09, height=0.1),
    Style(name="open30 above", arrow="open_30", unit="decimal", texts="characters"),
    Style(
        name="architectural tick",
        arrow="architectural_tick",
        unit="feet",
        texts="words",
        height=0.1,
    ),
    Style(name="oblique", tick=0.08, unit="mm", above=1, font="Times-Roman"),
    Style(name="dot small broken", arrow="dot_small", above=0, texts="diagonal", offset=0.0),
    Style(name="closed blank", arrow="closed_blank", unit="mm", gap=0.03, beyond=0.05),
    Style(name="closed above", arrow="closed", unit="decimal", height=0.12, width=25),
    Style(name="dot above", arrow="dot", arrow_size=0.06, unit="mm", texts="words"),
    Style(name="origin", arrow="origin_indicator", arrow_size=0.08, unit="mm", gap=0.08),
    Style(name="filled box", arrow="box_filled", arrow_size=0.06, above=0, texts="diagonal"),
    Style(name="dot blank", arrow="dot_blank", arrow_size=0.06, unit="decimal", offset=0.1),
    Style(
        name="heavy tick", arrow="architectural_tick", arrow_size=0.1, width=30, texts="stack bar"
    ),
    Style(
        name="heavy tick mm",
        arrow="architectural_tick",
        arrow_size=0.08,
        width=40,
        unit="mm",
        font="Courier",
    ),
    Style(name="heavy oblique", tick=0.09, width=35, texts="stack bare", above=0),
    Style(
        name="small tick", arrow="architectural_tick", arrow_size=0.06, unit="decimal", height=0.09
    ),
    Style(name="heavy filled", arrow_size=0.1, width=35, texts="stack bar"),
    Style(name="heavy open", arrow="open_30", arrow_size=0.1, width=35, unit="mm"),
    Style(name="filled box above", arrow="box_filled", arrow_size=0.07, unit="mm"),
)
HELD_OUT = (
    Style(name="open90 broken", arrow="right_angle", above=0, texts="stack bar", height=0.125),
    Style(name="small filled", arrow_size=0.06, height=0.08, width=13, beyond=0.03),
    Style(name="open above", arrow="open", unit="decimal", font="Courier", height=0.09),
    Style(name="large filled broken", arrow_size=0.18, above=0, unit="feet", texts="stack bare"),
    Style(
        name="tick thick", arrow="architectural_tick", arrow_size=0.09, width=35, texts="stack bare"
    ),
    Style(name="small ring", arrow="dot_smallblank", unit="mm", texts="characters"),
    Style(name="second origin", arrow="origin_indicator_2", arrow_size=0.09, unit="decimal"),
    Style(name="blunt filled", arrow="ez_arrow_filled", texts="words", unit="feet", height=0.1),
    Style(name="blunt blank broken", arrow="ez_arrow_blank", above=0, unit="mm", gap=0.07),
    Style(
        name="tick level", tick=0.1, unit="decimal", horizontal=True, above=0, font="Times-Roman"
    ),
    Style(name="filled level", horizontal=True, above=0, texts="stack bar", offset=0.03),
)


def random_style(rng: np.random.Generator, number: int) -> Style:
    """Draw a style at random, for a set nobody has looked at."""
    arrows = """
        closed_filled closed_filled open_30 open right_angle closed closed_blank architectural_tick
        dot dot_small dot_blank dot_smallblank origin_indicator box_filled
        ez_arrow ez_arrow_blank ez_arrow_filled oblique
        """.split()  # noqa: SIM905  # a word list reads best as one
    arrow = str(rng.choice(arrows))
    small = arrow in ("dot", "dot_blank", "box_filled", "origin_indicator")
    tick = float(rng.uniform(0.06, 0.12)) if arrow == "oblique" else 0.0
    height = float(rng.uniform(0.08, 0.13))
    return Style(
        name=f"random {number}",
        arrow="" if tick or arrow == "closed_filled" else arrow,
        arrow_size=float(rng.uniform(0.05, 0.08) if small else rng.uniform(0.08, 0.16)),
        tick=tick,
        height=height,
        above=int(rng.integers(2)),
        gap=float(rng.uniform(0.3, 0.7)) * height,
        offset=float(rng.uniform(0.0, 0.1)),
        beyond=float(rng.uniform(0.03, 0.12)),
        width=int(rng.choice([13, 18, 25, 35])),
        texts=str(rng.choice(list(LAYOUTS))),
        font=str(rng.choice(list(FACES))),
        unit=str(rng.choice(["fraction", "decimal", "mm", "feet"])),
        horizontal=bool(rng.random() < 0.2),
    )
