"""How many dimensions of ezdxf's sheets are found, with the right text and the right ends."""

from __future__ import annotations

import re
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pymupdf
from rich.console import Console
from rich.table import Table
from scipy.optimize import linear_sum_assignment

from audit.dimensions import find_dimensions
from audit.isolation.vector import extract_page
from audit.reading.pdf_text import join_texts
from audit.records import Dimension
from tests.bench.ezdxf_drawing import BenchSheet, Truth
from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.ezdxf_styles import DEVELOPMENT, HELD_OUT, Style, random_style

END_PT = 0.5  # an end further off is a wrong one
SEED = {"development": 11, "held out": 1011, "random": 2011}


@dataclass(slots=True)
class Tally:
    """Counts over some sheets: truths, found with right text and ends, ends alone, reported."""

    truths: int = 0
    right: int = 0
    ends: int = 0
    reported: int = 0

    def row(self) -> tuple[str, str, str]:
        """Recall, recall of the ends alone, precision, as table cells."""
        share = (
            (self.right, self.truths),
            (self.ends, self.truths),
            (self.right, self.reported),
        )
        return tuple(f"{a / b:.3f}" if b else "–" for a, b in share)  # type: ignore[return-value]


SIGNS = {ord("’"): "'", ord("−"): "-"}


def printed_alike(a: str, b: str) -> bool:
    """Whether two texts are one apart from spaces, and from how a face spells ' and -."""
    return re.sub(r"\s+", "", a.translate(SIGNS)) == re.sub(r"\s+", "", b.translate(SIGNS))


def ends_off(truth: Truth, found: Dimension) -> float:
    """Largest distance between matching ends, pt, in the better of both orders."""
    if truth.kind != found.kind.value:
        pair = (truth.kind, found.kind.value)
        if pair != ("distance", "diameter"):
            return float("inf")
    t = np.array(truth.ends)
    f = np.array([e.point for e in found.ends])
    if t.shape != f.shape:
        return float("inf")
    if truth.kind == "angle":
        # any point on a leg will do: compare directions seen from the vertex
        legs_t, legs_f = (np.degrees(np.arctan2(*(p[1:] - p[0]).T)) for p in (t, f))
        turn = [np.abs((legs_t - g + 180) % 360 - 180).max() for g in (legs_f, legs_f[::-1])]
        return float(max(np.hypot(*(t[0] - f[0])), min(turn)))
    orders = [f] if truth.kind == "radius" else [f, f[::-1]]
    if truth.kind == "radius":  # the point may stand anywhere on the arc
        radius = abs(np.hypot(*(t[1] - t[0])) - np.hypot(*(f[1] - f[0])))
        return float(max(radius, np.hypot(*(t[0] - f[0]))))
    if truth.kind == "diameter":
        size = abs(np.hypot(*(t[1] - t[0])) - np.hypot(*(f[1] - f[0])))
        return float(max(size, np.hypot(*((t[0] + t[1] - f[0] - f[1]) / 2))))
    return float(min(np.hypot(*(t - o).T).max() for o in orders))


def compare(
    truths: Sequence[Truth], found: Sequence[Dimension], *, within: float = END_PT
) -> list[tuple[int, int, bool]]:
    """Pair truths and found dimensions by their ends; third: whether the text is right too.

    Parameters
    ----------
    truths : sequence of Truth
    found : sequence of Dimension
    within : float
        An end further off than so many pt is a wrong one.
    """
    if not truths or not found:
        return []
    off = np.array([[ends_off(t, f) for f in found] for t in truths])
    text = np.array(
        [
            [f.reading is not None and printed_alike(t.text, f.reading.text) for f in found]
            for t in truths
        ]
    )
    cost = np.where(off < within, off - 2.0 * text, 10.0)
    return [
        (int(i), int(j), bool(text[i, j]))
        for i, j in zip(*linear_sum_assignment(cost), strict=True)
        if off[i, j] < within
    ]


def find_on(sheet: BenchSheet) -> tuple[tuple[Dimension, ...], float]:
    """Dimensions found on a sheet, and the CPU seconds it took."""
    document = pymupdf.open(stream=sheet.pdf, filetype="pdf")
    began = time.process_time()
    page = extract_page(document, 0)
    found = find_dimensions(page, join_texts(page), sheet=1, unit=None)
    return found.dimensions, time.process_time() - began


def tally_style(
    style: Style, rng: np.random.Generator, sheets: int
) -> tuple[dict[str, Tally], float]:
    """Draw sheets of one style and count."""
    tallies: dict[str, Tally] = defaultdict(Tally)
    spent = 0.0
    for _ in range(sheets):
        sheet = make_sheet(style, rng)
        found, seconds = find_on(sheet)
        spent += seconds
        pairs = compare(sheet.truths, found)
        for truth in sheet.truths:
            tallies[truth.kind].truths += 1
        for i, _j, right in pairs:
            tally = tallies[sheet.truths[i].kind]
            tally.ends += 1
            tally.right += right
        paired = {j: sheet.truths[i].kind for i, j, _ in pairs}
        for j, dimension in enumerate(found):
            tallies[paired.get(j, dimension.kind.value)].reported += 1
    return tallies, spent / sheets


def run(*, full: bool) -> None:
    """Print recall and precision by style, development and held out apart.

    The baseline is what a tool without text assignment would have: the ends alone.
    """
    sheets = 20 if full else 4
    table = Table(title="Dimensions on vector sheets (recall / ends alone / precision)")
    for name in ("set", "style", "linear", "radius", "diameter", "angle", "ms a page"):
        table.add_column(name)
    chance = np.random.default_rng(SEED["random"])
    unseen = tuple(random_style(chance, k) for k in range(1, (60 if full else 12) + 1))
    sets = (("development", DEVELOPMENT), ("held out", HELD_OUT), ("random", unseen))
    for label, styles in sets:
        rng = np.random.default_rng(SEED[label])
        total: dict[str, Tally] = defaultdict(Tally)
        for style in styles:
            tallies, seconds = tally_style(style, rng, sheets)
            for kind, tally in tallies.items():
                _add(total[kind], tally)
            table.add_row(label, style.name, *_cells(tallies), f"{1000 * seconds:.0f}")
        table.add_row(label, "all", *_cells(total), "", style="bold")
    Console(width=170).print(table)


def _add(total: Tally, more: Tally) -> None:
    total.truths += more.truths
    total.right += more.right
    total.ends += more.ends
    total.reported += more.reported


def _cells(tallies: dict[str, Tally]) -> list[str]:
    return [" / ".join(tallies[k].row()) for k in ("distance", "radius", "diameter", "angle")]
