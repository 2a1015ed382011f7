"""Plates and hand-drawn sheets as people photograph them or find them: what is judged right.

    python -m tests.bench photographed [--full]

The same sheets four times: scanned flat, as copies saved small from the web, photographed whole
on a bench, and photographed so near that a part of the paper's edge is not in the picture. Half of
the photographed pages lie printed on a larger sheet of usual size, half are of the odd size that
books have. Nothing is told to the check. Faces as for `plates` and `hand`.
`python -m tests.bench.photographed "whole photo" work-2:3 hand:5` tells every size of single
development sheets, `--keep FOLDER` behind it leaves their pictures there.
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
from rich.console import Console

from audit.geometry import Point, Transform
from audit.pipeline import CheckRequest, check
from audit.records import Audit, Dimension, Settings
from tests.bench import hand_sheets, plates_sheets
from tests.bench.fates import fates
from tests.bench.hand import Outcome, judge_sheet
from tests.bench.hand_sheets import Scanned, make_sheet
from tests.bench.hand_views import Drawn
from tests.bench.photographed_pictures import (
    Page,
    Shot,
    photograph_part,
    photograph_whole,
    print_out,
    save_for_web,
    scan_flat,
)
from tests.bench.plates import print_missing, size_line, table
from tests.bench.plates_scan import scan
from tests.bench.plates_sheets import ink, make_plate
from tests.bench.reader_hard import find_face
from tests.bench.spreading import spread
from tests.sheets.camera import DEVELOPMENT, HELD_OUT

PAGE_DPI = 400  # finer than any picture of the page
JUDGED_DPI = 200  # px in which ends are compared with what was drawn
WAYS = ("flat scan", "from the web", "whole photo", "part photo")
SHEETS = {True: 10, False: 2}  # of each family
FAMILIES = {
    "development": {
        "plates": "development",
        "work": "work, development",
        "work-2": "work, development 2",
        "hand": "development",
    },
    "held out": {"plates": "held out", "work": "work, held out", "hand": "held out"},
}
SEEDS = {"development": (), "held out": (720_000,)}  # poses are apart too
BACKGROUNDS = {"development": DEVELOPMENT, "held out": HELD_OUT}
CLEAN = 3  # every so many-th plate has no error
SAME = Transform()


class Job(NamedTuple):
    """One sheet of a family, and the way it was made a picture."""

    label: str
    family: str
    number: int
    way: str


def draw(job: Job) -> tuple[Page, tuple[Drawn, ...], str]:
    """Draw and print a sheet; its sizes come in mm of the drawing."""
    rng = np.random.default_rng([job.number, PAGE_DPI, len(job.family), *SEEDS[job.label]])
    label = FAMILIES[job.label][job.family]
    if job.family == "hand":
        sheet = make_sheet(hand_sheets.HALVES[label], job.number, find_face=find_face, planted=True)
        scanned = hand_sheets.scan(sheet, dpi=PAGE_DPI, bilevel=False, rng=rng)

        def to_px(at: tuple[float, float]) -> tuple[float, float]:
            x, y = scanned.from_mm.apply(at)
            return x, y

        return Page(pixels=scanned.pixels, dpi=PAGE_DPI, to_px=to_px), sheet.drawn, sheet.kind
    planted = job.number % CLEAN != CLEAN - 1
    half = plates_sheets.HALVES[label]
    plate = make_plate(half, job.number, find_face=find_face, planted=planted)
    picture = scan(ink(plate, rng), dpi=PAGE_DPI, bilevel=False, rng=rng)
    page = Page(pixels=picture.pixels, dpi=PAGE_DPI, to_px=picture.to_px)
    return page, plate.drawn, plate.kind


def take(job: Job, page: Page, drawn: tuple[Drawn, ...]) -> tuple[Shot, tuple[Drawn, ...]]:
    """Make a picture of a page; the ends of its sizes come in px of `JUDGED_DPI` of its paper."""
    way = WAYS.index(job.way)
    rng = np.random.default_rng([job.number, len(job.family), way, *SEEDS[job.label]])
    if job.way.endswith("photo") and job.number % 2:
        page = print_out(page, rng)
    mm = np.array([page.to_mm(end) for d in drawn for end in d.ends])
    match job.way:
        case "flat scan":
            shot = scan_flat(page, rng)
        case "from the web":
            shot = save_for_web(page, rng)
        case "whole photo":
            shot = photograph_whole(page, rng, BACKGROUNDS[job.label])
        case _:
            shot = photograph_part(page, mm, rng, BACKGROUNDS[job.label])
    px = (mm * JUDGED_DPI / 25.4).reshape(-1, 2, 2)
    return shot, tuple(
        replace(d, ends=(tuple(map(float, a)), tuple(map(float, b))))
        for d, (a, b) in zip(drawn, px, strict=True)
    )


def look(shot: Shot) -> Audit:
    """Check a picture of which nothing is told."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.jpg"
        path.write_bytes(shot.data)
        return check(CheckRequest(plans=(path,), settings=Settings())).audit


