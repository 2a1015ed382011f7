"""Records to JSON and back, driven by the type hints of the records themselves.

========================  =====================================================
hint                      JSON
========================  =====================================================
dataclass                 object, one member for each field, all written
union of dataclasses      the same object with its class name under ``"is"``
`StrEnum`                 its value
`Fraction`                ``"a/b"``, lowest terms
`NamedTuple`, ``tuple``   array
``frozenset``             array, sorted by its JSON text
``float``                 number, finite and below 1e60
``None``                  ``null``
========================  =====================================================

A member that a record does not know is refused (the file is newer than the program); a member
that is missing takes the field's default (the file is older). Nothing is ever pickled.
"""

from __future__ import annotations

import dataclasses
import json
import math
import re
import types
import typing
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, StrEnum
from fractions import Fraction
from functools import cache
from typing import Any, TypeVar

from audit.errors import AuditError, BadAudit, one_line

MAX_FRACTION_DIGITS = 60  # digits of numerator or denominator; no printed size comes near
LONGEST: int = 10**MAX_FRACTION_DIGITS
MAX_NUMBER = 1e60  # nothing measured comes near, and its powers are still numbers
MAX_INTEGER = 2**63 - 1  # what an SQLite integer holds
TAG = "is"

_FRACTION = re.compile(r"(-?\d{1,400})/(\d{1,400})", re.ASCII)
_R = TypeVar("_R")


class NotStorable(AuditError):
    """A value that may not enter an audit file: not finite, or not what its field says."""

    code = "not-storable"


class _Fault(Exception):
    """What is wrong, and the steps that lead to it, innermost first."""

    def __init__(self, problem: str) -> None:
        super().__init__(problem)
        self.problem = problem
        self.steps: list[str] = []

    def told(self, root: str) -> str:
        return f"{root}{''.join(reversed(self.steps))}: {self.problem}"


@dataclass(frozen=True, slots=True)
class Codec:
    """How values of one type are written and read."""

    encode: Callable[[Any], Any]
    decode: Callable[[Any], Any]


def dump_record(record: object, kind: object = None) -> str:
    """Write one record as a line of ASCII JSON.

    Parameters
    ----------
    record : object
    kind : object
        The declared type, when it is wider than the record's own class.

    Returns
    -------
    str

    Raises
    ------
    NotStorable
        If a value is not finite or not of its field's type.
    """
    hint = type(record) if kind is None else kind
    try:
        data = codec_for(hint).encode(record)
    except _Fault as fault:
        raise NotStorable(f"cannot store {fault.told(_name(hint))}") from None
    return json.dumps(data, allow_nan=False, separators=(",", ":"))


def load_record(kind: type[_R], text: str) -> _R:
    """Read one record back.

    Parameters
    ----------
    kind : type[_R]
        The record's class.
    text : str
        What `dump_record` wrote.

    Returns
    -------
    object
        An instance of `kind`.

    Raises
    ------
    BadAudit
        If the text is no JSON, or does not fit the record.
    """
    try:
        return typing.cast(_R, codec_for(typing.cast(Any, kind)).decode(_parse(text)))
    except _Fault as fault:
        raise BadAudit(
            f"a record in this audit cannot be read: {one_line(fault.told(_name(kind)))[:300]}",
            advice="update plan-audit if the file comes from a newer version",
        ) from None
    except RecursionError:
        raise BadAudit("a record in this audit is nested too deeply", advice="use a copy") from None


def _parse(text: str) -> object:
    try:
        return json.loads(text, object_pairs_hook=_unique, parse_constant=_refuse_constant)
    except RecursionError:
        raise _Fault("nested too deeply") from None
    except ValueError as error:
        raise _Fault(f"not JSON ({error})") from None


def _unique(pairs: list[tuple[str, object]]) -> dict[str, object]:
    members = dict(pairs)
    if len(members) != len(pairs):
        raise _Fault("the same member twice")
    return members


def _refuse_constant(name: str) -> object:
    raise _Fault(f"{name} is no number")


def _name(hint: object) -> str:
    return getattr(hint, "__name__", str(hint))


