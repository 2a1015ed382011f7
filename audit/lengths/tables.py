"""The sourced tables of this layer: units, drills, threads.

The data files carry their own grammar and one `Source:` line or more for every block; nothing
here adds a number to them.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files

from audit.lengths.length import Length, Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One block of a data file: its name, where its numbers come from, its rows as written."""

    name: str
    sources: tuple[str, ...]
    rows: tuple[str, ...]


@cache
def read_blocks(name: str) -> dict[str, Block]:
    """Read a data file of this layer.

    Parameters
    ----------
    name : str
        ``units.txt``, ``drills.txt`` or ``threads.txt``.

    Returns
    -------
    dict of str to Block
        By block name.

    Examples
    --------
    >>> sorted(read_blocks("drills.txt"))
    ['letter drills', 'number drills']
    """
    text = (files("audit.lengths") / name).read_text(encoding="utf-8")
    blocks: dict[str, Block] = {}
    for paragraph in text.split("\n["):
        head, *lines = paragraph.splitlines()
        if not head.endswith("]"):
            continue
        lines = [line for line in lines if line and line.split()[0] != "#"]
        sources = tuple(line[8:] for line in lines if line.startswith("Source: "))
        rows = tuple(line for line in lines if not line.startswith("Source: "))
        blocks[head[:-1]] = Block(name=head[:-1], sources=sources, rows=rows)
    return blocks


@cache
def unit_factors() -> dict[str, tuple[Fraction, Unit]]:
    """Every printed name of a unit with its exact size in inches, millimetres or degrees."""
    factors = {}
    for block in read_blocks("units.txt").values():
        for row in block.rows:
            names, size = row.split(" = ")
            number, unit = size.split()
            for name in names.split(", "):
                factors[name] = (Fraction(number), Unit(unit))
    return factors


@cache
def drill_sizes() -> dict[str, Length]:
    """Diameter of each named twist drill: ``1`` to ``80`` and ``A`` to ``Z``.

    Examples
    --------
    >>> drill_sizes()["7"].value, drill_sizes()["F"].value
    (Fraction(201, 1000), Fraction(257, 1000))
    """
    sizes = {}
    for block in read_blocks("drills.txt").values():
        for row in block.rows:
            for cell in row.split(", "):
                name, diameter = cell.split()
                sizes[name] = Length(Fraction(diameter), Unit.IN)
    return sizes


@cache
def screw_sizes(block: str) -> dict[str, Length]:
    """Major diameter by number, from the block ``numbered screws`` or ``wood screws``."""
    rows = (row.split() for row in read_blocks("threads.txt")[block].rows)
    return {name: Length(Fraction(diameter), Unit.IN) for name, diameter in rows}


@cache
def thread_pitches(block: str) -> dict[str, tuple[Fraction, ...]]:
    """Return standard threads per inch (``unified threads``) or pitches in mm (``metric threads``).

    Number sizes are keyed ``#8``, fractions ``1/4``, metric sizes ``M6``.
    """
    rows = (row.split(": ") for row in read_blocks("threads.txt")[block].rows)
    return {size: tuple(Fraction(p) for p in pitches.split(", ")) for size, pitches in rows}
