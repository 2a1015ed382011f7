"""CSV that a spreadsheet reads as it was meant: words stay words, nothing becomes a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Sequence

from audit.errors import one_line

# What a spreadsheet may take for a formula when a cell begins with it.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_PLAIN_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def compose_csv(
    columns: Sequence[str], rows: Iterable[Sequence[str]], *, numbers: Collection[str]
) -> str:
    """Compose a table as CSV (RFC 4180: CRLF, quotes doubled).

    Every cell of words is quoted, so that a spreadsheet takes none for a number or a date; one
    that begins like a formula also gets an apostrophe in front. Control characters are taken out.

    Parameters
    ----------
    columns : sequence of str
        The heads.
    rows : iterable of sequence of str
        Cells in the columns' order.
    numbers : collection of str
        Names of the columns that hold plain numbers.

    Returns
    -------
    str
    """
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        cells = zip(columns, row, strict=True)
        writer.writerow([_cell(text, number=name in numbers) for name, text in cells])
    return stream.getvalue()


class _Number(float):
    """A number that is written as it was spelled."""

    def __new__(cls, text: str) -> _Number:
        made = super().__new__(cls, text)
        made.text = text
        return made

    text: str

    def __repr__(self) -> str:
        return self.text

    __str__ = __repr__


def _cell(text: str, *, number: bool) -> str | float:
    text = one_line(text)
    if number and _PLAIN_NUMBER.fullmatch(text):
        return _Number(text)
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text
