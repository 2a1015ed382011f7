"""What a person gave in an earlier check of the same pages: papers, folds, known sizes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.records import Audit, KnownSize, Sheet, UserSet


@dataclass(frozen=True, slots=True, kw_only=True)
class Recalled:
    """Sheets as a person fixed their papers before, and the known sizes placed on them."""

    sheets: tuple[Sheet, ...]
    known_sizes: tuple[KnownSize, ...] = ()


def recall_sheets(sheets: Sequence[Sheet], before: Audit | None) -> Recalled:
    """Give sheets just opened what an audit holds of them already.

    Parameters
    ----------
    sheets : sequence of Sheet
    before : Audit or None

    Returns
    -------
    Recalled
        In the order and the numbers of `sheets`.
    """
    if before is None:
        return Recalled(sheets=tuple(sheets))
    earlier = match_pages(sheets, before.sheets)
    known = tuple(
        replace(size, sheet=sheet.id)
        for sheet in sheets
        if sheet.id in earlier
        for size in before.known_sizes
        if size.sheet == earlier[sheet.id].id and not size.by_tool
    )
    return Recalled(
        sheets=tuple(_with_paper(s, earlier.get(s.id)) for s in sheets), known_sizes=known
    )


def match_pages(sheets: Sequence[Sheet], others: Sequence[Sheet]) -> dict[int, Sheet]:
    """Find the same pages among other sheets; one that occurs several times in order.

    Parameters
    ----------
    sheets : sequence of Sheet
    others : sequence of Sheet

    Returns
    -------
    dict of int to Sheet
        By the number of each of `sheets` that was found.
    """
    waiting: dict[tuple[str, int], list[Sheet]] = {}
    for other in others:
        waiting.setdefault((other.digest, other.page), []).append(other)
    return {s.id: left.pop(0) for s in sheets if (left := waiting.get((s.digest, s.page)))}


def _with_paper(sheet: Sheet, earlier: Sheet | None) -> Sheet:
    if earlier is not None:
        sheet = replace(sheet, folds=earlier.folds)
    if earlier is None or UserSet.PAPER not in earlier.user_set:
        return sheet
    return replace(
        sheet,
        to_paper=earlier.to_paper,
        paper_known=earlier.paper_known,
        u_paper=earlier.u_paper,
        scatter=earlier.scatter,
        paper_box=earlier.paper_box,
        flatness=earlier.flatness,
        user_set=sheet.user_set | {UserSet.PAPER},
    )
