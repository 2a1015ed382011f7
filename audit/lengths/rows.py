"""Rows of a parts list: item, name, how many, thickness × width × length, material."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.lengths.amounts import Amount, Form
from audit.lengths.length import Length, Unit
from audit.lengths.statement import FormKind, StatementForm

_ROUND = frozenset(("DIA", "DIAM", "DIAMETER", "Ø"))
_MOST = 999  # pieces of one kind, and item numbers; larger whole numbers are lengths


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One piece of a row: an amount, a word, ``by``, ``ditto`` or a ``pause`` between columns."""

    form: str
    text: str = ""
    amount: Amount | None = None

    @property
    def whole(self) -> int | None:
        """The number, when it is a small whole one without a unit."""
        amount = self.amount
        if amount is None or amount.form is not Form.INTEGER or amount.unit is not None:
            return None
        return int(amount.value) if amount.value <= _MOST else None


def read_row(
    cells: Sequence[Cell], *, text: str, unit: Unit | None, parted: bool
) -> StatementForm | None:
    """Read a row of a parts list.

    Parameters
    ----------
    cells : sequence of Cell
    text : str
        The normalised row.
    unit : Unit or None
        What a bare number counts.
    parted : bool
        Whether columns were parted visibly. If not, only a row with sizes joined by × counts as
        one, and ``4 3/8 ×`` is read as 4 pieces of 3/8.

    Returns
    -------
    StatementForm or None
        `None` when this is no such row.
    """
    if not {cell.form for cell in cells} <= _ROW_FORMS:
        return None
    remark = ""
    cells = [*cells]
    if parted and (ditto := _read_ditto_row(cells, text)):
        return ditto
    start, end = _find_sizes(cells, parted=parted)
    if end - start < (1 if parted and _counts(cells) else 2) or not _named(cells):
        return None
    if not parted and (split := _split_count(cells, start)):
        cells, remark = split, "number before the first size read as the count"
        start, end = start + 1, end + 1
    before, after = cells[:start], cells[end:]
    sizes = [c.amount.to_length(unit) for c in cells[start:end] if c.amount is not None]
    if not sizes:
        return None
    if None in sizes:
        sizes, remark = [], "no unit: the sheet must say what a number counts"
    item, count = _find_numbers(before, after)
    if count is None and not parted:
        return None
    name, material = _find_words(before, after)
    known = tuple(s for s in sizes if s is not None)
    return StatementForm(
        kind=FormKind.PARTS_ROW,
        text=text,
        value=sizes[0] if sizes else None,
        count=count,
        subject=name,
        sizes=known,
        columns=_name_sides(cells, start, known),
        material=material,
        item=item,
        remark=remark,
    )


_ROW_FORMS = frozenset(("amount", "by", "word", "stock", "role", "pause", "ditto", "made", "join"))


def _read_ditto_row(cells: Sequence[Cell], text: str) -> StatementForm | None:
    """``4  PEG  "  "  DO``: a row whose sizes are those of the row above."""
    filled = [cell for cell in cells if cell.form != "pause"]
    dittos = [cell for cell in filled if cell.form == "ditto"]
    sized = any(c.form == "by" or (c.amount is not None and c.whole is None) for c in filled)
    if not dittos or sized or not _named(filled):
        return None
    item, count = _find_numbers(filled, ())
    item = item or (str(filled[0].whole) if filled[0].whole is not None else "")
    words = [cell.text for cell in filled if cell.form in ("word", "stock")]
    return StatementForm(
        kind=FormKind.PARTS_ROW,
        text=text,
        count=count if len([c for c in filled if c.whole is not None]) > 1 else None,
        subject=words[0],
        material='"',
        item=item,
        remark="the same as the row above",
    )


def _named(cells: Sequence[Cell]) -> bool:
    return any(cell.form in ("word", "stock") for cell in cells)


def _counts(cells: Sequence[Cell]) -> bool:
    return any(cell.whole is not None or cell.form == "made" for cell in cells)


