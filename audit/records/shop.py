"""What a workshop needs of each part: records that the shop sheet, its table and the page share.

Every text is ready to be shown. Sizes are exact (`Length`) where they are known.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from audit.lengths import Length


class SizeFrom(StrEnum):
    """What a finished size comes from."""

    PRINTED = "printed"
    LISTED = "listed"
    DECIDED = "decided"
    SCALED = "scaled"
    NOTE = "general note"
    MEASURED = "measured"
    GIVEN = "given"
    MISSING = "missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedSize:
    """One side of a part: ``T``, ``W``, ``L`` or ``D`` (diameter).

    `size` is `None` when it is missing; `source` tells what it comes from and `says` tells it in
    words where that matters (``decided, No. 4``); `dimensions` are those it rests on.
    """

    side: str
    size: Length | None
    source: SizeFrom
    says: str = ""
    dimensions: tuple[int, ...] = ()


class ToolKind(StrEnum):
    """What cuts."""

    DRILL = "drill"
    BORE = "bore"
    CUTTER = "cutter"
    TAP = "tap"
    ANGLE = "angle"
    SLOT = "slot"
    CHAMFER = "chamfer"
    TURN = "turn"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """A tool that a part needs: its name, where it is used, and how often on each piece.

    `key` is alike for uses of one set-up.
    """

    kind: ToolKind
    name: str
    key: str
    use: str
    times: int = 1
    note: str = ""
    dimension: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """Something that must not be cut yet, and why; `dimension` or `finding` is its number."""

    part: str
    says: str
    code: str = ""
    finding: int | None = None
    dimension: int | None = None
    suggestion: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopPart:
    """One part as it goes to the shop.

    Attributes
    ----------
    name : str
    item : str
        Its number in the parts list; may be empty.
    count : int or None
        To make; `None` when nothing or different things are said.
    count_says : str
        Why the count is not sure; empty otherwise.
    spares : int
    material : str
    sizes : tuple of FinishedSize
        Thickness, width, length; or diameter and length of round stock.
    rough : tuple of Length or None
        Sizes to cut first, in the order of `sizes`.
    tools : tuple of Tool
    grain : str
    cautions : tuple of str
    holds : tuple of Hold
    sheets : tuple of int
        That draw or list it.
    views : tuple of int
    drawn, listed : bool
    unchecked : int
        Printed sizes of its drawings that were not checked.
    """

    name: str
    item: str = ""
    count: int | None = None
    count_says: str = ""
    spares: int = 0
    material: str = ""
    sizes: tuple[FinishedSize, ...] = ()
    rough: tuple[Length | None, ...] = ()
    tools: tuple[Tool, ...] = ()
    grain: str = ""
    cautions: tuple[str, ...] = ()
    holds: tuple[Hold, ...] = ()
    sheets: tuple[int, ...] = ()
    views: tuple[int, ...] = ()
    drawn: bool = True
    listed: bool = True
    unchecked: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """Parts that are made with one setting of a machine."""

    kind: str
    setting: str
    uses: tuple[str, ...]
    held: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAccount:
    """What one sheet draws and lists, so that nothing is left on it.

    `parts` are the names drawn there, `loose` the views that belong to no part, `undrawn` the
    listed parts that no sheet draws (on the sheet with the list).
    """

    sheet: int
    name: str
    views: int
    parts: tuple[str, ...]
    loose: tuple[str, ...] = ()
    undrawn: tuple[str, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether every view belongs to a part, and every listed part is drawn."""
        return not self.loose and not self.undrawn


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopList:
    """Everything that goes to the shop.

    `general` are findings that belong to no part (a stretched sheet); `allowance` what rough sizes
    are larger by; `bought` rows of the parts list, as printed, of what nobody makes (screws).
    """

    name: str
    coverage: str
    parts: tuple[ShopPart, ...]
    holds: tuple[Hold, ...]
    set_ups: tuple[SetUp, ...]
    accounts: tuple[SheetAccount, ...]
    general: tuple[str, ...] = ()
    allowance: Length
    metric: bool = False
    bought: tuple[str, ...] = ()
