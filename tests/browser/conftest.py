"""A real Chromium on a real server; skipped, with the reason, where there is none."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from audit.store import open_audit
from audit.web.desk import Desk
from tests.web.conftest import cache, prepared, running, still  # noqa: F401  # fixtures

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
DESK_SIZE = {"width": 1440, "height": 900}


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if not CHROMIUM.exists() and shutil.which("chromium") is None:
        pytest.skip("chromium is not installed")
    path = str(CHROMIUM) if CHROMIUM.exists() else shutil.which("chromium")
    with playwright.sync_playwright() as running_playwright:
        browser = running_playwright.chromium.launch(executable_path=path, args=FLAGS)
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


@pytest.fixture
def page(chromium, job):
    """The page, painted; any fault in its scripts fails the test."""
    context = chromium.new_context(viewport=DESK_SIZE)
    opened = context.new_page()
    faults: list[str] = []
    opened.on("pageerror", lambda error: faults.append(str(error)))
    opened.on(
        "console",
        lambda message: (
            faults.append(message.text)
            if message.type == "error" and "status of" not in message.text
            else None
        ),
    )
    opened.goto(f"{job.address}/?token={job.door.token}")
    opened.wait_for_selector("body.painted", timeout=20_000)
    yield opened
    context.close()
    assert faults == []


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
        "() => !['…', ''].includes(document.querySelector('.loupe-says').textContent)"
    )
    page.mouse.click(*on_screen(page, x, y))
