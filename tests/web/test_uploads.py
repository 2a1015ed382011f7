"""Uploads that lie, are too large, or name paths; addresses that try to climb out."""

from __future__ import annotations

import io
import re
import socket
import zlib

import httpx
import pytest
from PIL import Image

from audit.isolation import Limits
from audit.web import acts
from tests.web.conftest import PATIENCE_S, draw_sheet


def add(server, data, name="plan.png", **more):
    return server.client.post("/api/plans", params={"name": name}, content=data, **more)


def chunk(kind, data):
    body = kind + data
    return len(data).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")


def bomb(side):
    """A PNG whose head promises side × side pixels, of a few bytes (PNG specification, 11.2.2)."""
    head = side.to_bytes(4, "big") * 2 + bytes([8, 0, 0, 0, 0])
    data = zlib.compress(bytes(1000), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def one_line(answer):
    error = answer.json()["error"]
    assert set(error) == {"code", "problem", "advice"}
    assert "\n" not in error["problem"] + error["advice"]
    assert "Traceback" not in answer.text
    return error


def test_a_picture_that_promises_billions_of_pixels_is_refused_before_memory(server):
    answer = add(server, bomb(60_000))
    assert answer.status_code == 413, answer.text
    assert one_line(answer)["code"] == "too-large"


LIES = (
    ("page.pdf", b"<!doctype html><script>1</script>"),
    ("plan.png", b"%PDF-1.7\n" + bytes(200)),
    ("plan.pdf", b"%PDF-1.7\n" + b"0" * 500),
    ("plan.jpg", b"\xff\xd8\xff\xe0" + bytes(2000)),
    ("plan.tif", b"II*\x00\xff\xff\xff\xff"),
    ("plan.webp", b"RIFF\xff\xff\xff\xffWEBPVP8 "),
    ("plan.bmp", b"BM" + b"\xff" * 60),
    ("other.audit", b"SQLite format 3\x00" + bytes(500)),
)


def test_a_file_that_is_not_what_it_says_is_one_line_and_leaves_nothing(server):
    for name, data in LIES:
        answer = add(server, data, name)
        assert 400 <= answer.status_code < 500, (name, answer.text)
        one_line(answer)
    assert server.client.get("/api/audit").json()["sheets"] == []
    assert server.desk.file.list_sources() == ()


def test_a_picture_named_as_a_pdf_is_taken_for_what_it_is(server, tmp_path):
    data = draw_sheet(tmp_path / "x.png").read_bytes()
    assert add(server, data, "plan.pdf").status_code == 201


def test_a_body_over_the_limit_is_cut_off_whether_it_says_so_or_not(server, monkeypatch):
    monkeypatch.setattr(acts, "Limits", lambda: Limits(file_bytes=50_000))
    picture = io.BytesIO()
    Image.effect_noise((400, 400), 50).save(picture, "PNG")
    data = picture.getvalue()
    assert len(data) > 60_000
    pieces = (data[at : at + 9000] for at in range(0, len(data), 9000))
    for body in (data, pieces):
        answer = add(server, body)
        assert answer.status_code == 413, answer.text
        assert one_line(answer)["code"] == "too-large"
    assert server.desk.file.list_sources() == ()


def raw(server, head, body=b"", *, breaks_off=False):
    """Send bytes that no client would send; return what came back."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=PATIENCE_S) as line:
        line.sendall(head.encode() + body)
        if breaks_off:
            line.shutdown(socket.SHUT_WR)
        return b"".join(iter(lambda: line.recv(65536), b""))


def test_a_body_shorter_than_it_says_adds_nothing(server):
    head = (
        f"POST /api/plans?name=a.png HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n"
        f"Authorization: Bearer {server.door.token}\r\nContent-Length: 99999\r\n\r\n"
    )
    said = raw(server, head, b"\x89PNG\r\n\x1a\n", breaks_off=True)
    assert b"Traceback" not in said
    assert server.client.get("/api/audit").json()["sheets"] == []


CLIMBS = (
    "/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2fapp.py", "/static/%2e%2e%2fapp.py",
    "/static//etc/passwd", "/static/%2fetc/passwd", "/static/js/..%5c..%5capp.py",
    "/static/leaflet/../../../../guard.py", "/static/leaflet/%2e%2e/%2e%2e/LICENSE",
    "/static/js/main.js/../../../app.py", "/static/%00", "/static/js", "/static/", "/static",
    "/api/../app.py", "//etc/passwd", "/api/sheets/../../etc/passwd", "/.git/config",
)  # fmt: skip


def coming_in(server):
    return f"Authorization: Bearer {server.door.token}\r\nConnection: close\r\n\r\n"


def test_no_address_climbs_out_of_what_is_served(server):
    for route in CLIMBS:
        head = f"GET {route} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n{coming_in(server)}"
        said = raw(server, head)
        answer = re.match(rb"HTTP/1.1 (\d+) ", said)
        assert answer, route
        assert 300 <= int(answer.group(1)) < 500, (route, said[:200])
        for inside in (b"Traceback", b"from __future__", b"root:"):
            assert inside not in said, route


HOSTS = (
    "GET /api/audit HTTP/1.1\r\n",
    "GET /api/audit HTTP/1.1\r\nHost: evil.example\r\nHost: 127.0.0.1:PORT\r\n",
    "GET http://evil.example/api/audit HTTP/1.1\r\nHost: evil.example\r\n",
    "GET /api/audit HTTP/1.1\r\nHost: 127.0.0.1:PORT@evil.example\r\n",
    "GET /api/audit HTTP/1.1\r\nHost: 127.0.0.1.evil.example:PORT\r\n",
)


def test_hosts_that_are_missing_doubled_or_disguised_are_refused(server):
    for head in HOSTS:
        sent = head.replace("PORT", str(server.port)) + coming_in(server)
        assert raw(server, sent).startswith(b"HTTP/1.1 400 "), head


TOKENS = ("x" * 30_000, "\u00e4\u00f6", "None", "null", "true", "*", "%00")


def test_no_odd_token_opens_anything(server):
    with httpx.Client(base_url=server.address, timeout=PATIENCE_S) as stranger:
        for token in TOKENS:
            for headers in (
                {"Authorization": b"Bearer " + token.encode()},
                {"Cookie": f"{server.door.cookie}=".encode() + token.encode()},
            ):
                assert stranger.get("/api/audit", headers=headers).status_code in {400, 401, 431}
            assert stranger.get("/", params={"token": token[:4000]}).status_code == 401


def test_a_cookie_of_another_port_opens_nothing(server):
    with server.bare(Cookie=f"audit_{server.port + 1}={server.door.token}") as stranger:
        assert stranger.get("/api/audit").status_code == 401


@pytest.mark.parametrize(
    "kind", ["text/html", "image/svg+xml", "application/x-www-form-urlencoded"]
)
def test_a_form_of_another_kind_is_no_action(loaded, kind):
    before = loaded.revision
    answer = loaded.client.post("/api/undo", content=b"revision=1", headers={"Content-Type": kind})
    assert answer.status_code == 422
    one_line(answer)
    assert loaded.revision == before


def test_deeply_nested_json_is_one_line(loaded):
    body = b'{"revision":' + b"[" * 100_000 + b"]" * 100_000 + b"}"
    answer = loaded.client.post(
        "/api/undo", content=body, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code in {400, 422}, answer.text[:300]
    one_line(answer)
