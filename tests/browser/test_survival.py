"""A killed server, a restart, two tabs: nothing confirmed is lost, and every page says what is so.

The server is a process of its own here, killed as a crash or a power cut would.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import threading

import httpx
import pytest
import uvicorn

from audit.store import open_audit
from audit.web.app import create_app
from audit.web.guard import Door
from audit.web.serving import listen
from tests.browser.conftest import PATIENCE_MS, opened, place, retype, wait_verdict

PROGRAM = [sys.executable, "-c", "from audit.cli.main import run; run()", "open", "--no-browser"]


class Served:
    """`plan-audit open` as typed, in a process that can be killed and started again."""

    def __init__(self, audit, environment):
        self.audit = audit
        self.environment = environment
        self.port = 0
        self.start()

    def start(self):
        given = ["--port", str(self.port), str(self.audit)]
        self.child = subprocess.Popen(
            [*PROGRAM, *given],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            env=self.environment,
        )
        self.entry = self.child.stdout.readline().split()[1]
        self.address, _, self.token = self.entry.partition("/?token=")
        self.port = int(self.address.rsplit(":", 1)[1])
        bearer = {"Authorization": f"Bearer {self.token}"}
        self.client = httpx.Client(
            base_url=self.address, headers=bearer, timeout=PATIENCE_MS / 1000
        )

    def kill(self):
        self.client.close()
        self.child.kill()
        self.child.communicate()

    @property
    def revision(self):
        return int(self.client.get("/api/audit").json()["revision"])


@pytest.fixture
def served(tmp_path, cache, prepared):
    shutil.copy(prepared / "job.audit", tmp_path / "job.audit")
    server = Served(tmp_path / "job.audit", {**os.environ, "PLAN_AUDIT_CACHE": str(cache)})
    try:
        yield server
    finally:
        server.kill()


@contextlib.contextmanager
def looking(chromium, served, **how):
    with opened(chromium, served.entry, **how) as page:
        page.wait_for_selector("body.painted")
        yield page


def test_a_killed_server_loses_nothing_and_undo_goes_on_after_a_restart(chromium, served):
    with looking(chromium, served, line_breaks=True) as page:
        place(page, served, (100, 300), (700, 300))
        retype(page, "2 7/8")
        wait_verdict(page, "◆")
        served.kill()
        page.wait_for_selector(".line-lost:not([hidden])")
        page.keyboard.press("u")  # what is done now is refused in one line, not lost silently
        page.wait_for_selector(".notice.error:has-text('does not answer')")
        with open_audit(served.audit, read_only=True) as file:
            assert [d.reading.text for d in file.load().dimensions] == ["2 7/8"]
        served.start()  # the same port, a new token
        page.wait_for_selector(".line-lost:has-text('new address')")
        page.wait_for_selector(".line-lost button:text-is('Try now')")
        page.context.new_page().goto(served.entry)  # now the browser has the new token
        page.wait_for_selector(".line-lost", state="hidden")
        page.wait_for_selector("body.painted")
        page.wait_for_selector("tr[data-key] .sign:text-is('◆')")
        page.keyboard.press("u")
        page.wait_for_selector("tr[data-key] .sign:text-is('◆')", state="detached")
        page.keyboard.press("Shift+U")
        page.wait_for_selector("tr[data-key] .sign:text-is('◆')")


@contextlib.contextmanager
def lifetime(desk, door, port):
    """One life of a server that may come back under the same address; its end cuts all lines."""
    listener = listen(port)
    config = uvicorn.Config(
        create_app(desk, door), log_level="critical", lifespan="off", ws="none", access_log=False
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.should_exit = server.force_exit = True
        thread.join()
        listener.close()


def test_the_page_connects_again_by_itself_and_shows_what_happened_meanwhile(chromium, job):
    """Server and page lose each other, as when the machine sleeps; no hand is needed."""
    with listen(0) as free:
        port = free.getsockname()[1]
    door = Door.at(port)
    address = f"http://127.0.0.1:{port}/?token={door.token}"
    with contextlib.ExitStack() as window:
        with lifetime(job.desk, door, port):
            page = window.enter_context(opened(chromium, address, line_breaks=True))
            page.wait_for_selector("body.painted")
            page.wait_for_function("() => document.body.classList.contains('ready')")
        page.wait_for_selector(".line-lost:not([hidden]):has-text('trying again')")
        body = {"revision": job.revision, "sheet": 1, "kind": "distance"}
        points = [[100, 300], [700, 300]]
        job.client.post("/api/dimensions", json={**body, "points": points}).raise_for_status()
        with lifetime(job.desk, door, port):
            page.wait_for_selector("tbody tr[data-key]")
            page.wait_for_selector(".line-lost", state="hidden")


def test_two_tabs_show_the_same_and_the_later_one_is_told(chromium, served):
    with looking(chromium, served) as one, looking(chromium, served) as two:
        place(one, served, (100, 300), (700, 300))
        retype(one, "2 7/8")
        wait_verdict(one, "◆")
        two.wait_for_selector("tr[data-key] .sign:text-is('◆')")
        two.locator("tr[data-key]").first.click()
        two.locator(".option:has-text('hold') input").check()
        two.locator("[data-focus=decide]").click()
        one.wait_for_selector("tr .built:has-text('hold')")
        for page in (one, two):
            page.wait_for_function(
                "(revision) => Number(document.body.dataset.revision) >= revision",
                arg=served.revision,
            )
        rows = [page.locator("tbody").inner_text() for page in (one, two)]
        assert rows[0] == rows[1]


def test_what_was_seen_too_long_ago_is_refused_and_shown_anew(chromium, served):
    """The second tab did not hear of the change: its action must not overwrite it."""
    with looking(chromium, served) as page:
        place(page, served, (100, 300), (700, 300))
        page.evaluate(
            """() => { const real = window.fetch; window.fetch = (address, how) => {
              if (how?.body && typeof how.body === 'string')
                how.body = how.body.replace(/"revision":\\d+/, '"revision":1');
              return real(address, how); }; }"""
        )
        revision = served.revision
        retype(page, "3")
        page.wait_for_selector(".notice.error:has-text('changed the audit meanwhile')")
        assert served.revision == revision
