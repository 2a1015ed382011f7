"""The table of points: what is read, and one line for what is not."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import BadUsage, NotReadable, TooLarge
from audit.geometry import Point
from audit.records import DimensionKind
from audit.sheets import PointRow, parse_points, read_points

A, B, C = Point(10, 20), Point(110, 20), Point(60, 80)


def row(text="", *, line=1, kind=DimensionKind.DISTANCE, points=(A, B), sheet=1):
    return PointRow(line=line, sheet=sheet, kind=kind, points=points, text=text)


GOOD = {
    "short": ("1,distance,10,20,110,20", row()),
    "with text": ('1,distance,10,20,110,20,"3 1/2"', row("3 1/2")),
    "three points": (
        "1,angle,10,20,110,20,60,80",
        row(kind=DimensionKind.ANGLE, points=(A, B, C)),
    ),
    "empty third point": ("1,distance,10,20,110,20,,,3 1/2", row("3 1/2")),
    "all nine": (
        "2,Radius,10,20,110,20,60,80,R 3/8",
        row("R 3/8", kind=DimensionKind.RADIUS, points=(A, B, C), sheet=2),
    ),
    "kind with a dash": (
        "1,arc-length,10,20,110,20",
        row(kind=DimensionKind.ARC_LENGTH),
    ),
    "header": ("sheet,kind,x1,y1,x2,y2,text\n1,distance,10,20,110,20,5", row("5", line=2)),
    "header in another order": (
        "Text, X1,Y1,X2,Y2,Kind,Sheet\n5,10,20,110,20,distance,1",
        row("5", line=2),
    ),
    "semicolons and decimal commas": (
        "1;distance;10,0;20;110;20;3,5 mm",
        row("3,5 mm"),
    ),
    "tabs": ("1\tdistance\t10\t20\t110\t20\t6X, TYP", row("6X, TYP")),
    "comment and blank lines": ("# mine\n\n1,distance,10,20,110,20\n", row(line=3)),
    "Windows line ends": ("sheet,kind,x1,y1,x2,y2\r\n1,distance,10,20,110,20\r\n", row(line=2)),
    "a text with a comma": ('1,distance,10,20,110,20,"6X, TYP"', row("6X, TYP")),
}


@pytest.mark.parametrize("name", GOOD)
def test_a_row_is_read(name):
    text, expected = GOOD[name]
    assert parse_points(text) == (expected,)


numbers = st.floats(-1e5, 1e5)


@given(
    st.lists(
        st.tuples(
            st.integers(1, 9),
            st.sampled_from(["distance", "radius", "diameter"]),
            *[numbers] * 4,
            st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), max_size=9),
        ).filter(lambda r: r[2:4] != r[4:6]),
        min_size=1,
        max_size=5,
    )
)
def test_what_the_csv_module_writes_is_read_back(rows):
    stream = io.StringIO()
    csv.writer(stream).writerows([("sheet", "kind", "x1", "y1", "x2", "y2", "text"), *rows])
    read = parse_points(stream.getvalue())
    assert [(r.sheet, r.kind.value, *r.points[0], *r.points[1], r.text) for r in read] == rows


WRONG = {
    "": "points has no rows",
    "sheet,kind,x1,y1,x2,y2": "points has no rows",
    "1,distance,10,20,110": "points, line 1: y2 is missing",
    "1,distance,10,20,,20": "points, line 1: x2 is missing",
    "\n1,distance,10,20,a,20": "points, line 2: x2 is 'a', no number",
    "1,distance,10,20,nan,20": "points, line 1: x2 is 'nan', no number",
    "1,distance,10,20,inf,20": "points, line 1: x2 is 'inf', no number",
    "1,length,10,20,110,20": "points, line 1: no kind 'length'",
    "0,distance,10,20,110,20": "points, line 1: '0' is no sheet number",
    "one,distance,10,20,110,20": "points, line 1: 'one' is no sheet number",
    "1,distance,10,20,10,20": "points, line 1: two points are the same",
    "1,angle,10,20,110,20": "points, line 1: an angle needs three points",
    "1,angle,10,20,110,20,60,": "points, line 1: y3 is missing",
    "1,distance,10,20,110,20,60,80,6X,TYP": "points, line 1: 10 fields are more than a row has",
    "sheet,kind,x1,y1,x2,y3\n1,distance,1,2,3,4": "points, line 1: the column y2 is missing",
    "sheet,kind,x1,y1,x2,y2,size\n1,distance,1,2,3,4,5": "points, line 1: no column is called",
    "sheet,kind,x1,y1,x2,y2\n1,distance,1,2,3,4,5": "points, line 2: 7 fields under 6 column names",
}


@pytest.mark.parametrize("text", WRONG)
def test_a_row_that_makes_no_sense_is_told_with_its_line(text):
    with pytest.raises(BadUsage) as caught:
        parse_points(text)
    assert caught.value.problem.startswith(WRONG[text])
    assert caught.value.advice


def test_a_file_is_read_with_or_without_a_byte_order_mark(tmp_path):
    path = tmp_path / "points.csv"
    for mark in (b"", b"\xef\xbb\xbf"):
        path.write_bytes(mark + "1,distance,10,20,110,20,⅞".encode())
        assert read_points(path) == (row("⅞"),)


def test_a_file_that_is_no_table_is_told(tmp_path):
    with pytest.raises(NotReadable, match=r"^none\.csv does not exist"):
        read_points(tmp_path / "none.csv")
    with pytest.raises(NotReadable, match="cannot be read"):
        read_points(tmp_path)
    path = tmp_path / "points.csv"
    path.write_bytes(b"\xff\xfe1")
    with pytest.raises(NotReadable, match=r"points\.csv is no text in UTF-8: save it as CSV UTF-8"):
        read_points(path)
    with path.open("wb") as stream:
        stream.truncate(30_000_000)
    with pytest.raises(TooLarge, match=r"points\.csv is too large"):
        read_points(path)
