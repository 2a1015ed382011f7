"""Weak marks where nothing is drawn but lines: bare crossings, gaps in dashed lines.

A dot, tick or ring has ink beside the lines that cross there; an arrowhead is wider than its shaft.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Ink
from audit.geometry import Point
from audit.networks.page import STRIDE, PageMaps, Terminator

CLEAR = 0.3  # score from which a mark needs no second look
ON_PT = 1.2  # of a line, to the mark on it
RADII_PT = (1.4, 1.9, 2.4)  # where a tick, a dot or a ring has ink off the lines
BESIDE_PT = 0.9  # of the middle of a thin line, its fray included
WAYS = 48
INK = 77  # of 255
SQUARE = 0.1  # cosine between an extension line and a dimension line, or an edge
MARKED = 0.12  # share of the places off the lines, at one radius, that a mark inks at least

DOUBTED = 0.45  # score of an arrowhead from which it needs no second look
HEAD_PT, SHAFT_PT = (1.5, 5.5), (7.0, 13.0)  # behind the tip, where a head and its shaft lie
WIDE_PT, STEP_PT = 2.6, 0.3  # to either side of the shaft, and between places looked at
SHAFT_ASIDE_PT, SHAFT_TURN_DEG = (-0.6, -0.3, 0.0, 0.3, 0.6), (-8.0, -4.0, 0.0, 4.0, 8.0)
WIDER_PT = 0.2  # than its shaft: every head of 300 on plates and working drawings was by more
MEET_PT, OPPOSITE = 1.5, -0.9  # between two tips, and the cosine of their ways
WIDEST = 3  # from the widest place: one alone may be dirt
TEXT = 128  # of 255
FEW = 5  # places clear of lettering: fewer say nothing of a shaft's width

Floats = NDArray[np.float64]


def without_bare_crossings(
    ink: Ink, terminators: Sequence[Terminator], maps: PageMaps, *, px_per_pt: float
) -> list[Terminator]:
    """Leave out marks without a direction that are nothing but lines that cross.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    terminators : sequence of Terminator
        In pt.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster that was looked at to a pt.
    """
    scale = px_per_pt * maps.factor
    return [
        t
        for t in terminators
        if t.direction is not None or t.score >= CLEAR or not is_bare(ink, t.point, maps, scale)
    ]


def without_headless(
    terminators: Sequence[Terminator], maps: PageMaps, *, px_per_pt: float
) -> list[Terminator]:
    """Leave out weak arrowheads that are no wider than the line behind them.

    Parameters
    ----------
    terminators : sequence of Terminator
        In pt.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster that was looked at to a pt.
    """
    scale = px_per_pt * maps.factor
    headless = [
        t
        for t in terminators
        if t.direction is not None
        and t.score < DOUBTED
        and _head_over_shaft(t.point, t.direction, maps, scale) <= WIDER_PT
    ]
    return [t for t in terminators if t not in headless and not _faces_one(t, headless)]


def _faces_one(t: Terminator, headless: Sequence[Terminator]) -> bool:
    """Whether a weak arrowhead meets a headless one tip to tip: a mere crossing looks like both."""
    if t.direction is None or t.score >= DOUBTED:
        return False
    turn = math.radians(t.direction)
    return any(
        t.point.distance(other.point) < MEET_PT
        and math.cos(turn - math.radians(other.direction or 0.0)) < OPPOSITE
        for other in headless
    )


def _head_over_shaft(tip: Point, direction: float, maps: PageMaps, scale: float) -> float:
    """How much wider than its shaft a head is, pt."""
    look = maps, scale
    ways = [(direction + turn, aside) for turn in SHAFT_TURN_DEG for aside in SHAFT_ASIDE_PT]
    inked = [_widths(tip, way, SHAFT_PT, STEP_PT, look).mean() for way in ways]
    best = ways[int(np.argmax(inked))]
    head = _widths(tip, best, HEAD_PT, WIDE_PT, look)
    shaft = _widths(tip, best, SHAFT_PT, WIDE_PT, look)
    shaft = shaft[~_lettered(tip, best, SHAFT_PT, WIDE_PT, look)]
    # where letters hide the shaft, its width shows at the thinnest of the head, just at its tip
    thin = float(np.median(shaft)) if len(shaft) >= FEW else float(np.sort(head)[WIDEST - 1])
    return float(np.sort(head)[-WIDEST]) - thin


def _widths(
    tip: Point,
    way: tuple[float, float],
    span: tuple[float, float],
    half: float,
    look: tuple[PageMaps, float],
) -> Floats:
    """How much ink lies across a shaft at places along it, pt."""
    maps = look[0]
    row, column = _places(tip, way, span, half, look)
    return np.asarray(maps.dark[row, column].sum(axis=1) * (STEP_PT / 255), float)


def _lettered(
    tip: Point,
    way: tuple[float, float],
    span: tuple[float, float],
    half: float,
    look: tuple[PageMaps, float],
) -> NDArray[np.bool_]:
    """Whether there is lettering across a shaft at places along it."""
    maps = look[0]
    row, column = _places(tip, way, span, half, look)
    return np.asarray((maps.text[row // STRIDE, column // STRIDE] >= TEXT).any(axis=1))


def _places(
    tip: Point,
    way: tuple[float, float],
    span: tuple[float, float],
    half: float,
    look: tuple[PageMaps, float],
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows and columns of the places across a shaft, along it."""
    (direction, aside), (maps, scale) = way, look
    turn = math.radians(direction)
    ux, uy = math.cos(turn), -math.sin(turn)
    along, across = np.meshgrid(
        np.arange(*span, STEP_PT), np.arange(-half, half + 1e-6, STEP_PT) + aside, indexing="ij"
    )
    h, w = maps.dark.shape
    column = ((tip.x + along * ux - across * uy) * scale).astype(np.intp)
    row = ((tip.y + along * uy + across * ux) * scale).astype(np.intp)
    return np.clip(row, 0, h - 1), np.clip(column, 0, w - 1)


