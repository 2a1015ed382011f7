"""Sheets with known truth, as records: no pixels, only what snapping and reading would hand over.

The noise put in is what the real chain adds: each end is displaced by a normal error of the
stated sigma, each drawn length by the draughtsman's own, the paper is stretched, printed values
are rounded, and some are wrong.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from audit.geometry import Box, Point, Transform
from audit.lengths import Callout, CalloutKind, Length, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    Frame,
    KnownSize,
    NoScale,
    PageKind,
    ReadBy,
    Reading,
    Sheet,
    View,
    ViewKind,
)

MM = 25.4
UNIT_BOX = Box(0, 0, 1, 1)
OPEN = NoScale(reason="not yet")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What to draw."""

    views: int = 1
    dimensions: int = 12
    factors: tuple[float, ...] = (1.0,)  # real over drawn, of each view in turn
    page: PageKind = PageKind.SCAN
    dpi: float = 200.0
    width_in: float = 11.0
    height_in: float = 8.5
    stretch: tuple[float, float] = (1.0, 1.0)
    turn_deg: float = 0.0
    sigma: float = 0.5  # of an end, sheet units
    drafting: float = 0.0  # of a length, mm of paper
    print_step: Fraction = Fraction(1, 64)  # sizes are printed to this, in inches
    rounded: bool = True  # the true sizes lie between the printed steps
    wrong_share: float = 0.0
    wrong_by: float = 1 / 16
    aligned_share: float = 0.0
    radius_share: float = 0.0
    angle_share: float = 0.0
    outline: float = 0.0  # line width, sheet units; 0: extension lines
    local_stretch: float = 0.0  # relative, sd of each view's own stretch
    shortest: float = 0.5  # in, on paper
    longest: float = 6.0


@dataclass(frozen=True, slots=True)
class Simulated:
    """A sheet, and what is true of it."""

    sheet: Sheet
    views: tuple[View, ...]
    dimensions: tuple[Dimension, ...]
    wrong: frozenset[int]
    true: dict[int, float] = field(default_factory=dict)  # real size, in or degrees


def reading_of(
    size: Length,
    text: str = "",
    *,
    box: Box = UNIT_BOX,
    confidence: float = 1.0,
    kind: CalloutKind = CalloutKind.DISTANCE,
    step: Fraction = Fraction(0),
    confirmed: bool = False,
    **callout: object,
) -> Reading:
    """Make a surely read callout."""
    said = Callout(text=text or str(size.value), kind=kind, size=size, step=step, **callout)
    return Reading(
        text=said.text,
        callout=said,
        confidence=confidence,
        by=ReadBy.PDF,
        confirmed=confirmed,
        box=box,
    )


def make_sheet(page: PageKind, *, width: float, height: float, dpi: float = 72.0) -> Sheet:
    """Make a sheet with a plain scale to paper."""
    return Sheet(
        id=1,
        name="plan",
        source="plan",
        digest="",
        page=1,
        frame=Frame.PT if page is PageKind.VECTOR else Frame.PX,
        kind=page,
        width=width,
        height=height,
        to_paper=Transform.scaling(MM / dpi),
    )


def simulate(plan: Plan, rng: np.random.Generator) -> Simulated:
    """Draw a sheet."""
    dpi = 72.0 if plan.page is PageKind.VECTOR else plan.dpi
    width, height = plan.width_in * dpi, plan.height_in * dpi
    sheet = make_sheet(plan.page, width=width, height=height, dpi=dpi)
    boxes = [Box(k * width / plan.views, 0, (k + 1) * width / plan.views, height)
             for k in range(plan.views)]  # fmt: skip
    views = tuple(
        View(id=k + 1, sheet=1, kind=ViewKind.TRUE, box=b, scale=OPEN) for k, b in enumerate(boxes)
    )
    local = rng.normal(0, plan.local_stretch, plan.views) if plan.local_stretch else None
    dimensions, wrong, true = [], set(), {}
    for k in range(plan.dimensions):
        number, view = 100 + k, k % plan.views
        extra = 1.0 if local is None else 1.0 + float(local[view])
        dimension, size = _dimension(plan, number, views[view], dpi=dpi, extra=extra, rng=rng)
        if dimension.kind is not DimensionKind.ANGLE and rng.random() < plan.wrong_share:
            dimension = _spoil(dimension, plan, rng)
            wrong.add(number)
        dimensions.append(dimension)
        true[number] = size
    return Simulated(sheet, views, tuple(dimensions), frozenset(wrong), true)


