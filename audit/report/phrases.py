"""Plain-language phrases: the one place where numbers and verdicts become words.

Values stand without unit marks where a column says the unit, and with ``in``, ``mm`` or ``°``
in sentences.
"""

from __future__ import annotations

import math
from fractions import Fraction

from audit.lengths import Callout, CalloutKind, CountForm, Length, Unit, spell_decimal, spell_mixed
from audit.records import (
    Coverage,
    Dimension,
    DimensionKind,
    MarkShape,
    MarkStyle,
    ReadBy,
    Severity,
    Verdict,
    ViewKind,
)

FINEST_SHOP = 64  # finest division on a shop rule, parts of an inch; common practice, no source
GAP_SLACK = 0.1  # of a difference: told by a simpler fraction it may be off by no more
FRACTION_SLACK_IN = 0.0005  # in; a measured value this near a shop fraction is spelled as one
FEW_SHOP = 2  # shop values that a column of the ledger has room for
SUSPECTED_SIGN = "?"

CAUTIONS = (
    "Printed dimensions govern. A difference found here is a reason to ask, not a new dimension.",
    "A scaled size is a last resort: a drawing is paper, and paper moves.",
    "Cut a test piece in scrap and lay it on the drawing before cutting good stock.",
    "Hold small parts safely: in a jig or a clamp, never in the fingers.",
    "Anything that carries a load or is lived in falls under local codes and licensed practice.",
)

# Okabe-Ito colours, the orange darkened until it reads on white paper.
_VERMILLION = (0.835, 0.369, 0.0)
_AMBER = (0.725, 0.467, 0.0)
_BLUE = (0.0, 0.447, 0.698)
_GREEN = (0.0, 0.620, 0.451)
_GREY = (0.373, 0.424, 0.482)

_UNCHECKED = MarkStyle(shape=MarkShape.QUESTION, colour=_GREY, word="not checked")

VERDICT_STYLES: dict[Verdict, MarkStyle] = {
    Verdict.DISAGREES: MarkStyle(
        shape=MarkShape.DIAMOND, colour=_VERMILLION, word="disagrees", inside=True, solid=True
    ),
    Verdict.TOO_CLOSE: MarkStyle(shape=MarkShape.TRIANGLE, colour=_AMBER, word="too close to call"),
    Verdict.NOT_PRINTED: MarkStyle(
        shape=MarkShape.SQUARE, colour=_BLUE, word="not printed", inside=True
    ),
    Verdict.NOT_CHECKED: _UNCHECKED,
    Verdict.NOT_SCALED: MarkStyle(shape=MarkShape.QUESTION, colour=_GREY, word="not scaled"),
    Verdict.AGREES: MarkStyle(shape=MarkShape.CIRCLE, colour=_GREEN, word="agrees"),
    Verdict.NOT_CRITICAL: MarkStyle(shape=MarkShape.DASH, colour=_GREY, word="not critical"),
    Verdict.NOT_A_DIMENSION: MarkStyle(shape=MarkShape.DASH, colour=_GREY, word="not a dimension"),
}

SEVERITY_STYLES: dict[Severity, MarkStyle] = {
    Severity.ERROR: MarkStyle(
        shape=MarkShape.DIAMOND, colour=_VERMILLION, word="error", inside=True, solid=True
    ),
    Severity.WARNING: MarkStyle(
        shape=MarkShape.DIAMOND, colour=_VERMILLION, word="warning", inside=True, solid=True
    ),
    Severity.NOTE: MarkStyle(shape=MarkShape.LOZENGE, colour=_GREY, word="note", inside=True),
}

UNCHECKED_STYLE = _UNCHECKED

_SIGNS = {
    MarkShape.DIAMOND: "◆",
    MarkShape.TRIANGLE: "△",
    MarkShape.SQUARE: "□",
    MarkShape.QUESTION: "?",
    MarkShape.CIRCLE: "○",
    MarkShape.DASH: "–",
    MarkShape.LOZENGE: "◇",
}

_READERS = {
    ReadBy.PDF: "text of the PDF",
    ReadBy.NET: "own reader",
    ReadBy.TESSERACT: "Tesseract",
    ReadBy.USER: "typed",
}

# Words for "printed is smaller" and "printed is larger".
_SHORT_LONG = ("short", "long")
_WORDS: dict[DimensionKind, tuple[str, str]] = {
    DimensionKind.RADIUS: ("small", "large"),
    DimensionKind.DIAMETER: ("small", "large"),
    DimensionKind.ANGLE: ("small", "large"),
    DimensionKind.TAPER: ("small", "large"),
    DimensionKind.CHAMFER: ("small", "large"),
    DimensionKind.THREAD: ("small", "large"),
    DimensionKind.THICKNESS: ("thin", "thick"),
    DimensionKind.DEPTH: ("shallow", "deep"),
}

_PREFIXES = {
    CalloutKind.RADIUS: "R ",
    CalloutKind.DIAMETER: "Ø ",
    CalloutKind.SPHERICAL_RADIUS: "SR ",
    CalloutKind.SPHERICAL_DIAMETER: "SØ ",
    CalloutKind.SQUARE: "□ ",
}


