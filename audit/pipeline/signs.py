"""Readings doubted, or read anew, by where they stand: at a circle or an arc, among their like.

An R or Ø that an outline crosses looks like a figure or another letter. What the leader shows says
which sign stands there; the number itself plays no part. Nothing becomes surer here.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.geometry import angle_between
from audit.lengths import CalloutKind, Unit
from audit.reading.ends import ASKED
from audit.reading.readers import DISAGREED_CAP, best_callout
from audit.records import Dimension, DimensionKind, Reading

SIGNED = (
    0.2  # share of the surest reading's confidence that one with the right sign or a point needs
)
KINDS = {
    DimensionKind.RADIUS: frozenset({CalloutKind.RADIUS, CalloutKind.SPHERICAL_RADIUS}),
    DimensionKind.DIAMETER: frozenset({CalloutKind.DIAMETER, CalloutKind.SPHERICAL_DIAMETER}),
}
SIGNS = {DimensionKind.RADIUS: "R", DimensionKind.DIAMETER: "Ø"}
# what readers make of the signs when a line runs through them: letters, and figures before a space
LIKE = {
    DimensionKind.RADIUS: re.compile(r"^(?:[ABEFHKP]\s*|[\dIJ]\s+)(?=[\d.])"),
    DimensionKind.DIAMETER: re.compile(r"^(?:[DGOQ¢@]\s*|[\dJ]\s+)(?=[\d.])"),
}
LONE_FIGURE = re.compile(r"^\d\s+\d+\s*[/⁄]")
SLANTED_DEG = 8.0  # from level: written along a leader, over whatever the leader crosses
FRACTION = re.compile(r"(?<![\d.])(\d+)\s*[/⁄]\s*(\d+)(?!\.?\d)")  # and no limits, 12.5/12.4
FEET, INCHES = re.compile(r"\d['′]\s*-?\s*(\d+)(?!\s*[/⁄\d])"), 12
SHOP = (2, 4, 8, 16, 32, 64)  # denominators of an inch rule
DECIMAL, WHOLE = re.compile(r"\d*\.\d\d"), re.compile(r"^[^\d.,]*\d+[^\d.,]*$")
FIGURES = re.compile(r"\d")
ENOUGH, MOST = 6, 0.7  # decimals that make a habit: so many, and so large a share of the sizes
FEW_SIGNED = 3  # signs that do: without one a number may be of a line that ends at a circle


def settle_signs(
    dimensions: Sequence[Dimension], *, unit: Unit | None, upright: float
) -> tuple[Dimension, ...]:
    """Read the signs at circles and arcs, and doubt what is printed so nowhere.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, as read.
    unit : Unit or None
        What a bare number counts.
    upright : float
        Direction in which most text runs, degrees.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    pointed = _has_points([d.reading for d in dimensions if d.reading is not None])
    signed = _has_signs(dimensions)
    settled: list[Dimension] = []
    for dimension in dimensions:
        if dimension.reading is None:
            settled.append(dimension)
            continue
        reading = _signed(dimension, dimension.reading, unit=unit, upright=upright)
        if dimension.kind is DimensionKind.DISTANCE:
            reading = _without_degrees(reading, unit=unit)
        if pointed:
            reading = _pointed(reading, unit=unit)
        if signed and _is_round(dimension) and _is_bare(reading):
            reading = _capped(reading, "the other sizes of circles and arcs have a sign")
        settled.append(replace(dimension, reading=_ruled(reading)))
    return tuple(settled)


def _signed(
    dimension: Dimension, reading: Reading, *, unit: Unit | None, upright: float
) -> Reading:
    """Take the reading that bears the sign of a circle's or an arc's size, where there is one."""
    kinds = KINDS.get(dimension.kind)
    if kinds is None or dimension.sweep is None:
        return reading
    if reading.callout is not None and reading.callout.kind in kinds:
        return reading
    least = SIGNED * max((c.confidence for c in reading.candidates), default=0.0)
    texts = [c.text for c in reading.candidates if c.confidence >= least]
    like = LIKE[dimension.kind]
    lettered = reading.text[:1].isalpha()
    if (reading.callout is None or lettered) and like.match(reading.text):
        texts.append(like.sub(f"{SIGNS[dimension.kind]} ", reading.text))
    for text in texts:
        callout, _ = best_callout(text, unit=unit)
        if callout is not None and callout.kind in kinds and text != reading.text:
            doubt = f"by itself it looks like {reading.text}"
            signed = replace(reading, text=text, callout=callout)
            return _capped(signed, doubt)
    slanted = angle_between(reading.angle, upright) > SLANTED_DEG
    if slanted and LONE_FIGURE.match(reading.text):
        return _capped(reading, f"its first figure may be {SIGNS[dimension.kind]}")
    return reading


