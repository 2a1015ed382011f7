"""Printed fits of ISO 286: against the limits printed beside them, and against what a note says."""

from __future__ import annotations

from collections.abc import Iterable

from audit.checks.places import place_of
from audit.checks.relations import Intent
from audit.lengths import Callout, FitLimits, Length, Unit, read_fit
from audit.records import Dimension, Finding
from audit.scale.findings import say

SAME_MM = 0.0006  # printed limits are rounded to a micrometre, inches to ten-thousandths
SAME_IN_MM = 0.0014  # half of .0001 in


def check_zones(dimensions: Iterable[Dimension]) -> list[Finding]:
    """Compare limits that are printed beside a fit with those of the standard.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Read.

    Returns
    -------
    list[Finding]
        F109.
    """
    return [f for d in dimensions if (f := _check(d)) is not None]


def _check(dimension: Dimension) -> Finding | None:
    callout = dimension.reading.callout if dimension.reading is not None else None
    if callout is None or callout.tolerance is None or "/" in callout.fit:
        return None
    limits = limits_of(callout)
    if limits is None or callout.size is None:
        return None
    meant = limits.hole or limits.shaft
    if meant is None:
        return None
    unit, nominal = callout.size.unit, callout.size
    printed = (callout.tolerance.upper, callout.tolerance.lower)
    tables = [(side.to(unit) - nominal).value for side in (meant.upper, meant.lower)]
    off = [
        abs(float(Length(p - t, unit).to(Unit.MM))) for p, t in zip(printed, tables, strict=True)
    ]
    if max(off) <= (SAME_MM if unit is Unit.MM else SAME_IN_MM):
        return None
    says = _say_limits(*(float(t) for t in tables), unit=unit)
    text = (
        f"“{callout.text}”: {callout.fit} is {says} by ISO 286 at this size, and "
        f"{_say_limits(*(float(p) for p in printed), unit=unit)} is printed beside it."
    )
    return say("F109", text, places=[place_of(dimension)], dimensions=[dimension.id])


def _say_limits(upper: float, lower: float, *, unit: Unit) -> str:
    places = 3 if unit is Unit.MM else 4
    return f"{upper:+.{places}f} / {lower:+.{places}f} {unit.value}"


def limits_of(callout: Callout) -> FitLimits | None:
    """Look up the limits of the fit a callout prints.

    Parameters
    ----------
    callout : Callout
        With or without a fit.

    Returns
    -------
    FitLimits | None
        `None` when it prints none that is known.
    """
    if not callout.fit or callout.size is None or callout.size.unit is Unit.DEG:
        return None
    return read_fit(callout.fit, callout.size)


def join_limits(hole: Callout, pin: Callout | None) -> FitLimits | None:
    """Bring the limits of a hole and of its pin together.

    Parameters
    ----------
    hole : Callout
        It may print the whole fit.
    pin : Callout | None
        Of the part that goes in.

    Returns
    -------
    FitLimits | None
        With both limits; `None` when one is not printed.
    """
    first = limits_of(hole)
    second = limits_of(pin) if pin is not None else None
    if first is None:
        return None
    shaft = first.shaft or (second.shaft if second is not None else None)
    if first.hole is None or shaft is None:
        return None
    return FitLimits(hole=first.hole, shaft=shaft)


def why_wrong(intent: Intent, fit: FitLimits) -> str | None:
    """Say what is wrong with a fit for how the parts are meant to go together.

    Parameters
    ----------
    intent : Intent
        By a note.
    fit : FitLimits
        With hole and shaft.

    Returns
    -------
    str | None
        `None` when nothing is, or the intent is unknown.
    """
    least, most = fit.least, fit.most
    if least is None or most is None:
        return None
    if intent in (Intent.TURNS, Intent.SLIDES, Intent.CLEARANCE) and least.value < 0:
        return (
            f"must be free in it ({intent.value}), but the printed fit allows it to be "
            f"{float(-least.value):.3f} mm larger than the hole"
        )
    if intent is Intent.PRESSED and least.value >= 0:
        return (
            f"is pressed in, but the printed fit always leaves {float(least.value):.3f} to "
            f"{float(most.value):.3f} mm of clearance"
        )
    return None
