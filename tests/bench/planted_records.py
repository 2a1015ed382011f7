"""Every number of a drawn sheet made 6 % wrong in turn, in the records of its audit.

    python -m tests.bench planted_records [--full]

A sheet that is drawn wrong tells of one error; what looking at it costs, a whole audit, tells here
of as many as it has numbers. The sheets are those of `hand` and `plates`, development and held out.
The error that was drawn is put right where it was read, then one number after the other is made
wrong as if it had been read so, as surely as the right one was, and the audit is judged anew. What
a reader makes of the ink of another number is not seen this way: `hand` and `plates` show it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.lengths import Length, Style, Unit, spell
from audit.pipeline.rejudging import rejudge
from audit.records import Audit, Dimension, Finding, Verdict
from tests.bench import hand, plates
from tests.bench.fates import fate_of
from tests.bench.hand import Seen, judge_sheet, pair
from tests.bench.hand_sheets import Scanned
from tests.bench.hand_views import Drawn
from tests.bench.planted import ALARMS, LOUD
from tests.bench.spreading import spread

SLIP = Fraction(6, 100)
WITHIN = (0.045, 0.08)  # what is left of it when the wrong number is rounded to a step
STEPS = (Fraction(1, 8), Fraction(1, 16), Fraction(1, 32))
SHEETS = {True: 10, False: 2}  # of each half
MOST = 12  # numbers of a sheet that are made wrong
COLUMNS = ("right", "close", "reading", "line", "scale", "end", "hidden =", "other")


class Job(NamedTuple):
    """One sheet: of `hand` or `plates`, which half, which number."""

    bench: str
    label: str
    number: int


@dataclass(slots=True)
class Outcome:
    """What became of wrong numbers and of right ones, by `fates.FATES`; `false` are new alarms."""

    sheets: int = 0
    wrong: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    false: int = 0

    def add(self, other: Outcome) -> None:
        """Count another's in."""
        self.sheets += other.sheets
        self.wrong += other.wrong
        self.right += other.right
        self.false += other.false


def spoil(size: Fraction, rng: np.random.Generator) -> Fraction | None:
    """Make a size 6 % too long or too short in a step of its own; `None` where none is so near.

    Examples
    --------
    >>> spoil(Fraction(12), np.random.default_rng(1)) in (Fraction(51, 4), Fraction(45, 4))
    True
    """
    way = int(rng.choice([-1, 1]))
    for step in STEPS:
        wrong = round(size * (1 + SLIP * way) / step) * step
        if WITHIN[0] < abs(wrong / size - 1) < WITHIN[1]:
            return wrong
    return None


def print_as(dimension: Dimension, size: Fraction) -> Dimension:
    """Print another number of inches at a dimension, read as surely as the one that was there."""
    reading = dimension.reading
    if reading is None or reading.callout is None:
        raise ValueError("nothing is printed there")
    length = Length(size, Unit.IN)
    text = spell(length, style=Style.PLAIN)
    candidates = tuple(
        replace(c, text=text) if c.text == reading.text else c for c in reading.candidates
    )
    callout = replace(reading.callout, size=length)
    said = replace(reading, text=text, callout=callout, candidates=candidates)
    return replace(dimension, reading=said)


def _with(audit: Audit, dimension: Dimension) -> Audit:
    every = tuple(dimension if d.id == dimension.id else d for d in audit.dimensions)
    return replace(audit, dimensions=every)


def _look(job: Job) -> tuple[tuple[Drawn, ...], Scanned, Audit]:
    if job.bench == "hand":
        how = hand.CONDITIONS[job.number % len(hand.CONDITIONS)]
        drawn, scanned, audit, _, _ = hand.look(hand.Job(job.label, job.number, *how))
        return drawn, scanned, audit
    how = plates.CONDITIONS[job.number % len(plates.CONDITIONS)]
    drawn, picture, _ = plates.draw(plates.Job(job.label, job.number, *how))
    audit = plates.look(picture, job.number)
    return drawn, Scanned(pixels=picture.pixels, from_mm=plates.SAME, dpi=picture.dpi), audit


