"""Half an hour of the page's server at work: does its memory stay level?

    python -m tests.bench.soak [SECONDS] [DIAGRAM.svg]

A server of its own serves the sample's vector sheet and scan; readers fetch tiles and sheets, one
listens to events, one places distances and takes them back. Memory is that of the server and of the
workers it holds, resident. docs/pictures/soak.svg is made by this.
"""

from __future__ import annotations

import math
import random
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import httpx
import numpy as np
import psutil
from rich.console import Console
from rich.table import Table

SAMPLES = Path(__file__).parents[2] / "sample_scans"
PLANS = ("marble-lift-1.pdf", "marble-lift-2.png")
FULL_S, SHORT_S = 30 * 60, 60
READERS = 8
PAUSE_S = 0.05  # between two calls of a reader: a person does not read faster
LOOK_S = 5.0  # between two looks at the memory
WIDTH, HEIGHT, ROOM = 640, 300, 56
OPEN = ("-m", "audit.cli", "open", "--no-browser")


class Look(NamedTuple):
    """Memory at one moment, MB, and the calls answered until then."""

    seconds: float
    server_mb: float
    workers_mb: float
    calls: int


class Load:
    """Clients of one server, counting what was answered and what was not."""

    def __init__(self, address: str, token: str) -> None:
        self.address, self.headers = address, {"Authorization": f"Bearer {token}"}
        self.calls, self.bad = 0, []  # type: int, list[str]
        self._stop = threading.Event()
        self._threads: list[threading.Thread] = []

    def start(self) -> None:
        """Begin to call."""
        works: list[Callable[[httpx.Client], None]] = [self._read] * READERS
        for number, work in enumerate([*works, self._measure]):
            thread = threading.Thread(target=self._keep, args=(work, number), daemon=True)
            thread.start()
            self._threads.append(thread)

    def stop(self) -> None:
        """End when each has its answer."""
        self._stop.set()
        for thread in self._threads:
            thread.join(60)

    def _keep(self, work: Callable[[httpx.Client], None], number: int) -> None:
        random.seed(number)
        with httpx.Client(base_url=self.address, headers=self.headers, timeout=120) as client:
            while not self._stop.is_set():
                try:
                    work(client)
                except httpx.HTTPError as error:
                    self.bad.append(repr(error))
                time.sleep(PAUSE_S)

    def _ask(self, client: httpx.Client, method: str, path: str, **keys: object) -> httpx.Response:
        answer = client.request(method, path, **keys)
        self.calls += 1
        if answer.status_code >= 400:
            self.bad.append(f"{answer.status_code} {method} {path}: {answer.text[:200]}")
        return answer

    def _read(self, client: httpx.Client) -> None:
        sheet, halved = random.choice((1, 2)), random.choice((0, 0, 1, 2))
        place = f"{random.randrange(4 >> halved)}/{random.randrange(4 >> halved)}"
        self._ask(client, "GET", f"/api/sheets/{sheet}/tiles/{-halved}/{place}")
        if random.random() < 0.05:
            self._ask(client, "GET", f"/api/sheets/{sheet}")

    def _measure(self, client: httpx.Client) -> None:
        revision = client.get("/api/audit").json()["revision"]
        wanted = {"sheet": 1, "kind": "distance", "points": [[200, 300], [420, 300]], "free": []}
        placed = self._ask(client, "POST", "/api/dimensions", json={**wanted, "revision": revision})
        if placed.status_code == 201:
            revision = placed.json()["revision"]
            self._ask(client, "POST", "/api/undo", json={"revision": revision})
        time.sleep(1.0)


@contextmanager
def _serving(folder: Path):
    """Audit the samples and serve them; yields the process, the address and the token."""
    plans = [str(SAMPLES / name) for name in PLANS]
    subprocess.run(
        [sys.executable, "-m", "audit.cli", "check", "--out", str(folder), *plans],
        check=False,
        capture_output=True,
    )
    command = [sys.executable, *OPEN, str(folder / "marble-lift-1.audit")]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as server:
        assert server.stdout is not None
        try:
            address, _, token = server.stdout.readline().split()[1].partition("/?token=")
            yield psutil.Process(server.pid), address, token
        finally:
            server.terminate()


