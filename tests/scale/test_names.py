"""Standard scales times print factors, and no more than is shown."""

from __future__ import annotations

from fractions import Fraction

import pytest

from audit.lengths import Unit
from audit.scale import name_scale, print_ratios, standard_scales


def named(measured, *, u_rel=0.0004, unit=None):
    return name_scale(measured, measured, u_rel=u_rel, unit=unit)


@pytest.mark.parametrize(
    ("measured", "drawn", "factor"),
    [
        (1.0, "1:1", 1.0),
        (2 / 0.97, "1:2", 0.97),
        (1 / 0.9407, "1:1", 0.9407),
        (1 / 0.9727, "1:1", 0.9727),
        (4.25, "1:4", 0.941),
        (1 / 0.7071, "1:1", 0.7071),
        (0.5, "2:1", 1.0),
        (48.0, "1/4 in = 1 ft", 1.0),
        (10.0, "1:10", 1.0),
    ],
)
def test_usual_scales_and_prints_are_named(measured, drawn, factor):
    """Fit-to-page ratios: arithmetic on ISO 216 and ANSI sheets (.9407, .9727, .7071)."""
    name = named(measured)
    assert name.drawn == drawn
    assert name.print_factor == pytest.approx(factor, abs=0.001)


@pytest.mark.parametrize(
    ("measured", "story"),
    [
        (1 / 0.9407, "an A4 sheet fitted to Letter"),
        (2 / 0.9727, "a Letter sheet fitted to A4"),
        (1 / 0.7071, "an A3 sheet reduced to A4"),
    ],
)
def test_fits_to_another_page_are_explained(measured, story):
    assert named(measured).explained == story


def test_a_factor_within_its_uncertainty_of_one_is_one():
    assert named(1.004, u_rel=0.003).print_factor == 1.0
    assert named(1.004, u_rel=0.0005).print_factor == pytest.approx(1 / 1.004)


@pytest.mark.parametrize("measured", [4.5, 1.5, 3.4, 1.2, 4.3])
def test_what_could_be_several_things_is_not_named(measured):
    assert named(measured).drawn is None


def test_between_1_48_and_1_50_the_unit_of_the_plan_decides():
    assert named(49.0).drawn is None
    assert named(49.0, unit=Unit.IN).drawn == "1/4 in = 1 ft"
    assert named(49.0, unit=Unit.MM).drawn == "1:50"


def test_architectural_factors_are_12_over_paper_inches():
    """Published table: 1/16 in to 12 in of paper for a foot."""
    names = {s.name: s.factor for s in standard_scales()}
    for paper in ("1/16", "3/32", "1/8", "3/16", "1/4", "3/8", "1/2", "3/4", "1"):
        assert names[f"{paper} in = 1 ft"] == 12 / Fraction(paper)


def test_every_block_of_the_table_has_a_source():
    from importlib import resources

    text = resources.files("audit.scale").joinpath("scales.txt").read_text(encoding="utf-8")
    blocks = text.split("\n[")[1:]
    assert len(blocks) == 5
    assert all("Source:" in b for b in blocks)
    assert {r.ratio for r in print_ratios()} >= {2794 / 2970, 2100 / 2159}