def sign(style: MarkStyle) -> str:
    """Return the character that stands for a mark in plain text.

    Examples
    --------
    >>> sign(VERDICT_STYLES[Verdict.DISAGREES]), sign(UNCHECKED_STYLE)
    ('◆', '?')
    """
    return _SIGNS[style.shape]


def spell_measured(value: float, unit: Unit) -> str:
    """Spell a measured size: a shop fraction when it is one, else a decimal of fitting length.

    Examples
    --------
    >>> spell_measured(3.3751, Unit.IN), spell_measured(3.39, Unit.IN)
    ('3 3/8', '3.390')
    >>> spell_measured(42.0, Unit.MM), spell_measured(89.96, Unit.DEG)
    ('42.0', '90.0')
    """
    if unit is Unit.IN:
        steps = round(value * FINEST_SHOP)
        if abs(value - steps / FINEST_SHOP) <= FRACTION_SLACK_IN:
            return spell_mixed(Fraction(steps, FINEST_SHOP))
        return f"{value:.3f}"
    return f"{value:.1f}"


def spell_uncertainty(expanded: float, unit: Unit) -> str:
    """Spell U with two significant digits, never finer than the unit deserves, rounded up.

    Examples
    --------
    >>> spell_uncertainty(0.0091, Unit.IN), spell_uncertainty(0.00031, Unit.IN)
    ('0.0091', '0.0004')
    >>> spell_uncertainty(0.234, Unit.MM), spell_uncertainty(math.inf, Unit.MM)
    ('0.24', 'unknown')
    """
    if not math.isfinite(expanded):
        return "unknown"
    finest = 4 if unit is Unit.IN else 2
    if expanded <= 0:
        return "0"
    places = max(0, min(finest, 1 - math.floor(math.log10(expanded))))
    step = 10.0**-places
    return f"{math.ceil(expanded / step - 1e-9) * step:.{places}f}"


def spell_length(length: Length) -> str:
    """Spell an exact size without unit marks: ``a b/c`` for inches, a decimal otherwise.

    Examples
    --------
    >>> (
    ...     spell_length(Length(Fraction(27, 8), Unit.IN)),
    ...     spell_length(Length(Fraction(85, 2), Unit.MM)),
    ... )
    ('3 3/8', '42.5')
    >>> (
    ...     spell_length(Length(Fraction(1, 3), Unit.MM)),
    ...     spell_length(Length(Fraction(1, 100), Unit.IN)),
    ... )
    ('1/3', '0.01')
    """
    value = length.value
    binary = value.denominator in (1, 2, 4, 8, 16, 32, 64)
    if length.unit is Unit.IN and binary:
        return spell_mixed(value)
    return spell_decimal(value)


def with_unit(text: str, unit: Unit) -> str:
    """Put the unit behind a spelled value.

    Examples
    --------
    >>> with_unit("3 3/8", Unit.IN), with_unit("90", Unit.DEG)
    ('3 3/8 in', '90°')
    """
    return f"{text}°" if unit is Unit.DEG else f"{text} {unit.value}"


def spell_callout(callout: Callout) -> str:
    """Spell the size of a callout with its prefix and count, without its remarks."""
    if callout.size is None:
        return callout.text
    text = _PREFIXES.get(callout.kind, "") + spell_length(callout.size)
    if callout.size.unit is Unit.DEG:
        text += "°"
    if callout.reference:
        text = f"({text})"
    if callout.count is not None and callout.count_form is not CountForm.PLACES:
        text = f"{callout.count}× {text}"
    return text


def spell_printed(dimension: Dimension) -> str:
    """Spell the printed size as the ledger shows it; ``none`` when nothing is printed.

    The printed text itself is shown: what stands on the sheet is the evidence.
    """
    if dimension.reading is None:
        return "none"
    return dimension.reading.text


def spell_scaled(dimension: Dimension) -> str:
    """Spell the scaled size for the ledger: the shop values inside ± U where few are, or a number.

    Of three and more the number says as much as a list would, and its U stands beside it.
    """
    scaled = dimension.scaled
    if scaled is None:
        return "–"
    if 0 < len(scaled.candidates) <= FEW_SHOP:
        return " or ".join(scaled.candidates)
    return spell_measured(scaled.value, scaled.unit)


def spell_gap(gap: float, unit: Unit, *, expanded: float = 0.0, decimal: bool = False) -> str:
    """Spell the size of a difference in shop words.

    Parameters
    ----------
    gap : float
        In `unit`; its sign is not told.
    unit : Unit
    expanded : float
        Its U: of the fractions that near, the simplest is told.
    decimal : bool
        Whether the plan prints decimals: then a fraction of an inch is none of its sizes.

    Returns
    -------
    str
        Inches without their mark.

    Examples
    --------
    >>> spell_gap(0.609, Unit.IN), spell_gap(0.609, Unit.IN, expanded=0.02)
    ('39/64', '5/8')
    >>> spell_gap(0.609, Unit.IN, expanded=0.02, decimal=True)
    '0.609'
    >>> spell_gap(0.0938, Unit.IN), spell_gap(0.004, Unit.IN), spell_gap(2.44, Unit.MM)
    ('3/32', '0.004', '2.4 mm')
    >>> spell_gap(1.52, Unit.DEG)
    '1.5°'
    """
    gap = abs(gap)
    if unit is Unit.IN:
        shop = None if decimal else _simplest_near(gap, min(expanded, GAP_SLACK * gap))
        return spell_mixed(shop) if shop else f"{gap:.3f}"
    return with_unit(f"{gap:.1f}" if gap >= 0.05 else f"{gap:.2f}", unit)


