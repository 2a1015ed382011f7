"""Where a leader that was followed in the ink ends: at which circle or arc, from either side.

The corner of a foot and the sweep of a bracket are pointed at from the side of their centre. Where
a head stands on the way, the leader ends at its tip, though the ink may be followed further: the
rim lies across, and a bow drawn by hand meets it aslant, so that what is walked turns along it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import KW_ONLY, dataclass

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.crossings import on_arc
from audit.dimensions.ink import Line
from audit.dimensions.leaders import unit
from audit.dimensions.raster_leader_choice import HALF_DEG
from audit.dimensions.raster_rims import ALONG_DEG, SURE_HEAD
from audit.dimensions.raster_walk_steps import MOST_PT, STEP_PT
from audit.dimensions.texts import TextForm
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import Arc

ENDS_PAST_PT = 2.8  # a rim: its own line, or a dot on it, is followed to its far side
ENDS_BEFORE_PT, HEAD_PT = 2.2, 6.0  # short of a rim, where nothing or where a mark stands between
AT_RIM_PT = 3.2  # from a rim to a mark that stands there
AIMED, LEAST_AIMED_PT = 0.55, 1.4  # share of its radius that a leader may pass a centre at
AIMED_BY_HEAD = 0.85  # the same where a sure head ends at the rim: bows meet rims as aslant
HEADING = 9  # steps by which a leader's direction is told where it comes to a rim
TURNED_DEG = 15.0  # by so much a walk is turned off that leaves a hole along a centre line
SMALL_PT = 8.0  # radius of holes whose rim may turn a walk aside
AT_TIP_PT = 2.0  # from a walk to the tip of a head on it


@dataclass(frozen=True, slots=True)
class Walk:
    """A followed leader: points a step apart from the note to its end, pt."""

    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Meet:
    """Where a walk comes to the rim of a circle.

    `beyond` is how far on from its end, negative where it runs on over the rim; `within`, whether
    it never leaves that circle again, a small one. `sigma` is what its radius may be off, pt.
    """

    arc: Arc
    rim: Point
    beyond: float
    _: KW_ONLY
    within: bool
    sigma: float = 0.0


def that_end(walks: Sequence[Walk], terminators: Sequence[Terminator]) -> Iterator[Walk]:
    """Yield walks that end; one that runs on for good, as round a hole, as far as to its head."""
    for walk in walks:
        ends = len(walk.points) * STEP_PT < MOST_PT
        to = walk if ends else to_surest_head(walk, terminators)
        if to is not None:
            yield to


def ended_at(
    walk: Walk, rounds: Sequence[Arc], terminators: Sequence[Terminator], form: TextForm
) -> Meet | None:
    """Find where a walk ends: in a hole, or on the rim of a circle, aimed at its centre.

    Parameters
    ----------
    walk : Walk
    rounds : sequence of Arc
        Circles and arcs that it may end at, pt.
    terminators : sequence of Terminator
        The network's, pt.
    form : TextForm
        Of its note: a diameter is no arc's, and is led to from outside, if to the far rim.

    Returns
    -------
    Meet or None
    """
    arcs = [arc for arc in rounds if form is not TextForm.DIAMETER or arc.sweep >= HALF_DEG]
    headed = to_surest_head(walk, terminators)
    if headed is not None:
        at_tip = [m for arc in arcs for m in _at_end(headed, arc, form, AIMED_BY_HEAD)]
        at_tip = [m for m in at_tip if abs(m.beyond) < AT_RIM_PT]
        if at_tip:
            return min(at_tip, key=lambda m: abs(m.beyond))
    ends = []
    for meet in (
        m for arc in arcs for m in (*_meetings(walk, arc), *_from_inside(walk, arc, form))
    ):
        marked = any(t.point.distance(meet.rim) < AT_RIM_PT for t in terminators)
        if meet.within or -ENDS_PAST_PT < meet.beyond < (HEAD_PT if marked else ENDS_BEFORE_PT):
            ends.append(meet)
    return min(ends, key=lambda m: (not m.within, abs(m.beyond)), default=None)


def to_surest_head(walk: Walk, terminators: Sequence[Terminator]) -> Walk | None:
    """Cut a walk off at the tip of the surest head that points on along it, if any."""
    at, best = np.array(walk.points), None
    for t in terminators:
        if t.direction is None or t.score < SURE_HEAD or (best and t.score <= best[0]):
            continue
        off = np.hypot(*(at - np.array(t.point)).T)
        k = int(np.argmax(off < AT_TIP_PT))
        k += int(np.argmin(off[k : k + HEADING]))
        if k < HEADING or off[k] >= AT_TIP_PT:
            continue
        ux, uy = unit(walk.points[k - HEADING], walk.points[k])
        turn = math.radians(t.direction)
        if -(ux * math.cos(turn) - uy * math.sin(turn)) > math.cos(math.radians(ALONG_DEG)):
            best = (t.score, k)
    return None if best is None else Walk(walk.points[: best[1] + 1])


def _at_end(walk: Walk, arc: Arc, form: TextForm, aimed: float) -> Iterator[Meet]:
    """Yield where a walk, led on straight from its end, meets a circle from either side."""
    end, u = walk.points[-1], unit(walk.points[-1 - HEADING], walk.points[-1])
    start = walk.points[-1 - HEADING]
    crosses = arc.is_circle and walk.points[0].distance(arc.centre) > arc.radius
    for out in (False, True) if form is TextForm.RADIUS or crosses else (False,):
        if (start.distance(arc.centre) < arc.radius) is not out:
            continue
        beyond = _rim_ahead(Line(*end, *u), arc, aimed=aimed, out=out)
        if beyond is None:
            continue
        rim = end.moved(beyond * u[0], beyond * u[1])
        if on_arc(arc, rim):
            yield Meet(arc, rim, beyond, within=False)


def _from_inside(walk: Walk, arc: Arc, form: TextForm) -> Iterator[Meet]:
    """Yield where the end of a walk comes to a circle from the side of its centre."""
    if len(walk.points) > HEADING and walk.points[-1 - HEADING].distance(arc.centre) < arc.radius:
        yield from _at_end(walk, arc, form, AIMED)


def _meetings(walk: Walk, arc: Arc) -> Iterator[Meet]:
    """Yield where a walk, led on straight at its end, comes to a circle from outside."""
    at = np.array(walk.points)
    off = np.hypot(*(at - np.array(arc.centre)).T) - arc.radius
    left = (len(at) - 1 - np.arange(len(at))) * STEP_PT
    inward = np.flatnonzero((off[:-1] > 0) & (off[1:] <= 0)).tolist()
    for k in [k for k in inward if k >= HEADING] + [len(at) - 1]:
        back = walk.points[max(0, k - HEADING)]
        u = unit(back, walk.points[k])
        beyond = _rim_ahead(Line(*walk.points[k], *u), arc)
        if beyond is None:
            continue
        rim = walk.points[k].moved(beyond * u[0], beyond * u[1])
        within = arc.radius < SMALL_PT and _stays(walk, off[k + 1 :] < ENDS_PAST_PT, u)
        if on_arc(arc, rim):
            further = k < len(at) - 1
            yield Meet(arc, rim, beyond - float(left[k]), within=within and further)


def _stays(walk: Walk, near: NDArray[np.bool_], u: tuple[float, float]) -> bool:
    """Whether the last points of a walk stay `near` a hole, or leave it along a centre line."""
    if near.all():
        return True
    leaves = len(walk.points) - len(near) + int(np.argmin(near))
    ux, uy = unit(walk.points[leaves - HEADING // 2], walk.points[leaves])
    return u[0] * ux + u[1] * uy < math.cos(math.radians(TURNED_DEG))


def _rim_ahead(line: Line, arc: Arc, *, aimed: float = AIMED, out: bool = False) -> float | None:
    """How far along a line its circle's rim is, the far one on the way out, where it is aimed."""
    foot, aside = line.place(arc.centre)
    if abs(aside) > max(aimed * arc.radius, min(LEAST_AIMED_PT, 0.9 * arc.radius)):
        return None
    half = math.sqrt(max(arc.radius**2 - aside**2, 0.0))
    return foot + half if out else foot - half
