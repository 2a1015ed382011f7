"""Where every size-like text of the plan ended up: silence must never read as approval."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from audit.checks.names import read_rule
from audit.geometry import Box
from audit.geometry.box_index import BoxIndex
from audit.records import (
    Dimension,
    KnownSize,
    Reading,
    SheetText,
    Statement,
    StatementKind,
    TextState,
    Verdict,
)

SAME_SHARE = 0.5  # two boxes show one text when they share half of the smaller one
ONE_PLACE = 0.6  # of the box around both

_COMPARED = frozenset({Verdict.AGREES, Verdict.DISAGREES, Verdict.TOO_CLOSE})
_SET_ASIDE = {
    Verdict.NOT_CRITICAL: "set aside: not critical",
    Verdict.NOT_A_DIMENSION: "set aside: not a dimension",
}
_UNUSED_STATEMENT = {
    StatementKind.NOTE: "a general note; nothing was compared with it",
    StatementKind.STOCK: "a stock note; nothing was compared with it",
    StatementKind.PARTS_ROW: "a row of the parts list; it was not compared with the drawings",
    StatementKind.COUNT: "a count; it was not compared with what the assembly needs",
    StatementKind.ITEM: "a lone number: an item, or a size whose dimension was not found",
    StatementKind.SCALE: "a stated scale; no measured scale to compare it with",
    StatementKind.TOLERANCE: "a printed tolerance; not applied",
    StatementKind.ENLARGE: "says to enlarge the sheet; not applied",
    StatementKind.GRID: "a printed grid; not used as a known size",
}
# Statements that size nothing: they explain the sheet and need no checking.
_PLAIN_STATEMENTS = frozenset({StatementKind.TITLE, StatementKind.UNIT, StatementKind.NOT_TO_SCALE})
LOOSE = "no dimension was found that this text belongs to"
RULE = "the length of a printed rule: give it as a known size, to know how true the print is"


def account_for(
    texts: Iterable[SheetText],
    dimensions: Iterable[Dimension],
    *,
    statements: Iterable[Statement] = (),
    summed: Collection[int] = (),
    used: Collection[Statement] = (),
    known: Iterable[KnownSize] = (),
) -> tuple[SheetText, ...]:
    """Say of every size-like text whether it was compared, and if not, why not.

    Parameters
    ----------
    texts : Iterable[SheetText]
        As read; a text a person set aside stays set aside.
    dimensions : Iterable[Dimension]
        Judged. Texts that only they hold are added.
    statements : Iterable[Statement]
        General notes, counts, parts-list rows and the like.
    summed : Collection[int]
        Ids of dimensions that entered chains or other arithmetic.
    used : Collection[Statement]
        Statements that something was compared with.
    known : Iterable[KnownSize]
        Known sizes that scales rest on.

    Returns
    -------
    tuple[SheetText, ...]
        Every text once, in the order of `texts`, then the added ones; titles, units and the like
        are left out.
    """
    dimensions = [d for d in dimensions if d.reading is not None]
    statements, known = tuple(statements), tuple(known)
    claimed: set[int] = set()
    told: list[SheetText] = []
    read = BoxIndex([d.reading.box for d in dimensions if d.reading is not None])
    stated = BoxIndex([s.box for s in statements])
    for text in texts:
        mine = [d for k in read.meeting(text.box) if _is_of(text, d := dimensions[k])]
        claimed.update(d.id for d in mine)
        says = _told_by([s for k in stated.meeting(text.box) if _says(text, s := statements[k])])
        if text.state is TextState.SET_ASIDE:
            told.append(text)
        elif mine:
            told.append(_by_dimensions(text, mine, summed))
        elif says is None:
            told.append(_by_known(text, known))
        elif says.kind not in _PLAIN_STATEMENTS:
            told.append(_by_statement(text, says, used))
    told.extend(_by_dimensions(_as_text(d), [d], summed) for d in dimensions if d.id not in claimed)
    return tuple(told)


def _is_of(text: SheetText, dimension: Dimension) -> bool:
    reading = dimension.reading
    if reading is None or dimension.sheet != text.sheet:
        return False
    if not _share_place(text.box, reading.box):
        return False
    # Boxes of slanting texts overlap their neighbours: the words must match too, unless the two
    # boxes are one (then a person has typed what is really printed).
    return _same_words(text.text, reading.text) or _is_one_place(text.box, reading.box)


def _same_words(first: str, second: str) -> bool:
    a, b = "".join(first.split()), "".join(second.split())
    return a in b or b in a


def _is_one_place(first: Box, second: Box) -> bool:
    wide = min(first.x1, second.x1) - max(first.x0, second.x0)
    high = min(first.y1, second.y1) - max(first.y0, second.y0)
    whole = first.union(second)
    return first == second or max(wide, 0.0) * max(high, 0.0) >= ONE_PLACE * (
        whole.width * whole.height
    )


def _told_by(statements: Sequence[Statement]) -> Statement | None:
    """The first statement of a text; its lone number only where it states nothing else."""
    return min(statements, key=lambda s: s.kind is StatementKind.ITEM, default=None)


def _says(text: SheetText, statement: Statement) -> bool:
    return statement.sheet == text.sheet and _share_place(text.box, statement.box)


def _share_place(first: Box, second: Box) -> bool:
    """Whether two boxes overlap by half of the smaller one, or one lies in the other."""
    # asked of every two texts of a sheet: nearly all lie apart
    beside = second.x0 >= first.x1 or second.x1 <= first.x0
    if beside or second.y0 >= first.y1 or second.y1 <= first.y0 or first == second:
        return first == second
    wide = min(first.x1, second.x1) - max(first.x0, second.x0)
    high = min(first.y1, second.y1) - max(first.y0, second.y0)
    smaller = min(first.width * first.height, second.width * second.height)
    if wide <= 0 or high <= 0 or smaller <= 0:
        return False
    return wide * high >= SAME_SHARE * smaller


def _by_dimensions(
    text: SheetText, dimensions: list[Dimension], summed: Collection[int]
) -> SheetText:
    """Let the best judged of the dimensions that share a text speak for it."""
    if any(d.verdict in _COMPARED for d in dimensions):
        return replace(text, state=TextState.COMPARED, why=None)
    if any(d.id in summed for d in dimensions):
        return replace(text, state=TextState.ARITHMETIC, why="used in sums only")
    for dimension in dimensions:
        if dimension.verdict in _SET_ASIDE:
            why = _SET_ASIDE[dimension.verdict]
            return replace(text, state=TextState.SET_ASIDE, why=why)
    return replace(text, state=TextState.NOT_CHECKED, why=dimensions[0].why or "not compared")


def _by_known(text: SheetText, known: Iterable[KnownSize]) -> SheetText:
    """Say of a text without a dimension whether it is that of a known size."""
    length = read_rule(text.text)
    if length is None:
        return replace(text, state=TextState.NOT_CHECKED, why=LOOSE)
    if any(k.sheet == text.sheet and k.length == length for k in known):
        return replace(text, state=TextState.ARITHMETIC, why="used as a known size")
    return replace(text, state=TextState.NOT_CHECKED, why=RULE)


def _by_statement(text: SheetText, statement: Statement, used: Collection[Statement]) -> SheetText:
    if statement in used:
        return replace(text, state=TextState.COMPARED, why=None)
    why = _UNUSED_STATEMENT.get(statement.kind, "nothing was compared with it")
    return replace(text, state=TextState.NOT_CHECKED, why=why)


def _as_text(dimension: Dimension) -> SheetText:
    reading: Reading | None = dimension.reading
    if reading is None:
        raise ValueError("a dimension without a text has none to account for")
    return SheetText(
        sheet=dimension.sheet,
        text=reading.text,
        box=reading.box,
        angle=reading.angle,
        confidence=reading.confidence,
        by=reading.by,
        state=TextState.NOT_CHECKED,
    )
