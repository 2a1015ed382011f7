"""Mutated audit files: used or refused in one line, never a stack trace, nothing endless."""

from __future__ import annotations

import pytest

from tests.fuzz.audit_files import audit_seeds, mutate_audit, run_audit_case, use_audit

KNOWN_CASES = (
    71,  # a chunk numbered by a text
    4290,  # a fraction longer than may be written back
)


def check_cases(cases, folder):
    outcomes = [run_audit_case(case, folder) for case in cases]
    bad = [f"case {o.case}: {o.fault}" for o in outcomes if o.fault]
    assert not bad, "\n".join(bad)
    return {o.met for o in outcomes}


def test_the_seeds_are_whole(tmp_path):
    for number, data in enumerate(audit_seeds()):
        path = tmp_path / f"{number}.audit"
        path.write_bytes(data)
        use_audit(path)


def test_mutated_audit_files_are_used_or_refused_in_one_line(tmp_path):
    assert {"used", "bad-audit"} <= check_cases(range(100), tmp_path)


@pytest.mark.parametrize("case", KNOWN_CASES)
def test_what_was_once_met_badly_is_met_well(tmp_path, case):
    check_cases([case], tmp_path)


@pytest.mark.hard
@pytest.mark.parametrize("chunk", range(10))
def test_five_thousand_mutated_audit_files(tmp_path, chunk):
    check_cases(range(1000 + 500 * chunk, 1500 + 500 * chunk), tmp_path)


def test_a_case_is_the_same_each_time(tmp_path):
    for case in range(20):
        mutate_audit(case, tmp_path / "a")
        mutate_audit(case, tmp_path / "b")
        assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()
        (tmp_path / "a").unlink()
        (tmp_path / "b").unlink()
