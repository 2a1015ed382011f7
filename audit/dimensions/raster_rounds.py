"""All circles and arcs of a raster: full circles, rounded corners, and free arcs, in this order.

A hole with an arrowhead or tick in it is traced in bits, and the bits look like rounded corners
between the lines that cross it. So every arc is first fitted to the ink of its whole circle: where
that is drawn all round, it is a circle, whatever the bits looked like.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.dimensions.raster_arcs import (
    DrawnArc,
    distinct_arcs,
    fit_to_ink,
    inked_share,
    trace_arcs,
    without_chords,
)
from audit.dimensions.raster_fillets import find_fillets
from audit.dimensions.raster_holes import find_holes
from audit.dimensions.raster_lines import Dark, Pieces
from audit.geometry import Point
from audit.networks.page import Terminator

MOST_ARCS = 400  # fitted to the full raster, the longest first
DRAWN = 0.2  # share of an arc that is inked; a text or dashes may interrupt it
ROUND = 0.85  # share of a full circle that must be inked
CLEAR = 0.5  # share by which the ring beside a circle must be less inked than the circle
BESIDE_WIDTHS = 1.5  # of its line: how far beside a circle paper is looked for
FILLET_PX, FILLET_SHARE = 3.0, 0.3
MOST_FILLET_DEG = 200.0
IN_CIRCLE_PX = 4.0
AT_CENTRE_PX, SMALL_SHARE = 3.0, 0.2  # from a corner to a circle's centre; of its radius
GROWN_DEG, GROWN = 6.0, 0.75  # a step on along a circle; share of it that is inked
LEAST_GROWN_DEG = 30.0  # so far a side runs within a pixel or two of the circle of a small corner
GROWN_WIDTHS, GROWN_OFF_PX = 2.0, 5.0  # beside it paper must be; a corner's width is a rough one
MEET_DEG = 15.0  # between a corner and an arc that goes on from it: an arrowhead may stand there
MOST_GROWN_DEG = 190.0  # what is drawn further round is found all round
NEAR_RIM, TOUCHING_PX = 0.75, 2.0  # of a hole's radius, and beyond it: lines about its rim
RUNS_ON, EDGE = 0.6, 2.5  # of its radius: past it either way; length: longer than its own chords
HOLE_OFF = 0.25  # share of its radius by which a small hole may be off before it is fitted


def find_rounds(
    gray: NDArray[np.uint8],
    dark: Dark,
    pieces: Pieces,
    strokes: Pieces,
    *,
    factor: float,
    tips: Sequence[Terminator] = (),
) -> list[DrawnArc]:
    """Find circles and arcs.

    Parameters
    ----------
    gray : (h, w) uint8 array
        The full raster.
    dark : array
        The same at the network's scale, 0 paper to 1 ink.
    pieces : Pieces
        Straight middles as they were traced, in px of `dark`.
    strokes : Pieces
        The same joined to lines.
    factor : float
        Px of `dark` to a px of `gray`.
    tips : sequence of Terminator
        In px of `dark`; arrows among them may point at holes too small to be traced.

    Returns
    -------
    list of DrawnArc
        In px of `gray`.
    """
    traced = trace_arcs(pieces)
    fitted = [fit_to_ink(gray, scale_arc(arc, 1 / factor)) for arc in traced[:MOST_ARCS]]
    fitted = [_closed(dark, arc, factor) for arc in fitted]
    circles = distinct_arcs([arc for arc in fitted if arc.sweep >= 360.0])
    holes = find_holes(dark, tips, [scale_arc(arc, factor) for arc in circles])
    holes = [arc for arc in holes if not _is_inscribed(arc, strokes)]
    circles = distinct_arcs([*circles, *_fit_holes(gray, holes, factor)])
    at_scale = [scale_arc(arc, factor) for arc in circles]
    corners = find_fillets(dark, without_chords(strokes, traced + at_scale))
    fillets = [
        _grown(dark, f, [scale_arc(arc, factor) for arc in fitted if arc.sweep < 360.0])
        for f in corners
        if not any(_is_part_of(f, c) or _is_at_centre(f, c) for c in at_scale)
    ]
    free = [
        arc
        for arc in fitted
        if arc.sweep < 360.0
        and not any(_is_fillet(scale_arc(arc, factor), f) for f in fillets)
        and inked_share(dark, scale_arc(arc, factor)) > DRAWN
    ]
    return distinct_arcs(circles + free) + [scale_arc(arc, 1 / factor) for arc in fillets]


def scale_arc(arc: DrawnArc, by: float) -> DrawnArc:
    """Return an arc in px that are `by` times as many."""
    centre = Point(arc.centre.x * by, arc.centre.y * by)
    return DrawnArc(centre, arc.radius * by, arc.start, arc.sweep, arc.width * by)


def _fit_holes(gray: NDArray[np.uint8], rough: Sequence[DrawnArc], factor: float) -> list[DrawnArc]:
    """Fit small holes that arrows point at to the full raster, in px of it."""
    fitted = [(fit_to_ink(gray, scale_arc(arc, 1 / factor)), arc.radius / factor) for arc in rough]
    return [arc for arc, radius in fitted if abs(arc.radius - radius) < HOLE_OFF * radius]


def _is_inscribed(hole: DrawnArc, strokes: Pieces) -> bool:
    """Whether two lines touch a hole and run on past it either way.

    Between the edges of a narrow part, hatching and the edges make up something like a rim.
    """
    a, d = strokes.ends[:, :2], strokes.ends[:, 2:] - strokes.ends[:, :2]
    u = d / np.maximum(strokes.lengths, 1e-9)[:, None]
    to = np.array(hole.centre) - a
    along, aside = (to * u).sum(axis=1), np.abs(u[:, 0] * to[:, 1] - u[:, 1] * to[:, 0])
    past = np.minimum(along, strokes.lengths - along)
    near = (aside > NEAR_RIM * hole.radius) & (aside < hole.radius + TOUCHING_PX)
    near &= (past > RUNS_ON * hole.radius) & (strokes.lengths > EDGE * hole.radius)
    return int(near.sum()) > 1


def _closed(dark: Dark, arc: DrawnArc, factor: float) -> DrawnArc:
    """Make a full circle of an arc whose circle is drawn all round."""
    whole = DrawnArc(arc.centre, arc.radius, 0.0, 360.0, arc.width)
    ring = scale_arc(whole, factor)
    share = inked_share(dark, ring)
    if share < ROUND:
        return arc
    off = max(BESIDE_WIDTHS * ring.width, 3.0)
    beside = [
        inked_share(dark, DrawnArc(ring.centre, r, 0.0, 360.0, ring.width))
        for r in (ring.radius - off, ring.radius + off)
        if r > 2.0
    ]
    return whole if min(beside, default=0.0) < share - CLEAR else arc


def _grown(dark: Dark, fillet: DrawnArc, traced: Sequence[DrawnArc]) -> DrawnArc:
    """Go on along a corner's circle at both ends as far as it is drawn, or was traced by itself.

    The extension line of a rounded end touches it in the middle, and looks like a side of a corner
    there; past a corner the circle leaves its sides soon.
    """
    before = _drawn_on(dark, fillet, fillet.start, -GROWN_DEG)
    after = _drawn_on(dark, fillet, fillet.start + fillet.sweep, GROWN_DEG)
    near = [arc for arc in traced if _is_fillet(arc, fillet)]
    further = [arc for arc in near if max(_beyond(arc, fillet)) >= LEAST_GROWN_DEG]
    longest = max(further, key=lambda arc: arc.sweep, default=None)
    if longest is not None:
        before, after = _beyond(longest, fillet)
    before, after = (on if on >= LEAST_GROWN_DEG else 0.0 for on in (before, after))
    start, sweep = (fillet.start - before) % 360.0, min(fillet.sweep + before + after, 359.0)
    # one was fitted between lines that may be no sides of it, the other to ink of such lines too
    both = [fillet, longest] if longest is not None else [fillet]
    grown = [DrawnArc(a.centre, a.radius, start, sweep, both[-1].width) for a in both]
    return min(grown, key=lambda arc: _lopsided(dark, arc))


def _lopsided(dark: Dark, arc: DrawnArc) -> float:
    """How much darker it is on one side of an arc than on the other, half its line away, mean."""
    turns = np.radians(arc.start + np.arange(0.0, arc.sweep, 3.0))
    inner, outer = (
        cv2.remap(
            dark,
            np.asarray(arc.centre.x + r * np.cos(turns) - 0.5, np.float32)[None],
            np.asarray(arc.centre.y - r * np.sin(turns) - 0.5, np.float32)[None],
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        for r in (arc.radius - arc.width / 2, arc.radius + arc.width / 2)
    )
    return float(np.abs(inner - outer).mean())


def _beyond(arc: DrawnArc, fillet: DrawnArc) -> tuple[float, float]:
    """How far an arc reaches past a corner's start and end, degrees; 0 where they do not meet."""
    start = (arc.start - fillet.start + 180.0) % 360.0 - 180.0
    end = start + arc.sweep
    if start > fillet.sweep + MEET_DEG or end < -MEET_DEG:
        return 0.0, 0.0
    return max(-start, 0.0), max(end - fillet.sweep, 0.0)


