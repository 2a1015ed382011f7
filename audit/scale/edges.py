"""Which edge of thick outlines the sizes of a view run to, settled by its own printed sizes.

A snapped point lies in the middle of its line. When the plan means the outer or inner edges of a
0.6 mm line, every such length is off by the same 0.6 mm, which no scale can explain once lengths
differ; five of them tell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from audit.records import Dimension, Edge, EndKind, PageKind, Settings, Sheet, View
from audit.scale.pairs import drafting_floor, pairs_of_dimensions
from audit.scale.solving import misfits, usual_misfits
from audit.uncertainty.measure import ON_THE_MEASURE

LEAST_OUTLINES = 5
# How clearly the best edge must win: the log likelihood ratio, (sizes - fitted) times ln(misfit of
# the next best over its own). Simulated views settled wrongly once in a hundred or less. Of the
# middle of the line less does: most are drawn so.
CLEARLY = {
    edge: 5.0 - (math.log(2 * ON_THE_MEASURE / (1 - ON_THE_MEASURE)) if edge is Edge.CENTRE else 0)
    for edge in Edge
}
FITTED = 2  # a scale each way
EXACT_MM = 1e-4  # of paper; no drawing fits better


def settle_edges(
    views: Iterable[View], dimensions: Sequence[Dimension], *, sheet: Sheet, settings: Settings
) -> tuple[View, ...]:
    """Settle the edge of the views whose printed sizes tell it, or those of their picture.

    Parameters
    ----------
    views : Iterable[View]
        Of one sheet; a view whose edge is settled already keeps it.
    dimensions : Sequence[Dimension]
        Of that sheet, with their readings.
    sheet : Sheet
        Where they are.
    settings : Settings
        Confidence limit and how the plan was drawn.

    Returns
    -------
    tuple[View, ...]
        With `edge` set where it could be told.
    """
    settled = [
        v if v.edge is not None else replace(v, edge=_edge_of([v], dimensions, sheet, settings))
        for v in views
    ]
    if sheet.kind is PageKind.VECTOR or all(v.edge is not None for v in settled):
        return tuple(settled)
    habit = _edge_of([v for v in settled if v.edge is None], dimensions, sheet, settings)
    return tuple(v if v.edge is not None else replace(v, edge=habit) for v in settled)


def _edge_of(
    views: Sequence[View], dimensions: Iterable[Dimension], sheet: Sheet, settings: Settings
) -> Edge | None:
    numbers = {v.id for v in views}
    own = [d for d in dimensions if d.view in numbers]
    thick = {
        d.id for d in own if any(e.kind is EndKind.OUTLINE and e.line_width > 0 for e in d.ends)
    }
    if len(thick) < LEAST_OUTLINES:
        return None
    floor = drafting_floor(sheet, settings)
    left, count = [], 0
    for edge in Edge:
        trial = [replace(v, edge=edge) for v in views]
        # sizes between thin lines are the same by every edge: they hold the scale
        pairs = pairs_of_dimensions(own, trial, sheet=sheet, settings=settings)
        if sum(p.source in thick for p in pairs) < LEAST_OUTLINES:
            return None
        count = len(pairs)
        left.append(misfits(pairs, page=sheet.kind, floor=floor))
    free = count - FITTED - (len({p.view for p in pairs}) - 1)
    if free < 1:
        return None
    usual = np.maximum(usual_misfits(left), EXACT_MM)
    likely = -free * np.log(usual)
    second, best = np.sort(likely)[-2:]
    edge = tuple(Edge)[int(likely.argmax())]
    return edge if best - second >= CLEARLY[edge] else None
