"""What every printed text of a sheet is: a size, a statement, or neither; and the sheet's unit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from audit.lengths import Callout, FormKind, Unit, is_size_like, parse_callouts, parse_statements
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
NO_SIZE = frozenset(
    {FormKind.DATE, FormKind.SHEET, FormKind.DRAWING, FormKind.REVISION, FormKind.ZONE}
    | {FormKind.CONTACT, FormKind.CAUTION, FormKind.HAND}
)
ASKS_FOR_CHECKING = frozenset(
    {StatementKind.NOTE, StatementKind.STOCK, StatementKind.PARTS_ROW, StatementKind.COUNT}
)


@dataclass(frozen=True, slots=True)
class SheetUnit:
    """What bare numbers on a sheet count, and what says so."""

    unit: Unit | None
    says: str


def find_unit(texts: Iterable[TextLine], settings: Settings) -> SheetUnit:
    """Find what bare numbers on a sheet count.

    Parameters
    ----------
    texts : iterable of TextLine
    settings : Settings
        A unit given by the user rules.

    Returns
    -------
    SheetUnit
        From the user, a note ("DIMENSIONS IN MM"), or the sizes whose unit is printed. A leading
        decimal point (``.875``) is the inch form of ASME Y14.5; shop fractions are inches.
    """
    if settings.unit is not None:
        return SheetUnit(settings.unit, "given by you")
    lines = [t.text for t in texts if t.visible]
    for line in lines:
        for form in parse_statements(line, unit=None):
            if form.kind is FormKind.UNIT and form.unit is not None:
                return SheetUnit(form.unit, f'the note "{form.text}"')
    votes = {Unit.IN: 0, Unit.MM: 0}
    for line in lines:
        unit = _printed_unit(line)
        if unit is not None:
            votes[unit] += 1
    best = max(votes, key=lambda u: votes[u])
    if votes[best] == 0:
        return SheetUnit(None, "nothing printed says inches or mm")
    return SheetUnit(best, f"{votes[best]} printed sizes")


def _printed_unit(line: str) -> Unit | None:
    if not is_size_like(line):
        return None
    meanings = parse_callouts(line, unit=None)
    if not meanings or meanings[0].size is None or meanings[0].is_angle:
        return Unit.IN if line.lstrip("RØ( ").startswith(".") and meanings else None
    return meanings[0].size.unit


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
    if reading is None or (reading.callout is not None and reading.callout.size is not None):
        return dimension
    meanings: tuple[Callout, ...] = parse_callouts(reading.text, unit=unit)
    if not meanings:
        return dimension
    return replace(dimension, reading=replace(reading, callout=meanings[0]))
