"""Old hand-drawn sheets as a user gives them: what is found, read right, judged right, named.

    python -m tests.bench hand [--full]

The sheets are those of `hand_sheets`. Faces are looked for among the installed fonts and in the
folders of the variable READER_FONTS.
"""

from __future__ import annotations

import sys
import time
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import numpy as np
from PIL import Image
from rich.console import Console
from rich.table import Table
from scipy.optimize import linear_sum_assignment

from audit.lengths import Unit
from audit.pipeline import CheckRequest, check
from audit.records import Audit, Dimension, Finding, Settings, Verdict
from tests.bench.fates import fates
from tests.bench.hand_pen import XY
from tests.bench.hand_sheets import HALVES, PACKAGES, Scanned, in_px, make_sheet, scan, survived
from tests.bench.hand_views import Drawn
from tests.bench.planted import ALARMS, LOUD
from tests.bench.reader_hard import find_face
from tests.bench.spreading import spread

END_MM = 1.0  # an end further off, across, is a wrong one: hands miss by half as much
ASIDE_MM = 14.0  # how far along its extension line an end may stand from where it was drawn
LAST_PLACE = Fraction(1, 1000)  # of decimals, inches
LONG_MM = 20.0  # of paper: on shorter sizes 6 % is what a hand strays anyway
SHEETS = {True: 14, False: 4}
CONDITIONS = ((200, False), (300, False), (200, True))


class Job(NamedTuple):
    """One sheet: which half, which number, how it was scanned."""

    label: str
    number: int
    dpi: int
    bilevel: bool


@dataclass(frozen=True, slots=True)
class Seen:
    """One size of a sheet and what came of it."""

    drawn: Drawn
    off_px: tuple[float, ...] = ()
    text: str = ""
    number_right: bool = False
    verdict: str = ""
    why: str = ""
    named: bool = False
    u_px: float = 0.0
    kept: float = 1.0  # of the worst figure's ink, by the scan

    @property
    def found(self) -> bool:
        """Whether a dimension has its ends."""
        return bool(self.off_px)

    @property
    def wrong(self) -> bool:
        """Whether another number than the right one is printed."""
        return self.drawn.printed != self.drawn.right

    @property
    def judged_right(self) -> bool:
        """Whether a right size was found to agree, or a wrong one named."""
        return self.named if self.wrong else self.verdict == Verdict.AGREES and self.number_right


@dataclass(slots=True)
class Outcome:
    """What was seen on some sheets; `false` are findings that no planted error earned."""

    sheets: int = 0
    seconds: float = 0.0
    seen: list[Seen] = field(default_factory=list)
    false: Counter[str] = field(default_factory=Counter)
    reported: int = 0
    kind: str = ""

    def add(self, other: Outcome) -> None:
        """Count another's in."""
        self.sheets += other.sheets
        self.seconds += other.seconds
        self.seen += other.seen
        self.false += other.false
        self.reported += other.reported


def ends_off(ends: tuple[XY, XY], found: Dimension, px_per_mm: float) -> tuple[float, float] | None:
    """How far the ends of a distance stand off, px across; `None` when it is another one."""
    if found.kind.value not in ("distance", "diameter") or len(found.ends) != 2:
        return None
    t, f = np.array(ends), np.array([e.point for e in found.ends], float)
    length = float(np.hypot(*(t[1] - t[0])))
    u = (t[1] - t[0]) / max(length, 1e-9)
    g = (f[1] - f[0]) / max(float(np.hypot(*(f[1] - f[0]))), 1e-9)
    if abs(float(u @ g)) < 0.97:
        return None
    if float(u @ g) < 0:
        f = f[::-1]
    along = np.abs((f - t) @ u)
    aside = np.abs((f - t) @ np.array([-u[1], u[0]]))
    if along.max() > END_MM * px_per_mm or aside.max() > ASIDE_MM * px_per_mm:
        return None
    return float(along[0]), float(along[1])


def round_off(
    drawn: Drawn, ends: tuple[XY, XY], found: Dimension, px_per_mm: float
) -> float | None:
    """How far a radius, or a diameter's half, stands off, px; `None` when it is another one."""
    if found.kind.value != drawn.kind or len(found.ends) != 2:
        return None
    t, f = np.array(ends), np.array([e.point for e in found.ends], float)
    size = abs(float(np.hypot(*(t[1] - t[0])) - np.hypot(*(f[1] - f[0]))))
    centres = [v[0] if drawn.kind == "radius" else v.mean(axis=0) for v in (t, f)]
    away = float(np.hypot(*(centres[0] - centres[1])))
    return size if max(size, away) < END_MM * px_per_mm else None


