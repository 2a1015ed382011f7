"""Power and false alarms of judging by a consensus scale, on simulated scans.

8 % wrong prints, σ 0.5 px an end, prints rounded to 1/64, full size, 11 × 8.5 in. Baseline, in the
same run: one scale for the sheet (the median of printed over drawn), and a size is wrong when it
is off by more than the tolerance and twice its snapping uncertainty.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.checks import judge
from audit.lengths import Unit
from audit.records import Drafting, NoScale, Settings, Verdict
from audit.scale import fix_scales
from tests.checks.simulated import Plan, Simulated, simulate

SEED = {"development": 5, "held out": 1005}
LAYOUTS = ((1, 12), (1, 24), (3, 12), (3, 24), (3, 40))
TOLERANCE_IN = 1 / 64
COLUMNS = (
    *("views, sizes", "dpi", "error", "power", "false alarm", "in U", "too close", "not scaled"),
    *("baseline power", "false alarm", "ms"),
)


@dataclass(slots=True)
class Tally:
    """Wrong sizes and those found, right sizes and those accused, sizes inside U, unscaled."""

    wrong: int = 0
    found: int = 0
    right: int = 0
    accused: int = 0
    inside: int = 0
    scaled: int = 0
    unscaled: int = 0
    close: int = 0

    def cells(self) -> list[str]:
        """Power, false alarms, coverage of U, too close, without a scale."""
        sizes = self.wrong + self.right
        return [
            f"{self.found / max(self.wrong, 1):.2f}",
            f"{self.accused / max(self.right, 1):.4f}",
            f"{self.inside / max(self.scaled, 1):.3f}",
            f"{self.close / sizes:.2f}",
            f"{self.unscaled / sizes:.3f}",
        ]


def run(*, full: bool) -> None:
    """Print the table; `full` draws ten times as many sheets and the held-out seed too."""
    settings = Settings(drafting=Drafting.CAD)
    for name, seed in SEED.items():
        if name == "held out" and not full:
            continue
        sheets = 400 if full else 40
        table = Table(title=f"Consensus scale, {name}, {sheets} sheets a row")
        for column in COLUMNS:
            table.add_column(column, justify="right")
        for views, sizes in LAYOUTS:
            for dpi in (200, 300):
                for error, label in ((1 / 16, "1/16"), (1 / 32, "1/32")):
                    plan = Plan(
                        views=views,
                        dimensions=sizes,
                        dpi=dpi,
                        wrong_share=0.08,
                        wrong_by=error,
                        stretch=(1.004, 0.998),
                    )
                    ours, plain, ms = _compare(plan, settings, sheets=sheets, seed=seed)
                    cells = [f"{views}, {sizes}", str(dpi), label, *ours.cells()]
                    table.add_row(*cells, *plain.cells()[:2], f"{ms:.0f}")
        Console(width=140).print(table)


def _compare(
    plan: Plan, settings: Settings, *, sheets: int, seed: int
) -> tuple[Tally, Tally, float]:
    rng, ours, plain, spent = np.random.default_rng(seed), Tally(), Tally(), 0.0
    for _ in range(sheets):
        drawing = simulate(plan, rng)
        begun = time.perf_counter()
        _judge(drawing, settings, ours)
        spent += time.perf_counter() - begun
        _judge_plainly(drawing, plan, plain)
    return ours, plain, spent / sheets * 1000


def _judge(drawing: Simulated, settings: Settings, tally: Tally) -> None:
    scaled = fix_scales(
        drawing.sheet, drawing.views, dimensions=drawing.dimensions, settings=settings
    )
    tally.unscaled += sum(
        isinstance(next(v for v in scaled.views if v.id == d.view).scale, NoScale)
        for d in drawing.dimensions
    )
    for d in judge(scaled, drawing.dimensions, settings=settings).dimensions:
        _count(tally, d.verdict is Verdict.DISAGREES, wrong=d.id in drawing.wrong)
        tally.close += d.verdict is Verdict.TOO_CLOSE
        if d.scaled is not None:
            tally.scaled += 1
            tally.inside += abs(d.scaled.value - drawing.true[d.id]) <= d.scaled.expanded


def _judge_plainly(drawing: Simulated, plan: Plan, tally: Tally) -> None:
    drawn = [d.ends[0].point.distance(d.ends[1].point) for d in drawing.dimensions]
    printed = [float(d.printed.to(Unit.IN)) for d in drawing.dimensions if d.printed is not None]
    scale = float(np.median(np.array(printed) / np.array(drawn)))
    limit = TOLERANCE_IN + 2 * plan.sigma * 2**0.5 / plan.dpi
    for d, p, n in zip(drawing.dimensions, printed, drawn, strict=True):
        _count(tally, abs(p - scale * n) > limit, wrong=d.id in drawing.wrong)


def _count(tally: Tally, accused: bool, *, wrong: bool) -> None:
    if wrong:
        tally.wrong += 1
        tally.found += accused
    else:
        tally.right += 1
        tally.accused += accused
