"""Views of two scales that were taken as one: their sizes vote for two, and stand apart.

A detail at twice the size beside its view, with a leader or a line between them, comes as one view.
By one scale alone half of its right sizes would be wrong, or all of them unmeasured. Where the few
sizes of a detail stand amid others it is told by the ratio that details have, or by two sizes that
are off alike; where a straight line parts both (`parting`), or each stands together (`mingled`), by
what they agree on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.records import Finding, Place, Severity, Sheet, View
from audit.scale.findings import name_view, say, start_sentence
from audit.scale.mingled import find_mingled, is_beside
from audit.scale.modes import NEAR, RATIOS
from audit.scale.pairs import Pair
from audit.scale.parting import SAME_RATIO, SLIPS, find_parted
from audit.scale.solving import GATE, first_widths
from audit.scale.votes import is_agreed

LEAST_EACH = 3  # sizes that vote for each scale
LEAST_TWIN = 2  # sizes off by one odd ratio
TWIN = 0.01  # relative; by how much that ratio may differ between them
LEAST_SHARE = 0.75  # of a view's sizes that vote for one or the other
ALIKE_DEG = 15.0  # between lengths that measure in one direction


@dataclass(frozen=True, slots=True)
class Split:
    """The part of a view that is drawn at another scale; `part` is its number among the pairs.

    `box` and `rest` are about the middles of the sizes of the part, and of the others; where these
    stand amid each other, `amid` are both.
    """

    view: int
    part: int
    box: Box
    rest: Box
    ratio: float
    amid: tuple[tuple[Point, ...], tuple[Point, ...]] | None = None

    def holds(self, middle: Point) -> bool:
        """Whether a size with such a middle belongs to the part."""
        if self.amid is not None:
            return is_beside(middle, *self.amid)
        return _distance(self.box, middle) < _distance(self.rest, middle)


@dataclass(frozen=True, slots=True)
class _Found:
    """Which sizes stand where the rest does and where the part does, and which are of the part."""

    sides: tuple[NDArray[np.bool_], NDArray[np.bool_]]
    other: NDArray[np.bool_]
    ratio: float
    amid: bool = False


def split_views(
    pairs: Sequence[Pair], *, floor: float
) -> tuple[tuple[Pair, ...], tuple[Split, ...]]:
    """Take the sizes of a second scale out of their views.

    Parameters
    ----------
    pairs : sequence of Pair
        Of one sheet.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    tuple of (tuple of Pair, tuple of Split)
        The pairs in their order, those of a second scale in a part of their own, numbered below 0.
    """
    part_of: dict[int, int] = {}
    splits = []
    for view in sorted({p.view for p in pairs}):
        own = [p for p in pairs if p.view == view]
        found = _second_scale(own, floor) or _beyond_a_cut(own, floor) or _amid(own, floor)
        if found is None:
            continue
        splits.append(_split(view, own, found))
        other = _nearly_other(own, found.other)
        part_of.update(dict.fromkeys((p.source for p in _those(own, other)), -view))
    moved = tuple(replace(p, view=part_of.get(p.source, p.view)) for p in pairs)
    return moved, tuple(splits)


def _split(view: int, own: Sequence[Pair], found: _Found) -> Split:
    rest, mine = (tuple(p.middle for p in _those(own, side)) for side in found.sides)
    return Split(
        view=view,
        part=-view,
        box=Box.around(mine),
        rest=Box.around(rest),
        ratio=found.ratio,
        amid=(mine, rest) if found.amid else None,
    )


def _nearly_other(own: Sequence[Pair], other: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which sizes say the second scale, or nearly: a wrong one is measured by the one it is near.

    Where it stands tells less, as dimension lines of one drawing reach into the next.
    """
    logs = np.array([math.log(p.real / p.drawn) for p in own])
    off = [np.abs(logs - np.median(logs[group])) for group in (~other, other)]
    near = [(a <= NEAR) & (a < b / 2) for a, b in (off, off[::-1])]
    return np.asarray(np.where(near[0] == near[1], other, near[1]), np.bool_)


def _those(own: Sequence[Pair], which: NDArray[np.bool_]) -> list[Pair]:
    return [p for p, inside in zip(own, which, strict=True) if inside]


def _beyond_a_cut(own: Sequence[Pair], floor: float) -> _Found | None:
    """Find two views that a straight line parts, whatever the ratio of their scales."""
    parted = find_parted(own, floor)
    if parted is None:
        return None
    if not _run_alike(_those(own, ~parted.other), _those(own, parted.other)):
        return None
    return _Found((~parted.beyond, parted.beyond), parted.other, math.exp(parted.off))


