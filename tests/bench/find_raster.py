"""How many dimensions of ezdxf's sheets `check` finds on rasters, by resolution and wear."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import NamedTuple

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.records import Dimension
from tests.bench.ezdxf_drawing import BenchSheet
from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.ezdxf_styles import DEVELOPMENT, HELD_OUT
from tests.bench.ezdxf_views import LINK_VIEWS, ROUND_VIEWS, View
from tests.bench.find_vector import END_PT, compare, ends_off
from tests.bench.spreading import spread
from tests.bench.worn_checks import check_sheet

SEED = {"development": 21, "held out": 2021}
STYLES = {"development": DEVELOPMENT, "held out": HELD_OUT}


class Condition(NamedTuple):
    """How sheets are worn; `views` are drawn, where not every kind is, and `what` names them."""

    dpi: int
    how: str
    views: tuple[View, ...] | None = None
    what: str = ""

    @property
    def name(self) -> str:
        """As the table has it."""
        return f"{self.how}, {self.what}" if self.what else self.how


CONDITIONS = (
    Condition(200, "scan"),
    Condition(200, "scan", ROUND_VIEWS, "round"),
    Condition(300, "scan"),
    Condition(300, "scan", ROUND_VIEWS, "round"),
    Condition(150, "scan"),
    Condition(200, "bilevel"),
    Condition(200, "skewed"),
    Condition(200, "hard"),
    Condition(200, "photo"),
    Condition(200, "hand"),
    Condition(200, "blueprint"),
    Condition(200, "scan", LINK_VIEWS, "links"),
)
SHORT = 2  # the first conditions, of the short run
HAND_PT = 2.0  # a hand's lines waver: an end further off is a wrong one
KINDS = ("distance", "radius", "diameter", "angle")


class Job(NamedTuple):
    """One sheet: a style by its place, a condition by its place, and which of several."""

    label: str
    condition: int
    style: int
    number: int


@dataclass(slots=True)
class Tally:
    """Counts over some sheets; `off` are the ends' errors across, px."""

    truths: int = 0
    found: int = 0
    right: int = 0
    reported: int = 0
    off: list[float] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Count another's in."""
        self.truths += other.truths
        self.found += other.found
        self.right += other.right
        self.reported += other.reported
        self.off += other.off

    @property
    def cells(self) -> str:
        """How many there are: recall / precision / share of found ones with the right text."""
        parts = ((self.found, self.truths), (self.found, self.reported), (self.right, self.found))
        shares = " / ".join(f"{a / b:.2f}" if b else "–" for a, b in parts)
        return f"{self.truths}: {shares}"

    @property
    def rms(self) -> str:
        """Root mean square of the ends' errors, px."""
        return f"{float(np.sqrt(np.mean(np.square(self.off)))):.3f}" if self.off else "–"


@dataclass(frozen=True, slots=True)
class Found:
    """What was found on one sheet: counts by kind, and the CPU seconds it took."""

    tallies: dict[str, Tally]
    seconds: float


def draw(job: Job) -> tuple[BenchSheet, np.random.Generator]:
    """Draw the sheet of a job; second: the generator that goes on with wearing it."""
    condition = CONDITIONS[job.condition]
    rng = np.random.default_rng([SEED[job.label], job.style, job.number, bool(condition.views)])
    return make_sheet(STYLES[job.label][job.style], rng, views=condition.views), rng


def find_on(job: Job) -> Found:
    """Draw, wear and check one sheet, and count."""
    condition = CONDITIONS[job.condition]
    sheet, rng = draw(job)
    began = time.process_time()
    found = check_sheet(sheet, how=condition.how, dpi=condition.dpi, rng=rng).dimensions
    seconds = time.process_time() - began
    return Found(count(sheet, found, condition), seconds)


def count(sheet: BenchSheet, found: Sequence[Dimension], condition: Condition) -> dict[str, Tally]:
    """Compare what was found with what was drawn, by kind."""
    tallies: dict[str, Tally] = {kind: Tally() for kind in KINDS}
    for truth in sheet.truths:
        tallies[truth.kind].truths += 1
    paired = {}
    within = HAND_PT if condition.how == "hand" else END_PT
    for i, j, right in compare(sheet.truths, found, within=within):
        tally = tallies[sheet.truths[i].kind]
        tally.found += 1
        tally.right += right
        paired[j] = sheet.truths[i].kind
        tally.off.append(ends_off(sheet.truths[i], found[j]) * condition.dpi / 72)
    for j, dimension in enumerate(found):
        kind = paired.get(j, _reported_as(dimension))
        if kind in tallies:
            tallies[kind].reported += 1
    return tallies


def _reported_as(dimension: Dimension) -> str:
    """Ø between two parallel lines counts with the lengths, as the truth has it."""
    across = dimension.kind.value == "diameter" and dimension.sweep is None
    return "distance" if across else dimension.kind.value


def list_jobs(*, full: bool) -> list[Job]:
    """List the sheets of a run: of the short one every other style of the first conditions."""
    conditions = range(len(CONDITIONS) if full else SHORT)
    return [
        Job(label, condition, style, 0)
        for label, condition in product(STYLES, conditions)
        for style in range(0, len(STYLES[label]), 1 if full else 2)
    ]


def run(*, full: bool) -> None:
    """Print recall, precision and right texts by condition, development and held out apart.

    Baseline in the same run: the first condition, which is the easiest; what drawn lines allow is
    told by `find_vector` of the same styles.
    """
    rows: dict[tuple[str, int], Row] = defaultdict(Row)
    by_style: dict[str, Tally] = defaultdict(Tally)
    for job, found in spread(find_on, list_jobs(full=full), name="find_raster"):
        rows[job.label, job.condition].add(found)
        style = STYLES[job.label][job.style]
        by_style[f"{job.label}: {style.name}"].add(found.tallies["distance"])
    Console(width=170).print(_by_condition(rows))
    Console(width=170).print(_by_style(by_style))


@dataclass(slots=True)
class Row:
    """The sheets of one condition together."""

    sheets: int = 0
    seconds: float = 0.0
    tallies: dict[str, Tally] = field(default_factory=lambda: {kind: Tally() for kind in KINDS})

    def add(self, found: Found) -> None:
        """Count a sheet in."""
        self.sheets += 1
        self.seconds += found.seconds
        for kind, tally in found.tallies.items():
            self.tallies[kind].add(tally)


def _by_condition(rows: dict[tuple[str, int], Row]) -> Table:
    title = "Dimensions on rasters (number: recall / precision / right text of those found)"
    table = Table(title=title)
    for name in ("set", "dpi", "wear", *KINDS, "ends px RMS", "CPU s a sheet"):
        table.add_column(name)
    for (label, number), row in sorted(rows.items()):
        condition = CONDITIONS[number]
        cells = [row.tallies[kind].cells for kind in KINDS]
        each = f"{row.seconds / row.sheets:.1f}"
        lengths = row.tallies["distance"].rms
        table.add_row(label, str(condition.dpi), condition.name, *cells, lengths, each)
    return table


def _by_style(by_style: dict[str, Tally]) -> Table:
    table = Table(title="Linear dimensions by style, all conditions")
    for name in ("style", "number: recall / precision / text", "ends px RMS"):
        table.add_column(name)
    for name, tally in sorted(by_style.items()):
        table.add_row(name, tally.cells, tally.rms)
    return table
