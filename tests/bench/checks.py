"""Chains with planted mistakes: how often the right number is named, and how fast.

The baseline takes the largest residual of one weighted adjustment, as is usual in surveying.
Numbers on development and held-out seeds stand apart; the rules were made on the former only.
"""

from __future__ import annotations

import time
from collections import Counter

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.checks.chains import check_chains
from audit.checks.network import _adjust_line, critical_value
from audit.checks.stations import find_lines
from audit.records import Severity
from tests.checks.chain_nets import draw_net

DEVELOPMENT, HELD_OUT = 1_000, 900_000


def judge_net(net) -> str:
    """Say how a network ended."""
    lines = find_lines(net.dimensions, net.views, net.sheets)
    done = check_chains(lines, net.dimensions, net.views)
    named = {n: f.suggestion for f in done.findings if f.code == "C101" for n in f.dimensions}
    suspects = {n for f in done.findings if f.code == "C102" for n in f.dimensions}
    false = len(set(named) - set(net.wrong))
    if not net.wrong:
        serious = any(f.severity is not Severity.NOTE for f in done.findings)
        return "false" if serious else "note" if done.findings else "clean"
    right = {n for n in named if n in net.wrong and named[n] is not None}
    if right == set(net.wrong) and not false:
        return "named"
    if false:
        return "wrong"
    if set(net.wrong) <= suspects | right:
        return "among suspects"
    return "in part" if right | suspects & set(net.wrong) else "missed"


def judge_by_residual(net) -> str:
    """Name the printed size with the largest w of one adjustment: the baseline."""
    for line in find_lines(net.dimensions, net.views, net.sheets):
        done = _adjust_line(line, line.used)
        if done is None:
            return "missed"
        tests = np.abs(done[0].tests[: done[1]])
        if tests.max() <= critical_value(len(tests)):
            return "clean" if not net.wrong else "missed"
        worst = line.used[int(tests.argmax())].dimension
        if set(net.wrong) == {worst}:
            return "named"
        return "wrong" if worst not in net.wrong else "in part"
    return "missed"


def run_many(seed, count, judge, **kind) -> Counter:
    """Draw and judge many networks of 5 to 40 stations."""
    ends: Counter = Counter()
    for k in range(count):
        rng = np.random.default_rng(seed + k)
        net = draw_net(rng, stations=int(rng.integers(5, 41)), **kind)
        ends[judge(net)] += 1
    return ends


def run(*, full: bool) -> None:
    """Print the share of each outcome, and the time for one large network."""
    count = 2_000 if full else 150
    cases = (
        ("no mistake", {"wrong": 0}),
        ("no mistake, two places", {"wrong": 0, "places": 2}),
        ("one mistake", {"wrong": 1}),
        ("two mistakes", {"wrong": 2}),
        ("three mistakes", {"wrong": 3}),
        ("one, not scaled", {"wrong": 1, "scaled": False}),
        ("two, not scaled", {"wrong": 2, "scaled": False}),
    )
    names = ("clean", "note", "false", "named", "among suspects", "in part", "wrong", "missed")
    table = Table("networks", "seeds", *names, title=f"{count} random networks each, %")
    for title, kind in cases:
        for seeds, seed in (("development", DEVELOPMENT), ("held out", HELD_OUT)):
            ends = run_many(seed, count, judge_net, **kind)
            table.add_row(title, seeds, *(f"{100 * ends[n] / count:.1f}" for n in names))
        if kind.get("scaled", True):
            ends = run_many(DEVELOPMENT, count, judge_by_residual, **kind)
            table.add_row(title, "baseline", *(f"{100 * ends[n] / count:.1f}" for n in names))
    console = Console(width=110)
    console.print(table)
    net = draw_net(np.random.default_rng(5), stations=2000, per_station=3.0, wrong=1)
    begun, worked = time.perf_counter(), time.process_time()
    end = judge_net(net)
    wall, work = time.perf_counter() - begun, time.process_time() - worked
    console.print(
        f"2,000 stations, {len(net.dimensions)} sizes: {end}, {wall:.1f} s, "
        f"{work:.1f} s of them this program's own"
    )
