"""Text to exact lengths, every reading kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Protocol

from audit.errors import NotALength
from audit.lengths.amounts import Amount, Form, read_amount
from audit.lengths.grammar import load_parser
from audit.lengths.length import Length, Unit
from audit.lengths.normal import normalise
from audit.lengths.spellings import (
    AS_WRITTEN,
    OPEN,
    Spelling,
    spell_units,
    vary_all,
    vary_lost_gap,
    vary_mixed_dash,
    vary_separators,
)

if TYPE_CHECKING:
    from lark import Token, Tree, UnexpectedInput

# Longest text tried as one length, in characters: 3'-11 63/64" (25 13/32 mm) has 26.
MAX_LENGTH_TEXT = 80
MAX_DIGITS = 40  # of numerator or denominator; times a unit or a count it can still be stored
_EXAMPLES = "write it as 1 7/16, 3'-6 1/2\", .875, 42 mm or 5°30'"


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthReading:
    """One way to read a text as a length.

    Attributes
    ----------
    length : Length
    step : Fraction
        One unit in the last printed decimal place, in `length.unit`; 0 for fractions and integers.
    unit_printed : bool
        Whether the unit stands in the text. False: it came from the caller, or from the rule that
        a fraction without a unit counts inches.
    remark : str
        What was decided to read it so; empty for plain text.
    rank : int
        0: what the text says. 1: as good as the first, do not choose without asking. 2:
        far-fetched, only worth a look when the first fits nothing.
    """

    length: Length
    step: Fraction = Fraction(0)
    unit_printed: bool = False
    remark: str = ""
    rank: int = AS_WRITTEN


def parse_lengths(text: str, *, unit: Unit | None) -> tuple[LengthReading, ...]:
    """Read a text as a length or an angle, in every way it can be meant.

    Parameters
    ----------
    text : str
        One length and nothing else: ``1 7/16``, ``1-7/16"``, ``⅞``, ``.875``, ``3'-6 1/2"``,
        ``42mm``, ``4,2 cm``, ``5°30'``.
    unit : Unit or None
        What a bare number counts. With `None`, a bare fraction counts inches, and a bare decimal
        or integer is no length. With `Unit.DEG`, primes are minutes and seconds.

    Returns
    -------
    tuple of LengthReading
        Best first, never empty. The first is always what is written: a size is never turned into
        a shop fraction.

    Raises
    ------
    NotALength
        If it is none; the message says where, and what was expected there.

    Examples
    --------
    >>> [str(r.length.value) for r in parse_lengths("1 7/16", unit=Unit.IN)]
    ['23/16']
    >>> [(str(r.length.value), r.rank) for r in parse_lengths("131/32", unit=Unit.IN)]
    [('131/32', 0), ('63/32', 1), ('417/32', 1)]
    """
    return _parse(text, unit)


def parse_length(text: str, *, unit: Unit | None) -> Length:
    r"""Read a text as a length, in the most plausible way.

    Parameters
    ----------
    text : str
    unit : Unit or None
        What a bare number counts; see `parse_lengths`.

    Returns
    -------
    Length

    Raises
    ------
    NotALength
        If it is none.

    Examples
    --------
    >>> parse_length("3'-6 1/2\"", unit=None)
    Length(value=Fraction(85, 2), unit=<Unit.IN: 'in'>)
    >>> parse_length("about a foot", unit=Unit.IN)
    Traceback (most recent call last):
        ...
    audit.errors.NotALength: "about a foot" is no length, at character 1 ("about a foot"):
    expected a number; write it as 1 7/16, 3'-6 1/2", .875, 42 mm or 5°30'
    """
    return parse_lengths(text, unit=unit)[0].length


def find_length(text: str, *, unit: Unit | None) -> Length | None:
    """Read a text that may be no length, as the ``1/0`` that a reader makes of ``1/8``.

    Parameters
    ----------
    text : str
    unit : Unit or None
        As `parse_length`.

    Returns
    -------
    Length or None

    Examples
    --------
    >>> str(find_length("1/8", unit=Unit.IN).value), find_length("1/0", unit=Unit.IN)
    ('1/8', None)
    """
    try:
        return parse_length(text, unit=unit)
    except NotALength:
        return None


class _Ranked(Protocol):
    @property
    def rank(self) -> int: ...


def is_ambiguous(readings: Iterable[_Ranked]) -> bool:
    """Whether another reading, of a length or of a callout, is as good as the first.

    Examples
    --------
    >>> is_ambiguous(parse_lengths("131/32", unit=Unit.IN))
    True
    >>> is_ambiguous(parse_lengths("11/16", unit=Unit.IN))
    False
    """
    return any(reading.rank == OPEN for reading in readings)


@lru_cache(maxsize=4096)
def _parse(text: str, unit: Unit | None) -> tuple[LengthReading, ...]:
    plain = _require_short(text)
    steps = (spell_units, vary_separators(unit), vary_mixed_dash, vary_lost_gap)
    first_error: NotALength | None = None
    readings: dict[Length, LengthReading] = {}
    for spelling in vary_all(Spelling(text=plain), steps):
        try:
            reading = _read(spelling, text=text, unit=unit)
        except NotALength as error:
            first_error = first_error or error
            continue
        readings.setdefault(reading.length, reading)
    if readings:
        return tuple(sorted(readings.values(), key=lambda r: r.rank))
    assert first_error is not None, "there is always a spelling"
    raise first_error


def _require_short(text: str) -> str:
    if len(text) > MAX_LENGTH_TEXT:
        raise NotALength(
            f'"{text[:20]}…" is no length, it has {len(text)} characters', advice=_EXAMPLES
        )
    plain = normalise(text)
    if not plain:
        raise NotALength("an empty text is no length", advice=_EXAMPLES)
    return plain.replace("\n", " ")


def _read(spelling: Spelling, *, text: str, unit: Unit | None) -> LengthReading:
    amount = _read_tree(_parse_tree(spelling.text, text))
    length = amount.to_length(unit)
    if length is None:
        raise NotALength(
            f'"{text}" says no unit',
            advice=f"add one, as in {text.strip()} in or {text.strip()} mm",
        )
    if max(abs(length.value.numerator), length.value.denominator) >= 10**MAX_DIGITS:
        raise NotALength(f'"{text[:20]}…" is no length, it has too many digits', advice=_EXAMPLES)
    remark = spelling.remark
    if amount.unit is None and unit is None:
        remark = "; ".join(r for r in (remark, "fraction: inches") if r)
    return LengthReading(
        length=length,
        step=amount.step_in(unit),
        unit_printed=amount.unit is not None,
        remark=remark,
        rank=spelling.rank,
    )


def _read_tree(tree: Tree[Token]) -> Amount:
    if tree.data == "signed":
        sign, value = tree.children
        amount = read_amount(value)  # type: ignore[arg-type]
        return amount.negated() if sign == "-" else amount
    if tree.data == "difference":
        first, _, second = tree.children
        return _subtract(read_amount(first), read_amount(second))  # type: ignore[arg-type]
    return read_amount(tree.children[0])  # type: ignore[arg-type]


def _subtract(first: Amount, second: Amount) -> Amount:
    """Subtract a fraction; the unit printed behind it holds for both (``1-1/2"``)."""
    value = first.value - second.value
    return Amount(value=value, step=second.step, unit=second.unit, form=Form.FRACTION)


def _parse_tree(spelled: str, text: str) -> Tree[Token]:
    from lark import UnexpectedInput  # noqa: PLC0415  (heavy)

    try:
        return load_parser("lengths").parse(spelled)
    except UnexpectedInput as error:
        raise _not_a_length(error, spelled, text) from None


def _not_a_length(error: UnexpectedInput, spelled: str, text: str) -> NotALength:
    """Say where reading stopped, in the text as it was given, and what could have stood there."""
    ended = getattr(getattr(error, "token", None), "type", "") == "$END"
    at = None if ended else getattr(error, "pos_in_stream", None)
    done = spelled if at is None or at < 0 else spelled[:at]
    place = _locate(text, sum(not c.isspace() for c in done))
    rest = text[place:].strip()
    where = f'at character {place + 1} ("{rest[:20]}")' if rest else "at its end"
    return NotALength(
        f'"{text}" is no length, {where}', advice=f"expected {_name_expected(error)}; {_EXAMPLES}"
    )


def _locate(text: str, inked: int) -> int:
    """Index in `text` of the character that has `inked` visible ones before it."""
    for index, char in enumerate(text):
        if not char.isspace():
            if inked == 0:
                return index
            inked -= 1
    return len(text)


_NAMES = (
    ({"INTEGER", "DECIMAL", "FRACTION", "MIXED"}, "a number"),
    ({"INCH", "MILLIMETRE", "CENTIMETRE", "METRE", "FOOT"}, "a unit"),
    ({"$END"}, "nothing more"),
)


def _name_expected(error: UnexpectedInput) -> str:
    tokens: set[str] = set()
    for name in ("accepts", "expected", "allowed"):
        tokens |= set(getattr(error, name, None) or ())
    if getattr(error, "token", None) is None and "INCH" in tokens:
        tokens.add("$END")
    names = [name for kinds, name in _NAMES if kinds & tokens]
    return " or ".join(names) if names else "a number"
