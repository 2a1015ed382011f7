"""Patterns true to size, and errata that find their sheet in another scan, beside what others do.

Patterns: the PDF is read back by pikepdf, its lines measured; the baseline traces the sheet as it
is. Recognising: every sheet of the sample plan in scans and photos of its print against every
sheet; the baseline knows a file by its bytes.
"""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pikepdf
from rich.console import Console
from rich.table import Table

from audit.geometry import Box, Transform
from audit.isolation import compose_pdf
from audit.pipeline.recognising import Registered, look_at_sheet_image, register
from audit.records import PrintPath
from audit.report.pattern import plan_pattern
from audit.report.pattern_ink import PatternInk
from audit.report.pattern_subject import Grain, PatternOptions, PatternSubject
from audit.report.tiling import PAPERS
from audit.report.true_size import real_map
from audit.sheets import load_plan
from tests.report.builders import MM_PER_PT, make_scale, make_sheet

SAMPLES = Path(__file__).parents[2] / "sample_scans"
PLANS = ("marble-lift-1.pdf", "marble-lift-2.png", "marble-lift-3.jpg")
LETTER_MM = 279.4  # long side that errors are told on


def run(*, full: bool) -> None:
    """Print both tables."""
    screen = Console()
    screen.print(bench_patterns(200 if full else 24))
    screen.print(bench_recognising(12 if full else 2))


def bench_patterns(count: int) -> Table:
    """Largest error of a line on paper, with the sheet's distortion taken out, and left in."""
    rng = np.random.default_rng(20)
    ours, traced = [], []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            factors = rng.uniform(0.95, 1.05, 2)
            shear = float(rng.uniform(-0.01, 0.01))
            true = rng.uniform(20, 160, (4, 2))
            out = Path(folder) / f"{number}.pdf"
            lines = write_lines(true, factors, shear, out)
            printed = read_lines(out)
            wanted = np.hypot(*(true[1::2] - true[::2]).T)
            ours += list(np.abs(printed - wanted))
            traced += list(np.abs(np.hypot(*(lines[1::2] - lines[::2]).T) - wanted))
    table = Table(title=f"patterns: lines of {count} distorted sheets, mm", title_justify="left")
    for head in ("", "median error", "largest error"):
        table.add_column(head)
    table.add_row("plan-audit pattern", f"{np.median(ours):.5f}", f"{max(ours):.5f}")
    table.add_row("traced from the sheet", f"{np.median(traced):.2f}", f"{max(traced):.2f}")
    return table


def write_lines(true, factors, shear: float, out: Path):
    """Print lines of true size off a sheet that distorts them; return them as on the sheet, mm."""
    scale = replace(make_scale(*map(float, factors)), shear=shear)
    to_real = real_map(make_sheet(), scale, at=make_sheet().box.centre)
    on_sheet = to_real.inverse().apply_many(true)
    real = to_real.apply_many(on_sheet)
    paths = tuple(PrintPath(points=real[k : k + 2]) for k in range(0, len(real), 2))
    ink = PatternInk(outlines=paths, outline=Box.around([tuple(p) for p in real]))
    subject = PatternSubject(name="part", where="sheet 1", ink=ink)
    options = PatternOptions(paper=PAPERS["a4"], grain=Grain.NONE)
    compose_pdf(plan_pattern([subject], options), out)
    return on_sheet * MM_PER_PT


def read_lines(path: Path):
    """Lengths of the lines to cut along on the second page, mm, in the order they are drawn."""
    lengths, width, at = [], 0.0, None
    with pikepdf.open(path) as pdf:
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[1]):
            match str(operator):
                case "w":
                    width = float(operands[0]) * MM_PER_PT
                case "m":
                    at = np.array([float(v) for v in operands])
                case "l" if at is not None and abs(width - 0.25) < 0.002:
                    end = np.array([float(v) for v in operands])
                    lengths.append(float(np.hypot(*(end - at))) * MM_PER_PT)
    return np.array(lengths)


def bench_recognising(count: int) -> Table:
    """How often a print is recognised in another picture, and another sheet is taken for it."""
    rng = np.random.default_rng(21)
    with load_plan([SAMPLES / name for name in PLANS]) as plan:
        grays = [
            np.array(plan.gray(s, dpi=150 if s.frame.value == "pt" else None).pixels)
            for s in plan.sheets
        ]
    known = [look_at_sheet_image(gray, Transform()) for gray in grays]
    found, false, worst, tries, others = 0, 0, [], 0, 0
    for number, gray in enumerate(grays):
        for way in ("scan", "photo") * count:
            seen, matrix = picture_again(gray, way, rng)
            look = look_at_sheet_image(seen, Transform())
            for other, likeness in enumerate(known):
                answer = register(likeness, look)
                if other != number:
                    others += 1
                    false += isinstance(answer, Registered)
                    continue
                tries += 1
                if isinstance(answer, Registered):
                    found += 1
                    worst.append(error_mm(answer.to_ours, matrix, gray.shape, seen.shape))
    table = Table(title="recognising a print in another picture of it", title_justify="left")
    for head in ("", "recognised", "another sheet taken for it", "median error, mm", "largest"):
        table.add_column(head)
    table.add_row(
        "likeness and homography", f"{found} of {tries}", f"{false} of {others}",
        f"{np.median(worst):.2f}", f"{max(worst):.2f}",
    )  # fmt: skip
    table.add_row("bytes of the file", f"0 of {tries}", f"0 of {others}", "–", "–")
    return table


def picture_again(gray, way: str, rng):
    """Another scan (askew, stretched, two levels) or photo (askew, shaded, noisy) of a print."""
    rows, columns = gray.shape
    factor = 1800 / max(rows, columns)
    wide, tall = columns * factor, rows * factor
    shrink = np.diag([factor, factor, 1.0])
    if way == "scan":
        turn = np.deg2rad(rng.uniform(-4, 4))
        c, s = np.cos(turn), np.sin(turn)
        x, y = rng.uniform(0.97, 1.03, 2)
        matrix = np.array([[x * c, -s, 130], [s, y * c, 130], [0, 0, 1.0]]) @ shrink
    else:
        corners = np.array([[0, 0], [wide, 0], [wide, tall], [0, tall]])
        moved = corners + rng.uniform(20, 140, (4, 2)) * [[1, 1], [-1, 1], [-1, -1], [1, -1]]
        matrix = cv2.getPerspectiveTransform(np.float32(corners), np.float32(moved)) @ shrink
    size = (int(wide) + 260, int(tall) + 260)
    seen = cv2.warpPerspective(gray, matrix, size, borderValue=215, flags=cv2.INTER_AREA)
    shade = 0.75 + 0.25 * np.arange(size[0]) / size[0]
    noisy = cv2.GaussianBlur(seen * shade, (0, 0), 1.0) + rng.normal(0, 8, seen.shape)
    if way == "scan":
        noisy = np.where(noisy < 150, 15.0, 245.0)
    return np.clip(noisy, 0, 255).astype(np.uint8), matrix


def error_mm(to_ours: Transform, matrix, shape, seen) -> float:
    """Largest distance from where places should lie, mm on a letter sheet."""
    rows, columns = shape
    grid = np.array([(u * columns, v * rows) for u in (0.1, 0.5, 0.9) for v in (0.1, 0.5, 0.9)])
    true = cv2.perspectiveTransform(np.float32(grid)[None], matrix)[0]
    off = np.hypot(*(to_ours.apply_many(grid) - true).T)
    return float(off.max()) / max(seen) * LETTER_MM
