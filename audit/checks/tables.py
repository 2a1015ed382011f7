"""The sourced tables of holes and clearances, from ``fits.txt``."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from importlib.resources import files

from audit.lengths import Length, Unit, parse_length
from audit.lengths.tables import drill_sizes


@cache
def read_table(name: str) -> dict[str, tuple[str, ...]]:
    """Read a block of the data file: the first word of each row, and the others.

    Parameters
    ----------
    name : str
        Of the block.

    Returns
    -------
    dict[str, tuple[str, ...]]
        Rows as written.

    Examples
    --------
    >>> read_table("clearance holes")["#8"], read_table("wall")["least"]
    (('#9',), ('1/16',))
    """
    text = (files("audit.checks") / "fits.txt").read_text("utf-8")
    block = text.split(f"\n[{name}]\n", 1)[1].split("\n\n[", 1)[0]
    rows = [r.split() for r in block.splitlines() if r and not r.startswith(("Source:", "#  "))]
    return {row[0]: tuple(row[1:]) for row in rows}


def inches_of(table: str, row: str) -> Length:
    """Return the first size of a row, inches.

    Parameters
    ----------
    table : str
        A block of ``fits.txt``.
    row : str
        First word of the row.

    Returns
    -------
    Length
        Exact.
    """
    return Length(Fraction(read_table(table)[row][0]), Unit.IN)


def drill_diameter(name: str) -> Length:
    """Return the size of a drill as the tables name it: ``#9``, ``F``, ``9/32``.

    Parameters
    ----------
    name : str
        Of the drill.

    Returns
    -------
    Length
        In inches.

    Examples
    --------
    >>> drill_diameter("#9").value, drill_diameter("F").value, drill_diameter("9/32").value
    (Fraction(49, 250), Fraction(257, 1000), Fraction(9, 32))
    """
    named = drill_sizes().get(name.removeprefix("#"))
    return named if named is not None else parse_length(name, unit=Unit.IN)
