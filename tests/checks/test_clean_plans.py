"""A plan without mistakes yields no error or warning, however it lies, is scaled or rounded."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from audit.checks import check_plan
from audit.geometry import Box, Transform
from audit.records import Audit, DimensionKind, Scale, Severity
from tests.checks.plans import FULL, PlanBuilder

FEW = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
seeds = st.integers(0, 10**6)


def spell_size(value: Fraction, *, places: int | None) -> str:
    if places is not None:
        return f"{float(value):.{places}f}"
    whole, rest = divmod(value, 1)
    parts = [str(whole)] if whole or not rest else []
    return " ".join(parts + ([str(rest)] if rest else []))


def clean_plan(seed: int, *, places: int | None = None) -> Audit:
    """Chains with their overalls, TYP ends, holes on circles, a list, counts, pins that turn."""
    rng = np.random.default_rng(seed)
    plan = PlanBuilder()
    names = ["SIDE", "SHELF", "WHEEL", "FRAME"][: int(rng.integers(1, 5))]
    for name in names:
        view = plan.view(name, count=2)
        steps = [Fraction(int(v), 16) for v in rng.integers(8, 40, int(rng.integers(2, 5)))]
        steps.append(steps[0])
        place = Fraction(0)
        for k, step in enumerate(steps):
            text = spell_size(step, places=places)
            if k < len(steps) - 1:
                text += " TYP" if k == 0 else ""
                plan.size(view, text, float(place), float(place + step))
            place += step
        plan.size(view, spell_size(place, places=places), 0, float(place), y=30)
        plan.size(view, "3", 0, 3, down=True)
        whole = Fraction(spell_size(place, places=places)) if places is not None else place
        plan.row(name, 2, T="1/4", W="3", L=whole)
        plan.hole(view, "8X Ø 1/4 EQ SP ON Ø 2 B.C.", 1.5, 1.5, 0.25)
        plan.hole(view, "Ø 5/16", 1.2, 1.0, 0.3125)
        plan.hole(view, "R 1/4", 2.0, 2.0, 0.5, kind=DimensionKind.RADIUS, sweep=90)
        plan.hole(view, "11/64 DRILL FOR #8 WOOD SCREW", 0.8, 2.2, 0.17)
    plan.row("AXLE", 2, material="DOWEL", D="1/4", L="4")
    plan.say(f"{names[0]}S TURN FREELY ON THE AXLE.")
    plan.say("ROUT WITH 1/4 BIT.")
    plan.say("ALL PARTS 1/4 THICK UNLESS NOTED.")
    return plan.audit()


def laid(audit: Audit, way: Transform, factor: float) -> Audit:
    """The same plan moved, turned and drawn `factor` times as large."""

    def box(old: Box) -> Box:
        return Box.around([way.apply(c) for c in old.corners])

    scale = replace(FULL, x=FULL.x / factor, y=FULL.y / factor)
    return replace(
        audit,
        views=tuple(
            replace(v, box=box(v.box), scale=scale if isinstance(v.scale, Scale) else v.scale)
            for v in audit.views
        ),
        dimensions=tuple(
            replace(
                d,
                ends=tuple(replace(e, point=way.apply(e.point)) for e in d.ends),
                reading=replace(d.reading, box=box(d.reading.box)) if d.reading else None,
            )
            for d in audit.dimensions
        ),
        statements=tuple(replace(s, box=box(s.box)) for s in audit.statements),
    )


def lay(factor: float, turn: float, dx: float, dy: float) -> Transform:
    c, s = factor * math.cos(math.radians(turn)), factor * math.sin(math.radians(turn))
    return Transform(((c, -s, dx), (s, c, dy), (0.0, 0.0, 1.0)))


def alarms(audit: Audit) -> list[str]:
    found = check_plan(audit).findings
    return [f"{f.code}: {f.text}" for f in found if f.severity is not Severity.NOTE]


def told(audit: Audit) -> list[tuple[str, tuple[int, ...]]]:
    return sorted((f.code, tuple(sorted(f.dimensions))) for f in check_plan(audit).findings)


@FEW
@given(seed=seeds, places=st.sampled_from([None, 2]))
def test_clean_plans_raise_no_alarm_exact_or_rounded_to_two_places(seed, places):
    assert alarms(clean_plan(seed, places=places)) == []


@FEW
@given(
    seed=seeds,
    factor=st.sampled_from([0.25, 0.5, 1.0, 2.0]),
    turn=st.sampled_from([0.0, 90.0, 180.0, 270.0, 1.3]),
    dx=st.floats(-200, 200),
)
def test_clean_plans_moved_turned_and_scaled_raise_none_either(seed, factor, turn, dx):
    audit = clean_plan(seed)
    assert alarms(laid(audit, lay(factor, turn, dx, -dx), factor)) == []


@FEW
@given(seed=seeds, dx=st.floats(-200, 200))
def test_moving_a_plan_changes_nothing_that_is_told(seed, dx):
    audit = clean_plan(seed)
    assert told(laid(audit, lay(1.0, 0.0, dx, dx / 2), 1.0)) == told(audit)


@FEW
@given(seed=seeds)
def test_the_order_of_dimensions_changes_nothing_that_is_told(seed):
    audit = clean_plan(seed)
    rng = np.random.default_rng(seed)
    mixed = replace(
        audit,
        dimensions=tuple(audit.dimensions[k] for k in rng.permutation(len(audit.dimensions))),
    )
    assert told(mixed) == told(audit)
