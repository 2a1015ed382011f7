"""Angles of a raster whose marks nobody sees: small dots on thick lines, ticks, no marks at all.

A text that says degrees stands on the arc, or beside it. So of every two lines around it that
would meet, the arc between them at about the text's distance from their crossing is looked for in
the ink. The number of degrees plays no part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audit.dimensions.candidates import ArcPlace, Candidate
from audit.dimensions.ink import Floats, Indices, Ink
from audit.dimensions.raster_forms import stands_on_arc
from audit.dimensions.raster_sectors import (
    EXACT_PT,
    MIN_BETWEEN_DEG,
    MIN_RADIUS_PT,
    ProbedArc,
    chords_of,
    share_drawn,
)
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import PageMaps
from audit.records import DimensionKind, End, EndKind

REACH_PT = 260.0  # between a text and the lines of its angle
MIN_LINE_PT = 12.0
MOST_LINES = 90
OFF_HEIGHTS = 2.2  # text heights between a text's middle and its arc
STEP_PT = 0.5
LEG_GAP_PT = 5.0  # how far short of the arc a leg may end
HEADS_PT = 4.0
STRENGTH = 0.8
MOST_TRIED = 1500


@dataclass(frozen=True, slots=True)
class _Corner:
    """Two strokes, their crossing, and the directions of the two sides a text stands between."""

    first: int
    second: int
    vertex: Point
    turns: tuple[float, float]
    low: float
    high: float


def find_unmarked(
    ink: Ink,
    texts: Sequence[SizeText],
    known: Sequence[Candidate],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> list[Candidate]:
    """Candidates for angles at texts in degrees that stand on no known angle's arc.

    Parameters
    ----------
    ink : Ink
    texts : sequence of SizeText
        In pt.
    known : sequence of Candidate
        Angles found already.
    maps : PageMaps
    px_per_pt : float
        Px of the raster that was looked at to a pt.
    """
    arcs = [a for c in known if c.kind is DimensionKind.ANGLE for a in c.arcs]
    chords = chords_of(ink)
    found = []
    for number, text in enumerate(texts):
        if text.form is TextForm.ANGLE and not any(stands_on_arc(a, text) for a in arcs):
            candidate = _at_text(ink, text, chords, maps, px_per_pt * maps.factor, number=number)
            if candidate is not None:
                found.append(candidate)
    return found


def _at_text(
    ink: Ink,
    text: SizeText,
    chords: frozenset[int],
    maps: PageMaps,
    scale: float,
    *,
    number: int,
) -> Candidate | None:
    """Find the arc best drawn between two lines around a text."""
    best: tuple[float, _Corner, float] | None = None
    for corner in _corners(ink, text, chords)[:MOST_TRIED]:
        start, stop = corner.turns
        for radius in np.arange(corner.low, corner.high, STEP_PT):
            heads = min(math.degrees(HEADS_PT / radius), 0.2 * (stop - start))
            arc = ProbedArc(corner.vertex, float(radius), [(start, stop)], heads)
            shown = share_drawn(maps, arc, scale=scale)
            if shown is not None and (best is None or shown > best[0] + 0.02):
                best = (shown, corner, float(radius))
    return None if best is None else _candidate(ink, best[1], best[2], number=number)


def _corners(ink: Ink, text: SizeText, chords: frozenset[int]) -> list[_Corner]:
    """Crossings of lines around a text that it stands between, longest lines first."""
    p = np.array(text.line.centre)
    which = _lines_around(ink, p, chords)
    e, u = ink.ends[which, :2], ink.units[which]
    length = ink.lengths[which]
    room = OFF_HEIGHTS * text.line.height
    found: list[tuple[float, _Corner]] = []
    for a in range(len(which) - 1):
        b = np.arange(a + 1, len(which))
        cross = u[a, 0] * u[b, 1] - u[a, 1] * u[b, 0]
        b, cross = (v[np.abs(cross) > math.sin(math.radians(MIN_BETWEEN_DEG))] for v in (b, cross))
        d = e[b] - e[a]
        ta = (d[:, 0] * u[b, 1] - d[:, 1] * u[b, 0]) / cross
        vertex = e[a] + ta[:, None] * u[a]
        to_text = p - vertex
        far = np.hypot(to_text[:, 0], to_text[:, 1])
        # which way along either line the text lies from the crossing
        alpha = (to_text[:, 0] * u[b, 1] - to_text[:, 1] * u[b, 0]) / cross
        beta = (u[a, 0] * to_text[:, 1] - u[a, 1] * to_text[:, 0]) / cross
        sa, sb = np.sign(alpha), np.sign(beta)
        low, high = np.maximum(far - room, MIN_RADIUS_PT), far + room
        for side, k in ((sa, np.full(len(b), a)), (sb, b)):
            s0 = ((e[k] - vertex) * u[k]).sum(axis=1) * side
            s1 = s0 + length[k] * side
            first, last = np.minimum(s0, s1), np.maximum(s0, s1)
            # a leg reaches the arc, from the vertex or from beyond
            low = np.maximum(low, first - LEG_GAP_PT)
            high = np.minimum(high, last + LEG_GAP_PT)
        for k in np.flatnonzero((high > low) & (far < REACH_PT) & (sa != 0) & (sb != 0)):
            i, j = a, int(b[k])
            turns = _turns(u[i] * sa[k], u[j] * sb[k])
            corner = _Corner(
                int(which[i]),
                int(which[j]),
                Point(float(vertex[k, 0]), float(vertex[k, 1])),
                turns,
                float(low[k]),
                float(high[k]),
            )
            found.append((-float(min(length[i], length[j])), corner))
    found.sort(key=lambda row: row[0])
    return [corner for _, corner in found]


def _lines_around(ink: Ink, p: Floats, chords: frozenset[int]) -> Indices:
    """Straight strokes near a place, the longest of them."""
    which = ink.straight[ink.lengths[ink.straight] > MIN_LINE_PT]
    which = which[[int(i) not in chords for i in which]] if len(which) else which
    d = p - ink.ends[which, :2]
    along = np.clip((d * ink.units[which]).sum(axis=1), 0.0, ink.lengths[which])
    foot = ink.ends[which, :2] + along[:, None] * ink.units[which]
    near = np.hypot(*(p - foot).T) < REACH_PT
    which = which[near]
    return np.asarray(which[np.argsort(-ink.lengths[which])][:MOST_LINES], np.intp)


def _turns(one: Floats, two: Floats) -> tuple[float, float]:
    """Directions of two sides, the second less than half round counter-clockwise."""
    a, b = (math.degrees(math.atan2(-v[1], v[0])) % 360.0 for v in (one, two))
    if (b - a) % 360.0 > 180.0:
        a, b = b, a
    return a, a + (b - a) % 360.0


def _candidate(ink: Ink, corner: _Corner, radius: float, *, number: int) -> Candidate:
    start, stop = corner.turns
    v = corner.vertex
    ends = []
    for turn in (start, stop):
        t = math.radians(turn)
        p = v.moved(radius * math.cos(t), -radius * math.sin(t))
        i = min((corner.first, corner.second), key=lambda k: abs(ink.line_of(k).place(p)[1]))
        ends.append(
            End(
                point=p,
                kind=EndKind.EXTENSION,
                sigma=EXACT_PT,
                line_width=float(ink.widths[i]),
            )
        )
    return Candidate(
        kind=DimensionKind.ANGLE,
        ends=(End(point=v, kind=EndKind.EXACT, sigma=EXACT_PT), *ends),
        line=(ends[0].point, ends[1].point),
        strength=STRENGTH,
        arcs=(ArcPlace(centre=v, radius=radius, start=start % 360.0, sweep=stop - start),),
        claims=frozenset({("unmarked", number)}),
        strict=True,
        wants=frozenset({"angle"}),
    )