def soak(seconds: float) -> tuple[list[Look], list[str]]:
    """Work for so long; memory over time, and what was answered badly."""
    looks: list[Look] = []
    with TemporaryDirectory() as name, _serving(Path(name)) as (server, address, token):
        load = Load(address, token)
        load.start()
        begun = time.monotonic()
        while (gone := time.monotonic() - begun) < seconds:
            workers = sum(c.memory_info().rss for c in server.children(recursive=True))
            looks.append(Look(gone, server.memory_info().rss / 1e6, workers / 1e6, load.calls))
            time.sleep(LOOK_S)
        load.stop()
        return looks, load.bad


def rise(looks: Sequence[Look]) -> float:
    """Slope of the server's memory over the last two thirds, MB an hour, by least squares."""
    late = np.array([(look.seconds / 3600, look.server_mb) for look in looks[len(looks) // 3 :]])
    return float(np.polyfit(late[:, 0], late[:, 1], 1)[0])


def draw(looks: Sequence[Look]) -> str:
    """Memory over time as SVG."""
    most = 200 * math.ceil(max(look.server_mb + look.workers_mb for look in looks) / 200)
    last = looks[-1].seconds

    def at(seconds: float, mb: float) -> str:
        x = ROOM + (WIDTH - 2 * ROOM) * seconds / last
        return f"{x:.1f},{HEIGHT - ROOM + (2 * ROOM - HEIGHT) * mb / most:.1f}"

    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'width="{WIDTH}" height="{HEIGHT}" font-family="sans-serif" font-size="12">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
    ]
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        x, y = at(last * share, most * share).split(",")
        lines.append(f'<path d="M{ROOM},{y} H{WIDTH - ROOM}" stroke="#e4e4e4"/>')
        lines.append(f'<text x="{ROOM - 6}" y="{y}" dy="4" text-anchor="end">'
                     f"{most * share:.0f}</text>")  # fmt: skip
        lines.append(f'<text x="{x}" y="{HEIGHT - ROOM + 18}" text-anchor="middle">'
                     f"{last * share / 60:.1f}</text>")  # fmt: skip
    for name, colour, value in (
        ("server", "#0072b2", lambda k: k.server_mb),
        ("its workers", "#d55e00", lambda k: k.workers_mb),
    ):
        points = " ".join(at(look.seconds, value(look)) for look in looks)
        lines.append(f'<polyline points="{points}" fill="none" stroke="{colour}" '
                     'stroke-width="1.6"/>')  # fmt: skip
        x, y = at(last, value(looks[-1])).split(",")
        lines.append(f'<text x="{float(x) - 4}" y="{float(y) - 6}" text-anchor="end" '
                     f'fill="{colour}">{name}</text>')  # fmt: skip
    lines += [
        f'<text x="{ROOM}" y="{ROOM - 24}">resident memory, MB, over minutes; '
        f"{looks[-1].calls:,} calls answered</text>",
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def run(*, full: bool, seconds: float | None = None) -> list[Look]:
    """Print what memory did; half an hour with `full`."""
    looks, bad = soak(seconds or (FULL_S if full else SHORT_S))
    table = Table(title="memory of the page's server at work")
    for column in ("minutes", "calls", "bad", "server MB first", "last", "most", "MB an hour"):
        table.add_column(column, justify="right")
    table.add_row(
        f"{looks[-1].seconds / 60:.1f}",
        f"{looks[-1].calls}",
        f"{len(bad)}",
        f"{looks[0].server_mb:.0f}",
        f"{looks[-1].server_mb:.0f}",
        f"{max(look.server_mb for look in looks):.0f}",
        f"{rise(looks):+.0f}",
    )
    Console().print(table)
    for line in bad[:5]:
        Console().print(line)
    return looks


if __name__ == "__main__":
    looked = run(full=True, seconds=float(sys.argv[1]) if len(sys.argv) > 1 else None)
    if len(sys.argv) > 2:
        Path(sys.argv[2]).write_text(draw(looked), encoding="utf-8")
