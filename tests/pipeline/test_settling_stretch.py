"""Sheets that their own lines made flat are stretched as their printed sizes agree."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from audit.geometry import Transform
from audit.lengths import Length, Unit
from audit.pipeline.laying_flat import LaidFlat
from audit.pipeline.settling_stretch import settle_stretch
from audit.records import Scale, Settings
from audit.scale import fix_scales
from tests.checks.simulated import reading_of
from tests.pipeline.test_settling_paper import dimension, flat_by, known, looked_at


def laid_wrong(stretch, *, u=0.03):
    """A sheet of which the ratio of its sides was taken e^stretch times too large."""
    wider = Transform.scaling(math.exp(stretch / 2), math.exp(-stretch / 2))
    true = flat_by("letter")
    return LaidFlat(sheet=replace(true, to_paper=true.to_paper.then(wider)), u_stretch=u)


def seen_on(laid, **keys):
    return replace(looked_at(**keys), sheet=laid.sheet)


def shows(found):
    """How many sizes agree on a scale, and what the drawing is taken to scatter, mm."""
    scaled = fix_scales(found.sheet, found.views, dimensions=found.dimensions, settings=Settings())
    (view,) = scaled.views
    agreeing = view.scale.agreeing if isinstance(view.scale, Scale) else 0
    return agreeing, view.drafting


@pytest.mark.parametrize("stretch", [0.06, -0.06, 0.1])
def test_many_sizes_both_ways_bring_it_to_where_they_agree_closely(stretch):
    laid = laid_wrong(stretch, u=0.04)
    found = seen_on(laid)
    agreeing, scatter = shows(found)
    assert agreeing < 12 or scatter > 0.5
    settled = settle_stretch(found, laid, Settings())
    agreeing, scatter = shows(settled)
    assert agreeing == 16
    assert scatter < 0.1
    assert settled.sheet.u_paper == laid.sheet.u_paper


def test_what_a_scale_for_each_direction_takes_up_is_left_to_it():
    laid = laid_wrong(0.03, u=0.04)
    settled = settle_stretch(seen_on(laid), laid, Settings())
    assert settled.sheet == laid.sheet
    assert shows(settled)[0] == 16


def test_a_stretch_that_is_right_stays():
    laid = laid_wrong(0.0)
    assert settle_stretch(seen_on(laid), laid, Settings()).sheet == laid.sheet


def test_one_wrong_size_across_the_others_stretches_nothing_and_leaves_it_unsure():
    laid = laid_wrong(0.0)
    found = seen_on(laid, across=8, down=1)
    wrong = tuple(
        d
        if d.id <= 8
        else replace(
            d,
            reading=reading_of(
                Length(d.printed.value * Fraction(106, 100), Unit.MM), box=d.reading.box
            ),
        )
        for d in found.dimensions
    )
    settled = settle_stretch(replace(found, dimensions=wrong), laid, Settings())
    assert settled.sheet.to_paper == laid.sheet.to_paper
    assert settled.sheet.u_paper > laid.sheet.u_paper + 0.5


def test_known_sizes_rule_and_other_ways_to_lie_flat_are_left_alone():
    laid = laid_wrong(0.06)
    sizes = (known((20, 30), (180, 30), 160), known((30, 20), (30, 240), 220))
    held = seen_on(laid, known=sizes)
    assert settle_stretch(held, laid, Settings()) == held
    other = replace(laid, u_stretch=0.0)
    assert settle_stretch(seen_on(other), other, Settings()).sheet == other.sheet


def test_views_whose_sizes_agree_on_nothing_leave_the_others_to_decide():
    laid = laid_wrong(0.06, u=0.04)
    found = seen_on(laid)
    (view,), made = found.views, list(found.dimensions)
    for number in (2, 3, 4):
        for k, size in enumerate((31, 87, 53, 200, 12, 140)):
            at = (20.0 + 9 * k, 30.0 * number)
            one = dimension(100 * number + k, at, (at[0] + 40.0, at[1]), size)
            made.append(replace(one, view=number))
    others = tuple(replace(view, id=number) for number in (2, 3, 4))
    settled = settle_stretch(
        replace(found, views=(view, *others), dimensions=tuple(made)), laid, Settings()
    )
    scaled = fix_scales(
        settled.sheet, settled.views, dimensions=settled.dimensions, settings=Settings()
    )
    assert any(v.drafting == 0.0 for v in scaled.views)
    assert scaled.views[0].scale.agreeing == 16
