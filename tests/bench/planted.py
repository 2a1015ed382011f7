"""Errors planted on drawings: how many `check` names with the right dimension, what it cries wolf.

A *slip* is one wrong printed number; a dimension is *named* when it disagrees, or when a finding of
agreement or of a chain points to it first; every other such warning or error is a false alarm.
"""

from __future__ import annotations

import itertools
import math
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import cv2
import numpy as np
from rich.console import Console
from rich.table import Table

from audit.records import Audit, Dimension, Finding, Severity, Verdict
from tests.bench.ezdxf_drawing import Slip, Truth, spell_length
from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.ezdxf_styles import DEVELOPMENT, HELD_OUT, random_style
from tests.bench.find_vector import ends_off
from tests.bench.planted_situations import SITUATIONS, draw_situation
from tests.bench.spreading import spread
from tests.bench.worn_checks import VECTOR, check_sheet

SHARE = 0.05  # one printed number in twenty
END_PT = 1.5  # a dimension this near is the one that was meant
DPI = 200
# the held-out styles of the other benches were looked at here: now they are development too
SEED = {"development": 5, "development 2": 2005, "held out": 80113}
RANDOM = 12  # styles drawn at random, of a seed that nobody has looked at
UNSEEN = tuple(random_style(np.random.default_rng([SEED["held out"], k]), k) for k in range(RANDOM))
STYLES = {"development": DEVELOPMENT, "development 2": HELD_OUT, "held out": UNSEEN}
SITUATED = {"development": 11000, "held out": 13000}  # seeds of the sheets of `SITUATIONS`
EACH = (18, 3)  # of them, long and short run
SIZES = (Fraction(1, 64), Fraction(1, 32), Fraction(3, 64), Fraction(1, 16), Fraction(1, 8))
MOST_ASKED = Fraction(1, 16)
OFTEN = 0.4  # share of the planted errors that have this size
FULL_SIZE = {"fraction": 1.0, "decimal": 1.0, "mm": 25.4}  # real to paper; feet are never drawn so
FEWEST = 4  # errors that make a point of the curve
ALARMS = ("A1", "C1")
OUTCOME = ("sheets", "planted", "named", "tolerated", "unread", "false a sheet", "codes")
LOUD = (Severity.ERROR, Severity.WARNING)
PLOT = Path(__file__).parents[2] / "docs" / "pictures" / "planted-errors.png"


