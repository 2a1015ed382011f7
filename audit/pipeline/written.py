"""What several texts of a sheet say together: table rows and sentences of notes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from audit.lengths import (
    CalloutKind,
    FormKind,
    StatementForm,
    Unit,
    parse_callouts,
    parse_statements,
)
from audit.pipeline.notes import Label, find_labels, find_sentences
from audit.pipeline.tables import find_rows
from audit.reading import TextLine
from audit.records import Statement, StatementKind

# Quick looks before a text is parsed: pages may hold thousands.
_MAY_COUNT = re.compile(r"^(?=.{2,40}$).*\d", re.DOTALL)
_MAY_BE_THICK = re.compile(r"TH(?:IC)?K|\bT ?=", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Written:
    """Texts with rows and sentences in the place of what they were joined from.

    `texts` are all of the sheet; `leftover` those still to be looked at for statements;
    `statements` what rows and assembly notes say.
    """

    texts: tuple[TextLine, ...]
    leftover: tuple[TextLine, ...]
    statements: tuple[Statement, ...]


def join_written(
    texts: Sequence[TextLine],
    leftover: Sequence[TextLine],
    *,
    sheet: int,
    unit: Unit | None,
) -> Written:
    """Join the cells of parts lists to rows, and the lines of notes to sentences.

    Parameters
    ----------
    texts : sequence of TextLine
        All of the sheet.
    leftover : sequence of TextLine
        Those of them that no dimension has taken.
    sheet : int
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    Written
    """
    rows = find_rows(leftover, unit=unit)
    celled = {_key(cell) for row in rows for cell in row.cells}
    rest = [t for t in leftover if _key(t) not in celled]
    sentences = find_sentences(rest)
    gone = {_key(line) for s in sentences for line in s.lines}
    # a joined sentence may still say something the statement grammar knows; an assembly note
    # may not, and is kept as the note it is
    notes = [s for s in sentences if s.assembly]
    known = [s.line for s in sentences if not s.assembly]
    statements = [_statement(r.line, r.form, sheet) for r in rows]
    statements += [_note(s.line, sheet, unit) for s in notes]
    labels = find_labels(rest, [t for t in rest if _count_of(t, unit) is not None])
    statements += [_labelled(label, sheet, unit) for label in labels]
    gone_labels = {_key(label.line) for label in labels}
    statements += [s for t in rest if (s := _stock(t, sheet, unit)) is not None]
    joined = [r.line for r in rows] + [s.line for s in sentences]
    return Written(
        texts=(*(t for t in texts if _key(t) not in celled | gone), *joined),
        leftover=(*(t for t in rest if _key(t) not in gone | gone_labels), *known),
        statements=tuple(statements),
    )


def _count_of(text: TextLine, unit: Unit | None) -> StatementForm | None:
    """Return the count a text is, when it is nothing else and names nothing."""
    if not _MAY_COUNT.search(text.text):
        return None
    read = parse_statements(text.text, unit=unit)
    # MAKE 2 (1 LH & 1 RH) counts as MAKE 2 does; the checks read the hands from its text
    forms = [f for f in read if f.kind is not FormKind.HAND]
    if len(forms) != 1 or forms[0].kind is not FormKind.COUNT or forms[0].subject:
        return None
    return forms[0]


def _labelled(label: Label, sheet: int, unit: Unit | None) -> Statement:
    form = _count_of(label.line, unit)
    return Statement(
        sheet=sheet,
        kind=StatementKind.COUNT,
        text=label.line.text,
        box=label.line.box,
        count=form.count if form is not None else None,
        subject=label.name.text.strip().upper(),
        form=form,
    )


def _stock(text: TextLine, sheet: int, unit: Unit | None) -> Statement | None:
    """Take a thickness that stands by itself (``1/8 THICK``) as what its part is made of."""
    if not _MAY_BE_THICK.search(text.text) or parse_statements(text.text, unit=unit):
        return None
    meanings = parse_callouts(text.text, unit=unit)
    if len(meanings) != 1 or meanings[0].kind is not CalloutKind.THICKNESS or not meanings[0].size:
        return None
    return Statement(
        sheet=sheet,
        kind=StatementKind.STOCK,
        text=text.text,
        box=text.box,
        value=meanings[0].size,
        form=StatementForm(
            kind=FormKind.STOCK,
            text=text.text,
            value=meanings[0].size,
            value_kind=CalloutKind.THICKNESS,
            sizes=(meanings[0].size,),
        ),
    )


def _key(text: TextLine) -> tuple[str, tuple[float, ...]]:
    return text.text, tuple(round(v, 1) for v in text.box)


def _statement(line: TextLine, form: StatementForm, sheet: int) -> Statement:
    return Statement(
        sheet=sheet,
        kind=StatementKind.PARTS_ROW,
        text=line.text,
        box=line.box,
        value=form.value,
        count=form.count,
        subject=form.subject,
        form=form,
    )


def _note(line: TextLine, sheet: int, unit: Unit | None) -> Statement:
    sized = next((f for f in parse_statements(line.text, unit=unit) if f.value_kind), None)
    return Statement(
        sheet=sheet,
        kind=StatementKind.NOTE,
        text=line.text,
        box=line.box,
        value=sized.value if sized else None,
        form=sized,
    )
