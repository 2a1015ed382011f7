"""In what a third company of drafters measures, how they write it, and how they slip."""

from __future__ import annotations

from fractions import Fraction

MM = Fraction(10, 254)  # inches
SLIP, LEAST_SLIP, MOST_SLIP = Fraction(6, 100), 0.045, 0.08
COARSE, FINE = 0, 1  # of a unit's steps
STEPS = {
    "inch": (Fraction(1, 8), Fraction(1, 16)),
    "foot": (Fraction(1, 4), Fraction(1, 8)),
    "decimal": (Fraction(1, 20), Fraction(1, 40)),
    "mm": (5 * MM, MM),
    "cm": (5 * MM, MM),
}
COARSE_FROM = {"inch": 1.5, "foot": 3.0, "decimal": 1.0, "mm": 2.4, "cm": 2.4}
FOOT_FROM = 12  # inches: below, feet are not written


def fit(inches: float, unit: str) -> Fraction:
    """The nearest size that somebody would use who measures in a unit; never nought."""
    step = STEPS[unit][COARSE if inches >= COARSE_FROM[unit] else FINE]
    return max(step, round(Fraction(inches) / step) * step)


def writes(size: Fraction, unit: str) -> bool:
    """Whether a size can be written in a unit as it is."""
    return size > 0 and size % (MM if unit in ("mm", "cm") else STEPS[unit][FINE]) == 0


def spell(size: Fraction, unit: str, mark: str = "") -> str:
    """Write a size, inches, in a unit."""
    match unit:
        case "mm":
            return f"{round(size / MM)}{mark}"
        case "cm":
            tenths = round(size / MM)
            return (f"{tenths // 10}.{tenths % 10}" if tenths % 10 else f"{tenths // 10}") + mark
        case "decimal":
            text = f"{float(size):.3f}"
            text = text[:-1] if text.endswith("0") else text
            return text.removeprefix("0") + mark
        case "foot" if size >= FOOT_FROM:
            feet, rest = divmod(size, 12)
            return f"{feet}'-{_mixed(rest, nought=True)}\""
        case "foot":
            return _mixed(size) + '"'
    return _mixed(size) + mark


def _mixed(size: Fraction, *, nought: bool = False) -> str:
    whole, rest = divmod(size, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole or nought else str(rest)


def slipped(right: Fraction, unit: str, sign: int) -> Fraction | None:
    """A size about 6 % off that could be written in a unit; `None` where none is."""
    for step in STEPS[unit]:
        wrong = round(right * (1 + sign * SLIP) / step) * step
        if wrong > 0 and LEAST_SLIP < abs(float(wrong / right) - 1) < MOST_SLIP:
            return wrong
    return None