def find_on(job: Job) -> Outcome:
    """Draw and check one sheet, then make its numbers wrong one by one."""
    drawn, scanned, audit = _look(job)
    paired = pair(drawn, scanned, audit.dimensions)
    for k, (j, _) in paired.items():
        found = audit.dimensions[j]
        if drawn[k].printed != drawn[k].right and _is_read(found, drawn[k].printed):
            audit = _with(audit, print_as(found, drawn[k].right))
    audit = rejudge(audit)
    clean = tuple(replace(d, printed=d.right) for d in drawn)
    before = judge_sheet(clean, scanned, audit).seen
    ready = [
        k
        for k, (j, _) in sorted(paired.items())
        if drawn[k].kind == "distance" and _is_read(audit.dimensions[j], drawn[k].right)
    ]
    outcome = Outcome(sheets=1, right=Counter(fate_of(before[k]) for k in ready))
    rng = np.random.default_rng(job.number)
    told = {(f.code, f.dimensions) for f in _alarms(audit)}
    for k in rng.permutation(ready)[:MOST]:
        j, one = paired[int(k)][0], drawn[int(k)]
        wrong = spoil(one.right, rng)
        if wrong is None:
            continue
        again = rejudge(_with(audit, print_as(audit.dimensions[j], wrong)))
        outcome.wrong[fate_of(_seen(replace(one, printed=wrong), again, j))] += 1
        outcome.false += sum(
            again.dimensions[j].id not in f.dimensions and (f.code, f.dimensions) not in told
            for f in _alarms(again)
        )
    return outcome


def _is_read(found: Dimension, size: Fraction) -> bool:
    printed = found.printed
    return printed is not None and printed.unit is Unit.IN and printed.value == size


def _alarms(audit: Audit) -> list[Finding]:
    return [f for f in audit.findings if f.code[:2] in ALARMS and f.severity in LOUD]


def _seen(drawn: Drawn, audit: Audit, place: int) -> Seen:
    d = audit.dimensions[place]
    firsts = {f.dimensions[0] for f in _alarms(audit) if f.dimensions}
    return Seen(
        drawn,
        off_px=(0.0, 0.0),
        number_right=True,
        verdict=d.verdict.value,
        why=d.why or "",
        named=d.verdict is Verdict.DISAGREES or d.id in firsts,
    )


def _jobs(*, full: bool) -> Iterator[Job]:
    for bench, halves in (("hand", hand.HALVES), ("plates", plates.HALVES)):
        for label in halves:
            yield from (Job(bench, label, number) for number in range(SHEETS[full]))


def run(*, full: bool) -> None:
    """Print what becomes of numbers made wrong; baseline: what becomes of the right ones."""
    rows: dict[tuple[str, str], Outcome] = defaultdict(Outcome)
    for job, outcome in spread(find_on, list(_jobs(full=full)), name="planted_records"):
        rows[job.bench, job.label].add(outcome)
    table = Table(title="Linear sizes, each made 6 % wrong in turn (right: named), and as printed")
    for name in ("sheets of", "set", "sheets", "", "sizes", *COLUMNS, "new alarms"):
        table.add_column(name)
    for (bench, label), outcome in sorted(rows.items()):
        for what, of in (("made wrong", outcome.wrong), ("right", outcome.right)):
            other = of.total() - sum(of[c] for c in COLUMNS)
            cells = [
                f"{(of[c] + other * (c == 'other')) / max(of.total(), 1):.2f}" for c in COLUMNS
            ]
            alarms = str(outcome.false) if what == "made wrong" else ""
            first = (bench, label, str(outcome.sheets))
            table.add_row(*first, what, str(of.total()), *cells, alarms)
    Console(width=170).print(table)
