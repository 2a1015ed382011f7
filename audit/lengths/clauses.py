"""The clauses of a statement, and one reader for each form the grammar knows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, cast

from audit.errors import NotALength
from audit.lengths.amounts import Amount, Form, read_amount, read_number
from audit.lengths.callout import CalloutKind, PrintedTolerance
from audit.lengths.length import Length, Unit
from audit.lengths.statement import FormKind, StatementForm
from audit.lengths.tables import unit_factors

if TYPE_CHECKING:
    from lark import Token, Tree

_NAMED_FACTORS = (
    ("THREE", Fraction(4, 3)),
    ("HALF", Fraction(2)),
    ("QUARTER", Fraction(4)),
    ("THIRD", Fraction(3)),
    ("EIGHTH", Fraction(8)),
    ("TWICE", Fraction(1, 2)),
    ("DOUBLE", Fraction(1, 2)),
    ("TRIPLE", Fraction(1, 3)),
    ("FULL", Fraction(1)),
    ("ACTUAL", Fraction(1)),
    ("TRUE", Fraction(1)),
    ("LIFE", Fraction(1)),
)
_ROLE_KINDS = (
    ("TH", CalloutKind.THICKNESS),
    ("DIA", CalloutKind.DIAMETER),
    ("Ø", CalloutKind.DIAMETER),
    ("DEEP", CalloutKind.DEPTH),
    ("SQ", CalloutKind.SQUARE),
    ("R", CalloutKind.RADIUS),
)


def find_forms(
    pieces: list[Tree[Token]], *, text: str, unit: Unit | None
) -> Iterator[StatementForm]:
    """Yield what the pieces of one text state, in printed order."""
    yield from _Scan(pieces, text, unit).find_forms()


def read_text(piece: Tree[Token]) -> str:
    """Return the printed text of a piece, upper case."""
    return " ".join(str(token) for token in piece.scan_values(lambda _: True)).upper()


def read_amounts(piece: Tree[Token]) -> list[Amount]:
    """Return the amounts in a piece; none when one of them is no number (``7/0``)."""
    try:
        return [
            read_amount(cast("Tree[Token]", child))
            for child in piece.children
            if hasattr(child, "data") and child.data in ("plain", "feet", "feet_inches", "angle")
        ]
    except NotALength:
        return []


def has_form(pieces: Iterable[Tree[Token]], form: str) -> bool:
    """Tell whether one of the pieces has this form."""
    return any(piece.data == form for piece in pieces)


class _Scan:
    """One pass over the pieces of a text; what it needs to remember between them."""

    def __init__(self, pieces: list[Tree[Token]], text: str, unit: Unit | None) -> None:
        self.pieces = pieces
        self.text = text
        self.unit = unit

    def find_forms(self) -> Iterator[StatementForm]:
        """Yield what the pieces state, in order."""
        clauses = list(self._split_clauses())
        for clause, following in zip(clauses, [*clauses[1:], []], strict=True):
            excepted = has_form(clause, "unless") or has_form(following[:1], "unless")
            for form in self._read_clause(clause, excepted=excepted):
                yield replace(form, unless_noted=excepted)

    def _split_clauses(self) -> Iterator[list[Tree[Token]]]:
        clause: list[Tree[Token]] = []
        for piece in self.pieces:
            if piece.data == "pause":
                yield clause
                clause = []
            else:
                clause.append(piece)
        yield clause

    def _read_clause(self, clause: list[Tree[Token]], *, excepted: bool) -> Iterator[StatementForm]:
        subject = name_subject(clause) or name_subject(self.pieces)
        found = False
        for piece in clause:
            reader = _READERS.get(str(piece.data))
            form = reader(piece, self) if reader else None
            if form is not None:
                found = True
                wants = form.kind in (FormKind.COUNT, FormKind.HAND) and not form.subject
                yield replace(form, subject=subject) if wants else form
        kinds = {str(piece.data) for piece in clause}
        if "general" in kinds or (excepted and "amount" in kinds and not found):
            yield from self._read_note(clause)
        elif kinds & {"stock", "material"}:
            yield from self._read_stock(clause, kinds)
        elif not found:
            yield from self._read_bare(clause)

    def _read_note(self, clause: list[Tree[Token]]) -> Iterator[StatementForm]:
        """``ALL PARTS 1/4 THICK``; a general note without a size says nothing we can use."""
        length = next((n for n in map(self.length_of, clause) if n is not None), None)
        if length is None:
            return
        words = name_subject(clause)
        kind = _role_of(clause) or _role_in_words(words)
        yield self.form(FormKind.NOTE, value=length, value_kind=kind, subject=words)

    def _read_stock(self, clause: list[Tree[Token]], kinds: set[str]) -> Iterator[StatementForm]:
        """``3/8 STOCK``, ``MATERIAL: 3/8 BIRCH PLYWOOD``; a wood's name alone is no statement."""
        lengths = [n for n in map(self.length_of, clause) if n is not None]
        named = [read_text(p) for p in clause if p.data in ("stock", "word")]
        material = " ".join(word for word in named if word not in _FILLERS)
        if not lengths and not (material and "material" in kinds):
            return
        thick = len(lengths) == 1 and "DOWEL" not in material
        kind = _role_of(clause) or (CalloutKind.THICKNESS if thick else None)
        yield self.form(
            FormKind.STOCK,
            value=lengths[0] if lengths else None,
            value_kind=kind if lengths else None,
            sizes=tuple(lengths),
            material=material,
        )

    def _read_bare(self, clause: list[Tree[Token]]) -> Iterator[StatementForm]:
        """Read a lone small whole number: an item number, unless it is a size."""
        if len(self.pieces) != 1 or not has_form(clause, "amount"):
            return
        amounts = read_amounts(clause[0])
        if amounts and amounts[0].form is Form.INTEGER and amounts[0].unit is None:
            number = int(amounts[0].value)
            if number <= _LAST_ITEM:
                remark = "could be a size"
                yield self.form(FormKind.ITEM, count=number, item=str(number), remark=remark)

    def length_of(self, piece: Tree[Token]) -> Length | None:
        """Length of an `amount` piece, `None` for any other or one whose unit nobody knows."""
        if piece.data != "amount":
            return None
        amounts = read_amounts(piece)
        return amounts[0].to_length(self.unit) if amounts else None

    def form(self, kind: FormKind, **what: object) -> StatementForm:
        """Make a form that carries the text."""
        return StatementForm(kind=kind, text=self.text, **what)  # type: ignore[arg-type]


