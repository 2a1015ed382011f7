"""The page's server under load, with its cache taken away, and clients that misbehave."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import socket
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import httpx
import psutil
import pytest

from audit.store import open_audit

TILE = "/api/sheets/1/tiles/0/{}/{}"
POINTS = [[100, 300], [700, 300]]
GROWTH_MB = 40  # of memory between two equal rounds: what one round may keep for itself


def read_tiles(server, *, rounds):
    """One client: its own connection, every tile of the sheet so many times; bad answers."""
    bad = []
    with httpx.Client(
        base_url=server.address, headers=dict(server.client.headers), timeout=60
    ) as client:
        for _ in range(rounds):
            for column in range(5):
                for row in range(4):
                    answer = client.get(TILE.format(column, row))
                    if answer.status_code != 200 or not answer.content.startswith(b"\x89PNG"):
                        bad.append((answer.status_code, answer.text[:80]))
    return bad


def measure(server):
    """Place a distance and take it back; whether both were done."""
    wanted = {"sheet": 1, "kind": "distance", "points": POINTS, "free": []}
    placed = server.client.post("/api/dimensions", json={**wanted, "revision": server.revision})
    undone = server.client.post("/api/undo", json={"revision": server.revision})
    return placed.status_code == 201 and undone.status_code == 200


@pytest.mark.parametrize("clients", [8, pytest.param(50, marks=pytest.mark.hard)])
def test_one_works_while_others_read_tiles(loaded, clients):
    with ThreadPoolExecutor(clients) as pool:
        readers = [pool.submit(read_tiles, loaded, rounds=2) for _ in range(clients)]
        worked = [measure(loaded) for _ in range(3)]
        assert [bad for reader in readers for bad in reader.result(timeout=300)] == []
    assert worked == [True] * 3


def test_a_client_that_sends_nothing_holds_up_nobody(loaded):
    held = []
    try:
        for _ in range(20):
            idle = socket.create_connection(("127.0.0.1", loaded.port), timeout=10)
            idle.sendall(b"POST /api/plans?name=a.png HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Le")
            held.append(idle)
        assert measure(loaded)
    finally:
        for idle in held:
            idle.close()


def test_a_client_that_stops_in_mid_upload_or_reads_no_answer_holds_up_nobody(loaded):
    """Both know the token, so nothing turns them away at the door."""
    token = dict(loaded.client.headers)["authorization"]
    head = f"HTTP/1.1\r\nHost: 127.0.0.1:{loaded.port}\r\nAuthorization: {token}\r\n"
    upload = f"POST /api/plans?name=a.png {head}Content-Length: 900000\r\n\r\n"
    ask = f"GET /api/marked-up.pdf {head}\r\n"
    held = []
    try:
        for number in range(10):
            reads_none = (ask.encode() * 3,) if number < 3 else ()  # each has three PDFs made
            for said in (upload.encode() + b"\x89PNG", *reads_none):
                slow = socket.socket()
                slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
                slow.connect(("127.0.0.1", loaded.port))
                slow.sendall(said)
                held.append(slow)
        assert measure(loaded)
        assert loaded.client.get(TILE.format(1, 1)).status_code == 200
    finally:
        for slow in held:
            slow.close()
    assert measure(loaded)


def test_a_cache_deleted_in_mid_work_is_made_again(loaded, cache):
    assert loaded.client.get(TILE.format(1, 1)).status_code == 200
    shutil.rmtree(cache)
    try:
        assert loaded.client.get(TILE.format(2, 1)).status_code == 200
        assert measure(loaded)
        assert loaded.client.get("/api/sheets/1").status_code == 200
    finally:
        cache.mkdir(exist_ok=True)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_cache_that_cannot_be_written_costs_memory_not_the_sheet(loaded, cache):
    cache.chmod(0o500)
    try:
        assert loaded.client.get(TILE.format(1, 2)).status_code == 200
        assert measure(loaded)
    finally:
        cache.chmod(0o700)


def test_many_writers_lose_no_write_and_each_is_told(loaded):
    """Of acts that saw the same revision one is done, the others are refused as stale."""
    before = loaded.revision
    wanted = {"sheet": 1, "kind": "distance", "points": POINTS, "free": [], "revision": before}
    with ThreadPoolExecutor(6) as pool:
        answers = list(
            pool.map(lambda _: loaded.client.post("/api/dimensions", json=wanted), range(6))
        )
    codes = sorted(a.status_code for a in answers)
    assert codes == [201] + [409] * 5
    rows = loaded.client.get("/api/sheets/1").json()["rows"]
    assert len([r for r in rows if r["kind"]]) == 1


@pytest.mark.hard
@pytest.mark.parametrize("seconds", [120])
def test_memory_stays_flat_while_clients_read_and_one_works(loaded, seconds):
    soak(loaded, seconds)


def soak(server, seconds):
    """Work for so long; memory of the last rounds is compared with that of the first."""
    process, sizes, bad = psutil.Process(), [], []
    ends = time.monotonic() + seconds
    stop = threading.Event()

    def keep_reading():
        while not stop.is_set():
            bad.extend(read_tiles(server, rounds=1))

    readers = [threading.Thread(target=keep_reading, daemon=True) for _ in range(4)]
    for reader in readers:
        reader.start()
    while time.monotonic() < ends:
        assert measure(server)
        sizes.append(process.memory_info().rss / 1e6)
    stop.set()
    for reader in readers:
        reader.join(60)
    assert bad == []
    third = len(sizes) // 3
    assert third > 3
    grown = max(sizes[-third:]) - max(sizes[third : 2 * third])
    assert grown < GROWTH_MB, f"{sizes[third]:.0f} MB became {sizes[-1]:.0f} MB"


@pytest.mark.hard
def test_a_server_killed_under_load_loses_nothing_that_it_confirmed(tmp_path, prepared, cache):
    """SIGKILL while eight clients read tiles and one places distances as fast as it can."""
    audit = tmp_path / "job.audit"
    for acts in (3, 8):
        shutil.copy(prepared / "job.audit", audit)
        command = [sys.executable, "-m", "audit.cli", "open", "--no-browser", str(audit)]
        with subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            env={**os.environ, "PLAN_AUDIT_CACHE": str(cache)},
        ) as child:
            address, _, token = child.stdout.readline().split()[1].partition("/?token=")
            confirmed = work_until_killed(child, address, token, acts=acts)
        with open_audit(audit) as file:
            assert file.load() == file.replayed()
            assert confirmed <= file.revision <= confirmed + 2  # the one in hand, and its judgement
        assert [p.name for p in tmp_path.iterdir()] == ["job.audit"]


def work_until_killed(child, address, token, *, acts):
    """Load a server, kill it after so many confirmed acts; the last revision it confirmed."""
    headers = {"Authorization": f"Bearer {token}"}

    def keep_reading():
        reading = httpx.Client(base_url=address, headers=headers, timeout=60)
        with reading as client, contextlib.suppress(httpx.HTTPError):
            while True:
                client.get(TILE.format(random.randrange(5), random.randrange(4)))

    readers = [threading.Thread(target=keep_reading, daemon=True) for _ in range(8)]
    confirmed = 0
    with httpx.Client(base_url=address, headers=headers, timeout=60) as client:
        confirmed = client.get("/api/audit").json()["revision"]
        for reader in readers:
            reader.start()
        with contextlib.suppress(httpx.HTTPError):
            for act in range(acts + 50):
                wanted = {"sheet": 1, "kind": "distance", "points": POINTS, "free": []}
                done = client.post("/api/dimensions", json={**wanted, "revision": confirmed})
                confirmed = done.json()["revision"] if done.status_code == 201 else confirmed
                done = client.post("/api/undo", json={"revision": confirmed})
                confirmed = done.json()["revision"] if done.status_code == 200 else confirmed
                if act == acts:
                    threading.Timer(random.uniform(0, 0.1), child.kill).start()
    child.wait(60)
    for reader in readers:
        reader.join(60)
    return confirmed
