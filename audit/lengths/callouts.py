"""Printed text to callouts, every reading kept."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from audit.errors import NotALength
from audit.lengths.amounts import Form
from audit.lengths.around import vary_around
from audit.lengths.assembly import assemble
from audit.lengths.callout import Callout, CalloutKind, Mark
from audit.lengths.dashes import vary_dashes
from audit.lengths.draft import NAMES, SIZES, Draft
from audit.lengths.grammar import load_parser
from audit.lengths.length import Unit, is_metric
from audit.lengths.named import names_screw
from audit.lengths.normal import ENDLESS_NUMBER, normalise
from audit.lengths.pairs import pair_units
from audit.lengths.pieces import Piece, read_pieces
from audit.lengths.placing import draw_up, is_lone_integer
from audit.lengths.settling import Context
from audit.lengths.spellings import (
    AS_WRITTEN,
    FAR_FETCHED,
    NUMBER,
    OPEN,
    Spelling,
    Vary,
    spell_units,
    vary_all,
    vary_lost_gap,
    vary_separators,
)
from audit.lengths.times import spell_counts, vary_leading_count, vary_times

# Longest text tried as a callout, in characters. A four-line hole callout has about a hundred.
MAX_CALLOUT_TEXT = 200
# More unknown words than this, and the text is a sentence that happens to hold a size.
_MOST_UNKNOWN = 3
# Whole numbers of more digits are telephone and part numbers.
_LONG_NUMBER = re.compile(rf"\d{{7,}}|{ENDLESS_NUMBER}|(?<![\d.,/])0\d+(?![\d.,/'\"]|\d*[.,/'\"])")
# A letter stuck to a fraction names something (G1/4 is a pipe); R and C are signs.
_STUCK_LETTER = re.compile(r"(?<![A-Z])[ABDE-QS-Z]\d+/\d", re.IGNORECASE)
_PURPOSE = re.compile(r"\b(?:FOR|SEE|PER) .*", re.IGNORECASE)
# Words of notes, titles and parts lists; a text that has one is read by `parse_statements`.
_NOTE_WORDS = re.compile(
    r"\b(?:SCALE|SHEET \d|SHT|DWG|DRAWING|DRAWN|DATE|REV(?:ISION)?|NOTES?|SECTION|DETAIL|VIEW|"
    r"ITEM|PART|PARTS|MAT'?L|MATERIALS?|TOLERANCES?|DIMENSIONS?|DIMS|"
    r"(?<!THRU )(?<!TYP )(?<!TYP\. )ALL|UNLESS|MAKE|"
    r"ENLARGE|REDUCE|PAGE|TEL|PHONE|FAX|COPYRIGHT|PRICE|FIG(?:URE)?|PLANS?|STEP|GRID|SQUARES?=|"
    r"DO NOT|ELEVATION|SIZE|VERSION|VOL|AGES?|YEARS?|HOURS?|MINUTES|WEIGHT|LBS?|KG|OZ|RPM)\b"
    r"|[$€£©%]|\d:\d\d ?[AP]M\b",
    re.IGNORECASE,
)


def parse_callouts(text: str, *, unit: Unit | None) -> tuple[Callout, ...]:
    """Read a printed callout in every way it can be meant.

    Parameters
    ----------
    text : str
        The whole callout, its lines joined by newline.
    unit : Unit or None
        What a bare number counts on this sheet, from notes or from the user; never guessed. With
        `None` a bare fraction counts inches (the remark says so) and a bare decimal or whole
        number gives a callout without a size. A unit in the text always wins, and so does a pair
        that only converts one way (``25.4 [1]``). Names of threads and drills fix their unit.

    Returns
    -------
    tuple of Callout
        Best first; empty when the text is no callout. Readings of `rank` 1 are as good as the
        first, those of rank 2 far-fetched: see `is_ambiguous`.

    Examples
    --------
    >>> [c] = parse_callouts("6X R 3/8 TYP", unit=Unit.IN)
    >>> c.count, c.kind, c.size.value, sorted(c.marks)
    (6, <CalloutKind.RADIUS: 'radius'>, Fraction(3, 8), [<Mark.TYPICAL: 'TYP'>])
    >>> parse_callouts("SHEET 2 OF 3", unit=Unit.IN)
    ()
    """
    if len(text) > MAX_CALLOUT_TEXT:
        return ()
    return _parse(normalise(text), unit)


def is_size_like(text: str) -> bool:
    """Whether a text must be accounted for as a size, a count or a ditto.

    Errs on the side of yes: what is left out here is never reported as unchecked.

    Parameters
    ----------
    text : str

    Returns
    -------
    bool
        True for callouts that hold a number or stand for one, and for short texts with a fraction,
        a feet-inches value, a sign or a unit in them, unless they are plainly something else (a
        date, a scale, a sheet number).

    Examples
    --------
    >>> is_size_like('3 9/32"'), is_size_like("R 3/8 (TYP)"), is_size_like("SECTION A-A")
    (True, True, False)
    """
    plain = normalise(text[: MAX_CALLOUT_TEXT + 1])
    if not any(c.isdigit() for c in plain) and not re.search(r"\bEQ|^(?:\"|DO\.?)$", plain, re.I):
        return False
    readings = parse_callouts(text, unit=None)
    if readings:
        return True
    return (
        len(plain.split()) <= _LONGEST_SIZE_TEXT
        and _SIZE_IN_WORDS.search(plain) is not None
        and _NOTE_WORDS.search(plain) is None
        and _LONG_NUMBER.search(plain) is None
    )


_LONGEST_SIZE_TEXT = 10  # words
_SIZE_IN_WORDS = re.compile(
    r"(?<![\d/-])\d{1,4}/\d{1,3}(?![\d/-])|\d+'-|\d[\"°]|[RØ] ?\.?\d|\.\d|\d ?(?:MM|CM|IN\b)|±",
    re.IGNORECASE,
)


@lru_cache(maxsize=4096)
def _parse(text: str, unit: Unit | None) -> tuple[Callout, ...]:
    named = _LONG_NUMBER.search(text) or _STUCK_LETTER.search(text)
    if not text or named or _NOTE_WORDS.search(_PURPOSE.sub("", text)):
        return ()
    found: dict[Callout, Callout] = {}
    for spelling in _spell_out(text, unit):
        for callout in _read_spelling(spelling, text=text, unit=unit):
            found.setdefault(replace(callout, rank=0, remark=""), callout)
    return _rank(found.values())


def _rank(callouts: Iterable[Callout]) -> tuple[Callout, ...]:
    """Sort by rank; when the literal reading makes no callout, the next best takes its place."""
    ranked = sorted(callouts, key=lambda c: c.rank)
    if not ranked or ranked[0].rank == AS_WRITTEN:
        return tuple(ranked)
    best, *rest = ranked
    raised = [replace(c, rank=OPEN) if c.rank == best.rank else c for c in rest]
    return (replace(best, rank=AS_WRITTEN), *raised)


def _spell_out(text: str, unit: Unit | None) -> tuple[Spelling, ...]:
    steps = (
        vary_around,
        vary_lines,
        spell_phrases,
        vary_stray_point(unit),
        spell_counts,
        spell_units,
        vary_leading_count,
        vary_times,
        vary_separators(unit),
        vary_dashes,
        vary_lost_gap,
    )
    return vary_all(Spelling(text=text), steps)


_PHRASES = tuple(
    (re.compile(pattern, re.IGNORECASE), plain)
    for pattern, plain in (
        # a label of a table of sizes: A = 3/8; D = and R = are signs, t = a thickness
        (r"^D ?= ?(?=[\d.])", "Ø"),
        (r"\b(R|DIA\.?|RAD\.?) ?= ?(?=[\d.])", r"\1 "),
        (r"^(?!T)[A-Z] ?= ?(?=[\dØR.])", ""),
        (rf"({NUMBER}) TAPER(?:S|ED)? TO (?=\d)", r"TAPER \1 TO "),
        # the size stands only in the purpose: CLEARANCE HOLE FOR #8 SCREW
        (r"^(\D*\b)FOR (?=#|NO\b|\d|M\d)", r"\1"),
    )
)


def spell_phrases(spelling: Spelling) -> Iterable[Spelling]:
    """Bring a few fixed phrases into the order that the grammar expects."""
    text = spelling.text
    for pattern, plain in _PHRASES:
        text = pattern.sub(plain, text)
    yield spelling.also(text, AS_WRITTEN, "")


_STRAY_POINT = re.compile(
    r"(?<=[A-Z])(?<!APPROX)(?<!CA)\. (?=\d{2,4}(?![\d/.,'\"]))", re.IGNORECASE
)


def vary_stray_point(unit: Unit | None) -> Vary:
    """Return the step for ``R. 125``: the point may end a word or begin a decimal."""

    def vary(spelling: Spelling) -> Iterable[Spelling]:
        yield spelling
        if not is_metric(unit) and _STRAY_POINT.search(spelling.text):
            text = _STRAY_POINT.sub(" .", spelling.text)
            yield spelling.also(text, OPEN, "point read as part of the number")

    return vary


_STACKED = re.compile(r"(\d*\.\d+)\n(\d*\.\d+)")


def vary_lines(spelling: Spelling) -> Iterable[Spelling]:
    """Lines are pauses; a phrase may run over them; two decimals alone are stacked limits."""
    text = spelling.text
    if "\n" not in text:
        yield spelling
        return
    if _STACKED.fullmatch(text):
        yield spelling.also(_STACKED.sub(r"\1/\2", text), AS_WRITTEN, "")
        return
    yield spelling
    joined = re.sub(r"\n(?=[^\d.])|(?<=[^\d\"'])\n", " ", text)
    if joined != text:
        yield spelling.also(joined, AS_WRITTEN, "")


def _read_spelling(spelling: Spelling, *, text: str, unit: Unit | None) -> Iterator[Callout]:
    """Yield what one spelling says, once for each thing that `(2)` or `#10` can be in it."""
    from lark import UnexpectedInput  # noqa: PLC0415  (heavy)

    try:
        pieces = read_pieces(load_parser("callouts").parse(spelling.text))
    except (UnexpectedInput, NotALength):
        return
    for lone, lone_rank in _lone_choices(pieces, unit):
        draft = draw_up(pieces, lone=lone)
        for named_as, name_rank in _name_choices(draft):
            context = Context(text=text, unit=unit, named_as=named_as, lone=lone)
            callout = assemble(draft, context)
            if callout is None or not _is_convincing(callout, draft, unit):
                continue
            rank = max(spelling.rank, lone_rank, name_rank)
            lone_remark = _LONE_REMARKS.get(lone, "") if callout.reference else ""
            remarks = (spelling.remark, lone_remark, callout.remark)
            yield replace(callout, rank=rank, remark="; ".join(r for r in remarks if r))


_LONE_REMARKS = {"reference": "number in parentheses read as a reference size"}
_FEW = 12  # a count at one callout; larger whole numbers in parentheses are rather sizes


def _lone_choices(pieces: tuple[Piece, ...], unit: Unit | None) -> tuple[tuple[str, int], ...]:
    """List what a whole number in parentheses may be, with ranks.

    Alone, it can be all three. Beside a size it is a count, unless it converts.
    """
    lone = [p for p in pieces if is_lone_integer(p)]
    if not lone:
        first = pieces[0].inner if len(pieces) == 1 else ()
        if len(first) == 1 and first[0].form == "amount" and _may_be_second(first[0], unit):
            return (("count", AS_WRITTEN), ("second", OPEN))
        return (("count", AS_WRITTEN),)
    few = lone[0].inner[0].amounts[0].value <= _FEW
    if any(p.form in (*SIZES, *NAMES, "plural") for p in pieces):
        if lone[0] is pieces[0]:
            return (("count", AS_WRITTEN),)
        if _converts(pieces, lone[0]):
            return (("reference", AS_WRITTEN), ("count", OPEN if few else FAR_FETCHED))
        return (("count", AS_WRITTEN), ("reference", FAR_FETCHED if few else OPEN))
    if few:
        return (("count", AS_WRITTEN), ("reference", OPEN), ("second", OPEN))
    second = OPEN if unit is Unit.IN else FAR_FETCHED
    return (("reference", AS_WRITTEN), ("second", second), ("count", FAR_FETCHED))


def _may_be_second(piece: Piece, unit: Unit | None) -> bool:
    """Whether an enclosed number is written the way the other unit is: (88.9), (.875), (3 1/2).

    Millimetres are printed to two places at most, inches to two at least or as fractions.
    """
    amount = piece.amounts[0]
    if amount.unit is not None or unit not in (Unit.IN, Unit.MM):
        return False
    if unit is Unit.IN:
        return amount.form is not Form.FRACTION and amount.step in (0, _TENTH, _HUNDREDTH)
    return amount.form is Form.FRACTION or 0 < amount.step <= _HUNDREDTH


_TENTH, _HUNDREDTH = Fraction(1, 10), Fraction(1, 100)


def _converts(pieces: tuple[Piece, ...], lone: Piece) -> bool:
    first = next((p for p in pieces if p.form == "amount"), None)
    if first is None:
        return False
    return pair_units(first.amounts[0], lone.inner[0].amounts[0], unit=None) is not None


# Things with numbers of their own, which are neither drills nor screws.
_OTHER_NUMBERED = frozenset(
    ["WIRE", "GAUGE", "NAIL", "NAILS", "BRAD", "BRADS", "BISCUIT", "BISCUITS", "GRIT"]
)


def _name_choices(draft: Draft) -> tuple[tuple[str, int], ...]:
    """List what a bare ``#10`` may be: told by the words beside it, else both."""
    if not any(term.form == "screw_name" for term in draft.terms):
        return (("", AS_WRITTEN),)
    nouns = {word for noun in draft.nouns for word in noun.split()}
    if _OTHER_NUMBERED & {*nouns, *draft.words}:
        return ()
    if Mark.DRILL in draft.marks:
        return (("drill", AS_WRITTEN),)
    if names_screw(draft.nouns) or Mark.TAP in draft.marks:
        return (("screw", AS_WRITTEN),)
    if Mark.CLEARANCE in draft.marks:
        return (("screw", AS_WRITTEN), ("drill", OPEN))
    return (("drill", AS_WRITTEN), ("screw", OPEN))


