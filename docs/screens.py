"""Take pictures of the page's main states: a real server, a real Chromium."""

from __future__ import annotations

import contextlib
import shutil
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import uvicorn
from PIL import Image

from audit.store import create_audit, open_audit
from audit.web.app import create_app
from audit.web.desk import Desk
from audit.web.guard import Door
from audit.web.serving import listen

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

DESK = {"width": 1440, "height": 900}
TABLET = {"width": 820, "height": 1180}
FLAGS = ["--no-sandbox", "--disable-gpu", "--force-color-profile=srgb"]
COLOURS = 256  # flat colours, and the paper of a scan
PATIENCE_MS = 120_000


@contextlib.contextmanager
def serve(audit: Path | None) -> Iterator[str]:
    """Serve a copy of an audit, or an empty one; yields the address that lets a browser in."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "Marble lift.audit"
        if audit is not None:
            shutil.copyfile(audit, place)
        file = open_audit(place) if audit else create_audit(place, name="Marble lift")
        desk = Desk(file)
        with listen(0) as listener:
            port = listener.getsockname()[1]
            door = Door.at(port)
            config = uvicorn.Config(create_app(desk, door), log_level="error", lifespan="off")
            server = uvicorn.Server(config)
            thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
            thread.start()
            try:
                yield f"http://127.0.0.1:{port}/?token={door.token}"
            finally:
                desk.bell.close()
                server.should_exit = True
                thread.join()
                desk.close()


@contextlib.contextmanager
def chromium() -> Iterator[Browser]:
    """Start the system's Chromium."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415  # only pictures need it

    path = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


def take(
    browser: Browser,
    address: str,
    target: Path,
    act: Callable[[Page], None],
    *,
    size: dict[str, int] = DESK,
) -> None:
    """Open the page, bring it into a state, take its picture."""
    context = browser.new_context(viewport=size, has_touch=size is TABLET)
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    page.goto(address)
    act(page)
    page.evaluate("() => document.fonts.ready")
    page.screenshot(path=target)
    context.close()
    picture = Image.open(target).convert("RGB")
    picture.quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
        target, optimize=True
    )


def show_sheet(page: Page, number: int) -> None:
    """Go to a sheet and wait until it is painted."""
    page.wait_for_selector("body.painted")
    page.locator(".tab[data-id]").nth(number - 1).click()
    page.wait_for_selector(f".tab[aria-selected=true]:has-text('{number}')")
    page.wait_for_selector("body:not(.opening)")
    page.wait_for_function(
        "() => [...document.querySelectorAll('img.leaflet-tile')].every((t) => t.complete)"
        " && document.querySelectorAll('img.leaflet-tile-loaded').length > 0"
    )


def pick(page: Page, words: str) -> None:
    """Pick the first line of the list with these words, and wait for its card."""
    page.locator(f"tbody tr[data-key]:has-text('{words}')").first.click()
    page.wait_for_selector(".card:not([hidden])")
    page.wait_for_function(
        "() => [...document.querySelectorAll('img')].every((picture) => picture.complete)"
    )


def show_empty(page: Page) -> None:
    """Show what stands there before the first sheet."""
    page.wait_for_selector(".drop h1")


def show_findings(page: Page) -> None:
    """Show the vector sheet with its list, worst first."""
    show_sheet(page, 1)


def show_card(page: Page) -> None:
    """Show the card of the size that disagrees on the scan."""
    show_sheet(page, 2)
    pick(page, "2 7/8")


def show_chain(page: Page) -> None:
    """Show the chain that does not close."""
    show_sheet(page, 1)
    pick(page, "3 9/32")
    page.wait_for_selector("#strip:not([hidden])")


def show_photo(page: Page) -> None:
    """Show the photo of a copy."""
    show_sheet(page, 3)


PICTURES: tuple[tuple[str, Callable[[Page], None], dict[str, int]], ...] = (
    ("page-sheet.png", show_findings, DESK),
    ("page-card.png", show_card, DESK),
    ("page-chain.png", show_chain, DESK),
    ("page-photo.png", show_photo, DESK),
    ("page-tablet.png", show_card, TABLET),
)


def take_all(audit: Path, target: Path) -> None:
    """Take all pictures of the page.

    Parameters
    ----------
    audit : Path
        With the three sample sheets.
    target : Path
        A folder.
    """
    with chromium() as browser:
        with serve(None) as address:
            take(browser, address, target / "page-empty.png", show_empty)
        with serve(audit) as address:
            for name, act, size in PICTURES:
                take(browser, address, target / name, act, size=size)


if __name__ == "__main__":
    take_all(Path(sys.argv[1]), Path(sys.argv[2]))
