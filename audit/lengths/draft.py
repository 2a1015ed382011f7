"""A callout while it is being put together: which word belongs to which size.

Legend: a *term* is one size of the callout (an amount, limits, a thread, a drill name); its *role*
says how it stands to the first one (deep, long, by …); an *operation* that opens a new feature
(counterbore, countersink, spotface) is kept with its term.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from audit.lengths.amounts import Amount, Form
from audit.lengths.callout import CalloutKind, CountForm, Mark
from audit.lengths.length import Unit
from audit.lengths.pieces import Piece

SIZES = ("amount", "limits")
NAMES = ("thread", "screw_name", "drill_letter")


@dataclass(slots=True, kw_only=True)
class Term:
    """One size of a callout, and the words that belong to it."""

    form: str
    amounts: tuple[Amount, ...] = ()
    text: str = ""
    kind: CalloutKind | None = None
    role: str = ""
    feature: Mark | None = None
    fit: str = ""
    deviations: tuple[Amount, ...] = ()

    @property
    def is_angle(self) -> bool:
        """Whether its number is printed as an angle."""
        return bool(self.amounts) and self.amounts[0].unit is Unit.DEG

    @property
    def is_bare_integer(self) -> bool:
        """Whether it is a whole number with no unit and no sign."""
        first = self.amounts[0] if len(self.amounts) == 1 else None
        return (
            first is not None
            and first.form is Form.INTEGER
            and first.unit is None
            and self.kind is None
        )


@dataclass(slots=True, kw_only=True)
class Draft:
    """Everything a callout says, before units are settled."""

    terms: list[Term] = field(default_factory=list)
    marks: set[Mark] = field(default_factory=set)
    count: int | None = None
    count_form: CountForm | None = None
    whole_kind: CalloutKind | None = None
    reference: bool = False
    ditto: bool = False
    bracketed: bool = False
    tap: bool = False
    slope: bool = False
    pipe: bool = False
    ratio: str = ""
    total: Amount | None = None
    beside: list[Piece] = field(default_factory=list)
    nouns: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    grade: str = ""
    unclear: bool = False
    pending: list[str] = field(default_factory=list)
    pending_by: bool = False
    pending_feature: Mark | None = None

    @property
    def last(self) -> Term | None:
        """The latest size."""
        return self.terms[-1] if self.terms else None
