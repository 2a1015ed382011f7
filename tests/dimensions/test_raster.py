"""Dimensions on rasters: whole sheets, and each thing that is easily lost on the way.

Drawn by OpenCV at four times the size and averaged down, so that ends are known exactly; no code
of the package has a part in the drawing.
"""

from __future__ import annotations

import itertools
import math

import cv2
import numpy as np
import pytest

from audit.dimensions.raster import find_in_picture
from audit.geometry import Point
from audit.networks.page import run_page
from audit.reading import TextLine
from audit.reading.find_text import find_text
from audit.records import Candidate, DimensionKind, ReadBy, Reading

OVER = 4
PX_PER_MM = 200 / 25.4


class Drawing:
    """A sheet drawn in px at 200 dpi."""

    def __init__(self, width=800, height=520):
        self.big = np.full((height * OVER, width * OVER), 255, np.uint8)

    def line(self, a, b, width=1.6):
        p, q = (tuple(round(v * OVER) for v in point) for point in (a, b))
        cv2.line(self.big, p, q, 0, max(1, round(width * OVER)), cv2.LINE_AA)

    def head(self, tip, turn, size=24, slim=1 / 6):
        """A filled arrowhead whose body lies towards `turn` (degrees, as seen)."""
        t = math.radians(turn)
        u, n = np.array([math.cos(t), -math.sin(t)]), np.array([math.sin(t), math.cos(t)])
        p = np.array(tip, float)
        corners = [p, p + u * size + n * size * slim, p + u * size - n * size * slim]
        cv2.fillPoly(self.big, [np.round(np.array(corners) * OVER).astype(np.int32)], 0)

    def text(self, text, centre, *, turn=0.0, height=20):
        scale = height * OVER / 21.0
        (w, h), _ = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, scale, 7)
        tile = np.full((h + 40, w + 40), 255, np.uint8)
        cv2.putText(tile, text, (20, h + 20), cv2.FONT_HERSHEY_SIMPLEX, scale, 0, 7, cv2.LINE_AA)
        m = cv2.getRotationMatrix2D((tile.shape[1] / 2, tile.shape[0] / 2), turn, 1.0)
        size = 2 * max(tile.shape)
        m[:, 2] += size / 2 - np.array([tile.shape[1], tile.shape[0]]) / 2
        turned = cv2.warpAffine(tile, m, (size, size), borderValue=(255,))
        x, y = (round(v * OVER - size / 2) for v in centre)
        x0, y0, x1, y1 = max(x, 0), max(y, 0), x + size, y + size
        part = self.big[y0:y1, x0:x1]
        ink = turned[y0 - y : y0 - y + part.shape[0], x0 - x : x0 - x + part.shape[1]]
        np.minimum(part, ink, out=part)

    def linear(self, a, b, *, text=None, reach=60, outside=False, gap=0.0):
        """A dimension from a to b with extension lines on the clockwise side."""
        a, b = np.array(a, float), np.array(b, float)
        u = (b - a) / np.hypot(*(b - a))
        n = np.array([-u[1], u[0]])
        turn = math.degrees(math.atan2(-u[1], u[0]))
        for p in (a, b):
            self.line(p - n * 14, p + n * reach)
        if outside:
            self.line(a - u * 60, a)
            self.line(b, b + u * 60)
            self.head(a, turn + 180)
            self.head(b, turn)
        else:
            middle = (a + b) / 2
            self.line(a, middle - u * gap / 2)
            self.line(middle + u * gap / 2, b)
            self.head(a, turn)
            self.head(b, turn + 180)
        if text:
            up = -n if u[0] > 0.1 or u[1] < 0 else n
            at = (a + b) / 2 + up * (18 if gap == 0 else 0)
            readable = turn if -91 < turn <= 91 else turn + 180
            self.text(text, at, turn=readable)

    @property
    def gray(self):
        return cv2.resize(self.big, None, fx=1 / OVER, fy=1 / OVER, interpolation=cv2.INTER_AREA)


def find(gray, *, words=None):
    """Search a raster; `words` gives the text nearest to each place instead of reading."""
    maps = run_page(gray, px_per_mm=PX_PER_MM)
    spots = find_text(gray, PX_PER_MM, maps=maps)
    lines, readings = [], []
    for spot in spots:
        text = _word(spot, words)
        lines.append(_line(spot, text))
        readings.append(_reading(spot, text))
    return find_in_picture(gray, maps, lines, readings, px_per_mm=PX_PER_MM, sheet=1, upright=0.0)


