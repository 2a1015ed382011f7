"""How many dimensions of ezdxf's sheets are found on rasters, at what resolution and wear."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.dimensions.raster import find_in_picture
from audit.geometry import Transform
from audit.isolation import GrayImage
from audit.pipeline.looking import readings_of, see_picture, text_lines
from audit.pipeline.placing import SnapGround, end_in_frame
from audit.pipeline.polarity import lay_dark_on_light
from audit.pipeline.second_look import look_again
from audit.reading import Reader, available_readers
from audit.records import Dimension
from tests.bench.ezdxf_sheets import DEVELOPMENT, HELD_OUT, Style, make_sheet
from tests.bench.find_vector import END_PT, compare, ends_off
from tests.bench.worn_sheets import WornSheet, wear

SEED = {"development": 21, "held out": 2021}
CONDITIONS = (
    (150, "scan"),
    (200, "scan"),
    (200, "bilevel"),
    (200, "skewed"),
    (200, "hard"),
    (200, "photo"),
    (200, "hand"),
    (200, "blueprint"),
    (300, "scan"),
)
HAND_PT = 2.0  # a hand's lines waver: an end further off is a wrong one
KINDS = ("distance", "radius", "diameter", "angle")
STYLES = {"development": DEVELOPMENT, "held out": HELD_OUT}


@dataclass(slots=True)
class Tally:
    """Counts over some sheets; `off` are the ends' errors across, px."""

    truths: int = 0
    found: int = 0
    right: int = 0
    reported: int = 0
    off: list[float] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Count another's in."""
        self.truths += other.truths
        self.found += other.found
        self.right += other.right
        self.reported += other.reported
        self.off += other.off

    @property
    def cells(self) -> str:
        """Recall / precision, and the share of found ones with the right text."""
        parts = ((self.found, self.truths), (self.found, self.reported), (self.right, self.found))
        return " / ".join(f"{a / b:.3f}" if b else "–" for a, b in parts)

    @property
    def rms(self) -> str:
        """Root mean square of the ends' errors, px."""
        return f"{float(np.sqrt(np.mean(np.square(self.off)))):.3f}" if self.off else "–"


def find_on(worn: WornSheet, readers: Sequence[Reader]) -> tuple[tuple[Dimension, ...], float]:
    """Dimensions found on a worn sheet, in pt of its page, and the CPU seconds it took."""
    began = time.process_time()
    image = lay_dark_on_light(GrayImage(pixels=worn.pixels, to_frame=Transform.scaling(1.0)))
    ground = SnapGround(image, Transform.scaling(1.0), worn.dpi / 25.4)
    seen = see_picture(ground, readers, turn=worn.turn)
    found = find_in_picture(
        image.pixels,
        seen.maps,
        text_lines(seen),
        readings_of(seen, unit=None),
        px_per_mm=ground.px_per_mm,
        sheet=1,
        upright=seen.upright,
    )
    back = worn.from_pt.inverse()
    in_pt = tuple(
        replace(d, ends=tuple(end_in_frame(e, back) for e in d.ends))
        for d in look_again(seen, found.dimensions, unit=None)
    )
    return in_pt, time.process_time() - began


def tally_sheet(
    style: Style, condition: tuple[int, str], rng: np.random.Generator, readers: Sequence[Reader]
) -> tuple[dict[str, Tally], float]:
    """Draw, wear and search one sheet."""
    dpi, how = condition
    sheet = make_sheet(style, rng)
    worn = wear(sheet.pdf, dpi=dpi, how=how, rng=rng)
    found, seconds = find_on(worn, readers)
    tallies: dict[str, Tally] = defaultdict(Tally)
    for truth in sheet.truths:
        tallies[truth.kind].truths += 1
    paired = {}
    for i, j, right in compare(sheet.truths, found, within=HAND_PT if how == "hand" else END_PT):
        tally = tallies[sheet.truths[i].kind]
        tally.found += 1
        tally.right += right
        paired[j] = sheet.truths[i].kind
        tally.off.append(ends_off(sheet.truths[i], found[j]) * dpi / 72)
    for j, dimension in enumerate(found):
        tallies[paired.get(j, _reported_as(dimension))].reported += 1
    return tallies, seconds


def _reported_as(dimension: Dimension) -> str:
    """Ø between two parallel lines counts with the lengths, as the truth has it."""
    across = dimension.kind.value == "diameter" and dimension.sweep is None
    return "distance" if across else dimension.kind.value


def run(*, full: bool) -> None:
    """Print recall, precision and right texts by condition, development and held out apart.

    Baseline in the same run: the search on vector pages (`find_vector`) of the same styles is what
    drawn lines allow; here the first condition is the easiest.
    """
    readers = available_readers()
    sheets = 4 if full else 1
    title = "Dimensions on rasters (recall / precision / right text of those found)"
    table = Table(title=title)
    for name in ("set", "dpi", "wear", *KINDS, "ends px RMS", "s a sheet"):
        table.add_column(name)
    by_style: dict[str, Tally] = defaultdict(Tally)
    for label in STYLES:
        for condition in CONDITIONS if full else CONDITIONS[1:2]:
            total, seconds = _tally_set(
                label, condition, sheets=sheets, readers=readers, by_style=by_style
            )
            dpi, how = condition
            cells = [total[kind].cells for kind in KINDS]
            table.add_row(label, str(dpi), how, *cells, total["distance"].rms, f"{seconds:.1f}")
    Console(width=170).print(table)
    styles_table = Table(title="Linear dimensions by style, all conditions")
    for name in ("style", "recall / precision / text", "ends px RMS"):
        styles_table.add_column(name)
    for name, tally in by_style.items():
        styles_table.add_row(name, tally.cells, tally.rms)
    Console(width=170).print(styles_table)


def _tally_set(
    label: str,
    condition: tuple[int, str],
    *,
    sheets: int,
    readers: Sequence[Reader],
    by_style: dict[str, Tally],
) -> tuple[dict[str, Tally], float]:
    styles = STYLES[label]
    rng = np.random.default_rng([SEED[label], condition[0]])
    total: dict[str, Tally] = defaultdict(Tally)
    spent = 0.0
    for style in styles:
        for _ in range(sheets):
            tallies, seconds = tally_sheet(style, condition, rng, readers)
            spent += seconds
            for kind, tally in tallies.items():
                total[kind].add(tally)
            by_style[f"{label}: {style.name}"].add(tallies["distance"])
    return total, spent / (len(styles) * sheets)
