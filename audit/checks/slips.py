"""Likely slips behind a disagreement: a remark beside it, never a verdict.

Each guess must bring the printed size to the measured one as near as an agreeing size would be,
and the disagreement must be several times larger than that, so that chance explains little.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from audit.lengths import MM_PER_INCH, Callout, CalloutKind, Length, Unit, spell
from audit.lengths.spelling import Style

CLEAR = 3.0  # the disagreement must be so many times what would still agree
ROUND_KINDS = frozenset(
    {
        CalloutKind.RADIUS,
        CalloutKind.DIAMETER,
        CalloutKind.SPHERICAL_RADIUS,
        CalloutKind.SPHERICAL_DIAMETER,
    }
)
MOST_WHOLE_INCHES = 3  # dropped or added whole units worth guessing at


def name_slip(callout: Callout, scaled: float, *, allowed: float) -> str | None:
    """Name the slip that would explain a disagreement, if one does.

    Parameters
    ----------
    callout : Callout
        The printed text; it has a size.
    scaled : float
        The measured size, in the printed unit.
    allowed : float
        What still counts as agreeing: T + U.

    Returns
    -------
    str | None
        A phrase such as ``the whole inch may have been dropped``, or `None`.

    Examples
    --------
    >>> size = Length(Fraction(3, 8), Unit.IN)
    >>> name_slip(Callout(text="3/8", size=size), 1.3751, allowed=0.02)
    'with the whole inch that may have been dropped (1 3/8) it fits'
    >>> name_slip(Callout(text="3/8", size=size), 0.61, allowed=0.02) is None
    True
    """
    size = callout.size
    if size is None or abs(float(size) - scaled) < CLEAR * allowed:
        return None
    for value, words in _guesses(callout, size):
        if abs(value - scaled) <= allowed:
            return words
    return None


def has_swapped_digits(callout: Callout, scaled: float, *, allowed: float) -> bool:
    """Tell whether a printed size is the measured one with two neighbouring digits exchanged.

    Parameters
    ----------
    callout : Callout
        The printed text.
    scaled : float
        The measured size, in the printed unit.
    allowed : float
        What still counts as agreeing: T + U.

    Returns
    -------
    bool

    Examples
    --------
    >>> size = Length(Fraction(51), Unit.MM)
    >>> has_swapped_digits(Callout(text="51", size=size), 15.02, allowed=0.5)
    True
    >>> has_swapped_digits(Callout(text="51", size=size), 45.0, allowed=0.5)
    False
    """
    size = callout.size
    if size is None:
        return False
    return any(abs(value - scaled) <= allowed for value, _ in _swapped(callout, size))


def _guesses(callout: Callout, size: Length) -> Iterator[tuple[float, str]]:
    printed = size.value
    if size.unit is Unit.DEG:
        for whole, name in ((90, "complement"), (180, "supplement")):
            yield float(whole - printed), f"its {name} ({float(whole - printed):g}°) fits"
        yield from _swapped(callout, size)
        return
    yield from _doubled(callout, size)
    if size.unit is Unit.MM:
        yield float(printed * MM_PER_INCH), "read as inches it fits"
    elif printed.denominator == 1 or callout.step > 0:  # nobody prints mm in shop fractions
        yield float(printed / MM_PER_INCH), "read as millimetres it fits"
    if size.unit is Unit.IN:
        yield from _dropped_inch(size)
        yield from _other_denominator(size)
    yield from _swapped(callout, size)


def _doubled(callout: Callout, size: Length) -> Iterator[tuple[float, str]]:
    if callout.kind in ROUND_KINDS:
        radius = callout.kind in (CalloutKind.RADIUS, CalloutKind.SPHERICAL_RADIUS)
        factor = Fraction(1, 2) if radius else Fraction(2)
        words = "as a diameter it fits" if radius else "as a radius it fits"
        yield float(size.value * factor), words
    for factor, words in (
        (Fraction(1, 2), "half of it fits"),
        (Fraction(2), "twice as much fits"),
    ):
        yield float(size.value * factor), f"{words} ({_plain(size * factor)})"


def _dropped_inch(size: Length) -> Iterator[tuple[float, str]]:
    for whole in range(1, MOST_WHOLE_INCHES + 1):
        inches = "the whole inch" if whole == 1 else f"the {whole} whole inches"
        more = Length(size.value + whole, Unit.IN)
        yield (
            float(more),
            f"with {inches} that may have been dropped ({_plain(more)}) it fits",
        )
        if size.value > whole:
            less = Length(size.value - whole, Unit.IN)
            yield float(less), f"without {inches} too many ({_plain(less)}) it fits"


def _other_denominator(size: Length) -> Iterator[tuple[float, str]]:
    """5/16 for 5/32 and the like: the same numerator over the next denominator."""
    whole, part = divmod(size.value, 1)
    if part == 0:
        return
    for denominator in (part.denominator * 2, part.denominator // 2):
        if denominator < 2 or part.numerator >= denominator or denominator > 64:
            continue
        meant = Length(whole + Fraction(part.numerator, denominator), Unit.IN)
        yield float(meant), f"with the other denominator ({_plain(meant)}) it fits"


def _swapped(callout: Callout, size: Length) -> Iterator[tuple[float, str]]:
    """Two neighbouring digits exchanged, in a decimal, a whole number, or the whole inches."""
    whole, part = divmod(size.value, 1)
    if part.denominator == 1 or callout.step > 0:
        text, rest = _digits(size.value, callout.step), Fraction(0)
    else:
        text, rest = str(int(whole)), part
    for k in range(len(text) - 1):
        left, right = text[k], text[k + 1]
        if left == right or "." in (left, right):
            continue
        swapped = text[:k] + right + left + text[k + 2 :]
        meant = Length(Fraction(swapped) + rest, size.unit)
        yield float(meant), f"with two digits swapped ({_plain(meant)}) it fits"


def _digits(value: Fraction, step: Fraction) -> str:
    places = 0
    while step > 0 and step < 1 and places < 6:
        step, places = step * 10, places + 1
    return f"{float(value):.{places}f}"


def _plain(length: Length) -> str:
    return spell(length, style=Style.PLAIN)
