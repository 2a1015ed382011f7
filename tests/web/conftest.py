"""An audit behind a real server: what a browser or a script would speak to."""

from __future__ import annotations

import contextlib
import shutil
import ssl
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

from audit.store import create_audit, open_audit
from audit.web.app import create_app
from audit.web.desk import Desk
from audit.web.guard import Door
from audit.web.lan import Phone
from audit.web.serving import listen

DPI = 200
# to load those of the system takes longer than many a test, and none is asked for over HTTP
NO_CERTIFICATES = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
PATIENCE_S = 60.0  # other programs may have the cores


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
        return httpx.Client(
            base_url=self.address, headers=headers, timeout=PATIENCE_S, verify=NO_CERTIFICATES
        )


def draw_sheet(path: Path) -> Path:
    """A 6 × 4 in scan at 200 dpi: a 4 in rule, a 3 in box, a circle of radius 1/2 in."""
    picture = Image.new("L", (6 * DPI, 4 * DPI), 248)
    pen = ImageDraw.Draw(picture)
    pen.line([(100, 700), (900, 700)], fill=20, width=3)
    for x in (100, 900):
        pen.line([(x, 670), (x, 730)], fill=20, width=3)
    corners = [(100, 100), (700, 100), (700, 500), (100, 500), (100, 100)]
    pen.line(corners, fill=20, width=5, joint="curve")  # middles of the lines, unlike `rectangle`
    pen.ellipse([(849, 199), (1051, 401)], outline=20, width=3)  # the stroke lies inside
    noise = np.random.default_rng(7).normal(0, 3, (4 * DPI, 6 * DPI))
    pixels = np.clip(np.asarray(picture, float) + noise, 0, 255).astype(np.uint8)
    Image.fromarray(pixels).save(path, dpi=(DPI, DPI))
    return path


@contextlib.contextmanager
def running(desk: Desk, phone: Phone | None = None) -> Iterator[Running]:
    listener = listen(0)
    port = listener.getsockname()[1]
    door = Door.at(port)
    config = uvicorn.Config(
        create_app(desk, door, phone),
        log_level="critical",
        lifespan="off",
        ws="none",
        access_log=False,
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    deadline = time.monotonic() + PATIENCE_S
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.02)
    headers = {"Authorization": f"Bearer {door.token}"}
    with httpx.Client(
        base_url=f"http://127.0.0.1:{port}",
        headers=headers,
        timeout=PATIENCE_S,
        verify=NO_CERTIFICATES,
    ) as client:
        yield Running(desk, door, port, client)
    desk.bell.close()
    server.should_exit = True
    thread.join(10)
    listener.close()


@pytest.fixture
def still(monkeypatch):
    """No search starts by itself: these tests place everything by hand."""
    monkeypatch.setattr(Desk, "look_for", lambda self, digest, name: None)


@pytest.fixture(scope="session")
def cache(tmp_path_factory):
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def server(tmp_path, monkeypatch, still, cache):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    desk = Desk(create_audit(tmp_path / "job.audit", name="job"))
    try:
        with running(desk) as run:
            yield run
    finally:
        desk.close()


@pytest.fixture(scope="session")
def prepared(tmp_path_factory, cache):
    """An audit of the drawn sheet with its 4 in rule as known size, made once through the calls."""
    folder = tmp_path_factory.mktemp("prepared")
    path = draw_sheet(folder / "scan.png")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PLAN_AUDIT_CACHE", str(cache))
        patch.setattr(Desk, "look_for", lambda self, digest, name: None)
        desk = Desk(create_audit(folder / "job.audit", name="job"))
        try:
            with running(desk) as run:
                added = run.client.post(
                    "/api/plans", params={"name": "scan.png"}, content=path.read_bytes()
                )
                assert added.status_code == 201, added.text
                known = {"points": [[100, 690], [900, 690]], "length": "4 in", "sheet": 1}
                revision = added.json()["revision"]
                answer = run.client.post("/api/known-sizes", json={"revision": revision, **known})
                assert answer.status_code == 201, answer.text
        finally:
            desk.close()
    return folder


@pytest.fixture
def loaded(tmp_path, monkeypatch, still, cache, prepared):
    """The server with the prepared audit."""
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    for name in ("job.audit", "scan.png"):
        shutil.copy(prepared / name, tmp_path / name)
    desk = Desk(open_audit(tmp_path / "job.audit"))
    try:
        with running(desk) as run:
            yield run
    finally:
        desk.close()