def pair(
    drawn: Sequence[Drawn], scanned: Scanned, found: Sequence[Dimension]
) -> dict[int, tuple[int, tuple[float, ...]]]:
    """Pair sizes with found dimensions by their ends: place, and how far the ends stand off."""
    px_per_mm = scanned.dpi / 25.4
    cost = np.full((len(drawn), len(found)), 1e6)
    offs: dict[tuple[int, int], tuple[float, ...]] = {}
    for i, one in enumerate(drawn):
        ends = in_px(one, scanned)
        for j, dimension in enumerate(found):
            if one.kind in ("radius", "diameter"):
                size = round_off(one, ends, dimension, px_per_mm)
                off = None if size is None else (size,)
            else:
                off = ends_off(ends, dimension, px_per_mm)
            if off is not None:
                offs[i, j] = off
                right = _says(dimension, one)
                cost[i, j] = max(off) - (10.0 if right else 0.0)
    if not offs:
        return {}
    rows, columns = linear_sum_assignment(cost)
    return {
        int(i): (int(j), offs[int(i), int(j)])
        for i, j in zip(rows, columns, strict=True)
        if (int(i), int(j)) in offs
    }


def _says(dimension: Dimension, drawn: Drawn) -> bool:
    """Whether a size was read as what is printed; 4 5/16 is printed 4.312 in decimals."""
    printed = dimension.printed
    if printed is None or printed.unit is Unit.DEG:
        return False
    return abs(printed.to(Unit.IN).value - drawn.printed) <= LAST_PLACE / 2


def judge_sheet(drawn: Sequence[Drawn], scanned: Scanned, audit: Audit) -> Outcome:
    """Say what came of every size, and count the findings that nothing earned."""
    outcome = Outcome(sheets=1, reported=len(audit.dimensions))
    loud = [f for f in audit.findings if f.code[:2] in ALARMS and f.severity in LOUD]
    firsts = {f.dimensions[0] for f in loud if f.dimensions}
    paired = pair(drawn, scanned, audit.dimensions)
    earned: set[int] = set()
    for k, one in enumerate(drawn):
        if k not in paired:
            outcome.seen.append(Seen(one))
            continue
        j, off = paired[k]
        d = audit.dimensions[j]
        named = d.verdict is Verdict.DISAGREES or d.id in firsts
        if one.printed != one.right:
            earned.add(d.id)
        outcome.seen.append(
            Seen(
                one,
                off_px=off,
                text=d.reading.text if d.reading is not None else "",
                number_right=_says(d, one),
                verdict=d.verdict.value,
                why=d.why or "",
                named=named,
                u_px=max(e.sigma for e in d.ends),
            )
        )
    for finding in loud:
        if not _is_earned(finding, earned):
            outcome.false[finding.code] += 1
    return outcome


def _is_earned(finding: Finding, earned: set[int]) -> bool:
    return any(number in earned for number in finding.dimensions)


def look(job: Job) -> tuple[tuple[Drawn, ...], Scanned, Audit, str, tuple[float, ...]]:
    """Draw a sheet, scan it and check it; last comes how much of every size's text survived."""
    half = HALVES[job.label]
    planted = True
    sheet = make_sheet(half, job.number, find_face=find_face, planted=planted)
    rng = np.random.default_rng([half.seed, job.number, job.dpi, job.bilevel])
    scanned = scan(sheet, dpi=job.dpi, bilevel=job.bilevel, rng=rng)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.png"
        Image.fromarray(scanned.pixels).save(path, dpi=(job.dpi, job.dpi))
        audit = check(CheckRequest(plans=(path,), settings=Settings())).audit
    kept = survived(sheet, scanned) if job.bilevel else (1.0,) * len(sheet.drawn)
    return sheet.drawn, scanned, audit, sheet.kind, kept


def find_on(job: Job) -> Outcome:
    """Draw, scan and check one sheet, and count."""
    began = time.process_time()
    drawn, scanned, audit, kind, kept = look(job)
    outcome = judge_sheet(drawn, scanned, audit)
    outcome.seconds, outcome.kind = time.process_time() - began, kind
    outcome.seen = [replace(s, kept=k) for s, k in zip(outcome.seen, kept, strict=True)]
    return outcome


def list_jobs(*, full: bool) -> list[Job]:
    """List the sheets of a run; every sheet is scanned in one way."""
    return [
        Job(label, number, *CONDITIONS[number % len(CONDITIONS)])
        for label in HALVES
        for number in range(SHEETS[full])
    ]


def run(*, full: bool) -> None:
    """Print the tables, development and held out apart; baseline: the ends alone."""
    missing = sorted({s for h in HALVES.values() for s in h.faces if find_face(s) is None})
    if missing:
        print(f"lettered by single strokes instead of {', '.join(missing)} ({PACKAGES})")
    rows: dict[tuple[str, str], Outcome] = defaultdict(Outcome)
    for job, outcome in spread(find_on, list_jobs(full=full), name="hand"):
        how = f"{job.dpi} {'bilevel' if job.bilevel else 'gray'}"
        for name in (how, "all"):
            rows[job.label, name].add(outcome)
    console = Console(width=170)
    console.print(_table(rows))
    console.print(fates(rows))
    console.print(_kinds({k: v for k, v in rows.items() if k[1] == "all"}))


