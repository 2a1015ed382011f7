"""A real Chromium on a real server; skipped, with the reason, where there is none.

Nothing here hangs on time: every step waits for the state it needs, up to `PATIENCE_MS`.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import time

import pytest

from audit.store import open_audit
from audit.web.desk import Desk
from tests.web.conftest import cache, prepared, running, still  # noqa: F401  # fixtures

# The first has no windows, menus or profile to keep up: a tenth less work for the same page.
PROGRAMS = ("chromium-headless-shell", "chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
DESK_SIZE = {"width": 1440, "height": 900}
TABLET_SIZE = {"width": 820, "height": 1180}
PATIENCE_MS = int(os.environ.get("PATIENCE_MS", "90000"))  # other programs may have the cores


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    path = next(filter(None, map(shutil.which, PROGRAMS)), None)
    if path is None:
        pytest.skip("chromium is not installed")
    with playwright.sync_playwright() as running_playwright:
        browser = running_playwright.chromium.launch(
            executable_path=path, args=FLAGS, timeout=PATIENCE_MS
        )
        yield browser
        browser.close()


@pytest.fixture
def job(tmp_path, monkeypatch, still, cache, prepared):  # noqa: F811
    """A server with the drawn sheet: a box 3 in wide, a circle of radius 1/2 in, a known size."""
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    shutil.copy(prepared / "job.audit", tmp_path / "job.audit")
    desk = Desk(open_audit(tmp_path / "job.audit"))
    try:
        with running(desk) as run:
            yield run
    finally:
        desk.close()


@contextlib.contextmanager
def opened(chromium, address, *, line_breaks=False, **how):
    """The page in a window of its own; any fault in its scripts fails the test.

    A browser complains of a line that breaks; where a test breaks it, that is no fault.
    """
    expected = ("status of", "net::ERR_") if line_breaks else ("status of",)
    context = chromium.new_context(**{"viewport": DESK_SIZE, **how})
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on(
        "console",
        lambda message: (
            faults.append(message.text)
            if message.type == "error" and not any(x in message.text for x in expected)
            else None
        ),
    )
    try:
        page.goto(address)
        yield page
    finally:
        context.close()
    assert faults == []


def entry(run):
    """The address that lets a browser in."""
    return f"{run.address}/?token={run.door.token}"


@pytest.fixture
def page(chromium, job):
    """The page at desk size, painted."""
    with opened(chromium, entry(job)) as opened_page:
        opened_page.wait_for_selector("body.painted")
        yield opened_page


def until(holds, page=None):
    """Ask again and again until something holds; the browser goes on meanwhile."""
    end = time.monotonic() + PATIENCE_MS / 1000
    while not holds():
        assert time.monotonic() < end, "it never came to hold"
        if page is None:
            time.sleep(0.05)
        else:
            page.wait_for_timeout(50)


def wait_shown(page, job):
    """Wait until the page shows the audit as it is on the server now."""
    page.wait_for_function(
        "(revision) => Number(document.body.dataset.revision) >= revision", arg=job.revision
    )


def on_screen(page, x, y):
    """Where a map px of the drawn sheet (1200 × 800) is on the screen."""
    left, top, width, height = page.evaluate(
        "() => { const r = document.querySelector('path.paper').getBoundingClientRect();"
        " return [r.left, r.top, r.width, r.height]; }"
    )
    return left + x * width / 1200, top + y * height / 800


def click_map(page, x, y):
    """Aim, wait until the magnifier says on what, click."""
    page.mouse.move(*on_screen(page, x, y))
    page.wait_for_function(
        "() => !document.querySelector('.loupe').hidden"
        " && !['…', ''].includes(document.querySelector('.loupe-says').textContent)"
    )
    page.mouse.click(*on_screen(page, x, y))


def count_rows(page):
    return page.locator("tbody tr[data-key]").count()


def wait_prompt(page, words):
    """Wait for the line over the sheet to ask for something."""
    page.wait_for_selector(f".prompt:has-text('{words}')")


def place(page, job, *points, key="d"):
    """Place a dimension point by point; it ends picked, and the mode is left."""
    before = count_rows(page)
    page.keyboard.press(key)
    page.wait_for_selector("#sheet.placing")
    asked = page.locator(".prompt").inner_text()
    for number, (x, y) in enumerate(points, start=1):
        click_map(page, x, y)
        if number < len(points):  # the line asks for the next point once this one is put
            page.wait_for_function(
                "(asked) => document.querySelector('.prompt').innerText !== asked", arg=asked
            )
            asked = page.locator(".prompt").inner_text()
    page.wait_for_function(
        "(before) => document.querySelectorAll('tbody tr[data-key]').length > before", arg=before
    )
    page.wait_for_selector("tr.picked")
    wait_shown(page, job)
    page.keyboard.press("Escape")
    page.wait_for_selector(".prompt", state="hidden")


def retype(page, text):
    """Type what is printed at the picked dimension."""
    page.keyboard.press(text[0])
    page.wait_for_selector(".retype:focus")
    page.keyboard.type(text[1:])
    page.keyboard.press("Enter")


def wait_verdict(page, sign):
    page.wait_for_selector(f"tr.picked .sign:text-is('{sign}')")
