"""Millimetres known by the numbers themselves, where none of them is large enough to tell."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import compress

from audit.lengths import Unit
from audit.pipeline.texts import FEW_FRACTIONS, NOTHING_SAYS, SheetUnit, lacks_unit, surely_read
from audit.records import Dimension, Settings

ENOUGH = 8  # numbers that differ: fewer may all be whole inches by chance
LARGEST = 40  # one at least is so large: 8 small numbers are a box in inches as well
ENOUGH_METRIC = 4  # of them that nobody prints in inches
SURE = 2  # of those that only mm have: steps of five are found in centimetres, too
FEW_SPLIT = 0.25  # of the numbers have tenths: where more do, they may count centimetres
OUTWEIGH = 2  # times as many as those that count whole feet
ODD_FIVES = 15  # from here up an odd multiple of 5 (25, 65) is a step of a ruler in mm
LEAST_ROUND = 5  # holes and turned parts in inches have fractions, whole ones end about here
FOOT = 12
LEAST_SURE, HALF_FOOT = 11, 6  # wheels and round tops in inches are smaller, or half feet across
_NUMBER = re.compile(r"(?:^|[ (X×])([RØ⌀∅]?) ?(\d{1,4}(?:[.,]\d)?)(?: ?(?:TYP|REF)\.?)?\)?$")
_COMMA = re.compile(r"(?<![\d.,])\d{1,4},\d{1,2}(?![\d.,])")
_INCH_LIKE = re.compile(r"\d/\d|[\"'”″’′]|(?<!\d)\.\d|\d\.\d\d")


@dataclass(frozen=True, slots=True)
class _Number:
    """A number as it is printed, with the sign of a circle before it."""

    sign: str
    digits: str

    @property
    def value(self) -> Fraction:
        """What it counts."""
        return Fraction(self.digits.replace(",", "."))

    @property
    def is_metric_by_form(self) -> bool:
        """Whether it is a circle in whole numbers, or has a comma."""
        return "," in self.digits or (self.sign != "" and self.value >= LEAST_ROUND)

    @property
    def is_surely_metric(self) -> bool:
        """Whether it has a comma, or is a diameter that no wheel has in inches; radii are any."""
        across = self.sign not in {"", "R"} and self.value >= LEAST_SURE
        return "," in self.digits or (across and self.value % HALF_FOOT != 0)

    @property
    def is_metric(self) -> bool:
        """Whether nobody prints it in inches."""
        odd_five = self.value >= ODD_FIVES and self.value % 10 == 5
        return odd_five or self.is_metric_by_form


def guess_millimetres(dimensions: Iterable[Dimension], settings: Settings) -> SheetUnit:
    """Tell millimetres by whole numbers that nobody prints in inches.

    Odd multiples of five, circles in whole numbers and decimal commas speak for them, multiples
    of twelve against them. Sheets in inches have a fraction among eight numbers.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet, read without a unit.
    settings : Settings
        How sure a reading must be to be a witness.

    Returns
    -------
    SheetUnit
        No unit where the numbers do not tell; `likely` where centimetres, or arches and wheels in
        inches, would be printed so, too, or a few numbers are like inches. What the drawing
        measures plays no part.
    """
    texts, bare = _sure_texts(dimensions, settings)
    found = {_Number(m[1], m[2]) for t in bare if (m := _NUMBER.search(t)) is not None}
    values = {number.value for number in found}
    stray = _count_stray(texts)
    if stray * FEW_FRACTIONS > len(found) or not _may_tell(values):
        return SheetUnit(None, NOTHING_SAYS)
    metric = {n.value: n for n in sorted(found, key=str) if n.is_metric}
    feet = sum(value % FOOT == 0 for value in values)
    if len(metric) < max(ENOUGH_METRIC, OUTWEIGH * feet):
        return SheetUnit(None, NOTHING_SAYS)
    largest = [metric[value] for value in sorted(metric, reverse=True)[:ENOUGH_METRIC]]
    named = ", ".join(n.sign + n.digits for n in largest)
    likely = stray > 0 or sum(n.is_surely_metric for n in metric.values()) < SURE
    return SheetUnit(Unit.MM, f"most numbers are whole, and some are like {named}", likely)


def has_decimal_commas(dimensions: Iterable[Dimension], settings: Settings) -> bool:
    """Whether numbers without a unit have decimal commas: whatever they count, it is no inches.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet, read without a unit.
    settings : Settings
        How sure a reading must be to be a witness.

    Returns
    -------
    bool
        Never on a sheet that has inches as well. ``1,500`` may be a thousand and a half.
    """
    texts, bare = _sure_texts(dimensions, settings)
    found = set(bare)
    commas = sum(_COMMA.search(text) is not None for text in found)
    return commas >= ENOUGH_METRIC and _count_stray(texts) * FEW_FRACTIONS <= len(found)


def _sure_texts(dimensions: Iterable[Dimension], settings: Settings) -> tuple[list[str], list[str]]:
    """Texts that nobody needs to check, in capitals; second, those of them without a unit."""
    read = [(d, d.reading) for d in dimensions if d.reading is not None]
    surely = surely_read([reading for _, reading in read], settings)
    sure = list(compress(read, surely))
    texts = [reading.text.strip().upper() for _, reading in sure]
    return texts, list(compress(texts, (lacks_unit(d) for d, _ in sure)))


def _count_stray(texts: Iterable[str]) -> int:
    """How many are like inches."""
    return sum(_INCH_LIKE.search(text) is not None for text in texts)


def _may_tell(values: Collection[Fraction]) -> bool:
    """Whether numbers are many, large and whole enough."""
    split = sum(value.denominator > 1 for value in values)
    enough = len(values) >= ENOUGH and max(values) >= LARGEST
    return enough and split <= FEW_SPLIT * len(values)
