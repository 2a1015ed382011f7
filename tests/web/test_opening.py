"""`plan-audit open` as typed: the address, the audit beside the plan, the end by Ctrl-C."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import httpx
import pytest

from audit.store import open_audit
from tests.web.conftest import draw_sheet

OPEN = [sys.executable, "-c", "from audit.cli.main import run; run()", "open"]


@pytest.fixture
def environment(cache):
    return {**os.environ, "PLAN_AUDIT_CACHE": str(cache)}


def test_open_serves_the_plan_and_ctrl_c_ends_it_cleanly(tmp_path, environment):
    plan = draw_sheet(tmp_path / "lift.png")
    child = subprocess.Popen(
        [*OPEN, str(plan), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
    )
    with child:
        assert child.stdout is not None
        assert child.stderr is not None
        address = child.stdout.readline().split()[1]
        assert address.startswith("http://127.0.0.1:")
        assert httpx.get(address).status_code == 200
        with httpx.Client() as browser:
            browser.get(address)
            base = address.partition("/?")[0]
            assert browser.get(f"{base}/api/audit").json()["sheets"][0]["name"] == "lift.png"
        child.send_signal(signal.SIGINT)
        assert child.wait(20) == 130
        said = child.stderr.read()
    assert "Traceback" not in said
    assert "everything confirmed is kept" in said
    with open_audit(tmp_path / "lift.audit", read_only=True) as file:
        assert [sheet.source for sheet in file.load().sheets] == ["lift.png"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["missing.pdf"], "does not exist"),
        (["a.audit", "b.audit"], "two audits"),
        (["notes.txt"], "notes.txt"),
    ],
)
def test_what_cannot_be_opened_is_one_line(tmp_path, environment, arguments, says):
    (tmp_path / "notes.txt").write_text("no plan")
    done = subprocess.run(
        [*OPEN, *arguments, "--no-browser"],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env=environment,
        timeout=60,
    )
    assert done.returncode == 2, done.stderr
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.glob("*.audit")) == []
