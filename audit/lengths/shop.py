"""What a shop would call a measured size: the simple values inside its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, isfinite

from audit.lengths.length import Length, Unit
from audit.lengths.spelling import Style, spell

# Inch sizes are cut to halves, quarters … 64ths: common practice, no source.
_INCH_STEPS = tuple(Fraction(1, 2**power) for power in range(7))
# Metric sizes are rounded to tens, fives, whole, half and tenth millimetres: common practice.
_MM_STEPS = tuple(Fraction(step) for step in ("10", "5", "1", "0.5", "0.1"))
# Angles are set to fives, whole, half and quarter degrees: common practice, no source.
_DEG_STEPS = tuple(Fraction(step) for step in ("5", "1", "0.5", "0.25"))

# An uncertainty above 1/16 in leaves so many shop values that naming one would be a guess.
COARSEST = {
    Unit.IN: Fraction(1, 16),
    Unit.MM: Length(Fraction(1, 16), Unit.IN).to(Unit.MM).value,
    Unit.DEG: Fraction(2),
}
_STEPS = {Unit.IN: _INCH_STEPS, Unit.MM: _MM_STEPS, Unit.DEG: _DEG_STEPS}
_NOT_SHOP = {
    Unit.IN: "not a shop fraction",
    Unit.MM: "not a shop size",
    Unit.DEG: "not a shop angle",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopValues:
    """Shop values inside an interval.

    Attributes
    ----------
    nearest : str or None
        The simplest value inside (spelled without unit mark); when there is none, the nearest 64th
        and `remark` says that it is not a shop fraction; `None` when the interval is too wide.
    candidates : tuple of str
        Every multiple of the plan's finest step inside, rising, and the simplest value itself.
        Empty when nothing is inside or the interval is too wide.
    remark : str
        Empty when `nearest` is the one candidate.
    """

    nearest: str | None
    candidates: tuple[str, ...]
    remark: str


def shop_values(
    low: Fraction | float,
    high: Fraction | float,
    *,
    unit: Unit,
    finest: Fraction,
) -> ShopValues:
    """List the shop values inside [low, high].

    Parameters
    ----------
    low : Fraction or float
        In `unit`. Floats, as measuring gives them, are taken exactly.
    high : Fraction or float
        Not below `low`.
    unit : Unit
    finest : Fraction
        The finest step the plan itself uses, in `unit` (1/32 on a plan that never prints 64ths).

    Returns
    -------
    ShopValues

    Raises
    ------
    ValueError
        If the interval is upside down or not finite, or `finest` is not positive.

    Examples
    --------
    >>> shop_values(3.366, 3.384, unit=Unit.IN, finest=Fraction(1, 64)).nearest
    '3 3/8'
    >>> shop_values(0.46, 0.51, unit=Unit.IN, finest=Fraction(1, 32))
    ShopValues(nearest='1/2', candidates=('15/32', '1/2'), remark='15/32 or 1/2')
    >>> shop_values(0.204, 0.206, unit=Unit.IN, finest=Fraction(1, 64))
    ShopValues(nearest='13/64', candidates=(), remark='not a shop fraction')
    """
    start, end = _exact_interval(low, high)
    if finest <= 0:
        raise ValueError(f"the finest step must be positive, not {finest}")
    half_width = (end - start) / 2
    if half_width > COARSEST[unit]:
        return ShopValues(nearest=None, candidates=(), remark=_too_wide(unit))
    simplest = _find_simplest(start, end, unit)
    if simplest is None:
        nearest = _nearest_multiple((start + end) / 2, _STEPS[unit][-1])
        return ShopValues(nearest=_spell(nearest, unit), candidates=(), remark=_NOT_SHOP[unit])
    inside = sorted({simplest, *_multiples_inside(start, end, finest)})
    candidates = tuple(_spell(value, unit) for value in inside)
    remark = _join_or(candidates) if len(candidates) > 1 else ""
    return ShopValues(nearest=_spell(simplest, unit), candidates=candidates, remark=remark)


def _exact_interval(low: Fraction | float, high: Fraction | float) -> tuple[Fraction, Fraction]:
    if not (isfinite(low) and isfinite(high)):
        raise ValueError(f"the interval {low} to {high} is not finite")
    start, end = Fraction(low), Fraction(high)
    if start > end:
        raise ValueError(f"the interval {low} to {high} is upside down")
    return start, end


def _find_simplest(start: Fraction, end: Fraction, unit: Unit) -> Fraction | None:
    """Take the coarsest step that has a multiple inside, and that nearest the middle."""
    middle = (start + end) / 2
    for step in _STEPS[unit]:
        inside = _multiples_inside(start, end, step)
        if inside:
            return min(inside, key=lambda value: abs(value - middle))
    return None


def _multiples_inside(start: Fraction, end: Fraction, step: Fraction) -> list[Fraction]:
    return [step * n for n in range(ceil(start / step), floor(end / step) + 1)]


def _nearest_multiple(value: Fraction, step: Fraction) -> Fraction:
    """Round to a multiple, a tie going to the one with the smaller denominator."""
    below = step * floor(value / step)
    return min(below, below + step, key=lambda each: (abs(each - value), each.denominator))


def _spell(value: Fraction, unit: Unit) -> str:
    return spell(Length(value, unit), style=Style.PLAIN)


def _too_wide(unit: Unit) -> str:
    mark = {Unit.IN: '"', Unit.MM: " mm", Unit.DEG: "°"}[unit]
    limit = "1.6" if unit is Unit.MM else _spell(COARSEST[unit], unit)
    return f"not known to ± {limit}{mark}: no suggestion"


def _join_or(words: tuple[str, ...]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"
