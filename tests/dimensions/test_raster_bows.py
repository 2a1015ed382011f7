"""Bows that lead from the gap of a short size to its number, on ink drawn by hand."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
import pytest

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.ink import Line
from audit.dimensions.raster_bows import lead_bows
from audit.geometry import Point
from audit.records import DimensionKind, End, EndKind
from tests.dimensions.raster_builder import PX, draw_arc, maps_of, text_at
from tests.dimensions.test_raster import Drawing, find, lengths

WEAK = 0.25
NUMBER = text_at("1/4", (141, 72), height=8.0)
OTHER = text_at("5/8", (80, 90), height=8.0)
WEDGE = np.round(np.array([(105, 98.8), (131, 72), (105, 72)]) * PX).astype(np.int32)


def polyline(*points):
    def draw(dark):
        for a, b in pairwise(points):
            cv2.line(dark, *(tuple(round(v * PX) for v in p) for p in (a, b)), 255, 2)

    return draw


def bow(dark):
    """From the middle of the gap up and to the right: a quarter of a circle."""
    draw_arc(dark, (130, 98), 25.0, 90.0, 180.0)


def candidate(low=100.0, high=110.0):
    ends = tuple(
        End(point=Point(x, 100.0), kind=EndKind.EXTENSION, sigma=0.01, line_width=0.6)
        for x in (low, high)
    )
    own = TextPlace(line=Line(low, 100.0, 1.0, 0.0), low=0.0, high=high - low)
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=ends,
        line=(ends[0].point, ends[1].point),
        strength=WEAK,
        places=(own,),
        wants=frozenset({"length"}),
    )


def led(*draws, number=NUMBER, of=None):
    """Whether a bow was found: its candidate is surer, and takes its number only."""

    of = candidate() if of is None else of

    def draw(dark):
        for end, way in zip(of.ends, (-1, 1), strict=True):
            x = end.point.x
            polyline((x, 100), (x, 180))(dark)
            polyline((x, 100), (x + 12 * way, 100))(dark)
        for one in draws:
            one(dark)

    (found,) = lead_bows([of], [number, OTHER], maps_of(draw), px_per_pt=PX)
    if found == of:
        return False
    (place,) = found.places
    assert found.strength > WEAK
    assert Point(place.line.x, place.line.y).distance(number.line.centre) < 0.01
    return True


def test_a_bow_leads_a_short_size_to_its_number():
    assert led(bow)


def test_a_bent_line_leads_as_well():
    assert led(polyline((105, 98), (118, 72), (131, 72)))


def test_a_bow_that_crosses_an_extension_line_is_followed_beyond_it():
    number = text_at("1/4", (141, 132), height=8.0)
    assert led(polyline((105, 102), (118, 122), (131, 132)), number=number)


@pytest.mark.parametrize(
    "draw",
    [
        polyline((105, 98), (110, 88)),
        polyline((101.3, 98), (101.3, 72), (131, 72)),
        lambda dark: cv2.fillPoly(dark, [WEDGE], 255),
        lambda _: None,
    ],
    ids=["short of it", "from an end", "a blot", "nothing"],
)
def test_other_ink_leads_nowhere(draw):
    assert not led(draw)


def test_in_a_long_gap_a_number_has_room():
    assert not led(bow, of=candidate(low=60.0, high=150.0))


def test_a_line_that_crosses_a_gap_with_its_own_number_is_no_bow():
    gap, across = candidate(low=100.0, high=150.0), polyline((125, 70), (125, 112))
    number, own = text_at("13", (125, 62), height=8.0), text_at("6", (125, 100), height=8.0)

    def led_to(numbers):
        found = lead_bows([gap], numbers, maps_of(across), px_per_pt=PX)
        return found != [gap]

    assert led_to([number])
    assert not led_to([number, own])


def test_what_is_no_size_is_led_to_by_no_bow():
    assert not led(bow, number=text_at("OAK", (141, 72), height=8.0))


def test_what_the_number_says_plays_no_part():
    numbers = (text_at(f"{n}/9", (141, 72), height=8.0) for n in range(1, 9))
    assert all(led(bow, number=number) for number in numbers)


def test_a_bow_on_a_sheet_makes_a_size_of_its_number():
    sheet = Drawing()
    sheet.line((300, 140), (300, 330))
    sheet.line((330, 140), (330, 330))
    for tip, far, turn in ((300, 250, 180), (330, 380, 0)):
        sheet.line((tip, 150), (far, 150))
        sheet.head((tip, 150), turn, size=16)
    turns = np.radians(np.linspace(180, 90, 30))
    points = [(395 + 80 * np.cos(t), 145 - 80 * np.sin(t)) for t in turns]
    for a, b in pairwise(points):
        sheet.line(a, b)
    sheet.text("3/8", (430, 62))
    found = find(sheet.gray, words={"3/8": (430, 62)})
    assert lengths(found) == pytest.approx([30.0], abs=0.3)
    assert found.dimensions[0].reading.text == "3/8"