def _dimension(plan, number, view, *, dpi, extra, rng):
    roll = rng.random()
    if roll < plan.angle_share:
        return _angle(plan, number, view, dpi=dpi, extra=extra, rng=rng)
    factor = plan.factors[(view.id - 1) % len(plan.factors)]
    room = min(plan.longest, view.box.width / dpi, view.box.height / dpi)
    wanted = float(np.exp(rng.uniform(math.log(plan.shortest), math.log(room)))) * factor
    printed = Fraction(round(wanted / plan.print_step)) * plan.print_step
    printed = max(printed, plan.print_step)
    true = float(printed) + (
        float(rng.uniform(-0.5, 0.5)) * float(plan.print_step) if plan.rounded else 0.0
    )
    direction = rng.choice([0.0, 90.0])
    if rng.random() < plan.aligned_share:
        direction = rng.uniform(0, 180)
    round_one = roll < plan.angle_share + plan.radius_share
    drawn = true / factor * dpi + rng.normal(0, plan.drafting / MM * dpi)
    a, b = _place(plan, view, drawn, direction=direction, extra=extra, rng=rng)
    kind = EndKind.OUTLINE if plan.outline else EndKind.EXTENSION
    ends = tuple(
        End(
            point=_jitter(p, plan.sigma, direction + plan.turn_deg, rng),
            kind=kind,
            sigma=plan.sigma,
            line_width=plan.outline,
        )
        for p in (a, b)
    )
    dimension = Dimension(
        id=number,
        sheet=1,
        view=view.id,
        kind=DimensionKind.RADIUS if round_one else DimensionKind.DISTANCE,
        ends=ends,
        reading=reading_of(
            Length(printed, Unit.IN),
            kind=CalloutKind.RADIUS if round_one else CalloutKind.DISTANCE,
            box=Box.around([a, b]),
        ),
    )
    return dimension, true


def _place(plan, view, drawn, *, direction, extra, rng):
    """Put a length somewhere in its view, then stretch and turn the paper."""
    c, s = math.cos(math.radians(direction)), math.sin(math.radians(direction))
    x0 = view.box.x0 + rng.uniform(0.1, 0.4) * view.box.width
    y0 = view.box.y0 + rng.uniform(0.1, 0.4) * view.box.height
    points = [(x0, y0), (x0 + drawn * c, y0 + drawn * s)]
    return tuple(_on_paper(plan, p, extra) for p in points)


def _on_paper(plan, p, extra):
    x, y = p[0] * plan.stretch[0] * extra, p[1] * plan.stretch[1] * extra
    t = math.radians(plan.turn_deg)
    return Point(x * math.cos(t) - y * math.sin(t), x * math.sin(t) + y * math.cos(t))


def _jitter(p, sigma, direction, rng):
    """Displace an end along the length, as an extension line found a little off does."""
    off, t = rng.normal(0, sigma) if sigma else 0.0, math.radians(direction)
    return Point(p.x + off * math.cos(t), p.y + off * math.sin(t))


def _spoil(dimension, plan, rng):
    size = dimension.reading.callout.size
    step = Fraction(plan.wrong_by).limit_denominator(64) * int(rng.choice([-1, 1]))
    if size.value + step <= 0:
        step = abs(step)
    wrong = Length(size.value + step, size.unit)
    reading = reading_of(wrong, box=dimension.reading.box, kind=dimension.reading.callout.kind)
    return Dimension(
        id=dimension.id,
        sheet=1,
        view=dimension.view,
        kind=dimension.kind,
        ends=dimension.ends,
        reading=reading,
    )


def _angle(plan, number, view, *, dpi, extra, rng):
    true = float(rng.uniform(20, 160))
    printed = Fraction(round(true * 2), 2)
    true = float(printed)
    first = rng.uniform(0, 360)
    x0, y0 = view.box.centre
    legs = [rng.uniform(1.0, 2.5) * dpi for _ in range(2)]
    points = [(x0, y0)] + [
        (x0 + n * math.cos(math.radians(t)), y0 + n * math.sin(math.radians(t)))
        for n, t in zip(legs, (first, first + true), strict=True)
    ]
    sway = plan.drafting / MM * dpi
    placed = []
    for k, p in enumerate(points):
        q = _on_paper(plan, p, extra)
        dx, dy = rng.normal(0, plan.sigma, 2) if plan.sigma else (0.0, 0.0)
        if k and sway:
            dx, dy = dx + rng.normal(0, sway), dy + rng.normal(0, sway)
        placed.append(End(point=Point(q.x + dx, q.y + dy), kind=EndKind.CORNER, sigma=plan.sigma))
    dimension = Dimension(
        id=number,
        sheet=1,
        view=view.id,
        kind=DimensionKind.ANGLE,
        ends=tuple(placed),
        reading=reading_of(Length(printed, Unit.DEG), kind=CalloutKind.ANGLE),
    )
    return dimension, true


def known_sizes(plan: Plan, rng: np.random.Generator, *, u_ends: float) -> tuple[KnownSize, ...]:
    """Give a ruler across and one upright, as a person would click them."""
    dpi = 72.0 if plan.page is PageKind.VECTOR else plan.dpi
    sizes = []
    for direction, inches in ((0.0, 8), (90.0, 6)):
        c, s = math.cos(math.radians(direction)), math.sin(math.radians(direction))
        start = (0.5 * dpi, 0.5 * dpi)
        end = (start[0] + inches * dpi * c, start[1] + inches * dpi * s)
        a, b = (
            _jitter(_on_paper(plan, p, 1.0), u_ends, direction + plan.turn_deg, rng)
            for p in (start, end)
        )
        length = Length(Fraction(inches * plan.factors[0]).limit_denominator(64), Unit.IN)
        sizes.append(KnownSize(sheet=1, a=a, b=b, length=length, u_ends=u_ends))
    return tuple(sizes)
