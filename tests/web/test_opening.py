"""`plan-audit open` as typed: the address, the audit beside the plan, the end by Ctrl-C."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys

import httpx
import pytest
import uvicorn

from audit.cli.main import run_command
from audit.errors import BadUsage
from audit.store import open_audit
from audit.web.serving import listen, take_port, usual_port
from tests.web.conftest import draw_sheet

# Ctrl-C is heard even where these tests run in the background, which shells make deaf to it.
HEARING = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
OPEN = [sys.executable, "-c", HEARING + "from audit.cli.main import run; run()", "open"]


PATIENCE_S = 60.0


@pytest.fixture
def environment(cache):
    return {**os.environ, "PLAN_AUDIT_CACHE": str(cache)}


@contextlib.contextmanager
def started(*arguments, **how):
    """The program as typed; ended in any case, so that a failing test does not wait for it."""
    child = subprocess.Popen(
        [*OPEN, *arguments, "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        **how,
    )
    try:
        yield child
    finally:
        child.kill()
        child.communicate()


def stop(child):
    """Ctrl-C; returns what was said on stderr."""
    child.send_signal(signal.SIGINT)
    _, said = child.communicate(timeout=PATIENCE_S)
    assert child.returncode == 130
    assert "Traceback" not in said
    return said


def test_open_serves_the_plan_and_ctrl_c_ends_it_cleanly(tmp_path, environment):
    plan = draw_sheet(tmp_path / "lift.png")
    with started(str(plan), env=environment) as child:
        address = child.stdout.readline().split()[1]
        assert address.startswith("http://127.0.0.1:")
        with httpx.Client(timeout=PATIENCE_S) as browser:
            assert browser.get(address).status_code == 200
            base = address.partition("/?")[0]
            assert browser.get(f"{base}/api/audit").json()["sheets"][0]["name"] == "lift.png"
        assert "everything confirmed is kept" in stop(child)
    with open_audit(tmp_path / "lift.audit", read_only=True) as file:
        assert [sheet.source for sheet in file.load().sheets] == ["lift.png"]


def test_lan_is_said_and_listened_on_and_ends_with_the_rest(tmp_path, environment):
    given = ("--lan", "--lan-address", "127.0.0.2")
    with started(*given, env=environment, cwd=tmp_path) as child:
        address = child.stdout.readline().split()[1]
        said = [child.stdout.readline() for _ in range(4)]
        assert "local network" in said[0]
        assert "plain HTTP" in said[2]
        url = said[1].split()[-1]
        assert url.startswith("http://127.0.0.2:")
        assert "Photograph" in httpx.get(url, timeout=PATIENCE_S).text
        base, _, token = address.partition("/?token=")
        bearer = {"Authorization": f"Bearer {token}"}
        shown = httpx.get(f"{base}/api/phone", headers=bearer, timeout=PATIENCE_S)
        assert shown.json()["url"] == url
        stop(child)
    with pytest.raises(httpx.ConnectError):
        httpx.get(url)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--lan-address", "127.0.0.2"], "without --lan"),
        (["--lan", "--lan-address", "8.8.8.8"], "from outside"),
        (["missing.pdf"], "does not exist"),
        (["a.audit", "b.audit"], "two audits"),
        (["notes.txt"], "notes.txt"),
    ],
)
def test_what_cannot_be_opened_is_one_line(tmp_path, monkeypatch, capfd, arguments, says):
    """In this process, which has the program's modules already."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(uvicorn.Server, "run", lambda *_, **__: pytest.fail("it serves"))
    (tmp_path / "notes.txt").write_text("no plan")
    assert run_command(["open", *arguments, "--no-browser"]) == 2
    said = capfd.readouterr().err
    assert says in said
    assert "Traceback" not in said
    assert list(tmp_path.glob("*.audit")) == []


NAMES = [f"job-{number}.audit" for number in range(50)]


def is_free(port):
    """Whether no other program of this machine has a port now."""
    try:
        listen(port).close()
    except BadUsage:
        return False
    return True


def test_an_audit_comes_back_at_its_port_unless_another_program_has_it(tmp_path):
    """A page left open goes on after a restart; RFC 6335 keeps ports from 1024 on for users."""
    free = next(name for name in NAMES if is_free(usual_port(tmp_path / name)))
    audit = tmp_path / free
    with contextlib.closing(take_port(0, audit)) as first:
        usual = first.getsockname()[1]
        assert usual == usual_port(tmp_path / "x" / ".." / free)
        with contextlib.closing(take_port(0, audit)) as second:
            assert second.getsockname()[1] != usual
    with contextlib.closing(take_port(0, audit)) as again:
        assert again.getsockname()[1] == usual
