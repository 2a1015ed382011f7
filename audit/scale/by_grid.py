"""Which views of a sheet its printed grid rules: those drawn on it, and those that fit its scale.

A known size that a person gives rules the whole sheet. A printed grid is a part of one view, as the
pattern of a rounded part beside its other views is, and those may be drawn at any scale.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.geometry import Box
from audit.records import KnownSize, NoScale, Scale, View
from audit.scale.pairs import Pair
from audit.uncertainty import expand, real_length

TELLING = 0.06  # relative; a size known no better fits scales that nobody takes for one


def views_off_grid(views: Sequence[View], known: Sequence[KnownSize]) -> tuple[View, ...]:
    """Return the views that stand beside the printed grid that set the known sizes.

    Parameters
    ----------
    views : sequence of View
        Of one sheet.
    known : sequence of KnownSize
        Of that sheet.

    Returns
    -------
    tuple of View
        None where a person gave a known size, which rules everywhere.
    """
    if not known or not all(k.by_tool for k in known):
        return ()
    grid = Box.around([(p.x, p.y) for k in known for p in (k.a, k.b)])
    return tuple(
        v for v in views if not (grid.contains(v.box.centre) or v.box.contains(grid.centre))
    )


def fits_grid(pairs: Sequence[Pair], scale: Scale | NoScale, *, floor: float) -> bool:
    """Say whether the sizes of a view that stands beside the grid fit its scale.

    Parameters
    ----------
    pairs : sequence of Pair
        Of the view; one that has none says nothing against the grid's scale.
    scale : Scale or NoScale
        Of the grid.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    bool
        As soon as half of them do, of those that could tell.
    """
    if not pairs or isinstance(scale, NoScale):
        return not pairs
    limits = {p.source: expand(math.hypot(p.u_paper, floor) / p.drawn) for p in pairs}
    telling = [p for p in pairs if limits[p.source] <= TELLING] or pairs
    fitting = [
        p
        for p in telling
        if abs(math.log(p.real / real_length((p.dx, p.dy), scale)))
        <= max(limits[p.source], p.tolerance / p.real)
    ]
    return 2 * len(fitting) >= len(telling)
