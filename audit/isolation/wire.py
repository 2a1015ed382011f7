"""How the worker and its parent talk: framed messages over two pipes.

Parent to worker: pickled requests; the worker may trust its parent. Worker to parent: JSON,
decoded against the one record type that the request calls for. A worker taken over by a hostile
file can therefore only send wrong numbers, never name a class or run code in the parent, and
whatever does not fit the declared types is refused. Arrays travel as base64 of their bytes; the
declared type says what the bytes are.
"""

from __future__ import annotations

import base64
import binascii
import json
import math
import struct
import types
import typing
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from enum import Enum
from fractions import Fraction
from functools import cache
from operator import attrgetter
from typing import IO, Any

HEADER = struct.Struct(">Q")
MAX_MESSAGE_BYTES = 256 * 1024 * 1024  # a page of a million strokes takes about 150 MB

Decoder = Callable[[Any], Any]


class BadMessage(Exception):
    """The other side sent something that does not fit the declared types."""


def write_frame(stream: IO[bytes], body: bytes) -> None:
    """Send one message."""
    stream.write(HEADER.pack(len(body)))
    stream.write(body)
    stream.flush()


def read_frame(stream: IO[bytes], *, most: int = MAX_MESSAGE_BYTES) -> bytes | None:
    """Receive one message, or `None` when the other side has gone.

    Raises
    ------
    BadMessage
        If the message is longer than `most` bytes.
    """
    head = stream.read(HEADER.size)
    if len(head) < HEADER.size:
        return None
    (size,) = HEADER.unpack(head)
    if size > most:
        raise BadMessage(f"a message of {size} bytes")
    body = stream.read(size)
    return body if len(body) == size else None


def encode(value: object) -> bytes:
    """Turn records, tuples, numbers and texts into JSON; a record becomes a list of its fields."""
    return json.dumps(value, default=_row, separators=(",", ":")).encode("ascii")


@cache
def _row_getter(kind: type) -> Callable[[Any], Any]:
    names = [f.name for f in fields(kind)]
    if len(names) == 1:
        only = attrgetter(names[0])
        return lambda record: (only(record),)
    return attrgetter(*names)


def _row(value: object) -> object:
    if isinstance(value, Fraction):
        return [value.numerator, value.denominator]
    if is_dataclass(value) and not isinstance(value, type):
        return _row_getter(type(value))(value)
    if hasattr(value, "__array_interface__"):
        array: Any = value
        return [array.shape, array.dtype.str, base64.b64encode(array.tobytes()).decode("ascii")]
    raise TypeError(f"{type(value).__name__} cannot cross the pipe")


def decode(body: bytes, kind: Any) -> Any:
    """Read JSON back into one declared type.

    Parameters
    ----------
    body : bytes
    kind : type
        A record, NamedTuple, Enum, Fraction, float, int, str, bool, numpy array of one stated
        number type, tuple of these, or a union of one of these with None.

    Returns
    -------
    object
        An instance of `kind`.

    Raises
    ------
    BadMessage
        If anything in the message does not fit `kind`.

    Examples
    --------
    >>> decode(b"[1, [2.5, null]]", tuple[int, tuple[float | None, ...]])
    (1, (2.5, None))
    >>> decode(b'["x"]', tuple[int, ...])
    Traceback (most recent call last):
    ...
    audit.isolation.wire.BadMessage: int expected, not str
    """
    read = _decoder(kind)
    try:
        return read(json.loads(body))
    except BadMessage:
        raise
    except (ValueError, TypeError, RecursionError, OverflowError) as error:
        raise BadMessage(f"does not fit {kind}: {error}") from error


@cache
def _decoder(kind: Any) -> Decoder:
    kind = _unaliased(kind)
    origin = typing.get_origin(kind)
    if origin is tuple:
        return _tuple_decoder(typing.get_args(kind))
    if origin in (types.UnionType, typing.Union):
        return _optional_decoder(typing.get_args(kind))
    if getattr(origin, "__name__", "") == "ndarray":
        return _array_decoder(kind)
    if kind in _PLAIN:
        return _PLAIN[kind]
    if isinstance(kind, type):
        if issubclass(kind, Enum):
            return kind
        if issubclass(kind, tuple) and hasattr(kind, "_fields"):
            return _named_tuple_decoder(kind)
        if is_dataclass(kind):
            return _record_decoder(kind)
    raise TypeError(f"{kind} cannot cross the pipe")


def _unaliased(kind: Any) -> Any:
    """Look through an alias that is worked out when asked for: `NDArray` is one from numpy 2.5 on.

    References
    ----------
    PEP 695, "Type Parameter Syntax", generic type aliases.
    """
    meant = getattr(typing.get_origin(kind), "__value__", None)
    return kind if meant is None else meant[typing.get_args(kind)]


