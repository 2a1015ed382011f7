"""What one printed statement says, taken apart."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from audit.lengths.callout import CalloutKind, PrintedTolerance
from audit.lengths.length import Length, Unit


class FormKind(StrEnum):
    """What a text that is no dimension is about.

    The first twelve are the kinds of `records.StatementKind`, by value; the others are texts that
    must not be taken for sizes.
    """

    NOTE = "general note"
    STOCK = "stock note"
    PARTS_ROW = "parts-list row"
    ITEM = "item number"
    TITLE = "title"
    SCALE = "scale"
    COUNT = "count"
    UNIT = "unit"
    NOT_TO_SCALE = "not to scale"
    TOLERANCE = "tolerance"
    GRID = "grid"
    ENLARGE = "enlarge"
    HAND = "hand"
    DATE = "date"
    SHEET = "sheet number"
    DRAWING = "drawing number"
    REVISION = "revision"
    ZONE = "zone"
    CONTACT = "contact"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementForm:
    """One thing a printed text states.

    Attributes
    ----------
    kind : FormKind
    text : str
        The normalised text it was read from; several forms may share it.
    value : Length or None
        The length it states: 1/4 of ``ALL PARTS 1/4 THICK``, 1/2 of ``1 SQUARE = 1/2 IN``.
    value_kind : CalloutKind or None
        What that length is the size of (`THICKNESS` of ``ALL PARTS 1/4 THICK``).
    count : int or None
        How many: 6 of ``MAKE 6``; the sheet's number for `SHEET`, the item's for `ITEM`.
    factor : Fraction or None
        Real over drawn: 2 of ``SCALE 1:2`` and ``HALF SIZE``, 48 of ``SCALE 1/4" = 1'-0"``, 1/2 of
        ``TWICE SIZE``. For `ENLARGE`, the factor to enlarge by: 2 of ``ENLARGE 200%``.
    subject : str
        What it is about, upper case: ``PARTS``, ``CAM``, ``B`` of ``DETAIL B``, ``LH/RH``.
    unit : Unit or None
        Of ``DIMENSIONS IN MM``.
    tolerance : PrintedTolerance or None
        Of ``TOLERANCE ±1/64``, in the unit of `value`'s sheet, or of its own sign.
    sizes : tuple of Length
        Of a parts-list row or a stock note, as printed: thickness × width × length as a rule.
    material : str
        Upper case; ``"`` where the row says the same as the one above.
    item : str
        Item number or letter of a parts-list row.
    unless_noted : bool
        The text itself allows exceptions.
    columns : tuple of str
        What each of `sizes` is where a table's heading or a sign beside it says so: ``T``, ``W``,
        ``L`` or ``D``.
    remark : str
        Why it was read so, when there was a choice.
    """

    kind: FormKind
    text: str
    value: Length | None = None
    value_kind: CalloutKind | None = None
    count: int | None = None
    factor: Fraction | None = None
    subject: str = ""
    unit: Unit | None = None
    tolerance: PrintedTolerance | None = None
    sizes: tuple[Length, ...] = ()
    material: str = ""
    item: str = ""
    columns: tuple[str, ...] = ()
    unless_noted: bool = False
    remark: str = ""
