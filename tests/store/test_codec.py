from __future__ import annotations

import dataclasses
import json
import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from audit.errors import BadAudit
from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.records import Audit, Decision, KnownSize, NoScale, Scale, ScaleFrom, Settings, View
from audit.store.codec import NotStorable, codec_for, dump_record, load_record
from audit.store.kinds import KIND_NAMES
from audit.store.rows import _KEYED, _LISTED
from audit.store.state import Head
from tests.strategies import records

STORED = sorted(
    {Audit, Head, *KIND_NAMES.values(), *_KEYED.values(), *_LISTED.values()},
    key=lambda kind: kind.__name__,
)
NO_SCALE = NoScale(reason="nothing fixes it")


@pytest.mark.parametrize("kind", STORED, ids=lambda kind: kind.__name__)
def test_every_stored_record_comes_back_as_it_was(kind: type[Any]) -> None:
    @given(records(kind, depth=3))
    @settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
    def check(record: Any) -> None:
        back = load_record(kind, dump_record(record))
        assert back == record
        # `Length` calls 1 in and 25.4 mm equal; the text does not.
        assert dump_record(back) == dump_record(record)

    check()


def test_json_is_plain_and_exact() -> None:
    known = KnownSize(
        sheet=1, a=Point(0, 0.1), b=Point(1e30, -0.0), length=Length(Fraction(3, 8), Unit.IN)
    )
    assert json.loads(dump_record(known)) == {
        "sheet": 1,
        "a": [0.0, 0.1],
        "b": [1e30, -0.0],
        "length": {"value": "3/8", "unit": "in"},
        "u_length": 0.0,
        "u_ends": 0.5,
        "by_tool": False,
    }


def test_a_union_of_records_says_which_one_it_is() -> None:
    view = View(id=1, sheet=1, box=Box(0, 0, 1, 1), scale=NO_SCALE)
    assert json.loads(dump_record(view))["scale"]["is"] == "NoScale"
    scale = Scale(x=2, y=2, covariance=((0.0,) * 3,) * 3, source=ScaleFrom.KNOWN)
    assert load_record(View, dump_record(dataclasses.replace(view, scale=scale))).scale == scale


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_numbers_that_are_not_finite_are_refused_on_the_way_in(bad: float) -> None:
    view = View(id=1, sheet=1, box=Box(0, 0, bad, 1), scale=NO_SCALE)
    with pytest.raises(NotStorable, match=r"View\.box\[2\]: not a finite number"):
        dump_record(view)


@pytest.mark.parametrize("bad", ["NaN", "Infinity", "-Infinity", "1e999", "true", '"1"'])
def test_numbers_that_are_not_finite_are_refused_on_the_way_out(bad: str) -> None:
    text = dump_record(View(id=1, sheet=1, box=Box(0, 0, 7.5, 1), scale=NO_SCALE))
    with pytest.raises(BadAudit, match="cannot be read"):
        load_record(View, text.replace("7.5", bad))


@pytest.mark.parametrize(
    "bad", ["1", "1/0", "1/-2", " 1/2", "1/2\\n", "1.5/2", "a/b", "1e3/2", "٣/4", "9" * 500 + "/1"]
)
def test_fractions_are_a_over_b_and_nothing_else(bad: str) -> None:
    text = dump_record(Length(Fraction(3, 8), Unit.IN)).replace("3/8", bad)
    with pytest.raises(BadAudit, match="a fraction a/b expected"):
        load_record(Length, text)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ('{"dimension":1}', "member 'value' of Decision is missing"),
        ('{"dimension":1,"value":null,"colour":"red"}', "Decision has no member 'colour'"),
        ('{"dimension":1,"dimension":2,"value":null}', "the same member twice"),
        ('{"dimension":true,"value":null}', r"\.dimension: int expected, not bool"),
        ('{"dimension":1,"value":{"value":"1/2","unit":"furlong"}}', r"\.value\.unit: no Unit"),
        ('{"dimension":99999999999999999999,"value":null}', "integer too large"),
        ('{"dimension":1,"value":null', "not JSON"),
        ("[1,null]", "dict expected, not list"),
        ('{"dimension":1,"value":' + "[" * 100_000, "nested too deeply|not JSON"),
        ('{"dimension":' + "9" * 5000 + ',"value":null}', "not JSON"),
    ],
)
def test_records_that_do_not_fit_are_refused_with_their_place(text: str, complaint: str) -> None:
    with pytest.raises(BadAudit, match=complaint):
        load_record(Decision, text)


def test_a_refusal_is_one_short_line_whatever_the_file_says() -> None:
    text = '{"dimension":1,"value":null,"\\u001b[31m' + "x" * 10_000 + '\\n":1}'
    with pytest.raises(BadAudit) as caught:
        load_record(Decision, text)
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 500


def test_a_field_added_later_takes_its_default_in_an_older_file() -> None:
    assert load_record(Decision, '{"dimension":1,"value":null}') == Decision(
        dimension=1, value=None
    )


def test_numpy_numbers_are_stored_as_the_numbers_they_are() -> None:
    box = Box(np.float32(0.5), np.float64(1), np.int64(2), 3)
    text = dump_record(View(id=np.int64(3), sheet=1, box=box, scale=NO_SCALE))
    assert load_record(View, text).box == Box(0.5, 1, 2, 3)


def test_the_wrong_type_is_refused_on_the_way_in() -> None:
    with pytest.raises(NotStorable, match=r"Settings\.unit: Unit expected, not str"):
        dump_record(Settings(unit="in"))  # type: ignore[arg-type]
    with pytest.raises(NotStorable, match=r"Decision\.hold: bool expected, not int"):
        dump_record(Decision(dimension=1, value=None, hold=1))  # type: ignore[arg-type]
    with pytest.raises(NotStorable, match="fraction with too many digits"):
        dump_record(Length(Fraction(10**400), Unit.IN))


@dataclass(frozen=True)
class Holder:
    things: tuple[Holder, ...] = ()
    words: frozenset[str] = frozenset()


class Colour(StrEnum):
    RED = "red"


def test_a_record_may_hold_itself() -> None:
    nested = Holder(things=(Holder(words=frozenset({"b", "a"})), Holder()))
    assert load_record(Holder, dump_record(nested)) == nested
    deep = '{"things":[' * 700 + "]}" * 700
    with pytest.raises(BadAudit, match="nested too deeply"):
        load_record(Holder, deep)


def test_sets_are_written_in_one_order_and_read_without_repeats() -> None:
    assert dump_record(Holder(words=frozenset({"b", "a"}))) == '{"things":[],"words":["a","b"]}'
    with pytest.raises(BadAudit, match="the same item twice"):
        load_record(Holder, '{"words":["a","a"]}')


def test_types_that_no_record_may_hold_are_refused_at_once() -> None:
    for hint in (dict[str, int], list[int], object, int | str, bytes):
        with pytest.raises(TypeError):
            codec_for(hint)
    assert codec_for(Colour).decode("red") is Colour.RED
