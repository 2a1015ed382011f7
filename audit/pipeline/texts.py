"""What every printed text of a sheet is: a size, a statement, or neither; and the sheet's unit."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum, auto
from fractions import Fraction

from audit.dimensions.texts import size_on_line
from audit.lengths import (
    Callout,
    CalloutKind,
    FormKind,
    Unit,
    is_metric,
    is_size_like,
    parse_callouts,
    parse_statements,
)
from audit.reading import TextLine
from audit.records import (
    Dimension,
    ReadBy,
    Reading,
    Settings,
    SheetText,
    Statement,
    StatementKind,
    TextState,
)

PDF_CONFIDENCE = 0.99  # a text layer says what it says, but fonts with private codes exist
UNTRUSTED_CONFIDENCE = 0.5  # a font without a character map: the letters may be others
STATED = {kind.value: kind for kind in StatementKind}
NOTHING_SAYS = "nothing printed says inches or mm"
YOU_SAY = "you"  # when asked, on the command line or the page
FEW_FRACTIONS = 6  # whole numbers for each fraction: a stray note, and no sheet in fractions
_LONE_NOTE = re.compile(
    r"\(?(?:(?:ALL )?(?:DIM(?:ENSION)?S?|MEASUREMENTS?|SIZES?|UNITS?)?\.?:? ?(?:ARE )?(?:IN )?)"
    r"(MM|CM|MILLIMET(?:ER|RE)S?|CENTIMET(?:ER|RE)S?|INCHES)\.?\)?",
    re.IGNORECASE,
)
# No inches behind it: on a picture a speck makes 26 to 26', and 0.5 loses its naught.
_FEET_ALONE = re.compile(r"[^'’′\d]*\d+ ?['’′](?: ?(?:TYP|REF)\.?)?", re.IGNORECASE)
ENOUGH_WHOLE = 3
ENOUGH_PRINTED = 3  # sizes that print another unit: then a lone note is that of a table or a bar
MOSTLY = 0.8
LARGE = 150.0  # of whole numbers: so many inches would be printed in feet; a door is 80 of them
LARGE_MIXED = 60.0  # of whole numbers among tenths: inches have one number of places (ASME Y14.5),
HALVES = (0.0, 0.5)  # but for the halves that any carpenter writes among whole inches
_OTHER_UNIT = re.compile(r"FEET|FT")  # sheets print inches as well then, and tell neither
_WHOLE = re.compile(
    r"(?:\d+ ?[xX×] ?)?[RØ⌀∅]? ?(\d{1,3}(?:,\d{3})+|\d+(?:\.\d)?)(?: ?(?:TYP|REF)\.?)?"
)
_DECIMAL = re.compile(r"(?<![\d.,])(\d+)[.,](\d{1,2})(?!\d)")
SMALL = 10.0  # half a millimetre, which sizes in mm are judged by, is a twentieth of it
_INCH_FORM = re.compile(r"\d/\d|(?<!\d)\.\d|\d\.\d0\b|\d\.0\b|\d\.\d{3,}")
NO_SIZE = frozenset(
    {FormKind.DATE, FormKind.SHEET, FormKind.DRAWING, FormKind.REVISION, FormKind.ZONE}
    | {FormKind.CONTACT, FormKind.CAUTION, FormKind.HAND}
)
ASKS_FOR_CHECKING = frozenset(
    {StatementKind.NOTE, StatementKind.STOCK, StatementKind.PARTS_ROW, StatementKind.COUNT}
)


@dataclass(frozen=True, slots=True)
class SheetUnit:
    """What bare numbers on a sheet count, and what says so.

    `likely`: nothing really does, or a note names a unit that is not counted here, feet.
    """

    unit: Unit | None
    says: str
    likely: bool = False


def find_unit(
    texts: Sequence[TextLine], settings: Settings, *, sure: Sequence[bool] | None = None
) -> SheetUnit:
    """Find what bare numbers on a sheet count.

    Parameters
    ----------
    texts : sequence of TextLine
    settings : Settings
        A unit given by the user rules.
    sure : sequence of bool, optional
        Of a picture: which texts were read surely. Where some sizes were, only these tell: a
        speck read as an inch mark is no witness beside twenty bare numbers.

    Returns
    -------
    SheetUnit
        From the user, a note ("DIMENSIONS IN MM"), or the sizes whose unit is printed: beside
        ``2.40 m`` a bare ``0.60`` counts metres. A leading
        decimal point (``.875``) is the inch form of ASME Y14.5; shop fractions are inches, but a
        few among many whole numbers leave it open.
    """
    if settings.unit is not None:
        return SheetUnit(settings.unit, YOU_SAY)
    shown = [k for k, t in enumerate(texts) if t.visible]
    lines = [texts[k].text for k in shown]
    noted = _noted_unit(lines)
    if noted is not None:
        return noted
    words = [_say_unit(line) for line in lines]
    told = [w for k, w in zip(shown, words, strict=True) if w and (sure is None or sure[k])]
    said = Counter(told or [w for w in words if w])
    if sure is None:  # a text layer prints what it says
        said[_Says.INCH] += said.pop(_Says.FAINT, 0)
    inches = said[_Says.INCH] + said[_Says.FRACTION] + said[_Says.FAINT]
    mm = sum(said[says] for says in _METRIC)
    lone = _lone_note([texts[k].text for k in shown if sure is None or sure[k]])
    if lone is not None:
        other = mm if lone.unit is Unit.IN else inches
        if other < max(ENOUGH_PRINTED, said[_Says.WHOLE] / FEW_FRACTIONS):
            return lone
    if not said[_Says.INCH] and not mm and inches * FEW_FRACTIONS <= said[_Says.WHOLE]:
        if not inches and said[_Says.THREAD]:
            return SheetUnit(Unit.MM, f"{said[_Says.THREAD]} metric threads")
        few = f"{inches} printed as inches, {said[_Says.WHOLE]} as whole numbers"
        return SheetUnit(None, few if inches else NOTHING_SAYS)
    if inches == mm == 0:
        return SheetUnit(None, NOTHING_SAYS)
    unit = Unit.IN if inches >= mm else _metric_of(said, lines)
    return SheetUnit(unit, f"{max(inches, mm)} printed sizes")


def _noted_unit(lines: Sequence[str]) -> SheetUnit | None:
    """Find a sentence that says what all numbers count."""
    for line in lines:
        for form in parse_statements(line, unit=None):
            if form.kind is FormKind.UNIT and form.unit is not None:
                other = _OTHER_UNIT.match(form.subject) is not None
                return SheetUnit(form.unit, f'the note "{form.text}"', likely=other)
    return None


def _lone_note(surely: Sequence[str]) -> SheetUnit | None:
    """Find a note of two letters, as in a title block: many a table and scale bar has one, too."""
    alone = [m for line in surely if (m := _LONE_NOTE.fullmatch(line.strip())) is not None]
    units = {_LONE_UNITS[m[1][0].upper()] for m in alone}
    # two of them head the columns of a table
    return SheetUnit(units.pop(), f'the note "{alone[0][0]}"') if len(units) == 1 else None


def _metric_of(said: Counter[_Says], lines: Sequence[str]) -> Unit:
    """Tell which metric unit bare numbers count: not that of a scale bar or a length of stock.

    ``1 m`` and ``50 cm`` stand on many a sheet in millimetres.
    """
    says = max(_METRIC, key=lambda says: said[says])
    bare = [m[0] for line in lines if (m := _BARE.fullmatch(line.strip())) is not None]
    most = max((float(n.replace(",", ".")) for n in bare), default=0.0)
    split = sum(not n.isdigit() for n in bare)
    few = bool(bare) and said[says] < max(FEWEST_OF_UNIT, FEWEST_SHARE * len(bare))
    whole = says is _Says.M and split < len(bare) / 2  # metres are printed with decimals
    return Unit.MM if few or whole or most > MOST_OF_UNIT[says] else _METRIC[says]


def surely_read(readings: Iterable[Reading], settings: Settings) -> tuple[bool, ...]:
    """Which texts of a picture were read surely enough to tell what their unit marks say."""
    return tuple(r.confidence >= settings.confidence_limit and not r.doubt for r in readings)


class _Says(Enum):
    """What a printed size says of the unit of a sheet; `FAINT`: inches, by one small mark."""

    INCH = auto()
    MM = auto()
    FRACTION = auto()
    FAINT = auto()
    CM = auto()
    M = auto()
    THREAD = auto()
    WHOLE = auto()


_LONE_UNITS = {"M": Unit.MM, "C": Unit.CM, "I": Unit.IN}
_METRIC = {_Says.MM: Unit.MM, _Says.CM: Unit.CM, _Says.M: Unit.M}
# Bare numbers count what is printed at so many sizes, at such a share of them, up to such numbers.
FEWEST_OF_UNIT, FEWEST_SHARE = 2, 0.25
MOST_OF_UNIT = {_Says.MM: math.inf, _Says.CM: 500.0, _Says.M: 30.0}  # furniture, and houses
_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_WITH_UNIT = re.compile(r"\d ?(C?M)(?![A-Z\d])", re.IGNORECASE)


def _say_unit(line: str) -> _Says | None:
    if not is_size_like(line):
        return None
    meanings = parse_callouts(line, unit=None)
    if not meanings or meanings[0].is_angle:
        return None
    first = meanings[0]
    if first.size is None:
        if line.lstrip("RØ( ").startswith("."):
            return _Says.FAINT
        return _Says.WHOLE if _WHOLE.fullmatch(line.strip()) else None
    if first.kind is CalloutKind.THREAD:
        return _Says.THREAD if first.size.unit is Unit.MM else _Says.INCH
    if first.size.unit is Unit.MM:
        named = _WITH_UNIT.search(line)
        return _Says.MM if named is None else _Says[named[1].upper()]
    if _FEET_ALONE.fullmatch(line.strip()):
        return _Says.FAINT
    return _Says.INCH if first.unit_printed else _Says.FRACTION


def guess_unit(dimensions: Iterable[Dimension]) -> SheetUnit:
    """Guess what bare numbers count by how they are printed, where nothing else tells.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet, read without a unit.

    Returns
    -------
    SheetUnit
        Millimetres where nearly all are whole numbers or tenths and some are large: ISO 129-1
        has them printed so, without a unit or an idle zero, and nobody gives 450 inches, or
        80 and 12.3 of them. `None` otherwise.
    """
    bare = [d.reading.text for d in dimensions if d.reading is not None and lacks_unit(d)]
    whole = [_WHOLE.fullmatch(text.strip()) for text in bare]
    values = [float(m[1].replace(",", "")) for m in whole if m is not None]
    if len(values) < ENOUGH_WHOLE or len(values) < MOSTLY * len(bare):
        return SheetUnit(None, NOTHING_SAYS)
    tenths = any(value % 1.0 not in HALVES for value in values)
    mixed = tenths and any("." not in m[1] for m in whole if m is not None)
    if max(values) < (LARGE_MIXED if mixed else LARGE):
        return SheetUnit(None, NOTHING_SAYS)
    kind = "whole numbers and tenths" if mixed else "whole numbers"
    return SheetUnit(Unit.MM, f"they are {kind} up to {max(values):,.0f}")


def lacks_unit(dimension: Dimension) -> bool:
    """Whether a number was read that nothing gives a unit."""
    reading = dimension.reading
    if reading is None or reading.callout is None:
        return False
    return reading.callout.size is None and any(c.isdigit() for c in reading.text)


def counted_as(dimensions: Iterable[Dimension]) -> Unit | None:
    """Tell whether bare numbers were made into millimetres as centimetres, or as metres.

    Parameters
    ----------
    dimensions : iterable of Dimension
        As they were read.

    Returns
    -------
    Unit or None
        `None` where they were not.
    """
    votes: Counter[Unit] = Counter()
    for reading in (d.reading for d in dimensions):
        callout = None if reading is None else reading.callout
        if reading is None or callout is None or callout.size is None or callout.unit_printed:
            continue
        for unit in (Unit.MM, Unit.CM, Unit.M):
            meanings = parse_callouts(reading.text, unit=unit)
            votes[unit] += bool(meanings) and meanings[0].size == callout.size
    most = max(votes.values(), default=0)
    return next((u for u in (Unit.CM, Unit.M) if votes[u] == most > votes[Unit.MM]), None)


def likely_unit(dimensions: Iterable[Dimension]) -> Unit:
    """Return the likelier unit of bare numbers where neither print nor scale decides.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet, read without a unit.

    Returns
    -------
    Unit
        Inches beside a shop fraction and where decimals are written as ASME Y14.5 has them in
        inches, ``.50`` or ``5.00``; else millimetres, which have no idle zeros.
    """
    texts = [d.reading.text for d in dimensions if d.reading is not None]
    return Unit.IN if any(_INCH_FORM.search(text) for text in texts) else Unit.MM


def last_place(dimensions: Iterable[Dimension]) -> Fraction | None:
    """Return the last place of small decimals; `None` where no size has one.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet, read without a unit.

    Returns
    -------
    Fraction or None
        What may count centimetres, metres or inches is no size within half a millimetre of it.
    """
    texts = [d.reading.text for d in dimensions if d.reading is not None]
    found = [m for text in texts for m in _DECIMAL.finditer(text)]
    places = [len(m[2]) for m in found if float(f"{m[1]}.{m[2]}") < SMALL]
    return Fraction(1, 10 ** max(places)) if places else None


def collect_statements(
    texts: Sequence[TextLine], *, sheet: int, unit: Unit | None
) -> tuple[Statement, ...]:
    """Make statements of the texts that are no dimensions.

    Parameters
    ----------
    texts : sequence of TextLine
        Those that no dimension has taken.
    sheet : int
    unit : Unit or None

    Returns
    -------
    tuple of Statement
    """
    found = []
    for text in texts:
        if not text.visible:
            continue
        for form in parse_statements(text.text, unit=unit):
            kind = STATED.get(form.kind.value)
            if kind is not None:
                found.append(
                    Statement(
                        sheet=sheet,
                        kind=kind,
                        text=text.text,
                        box=text.box,
                        value=form.value,
                        count=form.count,
                        factor=form.factor,
                        subject=form.subject,
                        form=form,
                    )
                )
    return tuple(found)


def collect_texts(
    texts: Sequence[TextLine],
    statements: Sequence[Statement],
    *,
    sheet: int,
    unit: Unit | None,
    readings: Sequence[Reading] = (),
) -> tuple[SheetText, ...]:
    """List the texts that look like a size, note or count: what coverage is counted over.

    Parameters
    ----------
    texts : sequence of TextLine
        All of the sheet.
    statements : sequence of Statement
        Of the sheet.
    sheet : int
    unit : Unit or None
    readings : sequence of Reading
        Of a picture: what each text was read as; empty for the texts of a PDF.

    Returns
    -------
    tuple of SheetText
        State *not checked* until `checks.account_for` says otherwise.
    """
    noted = {(s.text, s.box) for s in statements if s.kind in ASKS_FOR_CHECKING}
    # a lone number may be an item number or a size that was missed: it asks for checking
    stated = {(s.text, s.box) for s in statements if s.kind is not StatementKind.ITEM}
    listed = []
    for k, text in enumerate(texts):
        if not text.visible:
            continue
        key = (text.text, text.box)
        if key not in noted and (key in stated or not _is_size(text.text, unit)):
            continue
        listed.append(
            SheetText(
                sheet=sheet,
                text=text.text,
                box=text.box,
                angle=text.angle,
                confidence=readings[k].confidence if readings else _pdf_confidence(text),
                by=readings[k].by if readings else ReadBy.PDF,
                state=TextState.NOT_CHECKED,
            )
        )
    return tuple(listed)


def _pdf_confidence(text: TextLine) -> float:
    return PDF_CONFIDENCE if text.trusted else UNTRUSTED_CONFIDENCE


def _is_size(text: str, unit: Unit | None) -> bool:
    if not is_size_like(text):
        return False
    return not any(form.kind in NO_SIZE for form in parse_statements(text, unit=unit))


def with_unit(dimensions: Iterable[Dimension], unit: Unit) -> tuple[Dimension, ...]:
    """Read bare numbers again, now that it is known what they count."""
    return tuple(_with_unit(dimension, unit) for dimension in dimensions)


def _with_unit(dimension: Dimension, unit: Unit) -> Dimension:
    reading = dimension.reading
    if reading is None:
        return dimension
    if reading.callout is not None and reading.callout.size is not None:
        return _doubting(dimension, reading, reading.callout, unit)
    meanings = parse_callouts(reading.text, unit=unit)
    if not meanings and reading.callout is not None:  # the size in 32 DOORWAY
        meanings = parse_callouts(reading.callout.text, unit=unit)
    callout = size_on_line(meanings)
    if callout is None:
        return dimension
    return replace(dimension, reading=replace(reading, callout=callout))


def _doubting(dimension: Dimension, reading: Reading, callout: Callout, unit: Unit) -> Dimension:
    """Doubt a bare fraction on a sheet that turned out to be in millimetres."""
    bare = callout.size is not None and callout.size.unit is Unit.IN and not callout.unit_printed
    if not is_metric(unit) or not bare or reading.confirmed:
        return dimension
    confidence = min(reading.confidence, UNTRUSTED_CONFIDENCE)
    doubted = replace(reading, confidence=confidence, doubt="it may be inches on a sheet in mm")
    return replace(dimension, reading=doubted)
