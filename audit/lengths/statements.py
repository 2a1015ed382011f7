"""Printed text to statements: notes, counts, scales, stock, and what is no size."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, cast

from audit.lengths.clauses import find_forms, read_amounts, read_text
from audit.lengths.grammar import load_parser
from audit.lengths.length import Unit
from audit.lengths.normal import ENDLESS_NUMBER, MAX_TEXT, normalise, split_columns
from audit.lengths.rows import Cell, read_row
from audit.lengths.spellings import (
    Spelling,
    spell_units,
    vary_all,
    vary_mixed_dash,
    vary_separators,
)
from audit.lengths.statement import FormKind, StatementForm
from audit.lengths.times import spell_counts, vary_times

if TYPE_CHECKING:
    from lark import Token, Tree

_ZONE = re.compile(r"[A-H]|[A-H] ?-? ?\d{1,2}|\d{1,2} ?-? ?[A-H]", re.IGNORECASE)
_NUMBERED_NOTE = re.compile(r"(?:^|(?<=[\n.;]))[ ]*\(?\d{1,2}[.)] ?(?=[A-Z])", re.IGNORECASE)


def parse_statements(text: str, *, unit: Unit | None) -> tuple[StatementForm, ...]:
    """Find everything a printed text states.

    Parameters
    ----------
    text : str
        A note, a title, a parts-list row (cells parted by two spaces, tabs or bars), a label.
    unit : Unit or None
        What a bare number counts; see `parse_callouts`.

    Returns
    -------
    tuple of StatementForm
        In printed order; a note may say several things. Empty when the text states nothing known
        (a plain label, a size, a sentence), is longer than `MAX_TEXT`, or holds a number of 16
        digits or more.

    Examples
    --------
    >>> [form] = parse_statements("ALL PARTS 1/4 THICK UNLESS NOTED", unit=Unit.IN)
    >>> form.kind, str(form.value.value), form.subject
    (<FormKind.NOTE: 'general note'>, '1/4', 'PARTS')
    >>> [
    ...     (form.kind.value, form.count)
    ...     for form in parse_statements("CAM - MAKE 2 - LH/RH", unit=None)
    ... ]
    [('count', 2), ('hand', None)]
    >>> parse_statements("MARBLE LIFT", unit=None)
    ()
    """
    if len(text) > MAX_TEXT:
        return ()
    return _parse(text, unit)


@lru_cache(maxsize=2048)
def _parse(text: str, unit: Unit | None) -> tuple[StatementForm, ...]:
    plain = normalise(text)
    if not plain or re.search(ENDLESS_NUMBER, plain):
        return ()
    columns = split_columns(text)
    if len(columns) > 2 and (row := _read_columns(columns, plain, unit)):
        return (row,)
    if _ZONE.fullmatch(plain):
        return (StatementForm(kind=FormKind.ZONE, text=plain, subject=plain.upper()),)
    pieces = _parse_pieces(plain, unit)
    if pieces is None:
        return ()
    if row := read_row([_to_cell(p) for p in pieces], text=plain, unit=unit, parted=False):
        return (row,)
    return tuple(find_forms(pieces, text=plain, unit=unit))


def _read_columns(columns: tuple[str, ...], plain: str, unit: Unit | None) -> StatementForm | None:
    cells: list[Cell] = []
    for column in columns:
        pieces = _parse_pieces(column, unit)
        if pieces is None:
            return None
        cells += [*map(_to_cell, pieces), Cell(form="pause")]
    return read_row(cells, text=plain, unit=unit, parted=True)


def _parse_pieces(plain: str, unit: Unit | None) -> list[Tree[Token]] | None:
    from lark import UnexpectedInput  # noqa: PLC0415  (heavy)

    try:
        tree = load_parser("statements").parse(_spell(plain, unit))
    except UnexpectedInput:
        return None
    return [cast("Tree[Token]", child) for child in tree.children]


def _spell(plain: str, unit: Unit | None) -> str:
    """Write a statement in one way: notes are read in their most plausible spelling only."""
    text = _NUMBERED_NOTE.sub("; ", plain)
    text = re.sub(r"\bSCALE ?- ?", "SCALE ", text, flags=re.IGNORECASE)
    text = re.sub(r" -+ ", " ; ", text)
    steps = (spell_counts, spell_units, vary_separators(unit), vary_mixed_dash, _mark_by)
    return vary_all(Spelling(text=text), steps)[0].text


def _mark_by(spelling: Spelling) -> Iterator[Spelling]:
    yield next(iter(vary_times(spelling)))


def _to_cell(piece: Tree[Token]) -> Cell:
    form = str(piece.data)
    if form == "amount":
        amount = read_amounts(piece)
        return Cell(form=form, amount=amount[0] if amount else None)
    return Cell(form=form, text=read_text(piece))
