"""A parser built beforehand says what its grammar says, and none is taken of other grammars."""

from __future__ import annotations

import gzip

import lark
import pytest
from lark import LarkError

from audit.lengths import grammar, ready_parsers
from audit.lengths.ready_parsers import load_ready, store_parser

TEXTS = {
    "lengths": ("3 5/8", "1'-5 1/2\"", "12.375", "90°", "", "1/", "4 m"),
    "callouts": ("6X R3/8 TYP", "Ø.500", "2X 45°", "1/4-20 UNC", "Ø1/2 ↧ 1/4", "4 X", "R", "(18)"),
    "statements": ('SCALE: 1/4" = 1\'-0"', "DIMENSIONS IN MM", "6 LEGS", "SHEET 1 OF 2", "?"),
}


def parsed(parser, text):
    try:
        return parser.parse(text)
    except LarkError as error:
        return type(error), str(error).splitlines()[0]


@pytest.mark.parametrize("name", TEXTS)
def test_the_parser_stored_is_the_one_that_the_grammar_makes_now(name):
    """Where there is none of today's grammars, `make docs` writes it."""
    ready, built = load_ready(name), grammar.build_parser(name)
    assert ready is not None
    found = [(parsed(ready, text), parsed(built, text)) for text in TEXTS[name]]
    assert all(one == other for one, other in found)
    assert len({repr(one) for one, _ in found}) > len(found) / 2


@pytest.mark.parametrize(
    ("where", "what", "other"), [(lark, "__version__", "0.1"), (ready_parsers, "OPTIONS", 0)]
)
def test_none_is_taken_that_another_lark_or_other_options_made(monkeypatch, where, what, other):
    monkeypatch.setattr(where, what, other)
    assert load_ready("lengths") is None


def test_none_is_taken_of_another_grammar_and_the_grammar_is_built(tmp_path, monkeypatch):
    for name in ready_parsers.GRAMMARS:
        text = (ready_parsers.files("audit.lengths") / f"{name}.lark").read_text("utf-8")
        (tmp_path / f"{name}.lark").write_text(text, "utf-8")
    parser = grammar.build_parser("lengths")
    monkeypatch.setattr(ready_parsers, "files", lambda _: tmp_path)
    assert load_ready("lengths") is None  # nothing was stored there
    store_parser("lengths", parser, tmp_path)
    assert load_ready("lengths") is not None
    (tmp_path / "numbers.lark").write_text("// another\n", "utf-8")
    assert load_ready("lengths") is None
    assert grammar.load_parser.__wrapped__("lengths").parse("3 5/8") == parser.parse("3 5/8")


@pytest.mark.parametrize("keep", [0, 40, 500, -9])
def test_a_damaged_one_is_passed_over(tmp_path, monkeypatch, keep):
    for name in ready_parsers.GRAMMARS:
        data = (ready_parsers.files("audit.lengths") / f"{name}.lark").read_bytes()
        (tmp_path / f"{name}.lark").write_bytes(data)
    monkeypatch.setattr(ready_parsers, "files", lambda _: tmp_path)
    path = store_parser("lengths", grammar.build_parser("lengths"), tmp_path)
    whole = path.read_bytes()
    assert load_ready("lengths") is not None
    path.write_bytes(whole[:keep])
    assert load_ready("lengths") is None
    head = gzip.decompress(whole).partition(b"\n")[0]
    path.write_bytes(gzip.compress(head + b"\n" + b"no pickle"))
    assert load_ready("lengths") is None