def _share(part: int, whole: int) -> str:
    return f"{part / whole:.2f}" if whole else "–"


def _table(rows: dict[tuple[str, str], Outcome]) -> Table:
    table = Table(title="Linear dimensions of old hand-drawn sheets, and planted errors of 6 %")
    for name in (
        "set", "scan", "sheets", "linear", "found", "ends px RMS", "text", "number",
        "verdict right", "of all", "planted", "named", f"named, over {LONG_MM:g} mm",
        "false a sheet", "codes",
    ):  # fmt: skip
        table.add_column(name)
    for (label, how), outcome in sorted(rows.items()):
        table.add_row(label, how, *cells(outcome))
    return table


def cells(outcome: Outcome) -> tuple[str, ...]:
    """Sheets, sizes, found, ends, texts, numbers, verdicts, planted, named, false alarms."""
    linear = [s for s in outcome.seen if s.drawn.kind == "distance"]
    found = [s for s in linear if s.found]
    wrong = [s for s in outcome.seen if s.wrong]
    long = [s for s in wrong if s.drawn.length_mm > LONG_MM]
    off = [v for s in found for v in s.off_px]
    right = [s for s in found if s.judged_right]
    return (
        str(outcome.sheets),
        str(len(linear)),
        _share(len(found), len(linear)),
        f"{float(np.sqrt(np.mean(np.square(off)))):.2f}" if off else "–",
        _share(sum(_alike(s.text, s.drawn.text) for s in found), len(found)),
        _share(sum(s.number_right for s in found), len(found)),
        _share(len(right), len(found)),
        _share(len(right), len(linear)),
        str(len(wrong)),
        _share(sum(s.named for s in wrong), len(wrong)),
        f"{len(long)}: {_share(sum(s.named for s in long), len(long))}",
        f"{outcome.false.total() / max(outcome.sheets, 1):.2f}",
        ", ".join(f"{code} {n}" for code, n in outcome.false.most_common(4)),
    )


def _alike(a: str, b: str) -> bool:
    return a.replace(" ", "").upper() == b.replace(" ", "").upper()


def _kinds(rows: dict[tuple[str, str], Outcome]) -> Table:
    table = Table(title="By kind (number: found / number right of those / judged right of all)")
    for name in ("set", "distance", "beside an edge", "radius", "diameter", "pictorial judged"):
        table.add_column(name)
    for (label, _), outcome in sorted(rows.items()):
        told = []
        for kind in ("distance", "beside", "radius", "diameter"):
            of = [s for s in outcome.seen if s.drawn.kind == kind and not s.drawn.pictorial]
            found = [s for s in of if s.found]
            right = sum(s.number_right for s in found)
            judged = sum(s.judged_right for s in found)
            shares = (
                _share(len(found), len(of)),
                _share(right, len(found)),
                _share(judged, len(of)),
            )
            told.append(f"{len(of)}: {' / '.join(shares)}")
        of = [s for s in outcome.seen if s.drawn.pictorial]
        loud = sum(s.named for s in of)
        table.add_row(label, *told, f"{loud} of {len(of)} called wrong")
    return table


def _show(label: str, number: int) -> Outcome:
    outcome = find_on(Job(label, number, *CONDITIONS[number % len(CONDITIONS)]))
    print(f"== {number}: {outcome.kind}; {outcome.seconds:.0f} s; false {dict(outcome.false)}")
    for s in outcome.seen:
        mark, wrong = "  " if s.judged_right else "- ", "WRONG " if s.wrong else ""
        off = "/".join(f"{v:.1f}" for v in s.off_px) or "not found"
        print(
            f"{mark}{s.drawn.kind:9}{s.drawn.text!r:16}{wrong}{s.drawn.length_mm:5.1f} mm", end=" "
        )
        print(f"{off:10} {s.text!r:16}{s.verdict} {s.why}")
    print(" | ".join(cells(outcome)))
    return outcome


def _show_all(label: str, numbers: Sequence[int]) -> None:
    """Tell every size of some sheets, and what they come to together."""
    total = Outcome()
    for number in numbers:
        total.add(_show(label, number))
    console = Console(width=170)
    console.print(_table({(label, "these"): total}))
    console.print(fates({(label, "these"): total}))
    console.print(_kinds({(label, "these"): total}))


if __name__ == "__main__":  # python -m tests.bench.hand LABEL NUMBER...: tells every size
    _show_all(sys.argv[1], [int(given) for given in sys.argv[2:]])
