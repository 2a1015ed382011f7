"""How quick the page is: first paint of a large scan, tiles, two points to a verdict."""

from __future__ import annotations

import shutil
import statistics
import tempfile
import time
from pathlib import Path

import httpx
import numpy as np
from PIL import Image
from rich.console import Console
from rich.table import Table

from audit.store import create_audit
from audit.web.desk import Desk
from tests.web.conftest import draw_sheet, running

INCHES, LARGE_DPI, SMALL_DPI = (36, 24), 600, 200
PAINT_S, TILE_MS, VERDICT_MS = 1.5, 20.0, 300.0
CHROMIUM = shutil.which("chromium")


def run(*, full: bool) -> None:
    """Print the table; `full` uses the 311-megapixel sheet, otherwise one of 35 megapixels."""
    dpi = LARGE_DPI if full else SMALL_DPI
    look_for, Desk.look_for = Desk.look_for, lambda *_: None  # type: ignore[method-assign]
    try:
        with tempfile.TemporaryDirectory() as folder:
            rows = [*time_large(Path(folder), dpi), *time_verdict(Path(folder))]
    finally:
        Desk.look_for = look_for  # type: ignore[method-assign]
    table = Table("what", "median", "worst", "allowed", title=f"page, 36 × 24 in at {dpi} dpi")
    for row in rows:
        table.add_row(*row)
    Console().print(table)


def draw_large(path: Path, dpi: int) -> Path:
    """A scan with lines all over, compressed as scans are."""
    width, height = INCHES[0] * dpi, INCHES[1] * dpi
    pixels = np.full((height, width), 244, np.uint8)
    for k in range(60, min(width, height) - 60, 90):
        pixels[k : k + 5, 60:-60] = 30
        pixels[60:-60, k : k + 5] = 30
    Image.MAX_IMAGE_PIXELS = None
    Image.fromarray(pixels).save(path, dpi=(dpi, dpi), quality=85)
    return path


def time_large(folder: Path, dpi: int) -> list[tuple[str, str, str, str]]:
    """Time tiles and the first paint of a large scan, once it is loaded."""
    path = draw_large(folder / "large.jpg", dpi)
    desk = Desk(create_audit(folder / "large.audit", name="large"))
    with running(desk) as server:
        start = time.perf_counter()
        server.client.post(
            "/api/plans", params={"name": path.name}, content=path.read_bytes(), timeout=300
        )
        sheet = server.client.get("/api/sheets/1", timeout=300).json()
        server.client.get("/api/sheets/1/tiles/0/0/0", timeout=300)
        loading = time.perf_counter() - start
        tiles = [ask_tile(server.client, sheet, n) for n in range(200)]
        rows = [
            ("loading (once a plan)", f"{loading:.1f} s", "", ""),
            _row("tile at the server", tiles, TILE_MS),
        ]
        if CHROMIUM:
            paints = time_paint(f"{server.address}/?token={server.door.token}")
            rows.append(_row("first paint in Chromium", [1000 * p for p in paints], 1000 * PAINT_S))
    desk.close()
    return rows


def ask_tile(client: httpx.Client, sheet: dict[str, int], n: int) -> float:
    """Milliseconds for one tile somewhere on the sheet, at any level."""
    rng = np.random.default_rng(n)
    zoom = -int(rng.integers(0, 1 - sheet["coarsest"]))
    side = 256 / 2**zoom
    column = int(rng.integers(0, max(1, sheet["width"] // side)))
    row = int(rng.integers(0, max(1, sheet["height"] // side)))
    start = time.perf_counter()
    client.get(f"/api/sheets/1/tiles/{zoom}/{column}/{row}").raise_for_status()
    return 1000 * (time.perf_counter() - start)


def time_paint(address: str, *, times: int = 3) -> list[float]:
    """Seconds from opening the page to all tiles of the sheet shown."""
    from playwright.sync_api import sync_playwright

    taken = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        for _ in range(times):
            page = browser.new_context(viewport={"width": 1440, "height": 900}).new_page()
            start = time.perf_counter()
            page.goto(address)
            page.wait_for_selector("body.painted", timeout=60_000)
            taken.append(time.perf_counter() - start)
            page.context.close()
        browser.close()
    return taken


def time_verdict(folder: Path) -> list[tuple[str, str, str, str]]:
    """Time two points to a verdict, the printed size typed along."""
    path = draw_sheet(folder / "small.png")
    desk = Desk(create_audit(folder / "small.audit", name="small"))
    taken = []
    with running(desk) as server:
        client = server.client
        client.post("/api/plans", params={"name": path.name}, content=path.read_bytes())
        known = {"sheet": 1, "points": [[100, 690], [900, 690]], "length": "4 in"}
        client.post("/api/known-sizes", json={"revision": server.revision, **known})
        for n in range(20):
            points = [[100, 120 + 18 * n], [700, 120 + 18 * n]]
            body = {"revision": server.revision, "sheet": 1, "kind": "distance", "points": points}
            start = time.perf_counter()
            answer = client.post("/api/dimensions", json={**body, "text": "3"})
            taken.append(1000 * (time.perf_counter() - start))
            assert answer.json()["row"]["verdict"] == "agrees", answer.text
    desk.close()
    return [_row("two points to a verdict", taken, VERDICT_MS)]


def _row(what: str, taken: list[float], allowed: float) -> tuple[str, str, str, str]:
    return (
        what,
        f"{statistics.median(taken):.1f} ms",
        f"{max(taken):.1f} ms",
        f"{allowed:g} ms",
    )
