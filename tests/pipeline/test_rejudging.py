"""Judging again from the records alone comes to what looking at the sheets came to."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from audit.lengths import Unit, parse_callouts
from audit.pipeline import CheckRequest, check
from audit.pipeline.rejudging import rejudge
from audit.records import Audit, Reading, Settings, Verdict

SAMPLES = Path(__file__).parents[2] / "sample_scans"


@pytest.fixture(scope="module")
def audit() -> Audit:
    return check(CheckRequest(plans=(SAMPLES / "marble-lift-1.pdf",), settings=Settings())).audit


def retyped(audit: Audit, texts: dict[str, str]) -> Audit:
    """The audit with some printed texts read otherwise."""

    def read(reading: Reading | None) -> Reading | None:
        if reading is None or reading.text not in texts:
            return reading
        text = texts[reading.text]
        callout = parse_callouts(text, unit=Unit.IN)[0]
        return replace(reading, text=text, callout=callout, confirmed=True)

    dimensions = tuple(replace(d, reading=read(d.reading)) for d in audit.dimensions)
    return replace(audit, dimensions=dimensions)


def test_an_audit_just_made_comes_back_as_it_is(audit):
    assert {f.code for f in audit.findings} >= {"C101", "A101"}  # or nothing would be compared
    assert rejudge(audit) == audit


@pytest.mark.hard
@pytest.mark.parametrize("name", ["marble-lift-2.png", "marble-lift-3.jpg"])
def test_an_audit_of_a_picture_comes_back_as_it_is(name):
    seen = check(CheckRequest(plans=(SAMPLES / name,), settings=Settings())).audit
    assert rejudge(seen) == seen


def test_verdicts_follow_corrected_readings_and_back(audit):
    right = rejudge(retyped(audit, {"3 9/32": "3 3/8", "1 5/8": "1 1/2"}))
    assert not {f.code for f in right.findings} & {"A101", "C101"}
    assert Verdict.DISAGREES not in {d.verdict for d in right.dimensions}
    wrong = rejudge(retyped(right, {"3 3/8": "3 9/32"}))
    assert {f.code for f in wrong.findings} >= {"C101"}


def test_an_open_chain_is_told_again_not_only_its_disagreement(audit):
    """A size of a closing chain typed otherwise opens it, which is an error and not a doubt."""
    wrong = rejudge(retyped(audit, {"1 3/8": "1 1/2"}))
    closed = {f.code for f in wrong.findings if f.severity == "error"}
    assert closed


def test_what_only_looking_can_tell_is_kept(audit):
    repaired = replace(audit.findings[-1], code="D101", dimensions=(), id=999)
    unopened = replace(repaired, code="D104", places=(), id=1000)
    again = rejudge(replace(audit, findings=(*audit.findings, repaired, unopened)))
    assert {"D101", "D104"} <= {f.code for f in again.findings}
    assert len(again.findings) == len(audit.findings) + 2


def test_numbers_of_dimensions_and_findings_stay_apart(audit):
    ids = [d.id for d in audit.dimensions] + [f.id for f in rejudge(audit).findings]
    assert len(set(ids)) == len(ids)