@cache
def codec_for(hint: Any) -> Codec:
    """Build the codec of a type hint, once.

    Parameters
    ----------
    hint : Any

    Returns
    -------
    Codec

    Raises
    ------
    TypeError
        If records may not hold this type.
    """
    if hint in _PLAIN:
        return _PLAIN[hint]
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        return _union_codec(arguments)
    if origin is tuple:
        return _tuple_codec(arguments)
    if origin is frozenset:
        return _frozenset_codec(codec_for(arguments[0]))
    if isinstance(hint, type):
        if issubclass(hint, StrEnum):
            return _enum_codec(hint)
        if issubclass(hint, tuple) and hasattr(hint, "_fields"):
            return _named_tuple_codec(hint)
        if dataclasses.is_dataclass(hint):
            return _record_codec(hint)
    raise TypeError(f"no codec for {hint}: records hold only what audit.store.codec lists")


def _expect(value: object, kind: type) -> Any:
    if type(value) is not kind:
        raise _Fault(f"{_name(kind)} expected, not {_name(type(value))}")
    return value


def _plain(value: object) -> object:
    """Turn a numpy scalar or a `str` subclass into what it stands for."""
    if isinstance(value, str):
        return str(value)
    item = getattr(value, "item", None)
    return item() if callable(item) and getattr(value, "shape", None) == () else value


def _encoded(check: Callable[[object], Any]) -> Codec:
    return Codec(lambda value: check(_plain(value)), check)


def _check_string(value: object) -> str:
    text: str = _expect(value, str)
    return text


def _check_flag(value: object) -> bool:
    flag: bool = _expect(value, bool)
    return flag


def _check_nothing(value: object) -> None:
    _expect(value, type(None))


def _check_integer(value: object) -> int:
    number: int = _expect(value, int)
    if abs(number) > MAX_INTEGER:
        raise _Fault("integer too large")
    return number


