"""A printed number to a length: its unit, its step, its limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.lengths.amounts import Amount, Form
from audit.lengths.callout import PrintedTolerance
from audit.lengths.draft import Term
from audit.lengths.length import Length, Unit, is_metric

# Two limits of one size differ by less than this factor; 3/8 and 1 1/2 are two sizes.
WIDEST_LIMITS = 2
# ``1/8 TO 1`` may be said of a size that is to be found; beyond it the text means something else.
WIDEST_RANGE = 10
_NO_UNIT = "no unit: the sheet must say what a number counts"


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What every step of assembling needs to know.

    Attributes
    ----------
    text : str
        The normalised text.
    unit : Unit or None
        Of the caller.
    printed : Unit or None
        The one length unit that stands somewhere in the callout: it holds for its bare numbers.
    named_as : str
        What a bare ``#10`` is: ``drill`` or ``screw``.
    lone : str
        What a lone whole number in parentheses is: ``count``, ``reference`` or ``second``.
    """

    text: str
    unit: Unit | None
    printed: Unit | None = None
    named_as: str = "drill"
    lone: str = "count"


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One term with its unit settled."""

    length: Length | None
    step: Fraction = Fraction(0)
    printed: bool = False
    tolerance: PrintedTolerance | None = None
    remark: str = ""


def to_length(amount: Amount, context: Context) -> Length | None:
    """Count in the unit of its own, else the one printed beside it, else the caller's.

    A fraction never takes millimetres from a number beside it: ``1/2 × 13 mm`` mixes units.
    """
    return amount.to_length(_unit_of(amount, context))


def _unit_of(amount: Amount, context: Context) -> Unit | None:
    if amount.form is Form.FRACTION and is_metric(context.printed):
        return context.unit
    return context.printed or context.unit


def settle(term: Term, context: Context) -> Size | None:
    """Give a term its unit, its step and its tolerance; `None` when limits make no sense."""
    if term.form == "limits":
        return _settle_limits(term, context)
    amount = term.amounts[0]
    length = to_length(amount, context)
    remark = ""
    if length is None:
        remark = _NO_UNIT
    elif amount.unit is None and context.printed is None and context.unit is None:
        remark = "fraction: inches"
    tolerance = _read_tolerance(term.deviations, length, _unit_of(amount, context))
    return Size(
        length=length,
        step=amount.step_in(_unit_of(amount, context)),
        printed=amount.unit is not None or _is_beside(length, context.printed),
        tolerance=tolerance,
        remark=remark,
    )


def _is_beside(length: Length | None, printed: Unit | None) -> bool:
    """Whether a length has its unit from one printed beside it."""
    return length is not None and printed is not None and length.unit is printed.counted


def _settle_limits(term: Term, context: Context) -> Size | None:
    low, high = sorted(term.amounts, key=lambda a: a.value)
    forms = {low.form, high.form}
    slashed = term.text == "/"
    if slashed and (Form.DECIMAL not in forms or Form.FRACTION in forms):
        return None  # 5/16/94 is a date, 1/2 / 3/4 no limits
    widest = WIDEST_LIMITS if slashed else WIDEST_RANGE
    if low.value <= 0 or high.value > low.value * widest:
        return None
    bounds = [to_length(amount, context) for amount in (low, high)]
    if bounds[0] is None or bounds[1] is None:
        return Size(length=None, remark=_NO_UNIT)
    unit = bounds[0].unit
    if (unit is Unit.DEG) != (bounds[1].unit is Unit.DEG):
        return None  # 1° TO 5: misread, or a note
    least, most = bounds[0].value, bounds[1].to(unit).value
    half = (most - least) / 2
    return Size(
        length=Length(least + half, unit),
        step=max(a.step_in(_unit_of(a, context)) for a in (low, high)),
        printed=context.printed is not None or low.unit is not None,
        tolerance=PrintedTolerance(upper=half, lower=-half),
    )


def _read_tolerance(
    deviations: Sequence[Amount], length: Length | None, unit: Unit | None
) -> PrintedTolerance | None:
    """Signed deviations in the unit of the size; minutes beside an angle."""
    if not deviations or length is None:
        return None
    counts = unit if unit is not None and unit.counted is length.unit else length.unit
    values = []
    for amount in deviations:
        counted = amount.to_length(counts)
        if counted is None or (counted.unit is Unit.DEG) != (length.unit is Unit.DEG):
            return None
        values.append(counted.to(length.unit).value)
    return PrintedTolerance(upper=max(values), lower=min(values))
