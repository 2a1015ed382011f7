"""Files made to do harm: one clear line, or an honest result; nothing hangs, nothing runs."""

from __future__ import annotations

import re
import time

import pikepdf
import pytest

from audit.cli.main import run_command
from tests.fuzz.hostile import QUICK, SLOW, many_dimensions

SLOWEST_S = 10.0  # CPU time of the program itself; the worker has its own limit


def check(tmp_path, capsys, name, case):
    make, codes, says = case
    plan = tmp_path / name
    plan.write_bytes(make())
    begun = time.process_time()
    code = run_command(["check", str(plan)])
    assert code in (codes if isinstance(codes, tuple) else (codes,))
    assert time.process_time() - begun < SLOWEST_S
    told = [x for x in capsys.readouterr().err.splitlines() if not x.startswith("…")]
    assert len(told) == (1 if code == 2 else 0), told
    assert all(re.search(says, line) and line.startswith("plan-audit: ") for line in told), told
    return tmp_path


@pytest.mark.parametrize("name", QUICK)
def test_what_cannot_be_used_is_refused_in_one_line(tmp_path, capsys, name):
    check(tmp_path, capsys, name, QUICK[name])
    marked = tmp_path / f"{name.partition('.')[0]}-marked.pdf"
    assert marked.exists() == (QUICK[name][1] != 2)


@pytest.mark.hard
@pytest.mark.parametrize("name", SLOW)
def test_bombs_loops_and_lies_cost_no_more_than_a_line(tmp_path, capsys, name):
    check(tmp_path, capsys, name, SLOW[name])


@pytest.mark.hard
def test_what_would_run_is_left_out_of_our_copy_and_told(tmp_path, capsys):
    check(tmp_path, capsys, "scripts.pdf", SLOW["scripts.pdf"])
    marked = tmp_path / "scripts-marked.pdf"
    with pikepdf.open(marked) as copy:
        text = b"".join(repr(item).encode() for item in copy.objects)
        assert not re.search(rb"JavaScript|Launch|xcalc|cmd\.exe", text)
        assert "/AA" not in copy.pages[-1]
    assert b"Launch" not in marked.read_bytes()


@pytest.mark.hard
def test_a_page_of_twenty_thousand_dimensions_is_checked_in_part_and_says_so(tmp_path, capsys):
    plan = tmp_path / "crowd.pdf"
    plan.write_bytes(many_dimensions(20_000))
    assert run_command(["check", str(plan)]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "nothing was checked; print it in parts" in told
    assert "only the first 1000 were checked" in told
    assert (tmp_path / "crowd-marked.pdf").is_file()
