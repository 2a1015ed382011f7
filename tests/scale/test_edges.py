"""Which edge of thick outlines counts, told by the printed sizes themselves."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import Edge, EndKind, PageKind, Settings
from audit.scale import fix_scales
from audit.scale.edges import settle_edges
from tests.checks.simulated import Plan, reading_of, simulate

WIDTH_PX = 4.7  # 0.6 mm at 200 dpi


def drawn_to(edge, rng, *, count=14, width=WIDTH_PX, noise=1.0):
    """Outlines whose middles lie half a line inside or outside of what is printed."""
    plan = Plan(
        dimensions=count,
        outline=width,
        drafting=0.1 * noise,
        sigma=0.5 * noise,
        rounded=noise > 0,
        stretch=(1.01, 0.997),
    )
    drawing = simulate(plan, rng)
    sign = {Edge.INSIDE: -1, Edge.CENTRE: 0, Edge.OUTSIDE: 1}[edge]
    moved = []
    for d in drawing.dimensions:
        a, b = (e.point for e in d.ends)
        f = 1 - sign * width / a.distance(b)
        far = Point(a.x + f * (b.x - a.x), a.y + f * (b.y - a.y))
        moved.append(replace(d, ends=(d.ends[0], replace(d.ends[1], point=far))))
    return drawing, moved


@pytest.mark.parametrize("edge", Edge)
def test_the_edge_is_settled_rightly_or_not_at_all(edge):
    rng, told = np.random.default_rng(6), Counter()
    for _ in range(12):
        drawing, dimensions = drawn_to(edge, rng)
        scaled = fix_scales(drawing.sheet, drawing.views, dimensions=dimensions)
        told[scaled.views[0].edge] += 1
    assert set(told) <= {edge, None}
    assert told[edge] >= 8


@pytest.mark.parametrize("edge", Edge)
def test_sizes_between_thin_lines_help_to_settle_it(edge):
    rng, alone, helped = np.random.default_rng(6), Counter(), Counter()
    for _ in range(8):
        drawing, thick = drawn_to(edge, rng, count=6)
        thin = simulate(Plan(dimensions=6, drafting=0.1, stretch=(1.01, 0.997)), rng).dimensions
        thin = [replace(d, id=d.id + 50) for d in thin]
        for told, dimensions in ((alone, thick), (helped, [*thick, *thin])):
            views = settle_edges(
                drawing.views, dimensions, sheet=drawing.sheet, settings=Settings()
            )
            told[views[0].edge] += 1
    assert set(helped) <= {edge, None}
    assert helped[edge] > alone[edge]


def test_four_outlines_settle_nothing_however_exact():
    told = Counter()
    for seed in range(6):
        for count in (4, 12):
            rng = np.random.default_rng(seed)
            drawing, dimensions = drawn_to(Edge.OUTSIDE, rng, count=count, noise=0.0)
            scaled = fix_scales(drawing.sheet, drawing.views, dimensions=dimensions)
            told[count, scaled.views[0].edge] += 1
    assert told == {(4, None): 6, (12, Edge.OUTSIDE): 6}


def test_lines_thinner_than_the_scatter_settle_nothing():
    told = Counter()
    for seed in range(8):
        rng = np.random.default_rng(seed)
        drawing, dimensions = drawn_to(Edge.OUTSIDE, rng, width=0.6)
        scaled = fix_scales(drawing.sheet, drawing.views, dimensions=dimensions)
        told[scaled.views[0].edge] += 1
    assert told == {None: 8}


def test_what_is_settled_stays():
    drawing, dimensions = drawn_to(Edge.OUTSIDE, np.random.default_rng(2))
    views = [replace(drawing.views[0], edge=Edge.INSIDE)]
    [view] = settle_edges(views, dimensions, sheet=drawing.sheet, settings=Settings())
    assert view.edge is Edge.INSIDE


def parted(drawing, dimensions):
    """The same sheet with its sizes in two views, half and half."""
    first = drawing.views[0]
    views = [first, replace(first, id=first.id + 1)]
    half = len(dimensions) // 2
    later = [replace(d, view=views[1].id) for d in dimensions[half:]]
    return views, [*dimensions[:half], *later]


@pytest.mark.parametrize("edge", [Edge.CENTRE, Edge.OUTSIDE])
def test_views_of_a_picture_with_few_outlines_each_share_its_habit(edge):
    rng, told = np.random.default_rng(8), Counter()
    for _ in range(12):
        drawing, dimensions = drawn_to(edge, rng, count=8, noise=0.5)
        views, dimensions = parted(drawing, dimensions)
        told.update(
            v.edge
            for v in settle_edges(views, dimensions, sheet=drawing.sheet, settings=Settings())
        )
    assert set(told) <= {edge, None}
    assert told[edge] >= 8


def test_views_of_a_drawn_page_settle_each_their_own():
    drawing, dimensions = drawn_to(Edge.OUTSIDE, np.random.default_rng(8), count=8, noise=0.0)
    views, dimensions = parted(drawing, dimensions)
    page = replace(drawing.sheet, kind=PageKind.VECTOR)
    found = settle_edges(views, dimensions, sheet=page, settings=Settings())
    assert [v.edge for v in found] == [None, None]


# Inches, and px at 200 dpi, of five sizes of a front; the line of the first ends 4 mm short.
FRONT = (
    (8.75, (1231.4, 496.2), (1233.5, 874.7), EndKind.OUTLINE),
    (1.25, (1128.7, 568.0), (1078.5, 597.8), EndKind.OUTLINE),
    (6.25, (941.8, 583.1), (943.2, 876.3), EndKind.EXTENSION),
    (0.75, (1012.4, 909.8), (977.9, 908.7), EndKind.EXTENSION),
    (5.5, (1233.0, 947.7), (978.1, 948.5), EndKind.EXTENSION),
)


def test_three_sizes_that_fit_exactly_by_one_edge_do_not_settle_it_against_four_that_fit_fairly():
    drawing, base = drawn_to(Edge.CENTRE, np.random.default_rng(1), count=5, width=5.0)
    dimensions = [
        replace(
            d,
            ends=(
                replace(d.ends[0], point=Point(*a), kind=kind, sigma=0.46),
                replace(d.ends[1], point=Point(*b), sigma=0.46),
            ),
            reading=reading_of(Length(Fraction(inches), Unit.IN)),
        )
        for d, (inches, a, b, kind) in zip(base, FRONT, strict=True)
    ]
    [view] = settle_edges(drawing.views, dimensions, sheet=drawing.sheet, settings=Settings())
    assert view.edge is None
