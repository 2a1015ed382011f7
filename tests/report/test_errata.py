"""Errata: which, as a letter, as Markdown, and as a file that strangers may have written."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import AuditError, BadInput, TooLarge
from audit.lengths import Length, Unit
from audit.records import Cut, Decision, Severity
from audit.report.errata import list_errata, question, say_decision
from audit.report.errata_file import (
    MAX_BYTES,
    ErrataSheet,
    compose_errata_file,
    errata_schema,
    pack_likeness,
    read_errata_file,
    unpack_likeness,
)
from audit.report.errata_letter import letter_markdown, opening_of, plan_letter, plan_pin_up
from audit.report.tiling import PAPERS
from tests.report.plan_with_parts import finding, make_plan

SIX = Length(Fraction(6), Unit.IN)
WRONG = finding(
    90, "C101", "6 in does not close its chain.", 1, severity=Severity.ERROR, suggestion="5 7/8"
)
ROOT = Path(__file__).parents[2]


def test_errors_warnings_and_decisions_are_errata_and_faults_of_this_copy_are_not():
    plan = make_plan(
        decisions=(Decision(dimension=2, value=Length(Fraction(9, 4), Unit.IN), reason="fits"),),
        findings=(
            finding(91, "S105", "this print is stretched."),
            finding(92, "M101", "a note gives it.", severity=Severity.NOTE),
            WRONG,
        ),
    )
    errata = list_errata(plan)
    assert [(e.number, e.code) for e in errata] == [(1, "C101"), (2, "")]
    assert question(errata[0]) == "Should “6” read 5 7/8?"
    assert say_decision(errata[1]) == "Built to 2 1/4 in (fits)."


def test_what_is_asked_of_two_sizes_that_do_not_fit_is_not_asked_of_the_drawing():
    (erratum,) = list_errata(make_plan(findings=(replace(WRONG, code="F101", suggestion=None),)))
    assert question(erratum) == "Which of the sizes is to be another?"


def test_what_came_of_the_cut_is_told():
    decision = Decision(dimension=1, value=SIX, reason="printed", cut=Cut.DOES_NOT_FIT,
                        cut_note="1/64 too long")  # fmt: skip
    [erratum] = list_errata(make_plan(decisions=(decision,), findings=(WRONG,)))
    assert say_decision(erratum).endswith("Cut: it doesn't fit. 1/64 too long")


def test_a_decision_for_the_printed_number_is_no_erratum_by_itself():
    assert list_errata(make_plan(decisions=(Decision(dimension=1, value=SIX),))) == ()
    cut = Decision(dimension=1, value=SIX, cut=Cut.FITS)
    assert len(list_errata(make_plan(decisions=(cut,)))) == 1


def test_the_letter_opens_with_coverage_and_asks():
    plan = make_plan(findings=(WRONG,))
    letter = plan_letter(plan, PAPERS["letter"])
    assert letter.opening.startswith("Sheet 1: nothing could be judged")
    assert "1 error, 0 questions" in opening_of(plan, list_errata(plan))
    assert "To the publisher" in letter.blocks[0].text
    assert plan_pin_up(plan, PAPERS["a4"]).blocks[0].text == "Mind these sizes"


def test_the_letter_does_not_tell_the_publisher_how_we_judge():
    """The sentence is that of the agreement check, as `tests/checks/test_agreement.py` has it."""
    rule = "The printed number stands unless a second witness speaks against it."
    doubt = finding(90, "A101", f"6 in is printed, but drawn as 5. {rule}", 1)
    plan = make_plan(findings=(doubt,))
    told = [getattr(b, "text", "") for b in plan_letter(plan, PAPERS["letter"]).blocks]
    assert "6 in is printed, but drawn as 5." in told
    assert "second witness" not in letter_markdown(plan)
    assert rule in list_errata(plan)[0].text


def test_nothing_found_is_not_called_right():
    assert "in what was checked" in opening_of(make_plan(), ())
    assert "What we could check agrees" in plan_letter(make_plan(), PAPERS["a4"]).blocks[1].text


def test_hostile_words_stay_words_in_markdown():
    evil = replace(WRONG, text="<script>x</script> [a](javascript:b)\n# head")
    text = letter_markdown(replace(make_plan(findings=(evil,)), name="*a*\n# b"))
    assert "<script>" not in text.replace("\\<script\\>", "")
    assert "\n# head" not in text
    assert "\n# b" not in text


def a_sheet(number: int = 1) -> ErrataSheet:
    rng = np.random.default_rng(number)
    places = rng.uniform(0, 600, (50, 2)).astype(np.float32)
    looks = rng.integers(0, 256, (50, 128)).astype(np.uint8)
    return ErrataSheet(
        id=number, name="plan.pdf", page=1, frame="pt", width=612, height=792, digest="",
        likeness=pack_likeness(places, looks, 0.5),
    )  # fmt: skip


def a_file() -> str:
    decision = Decision(dimension=1, value=SIX, cut=Cut.FITS, reason="tried")
    plan = make_plan(decisions=(decision,), findings=(WRONG,))
    return compose_errata_file(plan.name, [a_sheet()], list_errata(plan))


def test_a_file_comes_back_as_it_was_written_and_follows_its_schema():
    text = a_file()
    jsonschema.validate(json.loads(text), json.loads(errata_schema()))
    read = read_errata_file(text.encode())
    [erratum] = read.errata
    assert (erratum.cut, erratum.decided.to_length()) == (Cut.FITS, SIX)
    places, looks = unpack_likeness(read.sheets[0].likeness)
    again = pack_likeness(places, looks, 0.5)
    assert again == a_sheet().likeness


def test_the_committed_schema_is_that_of_the_code():
    assert (ROOT / "docs" / "errata.schema.json").read_text("utf-8") == errata_schema()


def test_the_file_tells_nothing_about_its_writer():
    text = a_file()
    assert str(Path.home()) not in text
    assert set(json.loads(text)) == {"format", "version", "plan", "sheets", "errata"}


def broken(**changes: object) -> bytes:
    data = json.loads(a_file())
    for path, value in changes.items():
        *steps, last = path.split("__")
        target = data
        for step in steps:
            target = target[int(step)] if step.isdigit() else target[step]
        target[last] = value
    return json.dumps(data).encode()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"not json",
        b"[]",
        b"\xff\xfe{}",
        b"{" * 100_000,
        b'{"a":' * 50_000,
        broken(format="other"),
        broken(version=2),
        broken(more="x"),
        broken(errata__0__sheet=7),
        broken(errata__0__text="x" * 5000),
        broken(errata__0__box=[0, 0, 1e300, 1]),
        broken(errata__0__ends=[[0, 0]] * 9),
        broken(errata__0__code="'; DROP"),
        broken(errata__0__decided={"value": "1/0", "unit": "in"}),
        broken(errata__0__decided={"value": "9" * 40, "unit": "in"}),
        broken(sheets__0__digest="../../etc"),
        broken(sheets__0__width=float("1e99")),
        broken(errata=[json.loads(a_file())["errata"][0]] * 10_001),
    ],
    ids=lambda data: str(data[:24]),
)
def test_hostile_files_are_refused_in_one_line(data):
    with pytest.raises(BadInput) as caught:
        read_errata_file(data)
    assert "\n" not in str(caught.value)
    assert caught.value.exit_code == 2


def test_nan_is_no_number_of_a_file():
    with pytest.raises(BadInput):
        read_errata_file(a_file().replace('"width": 612.0', '"width": NaN').encode())


def test_an_endless_file_is_refused_before_it_is_read():
    with pytest.raises(TooLarge):
        read_errata_file(b"{" + b" " * MAX_BYTES)


@pytest.mark.parametrize(
    ("places", "looks"), [("!!!", ""), ("AAAA", ""), ("AACAfwAAgH8=", ""), ("", "AAAA")]
)
def test_damaged_likenesses_are_refused(places, looks):
    packed = a_sheet().likeness.model_copy(update={"places": places, "looks": looks})
    with pytest.raises(BadInput):
        unpack_likeness(packed)


@given(data=st.binary(max_size=300))
def test_no_bytes_bring_the_reader_down(data):
    with pytest.raises(AuditError):
        read_errata_file(data)
