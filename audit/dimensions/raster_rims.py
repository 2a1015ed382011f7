"""Where the lines of a raster meet its circles, and what ends there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audit.dimensions.candidates import Candidate
from audit.dimensions.ink import Floats, Line
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import Arc

AT_RIM_PT = 2.8  # between a terminator and where the line meets the circle
MARK_SIZE_PT = 12.0  # a line may stop this far short of the rim when a terminator fills the gap
BARE_GAP_PT = 2.0  # and this far when nothing does
BEYOND_PT = 4.0  # inside a rim: an arrowhead there points at something else
SURE_HEAD, SURER = 0.5, 1.4  # score of one, and how much surer it is than what is at the rim
MIN_REACH_PT = 4.0  # of a line on one side of the rim
AT_CENTRE_PT = 1.8
ALONG_DEG = 35.0  # between a terminator's direction and the line it belongs to
SQUARE_SINE = 0.035  # of 2 degrees: centre lines run square to the sheet
SAME_CIRCLE_PT = 1.2


@dataclass(frozen=True, slots=True)
class Rim:
    """Where a line meets a circle: `way` is +1 where going on along the line leads out of it.

    `out` and `into` are how far the line is drawn on either side of the rim; `evidence` is the
    score of a terminator there, 0 for none.
    """

    along: float
    way: int
    out: float
    into: float
    gap: float
    evidence: float


def find_rim(
    line: Line,
    at: float,
    way: int,
    spans: Sequence[tuple[float, float]],
    terminators: tuple[Sequence[Terminator], Floats],
) -> Rim | None:
    """Say how a line is drawn about a place where it meets a circle; `None`: it is not.

    Parameters
    ----------
    line : Line
    at : float
        Of the place along the line, pt.
    way : int
        +1 where going on along the line leads out of the circle, -1 where it leads in.
    spans : sequence of (float, float)
        Where the line is drawn, pt along it.
    terminators : tuple
        The network's, and their points as an (n, 2) array, pt.
    """
    evidence = evidence_at(line, line.at(at), terminators)
    room = MARK_SIZE_PT if evidence else BARE_GAP_PT
    out = into = 0.0
    gap = room
    for a, b in spans:
        low, high = sorted((way * (a - at), way * (b - at)))
        if low < room and high > MIN_REACH_PT and high > out:
            out = high
            gap = min(gap, max(low, 0.0))
        if high > -room and low < -MIN_REACH_PT and -low > into:
            into = -low
    if not out and not into:
        return None
    return Rim(at, way, out, into, gap, evidence)


def leads_on(
    rim: Rim, radius: float, line: Line, terminators: tuple[Sequence[Terminator], Floats]
) -> bool:
    """Whether a line only crosses a rim, on its way to an arrowhead further in.

    What looks like one at the very centre is where a radius begins.
    """
    every, points = terminators
    if not len(points):
        return False
    at = line.at(rim.along)
    d = (points - np.array(at)) * -rim.way
    inward, aside = d @ [line.ux, line.uy], np.abs(d @ [-line.uy, line.ux])
    beyond = (inward > BEYOND_PT) & (inward < radius - AT_CENTRE_PT) & (aside < AT_RIM_PT)
    for k in np.flatnonzero(beyond):
        t = every[int(k)]
        sure = t.score >= max(SURE_HEAD, SURER * rim.evidence)
        if sure and _lies_along(t, line, rim.way):
            return True
    return False


def stops_short(rim: Rim, line: Line, terminators: tuple[Sequence[Terminator], Floats]) -> bool:
    """Whether a line that comes towards a rim from outside ends in an arrowhead before it.

    So the radius of a rounded end points at the end, not at the hole in the middle of it.
    """
    every, points = terminators
    if not len(points) or not rim.out:
        return False
    d = (points - np.array(line.at(rim.along))) * rim.way
    outward, aside = d @ [line.ux, line.uy], np.abs(d @ [-line.uy, line.ux])
    before = (outward > BEYOND_PT) & (outward < rim.out) & (aside < AT_RIM_PT)
    return any(
        every[int(k)].score >= max(SURE_HEAD, SURER * rim.evidence)
        and _lies_along(every[int(k)], line, rim.way)
        for k in np.flatnonzero(before)
    )


def _lies_along(terminator: Terminator, line: Line, way: int) -> bool:
    """Whether an arrow's body lies along a line, on that side of its tip."""
    if terminator.direction is None:
        return False
    turn = math.radians(terminator.direction)
    out = way * (math.cos(turn) * line.ux - math.sin(turn) * line.uy)
    return out > math.cos(math.radians(ALONG_DEG))


def evidence_at(line: Line, p: Point, terminators: tuple[Sequence[Terminator], Floats]) -> float:
    """Score of the network's best terminator at a place that fits a line's direction."""
    every, points = terminators
    if not len(points):
        return 0.0
    near = np.flatnonzero(np.hypot(points[:, 0] - p.x, points[:, 1] - p.y) < AT_RIM_PT)
    best = 0.0
    for k in near:
        t = every[int(k)]
        if t.direction is None:
            best = max(best, t.score)
            continue
        turn = math.radians(t.direction)
        off = line.turned_from(math.cos(turn), -math.sin(turn))
        best = max(best, t.score if off < ALONG_DEG else 0.0)
    return best


def ends_there(rim: Rim, arc: Arc) -> bool:
    """Whether a line without terminators still ends at a rim, coming from outside."""
    if not rim.out:
        return False
    if rim.into < MIN_REACH_PT:
        return True
    # across the rim to the centre, or all across to the other rim, and no further
    stops = (0.0, arc.radius)
    inner = rim.into - arc.radius
    return any(abs(inner - stop) < AT_CENTRE_PT for stop in stops)


def is_square(line: Line) -> bool:
    """Whether a line square to the sheet may as well be a centre or extension line."""
    return min(abs(line.ux), abs(line.uy)) < SQUARE_SINE


def radius_of(leader: Candidate) -> float:
    """Radius of the circle that a leader points at, pt."""
    centre, rim = (e.point for e in leader.radius_ends)
    return centre.distance(rim)
