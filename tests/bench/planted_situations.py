"""Sheets as they come: few sizes, two scales, prints out of true, other units; one error planted.

Every third sheet of a situation has nothing wrong on it. On sheets that are not to scale every
number is another than drawn: nothing is planted, and every alarm about a drawn length is false.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pikepdf

from tests.bench.ezdxf_drawing import BenchSheet, Slip, choose_factor, spell_length, write_note
from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.ezdxf_styles import Style, random_style
from tests.bench.ezdxf_texts import XY
from tests.bench.ezdxf_views import View

CLEAN_EACH = 3  # every so many sheets have nothing wrong
SIXTEENTH = {"fraction": 1 / 16, "decimal": 1 / 16, "mm": 1.5, "feet": 1.0}  # on paper, real unit
SIX_PERCENT = 0.06
TRIES = 20  # sheets drawn until the planted size prints as another


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What a sheet is like; `factors` are real to paper, drawn at random by its unit if none.

    `says` stands below every view in the place of its scale; `mixed` lets every view have its own.
    """

    name: str
    most: int = 3
    unit: str = ""
    factors: tuple[float, ...] = ()
    says: str | None = None
    mixed: bool = False
    printed: float = 1.0
    to_scale: bool = True


SITUATIONS = (
    Situation(name="one view", most=1),
    Situation(name="one view, no scale stated", most=1, says=""),
    Situation(name="two views", most=2),
    Situation(name="two scales", most=4, mixed=True),
    Situation(name="printed at 97 %", most=2, printed=0.97),
    Situation(name="mm, standard scales", unit="mm", factors=(25.4, 50.8, 127.0, 12.7)),
    Situation(name="mm at 1:3, 1:6, none stated", unit="mm", factors=(76.2, 152.4), says=""),
    Situation(name="1/4 in = 1 ft", unit="feet", factors=(48.0,), says='SCALE 1/4" = 1\'-0"'),
    Situation(name="decimals, do not scale", unit="decimal", says="DO NOT SCALE DRAWING"),
    Situation(name="not to scale", to_scale=False),
)


@dataclass(slots=True)
class OneSlip:
    """One wrong number on a sheet, the one at place `at` or the next that can be wrong.

    By about 1/16 in on the paper for even `kind`, by 6 % for odd; `seen` counts the numbers.
    """

    kind: int
    at: int | None
    factor: float = 1.0
    seen: int = 0
    done: bool = False

    def __call__(self, real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
        """Print the one number wrong."""
        self.seen += 1
        if self.at is None or self.done or self.seen <= self.at:
            return None
        sign = float(rng.choice([-1, 1]))
        on_paper = SIXTEENTH[unit] * self.factor / (25.4 if unit == "mm" else 1.0)
        off = on_paper if self.kind % 2 == 0 else SIX_PERCENT * real
        wrong = spell_length(real + sign * off, unit) if real + sign * off > 0 else right
        if right.endswith(wrong):
            return None
        self.done = True
        return wrong


def scramble(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
    """Print any number: the sheet is not to scale."""
    return spell_length(real * float(rng.uniform(0.5, 1.9)), unit)


def draw_situation(situation: Situation, seed: Sequence[int], number: int) -> BenchSheet:
    """Draw one sheet of a situation; every third is clean.

    Parameters
    ----------
    situation : Situation
    seed : sequence of int
    number : int
        Which of several.
    """
    rng = np.random.default_rng([*seed, number])
    style = random_style(rng, number)
    style = replace(style, unit=situation.unit or style.unit)
    factor = float(rng.choice(situation.factors)) if situation.factors else None
    factor = factor or (None if situation.mixed else choose_factor(style.unit, rng))
    drawing = int(rng.integers(1 << 30))
    if not situation.to_scale:
        return _draw(situation, style, factor, drawing, scramble)
    count = OneSlip(kind=0, at=None)
    sheet = _draw(situation, style, factor, drawing, count)
    if number % CLEAN_EACH == CLEAN_EACH - 1 or not count.seen:
        return sheet
    for _ in range(TRIES):
        slip = OneSlip(kind=number, at=int(rng.integers(count.seen)), factor=factor or 1.0)
        sheet = _draw(situation, style, factor, drawing, slip)
        if slip.done:
            break
    return sheet


def _draw(
    situation: Situation, style: Style, factor: float | None, drawing: int, slip: Slip
) -> BenchSheet:
    sheet = make_sheet(
        style,
        np.random.default_rng(drawing),
        slip=slip,
        factor=factor,
        most=situation.most,
        title=_titled(situation.says),
    )
    return sheet if situation.printed == 1.0 else print_at(sheet, situation.printed)


def _titled(says: str | None) -> View | None:
    if says is None:
        return None

    def title(sheet: Any, x: float, y: float) -> None:
        write_note(sheet, "SIDE PLATE", (x, y - 0.02), 0.12, 5)
        if says:
            write_note(sheet, says, (x, y - 0.2), 0.09, 5)

    return title


def print_at(sheet: BenchSheet, factor: float) -> BenchSheet:
    """Print a sheet smaller or larger on the same paper, about its middle."""
    pdf = pikepdf.open(io.BytesIO(sheet.pdf))
    page = pdf.pages[0]
    x0, y0, x1, y1 = (float(v) for v in page.MediaBox)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    dx, dy = (m * (1 - factor) for m in middle)
    page.contents_coalesce()
    old = page.Contents.read_bytes()
    page.Contents = pdf.make_stream(
        f"q {factor} 0 0 {factor} {dx:.6f} {dy:.6f} cm\n".encode() + old + b"\nQ"
    )
    out = io.BytesIO()
    pdf.save(out)
    half = ((x1 - x0) / 2, (y1 - y0) / 2)

    def place(p: XY) -> XY:
        return half[0] + factor * (p[0] - half[0]), half[1] + factor * (p[1] - half[1])

    truths = tuple(replace(t, ends=tuple(place(p) for p in t.ends)) for t in sheet.truths)
    return replace(sheet, pdf=out.getvalue(), truths=truths)
