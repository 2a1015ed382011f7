"""Sizes too close to call agree where a sum closes with them and all else in it agrees."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.checks.closed_sums import settle_by_sums
from audit.checks.rivals import CONTRADICTED
from audit.lengths import Unit
from audit.records import Scaled, Settings, Verdict
from tests.checks.chain_nets import net_of

AT = [Fraction(0), Fraction(3, 4), Fraction(33, 8), Fraction(11, 2)]
SIZES = ("3/4", "27/8", "11/8", "11/2")
CLOSE = Verdict.TOO_CLOSE
TOLERANCE = 1 / 64


def settled(*, sizes=SIZES, close=(1,), why="hard to tell", places=None, tolerance=TOLERANCE):
    """Verdicts of three legs and their overall, of which some were too close to call."""
    ends = [(0, 1), (1, 2), (2, 3), (0, 3)]
    legs = [(a, b, Fraction(s)) for (a, b), s in zip(ends, sizes, strict=True)]
    net = net_of(legs, AT, {}, np.random.default_rng(1), sigma_in=0.0005, places=places)
    judged = [
        replace(
            d,
            scaled=Scaled(value=1.0, expanded=0.02, unit=Unit.IN, nearest=None),
            tolerance=tolerance,
            verdict=CLOSE if k in close else Verdict.AGREES,
            why=why if k in close else None,
        )
        for k, d in enumerate(net.dimensions)
    ]
    (view,), (sheet,) = net.views, net.sheets
    return settle_by_sums(judged, view, sheet=sheet, settings=Settings())


def verdicts(**given):
    return [d.verdict for d in settled(**given)]


@pytest.mark.parametrize("which", range(4))
def test_a_leg_or_an_overall_agrees_where_its_chain_closes(which):
    """The sum is worked by hand: 3/4 + 3 3/8 + 1 3/8 = 5 1/2."""
    done = settled(close=(which,))
    assert [d.verdict for d in done] == [Verdict.AGREES] * 4
    assert "3/4 + 3 3/8 + 1 3/8 = 5 1/2" in done[which].why


def test_a_wrong_leg_opens_its_chain_and_stays_too_close():
    """6 % off, 3 3/8 is printed 3 9/16."""
    assert verdicts(sizes=("3/4", "57/16", "11/8", "11/2"))[1] is CLOSE


def test_of_two_sizes_of_a_sum_either_may_be_wrong():
    """Two legs may have changed places: their chain closes."""
    assert verdicts(close=(1, 2)).count(CLOSE) == 2


def test_a_size_that_another_contradicts_is_not_settled():
    assert verdicts(why=CONTRADICTED)[1] is CLOSE


def test_a_sum_of_rounded_numbers_settles_what_rounding_does_not_hide():
    """In tenths three roundings hide more than a 64th, and less than a quarter."""
    assert verdicts(places=1)[1] is CLOSE
    assert verdicts(places=1, tolerance=0.25)[1] is Verdict.AGREES
    assert verdicts(places=3)[1] is Verdict.AGREES


def test_a_size_out_of_any_sum_stays_as_it_was():
    ends = [(0, 1, Fraction(3, 4)), (1, 2, Fraction(27, 8))]
    net = net_of(ends, AT, {}, np.random.default_rng(1), sigma_in=0.0005)
    (view,), (sheet,) = net.views, net.sheets
    given = [replace(d, verdict=CLOSE) for d in net.dimensions]
    assert settle_by_sums(given, view, sheet=sheet, settings=Settings()) == given