def _simplest_near(value: float, off: float) -> Fraction:
    """Return the fraction of the coarsest rule that comes so near, else the nearest 64th."""
    steps = [2**k for k in range(FINEST_SHOP.bit_length() - 1)]
    coarse = (Fraction(round(value * step), step) for step in steps)
    near = next((c for c in coarse if c and abs(float(c) - value) <= off), None)
    return near or Fraction(round(value * FINEST_SHOP), FINEST_SHOP)


def say_difference(dimension: Dimension) -> str:
    """Say how printed stands to scaled, short: ``3/32 short``, ``agrees``, ``1/64 long?``."""
    verdict, scaled = dimension.verdict, dimension.scaled
    if verdict is Verdict.AGREES:
        return "agrees"
    judged = verdict in (Verdict.DISAGREES, Verdict.TOO_CLOSE)
    if not judged or scaled is None or dimension.difference is None:
        return ""
    small, large = _WORDS.get(dimension.kind, _SHORT_LONG)
    word = small if dimension.difference < 0 else large
    doubt = SUSPECTED_SIGN if verdict is Verdict.TOO_CLOSE else ""
    gap = spell_gap(
        dimension.difference,
        scaled.unit,
        expanded=scaled.expanded,
        decimal=_prints_decimals(dimension),
    )
    return f"{gap} {word}{doubt}"


def _prints_decimals(dimension: Dimension) -> bool:
    text = dimension.reading.text if dimension.reading is not None else ""
    return "." in text and "/" not in text


def say_verdict(dimension: Dimension) -> str:
    """Say the verdict in one sentence without a full stop: ``printed is 3/32 short``."""
    says = say_difference(dimension)
    if dimension.verdict is Verdict.AGREES:
        return "printed and drawn agree"
    if says.endswith(SUSPECTED_SIGN):
        return f"printed may be {says.removesuffix(SUSPECTED_SIGN)}: too close to call"
    if says:
        return f"printed is {says}"
    word = VERDICT_STYLES[dimension.verdict].word
    return f"{word}: {dimension.why}" if dimension.why else word


def say_reader(by: ReadBy) -> str:
    """Say who read a text."""
    return _READERS[by]


def say_coverage(coverage: Coverage, where: str) -> str:
    """Say how much of a sheet was checked; nothing judged is said first and plainly.

    Examples
    --------
    >>> say_coverage(Coverage(checked=41, texts=47), "sheet 2")
    'sheet 2: 41 of 47 sizes and notes checked; 6 not'
    >>> say_coverage(Coverage(checked=0, texts=3), "sheet 1")
    'sheet 1: nothing could be judged; 3 sizes and notes were found'
    >>> say_coverage(Coverage(checked=0, texts=0), "sheet 1")
    'sheet 1: nothing could be judged; no sizes or notes were found'
    >>> say_coverage(Coverage(checked=5, texts=5), "sheet 3")
    'sheet 3: all 5 sizes and notes checked'
    """
    checked, texts = coverage.checked, coverage.texts
    if checked == 0:
        found = "no sizes or notes were found"
        if texts:
            found = f"{count_of(texts, 'size or note', 'sizes and notes')} {was(texts)} found"
        return f"{where}: nothing could be judged; {found}"
    if checked == texts:
        return f"{where}: all {count_of(texts, 'size or note', 'sizes and notes')} checked"
    return f"{where}: {checked} of {texts} sizes and notes checked; {texts - checked} not"


def count_of(number: int, one: str, many: str) -> str:
    """Return a number with its noun.

    Examples
    --------
    >>> count_of(1, "sheet", "sheets"), count_of(0, "sheet", "sheets")
    ('1 sheet', '0 sheets')
    """
    return f"{number} {one if number == 1 else many}"


def was(number: int) -> str:
    """Return ``was`` or ``were``."""
    return "was" if number == 1 else "were"


def name_ordinal(number: int) -> str:
    """Spell an ordinal number.

    Examples
    --------
    >>> [name_ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 112)]
    ['1st', '2nd', '3rd', '4th', '11th', '12th', '13th', '21st', '112th']
    """
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"


def name_view(view_id: int, title: str, kind: ViewKind) -> str:
    """Name a view: its title in lower case, else kind and number.

    Examples
    --------
    >>> name_view(2, "SIDE PLATE", ViewKind.TRUE), name_view(3, "", ViewKind.SECTION)
    ('side plate', 'section 3')
    >>> name_view(1, "", ViewKind.UNKNOWN)
    'view 1'
    """
    if title.strip():
        return " ".join(title.split()).lower()
    return f"section {view_id}" if kind is ViewKind.SECTION else f"view {view_id}"
