"""Messages between worker and parent: what fits the declared type comes through, nothing else."""

from __future__ import annotations

import io
import json
import math
import pickle
import typing
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from typing_extensions import TypeAliasType

from audit.geometry import Box, Point
from audit.isolation.info import DocumentInfo, PageInfo, SourceKind
from audit.isolation.wire import HEADER, BadMessage, decode, encode, read_frame, write_frame
from audit.records import Fills, Glyphs, Stroke, Strokes, VectorPage


class Colour(StrEnum):
    RED = "red"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    number: float
    count: int
    name: str
    yes: bool
    colour: Colour
    part: Fraction
    place: Point
    maybe: Box | None
    many: tuple[Point, ...]
    pair: tuple[str, int]
    array: NDArray[np.int32]


def samples(floats):
    points = st.builds(Point, floats, floats)
    return st.builds(
        Sample,
        number=floats,
        count=st.integers(),
        name=st.text(),
        yes=st.booleans(),
        colour=st.just(Colour.RED),
        part=st.fractions(),
        place=points,
        maybe=st.none() | st.builds(Box, floats, floats, floats, floats),
        many=st.lists(points, max_size=5).map(tuple),
        pair=st.tuples(st.text(), st.integers()),
        array=st.lists(st.integers(-(2**31), 2**31 - 1), max_size=6).map(
            lambda v: np.array(v, np.int32).reshape(-1, 1)
        ),
    )


@given(samples(st.floats(allow_nan=False)))
def test_a_record_comes_back_as_it_was_sent(sample):
    back = decode(encode(sample), Sample)
    for name in Sample.__slots__:
        sent, got = getattr(sample, name), getattr(back, name)
        if name == "array":
            assert got.dtype == sent.dtype
            assert np.array_equal(got, sent)
        else:
            assert (type(got), got) == (type(sent), sent)


def test_not_a_number_and_infinity_come_through():
    assert math.isnan(decode(encode(float("nan")), float))
    assert decode(encode((math.inf, -math.inf)), tuple[float, ...]) == (math.inf, -math.inf)


def test_a_vector_page_comes_through_whole():
    stroke = Stroke(a=Point(1, 2), b=Point(3, 4.5), width=0.5, path=3, dashes=(3.0, 1.0))
    text = Glyphs(
        text='3 1/2"',
        origin=Point(1, 2),
        angle=90.0,
        size=12.0,
        font="F",
        quad=(Point(0, 0), Point(1, 0), Point(1, 1), Point(0, 1)),
        chars=(("3", Box(0, 0, 1, 1)),),
    )
    page = VectorPage(
        width=612.0,
        height=792.0,
        turn=90,
        strokes=Strokes.of([stroke]),
        arcs=(),
        fills=Fills(),
        texts=(text,),
    )
    back = decode(encode(page), VectorPage)
    assert list(back.strokes) == [stroke]
    assert back.texts == (text,)
    assert (back.width, back.turn, back.truncated) == (612.0, 90, False)


GOOD = json.loads(
    encode(DocumentInfo(kind=SourceKind.PDF, pages=(PageInfo(number=1, width=2.0, height=3.0),)))
)


def bent(change):
    message = json.loads(json.dumps(GOOD))
    change(message)
    return json.dumps(message).encode()


@pytest.mark.parametrize(
    "change",
    [
        lambda m: m.append(1),
        lambda m: m.pop(),
        lambda m: m.__setitem__(0, "exe"),
        lambda m: m.__setitem__(0, 7),
        lambda m: m.__setitem__(1, {}),
        lambda m: m.__setitem__(1, "x"),
        lambda m: m[1][0].__setitem__(0, 1.5),
        lambda m: m[1][0].__setitem__(0, True),
        lambda m: m[1][0].__setitem__(1, "wide"),
        lambda m: m[1][0].__setitem__(1, None),
        lambda m: m[1][0].__setitem__(4, 1),
        lambda m: m.__setitem__(2, 0),
        lambda m: m.__setitem__(3, [[]]),
    ],
)
def test_a_message_that_does_not_fit_is_refused(change):
    assert decode(bent(lambda m: None), DocumentInfo).pages[0].width == 2.0
    with pytest.raises(BadMessage):
        decode(bent(change), DocumentInfo)


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"\xff\xfe", b"[" * 100_000, b"1" * 10_000, pickle.dumps(Point(1, 2))],
)
def test_what_is_no_message_is_refused(body):
    with pytest.raises(BadMessage):
        decode(body, DocumentInfo)


@pytest.mark.parametrize(
    "array",
    [
        [[2], "<f8", "AAAA"],
        [[1], "<i8", "AAAAAAAAAAA="],
        [[-1], "<f8", ""],
        [[1, 1.0], "<f8", "AAAAAAAAAAA="],
        [[1], "<f8", "!!!"],
        [[1], "|O", "AAAAAAAAAAA="],
        [[10**30, 10**30], "<f8", ""],
    ],
)
def test_an_array_that_is_not_what_was_declared_is_refused(array):
    assert decode(b'[[1],"<f8","AAAAAAAAAAA="]', NDArray[np.float64]).shape == (1,)
    with pytest.raises(BadMessage):
        decode(json.dumps(array).encode(), NDArray[np.float64])


def test_types_that_cannot_be_told_apart_do_not_cross():
    for kind in (Any, Point | Box, dict[str, int], object):
        with pytest.raises(TypeError, match=r"can(not)? cross the pipe"):
            decode(b"1", kind)
    with pytest.raises(TypeError, match="object cannot cross the pipe"):
        encode(object())


def test_frames_end_where_they_should():
    stream = io.BytesIO()
    write_frame(stream, b"one")
    write_frame(stream, b"")
    stream.seek(0)
    assert [read_frame(stream) for _ in range(3)] == [b"one", b"", None]
    assert read_frame(io.BytesIO(HEADER.pack(9) + b"short")) is None
    with pytest.raises(BadMessage, match="a message of 99 bytes"):
        read_frame(io.BytesIO(HEADER.pack(99)), most=98)


def test_an_array_behind_a_lazy_alias_is_an_array():
    """From numpy 2.5 on (Python 3.12) `NDArray` is an alias in the sense of PEP 695."""
    kind = typing.TypeVar("kind", bound=np.generic)
    alias = TypeAliasType("alias", np.ndarray[Any, np.dtype[kind]], type_params=(kind,))
    sent = np.arange(6.0).reshape(2, 3)
    back = decode(encode(sent), alias[np.float64])
    np.testing.assert_array_equal(back, sent)
    with pytest.raises(BadMessage, match="an array of <f4 expected"):
        decode(encode(sent), alias[np.float32])
