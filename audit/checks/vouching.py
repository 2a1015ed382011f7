"""Where the drawing vouches for a reading that is not sure by itself.

A number that was read with some doubt, and that is just what the drawing measures, was hardly
misread: a misreading seldom fits the drawing by chance. The reading stays what it was, and stays
unsure wherever it is the only witness: for the scale, in chains, against the drawing.
"""

from __future__ import annotations

from dataclasses import replace

from audit.lengths import MM_PER_INCH, Length, Unit, parse_callouts
from audit.records import Candidate, Dimension, ReadBy, Settings, Verdict
from audit.records.doubts import CUT_OTHERWISE, is_measured_away
from audit.scale import why_not_read
from audit.uncertainty import decide_on_sheet

VOUCHED = "the reading alone is not sure, but the drawing measures the same"
# Share of misread sizes that fit the drawing all the same, at most: of what else our network heard
# in the sizes of drawn sheets 0.3 % did, weighed by its confidence (144 readings), and where the
# drawing shows no less than COARSE_MM, half of all misread fractions may.
BY_CHANCE = 0.1
BY_CHANCE_COARSE = 0.5
COARSE_MM = 6.0  # of a length; a quarter of an inch
COARSE = 0.1  # of a size: a drawing that shows no less cannot tell two readings apart


def is_vouched(dimension: Dimension, settings: Settings) -> bool:
    """Tell whether a reading below the confidence limit is borne out by the drawing.

    Parameters
    ----------
    dimension : Dimension
        Measured; its tolerance is in the unit of its scaled size.
    settings : Settings
        The reading and the fit together must reach its `confidence_limit`.

    Returns
    -------
    bool
        Only for letters off a picture that nothing else speaks against but what a measurement
        settles, with no other reading in the running that the drawing fits as well. Readings of
        one size (``R. 13``, ``R 13``) count together.
    """
    reading, printed = dimension.reading, dimension.printed
    if reading is None or printed is None or reading.by is not ReadBy.NET:
        return False
    if reading.doubt and not is_measured_away(reading.doubt):
        return False
    believed = replace(dimension, reading=replace(reading, confirmed=True))
    if why_not_read(believed, settings) is not None:
        return False
    if not _tells(dimension) or not _fits(dimension, printed):
        return False
    heard = [c for c in reading.candidates if c.by is ReadBy.NET]
    same = [c for c in heard if c.text == reading.text or printed in _sizes(c, printed.unit)]
    rivals = [c for c in heard if c not in same and _says_what_fits(c, dimension)]
    if _fits_otherwise(reading.doubt, dimension):
        return False
    said = max(sum(c.confidence for c in same), reading.confidence)
    fitting = sum(c.confidence for c in rivals)
    whole = max(1.0, sum(c.confidence for c in heard), said + fitting)  # of several networks
    sure = confidence_with_fit(
        said / whole, rivals=fitting / whole, by_chance=_chance_to_fit(dimension)
    )
    return sure >= settings.confidence_limit


def confidence_with_fit(
    confidence: float, *, rivals: float = 0.0, by_chance: float = BY_CHANCE
) -> float:
    """Return the probability of a reading, given that its size fits the drawing.

    Parameters
    ----------
    confidence : float
        Of the reading alone, 0 to 1.
    rivals : float
        Of other readings that fit the drawing as well.
    by_chance : float
        Probability that some other size, misread, fits.

    Returns
    -------
    float
        By Bayes' rule.

    Examples
    --------
    >>> [round(confidence_with_fit(c), 2) for c in (0.0, 0.3, 0.5, 1.0)]
    [0.0, 0.81, 0.91, 1.0]
    >>> round(confidence_with_fit(0.8, rivals=0.15), 2)
    0.84
    """
    others = max(0.0, 1.0 - confidence - rivals)
    return confidence / (confidence + rivals + others * by_chance)


def _tells(dimension: Dimension) -> bool:
    """Whether the drawing is fine enough here to tell one reading from another."""
    scaled, tolerance = dimension.scaled, dimension.tolerance
    if scaled is None or tolerance is None:
        return False
    return max(tolerance, scaled.expanded) <= COARSE * scaled.value


def _chance_to_fit(dimension: Dimension) -> float:
    """Probability that a misread size fits what is drawn."""
    scaled = dimension.scaled
    if scaled is None:
        return 1.0
    shown = _mm(max(dimension.tolerance or 0.0, scaled.expanded), scaled.unit)
    return BY_CHANCE_COARSE if shown > COARSE_MM else BY_CHANCE


def _fits_otherwise(doubt: str, dimension: Dimension) -> bool:
    """Whether what a text says, cut a little otherwise, fits the drawing as well."""
    if not doubt.startswith(CUT_OTHERWISE):
        return False
    text = doubt.removeprefix(CUT_OTHERWISE)
    return _says_what_fits(Candidate(text=text, confidence=0.0, by=ReadBy.NET), dimension)


def _mm(value: float, unit: Unit) -> float:
    """Return a length in mm; for degrees 0, as their size alone counts."""
    return {Unit.MM: value, Unit.IN: value * float(MM_PER_INCH), Unit.DEG: 0.0}[unit]


def compare_size(dimension: Dimension, size: Length) -> Verdict | None:
    """Judge a measured dimension as if another size were printed at it.

    Parameters
    ----------
    dimension : Dimension
        Its tolerance is in the unit of its scaled size.
    size : Length
        What may be printed.

    Returns
    -------
    Verdict | None
        `None` where nothing was measured, or an angle would meet a length.
    """
    scaled, tolerance = dimension.scaled, dimension.tolerance
    if scaled is None or tolerance is None or (size.unit is Unit.DEG) != (scaled.unit is Unit.DEG):
        return None
    difference = float(size.to(scaled.unit)) - scaled.value
    return decide_on_sheet(difference, tolerance, expanded=scaled.expanded, size=scaled.value)


def _fits(dimension: Dimension, size: Length) -> bool:
    return compare_size(dimension, size) is Verdict.AGREES


def _says_what_fits(candidate: Candidate, dimension: Dimension) -> bool:
    unit = dimension.printed.unit if dimension.printed is not None else None
    return any(_fits(dimension, size) for size in _sizes(candidate, unit))


def _sizes(candidate: Candidate, unit: Unit | None) -> list[Length]:
    bare = None if unit is Unit.DEG else unit
    meanings = parse_callouts(candidate.text, unit=bare)
    return [m.size for m in meanings if m.size is not None]
