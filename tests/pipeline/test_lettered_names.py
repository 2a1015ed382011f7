"""A counted name inside an outline titles its view."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box
from audit.pipeline.lettered_names import name_by_lettering
from audit.records import ViewKind
from tests.checks.plans import PlanBuilder

INSIDE, BESIDE = Box(150, 290, 230, 310), Box(450, 290, 530, 310)  # of the first view, the second


def titles(*texts, kinds=(ViewKind.TRUE, ViewKind.TRUE), names=("", ""), box=INSIDE):
    plan = PlanBuilder()
    for name, kind in zip(names, kinds, strict=True):
        plan.view(name, kind=kind)
    for text in texts:
        plan.say(text, box=box)
    audit = plan.audit()
    return [v.title for v in name_by_lettering(audit.views, audit.statements)]


def test_a_counted_name_inside_an_outline_is_its_title():
    assert titles("SIDE - MAKE 2") == ["SIDE - MAKE 2", ""]


def test_a_name_titles_the_view_that_it_stands_in():
    assert titles("SIDE - MAKE 2", box=BESIDE) == ["", "SIDE - MAKE 2"]


def test_a_title_stays():
    assert titles("RAIL - MAKE 2", names=("SIDE", "")) == ["SIDE", ""]


def test_the_title_of_another_view_is_lent_to_none():
    assert titles("RAIL - MAKE 2", names=("", "RAIL - MAKE 2")) == ["", "RAIL - MAKE 2"]


def test_of_two_counted_names_in_one_view_none_is_its_title():
    assert titles("SIDE - MAKE 2", "RAIL - MAKE 4") == ["", ""]


@pytest.mark.parametrize("text", ["GLUE RAILS AND RAMP.", "MAKE 2", "HOLES - MAKE 4"])
def test_a_note_and_a_count_without_a_name_are_no_title(text):
    assert titles(text) == ["", ""]


def test_a_name_where_two_views_overlap_is_the_title_of_neither():
    plan = PlanBuilder()
    plan.view(""), plan.view("")
    plan.say("SIDE - MAKE 2", box=INSIDE)
    over = [replace(v, box=Box(0, 100, 380, 500)) for v in plan.views]
    assert [v.title for v in name_by_lettering(over, plan.statements)] == ["", ""]


@pytest.mark.parametrize("kind", [ViewKind.PICTORIAL, ViewKind.UNKNOWN])
def test_a_pictorial_view_and_a_whole_sheet_are_no_single_part(kind):
    assert titles("SIDE - MAKE 2", kinds=(kind, kind)) == ["", ""]
