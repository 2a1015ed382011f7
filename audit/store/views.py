"""Which view a dimension belongs to, once a person has drawn or joined views."""

from __future__ import annotations

from dataclasses import replace

from audit.geometry import Point
from audit.records import Dimension, UserSet, View
from audit.store.state import State


def settle_views(state: State) -> State:
    """Put dimensions into the views that a person drew.

    A dimension whose middle lies in a view whose box a person set goes there (the smallest such
    view); one that a person assigned stays; one whose view is gone follows the joined view.
    """
    drawn = sorted(
        (v for v in state.views.values() if UserSet.BOX in v.user_set),
        key=lambda v: (v.box.width * v.box.height, v.id),
    )
    into = {m.view.id: m.into for m in state.head.merged_views}
    dimensions = {
        number: _settled(dimension, drawn, into) for number, dimension in state.dimensions.items()
    }
    return replace(state, dimensions=dimensions)


def _settled(dimension: Dimension, drawn: list[View], into: dict[int, int]) -> Dimension:
    view = dimension.view
    seen: set[int] = set()
    while view in into and view not in seen:
        seen.add(view)
        view = into[view]
    if UserSet.VIEW not in dimension.user_set and dimension.ends:
        middle = middle_of(dimension)
        inside = (v.id for v in drawn if v.sheet == dimension.sheet and v.box.contains(middle))
        view = next(inside, view)
    return dimension if view == dimension.view else replace(dimension, view=view)


def middle_of(dimension: Dimension) -> Point:
    """Return the mean of a dimension's ends, in the sheet's frame."""
    count = len(dimension.ends)
    return Point(
        sum(e.point.x for e in dimension.ends) / count,
        sum(e.point.y for e in dimension.ends) / count,
    )