# .50 RIB   1.25 WEB: nothing but a size has a decimal point first, or two places, as inches have
# them; 2.3 may number a chapter. What hangs on a number, or is no word, may be misread figures.
_DECIMAL_FIRST = re.compile(r"\(?(?:\.\d+|\d+\.\d\d+) [A-Z]{3}", re.IGNORECASE)


def _is_convincing(callout: Callout, draft: Draft, unit: Unit | None) -> bool:
    """Whether a text with unknown words, or with hardly anything, is a callout all the same."""
    if _is_zone(draft, unit) or _is_plies(draft, unit):
        return False
    if not draft.words:
        return True
    if len(draft.words) > _MOST_UNKNOWN or not draft.terms:
        return False
    first = draft.terms[0]
    signed = first.kind is not None or callout.kind is CalloutKind.THREAD or bool(callout.drill)
    written = any(a.unit is not None or a.form is Form.FRACTION for a in first.amounts)
    decimal = _DECIMAL_FIRST.match(callout.text) is not None
    return signed or written or decimal


def _is_plies(draft: Draft, unit: Unit | None) -> bool:
    """Whether this is ``5 PLY``: layers, unless the sheet is in millimetres."""
    plies = any(noun.startswith("PLY") for noun in draft.nouns)
    lone = len(draft.terms) == 1 and draft.terms[0].is_bare_integer
    return plies and lone and not is_metric(unit)


def _is_zone(draft: Draft, unit: Unit | None) -> bool:
    """Whether this is ``C4`` on an inch sheet: a zone of its border, not a four-inch chamfer."""
    if len(draft.terms) != 1 or draft.terms[0].kind is not CalloutKind.CHAMFER:
        return False
    if not draft.terms[0].amounts:  # C 1/4-20: a thread, whose sizes are no amounts
        return False
    amount = draft.terms[0].amounts[0]
    return amount.form is Form.INTEGER and amount.unit is None and unit is Unit.IN
