"""Which texts can be the printed size of a dimension, judged by their form alone."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import Protocol

from audit.geometry import Box
from audit.lengths import Callout, CountForm, Unit, is_ambiguous, parse_callouts
from audit.reading.pdf_text import TextLine
from audit.reading.readers import best_callout
from audit.records import Candidate, Dimension, DimensionKind, ReadBy, Reading


class TextForm(StrEnum):
    """What a text looks like."""

    LENGTH = "length"
    RADIUS = "radius"
    DIAMETER = "diameter"
    ANGLE = "angle"
    UNREADABLE = "unreadable"
    OTHER = "other"


SURE = 0.98  # a text layer with a proper character map is nearly always right
AMBIGUOUS = 0.92  # several meanings, the first one by far the likeliest
FOREIGN = 0.6  # it may count inches on a sheet in mm
UNTRUSTED = 0.4  # the font has no usable character map

_WORDS = frozenset(
    """
    TYP REF MAX MIN NTS THRU THROUGH DEEP DP PLACES PLACE PLCS PLC PLS HOLES HOLE REQD
    REQ'D EQ SP EQUALLY SPACED SPACES BC B.C. B.C DIA DIAM DRILL TAP REAM BORE CBORE CSK
    STK STOCK EACH BOTH ALL FAR NEAR END ENDS SIDE SIDES APPROX TO FIT SUIT OC O.C. O.C OD
    ID O.D. I.D. SLOT SLOTS RAD RADIUS IN INS INCH INCHES MM CM FT DEG ON AND OPP OPPOSITE
    OR NOM BASIC CHAM CHAMFER UNC UNF UN SQ SQUARE THK THICK WIDE LONG HIGH FLAT TRUE
    INSIDE OUTSIDE AT X CTRS CENTERS CENTRES SPOTFACE SF SR CR TAPER PER SLOPE RISE RUN DO
    DITTO FOR MAX. MIN. TYP. REF. DIA. RAD. NO
    DRILLED TAPPED REAMED BORED C'BORE C.BORE COUNTERBORE COUNTERBORED C'SINK COUNTERSINK
    COUNTERSUNK SPOTFACED THRO PEG PEGS PIN PINS DOWEL DOWELS ROD RODS AXLE AXLES SHAFT FILLET
    FILLETS
    """.split()  # noqa: SIM905  # a word list reads best as one
)
_RADIUS = re.compile(
    r"(?:^|[\s\dXx(])(?:S|C)?R\.?\s*[\d.]|[\d\"”]\s*(?:R|RAD|RADIUS)\b"
    r"|\bRAD(?:IUS)?\b\.?\s*[\d.]|[\d\"”]\s*FILLETS?\b",
    re.IGNORECASE,
)
# what is done to a hole has its diameter; so has what is round itself, where its number is a size
_DIAMETER = re.compile(
    r"[Ø⌀∅φΦ]|\b(?:DIA|DIAM|DRILL(?:ED)?|(?:C['.]?|COUNTER-?)?BORED?|REAM(?:ED)?|TAP(?:PED)?"
    r"|CSK|C'?SINK|COUNTERS[IU]NK|SPOT ?-?FACED?|O\.?D|I\.?D)\b\.?|%%c"
    r"|(?:\d/\d+|\.\d+|\d(?=[\"”]))[\"”]?\s*(?:HOLE|PEG|PIN|DOWEL|ROD|AXLE|SHAFT)S?\b",
    re.IGNORECASE,
)
_ANGLE = re.compile(r"\d\s*(?:°|º|DEG\b)", re.IGNORECASE)
_CHAMFER = re.compile(r"[\d\"]\s*[xX×]\s*\d+\s*[°º]")
_DITTO = re.compile(r"^(?:DO\.?|DITTO|[\"”″]{1,2})$", re.IGNORECASE)
_STARTS_WITH_SIZE = re.compile(r"^[(\[]?\s*(?:\d+\s*[xX×]\s*)?(?:S?[RØ⌀∅φ]\s*)?[\d.,]")
# What stands beside the numbers of parts, bars and fasteners: (2)-HE 300, 9#12-[8]-150, M16x40
_CODE = re.compile(
    r"^\(?\d+\)\s*[-–]\s*[A-Za-z]|\d\s*#\s*\d|-\s*\[\d|M\d+\s*[xX×]\s*\d{2}", re.ASCII
)
_PART = re.compile(r"^(?:\d+\s*[xX×]\s*)?\(\d+\)\s*[-–]\s*[A-Za-z]", re.ASCII)
# a tolerance or a level, and no size
_SIGNED = re.compile(r"^\(?(?:\+ ?/ ?[-−–]|[±+−-]) ?[\d.]")
_NUMBERED = re.compile(r"(?:\d+\s*[xX×]\s*)?\(\d{1,3}\)$", re.ASCII)
# the name of a figure, however badly the rest of it was read
_CAPTION = re.compile(r"(?:FIGS?|FIGURE|PLATE|SECTION|DETAIL|VIEW|ELEVATION)\b", re.IGNORECASE)
# how many parts to make, by itself or behind what they are made of
_PARTS_MADE = re.compile(
    r"(.*\s)?\(?\d{1,3}\)? ?(?:REQ(?:'?D|UIRED)?|WANTED|NEEDED|THUS|OFF|PIECES|PCS)\.?",
    re.IGNORECASE,
)
# no size is misread so, however unsure it is what the word is
_WORD = re.compile(r"(?<![A-Za-z])[A-Za-z]{5,}(?![A-Za-z])", re.ASCII)
FEWEST_PARTS = 1  # texts that show how parts are numbered
MAX_LETTERS = 48
_NAMED = re.compile(r"(\d+(?:[.,]\d+)?) [A-Z]{3,}(?: [A-Z]{2,}){0,3}", re.IGNORECASE | re.ASCII)
_COUNTED = re.compile(r"\d.*[A-Za-z]{2}", re.ASCII)
SAME_WAY_DEG = 4.0
ALIKE_HIGH = 1.6  # of two rows of one text: parentheses are higher than figures
OVER = 0.5  # of the shorter row that the other one stands over, at least
NEXT_ROW = (0.6, 2.2)  # letter heights between the middles of two rows


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeText:
    """A text line with its form; `plain` says that nothing but size and usual remarks is in it."""

    line: TextLine
    form: TextForm
    plain: bool


def plain_sizes(texts: Iterable[SizeText]) -> list[SizeText]:
    """Lengths and diameters with nothing else written about them: what a plain line may bear."""
    return [t for t in texts if t.form in (TextForm.LENGTH, TextForm.DIAMETER) and t.plain]


def classify(line: TextLine) -> SizeText:
    """Say what a text looks like, without deciding what it means."""
    text = " ".join(line.text.split())
    if _CAPTION.match(text) or _names_parts(text):
        return SizeText(line=line, form=TextForm.OTHER, plain=False)
    if not line.trusted and len(text) <= MAX_LETTERS and not _WORD.search(text):
        return SizeText(line=line, form=TextForm.UNREADABLE, plain=len(text) <= 12)
    if _DITTO.match(text):
        return SizeText(line=line, form=TextForm.LENGTH, plain=True)
    if not any(c.isdigit() or c in "½¼¾⅛⅜⅝⅞⅓⅔" for c in text) or len(text) > MAX_LETTERS:
        return SizeText(line=line, form=TextForm.OTHER, plain=False)
    plain = _is_plain(text)
    if (
        _CODE.search(text)
        or _SIGNED.match(text)
        or (not plain and not _STARTS_WITH_SIZE.match(text))
    ):
        return SizeText(line=line, form=TextForm.OTHER, plain=False)
    return SizeText(line=line, form=_form(text), plain=plain)


def classify_all(lines: Sequence[TextLine]) -> list[SizeText]:
    """Say what the texts of a page look like.

    Where the parts are numbered in parentheses, as ``(2)-HE 300`` shows, a number alone in
    parentheses, or counted as in ``4x(2)``, is such a number and no reference size.
    """
    sized = [classify(line) for line in lines]
    if sum(_PART.search(line.text) is not None for line in lines) < FEWEST_PARTS:
        return sized
    return [
        replace(s, form=TextForm.OTHER, plain=False) if _NUMBERED.match(s.line.text.strip()) else s
        for s in sized
    ]


def without_second_rows(texts: Sequence[SizeText]) -> list[SizeText]:
    """Take counts that stand under a size for no sizes: ``R7`` over ``(2) PLACES``.

    Parameters
    ----------
    texts : sequence of SizeText
        Of one picture, each a row of its own; each keeps its place in the list.

    Returns
    -------
    list of SizeText
    """
    sizes = [t.line for t in texts if t.form is not TextForm.OTHER and not only_counts(t.line.text)]
    return [
        replace(t, form=TextForm.OTHER, plain=False)
        if only_counts(t.line.text) and any(stands_under(t.line, size) for size in sizes)
        else t
        for t in texts
    ]


@lru_cache(maxsize=1024)
def only_counts(text: str) -> bool:
    """Whether a text says in words how often, and no size: ``4 PLACES``.

    Examples
    --------
    >>> only_counts("(2) PLACES"), only_counts("(2)"), only_counts("R7 (2) PLACES")
    (True, False, False)
    """
    if _COUNTED.search(text) is None:
        return False
    meanings = parse_callouts(text, unit=Unit.MM)
    return bool(meanings) and meanings[0].size is None and meanings[0].count is not None


class _Row(Protocol):
    """A text that runs one way."""

    @property
    def box(self) -> Box: ...
    @property
    def angle(self) -> float: ...


def stands_under(lower: _Row, upper: _Row) -> bool:
    """Whether a text is the next row of another: as high, the same way, and over its length."""
    turn = abs((lower.angle - upper.angle + 180.0) % 360.0 - 180.0)
    way = math.radians(upper.angle)
    heights = [_across(t.box, way) for t in (lower, upper)]
    if turn > SAME_WAY_DEG or max(heights) > ALIKE_HIGH * min(heights):
        return False
    a, b = upper.box.centre, lower.box.centre
    along = (b.x - a.x) * math.cos(way) - (b.y - a.y) * math.sin(way)
    down = (b.x - a.x) * math.sin(way) + (b.y - a.y) * math.cos(way)
    lengths = [_across(t.box, way + math.pi / 2) for t in (lower, upper)]
    over = sum(lengths) / 2 - abs(along) >= OVER * min(lengths)
    return over and NEXT_ROW[0] * min(heights) < down < NEXT_ROW[1] * max(heights)


def _across(box: Box, way: float) -> float:
    """Extent of a box across a direction that is about level or upright."""
    return box.height if abs(math.cos(way)) > abs(math.sin(way)) else box.width


def _is_plain(text: str) -> bool:
    words = re.findall(r"[A-Za-z][A-Za-z.'&]*", text)
    return all(len(w) == 1 or is_remark(w) for w in words)


def is_remark(word: str) -> bool:
    """Whether a word is one of those usually written beside a size."""
    return word.upper() in _WORDS or word.upper().rstrip(".") in _WORDS


def _names_parts(text: str) -> bool:
    """Whether a text says how many of a part to make, and of what: ``1/2 POPLAR, 2 REQD``."""
    made = _PARTS_MADE.fullmatch(text)
    if made is None or made[1] is None:
        return made is not None
    return _form(text) is TextForm.LENGTH and not _is_plain(made[1])


def _form(text: str) -> TextForm:
    if _CHAMFER.search(text):
        return TextForm.LENGTH
    if _ANGLE.search(text):
        return TextForm.ANGLE
    if _DIAMETER.search(text):
        return TextForm.DIAMETER
    if _RADIUS.search(text):
        return TextForm.RADIUS
    return TextForm.LENGTH


def read_text(line: TextLine, *, unit: Unit | None) -> Reading:
    """Read a text line as a callout, with the confidence its font deserves."""
    text = " ".join(line.text.split())
    meanings = parse_meanings(text, unit=unit)
    confidence = SURE if len(meanings) <= 1 else AMBIGUOUS
    doubt = ""
    if not line.trusted:
        confidence, doubt = UNTRUSTED, "the font does not say which letters these are"
    elif not line.visible:
        confidence, doubt = UNTRUSTED, "this is what a text recognition left in the file"
    elif meanings and not is_ambiguous(meanings):
        _, doubt = best_callout(text, unit=unit)  # a fraction among millimetres
        confidence = FOREIGN if doubt else confidence
    return Reading(
        text=text,
        callout=meanings[0] if meanings else None,
        confidence=confidence,
        by=ReadBy.PDF,
        candidates=(Candidate(text=text, confidence=confidence, by=ReadBy.PDF),),
        box=Box(*line.box),
        angle=line.angle,
        doubt=doubt,
    )


def size_on_line(meanings: Sequence[Callout]) -> Callout | None:
    """Of a text's meanings the likeliest where it stands on a dimension line.

    ``(6)`` beside a part counts it; between two arrowheads it is a reference size. The line of
    ``4X 25 (=100)`` spans all four (ISO 129-1, equally spaced features).

    Examples
    --------
    >>> size_on_line(parse_meanings("(6)", unit=Unit.MM)).reference
    True
    >>> size_on_line(parse_meanings("4X 25 (=100)", unit=Unit.MM)).size.value
    Fraction(100, 1)
    >>> size_on_line(()) is None
    True
    """
    if not meanings:
        return None
    spanned = next((m for m in meanings if _multiplies(m)), None)
    if spanned is not None:
        return replace(spanned, size=spanned.total, count=None, count_form=None, total=None)
    counts = meanings[0].size is None and meanings[0].count_form is CountForm.PARENTHESES
    sizes = [m for m in meanings if m.reference] if counts else []
    return sizes[0] if sizes else meanings[0]


def _multiplies(callout: Callout) -> bool:
    """Whether a callout tells a count, a size, and what they come to."""
    size, total = callout.size, callout.total
    if callout.count is None or size is None or total is None:
        return False
    return size.unit is total.unit and size.value * callout.count == total.value


def sizes_on_lines(dimensions: Iterable[Dimension], *, unit: Unit | None) -> tuple[Dimension, ...]:
    """Take texts for what they say on a dimension line, where they may say something else too.

    Alone in parentheses on a line stands a reference size. Only where sizes are printed in two
    units it may be the other unit of one that was not found.
    """
    every = tuple(dimensions)
    dual = any(_is_dual(d.reading) for d in every if d.reading is not None)
    return tuple(_size_on_its_line(d, unit, dual=dual) for d in every)


def _is_dual(reading: Reading) -> bool:
    return reading.callout is not None and reading.callout.alternate is not None


def _size_on_its_line(dimension: Dimension, unit: Unit | None, *, dual: bool) -> Dimension:
    reading = dimension.reading
    if dimension.kind is not DimensionKind.DISTANCE or reading is None:
        return dimension
    if reading.callout is None:
        return replace(dimension, reading=_named_size(reading, unit))
    said = reading.callout
    counts = said.size is None and said.count_form is CountForm.PARENTHESES
    alone = said.reference and reading.text.startswith("(") and not dual
    if not (counts or alone or said.total is not None):
        return dimension
    callout = size_on_line(parse_meanings(reading.text, unit=unit))
    settled = replace(reading, callout=callout)
    if reading.candidates and reading.doubt == best_callout(reading.text, unit=unit)[1]:
        # it was in doubt only for its other meaning
        settled = replace(settled, doubt="", confidence=reading.candidates[0].confidence)
    return replace(dimension, reading=settled)


def _named_size(reading: Reading, unit: Unit | None) -> Reading:
    """Take ``30 LOWER SECTION`` on a line of a picture for 30.

    By itself it is as likely an item and its name. On a drawn page nothing would tell: there the
    name of a part that stands near a line without a number would be judged as its size.
    """
    named = _NAMED.fullmatch(reading.text)
    if named is None or reading.by is ReadBy.PDF or reading.candidates[:1] == ():
        return reading
    callout, doubt = best_callout(named[1], unit=unit)
    best = reading.candidates[0]
    if callout is None or best.text != reading.text:
        return reading
    return replace(reading, callout=callout, confidence=best.confidence, doubt=doubt)


def parse_meanings(text: str, *, unit: Unit | None) -> tuple[Callout, ...]:
    """Every meaning of a text as a callout, likeliest first; none when it is no callout."""
    return tuple(parse_callouts(text, unit=unit))