def _find_sizes(cells: Sequence[Cell], *, parted: bool) -> tuple[int, int]:
    """Find the cells that are the sizes: joined by ×, or the last columns of amounts."""
    crossings = [i for i, cell in enumerate(cells) if cell.form == "by"]
    if crossings:
        start, end = crossings[0] - 1, crossings[-1] + 2
        while start > 0 and cells[start].form == "role":
            start -= 1  # 1/4 DIA × 3
        run = cells[max(start, 0) : end]
        joined = all(c.form in ("amount", "by", "role", "pause") for c in run)
        return (start, end) if joined and start >= 0 else (0, 0)
    if not parted:
        return 0, 0
    numbers = [i for i, cell in enumerate(cells) if cell.amount is not None]
    sized = [i for i in numbers if cells[i].whole is None]
    if not sized:
        return 0, 0
    first = sized[0]
    last = max(i for i in numbers)
    run = cells[first : last + 1]
    plain = all(c.form in ("amount", "pause") for c in run)
    return (first, last + 1) if plain else (0, 0)


def _name_sides(cells: Sequence[Cell], start: int, sizes: Sequence[Length]) -> tuple[str, ...]:
    """``1 1/4 DIA × 18``: a diameter and a length. Of a disk, ``3 DIA × 3/4``: its thickness."""
    first = next(i for i, c in enumerate(cells) if i >= start and c.amount is not None)
    beside = (cells[max(first - 1, 0)], *cells[first + 1 : first + 2])
    signed = any(c.text.upper().rstrip(".") in _ROUND for c in beside)
    if not signed or len(sizes) != 2 or sizes[0] == sizes[1]:
        return ()
    return ("D", "L") if sizes[0] < sizes[1] else ("D", "T")


def _split_count(cells: list[Cell], start: int) -> list[Cell] | None:
    """``CAM 4 3/8 × 1 5/8``: without columns, the 4 is rather the count than whole inches."""
    amount = cells[start].amount
    if amount is None or " " not in amount.text or any(c.whole for c in cells[1:start]):
        return None
    match = re.fullmatch(r"(\d+) (\d+)/(\d+)", amount.text)
    if match is None:
        return None
    whole, rest = int(match[1]), Fraction(int(match[2]), int(match[3]))
    count = Amount(value=Fraction(whole), step=Fraction(0), unit=None, form=Form.INTEGER)
    size = Amount(value=rest, step=Fraction(0), unit=amount.unit, form=Form.FRACTION)
    split = [Cell(form="amount", amount=count), Cell(form="amount", amount=size)]
    return [*cells[:start], *split, *cells[start + 1 :]]


def _find_numbers(before: Sequence[Cell], after: Sequence[Cell]) -> tuple[str, int | None]:
    """Item and count: the count is the number nearest the sizes, the item opens the row."""
    made = [re.sub(r"\D", "", c.text) for c in (*before, *after) if c.form == "made"]
    wholes = [(i, c.whole) for i, c in enumerate(before) if c.whole is not None]
    behind = [c.whole for c in after if c.whole is not None]
    item = str(wholes[0][1]) if wholes and wholes[0][0] == 0 else ""
    if made:
        return item, int(made[0])
    if len(wholes) > 1:
        return item, wholes[-1][1]
    if behind:
        return item, behind[0]
    if wholes and wholes[0][0] > 0:
        return _letter_item(before), wholes[0][1]
    return ("", wholes[0][1]) if wholes else ("", None)


def _letter_item(before: Sequence[Cell]) -> str:
    first = before[0].text if before else ""
    return first if len(first) == 1 and first.isalpha() else ""


def _find_words(before: Sequence[Cell], after: Sequence[Cell]) -> tuple[str, str]:
    """Name and material: material stands behind the sizes, or is the wood among the words."""
    letter = _letter_item(before)
    names = [c for c in before if c.form in ("word", "stock")]
    if letter:
        names = names[1:]
    tail = [c.text for c in after if c.form in ("word", "stock", "ditto", "role")]
    if tail and any(c.form == "word" for c in names):
        return " ".join(c.text for c in names), " ".join(tail)
    if not names:  # sizes first, then everything else
        woods = [c.text for c in after if c.form == "stock"]
        return " ".join(c.text for c in after if c.form == "word"), " ".join(woods)
    woods = [c.text for c in names if c.form == "stock"]
    plain = [c.text for c in names if c.form != "stock"]
    return " ".join(plain or woods), " ".join(tail or (woods if plain else []))
