"""Long work: the page tells what is being done, and can stop it; what is confirmed stays."""

from __future__ import annotations

import shutil
import threading
from typing import ClassVar

import pytest

from audit.store import open_audit
from audit.web import desk as desks
from audit.web.desk import Desk
from audit.web.searching import Searched
from tests.browser.conftest import entry, opened, place
from tests.web.conftest import running


class Slow:
    """A search that goes on until it is stopped or let go."""

    made: ClassVar[list[Slow]] = []

    def __init__(self, plans, settings):
        self.ended = threading.Event()
        self.stopped = False
        Slow.made.append(self)

    def stop(self):
        self.stopped = True
        self.ended.set()

    def wait(self, tell):
        tell("finding dimensions")
        self.ended.wait()
        return Searched()


@pytest.fixture
def searching(tmp_path, monkeypatch, cache, prepared):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    monkeypatch.setattr(desks, "Search", Slow)
    Slow.made.clear()
    shutil.copy(prepared / "job.audit", tmp_path / "job.audit")
    desk = Desk(open_audit(tmp_path / "job.audit"))
    try:
        with running(desk) as run:
            yield run
    finally:
        desk.close()


def test_the_page_tells_what_is_done_and_stops_it(chromium, searching):
    with opened(chromium, entry(searching)) as page:
        page.wait_for_selector("body.painted")
        place(page, searching, (100, 300), (700, 300))
        searching.client.post("/api/sheets/1/search").raise_for_status()
        page.wait_for_selector(".busy:not([hidden]):has-text('finding dimensions')")
        page.get_by_role("button", name="Stop").click()
        page.wait_for_selector(".busy", state="hidden")
        assert Slow.made[0].stopped
        assert page.locator("tbody tr[data-key]").count() == 1
        assert searching.client.get("/api/audit").json()["busy"] is None


def test_a_page_that_comes_later_sees_the_work_going_on_and_its_end(chromium, searching):
    searching.client.post("/api/sheets/1/search").raise_for_status()
    with opened(chromium, entry(searching)) as page:
        page.wait_for_selector(".busy:not([hidden]):has-text('finding dimensions')")
        Slow.made[0].ended.set()
        page.wait_for_selector(".busy", state="hidden")
