"""An audit behind a real server: what a browser or a script would speak to."""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import httpx
import numpy as np
import pytest
import uvicorn
from PIL import Image, ImageDraw

from audit.store import create_audit
from audit.web.app import create_app
from audit.web.desk import Desk
from audit.web.guard import Door
from audit.web.serving import listen

DPI = 200


@dataclass
class Running:
    """A server, its desk and a client that holds the token."""

    desk: Desk
    door: Door
    port: int
    client: httpx.Client

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def revision(self) -> int:
        return int(self.client.get("/api/audit").json()["revision"])

    def bare(self, **headers: str) -> httpx.Client:
        """A client that knows no token."""
        return httpx.Client(base_url=self.address, headers=headers)


def draw_sheet(path: Path) -> Path:
    """A 6 × 4 in scan at 200 dpi: a 4 in rule, a 3 in box, a circle of radius 1/2 in."""
    picture = Image.new("L", (6 * DPI, 4 * DPI), 248)
    pen = ImageDraw.Draw(picture)
    pen.line([(100, 700), (900, 700)], fill=20, width=3)
    for x in (100, 900):
        pen.line([(x, 670), (x, 730)], fill=20, width=3)
    pen.rectangle([(100, 100), (700, 500)], outline=20, width=5)
    pen.ellipse([(850, 200), (1050, 400)], outline=20, width=3)
    noise = np.random.default_rng(7).normal(0, 3, (4 * DPI, 6 * DPI))
    pixels = np.clip(np.asarray(picture, float) + noise, 0, 255).astype(np.uint8)
    Image.fromarray(pixels).save(path, dpi=(DPI, DPI))
    return path


@contextlib.contextmanager
def running(desk: Desk) -> Iterator[Running]:
    listener = listen(0)
    port = listener.getsockname()[1]
    door = Door.at(port)
    config = uvicorn.Config(
        create_app(desk, door), log_level="critical", lifespan="off", ws="none", access_log=False
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    deadline = time.monotonic() + 20
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.02)
    headers = {"Authorization": f"Bearer {door.token}"}
    with httpx.Client(base_url=f"http://127.0.0.1:{port}", headers=headers, timeout=60) as client:
        yield Running(desk, door, port, client)
    desk.bell.close()
    server.should_exit = True
    thread.join(10)
    listener.close()


@pytest.fixture
def still(monkeypatch):
    """No search starts by itself: these tests place everything by hand."""
    monkeypatch.setattr(Desk, "look_for", lambda self, digest, name: None)


@pytest.fixture
def server(tmp_path, monkeypatch, still):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(tmp_path / "cache"))
    desk = Desk(create_audit(tmp_path / "job.audit", name="job"))
    try:
        with running(desk) as run:
            yield run
    finally:
        desk.close()


@pytest.fixture
def loaded(server, tmp_path):
    """The server with one drawn sheet and its 4 in rule as known size."""
    sheet = draw_sheet(tmp_path / "scan.png")
    added = server.client.post(
        "/api/plans", params={"name": "scan.png"}, content=sheet.read_bytes()
    )
    assert added.status_code == 201, added.text
    known = {
        "revision": added.json()["revision"],
        "sheet": 1,
        "points": [[100, 690], [900, 690]],
        "length": "4 in",
    }
    answer = server.client.post("/api/known-sizes", json=known)
    assert answer.status_code == 201, answer.text
    return server
