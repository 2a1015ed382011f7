"""Leaders followed in the ink from their note to the circle that they end at.

A leader may be swept in a bow, or end at a circle without any head (common practice, no source).
Chords of a bow join neither each other nor a straight line, so it is walked along instead: from the
note outwards, going on as straight as the ink allows, over whatever it crosses, to where it ends.
Where it ends, on a rim and aimed at the centre, stands the circle that the note is about.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.candidates import Candidate
from audit.dimensions.ink import Line
from audit.dimensions.leaders import unit
from audit.dimensions.linear import opposite_ends
from audit.dimensions.raster_arcs import fit_to_ink
from audit.dimensions.raster_holes import find_holes
from audit.dimensions.raster_leader_choice import HALF_DEG, merge_leaders
from audit.dimensions.raster_page import as_arc
from audit.dimensions.raster_rounds import HOLE_OFF, scale_arc
from audit.dimensions.raster_walk_ends import (
    HEADING,
    Meet,
    Walk,
    ended_at,
    that_end,
    to_surest_head,
)
from audit.dimensions.raster_walk_steps import STEP_PT, FollowedInk, go_on
from audit.dimensions.raster_walked_rims import on_followed_rim
from audit.dimensions.text_places import distance_to_text, line_of_text, place_of_text
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import PageMaps, Terminator
from audit.records import Arc, DimensionKind, End, EndKind

SIGNED = (TextForm.RADIUS, TextForm.DIAMETER)
FROM_TEXT = 1.8  # letter heights from a note's end to its leader's, at most
BESIDE = 0.9  # letter heights that the leader's end stands above or below the note's middle
SETTING_OUT_DEG = np.arange(-70.0, 71.0, 10.0)  # off the way of writing
FIRST_PT, FIRST_INKED = 4.0, 0.9  # a leader begins with so much of straight ink
BEFORE_PT = 2.0  # and before its end is paper
SHOULDER_PT = 30.0  # of a leader with an elbow, from its note
CORNER_DEG = np.array([-80, -70, -60, -50, -40, -30, -20, 20, 30, 40, 50, 60, 70, 80], float)
LEAST_PT = 9.0
REACHED = 1.6  # letter heights between a note and the end of a leader that was found before
ABOUT_PT = 30.0  # from a walk's end: there a hole is looked for
KNOWN_PT = 2.0  # between centres and radii of one circle fitted twice
PROBED = range(1, 18, 3)  # steps back from the end: it may lie on a hole's far rim
STRENGTH = 0.8


def with_walked(
    found: Sequence[Candidate],
    texts: Sequence[SizeText],
    rounds: Sequence[Arc],
    *,
    terminators: Sequence[Terminator],
    gray: NDArray[np.uint8],
    maps: PageMaps,
    px_per_pt: float,
) -> list[Candidate]:
    """Add candidates for radii and diameters whose notes no leader was found at.

    Parameters
    ----------
    found : sequence of Candidate
        A note at the end of one of these leaders is left alone, if a mark shows its circle.
    texts : sequence of SizeText
        Those that say R, Ø, or what is done to a hole set out; in pt.
    rounds : sequence of Arc
        Circles and arcs that a leader may end at, in pt.
    terminators : sequence of Terminator
        The network's, the weak ones too, in pt.
    gray : (h, w) uint8 array
        The raster, on which small holes are fitted.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    list of Candidate
    """
    tails = [c.line[-1] for c in found if c.leader and not c.strict]
    dark = FollowedInk(maps.dark, px_per_pt * maps.factor)
    led = []
    for number, text in enumerate(texts):
        if text.form not in SIGNED or _is_reached(text, tails):
            continue
        for walk in that_end(walk_out(text, dark), terminators):
            holes = []
            if text.form is TextForm.DIAMETER:
                holes = _holes_at(walk, gray, maps, px_per_pt=px_per_pt)
                holes = [h for h in holes if not any(_is_known(h, arc) for arc in rounds)]
            meet = ended_at(walk, [*holes, *rounds], terminators, text.form)
            if text.form is TextForm.RADIUS:
                meet = on_followed_rim(meet, to_surest_head(walk, terminators) or walk, dark)
            if meet is not None:
                led.append(_candidate(text, walk, meet, number))
                break
    return merge_leaders(found, led)


def _is_known(hole: Arc, arc: Arc) -> bool:
    """Whether a hole was found before: what was fitted then stands."""
    off = hole.centre.distance(arc.centre) + abs(hole.radius - arc.radius)
    return off < KNOWN_PT and arc.sweep > HALF_DEG


def _is_reached(text: SizeText, tails: Sequence[Point]) -> bool:
    return any(distance_to_text(text, p) < REACHED * text.line.height for p in tails)


def walk_out(text: SizeText, dark: FollowedInk) -> list[Walk]:
    """Follow what begins at either end of a text, where it is long enough to be a leader.

    Parameters
    ----------
    text : SizeText
        In pt.
    dark : FollowedInk

    Returns
    -------
    list of Walk
    """
    middle = line_of_text(text)
    found = []
    for way in (-1.0, 1.0):
        edge = middle.at(way * text.line.length / 2)
        out = Line(edge.x, edge.y, way * middle.ux, way * middle.uy)
        start = _setting_out(dark, out, text.line.height)
        walks = [] if start is None else _walks(dark, *start)
        found += [w for w in walks if len(w.points) * STEP_PT > LEAST_PT]
    return found


def _setting_out(dark: FollowedInk, out: Line, height: float) -> tuple[Point, float] | None:
    """Where a leader begins off the end of a text, and which way, radians; the nearest one."""
    along = np.arange(0.1 * height, FROM_TEXT * height, 0.6 / dark.scale)
    aside = np.arange(-BESIDE * height, BESIDE * height, 0.6 / dark.scale)
    a, b = (v.ravel() for v in np.meshgrid(along, aside, indexing="ij"))
    x, y = out.x + a * out.ux - b * out.uy, out.y + a * out.uy + b * out.ux
    inked = np.flatnonzero(dark.inked(x, y))
    order = inked[np.argsort(np.hypot(a[inked], b[inked]))]
    turns = math.atan2(out.uy, out.ux) + np.radians(SETTING_OUT_DEG)
    for k in order[:: max(1, len(order) // 60)]:
        p = Point(float(x[k]), float(y[k]))
        onward = dark.ahead(p, turns, 0.0, FIRST_PT)
        best = int(np.argmax(onward))
        before = dark.ahead(p, turns[best : best + 1] + math.pi, 1.0, BEFORE_PT)
        if onward[best] >= FIRST_INKED and before[0] < FIRST_INKED:
            return p, float(turns[best])
    return None


def _walks(dark: FollowedInk, p: Point, turn: float) -> Iterator[Walk]:
    """Yield what is walked from a point, and past the corner of a short shoulder."""
    points = go_on(dark, [p], turn)
    yield Walk(tuple(points))
    corner = _corner(dark, points) if len(points) * STEP_PT < SHOULDER_PT else None
    if corner is not None:
        yield Walk(tuple(go_on(dark, points, corner)))


def _corner(dark: FollowedInk, points: Sequence[Point]) -> float | None:
    """Direction in which a leader goes on from the end of its shoulder, radians."""
    if len(points) < HEADING // 2:
        return None
    ux, uy = unit(points[-HEADING // 2], points[-1])
    turns = math.atan2(uy, ux) + np.radians(CORNER_DEG)
    onward = dark.ahead(points[-1], turns, 0.0, FIRST_PT)
    best = int(np.argmax(onward))
    return float(turns[best]) if onward[best] >= FIRST_INKED else None


def _holes_at(
    walk: Walk, gray: NDArray[np.uint8], maps: PageMaps, *, px_per_pt: float
) -> list[Arc]:
    """Small holes at the end of a walk, which without a head there nobody has looked for."""
    scale, end = px_per_pt * maps.factor, walk.points[-1]
    left, top = (max(0, int((v - ABOUT_PT) * scale)) for v in end)
    size = int(2 * ABOUT_PT * scale)
    dark = maps.dark[top : top + size, left : left + size].astype(np.float32) / 255.0
    tips = [_tip(walk, k, scale, (left, top)) for k in PROBED if k < len(walk.points)]
    holes = []
    for found in find_holes(dark, tips, []):
        rough = replace(found, centre=found.centre.moved(left, top))
        hole = fit_to_ink(gray, scale_arc(rough, 1 / maps.factor))
        if abs(hole.radius * maps.factor - rough.radius) < HOLE_OFF * rough.radius:
            holes.append(as_arc(scale_arc(hole, 1 / px_per_pt)))
    return holes


def _tip(walk: Walk, back: int, scale: float, by: tuple[int, int]) -> Terminator:
    """Take a place some steps back on a walk for the tip of an arrow, px, `by` from its frame."""
    p, body = walk.points[-back], walk.points[max(0, len(walk.points) - back - HEADING)]
    turn = math.degrees(math.atan2(p.y - body.y, body.x - p.x))
    return Terminator(Point(p.x * scale - by[0], p.y * scale - by[1]), turn, 1.0)


def _candidate(text: SizeText, walk: Walk, meet: Meet, number: int) -> Candidate:
    """Make a leader to a circle that takes this text, and no other."""
    arc, near = meet.arc, meet.rim
    first, _ = opposite_ends(arc, near)
    centre = End(point=arc.centre, kind=EndKind.EXACT, sigma=0.01, along=first.along)
    return Candidate(
        kind=DimensionKind.DIAMETER if arc.is_circle else DimensionKind.RADIUS,
        ends=opposite_ends(arc, near),
        radius_ends=(centre, replace(first, sigma=max(first.sigma, meet.sigma))),
        line=(near, *walk.points[-9::-8], walk.points[0]),
        strength=STRENGTH,
        places=(place_of_text(text),),
        claims=frozenset({("walked", number)}),
        leader=True,
        strict=True,
        wants=frozenset({text.form.value}),
        sweep=arc.sweep,
    )