def _drawn_on(dark: Dark, ring: DrawnArc, start: float, step: float) -> float:
    """How far a circle goes on being drawn from an end of an arc of it, degrees.

    `step` says which way, and how far at a time.
    """
    off = max(GROWN_WIDTHS * ring.width, GROWN_OFF_PX)
    on = 0.0
    while ring.sweep + on < MOST_GROWN_DEG:
        first = start + (on if step > 0 else -on - GROWN_DEG)
        shares = [
            inked_share(dark, DrawnArc(ring.centre, r, first, GROWN_DEG, ring.width))
            for r in (ring.radius, ring.radius - off, ring.radius + off)
            if r > 2.0
        ]
        # along a straight line, a letter or hatching one of the sides is inked too
        if shares[0] < GROWN or max(shares[1:]) > 1.0 - CLEAR:
            break
        on += GROWN_DEG
    return on


def _is_part_of(fillet: DrawnArc, circle: DrawnArc) -> bool:
    """Whether a rounded corner runs along a circle, or across it on what crosses it."""
    t = math.radians(fillet.start + fillet.sweep / 2)
    middle = Point(
        fillet.centre.x + fillet.radius * math.cos(t), fillet.centre.y - fillet.radius * math.sin(t)
    )
    on = abs(middle.distance(circle.centre) - circle.radius) < IN_CIRCLE_PX
    near = abs(fillet.centre.distance(circle.centre)) < circle.radius + IN_CIRCLE_PX
    return on and near and fillet.radius < 1.5 * circle.radius + IN_CIRCLE_PX


def _is_at_centre(fillet: DrawnArc, circle: DrawnArc) -> bool:
    """Whether a small corner is that of the lines which cross in the middle of a circle.

    Where a radius runs to it between centre lines, their blot looks rounded.
    """
    half = math.radians(180.0 - fillet.sweep) / 2
    vertex = fillet.radius / max(math.sin(half), 1e-6)
    off = abs(fillet.centre.distance(circle.centre) - vertex)
    return off < AT_CENTRE_PX and fillet.radius < SMALL_SHARE * circle.radius


def _is_fillet(arc: DrawnArc, fillet: DrawnArc) -> bool:
    """Whether a freely fitted arc is a rounded corner that was fitted between its lines."""
    play = FILLET_PX + FILLET_SHARE * fillet.radius
    near = arc.centre.distance(fillet.centre) < play and abs(arc.radius - fillet.radius) < play
    return near and arc.sweep < MOST_FILLET_DEG
