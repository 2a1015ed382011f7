"""Plates of old books and magazines: what is found, read right, judged right, named.

    python -m tests.bench plates [--full]

The sheets are those of `plates_sheets`: plates, and working drawings ("work"). Faces are looked for
among the installed fonts and in the folders of the variable READER_FONTS.
`python -m tests.bench.plates development 3 7` tells every size of single plates, `--keep FOLDER`
behind it leaves their pictures there.
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import numpy as np
from PIL import Image
from rich.console import Console
from rich.table import Table

from audit.geometry import Transform
from audit.pipeline import CheckRequest, check
from audit.records import Audit, Settings
from tests.bench.fates import fates
from tests.bench.hand import Outcome, Seen, cells, judge_sheet
from tests.bench.hand_sheets import Scanned
from tests.bench.hand_views import Drawn
from tests.bench.plates_scan import Picture
from tests.bench.plates_sheets import HALVES, PACKAGES, ink, make_plate
from tests.bench.reader_hard import find_face
from tests.bench.spreading import spread

SHEETS = {True: 15, False: 3}  # of each half
CONDITIONS = ((200, False), (300, True), (150, False), (300, False), (200, True))
SAME = Transform()  # truth is in px already
COLUMNS = (
    "set", "scan", "sheets", "linear", "found", "ends px RMS", "text", "number",
    "verdict right", "of all", "planted", "named", "false a sheet", "codes", "s a sheet",
)  # fmt: skip
KINDS = ("distance", "beside", "radius", "diameter", "broken")
TITLE = "Linear dimensions of plates of old books, and planted errors of 6 %"
CLEAN = 3  # every so many-th plate has no error


class Job(NamedTuple):
    """One plate: which half, which number, how it was scanned."""

    label: str
    number: int
    dpi: int
    bilevel: bool


def draw(job: Job) -> tuple[tuple[Drawn, ...], Picture, str]:
    """Draw and scan a plate; the ends of its sizes come in px, and what drew it."""
    half = HALVES[job.label]
    planted = job.number % CLEAN != CLEAN - 1
    plate = make_plate(half, job.number, find_face=find_face, planted=planted)
    rng = np.random.default_rng([half.seed, job.number, job.dpi, job.bilevel])
    picture = half.scan(ink(plate, rng), dpi=job.dpi, bilevel=job.bilevel, rng=rng)
    drawn = tuple(
        replace(d, ends=(picture.to_px(d.ends[0]), picture.to_px(d.ends[1]))) for d in plate.drawn
    )
    return drawn, picture, plate.kind


def look(picture: Picture, number: int) -> Audit:
    """Check a picture; every other file tells its resolution."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.png"
        told = {"dpi": (picture.dpi, picture.dpi)} if number % 2 == 0 else {}
        Image.fromarray(picture.pixels).save(path, **told)
        return check(CheckRequest(plans=(path,), settings=Settings())).audit


def find_on(job: Job) -> Outcome:
    """Draw, scan and check one plate, and count."""
    began = time.process_time()
    drawn, picture, kind = draw(job)
    audit = look(picture, job.number)
    outcome = judge_sheet(drawn, Scanned(pixels=picture.pixels, from_mm=SAME, dpi=job.dpi), audit)
    outcome.seconds, outcome.kind = time.process_time() - began, kind
    return outcome


def list_jobs(*, full: bool) -> list[Job]:
    """List the plates of a run; every plate is scanned in one way."""
    return [
        Job(label, number, *CONDITIONS[number % len(CONDITIONS)])
        for label in HALVES
        for number in range(SHEETS[full])
    ]


def run(*, full: bool) -> None:
    """Print the tables, development and held out apart; baseline: the ends alone."""
    print_missing()
    rows: dict[tuple[str, str], Outcome] = defaultdict(Outcome)
    for job, outcome in spread(find_on, list_jobs(full=full), name="plates"):
        how = f"{job.dpi} {'bilevel' if job.bilevel else 'gray'}"
        clean = "no error" if job.number % CLEAN == CLEAN - 1 else "one error"
        for name in (how, clean, "all"):
            rows[job.label, name].add(outcome)
    console = Console(width=170)
    console.print(table(rows))
    console.print(fates(rows))
    console.print(kinds({k: v for k, v in rows.items() if k[1] == "all"}))


