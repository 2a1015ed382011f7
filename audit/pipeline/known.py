"""How each known size of a sheet stands to the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.lengths import Unit
from audit.records import DimensionKind, End, EndKind, KnownSize, NoScale, Sheet
from audit.scale import pairs_of_known, scale_from_known, usable_known
from audit.uncertainty import measure


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownStanding:
    """What the other known sizes make of one.

    `residual` is the length they give it minus the one that was given, real mm, `expanded` its U
    (k = 2); both `None` where no other one is there, or the others fix no scale. `fits` False: it
    does not fit them. `across_fold`: a fold of unstated step runs between its places, so that it
    measures the step, and is compared with nothing.
    """

    residual: float | None
    expanded: float | None
    fits: bool | None
    across_fold: bool = False


_ALONE = KnownStanding(residual=None, expanded=None, fits=None)
_ACROSS = replace(_ALONE, across_fold=True)


def compare_known(known: Sequence[KnownSize], sheet: Sheet) -> tuple[KnownStanding, ...]:
    """Compare each known size of a sheet with what the others make of it.

    Parameters
    ----------
    known : sequence of KnownSize
        All of this sheet.
    sheet : Sheet

    Returns
    -------
    tuple of KnownStanding
        In their order.
    """
    usable = [bool(usable_known((size,), sheet=sheet)) for size in known]
    among = iter(_compare([k for k, counts in zip(known, usable, strict=True) if counts], sheet))
    return tuple(
        next(among) if counts else _ACROSS if sheet.folds_between(size.a, size.b) else _ALONE
        for size, counts in zip(known, usable, strict=True)
    )


def _compare(known: Sequence[KnownSize], sheet: Sheet) -> tuple[KnownStanding, ...]:
    """Compare known sizes that can set the scale."""
    if len(known) < 2:
        return (_ALONE,) * len(known)
    pairs = pairs_of_known(known, sheet=sheet)
    standings = []
    for k, size in enumerate(known):
        others = scale_from_known([*pairs[:k], *pairs[k + 1 :]], page=sheet.kind).scale
        if isinstance(others, NoScale):
            standings.append(_ALONE)
            continue
        ends = tuple(End(point=p, kind=EndKind.FREE, sigma=size.u_ends) for p in (size.a, size.b))
        seen = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=others)
        residual = seen.value - float(size.length.to(Unit.MM))
        fits = abs(residual) <= seen.expanded
        standings.append(KnownStanding(residual=residual, expanded=seen.expanded, fits=fits))
    return tuple(standings)
