"""How often a hole is drawn whose callout gives a number."""

from __future__ import annotations

import time

import pytest

from audit.geometry import Box, Point
from audit.lengths import Unit, parse_callouts
from audit.pipeline.repeats import count_repeats
from audit.pipeline.viewing import NO_SCALE_YET
from audit.records import Arc, Dimension, DimensionKind, End, ReadBy, Reading, View, ViewKind
from tests.dimensions.page_builder import PageBuilder

VIEW = Box(50, 50, 500, 400)


def hole(text: str = "5X Ø 1/2", *, sweep: float = 360.0) -> Dimension:
    """A hole of radius 9 pt at 100, 200."""
    reading = Reading(
        text=text,
        callout=parse_callouts(text, unit=Unit.IN)[0],
        confidence=1.0,
        by=ReadBy.PDF,
        box=Box(120, 240, 170, 250),
    )
    ends = (End(point=Point(91, 200)), End(point=Point(109, 200)))
    return Dimension(
        id=1,
        sheet=1,
        view=1,
        kind=DimensionKind.DIAMETER,
        ends=ends,
        reading=reading,
        sweep=sweep,
    )


def counted(page: PageBuilder, dimension: Dimension | None = None):
    view = View(id=1, sheet=1, kind=ViewKind.TRUE, box=VIEW, scale=NO_SCALE_YET)
    [found] = count_repeats([dimension or hole()], [view], page.page().arcs)
    return found.repeats


def drawn(*centres) -> PageBuilder:
    page = PageBuilder()
    for centre in centres:
        page.circle(centre, 9)
    return page


def test_circles_of_a_holes_size_are_counted_in_its_view():
    page = drawn((100, 200), (200, 200), (300, 200))
    page.circle((400, 200), 9.5)
    seen = counted(page)
    assert [round(p.x) for p in seen.places] == [100, 200, 300]
    assert (seen.partly, seen.elsewhere) == (0, 0)


def test_circle_drawn_twice_is_one_hole():
    assert len(counted(drawn((100, 200), (100, 200), (200, 200))).places) == 2


def test_circle_of_another_view_is_counted_apart():
    seen = counted(drawn((100, 200), (200, 200), (100, 600)))
    assert (len(seen.places), seen.elsewhere) == (2, 1)


def test_half_a_circle_is_counted_apart():
    page = drawn((100, 200))
    x, y, k = 200, page.height - 200, 0.5522847498 * 9
    page.raw(
        f"1.2 w {x + 9} {y} m {x + 9} {y + k} {x + k} {y + 9} {x} {y + 9} c "
        f"{x - k} {y + 9} {x - 9} {y + k} {x - 9} {y} c S"
    )
    seen = counted(page)
    assert (len(seen.places), seen.partly) == (1, 1)


@pytest.mark.parametrize(("text", "sweep"), [("Ø 1/2", 360.0), ("5X Ø 1/2", 90.0)])
def test_hole_without_a_number_and_arc_are_not_counted(text, sweep):
    assert counted(drawn((100, 200), (200, 200)), hole(text, sweep=sweep)) is None


def test_hole_that_is_not_drawn_where_it_was_found_tells_nothing():
    assert counted(PageBuilder()) is None


def test_holes_of_a_sieve_are_counted_in_time():
    """Asking every hole of every other took 12 s of 4,000."""
    places = [(100 + 20 * k % 2000, 200 + 20 * (k // 100)) for k in range(8000)]
    arcs = [
        Arc(centre=Point(*p), radius=9.0, start=0.0, sweep=360.0, width=1.0, path=k)
        for k, p in enumerate(places)
    ]
    view = View(id=1, sheet=1, kind=ViewKind.TRUE, box=Box(0, 0, 1100, 2000), scale=NO_SCALE_YET)
    begun = time.process_time()
    [found] = count_repeats([hole()], [view], arcs)
    assert time.process_time() - begun < 4.0
    assert len(found.repeats.places) + found.repeats.elsewhere == len(set(places))
    assert found.repeats.elsewhere > 0