def _exactly(kind: type) -> Decoder:
    def check(value: Any) -> Any:
        if type(value) is not kind:
            raise BadMessage(f"{kind.__name__} expected, not {type(value).__name__}")
        return value

    return check


def _float(value: Any) -> float:
    if type(value) is float:
        return value
    if type(value) is not int:
        raise BadMessage(f"float expected, not {type(value).__name__}")
    return float(value)


def _fraction(value: Any) -> Fraction:
    top, bottom = _rows_of(value, 2)
    if type(top) is not int or type(bottom) is not int or bottom == 0:
        raise BadMessage("a fraction of two whole numbers expected")
    return Fraction(top, bottom)


_PLAIN: dict[Any, Decoder] = {
    float: _float,
    int: _exactly(int),
    str: _exactly(str),
    bool: _exactly(bool),
    type(None): _exactly(type(None)),
    Fraction: _fraction,
}


def _rows_of(value: Any, count: int) -> list[Any]:
    if type(value) is not list or len(value) != count:
        raise BadMessage(f"a list of {count} expected")
    return value


def _tuple_decoder(arguments: tuple[Any, ...]) -> Decoder:
    if len(arguments) == 2 and arguments[1] is Ellipsis:
        each = _decoder(arguments[0])

        def many(value: Any) -> Any:
            if type(value) is not list:
                raise BadMessage(f"a list expected, not {type(value).__name__}")
            return tuple(map(each, value))

        return many
    parts = tuple(map(_decoder, arguments))

    def few(value: Any) -> Any:
        row = _rows_of(value, len(parts))
        return tuple(part(item) for part, item in zip(parts, row, strict=True))

    return few


def _optional_decoder(arguments: tuple[Any, ...]) -> Decoder:
    others = [a for a in arguments if a is not type(None)]
    if len(others) != 1 or len(others) == len(arguments):
        raise TypeError(f"only a union of one type with None can cross the pipe: {arguments}")
    inner = _decoder(others[0])
    return lambda value: None if value is None else inner(value)


def _array_decoder(kind: Any) -> Decoder:
    import numpy as np  # noqa: PLC0415  # the worker starts without it

    dtype = np.dtype(typing.get_args(typing.get_args(kind)[1])[0])

    def read(value: Any) -> Any:
        shape, sent, data = _rows_of(value, 3)
        if sent != dtype.str:
            raise BadMessage(f"an array of {dtype.str} expected, not {sent}")
        if type(shape) is not list or not all(type(n) is int and n >= 0 for n in shape):
            raise BadMessage("the shape of an array expected")
        try:
            raw = base64.b64decode(_PLAIN[str](data), validate=True)
        except binascii.Error as error:
            raise BadMessage(f"not base64: {error}") from error
        if len(raw) != math.prod(shape) * dtype.itemsize:
            raise BadMessage(f"{len(raw)} bytes do not fill {shape} of {dtype}")
        return np.frombuffer(raw, dtype).reshape(shape)

    return read


def _named_tuple_decoder(kind: type) -> Decoder:
    hints = typing.get_type_hints(kind)
    names: tuple[str, ...] = kind._fields  # type: ignore[attr-defined]  # NamedTuple
    if all(hints[name] is float for name in names):
        return _float_tuple_decoder(kind, len(names))
    parts = tuple(_decoder(hints[name]) for name in names)

    def read(value: Any) -> Any:
        row = _rows_of(value, len(parts))
        return kind(*(part(item) for part, item in zip(parts, row, strict=True)))

    return read


def _float_tuple_decoder(kind: type, count: int) -> Decoder:
    # Points and boxes are most of a vector page: one type test for the whole row.
    numbers = {float, int}
    make: Callable[[Any], Any] = kind._make  # type: ignore[attr-defined]  # NamedTuple

    def read(value: Any) -> Any:
        if (
            type(value) is not list
            or len(value) != count
            or not numbers.issuperset(map(type, value))
        ):
            raise BadMessage(f"{count} numbers expected")
        return make(map(float, value))

    return read


def _record_decoder(kind: type) -> Decoder:
    hints = typing.get_type_hints(kind)
    names = [f.name for f in fields(kind)]
    parts = [_decoder(hints[name]) for name in names]
    pairs = list(zip(names, parts, strict=True))

    def read(value: Any) -> Any:
        row = _rows_of(value, len(pairs))
        return kind(**{n: part(item) for (n, part), item in zip(pairs, row, strict=True)})

    return read
