"""What else doubtful texts may say is weighed together over the sizes of a view."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Box
from audit.lengths import Unit
from audit.records import Candidate, NoScale, PageKind, ReadBy, Settings, View, ViewKind
from audit.scale import fix_scales
from audit.scale.alternatives import Heard, choose_together, hear_all
from audit.scale.consensus import find_consensus
from audit.scale.pairs import Pair
from tests.checks.simulated import OPEN, Plan, simulate
from tests.scale.test_few_sizes import pair

FLOOR = 0.1
SHEETS = 40


def said(source, *, drawn_mm, says):
    """A doubtful text over a length of so many mm: sizes in inches, and how likely each is."""
    return Heard(
        pairs=tuple(
            replace(pair(source, inches, drawn_mm=drawn_mm), right=right)
            for inches, right in says.items()
        )
    )


LONG, SHORT = pair(1, 14.0, drawn_mm=62.4), pair(2, 0.875, drawn_mm=3.9)
ELEVEN = said(3, drawn_mm=49.0, says={17.0: 0.25, 77.0: 0.17, 11.0: 0.05})


def test_what_a_text_may_say_besides_counts_where_the_sizes_of_its_view_agree_so():
    [chosen] = choose_together((LONG, SHORT), (ELEVEN,), floor=FLOOR)
    assert (chosen.source, chosen.real) == (3, 11 * 25.4)


def test_nothing_counts_where_it_agrees_with_nothing():
    odd = said(3, drawn_mm=49.0, says={17.0: 0.25, 77.0: 0.17, 12.0: 0.05})
    assert choose_together((LONG, SHORT), (odd,), floor=FLOOR) == ()


def test_two_doubtful_texts_that_may_say_many_things_agree_by_chance():
    many = {float(k): 0.1 for k in range(5, 14)}
    one, other = (said(k, drawn_mm=mm, says=many) for k, mm in ((1, 30.0), (2, 40.0)))
    assert choose_together((), (one, other), floor=FLOOR) == ()


def test_what_most_sure_sizes_speak_against_is_not_taken():
    against = [pair(k, inches, drawn_mm=mm) for k, inches, mm in ((5, 9.0, 20.0), (6, 2.0, 30.0))]
    lengths = (33.0, 21.0, 26.0, 41.0, 50.0, 17.0)
    right = [said(k, drawn_mm=mm, says={mm / 4.46: 0.8}) for k, mm in enumerate(lengths, 7)]
    assert len(choose_together((LONG,), right, floor=FLOOR)) == len(right)
    assert choose_together((LONG, *against), right, floor=FLOOR) == ()


def test_one_number_over_lengths_that_are_the_same_is_one_witness():
    same = [said(k, drawn_mm=40.0, says={9.0: 0.7}) for k in (4, 5, 6)]
    assert choose_together((), same, floor=FLOOR) == ()


def drawing_of_three(**reading):
    """A sheet of three sizes, of which the last is read with doubt."""
    plan = Plan(page=PageKind.SCAN, dimensions=3, sigma=0.3, factors=(5.0,))
    drawing = simulate(replace(plan, print_step=Fraction(1, 8)), np.random.default_rng(4))
    *sure, last = drawing.dimensions
    text = last.reading.text
    heard = [Candidate(text=t, confidence=c, by=ReadBy.NET) for t, c in (("17", 0.4), (text, 0.3))]
    doubtful = replace(
        last.reading, confidence=0.4, by=ReadBy.NET, candidates=tuple(heard), **reading
    )
    return drawing, (*sure, replace(last, reading=doubtful))


def test_a_doubtful_text_says_each_of_its_candidates():
    drawing, dimensions = drawing_of_three()
    [heard] = hear_all(
        dimensions, drawing.views, sheet=drawing.sheet, settings=Settings(), unit=Unit.IN
    )
    assert [p.right for p in heard.pairs] == pytest.approx([0.4, 0.3])
    assert heard.pairs[0].real == pytest.approx(17 * 25.4)
    assert heard.pairs[1].real / 25.4 == pytest.approx(drawing.true[102], abs=0.07)


def test_a_doubt_whose_text_it_is_halves_what_it_may_say():
    drawing, dimensions = drawing_of_three(doubt="it may be of the line next to it")
    [heard] = hear_all(
        dimensions, drawing.views, sheet=drawing.sheet, settings=Settings(), unit=Unit.IN
    )
    assert [p.right for p in heard.pairs] == pytest.approx([0.2, 0.15])


def test_an_empty_view_that_takes_no_scale_from_another_any_more_is_no_loss():
    """Nor has a detail of doubtful sizes the scale of the others where these agree on its own."""
    plan = Plan(page=PageKind.SCAN, dimensions=12, views=2, factors=(8.0, 1.7), sigma=0.2)
    drawing = simulate(plan, np.random.default_rng(2))
    unsure = [
        replace(d, reading=replace(d.reading, confidence=0.75, by=ReadBy.NET)) if d.view == 2 else d
        for d in drawing.dimensions
    ]
    empty = View(id=3, sheet=1, kind=ViewKind.UNKNOWN, box=Box(0, 0, 9, 9), scale=OPEN)
    scaled = fix_scales(drawing.sheet, (*drawing.views, empty), dimensions=unsure)
    assert scaled.views[1].scale.x == pytest.approx(1.7, rel=0.01)
    assert isinstance(scaled.views[2].scale, NoScale)


def misread_view(rng, sizes):
    """A view of doubtful texts none of which may say what is printed."""
    drawn = rng.uniform(6, 60, sizes)
    return [
        said(
            k,
            drawn_mm=float(drawn[k]),
            says={
                float(drawn[k] * math.exp(rng.laplace(0, 0.5))): float(right)
                for right in rng.dirichlet(np.ones(4))[:3]
            },
        )
        for k in range(sizes)
    ]


def test_texts_none_of_which_says_what_is_printed_hardly_ever_fix_a_scale():
    rng = np.random.default_rng(11)
    chosen: list[tuple[Pair, ...]] = [
        choose_together((), misread_view(rng, 2 + k % 4), floor=FLOOR) for k in range(SHEETS)
    ]
    fixed = [
        more
        for more in chosen
        if more
        and not isinstance(
            find_consensus(more, page=PageKind.SCAN, floor=FLOOR).views[0].scale, NoScale
        )
    ]
    assert len(fixed) <= 1