def is_bare(ink: Ink, p: Point, maps: PageMaps, scale: float) -> bool:
    """Whether there is nothing at a place but two lines that cross squarely.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    p : Point
    maps : PageMaps
        For the ink.
    scale : float
        Px of the maps' ink to a pt.

    Returns
    -------
    bool
    """
    ways = _ways(ink, p)
    if len(ways) != 2 or abs(math.cos(ways[0] - ways[1])) > SQUARE:
        return False  # a tick is a line itself, and slants
    turns = np.arange(WAYS) * (2 * math.pi / WAYS)
    off = np.abs((turns[:, None] - ways + math.pi / 2) % math.pi - math.pi / 2).min(axis=1)
    for radius in RADII_PT:
        free = turns[radius * np.sin(off) > BESIDE_PT]
        inked = _dark_at(p, radius, free, maps, scale)
        if len(free) and float(inked.mean()) > MARKED:
            return False  # a small dot shows at the smallest radius alone
    return True


def _ways(ink: Ink, p: Point) -> Floats:
    """Directions of the lines through a place, radians."""
    found = [
        math.atan2(line.uy, line.ux)
        for i in ink.near(p, ON_PT)
        for line in [ink.line_of(i)]
        if not ink.curved[i] and _runs_through(line.place(p), float(ink.lengths[i]))
    ]
    apart: list[float] = []
    for way in found:
        if all(abs(math.sin(way - other)) > math.sin(math.radians(20.0)) for other in apart):
            apart.append(way)
    return np.array(apart)


def _runs_through(place: tuple[float, float], length: float) -> bool:
    along, aside = place
    return abs(aside) < ON_PT and -ON_PT < along < length + ON_PT and length > 2 * max(RADII_PT)


def _dark_at(p: Point, radius: float, turns: Floats, maps: PageMaps, scale: float) -> Floats:
    h, w = maps.dark.shape
    column = ((p.x + radius * np.cos(turns)) * scale).astype(int)
    row = ((p.y + radius * np.sin(turns)) * scale).astype(int)
    return np.asarray(maps.dark[np.clip(row, 0, h - 1), np.clip(column, 0, w - 1)] > INK, float)