_LAST_ITEM = 99  # item numbers of a plan; a larger lone number is a size or a code


def name_subject(pieces: Sequence[Tree[Token]]) -> str:
    """Join the free words: what a count or a note is about."""
    words = [read_text(piece) for piece in pieces if piece.data == "word"]
    return " ".join(word for word in words if word not in _FILLERS)


_FILLERS = frozenset(
    ("TO", "BE", "ARE", "IS", "THE", "OF", "ONE", "EACH", "AND", "A", "FROM", "IN", "AT", "SIZE")
)


def _role_of(pieces: list[Tree[Token]]) -> CalloutKind | None:
    for piece in pieces:
        if piece.data == "role":
            word = read_text(piece)
            return next((kind for start, kind in _ROLE_KINDS if word.startswith(start)), None)
    return None


def _role_in_words(words: str) -> CalloutKind | None:
    """``ALL RADII``, ``ALL FILLETS``, ``ALL HOLES``: the noun names the kind."""
    for names, kind in _NOUN_KINDS:
        if any(name in words.split() for name in names):
            return kind
    return None


_NOUN_KINDS = (
    (("RADII", "RADIUS", "FILLETS", "ROUNDS", "CORNERS", "EDGES"), CalloutKind.RADIUS),
    (("HOLES", "HOLE", "DOWELS", "PINS", "AXLES"), CalloutKind.DIAMETER),
    (("MATERIAL", "STOCK", "PLY", "PLYWOOD", "THICKNESS"), CalloutKind.THICKNESS),
    (("CHAMFERS", "BEVELS"), CalloutKind.CHAMFER),
)


# ---- one reader for each form ------------------------------------------------------------------


def _read_made(piece: Tree[Token], scan: _Scan) -> StatementForm:
    digits = re.search(r"\d+", read_text(piece))
    assert digits is not None, "the grammar asks for a number"
    return scan.form(FormKind.COUNT, count=int(digits[0]))


def _read_hand(piece: Tree[Token], scan: _Scan) -> StatementForm | None:
    return scan.form(FormKind.HAND, subject=read_text(piece))


def _read_scale(piece: Tree[Token], scan: _Scan) -> StatementForm | None:
    text = read_text(piece)
    if "NONE" in text:
        return scan.form(FormKind.NOT_TO_SCALE)
    amounts = read_amounts(piece)
    if len(amounts) == 2:
        return scan.form(FormKind.SCALE, factor=_divide(amounts[1], amounts[0], scan.unit))
    if len(amounts) == 1:
        factor = 1 / amounts[0].value if amounts[0].value and amounts[0].unit is None else None
        remark = "a number alone read as drawn over real" if factor else ""
        return scan.form(FormKind.SCALE, factor=factor, remark=remark)
    if ":" in text and re.search(r"\d ?:", text):
        return _read_ratio(piece, scan)
    return scan.form(FormKind.SCALE, factor=_named_factor(text))


_NO_SCALE = frozenset(("TAPER", "TAPERED", "TAPERS", "SLOPE", "PITCH", "DRAFT", "MIX", "RATIO"))


def _read_ratio(piece: Tree[Token], scan: _Scan) -> StatementForm | None:
    drawn, real = re.findall(r"\d+(?:\.\d+)?", read_text(piece))[-2:]
    taper = _NO_SCALE & {read_text(other) for other in scan.pieces}
    if taper or Fraction(drawn) == 0 or Fraction(real) == 0:
        return None
    return scan.form(FormKind.SCALE, factor=Fraction(real) / Fraction(drawn))


