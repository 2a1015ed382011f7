"""Mutated plans: never a crash, a hang, a heap of memory or a stack trace; one line each."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.fuzz.corpus import corpus
from tests.fuzz.mutators import mutate
from tests.fuzz.runner import ORDER

SLOWEST_S = 10.0  # CPU time of the program itself; the worker has its own limit
MOST_MB = 2048
PATIENCE_S = 20.0  # wall-clock time a case may take on a crowded machine, on average
ROOT = Path(__file__).parents[2]


def run_cases(first, count, *also):
    """Outcomes of cases run in a process of their own, and how it ended."""
    more = ["--also", *map(str, also)] if also else []
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz.runner", str(first), str(count), *more],
        cwd=ROOT,
        check=False,
        env={**os.environ, **threads},
        capture_output=True,
        text=True,
        timeout=60 + (count + len(also)) * PATIENCE_S,
    )
    outcomes = [json.loads(line) for line in done.stdout.splitlines()]
    return outcomes, done


def check_cases(first, count, *also):
    outcomes, done = run_cases(first, count, *also)
    bad = [
        f"case {o['case']} ({o['name']}): {o['seconds']} s, {o['peak_mb']} MB, {o['fault']}"
        for o in outcomes
        if o["fault"] or o["seconds"] > SLOWEST_S or o["peak_mb"] > MOST_MB
    ]
    assert not bad, "\n".join(bad)
    assert done.returncode == 0, f"after {len(outcomes)} cases: {done.stderr[-2000:]}"
    assert len(outcomes) == count + len(also)
    return outcomes


@pytest.mark.parametrize(
    ("first", "count"), [(0, 64), pytest.param(64, 56, marks=pytest.mark.hard)]
)
def test_mutated_plans_are_audited_or_refused_in_one_line(first, count):
    outcomes = check_cases(first, count)
    met = {o["met"] for o in outcomes}
    assert {"audited", "damaged"} <= met  # the changes reach both the readers and what is behind


def test_what_was_once_met_badly_is_met_well():
    outcomes = check_cases(1309, 1, 3046, 4767, 5_200_759)
    assert [o["case"] for o in outcomes] == [1309, 3046, 4767, 5_200_759]


@pytest.mark.hard
@pytest.mark.parametrize("chunk", range(40))
def test_twenty_thousand_mutated_plans(chunk):
    check_cases(1000 + 500 * chunk, 500)


def test_a_case_is_the_same_each_time():
    seeds = corpus()
    for case in range(30):
        name = ORDER[case % len(ORDER)]
        assert mutate(name, seeds[name], seed=case) == mutate(name, seeds[name], seed=case)
