"""Errors planted on drawings: how many `check` names with the right dimension, what it cries wolf.

A *slip* is one wrong printed number; a dimension is *named* when it disagrees, or when a finding of
agreement or of a chain points to it first; every other such warning or error is a false alarm.
"""

from __future__ import annotations

import itertools
import math
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import cv2
import numpy as np
from PIL import Image
from rich.console import Console
from rich.table import Table

from audit.geometry import Transform
from audit.pipeline import CheckRequest, check
from audit.pipeline.placing import end_in_frame
from audit.records import Audit, Dimension, Finding, Settings, Severity, Verdict
from tests.bench.ezdxf_sheets import (
    DEVELOPMENT,
    HELD_OUT,
    BenchSheet,
    Slip,
    Style,
    Truth,
    make_sheet,
    spell_length,
)
from tests.bench.find_vector import ends_off
from tests.bench.worn_sheets import wear

SHARE = 0.05  # one printed number in twenty
END_PT = 1.5  # a dimension this near is the one that was meant
SEED = {"development": 5, "held out": 2005}
SIZES = (Fraction(1, 64), Fraction(1, 32), Fraction(3, 64), Fraction(1, 16), Fraction(1, 8))
ALARMS = ("A1", "C1")
LOUD = (Severity.ERROR, Severity.WARNING)
PLOT = Path(__file__).parents[2] / "docs" / "pictures" / "planted-errors.png"