def _word(spot, words):
    if not words:
        return "?"
    near = min(words, key=lambda w: math.dist(words[w], spot.centre))
    return near if math.dist(words[near], spot.centre) < 30 else "?"


def _line(spot, text):
    t = math.radians(spot.angle)
    u = np.array([math.cos(t), -math.sin(t)]) * spot.length / 2
    n = np.array([math.sin(t), math.cos(t)]) * spot.height / 2
    c = np.array(spot.centre)
    quad = tuple(Point(*map(float, p)) for p in (c - u - n, c + u - n, c + u + n, c - u + n))
    return TextLine(
        text=text,
        box=spot.box,
        angle=spot.angle,
        quad=quad,
        height=spot.height,
        trusted=text != "?",
    )


def _reading(spot, text):
    vote = Candidate(text=text, confidence=0.9, by=ReadBy.NET)
    return Reading(
        text=text, callout=None, confidence=0.9, by=ReadBy.NET, candidates=(vote,), box=spot.box
    )


def lengths(found, kind=DimensionKind.DISTANCE):
    """Measured sizes, px, in order."""
    return sorted(
        d.ends[0].point.distance(d.ends[1].point) for d in found.dimensions if d.kind is kind
    )


def test_the_ends_are_those_of_the_extension_lines_to_a_tenth_of_a_pixel():
    sheet = Drawing()
    sheet.linear((120.25, 100), (580.75, 100), text="2.300")
    (dimension,) = find(sheet.gray).dimensions
    ends = sorted(e.point for e in dimension.ends)
    # OpenCV draws through px centres: (x, y) lies at x + half a big px
    assert ends[0].x == pytest.approx(120.25 + 0.125, abs=0.1)
    assert ends[1].x == pytest.approx(580.75 + 0.125, abs=0.1)


def test_extension_lines_decide_where_the_arrowheads_stop_short():
    sheet = Drawing()
    sheet.line((120, 60), (120, 200))
    sheet.line((580, 60), (580, 200))
    sheet.line((123, 100), (577, 100))
    sheet.head((123, 100), 0)
    sheet.head((577, 100), 180)
    sheet.text("2.300", (350, 82))
    assert lengths(find(sheet.gray)) == pytest.approx([460.0], abs=0.15)


def test_a_chain_with_shared_tips_gives_every_leg():
    sheet = Drawing()
    for a, b in ((80, 220), (220, 420), (420, 700)):
        sheet.linear((a, 120), (b, 120), text=f"{(b - a) / 200:.3f}")
    assert lengths(find(sheet.gray)) == pytest.approx([140.0, 200.0, 280.0], abs=0.2)


def test_a_line_broken_by_its_text_is_one_dimension():
    sheet = Drawing()
    sheet.linear((120, 100), (580, 100), text="2.300", gap=110)
    found = find(sheet.gray)
    assert lengths(found) == pytest.approx([460.0], abs=0.15)
    assert found.dimensions[0].reading is not None


def test_a_short_dimension_has_its_arrowheads_outside():
    sheet = Drawing()
    sheet.linear((300, 140), (345, 140), outside=True)
    sheet.text(".225", (450, 140))
    assert lengths(find(sheet.gray)) == pytest.approx([45.0], abs=0.2)


def test_an_upright_and_a_slanted_dimension():
    sheet = Drawing(800, 800)
    sheet.linear((150, 600), (150, 150), text="2.250")
    sheet.linear((350, 200), (650, 500), text="2.121")
    assert lengths(find(sheet.gray)) == pytest.approx([math.hypot(300, 300), 450.0], abs=0.25)


def test_the_number_printed_plays_no_part_in_finding():
    found = []
    for text in ("2.300", "9.876"):
        sheet = Drawing()
        sheet.linear((120, 100), (580, 100), text=text)
        found.append(find(sheet.gray, words={text: (350, 82)}).dimensions)
    assert len(found[0]) == len(found[1]) == 1
    assert found[1][0].reading.text == "9.876"
    assert lengths_of(found[0]) == pytest.approx(lengths_of(found[1]), abs=0.02)


def lengths_of(dimensions):
    return [d.ends[0].point.distance(d.ends[1].point) for d in dimensions]


