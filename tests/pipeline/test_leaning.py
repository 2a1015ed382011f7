"""Alarms on photos that were not made flat."""

from __future__ import annotations

from dataclasses import replace

from audit.geometry import Box
from audit.pipeline.judging import join_judged
from audit.pipeline.leaning import SLANTS, doubt_slanting
from audit.records import Audit, Place, Settings, Severity
from audit.scale.findings import say


def told(code, *, sheet=1):
    return say(code, "It is so.", places=[Place(sheet=sheet, box=Box(0, 0, 9, 9))])


def test_a_warning_by_a_drawing_names_the_slant_of_a_photo_that_was_not_made_flat():
    note, alarm, view = told("D107"), told("A101"), told("V101")
    assert [f.text for f in doubt_slanting([alarm, note, view])] == [
        f"It is so. {SLANTS}",
        "It is so.",
        f"It is so. {SLANTS}",
    ]


def test_what_no_slant_does_stays_as_it_is():
    chain = told("C101")
    seconded = replace(told("A101"), severity=Severity.ERROR)
    elsewhere = told("A101", sheet=2)
    every = (told("D107"), chain, seconded, elsewhere)
    assert doubt_slanting(every) == every


def test_a_photo_made_flat_is_not_doubted():
    every = (told("D106"), told("A101"))
    assert doubt_slanting(every) == every


def test_it_is_said_of_a_judged_plan():
    audit = Audit(name="plan", settings=Settings(), sheets=())
    joined = join_judged(audit, [], others=[told("D107"), told("V101")])
    assert [f.text for f in joined.findings if f.code == "V101"] == [f"It is so. {SLANTS}"]