def by_inches(size: Fraction) -> Slip:
    """Print a length too long or too short by a fraction of an inch (mm: the same, to .5)."""

    def slip(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
        if rng.random() >= SHARE:
            return None
        step = float(size) if unit != "mm" else max(round(float(size) * 25.4 * 2) / 2, 0.5)
        wrong = real + step * float(rng.choice([-1, 1]))
        return spell_length(wrong, unit) if wrong > 0 else None

    return slip


def by_percent(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
    """Print a length six percent off, to the steps that the style prints."""
    if rng.random() >= SHARE:
        return None
    text = spell_length(real * (1.0 + 0.06 * float(rng.choice([-1, 1]))), unit)
    return None if right.endswith(text) else text


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


@dataclass(slots=True)
class Outcome:
    """Counts over some sheets; `codes` are those of the false alarms."""

    sheets: int = 0
    planted: int = 0
    named: int = 0
    unread: int = 0
    false: int = 0
    codes: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)

    def add(self, other: Outcome) -> None:
        """Count another's in."""
        self.sheets += other.sheets
        self.planted += other.planted
        self.named += other.named
        self.unread += other.unread
        self.false += other.false
        self.codes += other.codes
        self.missed += other.missed

    @property
    def share(self) -> float:
        """Share of planted errors that were named; nan without any."""
        return self.named / self.planted if self.planted else math.nan

    @property
    def cells(self) -> tuple[str, ...]:
        """Planted, named, not read, false alarms a sheet, their codes."""
        codes = ", ".join(f"{code} {n}" for code, n in self.codes.most_common(4))
        return (
            str(self.planted),
            f"{self.share:.3f}" if self.planted else "–",
            str(self.unread),
            f"{self.false / max(self.sheets, 1):.2f}",
            codes,
        )


def audit_sheet(sheet: BenchSheet, *, wear_how: str, dpi: float, rng: np.random.Generator) -> Audit:
    """Check a sheet as a user would: the PDF, or its worn raster; ends in pt of the page."""
    with TemporaryDirectory() as folder:
        if wear_how == "vector":
            path = Path(folder) / "sheet.pdf"
            path.write_bytes(sheet.pdf)
            return check(CheckRequest(plans=(path,), settings=Settings())).audit
        worn = wear(sheet.pdf, dpi=dpi, how=wear_how, rng=rng)
        path = Path(folder) / "sheet.png"
        # a scanner lays the sheet the way it is read
        quarter = {0: 0, 90: 3, 270: 1}[worn.turn]
        pixels = np.ascontiguousarray(np.rot90(worn.pixels, quarter))
        Image.fromarray(pixels).save(path, dpi=(dpi, dpi))
        audit = check(CheckRequest(plans=(path,), settings=Settings())).audit
        back = _unturn(worn.pixels.shape, quarter).then(worn.from_pt.inverse())
        dimensions = tuple(
            replace(d, ends=tuple(end_in_frame(e, back) for e in d.ends)) for d in audit.dimensions
        )
        return replace(audit, dimensions=dimensions)


def _unturn(shape: tuple[int, ...], quarter: int) -> Transform:
    """Bring px of a picture turned by quarter turns, counter-clockwise, back."""
    h, w = float(shape[0]), float(shape[1])
    rows = {
        0: ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
        1: ((0.0, -1.0, w), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        3: ((0.0, 1.0, 0.0), (-1.0, 0.0, h), (0.0, 0.0, 1.0)),
    }[quarter]
    return Transform(rows)


def judge_audit(truths: Sequence[Truth], audit: Audit) -> Outcome:
    """Count what was named of what was planted, and what else was cried."""
    outcome = Outcome(sheets=1)
    of = {d.id: _truth_of(d, truths) for d in audit.dimensions}
    loud = [f for f in audit.findings if f.code[:2] in ALARMS and f.severity in LOUD]
    firsts = {f.dimensions[0] for f in loud if f.dimensions}
    for k, truth in enumerate(truths):
        if not truth.right:
            continue
        outcome.planted += 1
        mine = [d for d in audit.dimensions if of[d.id] == k]
        if any(d.verdict is Verdict.DISAGREES or d.id in firsts for d in mine):
            outcome.named += 1
            continue
        outcome.unread += not any(d.reading and d.reading.callout for d in mine)
        why = [f"{d.verdict} {d.reading.text if d.reading else None} {d.why}" for d in mine]
        outcome.missed.append(f"{truth.right} -> {truth.text}: {why or 'not found'}")
    for finding in loud:
        if not _is_earned(finding, of, truths):
            outcome.false += 1
            outcome.codes[finding.code] += 1
    return outcome


def _truth_of(dimension: Dimension, truths: Sequence[Truth]) -> int | None:
    off = [ends_off(t, dimension) for t in truths]
    best = int(np.argmin(off)) if off else 0
    return best if off and off[best] < END_PT else None


def _is_earned(finding: Finding, of: dict[int, int | None], truths: Sequence[Truth]) -> bool:
    """Whether a finding has a planted error among its dimensions."""
    places = [of.get(number) for number in finding.dimensions]
    return any(k is not None and truths[k].right for k in places)


def plant(
    styles: Sequence[Style],
    slip: Slip,
    *,
    seed: int,
    sheets: int,
    wear_how: str = "vector",
    factor: float | None = None,
) -> Outcome:
    """Draw sheets with slips, check them and count."""
    total = Outcome()
    for number, style in enumerate(styles):
        for k in range(sheets):
            rng = np.random.default_rng([seed, number, k])
            sheet = make_sheet(style, rng, slip=slip, factor=factor)
            audit = audit_sheet(sheet, wear_how=wear_how, dpi=200.0, rng=rng)
            total.add(judge_audit(sheet.truths, audit))
    return total


def run(*, full: bool, plot: bool = False) -> None:
    """Print what is named and what is cried wolf, by kind of slip; the curve over its size.

    The baseline in the same run are sheets with nothing wrong on them.
    """
    table = Table(title="Planted errors: one printed number in twenty")
    for name in ("set", "pages", "slip", "planted", "named", "unread", "false a sheet", "codes"):
        table.add_column(name)
    curves: dict[str, list[float]] = {}
    for label, styles in (("development", DEVELOPMENT), ("held out", HELD_OUT)):
        inches = [s for s in styles if s.unit == "fraction"]
        for pages in ("vector", "scan"):
            # pictures are read for many seconds each: the short run takes few of them
            some = styles if full or pages == "vector" else styles[:2]
            sheets = (6 if pages == "vector" else 3) if full else 1
            said = [
                ("none (baseline)", some, _no_slip, None),
                ("6 %", some, by_percent, None),
                ("as people slip", some, by_hand, None),
            ]
            sizes = SIZES if full or plot else SIZES[3:4]
            said += [(f"{s} in, full size", inches, by_inches(s), 1.0) for s in sizes]
            done = [
                plant(of, slip, seed=SEED[label], sheets=sheets, wear_how=pages, factor=factor)
                for _, of, slip, factor in said
            ]
            for (name, *_), outcome in zip(said, done, strict=True):
                table.add_row(label, pages, name, *outcome.cells)
            curves[f"{label}, {pages}"] = [outcome.share for outcome in done[3:]]
    Console(width=150).print(table)
    if plot:
        draw_curves(curves, PLOT)


def _no_slip(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
    return None


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
