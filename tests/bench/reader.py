"""How well the reader network reads: ``make bench-reader``.

Everything is set by other programs (`reader_sheets`) from texts of its own (`reader_texts`), some
of it among the lines of a drawing (`reader_drawn`). *dev*: fonts that training drew with; *held
out*: fonts no run has drawn with. A text counts as read when it is right as `spelling_key` sees
it: case and idle gaps don't matter, every figure, sign, slash and the gap between whole and
fraction do. *sure*: share given with a confidence of 0.9 or more, and how many of those are right.
*ms a crop*: CPU time halved, as two cores that have nothing else to do would take. Tesseract
(``--psm 7``, enlarged twice) reads a part of the same crops in the same run.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

import cv2
import numpy as np
from rich.console import Console
from rich.table import Table

from audit.networks.decoding import spelling_key
from audit.networks.page import run_page
from audit.networks.reader import forget_readings, read_crops
from audit.reading.find_text import find_text
from tests.bench import reader_sheets as sheets
from tests.bench.reader_drawn import draw_crops, draw_large
from tests.bench.reader_texts import (
    AS_DRAWN,
    FRACTIONS,
    MIXED,
    OFF_LIST,
    Printed,
    draw_printed,
)

SURE = 0.9
TESSERACT_CROPS = 24
DPIS = (300, 200, 150)
DEV = {"osifont.ttf": "fonts-osifont", "LiberationSans-Regular.ttf": "fonts-liberation",
       "DejaVuSans.ttf": "fonts-dejavu-core"}  # fmt: skip
HELD = {"ClearSans-Regular.ttf": "fonts-clear-sans", "PTS55F.ttf": "fonts-paratype",
        "routed-gothic.ttf": "fonts-routed-gothic",
        "routed-gothic-half-italic.ttf": "fonts-routed-gothic"}  # fmt: skip
HAND = {"Humor-Sans.ttf": "fonts-humor-sans", "dkg.ttf": "fonts-dkg-handwriting",
        "SteveHand.ttf": "fonts-sjfonts"}  # fmt: skip
DRAWN_DEV = {
    **DEV,
    "LiberationSansNarrow-Regular.ttf": "fonts-liberation-sans-narrow",
    "LiberationSerif-Regular.ttf": "fonts-liberation",
    "LiberationMono-Regular.ttf": "fonts-liberation",
    "Carlito-Regular.ttf": "fonts-crosextra-carlito",
}
DRAWN_HELD = {
    **HELD,
    "PTN57F.ttf": "fonts-paratype",
    "Go-Mono.ttf": "fonts-go",
    "C059-Roman.otf": "fonts-urw-base35",
    "B612-Regular.otf": "fonts-b612",
}
CORES = 2
# Humor Sans draws a note of music for Ø and inch marks of its own; dkg has a slashed nought.
UNDRAWN = {"Humor-Sans.ttf": "Ø°±\"'", "dkg.ttf": "", "SteveHand.ttf": ""}


@dataclass
class Score:
    """Counts of one row."""

    read: int = 0
    right: int = 0
    sure: int = 0
    sure_right: int = 0
    looked_at: int = 0
    seconds: float = 0.0
    tesseract: list[bool] = field(default_factory=list)
    wrong: list[tuple[str, str, float]] = field(default_factory=list)
    kinds: list[tuple[str, bool]] = field(default_factory=list)
    heard: list[tuple[float, bool]] = field(default_factory=list)


Cell = tuple[sheets.Gray, Printed]


def judge(cells: list[Cell], *, tesseract: bool = False) -> Score:
    """Read crops and count; crops that are alike to the pixel are looked at, and timed, once."""
    forget_readings()
    score, start = Score(looked_at=len({crop.tobytes() for crop, _ in cells})), time.process_time()
    answers = read_crops([crop for crop, _ in cells])
    score.seconds = (time.process_time() - start) / CORES
    for (crop, printed), said in zip(cells, answers, strict=True):
        text, confidence = (said[0].text, said[0].confidence) if said else ("", 0.0)
        right = spelling_key(text) == spelling_key(printed.text)
        score.read += 1
        score.right += right
        score.sure += confidence >= SURE
        score.sure_right += right and confidence >= SURE
        score.kinds.append((printed.kind, right))
        score.heard.append((confidence, right))
        if not right:
            score.wrong.append((printed.text, text, confidence))
        if tesseract and len(score.tesseract) < TESSERACT_CROPS:
            score.tesseract.append(spelling_key(by_tesseract(crop)) == spelling_key(printed.text))
    return score


def by_tesseract(crop: sheets.Gray) -> str:
    """What Tesseract makes of a crop."""
    import pytesseract

    large = cv2.resize(crop, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
    framed = cv2.copyMakeBorder(large, 20, 20, 20, 20, cv2.BORDER_CONSTANT, value=255)
    return pytesseract.image_to_string(framed, config="--psm 7").strip()


def font_sheets(fonts: dict[str, str], makers: tuple, count: int, missing: set[str]) -> list:
    """One sheet a font, set by MuPDF; what a font does not draw is left out."""
    out = []
    for k, (name, package) in enumerate(fonts.items()):
        path = sheets.find_font(name)
        if path is None:
            missing.add(package)
            continue
        rng = np.random.default_rng(400 + k)
        printed = [
            one for one in draw_printed(rng, makers, 3 * count)
            if not set(one.text) & set(UNDRAWN.get(name, ""))
        ][:count]  # fmt: skip
        out.append(sheets.by_mupdf(printed, path))
    return out


def groups(count: int, missing: set[str]) -> Iterator[tuple[str, list, tuple[str, ...]]]:
    """Name, sheets and wears of every row of the table."""
    rng = np.random.default_rng(77)
    yield "dev fonts, mixed", font_sheets(DEV, MIXED, count, missing), ("clean", "scan")
    yield "held-out fonts, mixed", font_sheets(HELD, MIXED, count, missing), ("clean", "scan")
    yield "held-out fonts, stacked", font_sheets(HELD, FRACTIONS, count, missing), ("clean", "scan")
    yield (
        "hand-lettered held out, mixed",
        font_sheets(HAND, MIXED, count, missing),
        ("clean", "scan"),
    )
    yield (
        "hand-lettered held out, stacked",
        font_sheets(HAND, FRACTIONS, count, missing),
        ("clean", "scan"),
    )
    yield (
        "off-list fractions",
        font_sheets({**DEV, **HELD}, OFF_LIST, count, missing),
        ("clean", "scan"),
    )
    ours = [
        sheets.by_ezdxf(draw_printed(rng, FRACTIONS, count), font, sign)
        for font, sign in (
            ("LiberationSans-Regular.ttf", "/"),
            ("DejaVuSans.ttf", "#"),
            ("osifont.ttf", "/"),
        )
    ]
    yield "ezdxf MTEXT, stacked", ours, ("clean", "scan")
    chromium = [
        sheets.by_chromium(draw_printed(rng, makers, count), family)
        for family, makers in (
            ("Liberation Sans", FRACTIONS),
            ("PT Sans", FRACTIONS),
            ("Clear Sans", MIXED),
        )
    ]
    if None in chromium:
        missing.add("chromium")
    yield "Chromium HTML", [s for s in chromium if s is not None], ("clean", "scan")
    yield "fax, held-out fonts", font_sheets(HELD, (*MIXED, *FRACTIONS), count, missing), ("fax",)
    yield (
        "phone photo, held-out fonts",
        font_sheets(HELD, (*MIXED, *FRACTIONS), count, missing),
        ("photo",),
    )


def gather(members: list, dpi: int, wears: tuple[str, ...]) -> list[Cell]:
    """Worn crops of the sheets at a resolution."""
    rng, out = np.random.default_rng(dpi), []
    for sheet in members:
        for crop, printed in zip(sheets.cut_cells(sheet, dpi), sheet.printed, strict=True):
            out.append((sheets.wear(crop, wears[len(out) % len(wears)], rng), printed))
    return out


def legal(text: str) -> bool:
    """Whether the text ends in a fraction that rulers have."""
    top, _, bottom = text.rsplit(" ", 1)[-1].partition("/")
    return bottom in ("2", "4", "8", "16", "32", "64") and top.isdigit() and int(top) < int(bottom)


def nothing(count: int) -> list[sheets.Gray]:
    """Crops without text: paper, lines, hatching, pieces of circles."""
    rng, out = np.random.default_rng(9), []
    for k in range(count):
        crop = np.full((int(rng.integers(20, 60)), int(rng.integers(40, 260))), 250, np.uint8)
        height, width = crop.shape
        if k % 4 == 1:
            cv2.line(crop, (0, height // 2), (width, height // 2), 20, 2, cv2.LINE_AA)
            cv2.line(crop, (width // 3, 0), (width // 3, height), 20, 2, cv2.LINE_AA)
        if k % 4 == 2:
            for x in range(-height, width, 9):
                cv2.line(crop, (x, height), (x + height, 0), 40, 1, cv2.LINE_AA)
        if k % 4 == 3:
            cv2.circle(crop, (width // 2, height * 2), int(height * 1.6), 20, 2, cv2.LINE_AA)
        out.append(sheets.wear(crop, "scan", rng))
    return out


def measure(count: int, missing: set[str], *, tesseract: bool) -> Iterator[tuple[str, int, Score]]:
    """Name, resolution and score of every row."""
    for name, members, wears in groups(count, missing):
        for dpi in DPIS if wears != ("photo",) else (200,):
            cells = gather(members, dpi, wears)
            yield name, dpi, judge(cells, tesseract=tesseract and dpi == DPIS[0])
    for name, fonts in (("dev", DRAWN_DEV), ("held-out", DRAWN_HELD)):
        for dpi in DPIS[:2]:
            rng = np.random.default_rng(800 + dpi)
            drawn = draw_crops(rng, draw_printed(rng, AS_DRAWN, 8 * count), fonts, dpi)
            cells = [(one.crop, one.printed) for one in drawn]
            score = judge(cells, tesseract=tesseract and dpi == DPIS[0])
            yield f"among lines, {name} fonts", dpi, score


def run(*, full: bool) -> None:
    """Print the tables."""
    console, count, missing = Console(width=120), 48 if full else 24, set[str]()
    table = Table(title="reader network: callouts read exactly, per cent")
    columns = ("group", "dpi", "crops", "exact", "sure", "right of sure", "ms a crop", "Tesseract")
    for name in columns:
        table.add_column(name, justify="left" if name == "group" else "right")
    wrong: list[tuple[str, int, tuple[str, str, float]]] = []
    kinds: dict[str, tuple[list[bool], list[bool]]] = {}
    with_tesseract = shutil.which("tesseract") is not None
    for name, dpi, score in measure(count, missing, tesseract=with_tesseract):
        table.add_row(name, str(dpi), *figures(score))
        wrong += [(name, dpi, w) for w in score.wrong]
        for kind, right in score.kinds:
            kinds.setdefault(kind, ([], []))["dev" not in name].append(right)
    console.print(table)
    console.print(table_by_kind(kinds))
    report_traps(console, wrong, count)
    report_large(console)
    for package in sorted(missing):
        console.print(f"not measured: {package} is not installed")
    for name, dpi, (truth, said, confidence) in wrong if full else wrong[:40]:
        console.print(
            f"  {name} {dpi}: {truth!r} read as {said!r} ({confidence:.2f})", markup=False
        )


def table_by_kind(kinds: dict[str, tuple[list[bool], list[bool]]]) -> Table:
    """Share read exactly by the kind of text, all resolutions and wears together."""
    table = Table(title="by kind: exact, per cent (crops)")
    for name in ("kind", "dev", "other programs and held-out"):
        table.add_column(name, justify="left" if name == "kind" else "right")
    for kind, both in sorted(kinds.items()):
        cells = [f"{100 * np.mean(r):.1f} ({len(r)})" if r else "-" for r in both]
        table.add_row(kind, *cells)
    return table


def report_large(console: Console) -> None:
    """Time finding every text of a large sheet."""
    sheet, count = draw_large(np.random.default_rng(34))
    start = time.process_time()
    maps = run_page(sheet, px_per_mm=300 / 25.4)
    spots = find_text(sheet, 300 / 25.4, maps=maps)
    cpu = time.process_time() - start
    console.print(
        f"find_text on 34 x 22 in at 300 dpi: {len(spots)} found of {count}, {cpu:.1f} s of CPU "
        f"with the page pass ({cpu / CORES:.1f} s on {CORES} cores)"
    )


def figures(score: Score) -> tuple[str, ...]:
    """A row's numbers."""
    if not score.read:
        return ("0", "-", "-", "-", "-", "-")
    other = f"{100 * np.mean(score.tesseract):.0f}" if score.tesseract else "-"
    return (
        str(score.read),
        f"{100 * score.right / score.read:.1f}",
        f"{100 * score.sure / score.read:.1f}",
        f"{100 * score.sure_right / max(score.sure, 1):.1f}",
        f"{1000 * score.seconds / max(score.looked_at, 1):.1f}", other,
    )  # fmt: skip


def report_traps(console: Console, wrong: list, count: int) -> None:
    """Print what is no accuracy: legal wrong fractions, text seen where there is none."""
    off = [w for name, _, w in wrong if name == "off-list fractions"]
    hidden = sum(legal(said) for _, said, _ in off)
    total = count * len(DPIS) * len({**DEV, **HELD})
    console.print(f"off-list fractions read as a legal wrong one: {hidden} of {total}")
    crops = nothing(4 * count)
    seen = [said for said in read_crops(crops) if said]
    sure = sum(said[0].confidence >= SURE for said in seen)
    console.print(f"nothing to read: {len(seen)} of {len(crops)} read as something, {sure} surely")
