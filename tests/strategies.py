"""Hypothesis strategies that several layers share."""

from __future__ import annotations

import dataclasses
import types
import typing
from enum import StrEnum
from fractions import Fraction
from functools import cache
from typing import Any

from hypothesis import strategies as st

# What a float field may hold: finite, and of every size that a place or a sum may have.
finite_floats = st.floats(-1e60, 1e60)  # what an audit file may hold
# Text as file names and callouts bring it: control characters and lone surrogates included.
any_text = st.text(st.characters(), max_size=12)
integers = st.integers(min_value=-(2**63) + 1, max_value=2**63 - 1)
fractions = st.fractions(max_denominator=10_000)


@cache
def records(hint: Any, depth: int = 3) -> st.SearchStrategy[Any]:
    """Draw any value of a type that a record may hold, from its type hints alone.

    `depth` is how many records may lie in each other; below it what may be empty is empty.
    """
    plain = {
        str: any_text,
        bool: st.booleans(),
        int: integers,
        float: finite_floats,
        Fraction: fractions,
        type(None): st.none(),
    }
    if hint in plain:
        return plain[hint]
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        if depth <= 0 and type(None) in arguments:
            return st.none()
        return st.one_of(*(records(a, depth) for a in sorted(arguments, key=str)))
    if origin is tuple:
        return _tuples(arguments, depth)
    if origin is frozenset:
        return st.frozensets(records(arguments[0], depth), max_size=3)
    if issubclass(hint, StrEnum):
        return st.sampled_from(list(hint))
    return st.deferred(lambda: _built(hint, depth))


def _tuples(arguments: tuple[Any, ...], depth: int) -> st.SearchStrategy[Any]:
    if arguments[1:] != (Ellipsis,):
        return st.tuples(*(records(a, depth) for a in arguments))
    if depth <= 0:
        return st.just(())  # not an empty list: its items would be looked into, without end
    return st.lists(records(arguments[0], depth), max_size=2).map(tuple)


def _built(kind: Any, depth: int) -> st.SearchStrategy[Any]:
    hints = typing.get_type_hints(kind)
    if issubclass(kind, tuple):
        return st.builds(kind, **{n: records(hints[n], depth) for n in kind._fields})
    names = [f.name for f in dataclasses.fields(kind)]
    return st.builds(kind, **{name: records(hints[name], depth - 1) for name in names})
