"""Folds and taped joints that a person marks on a sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from audit.errors import BadPlace
from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import Fold, Sheet
from audit.sheets import MarkedFold, check_on_sheet
from audit.store import SetFolds

OUTSIDE_SHARE = 0.02  # of the sheet's diagonal: a fold is clicked at the very edge
SAME_SHARE = 1e-3  # of it: places typed off a message are rounded by half a unit
MOST_FOLDS = 60  # a map folded five times each way; more is a mistake


def mark_folds(sheets: Sequence[Sheet], given: Sequence[MarkedFold]) -> tuple[Sheet, ...]:
    """Put folds on their sheets, beside those that these have.

    One that a sheet has already stays where it is, and keeps its step unless another is given.

    Parameters
    ----------
    sheets : sequence of Sheet
    given : sequence of MarkedFold
        Of any sheets.

    Returns
    -------
    tuple of Sheet

    Raises
    ------
    BadPlace
        If a fold does not lie on its sheet, or there are too many.
    """
    marked = []
    for sheet in sheets:
        folds = sheet.folds
        for one in given:
            if one.sheet == sheet.id:
                folds = _joined(folds, _on_sheet(one.fold, sheet), sheet)
        marked.append(sheet if folds == sheet.folds else replace(sheet, folds=_few(folds)))
    return tuple(marked)


def _joined(folds: tuple[Fold, ...], given: Fold, sheet: Sheet) -> tuple[Fold, ...]:
    """Add a fold, or state its step where it is there already."""
    near = SAME_SHARE * math.hypot(sheet.width, sheet.height)
    for at, fold in enumerate(folds):
        if min(_apart(fold, given.a, given.b), _apart(fold, given.b, given.a)) <= near:
            stated = replace(fold, step=given.step or fold.step)
            return (*folds[:at], stated, *folds[at + 1 :])
    return (*folds, given)


def _apart(fold: Fold, a: Point, b: Point) -> float:
    return max(fold.a.distance(a), fold.b.distance(b))


def add_fold(sheet: Sheet, places: Sequence[Point], *, step: Length | None) -> SetFolds:
    """Mark one more fold, or state the step of one that is there already.

    As in `mark_folds`; `change_fold` takes a stated step away.

    Parameters
    ----------
    sheet : Sheet
    places : sequence of 2 Point
        Two places on it, sheet frame.
    step : Length or None
        How far the two sides may be shifted; `None`: not known.

    Returns
    -------
    SetFolds
        To be recorded.

    Raises
    ------
    BadPlace
        If the places are none on this sheet, are one, or the step is no length.
    """
    a, b = places
    fold = _on_sheet(Fold(a=a, b=b, step=_step(step)), sheet)
    return SetFolds(sheet=sheet.id, folds=_few(_joined(sheet.folds, fold, sheet)))


def change_fold(sheet: Sheet, number: int, *, step: Length | None) -> SetFolds:
    """State another step of a fold, or (`None`) none.

    Parameters
    ----------
    sheet : Sheet
    number : int
        0, 1, … in its folds.
    step : Length or None

    Returns
    -------
    SetFolds
        To be recorded.

    Raises
    ------
    BadPlace
        If there is no such fold, or the step is no length.
    """
    at = _known(sheet, number)
    changed = replace(sheet.folds[at], step=_step(step))
    return SetFolds(sheet=sheet.id, folds=(*sheet.folds[:at], changed, *sheet.folds[at + 1 :]))


def drop_fold(sheet: Sheet, number: int) -> SetFolds:
    """Take a fold away.

    Parameters
    ----------
    sheet : Sheet
    number : int
        0, 1, … in its folds.

    Returns
    -------
    SetFolds
        To be recorded.

    Raises
    ------
    BadPlace
        If there is no such fold.
    """
    gone = _known(sheet, number)
    return SetFolds(sheet=sheet.id, folds=sheet.folds[:gone] + sheet.folds[gone + 1 :])


def _on_sheet(fold: Fold, sheet: Sheet) -> Fold:
    """Take places that lie a little beyond the edge, as clicks there do, to the edge."""
    room = OUTSIDE_SHARE * math.hypot(sheet.width, sheet.height)
    if not all(sheet.box.grown(room).contains(place) for place in (fold.a, fold.b)):
        check_on_sheet((fold.a, fold.b), sheet=sheet)
    a, b = (
        Point(min(max(p.x, 0.0), sheet.width), min(max(p.y, 0.0), sheet.height))
        for p in (fold.a, fold.b)
    )
    if a == b:
        raise BadPlace("both places on a fold are the same", advice="give two, far apart")
    return replace(fold, a=a, b=b)


def _known(sheet: Sheet, number: int) -> int:
    if not 0 <= number < len(sheet.folds):
        raise BadPlace(f"there is no fold {number}", advice="look at the sheet as it is now")
    return number


def _step(step: Length | None) -> Length | None:
    if step is not None and (step.unit is Unit.DEG or step.value <= 0):
        raise BadPlace("the step of a fold is a length above zero", advice="write 1 mm or 1/32 in")
    return step


def _few(folds: tuple[Fold, ...]) -> tuple[Fold, ...]:
    if len(folds) > MOST_FOLDS:
        raise BadPlace(f"{len(folds)} folds are more than a sheet has", advice="mark the main ones")
    return folds