def lay_back(audit: Audit, shot: Shot) -> Audit:
    """Bring the ends of all sizes back to the paper, px of `JUDGED_DPI`."""

    def laid(d: Dimension) -> Dimension:
        mm = shot.to_mm(np.array([end.point for end in d.ends], float).reshape(-1, 2))
        points = (Point(float(x), float(y)) for x, y in mm * JUDGED_DPI / 25.4)
        ends = (replace(e, point=p) for e, p in zip(d.ends, points, strict=True))
        return replace(d, ends=tuple(ends))

    return replace(audit, dimensions=tuple(laid(d) for d in audit.dimensions))


def judge_shot(shot: Shot, drawn: tuple[Drawn, ...], audit: Audit) -> Outcome:
    """Say what came of every size on a picture."""
    blank = Scanned(pixels=np.zeros((1, 1), np.uint8), from_mm=SAME, dpi=JUDGED_DPI)
    return judge_sheet(drawn, blank, lay_back(audit, shot))


def find_on(job: Job) -> Outcome:
    """Draw, photograph and check one sheet, and count."""
    page, drawn, kind = draw(job)
    shot, drawn = take(job, page, drawn)
    began = time.process_time()
    audit = look(shot)
    outcome = judge_shot(shot, drawn, audit)
    outcome.seconds, outcome.kind = time.process_time() - began, kind
    return outcome


def list_jobs(*, full: bool) -> list[Job]:
    """List the pictures of a run; every sheet is taken in every way."""
    return [
        Job(label, family, number, way)
        for label, families in FAMILIES.items()
        for family in families
        for number in range(SHEETS[full])
        for way in WAYS
    ]


def run(*, full: bool) -> None:
    """Print the tables, development and held out apart; baseline: the same sheets scanned flat."""
    print_missing()
    rows: dict[tuple[str, str], Outcome] = defaultdict(Outcome)
    for job, outcome in spread(find_on, list_jobs(full=full), name="photographed"):
        drawing = "hand" if job.family == "hand" else "ruled"
        for name in (f"{job.way}, {drawing}", job.way):
            rows[job.label, name].add(outcome)
    console = Console(width=170)
    console.print(table(rows, title="Linear dimensions on photos and web pictures"))
    console.print(fates(rows))


def tell(job: Job, keep: Path | None) -> None:
    """Print what came of every size of a picture."""
    page, drawn, kind = draw(job)
    shot, drawn = take(job, page, drawn)
    if keep is not None:
        name = f"{job.family}-{job.number}-{job.way}.jpg".replace(" ", "-")
        (keep / name).write_bytes(shot.data)
    audit = look(shot)
    outcome = judge_shot(shot, drawn, audit)
    print(f"== {job.family} {job.number}: {kind}; {job.way}; false {dict(outcome.false)}")
    for seen in outcome.seen:
        print(size_line(seen, JUDGED_DPI))
    for f in audit.findings:
        print(f"   {f.code} {f.severity.value} {list(f.dimensions)} {f.text}")


def main(arguments: list[str]) -> None:
    """Tell about single development sheets: WAY FAMILY:NUMBER... [--keep FOLDER]."""
    keep = None
    if "--keep" in arguments:
        at = arguments.index("--keep")
        keep, arguments = Path(arguments[at + 1]), arguments[:at]
        keep.mkdir(parents=True, exist_ok=True)
    for given in arguments[1:]:
        family, number = given.split(":")
        tell(Job("development", family, int(number), arguments[0]), keep)


if __name__ == "__main__":
    main(sys.argv[1:])