def print_missing() -> None:
    """Say which faces are not installed."""
    wanted = {s for h in HALVES.values() for s in (*h.types, *(hand[0] for hand in h.hands))}
    missing = sorted(s for s in wanted if find_face(s) is None)
    if missing:
        print(f"lettered in another face instead of {', '.join(missing)} ({PACKAGES})")


def share(part: int, whole: int) -> str:
    """A part of a whole; a dash of nothing."""
    return f"{part / whole:.2f}" if whole else "–"


def table(rows: dict[tuple[str, str], Outcome], *, title: str = TITLE) -> Table:
    """Linear sizes and errors, a row for each way to scan."""
    told = Table(title=title)
    for name in COLUMNS:
        told.add_column(name)
    for (label, how), outcome in sorted(rows.items()):
        cell = cells(outcome)
        seconds = f"{outcome.seconds / max(outcome.sheets, 1):.0f}"
        told.add_row(label, how, *cell[:10], *cell[11:], seconds)
    return told


def kinds(rows: dict[tuple[str, str], Outcome]) -> Table:
    """What came of sizes that are no distances between two lines."""
    told = Table(title="By kind (number: found / number right of those / judged right of all)")
    for name in ("set", "distance", "beside an edge", "radius", "diameter", "across a break"):
        told.add_column(name)
    for (label, _), outcome in sorted(rows.items()):
        told.add_row(label, *(kind_cell(outcome, k) for k in KINDS))
    return told


def kind_cell(outcome: Outcome, kind: str) -> str:
    """Shares of a kind; a size across a break is right when nobody calls it wrong."""
    of = [s for s in outcome.seen if s.drawn.kind == kind]
    found = [s for s in of if s.found]
    right = share(sum(s.number_right for s in found), len(found))
    if kind == "broken":
        loud = sum(s.named for s in of)
        return f"{len(of)}: {share(len(found), len(of))} / {right}, {loud} called wrong"
    judged = share(sum(s.judged_right for s in of), len(of))
    return f"{len(of)}: {share(len(found), len(of))} / {right} / {judged}"


def tell(job: Job, keep: Path | None) -> None:
    """Print what came of every size of a plate."""
    drawn, picture, kind = draw(job)
    if keep is not None:
        Image.fromarray(picture.pixels).save(
            keep / f"{job.label.replace(' ', '-')}-{job.number}.png"
        )
    audit = look(picture, job.number)
    outcome = judge_sheet(drawn, Scanned(pixels=picture.pixels, from_mm=SAME, dpi=job.dpi), audit)
    how = f"{job.dpi} {'bilevel' if job.bilevel else 'gray'}"
    print(f"== {job.number}: {kind}; {how}; false {dict(outcome.false)}")
    for s in outcome.seen:
        print(size_line(s, job.dpi))
    for f in audit.findings:
        print(f"   {f.code} {f.severity.value} {list(f.dimensions)} {f.text}")
    print(" | ".join(cells(outcome)))


def size_line(s: Seen, dpi: int) -> str:
    mark, wrong = "  " if s.judged_right else "- ", "WRONG" if s.wrong else ""
    off = "/".join(f"{v:.1f}" for v in s.off_px) or "not found"
    size = f"{s.drawn.length_mm * 25.4 / dpi:5.1f} mm"
    (x0, y0), (x1, y1) = s.drawn.ends
    place = f"{(x0 + x1) / 2:.0f},{(y0 + y1) / 2:.0f}"
    said = f"{off:10} {s.text!r:14}{s.verdict} {s.why}"
    return f"{mark}{s.drawn.kind:9}{s.drawn.text!r:14}{wrong:6}{size} {place:10}{said}"


def main(arguments: list[str]) -> None:
    """Tell about single plates: LABEL NUMBER... [--keep FOLDER]."""
    keep = None
    if "--keep" in arguments:
        at = arguments.index("--keep")
        keep, arguments = Path(arguments[at + 1]), arguments[:at]
        keep.mkdir(parents=True, exist_ok=True)
    for number in map(int, arguments[1:]):
        tell(Job(arguments[0], number, *CONDITIONS[number % len(CONDITIONS)]), keep)


if __name__ == "__main__":
    main(sys.argv[1:])
