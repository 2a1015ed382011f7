"""What the network's map of dimension lines says: for or against a candidate, at a tick or dot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.dimensions.candidates import Candidate
from audit.dimensions.ink import Ink, Line
from audit.dimensions.terminators import Mark
from audit.networks.page import STRIDE, PageMaps
from audit.records import DimensionKind

ALONG_A_LINE = (DimensionKind.DISTANCE, DimensionKind.DIAMETER)
TAIL_PT = 14.0  # how far beyond its ends a dimension line with outside arrowheads runs
CLEAR_PT = 5.0  # arrowheads and crossings at the ends say little
INK = 77  # of 255
TEXT = 128  # of 255: ink of letters is no line, though they stand in its way
STEP_PT = 0.7
SIDES_PX = (-2.0, -1.0, 0.0, 1.0, 2.0)  # ends may be a px or two off the line
ENOUGH = 0.5  # share of the drawn line that the network calls dimension line
AROUND_PT = 20.0  # how far around a mark its lines are looked at
NEAR_MARK_PT = 2.2
ANOTHER_DEG = 25.0  # between two lines that are not one
SURELY, HARDLY = 0.6, 0.3  # shares of a line that is a dimension line, and of one that is none
LEAST = 0.2  # what is left of the strength of a line it calls something else
LEAST_SHORT = 0.5  # the same for a line too short to be seen well
LEAST_AIMED = 0.75  # the same between two marks that measure along it
ALONG_DEG = 4.0
SHORT_PT = (8.0, 45.0)
FEW_STEPS = 4


def aim_even_marks(
    ink: Ink, marks: Sequence[Mark], maps: PageMaps, *, px_per_pt: float
) -> list[Mark]:
    """Tell ticks, dots and rings along which of the lines through them they measure.

    Such a mark stands on its dimension line and on an extension line at once. Where the network
    calls exactly one of the two a dimension line, the mark is given that line's direction.
    """
    return [m if m.is_arrow else _aimed(ink, m, maps, px_per_pt) for m in marks]


def _aimed(ink: Ink, mark: Mark, maps: PageMaps, px_per_pt: float) -> Mark:
    p = np.array(mark.point)
    steps = np.arange(CLEAR_PT, AROUND_PT, STEP_PT)
    best: tuple[float, Line] | None = None
    second = 0.0
    for i in ink.near(mark.point, NEAR_MARK_PT):
        line = ink.line_of(i)
        along, aside = line.place(mark.point)
        gap = max(-along, along - float(ink.lengths[i]), 0.0)
        if i in mark.strokes or ink.curved[i] or ink.lengths[i] < CLEAR_PT:
            continue
        if abs(aside) > NEAR_MARK_PT or gap > NEAR_MARK_PT:
            continue
        u = np.array([line.ux, line.uy])
        shares = (_share(p, u, sign * steps, maps, px_per_pt) for sign in (1.0, -1.0))
        share = max((s for s in shares if s is not None), default=0.0)
        if best is None or share > best[0]:
            if best is not None and _is_turned(best[1], line):
                second = max(second, best[0])
            best = (share, line)
        elif _is_turned(best[1], line):
            second = max(second, share)
    if best is None or best[0] < SURELY or second > HARDLY:
        return mark
    return replace(mark, ux=best[1].ux, uy=best[1].uy)


def _is_turned(one: Line, other: Line) -> bool:
    return one.turned_from(other.ux, other.uy) > ANOTHER_DEG


def weigh_lines(
    candidates: Sequence[Candidate],
    maps: PageMaps,
    *,
    px_per_pt: float,
    aimed: Sequence[Mark] = (),
) -> list[Candidate]:
    """Weaken candidates whose line the network takes for an outline or an extension line.

    Hardly those between two ticks, dots or rings that are known to measure along it (`aimed`).
    """
    known = [m for m in aimed if not m.is_arrow and (m.ux or m.uy)]
    return [
        replace(c, strength=c.strength * max(_weight(c, maps, px_per_pt), _least(c, known)))
        if c.kind in ALONG_A_LINE and not c.leader
        else c
        for c in candidates
    ]


def _least(candidate: Candidate, aimed: Sequence[Mark]) -> float:
    """Return what is left at least of the strength of a candidate."""
    a, b = candidate.line[0], candidate.line[-1]
    far = max(a.distance(b), 1e-9)
    along = Line(a.x, a.y, (b.x - a.x) / far, (b.y - a.y) / far)
    both = all(
        any(
            m.point.distance(p) < NEAR_MARK_PT and along.turned_from(m.ux, m.uy) < ALONG_DEG
            for m in aimed
        )
        for p in (a, b)
    )
    return LEAST_AIMED if both else 0.0


def _weight(candidate: Candidate, maps: PageMaps, px_per_pt: float) -> float:
    share = line_share(candidate, maps, px_per_pt)
    if share is None:
        return 1.0
    a, b = candidate.line[0], candidate.line[-1]
    least = LEAST_SHORT if SHORT_PT[0] < a.distance(b) < SHORT_PT[1] else LEAST
    return least + (1.0 - least) * min(1.0, share / ENOUGH)


def line_share(candidate: Candidate, maps: PageMaps, px_per_pt: float) -> float | None:
    """Share of a candidate's ink that the network calls dimension line; `None` without ink."""
    a, b = np.array(candidate.line[0]), np.array(candidate.line[-1])
    length = float(np.hypot(*(b - a)))
    if length < 1e-6:
        return None
    u = (b - a) / length
    inside = np.arange(min(CLEAR_PT, 0.25 * length), length - min(CLEAR_PT, 0.25 * length), STEP_PT)
    tail = np.arange(CLEAR_PT, TAIL_PT, STEP_PT)
    shares = [_share(a, u, t, maps, px_per_pt) for t in (inside, -tail, length + tail)]
    known = [s for s in shares if s is not None]
    # between the ends where it is drawn there, else its better tail
    return shares[0] if shares[0] is not None else max(known, default=None)


def share_of_line(
    line: Line, span: tuple[float, float], maps: PageMaps, *, px_per_pt: float
) -> float | None:
    """Share of a line's ink within a span that the network calls dimension line, not extension."""
    t = np.arange(span[0] + CLEAR_PT, span[1] - CLEAR_PT, STEP_PT)
    if len(t) < FEW_STEPS:
        t = np.arange(span[0], span[1], STEP_PT)
    a, u = np.array([line.x, line.y]), np.array([line.ux, line.uy])
    return _share(a, u, t, maps, px_per_pt)


def _share(
    a: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    u: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    t: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    maps: PageMaps,
    px_per_pt: float,
) -> float | None:
    points = (a[None, :] + t[:, None] * u[None, :]) * px_per_pt * maps.factor
    h, w = maps.dark.shape
    best = np.zeros(len(t), bool)
    line = np.zeros(len(t), np.uint8)
    for side in SIDES_PX:
        column = np.clip((points[:, 0] - u[1] * side).astype(int), 0, w - 1)
        row = np.clip((points[:, 1] + u[0] * side).astype(int), 0, h - 1)
        best |= (maps.dark[row, column] > INK) & (maps.text[row // STRIDE, column // STRIDE] < TEXT)
        line = np.maximum(line, maps.line[row // STRIDE, column // STRIDE])
    if int(best.sum()) < max(4, 0.15 * len(t)):
        return None
    return float((line[best] > 127).mean())