def _check_float(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise _Fault(f"number expected, not {_name(type(value))}")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise _Fault("not a finite number")
    if abs(number) > MAX_NUMBER:
        raise _Fault("number too large")
    return number


def _encode_fraction(value: object) -> str:
    if not isinstance(value, Fraction):
        raise _Fault(f"Fraction expected, not {_name(type(value))}")
    if _is_long(value):
        raise _Fault("fraction with too many digits")
    return f"{value.numerator}/{value.denominator}"


def _is_long(value: Fraction) -> bool:
    return max(abs(value.numerator), value.denominator) >= LONGEST


def _decode_fraction(value: object) -> Fraction:
    match = _FRACTION.fullmatch(value) if isinstance(value, str) else None
    if match is None or int(match[2]) == 0:
        raise _Fault("a fraction a/b expected")
    fraction = Fraction(int(match[1]), int(match[2]))
    if _is_long(fraction):
        raise _Fault("fraction with too many digits")
    return fraction


_PLAIN: dict[object, Codec] = {
    str: _encoded(_check_string),
    bool: _encoded(_check_flag),
    type(None): Codec(_check_nothing, _check_nothing),
    int: _encoded(_check_integer),
    float: _encoded(_check_float),
    Fraction: Codec(_encode_fraction, _decode_fraction),
}


def _enum_codec(kind: type[StrEnum]) -> Codec:
    members = {member.value: member for member in kind}

    def encode(value: object) -> str:
        return str(_expect(value, kind).value)

    def decode(value: object) -> Enum:
        if not isinstance(value, str) or value not in members:
            raise _Fault(f"no {kind.__name__} is called {str(value)[:40]!r}")
        return members[value]

    return Codec(encode, decode)


def _each(code: Callable[[Any], Any], values: typing.Iterable[object]) -> list[Any]:
    done: list[Any] = []
    try:
        done.extend(map(code, values))
    except _Fault as fault:
        fault.steps.append(f"[{len(done)}]")
        raise
    return done


def _array(value: object, length: int | None = None) -> list[Any]:
    items: list[Any] = _expect(value, list)
    if length is not None and len(items) != length:
        raise _Fault(f"{length} items expected, not {len(items)}")
    return items


def _tuple_codec(arguments: tuple[Any, ...]) -> Codec:
    if len(arguments) != 2 or arguments[1] is not Ellipsis:
        return _fixed_codec(arguments, tuple)
    item = codec_for(arguments[0])

    def encode(value: object) -> list[Any]:
        return _each(item.encode, _expect(value, tuple))

    def decode(value: object) -> tuple[Any, ...]:
        return tuple(_each(item.decode, _array(value)))

    return Codec(encode, decode)


def _named_tuple_codec(kind: type[tuple[Any, ...]]) -> Codec:
    hints = typing.get_type_hints(kind)
    fields: tuple[str, ...] = kind._fields  # type: ignore[attr-defined]  # a NamedTuple has them
    return _fixed_codec(tuple(hints[f] for f in fields), kind)


def _fixed_codec(hints: tuple[Any, ...], kind: type[tuple[Any, ...]]) -> Codec:
    items = tuple(codec_for(hint) for hint in hints)
    size = len(items)

    def run(values: typing.Sequence[object], direction: str) -> list[Any]:
        done: list[Any] = []
        for index, (item, value) in enumerate(zip(items, values, strict=True)):
            try:
                done.append(getattr(item, direction)(value))
            except _Fault as fault:
                fault.steps.append(f"[{index}]")
                raise
        return done

    def encode(value: object) -> list[Any]:
        if not isinstance(value, tuple) or len(value) != size:
            raise _Fault(f"{_name(kind)} of {size} expected")
        return run(value, "encode")

    def decode(value: object) -> tuple[Any, ...]:
        parts = run(_array(value, size), "decode")
        return tuple(parts) if kind is tuple else kind(*parts)

    return Codec(encode, decode)


def _frozenset_codec(item: Codec) -> Codec:
    def encode(value: object) -> list[Any]:
        return sorted(_each(item.encode, _expect(value, frozenset)), key=json.dumps)

    def decode(value: object) -> frozenset[Any]:
        parts = _each(item.decode, _array(value))
        members = frozenset(parts)
        if len(members) != len(parts):
            raise _Fault("the same item twice")
        return members

    return Codec(encode, decode)


def _union_codec(arguments: tuple[Any, ...]) -> Codec:
    kinds = tuple(a for a in arguments if a is not type(None))
    optional = len(kinds) < len(arguments)
    inner = codec_for(kinds[0]) if len(kinds) == 1 else _tagged_codec(kinds)

    def encode(value: object) -> Any:
        return None if value is None and optional else inner.encode(value)

    def decode(value: object) -> Any:
        return None if value is None and optional else inner.decode(value)

    return Codec(encode, decode)


def _tagged_codec(kinds: tuple[Any, ...]) -> Codec:
    if not all(dataclasses.is_dataclass(kind) for kind in kinds):
        raise TypeError(f"a union in a record may join dataclasses and None only: {kinds}")
    by_name = {kind.__name__: (kind, codec_for(kind)) for kind in kinds}

    def encode(value: object) -> dict[str, Any]:
        name = type(value).__name__
        if name not in by_name or by_name[name][0] is not type(value):
            raise _Fault(f"one of {', '.join(by_name)} expected, not {name}")
        return {TAG: name, **by_name[name][1].encode(value)}

    def decode(value: object) -> Any:
        members = dict(_expect(value, dict))
        name = members.pop(TAG, None)
        if not isinstance(name, str) or name not in by_name:
            raise _Fault(f"one of {', '.join(by_name)} expected")
        return by_name[name][1].decode(members)

    return Codec(encode, decode)


@cache
def _fields_of(kind: Any) -> tuple[dict[str, Codec], tuple[str, ...]]:
    """Codec of each field, and the names of those without a default."""
    hints = typing.get_type_hints(kind)
    fields = dataclasses.fields(kind)
    needed = tuple(
        f.name
        for f in fields
        if f.default is dataclasses.MISSING and f.default_factory is dataclasses.MISSING
    )
    return {field.name: codec_for(hints[field.name]) for field in fields}, needed


def _record_codec(kind: Any) -> Codec:
    """Codec of a record; its fields are looked up at the first use, as a record may hold itself."""

    def encode(value: object) -> dict[str, Any]:
        _expect(value, kind)
        codecs, _ = _fields_of(kind)
        return {name: _step(name, c.encode, getattr(value, name)) for name, c in codecs.items()}

    def decode(value: object) -> Any:
        members: dict[str, Any] = _expect(value, dict)
        codecs, needed = _fields_of(kind)
        if not members.keys() <= codecs.keys():
            extra = min(members.keys() - codecs.keys())
            raise _Fault(f"{_name(kind)} has no member {extra[:40]!r}")
        for name in needed:
            if name not in members:
                raise _Fault(f"member {name!r} of {_name(kind)} is missing")
        parts = {name: _step(name, codecs[name].decode, v) for name, v in members.items()}
        try:
            return kind(**parts)
        except ValueError as error:
            raise _Fault(str(error)) from None

    return Codec(encode, decode)


def _step(name: str, code: Callable[[Any], Any], value: object) -> Any:
    try:
        return code(value)
    except _Fault as fault:
        fault.steps.append(f".{name}")
        raise