def _amid(own: Sequence[Pair], floor: float) -> _Found | None:
    """Find two scales of drawings that stand amid each other."""
    mingled = find_mingled(own, floor)
    if mingled is None:
        return None
    other = mingled.other
    if not _run_alike(_those(own, ~other), _those(own, other)):
        return None
    return _Found((~other, other), other, math.exp(mingled.off), amid=True)


def _second_scale(own: Sequence[Pair], floor: float) -> _Found | None:
    """Find the smaller group of two that agree on a scale each, and how much larger it is drawn."""
    if len(own) < LEAST_EACH + LEAST_TWIN:
        return None
    logs = np.array([math.log(p.real / p.drawn) for p in own])
    widths = GATE * first_widths(own, floor)
    first = _largest_group(logs, widths, np.ones(len(own), np.bool_))
    agreed = is_agreed(int(first.sum()), len(own), vouched=False)
    # a page bends: what is left of a view that has a scale need not agree so exactly
    second = _largest_group(logs, np.maximum(widths, TWIN if agreed else 0.0), ~first)
    a, b = int(first.sum()), int(second.sum())
    if b < LEAST_TWIN or a + b < LEAST_SHARE * len(own):
        return None
    off = float(np.median(logs[first]) - np.median(logs[second]))
    at_ratio = min(abs(off - math.log(r)) for r in RATIOS) <= SAME_RATIO
    if agreed or (b < LEAST_EACH and is_agreed(a, len(own) - b, vouched=False)):
        # the view has a scale, and the others are wrong by it; unless all by one odd ratio
        if at_ratio or not _are_twins(_those(own, second), off):
            return None
    elif b < LEAST_EACH or not at_ratio:
        return None
    one, other = _those(own, first), _those(own, second)
    if not _stand_apart(one, other) or not _run_alike(one, other):
        return None
    return _Found((~second, second), second, math.exp(off))


def _are_twins(part: Sequence[Pair], off: float) -> bool:
    """Whether different sizes are off by one ratio that is no slip's, and too exactly for chance.

    People slip by factors of 2, of 12, of 25.4, each number by itself; never two by 1.7.
    """
    if abs(off) < NEAR or min(abs(abs(off) - math.log(s)) for s in SLIPS) < SAME_RATIO:
        return False
    logs = [math.log(p.real / p.drawn) for p in part]
    sizes = [p.real for p in part]
    return max(logs) - min(logs) < TWIN and max(sizes) > (1 + SAME_RATIO) * min(sizes)


def _largest_group(
    logs: NDArray[np.float64], widths: NDArray[np.float64], free: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Return those that agree with the one that most agree with."""
    near = np.abs(logs[:, None] - logs[None, :]) <= np.minimum(widths[:, None], widths[None, :])
    near &= free[:, None] & free[None, :]
    return np.asarray(near[int(near.sum(axis=1).argmax())], dtype=np.bool_)


def _stand_apart(one: Sequence[Pair], other: Sequence[Pair]) -> bool:
    a, b = (Box.around([p.middle for p in group]) for group in (one, other))
    return a.x1 < b.x0 or b.x1 < a.x0 or a.y1 < b.y0 or b.y1 < a.y0


def _run_alike(one: Sequence[Pair], other: Sequence[Pair]) -> bool:
    """Whether both groups measure in some direction: else one view may be drawn stretched."""
    first, second = (np.array([(p.dx, p.dy) for p in group], float) for group in (one, other))
    across = first[:, :1] * second[:, 1] - first[:, 1:] * second[:, 0]
    long = np.hypot(*first.T)[:, None] * np.hypot(*second.T)
    return bool((np.abs(across) < math.sin(math.radians(ALIKE_DEG)) * long).any())


def _distance(box: Box, place: Point) -> float:
    dx = max(box.x0 - place.x, place.x - box.x1, 0.0)
    dy = max(box.y0 - place.y, place.y - box.y1, 0.0)
    return math.hypot(dx, dy)


def split_findings(
    splits: Sequence[Split], views: Mapping[int, View], *, sheet: Sheet
) -> tuple[Finding, ...]:
    """Tell of parts of views that are drawn at another scale (S106, a note).

    Parameters
    ----------
    splits : sequence of Split
    views : mapping of int to View
        Of this sheet, by number.
    sheet : Sheet

    Returns
    -------
    tuple of Finding
        One a part.
    """
    return tuple(
        say(
            "S106",
            f"{start_sentence(name_view(views[s.view]))} shows sizes at two scales: part of it is "
            f"drawn {_say_times(s.ratio)} as large as the rest, and measured so. If it is drawn as "
            "the rest is, its sizes are wrong.",
            places=[Place(sheet=sheet.id, box=s.box)],
            severity=Severity.NOTE,
        )
        for s in splits
        if s.view in views
    )


def _say_times(ratio: float) -> str:
    return f"{ratio:.3g} times" if ratio >= 1 else f"1/{1 / ratio:.3g}"
