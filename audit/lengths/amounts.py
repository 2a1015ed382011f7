"""A printed amount as an exact number, before it is known what it counts."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from audit.errors import NotALength
from audit.lengths.length import Length, Unit
from audit.lengths.tables import unit_factors

if TYPE_CHECKING:
    from lark import Token, Tree

_ZERO_STEP = Fraction(0)
_UNIT_NAMES = {"INCH": "IN", "MILLIMETRE": "MM", "CENTIMETRE": "CM", "METRE": "M", "YARD": "YD"}
_ANGLE = re.compile(r"([\d ./]+)°(?:([\d.]+)'(?:([\d.]+)\")?)?")


class Form(StrEnum):
    """How a number was written."""

    INTEGER = "integer"
    DECIMAL = "decimal"
    FRACTION = "fraction"


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A printed amount.

    Attributes
    ----------
    value, step : Fraction
        In `unit` when that is printed, else bare. `step` is one unit in the last decimal place,
        0 for integers and fractions.
    unit : Unit or None
        What the text itself says; `None` when it says nothing.
    form : Form
    text : str
        The number as written, without its unit.
    arc : Fraction or None
        Degrees, when the primes of this amount could be minutes and seconds.
    named : Unit or None
        What numbers beside it count: centimetres beside ``20 cm``, though `unit` is millimetres.
    """

    value: Fraction
    step: Fraction
    unit: Unit | None
    form: Form
    text: str = ""
    arc: Fraction | None = None
    named: Unit | None = None

    def to_length(self, unit: Unit | None) -> Length | None:
        """Length in the printed unit, else in `unit`; fractions are inches when neither is known.

        `None` when nothing says what the number counts.
        """
        if unit is Unit.DEG and self.arc is not None:
            return Length(self.arc, Unit.DEG)
        counted = self.unit or unit or (Unit.IN if self.form is Form.FRACTION else None)
        if counted is None:
            return None
        return Length(self.value * counted.times, counted.counted)

    def step_in(self, unit: Unit | None) -> Fraction:
        """One unit in the last printed place, in that of the length it is made into."""
        return self.step * (unit.times if self.unit is None and unit is not None else 1)

    def scaled(self, factor: int) -> Amount:
        """Return the amount times a whole number."""
        arc = None if self.arc is None else self.arc * factor
        return replace(self, value=self.value * factor, arc=arc)

    def negated(self) -> Amount:
        """Return the same amount with its sign turned."""
        return self.scaled(-1)


def read_number(text: str) -> tuple[Fraction, Fraction, Form]:
    """Value, step and form of ``12``, ``.875``, ``7/16`` or ``1 7/16``.

    Raises
    ------
    NotALength
        If a fraction has nothing below its bar.

    Examples
    --------
    >>> read_number("1 7/16")
    (Fraction(23, 16), Fraction(0, 1), <Form.FRACTION: 'fraction'>)
    >>> read_number(".50")
    (Fraction(1, 2), Fraction(1, 100), <Form.DECIMAL: 'decimal'>)
    """
    if "/" in text:
        whole, _, fraction = text.rpartition(" ")
        top, bottom = fraction.split("/")
        if int(bottom) == 0:
            raise NotALength(
                f'"{text}" is no length: nothing is divided by zero',
                advice="check the number below the fraction bar",
            )
        return int(whole or 0) + Fraction(int(top), int(bottom)), _ZERO_STEP, Form.FRACTION
    if "." in text:
        places = len(text.partition(".")[2])
        return Fraction(text), Fraction(1, 10**places), Form.DECIMAL
    return Fraction(int(text)), _ZERO_STEP, Form.INTEGER


def read_amount(tree: Tree[Token]) -> Amount:
    """Turn a `value` subtree of the grammars into an exact amount."""
    return _READERS[str(tree.data)](tree)


def _read_plain(tree: Tree[Token]) -> Amount:
    number, *unit = _leaves(tree)
    text = str(number)
    value, step, form = read_number(text)
    if not unit:
        return Amount(value=value, step=step, unit=None, form=form, text=text)
    factor, base = unit_factors()[_UNIT_NAMES[unit[0].type]]
    arc = value / 3600 if unit[0].type == "INCH" else None
    return Amount(
        value=value * factor,
        step=step * factor,
        unit=base,
        form=form,
        text=text,
        arc=arc,
        named=next((u for u in Unit if u.counted is base and u.times == factor), base),
    )


def _read_feet(tree: Tree[Token]) -> Amount:
    text = str(_leaves(tree)[0])
    value, step, form = read_number(text)
    foot, unit = unit_factors()["FT"]
    return Amount(
        value=value * foot, step=step * foot, unit=unit, form=form, text=text, arc=value / 60
    )


def _read_feet_inches(tree: Tree[Token]) -> Amount:
    feet_text, _, inch_text, *_ = _leaves(tree)
    feet, _, _ = read_number(feet_text)
    inches, step, form = read_number(inch_text)
    foot, unit = unit_factors()["FT"]
    return Amount(
        value=feet * foot + inches,
        step=step,
        unit=unit,
        form=form,
        text=f"{feet_text}'-{inch_text}",
        arc=feet / 60 + inches / 3600,
    )


def _read_angle(tree: Tree[Token]) -> Amount:
    match = _ANGLE.fullmatch(_leaves(tree)[0])
    assert match is not None, "the grammar and this pattern describe the same text"
    value, step, form = read_number(match[1])
    for part, name in ((match[2], "MINUTE"), (match[3], "SECOND")):
        if part is not None:
            number, part_step, _ = read_number(part)
            factor = unit_factors()[name][0]
            value, step = value + number * factor, part_step * factor
    return Amount(value=value, step=step, unit=Unit.DEG, form=form, text=match[0])


def _leaves(tree: Tree[Token]) -> list[Token]:
    return list(tree.scan_values(lambda _: True))


_READERS = {
    "plain": _read_plain,
    "feet": _read_feet,
    "feet_inches": _read_feet_inches,
    "angle": _read_angle,
}