def by_inches(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
    """Print a length too long or too short by one of `SIZES` (mm: the same, to .5)."""
    if rng.random() >= SHARE:
        return None
    drawn = SIZES[int(rng.integers(len(SIZES)))]
    size = float(MOST_ASKED if rng.random() < OFTEN else drawn)
    step = size if unit != "mm" else max(round(size * 25.4 * 2) / 2, 0.5)
    wrong = real + step * float(rng.choice([-1, 1]))
    return spell_length(wrong, unit) if wrong > 0 else None


def by_percent(percent: float) -> Slip:
    """Print a length so many percent off, to the steps that the style prints."""

    def slip(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
        if rng.random() >= SHARE:
            return None
        text = spell_length(real * (1.0 + percent / 100 * float(rng.choice([-1, 1]))), unit)
        return None if right.endswith(text) else text

    return slip


def by_hand(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
    """Slip as people do: half a fraction, swapped figures, a lost inch, R for Ø."""
    if rng.random() >= SHARE:
        return None
    ways = [_halve, _swap, _lose_whole]
    if right[:2] in ("R ", "Ø "):
        ways = [_double]
    for k in rng.permutation(len(ways)):
        text = ways[int(k)](real, right, unit)
        if text is not None and text != right:
            return text
    return None


def _halve(real: float, right: str, unit: str) -> str | None:
    """5/16 becomes 5/32."""
    whole, slash, last = right.rpartition("/")
    if not slash or not last.isdigit() or int(last) > 16:
        return None
    return f"{whole}/{2 * int(last)}"


def _swap(real: float, right: str, unit: str) -> str | None:
    """3.75 becomes 3.57, 42 becomes 24."""
    digits = [k for k, c in enumerate(right) if c.isdigit()]
    for a, b in itertools.pairwise(digits):
        if "/" not in right and b == a + 1 and right[a] != right[b] and right[b] != "0":
            return right[:a] + right[b] + right[a] + right[b + 1 :]
    return None


def _lose_whole(real: float, right: str, unit: str) -> str | None:
    """2 3/8 becomes 3/8, 2.375 becomes .375."""
    if unit in ("mm", "feet") or math.floor(real) < 1 or real == math.floor(real):
        return None
    return spell_length(real - math.floor(real), unit)


def _double(real: float, right: str, unit: str) -> str | None:
    """A radius where the diameter should stand, and the other way round."""
    return spell_length(real * (0.5 if right.startswith("Ø") else 2.0), unit)


def print_right(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
    """Print everything right: what is cried on such sheets is the baseline."""
    return None


class Kind(NamedTuple):
    """A kind of slip, and sheets a style of the long and the short run, on pages and pictures."""

    slip: Slip
    pages: tuple[int, int]
    pictures: tuple[int, int]
    full_size: bool = False


KINDS = {
    "none (baseline)": Kind(print_right, (2, 0), (1, 0)),
    "2 %": Kind(by_percent(2.0), (3, 0), (1, 0)),
    "6 %": Kind(by_percent(6.0), (3, 0), (1, 0)),
    "as people slip": Kind(by_hand, (4, 1), (2, 0)),
    "1/64 to 1/8 in, full size": Kind(by_inches, (8, 3), (4, 1), full_size=True),
}
PICTURE = "scan"


class Job(NamedTuple):
    """One sheet: a style by its place, and which of several."""

    label: str
    pages: str
    kind: str
    style: int
    number: int


@dataclass(frozen=True, slots=True)
class Planted:
    """A wrong number, and what came of it: `why` where it was not named.

    `tolerated` is read and measured right, and off by less than the plan's tolerance.
    """

    truth: Truth
    named: bool
    read: bool
    tolerated: bool = False
    why: str = ""

    @property
    def size(self) -> Fraction:
        """By how much it is wrong, inches, as the nearest of `SIZES`."""
        off = abs(_value(self.truth.text) - _value(self.truth.right))
        # half a millimetre is the least step of sheets in mm, far more than of sheets in inches
        inches = off / Fraction(127, 5) if _is_metric(self.truth) else off
        return min(SIZES, key=lambda size: abs(size - inches))


def _value(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.lstrip("RØ ").split()), Fraction(0))


def _is_metric(truth: Truth) -> bool:
    return any(s.name == truth.style and s.unit == "mm" for s in itertools.chain(*STYLES.values()))


@dataclass(slots=True)
class Outcome:
    """What was seen on some sheets; `codes` are those of the false alarms."""

    sheets: int = 0
    planted: list[Planted] = field(default_factory=list)
    codes: Counter[str] = field(default_factory=Counter)

    def add(self, other: Outcome) -> None:
        """Count another's in."""
        self.sheets += other.sheets
        self.planted += other.planted
        self.codes += other.codes

    @property
    def cells(self) -> tuple[str, ...]:
        """Sheets, planted, named, tolerated, not read, false alarms a sheet, their codes."""
        codes = ", ".join(f"{code} {n}" for code, n in self.codes.most_common(4))
        return (
            str(self.sheets),
            *share_named(self.planted),
            str(sum(p.tolerated for p in self.planted)),
            str(sum(not p.read and not p.named for p in self.planted)),
            f"{self.codes.total() / max(self.sheets, 1):.2f}",
            codes,
        )


def share_named(planted: Sequence[Planted]) -> tuple[str, str]:
    """How many were planted and the share that was named, as table cells."""
    named = sum(p.named for p in planted)
    return str(len(planted)), f"{named / len(planted):.2f}" if planted else "–"


def judge_audit(truths: Sequence[Truth], audit: Audit) -> Outcome:
    """Count what was named of what was planted, and what else was cried."""
    outcome = Outcome(sheets=1)
    of = {d.id: _truth_of(d, truths) for d in audit.dimensions}
    loud = [f for f in audit.findings if f.code[:2] in ALARMS and f.severity in LOUD]
    firsts = {f.dimensions[0] for f in loud if f.dimensions}
    for k, truth in enumerate(truths):
        if not truth.right:
            continue
        mine = [d for d in audit.dimensions if of[d.id] == k]
        named = any(d.verdict is Verdict.DISAGREES or d.id in firsts for d in mine)
        read = any(d.reading and d.reading.callout for d in mine)
        why = [f"{d.verdict} {d.reading.text if d.reading else None} {d.why}" for d in mine]
        tolerated = any(_is_tolerated(d, truth) for d in mine)
        outcome.planted.append(
            Planted(truth, named, read, tolerated, "; ".join(why) or "not found")
        )
    for finding in loud:
        if not _is_earned(finding, of, truths):
            outcome.codes[finding.code] += 1
    return outcome


def _is_tolerated(dimension: Dimension, truth: Truth) -> bool:
    reading = dimension.reading
    return (
        dimension.verdict is Verdict.AGREES and reading is not None and reading.text == truth.text
    )


def _truth_of(dimension: Dimension, truths: Sequence[Truth]) -> int | None:
    off = [ends_off(t, dimension) for t in truths]
    best = int(np.argmin(off)) if off else 0
    return best if off and off[best] < END_PT else None


def _is_earned(finding: Finding, of: dict[int, int | None], truths: Sequence[Truth]) -> bool:
    """Whether a finding has a planted error among its dimensions."""
    places = [of.get(number) for number in finding.dimensions]
    return any(k is not None and truths[k].right for k in places)


def find_styles(job_kind: Kind, label: str) -> list[int]:
    """Places of the styles that a kind of slip is planted on."""
    return [
        k
        for k, style in enumerate(STYLES[label])
        if not job_kind.full_size or style.unit in FULL_SIZE
    ]


def list_jobs(*, full: bool) -> list[Job]:
    """List the sheets of a run; the short one takes every third style of pictures."""
    jobs = []
    for label, (name, kind) in itertools.product(STYLES, KINDS.items()):
        for pages, numbers in ((VECTOR, kind.pages), (PICTURE, kind.pictures)):
            step = 1 if full or pages == VECTOR else 3
            for style in find_styles(kind, label)[::step]:
                jobs += [Job(label, pages, name, style, n) for n in range(numbers[not full])]
    return jobs


def plant(job: Job) -> Outcome:
    """Draw a sheet with slips, check it and count."""
    kind, style = KINDS[job.kind], STYLES[job.label][job.style]
    order = (list(KINDS).index(job.kind), job.style, job.number)
    rng = np.random.default_rng([SEED[job.label], *order])
    factor = FULL_SIZE[style.unit] if kind.full_size else None
    sheet = make_sheet(style, rng, slip=kind.slip, factor=factor)
    return judge_audit(sheet.truths, check_sheet(sheet, how=job.pages, dpi=DPI, rng=rng))


class Situated(NamedTuple):
    """One sheet of a situation, by its place in `SITUATIONS`."""

    label: str
    situation: int
    number: int


def plant_one(job: Situated) -> Outcome:
    """Draw a sheet of a situation, check it and count."""
    situation = SITUATIONS[job.situation]
    sheet = draw_situation(situation, (SITUATED[job.label], job.situation), job.number)
    audit = check_sheet(sheet, how=VECTOR, dpi=DPI, rng=np.random.default_rng(job.number))
    if situation.to_scale:
        return judge_audit(sheet.truths, audit)
    # nothing is drawn as printed: sums that do not close are right to be told
    told = [f.code for f in audit.findings if f.code[:2] == "A1" and f.severity in LOUD]
    return Outcome(sheets=1, codes=Counter(told))


def run_situations(*, full: bool) -> None:
    """Print what is named of one error a sheet, in several situations."""
    jobs = [
        Situated(label, place, number)
        for label, place in itertools.product(SITUATED, range(len(SITUATIONS)))
        for number in range(EACH[not full])
    ]
    outcomes: dict[tuple[str, int], Outcome] = defaultdict(Outcome)
    for job, outcome in spread(plant_one, jobs, name="situations"):
        outcomes[job.label, job.situation].add(outcome)
    table = Table(title="One error a sheet, none on every third; drawn pages")
    for name in ("set", "situation", *OUTCOME):
        table.add_column(name)
    for (label, place), outcome in sorted(outcomes.items()):
        table.add_row(label, SITUATIONS[place].name, *outcome.cells)
    Console(width=150).print(table)


def run(*, full: bool, plot: bool = False) -> None:
    """Print what is named and what is cried wolf, by kind of slip; the curve over its size.

    The baseline in the same run are sheets with nothing wrong on them. The long run draws the
    curve as a picture too.
    """
    outcomes: dict[tuple[str, str, str], Outcome] = defaultdict(Outcome)
    for job, outcome in spread(plant, list_jobs(full=full), name="planted"):
        outcomes[job.label, job.pages, job.kind].add(outcome)
    table = Table(title="Planted errors: one printed number in twenty")
    for name in ("set", "pages", "slip", *OUTCOME):
        table.add_column(name)
    for (label, pages, kind), outcome in sorted(outcomes.items()):
        table.add_row(label, pages, kind, *outcome.cells)
    Console(width=150).print(table)
    curves = {
        f"{label}, {pages}": outcome.planted
        for (label, pages, kind), outcome in sorted(outcomes.items())
        if KINDS[kind].full_size
    }
    Console(width=150).print(_table_by_size(curves))
    run_situations(full=full)
    if plot or full:
        draw_curves({name: _curve(planted) for name, planted in curves.items()}, PLOT)


def _table_by_size(curves: dict[str, list[Planted]]) -> Table:
    table = Table(title="Named, by the size of the error, on full-size sheets (number: share)")
    table.add_column("set, pages")
    for size in SIZES:
        table.add_column(f"{size} in")
    for name, planted in curves.items():
        cells = [share_named([p for p in planted if p.size == size]) for size in SIZES]
        table.add_row(name, *(f"{number}: {share}" for number, share in cells))
    return table


def _curve(planted: Sequence[Planted]) -> list[float]:
    shares = []
    for size in SIZES:
        of = [p.named for p in planted if p.size == size]
        shares.append(sum(of) / len(of) if len(of) >= FEWEST else math.nan)
    return shares


def draw_curves(curves: dict[str, list[float]], path: Path) -> None:
    """Draw the share of errors named over their size as a picture."""
    w, h, left, foot = 900, 520, 90, 70
    picture = np.full((h, w, 3), 255, np.uint8)
    colours = ((178, 114, 0), (0, 94, 213), (115, 158, 0), (167, 121, 204))  # BGR, Okabe-Ito

    def at(k: int, share: float) -> tuple[int, int]:
        x = left + round((w - left - 40) * k / (len(SIZES) - 1))
        return x, h - foot - round((h - foot - 40) * share)

    for share in (0.0, 0.25, 0.5, 0.75, 0.95, 1.0):
        cv2.line(picture, at(0, share), at(len(SIZES) - 1, share), (225, 225, 225), 1)
        _write(picture, f"{share:.0%}", (20, at(0, share)[1] + 5))
    for k, size in enumerate(SIZES):
        _write(picture, f"{size} in", (at(k, 0)[0] - 25, h - foot + 25))
    _write(
        picture, "share of planted errors named, by their size on full-size sheets", (left, h - 15)
    )
    for (name, curve), colour in zip(curves.items(), colours, strict=False):
        points = [at(k, share) for k, share in enumerate(curve) if not math.isnan(share)]
        for a, b in itertools.pairwise(points):
            cv2.line(picture, a, b, colour, 2, cv2.LINE_AA)
        for p in points:
            cv2.circle(picture, p, 4, colour, -1, cv2.LINE_AA)
        row = 30 + 22 * list(curves).index(name)
        cv2.line(picture, (w - 270, h // 2 + row), (w - 240, h // 2 + row), colour, 2)
        _write(picture, name, (w - 230, h // 2 + row + 5))
    path.parent.mkdir(parents=True, exist_ok=True)
    cv2.imwrite(str(path), picture)


_write: Callable[[np.ndarray, str, tuple[int, int]], object] = lambda picture, text, at: (  # noqa: E731
    cv2.putText(picture, text, at, cv2.FONT_HERSHEY_SIMPLEX, 0.5, (60, 60, 60), 1, cv2.LINE_AA)
)


if __name__ == "__main__":  # python -m tests.bench.planted [--full] [--plot]
    run(full="--full" in sys.argv, plot="--plot" in sys.argv)
