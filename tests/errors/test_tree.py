"""One tree of errors: as drawn, one exit code and one JSON shape each, one printable line."""

from __future__ import annotations

import copy
import inspect
import json
import pickle
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit import errors
from audit.cli.main import run_command
from audit.errors import AuditError, BadInput, BadPlace, BadUsage, NotReadable, one_line

ALL = [
    kind
    for _, kind in inspect.getmembers(errors, inspect.isclass)
    if issubclass(kind, AuditError) and kind.__module__ == errors.__name__
]
DRAWN = re.compile(r"^ {4}(?P<branch>[│├└─ ]*)(?P<name>[A-Z]\w+)\s+(?P<says>.*)$", re.MULTILINE)
HOSTILE = "plan\x00\x1b[31m\r\nred\u202e\udcff\x85\u2028 .pdf"


def drawn() -> dict[str, tuple[str | None, str]]:
    """Parent and remark of every class in the drawing at the top of the module."""
    found, above = {}, []
    for match in DRAWN.finditer(errors.__doc__ or ""):
        depth = len(match["branch"]) // 4
        above = [*above[:depth], match["name"]]
        found[match["name"]] = (above[depth - 1] if depth else None, match["says"])
    return found


def test_every_error_is_drawn_under_its_parent():
    tree = drawn()
    assert tree.keys() == {kind.__name__ for kind in ALL}
    for kind in ALL:
        parent, _ = tree[kind.__name__]
        assert parent == (None if kind is AuditError else kind.__base__.__name__)


def test_every_error_has_the_exit_code_that_is_drawn():
    stated = {n: re.match(r"exit (\d)", says) for n, (_, says) in drawn().items()}
    for kind in ALL:
        said = stated[kind.__name__] or stated[kind.__base__.__name__]
        assert said is not None
        assert kind.exit_code == int(said[1])


def test_only_what_went_wrong_inside_exits_3():
    assert [kind for kind in ALL if kind.exit_code == errors.EXIT_INTERNAL] == [AuditError]
    assert {kind.exit_code for kind in ALL} == {errors.EXIT_INTERNAL, errors.EXIT_BAD_INPUT}


def test_exit_codes_are_those_of_the_manual_and_differ():
    codes = {n: v for n, v in vars(errors).items() if n.startswith("EXIT_")}
    assert sorted(codes.values()) == [0, 1, 2, 3, 4, 130]


def test_public_names_are_all_there_and_sorted():
    assert errors.__all__ == [*sorted(kind.__name__ for kind in ALL), "known_errors"]
    assert {n: k for n, k in errors.known_errors().items() if k in ALL} == {k.code: k for k in ALL}


def test_codes_are_short_words_and_never_shared():
    codes = [kind.code for kind in ALL]
    assert len(set(codes)) == len(codes)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", code) for code in codes)


@pytest.mark.parametrize("kind", ALL)
def test_json_has_one_shape(kind):
    said = json.loads(json.dumps(kind(HOSTILE, advice="look\nagain").as_json()))
    problem = "plan [31m red .pdf"
    assert said == {"error": {"code": kind.code, "problem": problem, "advice": "look again"}}
    assert kind("wrong").as_json()["error"]["advice"] == ""
    assert 400 <= kind.http_status < 600


@pytest.mark.parametrize("kind", ALL)
@pytest.mark.parametrize("advice", ["", "do\tthis"])
def test_errors_travel_between_processes_whole(kind, advice):
    error = kind(HOSTILE, advice=advice)
    ways = [pickle.loads(pickle.dumps(error, protocol)) for protocol in range(6)]
    for same in (*ways, copy.copy(error), copy.deepcopy(error)):
        assert type(same) is kind
        assert str(same) == str(error)
        assert same.as_json() == error.as_json()


def test_message_is_problem_then_advice():
    assert str(BadPlace("no such sheet", advice="there are 3")) == "no such sheet: there are 3"
    assert str(NotReadable("plan.pdf is empty")) == "plan.pdf is empty"
    with pytest.raises(TypeError):
        BadUsage("wrong", "advice is named")


def test_one_family_can_be_caught_at_once():
    with pytest.raises(BadUsage):
        raise BadPlace("outside")
    assert not issubclass(BadPlace, BadInput)


@given(st.text())
def test_any_text_becomes_one_printable_line(text):
    line = one_line(text)
    assert line.isprintable()
    assert line == " ".join(line.split())
    assert one_line(line) == line
    line.encode("utf-8")
    kept = [c for c in text if c.isprintable() and not c.isspace()]
    assert [c for c in line if c != " "] == kept


@pytest.mark.parametrize("kind", ALL)
def test_command_line_says_it_in_one_line_and_leaves_with_its_code(kind, monkeypatch, capsys):
    def fail(*_, **__):
        raise kind(HOSTILE, advice="try another file")

    monkeypatch.setattr("audit.cli.checking.run_check", fail)
    monkeypatch.setattr("audit.cli.commands.run_check", fail, raising=False)
    assert run_command(["check", __file__]) == kind.exit_code
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == "plan-audit: plan [31m red .pdf: try another file\n"
