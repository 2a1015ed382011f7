"""Sizes too close to call that can be no other number of their sheet.

On a sheet drawn by hand one right size in twenty is off by more than U, and more are off by more
than the tolerance less U. What a doubt there is about is a wrong number, and a wrong number is
another one of the sheet's own: where it prints sixteenths, 1 7/8 may stand for 1 13/16, not for
1 55/64. Where the printed number is off by no more than right lengths of this sheet ever scatter
and numbers are rounded, and both numbers next to it are off by more, nothing is left to doubt.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor, hypot

from audit.lengths import Length, Unit
from audit.records import Dimension, Settings, Verdict
from audit.scale import why_not_read
from audit.uncertainty import COVERAGE_FACTOR, rectangular

ENOUGH = 10  # sizes a sheet must print before it tells what steps it prints
FEW = 5  # different sizes that tell at least that it prints none finer than half their step
FINER = Fraction(1, 10)  # of its sizes that may be finer: slips, and one size among many
ONE_OF = 5  # sizes of a view of which one may be finer, be it only a slip
STEPS = {
    Unit.IN: tuple(Fraction(1, 2**k) for k in range(7)),
    Unit.MM: (Fraction(10), Fraction(5), Fraction(1), Fraction(1, 2), Fraction(1, 10)),
}
FAR = 3.0  # standard uncertainties; further off, no right size is
NO_OTHER = "as far as this sheet can tell; no other number in its steps fits"


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualSteps:
    """The steps that nearly all sizes of a sheet or view are printed in; `None`: none is told."""

    inch: Fraction | None
    mm: Fraction | None

    def of(self, unit: Unit) -> Fraction | None:
        """Return the step of one unit."""
        return {Unit.IN: self.inch, Unit.MM: self.mm}.get(unit)


def usual_steps(dimensions: Iterable[Dimension], *, settings: Settings) -> UsualSteps:
    """Find in what steps a sheet prints its sizes.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Of the sheet.
    settings : Settings
        Its confidence limit says which readings count.

    Returns
    -------
    UsualSteps
    """
    sizes = _sizes(dimensions, settings)
    inch, mm = (_usual_step(sizes[unit], STEPS[unit]) for unit in (Unit.IN, Unit.MM))
    return UsualSteps(inch=inch, mm=mm)


def _usual_step(
    sizes: Sequence[tuple[Fraction, Fraction]], steps: Sequence[Fraction]
) -> Fraction | None:
    """Return the step of nine tenths of many sizes; of few, one finer than that of them all."""
    if len(sizes) >= ENOUGH:
        return _step(sizes, steps, finer=FINER * len(sizes))
    step = _step(sizes, steps, finer=0) if len({size for size, _ in sizes}) >= FEW else None
    finer = [s for s in steps if step is not None and s < step]
    return finer[0] if finer else None


def steps_in_view(
    steps: UsualSteps, dimensions: Iterable[Dimension], *, settings: Settings
) -> UsualSteps:
    """Find in what steps a view prints its sizes: those of its sheet, or finer ones of its own.

    Beside the front of a chest in whole inches its joint is printed in sixteenths.

    Parameters
    ----------
    steps : UsualSteps
        Of the sheet.
    dimensions : Iterable[Dimension]
        Of the view.
    settings : Settings

    Returns
    -------
    UsualSteps
    """
    sizes = _sizes(dimensions, settings)
    inch, mm = (
        None if step is None else _step_in_view(sizes[unit], [s for s in STEPS[unit] if s <= step])
        for unit, step in ((Unit.IN, steps.inch), (Unit.MM, steps.mm))
    )
    return UsualSteps(inch=inch, mm=mm)


def _sizes(
    dimensions: Iterable[Dimension], settings: Settings
) -> dict[Unit, list[tuple[Fraction, Fraction]]]:
    """Surely read sizes of each unit, and their last places."""
    found: dict[Unit, list[tuple[Fraction, Fraction]]] = {unit: [] for unit in Unit}
    for d in dimensions:
        if d.printed is None or d.reading is None or d.reading.callout is None:
            continue
        if why_not_read(d, settings) is None:
            found[d.printed.unit].append((d.printed.value, d.reading.callout.step))
    return found


def _step_in_view(
    sizes: Sequence[tuple[Fraction, Fraction]], steps: Sequence[Fraction]
) -> Fraction | None:
    slips = 1.0 if len(sizes) >= ONE_OF else 0.0
    return _step(sizes, steps, finer=max(slips, float(FINER * len(sizes))))


def _step(
    sizes: Sequence[tuple[Fraction, Fraction]],
    steps: Sequence[Fraction],
    *,
    finer: float | Fraction,
) -> Fraction | None:
    """Return the coarsest step that all sizes are multiples of but for so many."""
    for step in steps:
        if sum(not _is_multiple(value, step, last) for value, last in sizes) <= finer:
            return step
    return None


def _is_multiple(value: Fraction, step: Fraction, last: Fraction) -> bool:
    """Whether a size is a whole number of steps, as exactly as its last place says."""
    return abs(value - round(value / step) * step) <= last / 2


def settle_by_next(dimension: Dimension, steps: UsualSteps) -> Dimension:
    """Let a size agree that is too close to call, where no other number of its sheet fits.

    Parameters
    ----------
    dimension : Dimension
        Judged.
    steps : UsualSteps
        Of its view.

    Returns
    -------
    Dimension
        As it was, where the size itself is no multiple of the step.
    """
    scaled, printed = dimension.scaled, dimension.printed
    if dimension.verdict is not Verdict.TOO_CLOSE or scaled is None or printed is None:
        return dimension
    tolerance, off = dimension.tolerance or 0.0, abs(dimension.difference or 0.0)
    most = FAR * hypot(scaled.expanded / COVERAGE_FACTOR, rectangular(tolerance / 2))
    if off > most:
        return dimension
    step = steps.of(printed.unit)
    callout = dimension.reading.callout if dimension.reading is not None else None
    if step is None or callout is None or not _is_multiple(printed.value, step, callout.step):
        return dimension
    if any(
        abs(float(size.to(scaled.unit)) - scaled.value) <= most for size in _beside(printed, step)
    ):
        return dimension
    return replace(dimension, verdict=Verdict.AGREES, why=NO_OTHER)


def _beside(printed: Length, step: Fraction) -> list[Length]:
    """Return the numbers next to a printed one in the steps of its sheet."""
    places = printed.value / step
    below, above = ceil(places) - 1, floor(places) + 1
    return [Length(k * step, printed.unit) for k in (below, above) if k > 0]