def test_a_part_without_dimensions_has_none():
    sheet = Drawing()
    corners = [(100, 100), (600, 100), (600, 400), (100, 400)]
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        sheet.line(a, b, width=4)
    sheet.text("SIDE PLATE", (350, 450))
    assert find(sheet.gray).dimensions == ()


def test_a_radius_is_that_of_the_rounded_corner():
    sheet = Drawing()
    sheet.line((100, 100), (100, 300), width=4)
    sheet.line((160, 360), (500, 360), width=4)
    cv2.ellipse(
        sheet.big, (160 * OVER, 300 * OVER), (60 * OVER,) * 2, 0, 90, 180, 0, 16, cv2.LINE_AA
    )
    tip = (160 - 60 * math.sqrt(0.5), 300 + 60 * math.sqrt(0.5))
    sheet.line((tip[0] + 130, tip[1] - 130), tip)
    sheet.line((tip[0] + 130, tip[1] - 130), (tip[0] + 170, tip[1] - 130))
    sheet.head(tip, 45)
    sheet.text("R .300", (tip[0] + 220, tip[1] - 130))
    place = (tip[0] + 220, tip[1] - 130)
    found = find(sheet.gray, words={"R .300": place})
    assert lengths(found, DimensionKind.RADIUS) == pytest.approx([60.0], abs=0.5)


def test_a_diameter_is_that_of_the_circle_a_leader_points_at():
    sheet = Drawing()
    cv2.circle(sheet.big, (250 * OVER, 260 * OVER), 90 * OVER, 0, 16, cv2.LINE_AA)
    tip = (250 + 90 * math.sqrt(0.5), 260 - 90 * math.sqrt(0.5))
    knee = (tip[0] + 80, tip[1] - 80)
    sheet.line(tip, knee)
    sheet.line(knee, (knee[0] + 40, knee[1]))
    sheet.head(tip, 45)
    sheet.text("DIA .900", (knee[0] + 110, knee[1]))
    found = find(sheet.gray, words={"DIA .900": (knee[0] + 110, knee[1])})
    assert lengths(found, DimensionKind.DIAMETER) == pytest.approx([180.0], abs=0.3)


def test_an_angle_has_its_vertex_where_its_legs_cross():
    sheet = Drawing()
    vertex = np.array([120.0, 420.0])
    for turn in (0.0, 40.0):
        t = math.radians(turn)
        u = np.array([math.cos(t), -math.sin(t)])
        sheet.line(vertex, vertex + u * 420, width=3)
    cv2.ellipse(
        sheet.big, (120 * OVER, 420 * OVER), (280 * OVER,) * 2, 0, -40, 0, 0, 6, cv2.LINE_AA
    )
    for turn, body in ((0.0, 92.5), (40.0, -52.5)):
        t = math.radians(turn)
        sheet.head((120 + 280 * math.cos(t), 420 - 280 * math.sin(t)), body)
    t = math.radians(20)
    sheet.text("40", (120 + 310 * math.cos(t), 420 - 310 * math.sin(t)))
    found = find(sheet.gray, words={"40°": (120 + 310 * math.cos(t), 420 - 310 * math.sin(t))})
    (angle,) = [d for d in found.dimensions if d.kind is DimensionKind.ANGLE]
    v, a, b = (np.array(e.point) for e in angle.ends)
    assert np.hypot(*(v - vertex - 0.125)) < 0.6
    turns = sorted(math.degrees(math.atan2(v[1] - p[1], p[0] - v[0])) for p in (a, b))
    assert turns == pytest.approx([0.0, 40.0], abs=0.2)


def test_a_chain_boxed_in_between_border_and_outline_keeps_its_sizes():
    sheet = Drawing()
    stations, words = (150, 300, 480), {}
    sheet.line((60, 60), (740, 60), 3)
    for x in stations:
        sheet.line((x, 60), (x, 150))
    sheet.line((150, 150), (480, 150), 3)
    for number, (a, b) in enumerate(itertools.pairwise(stations)):
        sheet.line((a, 110), (b, 110))
        sheet.head((a, 110), 0)
        sheet.head((b, 110), 180)
        words[f"{number}.25"] = ((a + b) / 2, 92)
        sheet.text(f"{number}.25", words[f"{number}.25"])
    found = find(sheet.gray, words=words).dimensions
    assert {d.reading.text for d in found if d.reading} == set(words)