def _without_degrees(reading: Reading, *, unit: Unit | None) -> Reading:
    """Take a small 0 at the end of a length for what it is, where it was heard as well: `5°`.

    Nobody prints an angle at a length; which of the two the pen meant is asked.
    """
    said = reading.callout
    if said is None or not said.is_angle or not reading.text.endswith("°"):
        return reading
    text = reading.text.removesuffix("°") + "0"
    least = SIGNED * max((c.confidence for c in reading.candidates), default=0.0)
    heard = next((c for c in reading.candidates if c.text == text and c.confidence >= least), None)
    callout, _ = best_callout(text, unit=unit)
    if heard is None or callout is None:
        return reading
    sure = min(ASKED, reading.confidence + heard.confidence)
    rest = (c for c in reading.candidates if c.text not in (text, reading.text))
    meant = (replace(heard, confidence=sure), *rest)
    return replace(reading, text=text, callout=callout, confidence=sure, candidates=meant)


def _pointed(reading: Reading, *, unit: Unit | None) -> Reading:
    """Doubt a number without a point among numbers with one, and take the one with it if heard."""
    said = reading.callout
    if not WHOLE.match(reading.text) or (said is not None and (said.is_angle or said.unit_printed)):
        return reading
    digits = FIGURES.findall(reading.text)
    least = SIGNED * max((c.confidence for c in reading.candidates), default=0.0)
    for heard in reading.candidates:
        if heard.confidence < least or "." not in heard.text:
            continue
        callout, _ = best_callout(heard.text, unit=unit)
        if callout is not None and FIGURES.findall(heard.text) == digits:
            reading = replace(reading, text=heard.text, callout=callout)
            break
    return _capped(reading, "the other sizes have a decimal point")


def _ruled(reading: Reading) -> Reading:
    """Doubt a fraction that no inch rule has; what is printed stays what it is."""
    if any(int(inches) >= INCHES for inches in FEET.findall(reading.text)):
        return _capped(reading, "no foot has so many inches")
    if _has_shop_fractions(reading.text):
        return reading
    return _capped(reading, "no rule has such a fraction")


def _has_shop_fractions(text: str) -> bool:
    return all(_is_shop(int(n), int(d)) for n, d in FRACTION.findall(text))


def _is_shop(numerator: int, denominator: int) -> bool:
    return denominator in SHOP and 0 < numerator < denominator


def _is_round(dimension: Dimension) -> bool:
    return dimension.kind in KINDS and dimension.sweep is not None


def _bears_sign(dimension: Dimension, reading: Reading | None) -> bool:
    said = None if reading is None else reading.callout
    return said is not None and said.kind in KINDS[dimension.kind]


def _is_bare(reading: Reading) -> bool:
    return reading.callout is not None and reading.callout.kind is CalloutKind.DISTANCE


def _has_signs(dimensions: Sequence[Dimension]) -> bool:
    """Whether the sizes of circles and arcs are printed with their sign."""
    sizes = [d for d in dimensions if _is_round(d) and d.reading and d.reading.callout]
    signed = sum(_bears_sign(d, d.reading) for d in sizes)
    return signed >= FEW_SIGNED and signed >= MOST * len(sizes)


def _has_points(readings: Sequence[Reading]) -> bool:
    """Whether the sizes of a picture are printed as decimals."""
    sizes = [r.text for r in readings if r.callout is not None and not r.callout.is_angle]
    decimals = sum(DECIMAL.search(text) is not None for text in sizes)
    return decimals >= ENOUGH and decimals >= MOST * len(sizes)


def _capped(reading: Reading, doubt: str) -> Reading:
    return replace(
        reading,
        confidence=min(reading.confidence, DISAGREED_CAP),
        doubt=reading.doubt if reading.confidence <= DISAGREED_CAP and reading.doubt else doubt,
    )