def _read_equation(piece: Tree[Token], scan: _Scan) -> StatementForm | None:
    """``3/4" = 1'-0"`` alone is a scale; ``5 @ 3" = 15"`` is a sum, and so is a text with more."""
    drawn, real = read_amounts(piece)
    busy = any(p.data in ("amount", "join", "by") for p in scan.pieces)
    if busy or real.unit is None or drawn.value == 0 or drawn == real:
        return None
    factor = _divide(real, drawn, scan.unit)
    return None if factor is None else scan.form(FormKind.SCALE, factor=factor)


def _divide(real: Amount, drawn: Amount, unit: Unit | None) -> Fraction | None:
    """Real over drawn; a bare number beside a printed unit counts inches beside feet and inches."""
    printed = {a.unit for a in (real, drawn) if a.unit is not None}
    shared = printed.pop() if len(printed) == 1 else unit
    lengths = [amount.to_length(shared or Unit.IN) for amount in (real, drawn)]
    if None in lengths or any(n is None or n.unit is Unit.DEG for n in lengths):
        return None
    top, bottom = cast("list[Length]", lengths)
    return None if bottom.value == 0 else top.to(bottom.unit).value / bottom.value


def _named_factor(text: str) -> Fraction | None:
    """Real over drawn of ``HALF SIZE``, ``1/4 SIZE``, ``2X SIZE``, ``50%``."""
    number = re.search(r"(\d+/\d+)|(\d+)X|(\d+(?:\.\d+)?) ?(?:%|PERCENT)", text)
    if number is None:
        return next((factor for name, factor in _NAMED_FACTORS if name in text), None)
    if number[1]:
        drawn = read_number(number[1])[0]
    else:
        drawn = Fraction(number[2]) if number[2] else Fraction(number[3]) / 100
    return 1 / drawn if drawn else None


def _read_sized(piece: Tree[Token], scan: _Scan) -> StatementForm:
    return scan.form(FormKind.SCALE, factor=_named_factor(read_text(piece)))


def _read_grid(piece: Tree[Token], scan: _Scan) -> StatementForm | None:
    amounts = read_amounts(piece)
    length = amounts[0].to_length(scan.unit) if amounts else None
    return None if length is None else scan.form(FormKind.GRID, value=length)


def _read_enlarge(piece: Tree[Token], scan: _Scan) -> StatementForm | None:
    shrunk = _named_factor(read_text(piece))
    return scan.form(FormKind.ENLARGE, factor=1 / shrunk) if shrunk else None


_UNIT_SYSTEMS = {"MMGS": Unit.MM, "IPS": Unit.IN}


def _read_units(piece: Tree[Token], scan: _Scan) -> StatementForm:
    name = re.split(r"[ :]", read_text(piece).rstrip("."))[-1]
    times, unit = unit_factors().get(name, (1, _UNIT_SYSTEMS.get(name, Unit.IN)))
    unit = next((u for u in Unit if u.counted is unit and u.times == times), unit)
    return scan.form(FormKind.UNIT, unit=unit, subject=name)


def _read_tolerance(piece: Tree[Token], scan: _Scan) -> StatementForm | None:
    """Signed deviations in the caller's unit, unless they carry their own."""
    amounts = read_amounts(piece)
    lengths = [amount.to_length(scan.unit) for amount in amounts]
    if not lengths or any(length is None for length in lengths):
        return None
    first, last = cast("list[Length]", [lengths[0], lengths[-1]])
    tolerance = PrintedTolerance(upper=first.value, lower=-last.to(first.unit).value)
    return scan.form(FormKind.TOLERANCE, value=first, unit=first.unit, tolerance=tolerance)


def _read_numbered(kind: FormKind) -> Callable[[Tree[Token], _Scan], StatementForm | None]:
    def read(piece: Tree[Token], scan: _Scan) -> StatementForm:
        text = read_text(piece)
        number = re.search(r"\d+", text)
        count = int(number[0]) if number and kind in (FormKind.SHEET, FormKind.ITEM) else None
        name = text.split()[-1].lstrip("#:") if kind is FormKind.ITEM else ""
        return scan.form(kind, subject=text, count=count, item=name)

    return read


def _read_title(piece: Tree[Token], scan: _Scan) -> StatementForm:
    return scan.form(FormKind.TITLE, subject=read_text(piece))


_READERS: dict[str, Callable[[Tree[Token], _Scan], StatementForm | None]] = {
    "made": _read_made,
    "hand": _read_hand,
    "scale": _read_scale,
    "ratio": _read_ratio,
    "equation": _read_equation,
    "sized": _read_sized,
    "grid": _read_grid,
    "squares": _read_grid,
    "enlarge": _read_enlarge,
    "units": _read_units,
    "tolerance": _read_tolerance,
    "not_to_scale": _read_numbered(FormKind.NOT_TO_SCALE),
    "caution": _read_numbered(FormKind.CAUTION),
    "title": _read_title,
    "sheet": _read_numbered(FormKind.SHEET),
    "sheet_of": _read_numbered(FormKind.SHEET),
    "date": _read_numbered(FormKind.DATE),
    "drawing": _read_numbered(FormKind.DRAWING),
    "revision": _read_numbered(FormKind.REVISION),
    "contact": _read_numbered(FormKind.CONTACT),
    "item": _read_numbered(FormKind.ITEM),
}
