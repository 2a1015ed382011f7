"""A phone on the local network: what it reaches, and all that it does not. Two real sockets.

The QR symbol is read back by OpenCV's detector, which knows nothing of the library that drew it.
"""

from __future__ import annotations

import contextlib
import functools
import io
import re
import socket

import cv2
import httpx
import numpy as np
import pytest
from PIL import Image

from audit.errors import BadUsage
from audit.store import create_audit
from audit.web import lan_app
from audit.web.desk import Desk
from audit.web.lan import CODE_LASTS_S, Phone, draw_code, find_address, is_near, write_code
from audit.web.serving import listen, listening_nearby
from tests.web.conftest import PATIENCE_S, draw_sheet, running

get = functools.partial(httpx.get, timeout=PATIENCE_S)
send = functools.partial(httpx.post, timeout=PATIENCE_S)
OTHER = "127.0.0.2"  # another address of this machine stands for the network


@pytest.fixture
def near(tmp_path, monkeypatch, still, cache):
    """The listener for phones beside the page's own, as `serve` puts them together."""
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    desk = Desk(create_audit(tmp_path / "job.audit", name="job"))
    try:
        with listening_nearby(desk, OTHER) as phone, running(desk, phone) as page:
            yield page, phone
    finally:
        desk.close()


def a_photo(kind="JPEG"):
    picture = Image.effect_noise((900, 700), 40).convert("L")
    out = io.BytesIO()
    picture.save(out, kind)
    return out.getvalue()


def bring(phone, data, **more):
    return send(f"{phone.url}photo", content=data, **more)


def test_a_photograph_comes_straight_into_the_open_audit(near):
    page, phone = near
    with httpx.Client(timeout=PATIENCE_S) as browser:
        shown = browser.get(phone.url)
        assert shown.status_code == 200
        assert "plain HTTP" in shown.text
        for name in ("phone.js", "phone.css"):
            assert browser.get(f"{phone.url}{name}").status_code == 200
        assert not browser.cookies
    answer = bring(phone, a_photo())
    assert (answer.status_code, answer.json()) == (201, {"name": "photo 1.jpg", "sheets": [1]})
    assert bring(phone, a_photo("PNG")).json()["name"] == "photo 1.png"
    sheets = page.client.get("/api/audit").json()["sheets"]
    assert [sheet["name"] for sheet in sheets] == ["photo 1.jpg", "photo 1.png"]
    assert page.client.get("/api/phone").json()["photos"] == 2


@pytest.mark.parametrize(
    "route",
    ["", "api/audit", "openapi.json", "static/js/main.js", "photo", "phone.js", "api/phone"],
)
def test_nothing_is_reachable_there_without_the_code(near, route):
    _, phone = near
    assert get(f"http://{phone.host}/{route}").status_code == 401
    assert send(f"http://{phone.host}/{route}").status_code == 401


@pytest.mark.parametrize(
    "route",
    ["api/audit", "openapi.json", "static/js/main.js", "../api/audit", "%2e%2e/api/audit", "/photo",
     "phone.html", "..%2f..%2fguard.py", "phone.js/../../../guard.py", "photo/1", "index.html"],
)  # fmt: skip
def test_the_code_reaches_the_phones_page_and_nothing_else(near, route):
    _, phone = near
    sent = f"{phone.url}{route}".removeprefix(f"http://{phone.host}")
    with speaking(phone) as line:  # httpx would tidy it up
        line.sendall(
            f"GET {sent} HTTP/1.1\r\nHost: {phone.host}\r\nConnection: close\r\n\r\n".encode()
        )
        said = b"".join(iter(lambda: line.recv(65536), b""))
    assert re.match(rb"HTTP/1.1 (404|401) ", said), said[:200]
    assert b"Traceback" not in said


def test_the_pages_token_and_cookie_are_worth_nothing_there(near):
    page, phone = near
    token = page.door.token
    base = f"http://{phone.host}"
    bearer = {"Authorization": f"Bearer {token}"}
    cookies = {page.door.cookie: token, f"audit_{phone.host.split(':')[1]}": token}
    for route in ("/", f"/?token={token}", "/api/audit", f"/{token}/", f"/{token}/photo"):
        for more in ({"headers": bearer}, {"cookies": cookies}):
            with httpx.Client(base_url=base, timeout=PATIENCE_S, **more) as stranger:
                assert stranger.get(route).status_code == 401
                assert stranger.post(route, content=a_photo()).status_code == 401
    assert page.client.get("/api/audit").json()["sheets"] == []


def test_the_phones_code_opens_nothing_of_the_page(near):
    page, phone = near
    code = phone.url.rsplit("/", 2)[1]
    for more in ({"Authorization": f"Bearer {code}"}, {"Cookie": f"{page.door.cookie}={code}"}):
        with page.bare(**more) as stranger:
            for route in ("/", f"/?token={code}", "/api/audit", f"/{code}/", f"/{code}/photo"):
                assert stranger.get(route).status_code == 401


def test_the_page_is_not_served_under_the_networks_address(near):
    page, phone = near
    answer = page.client.get("/api/audit", headers={"Host": phone.host})
    assert answer.json()["error"]["code"] == "foreign-host"
    with pytest.raises(httpx.ConnectError):
        get(f"http://{OTHER}:{page.port}/")


@pytest.mark.parametrize(
    ("headers", "code"),
    [
        ({"Host": "plans.example"}, "foreign-host"),
        ({"Host": "127.0.0.2"}, "foreign-host"),
        ({"Origin": "https://plans.example"}, "foreign-origin"),
        ({"Origin": "null"}, "foreign-origin"),
        ({"Sec-Fetch-Site": "cross-site"}, "foreign-origin"),
    ],
)
def test_foreign_names_and_sites_are_refused_even_with_the_code(near, headers, code):
    page, phone = near
    answer = bring(phone, a_photo(), headers=headers)
    assert answer.json()["error"]["code"] == code
    assert page.client.get("/api/audit").json()["sheets"] == []


def test_a_new_code_ends_the_old_one_and_taking_it_away_ends_all(near):
    page, phone = near
    old = phone.url
    made = page.client.post("/api/phone").json()
    assert made["url"] not in {old, None}
    assert 595 < made["seconds_left"] <= 600
    assert get(old).status_code == 410
    assert "run out" in get(old).text
    assert send(f"{old}photo", content=a_photo()).json()["error"]["code"] == "run-out"
    assert get(made["url"]).status_code == 200
    gone = page.client.delete("/api/phone").json()
    assert (gone["url"], gone["code"]) == (None, [])
    assert get(made["url"]).status_code == 410


def test_a_code_lasts_ten_minutes():
    now = [1000.0]
    phone = Phone(OTHER, 1, clock=lambda: now[0])
    assert phone.url is None
    phone.renew()
    code = phone.url.rsplit("/", 2)[1]
    now[0] += CODE_LASTS_S - 1
    assert phone.accepts(code)
    now[0] += 2
    assert not phone.accepts(code)
    assert phone.knew(code)
    assert phone.url is None
    assert not phone.accepts("")
    assert not phone.knew("")
    assert CODE_LASTS_S == 600


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "wrong-kind"),
        (b"%PDF-1.7 a plan that came as a photograph", "wrong-kind"),
        (b"<!doctype html><script>alert(1)</script>", "wrong-kind"),
        (b"SQLite format 3\x00" + bytes(100), "wrong-kind"),
        (b"\xff\xd8\xff\xe0" + bytes(500), "damaged"),
        (b"\x89PNG\r\n\x1a\n cut off", "damaged"),
    ],
)
def test_what_is_no_photograph_is_refused_in_one_line(near, data, code):
    page, phone = near
    answer = bring(phone, data)
    assert 400 <= answer.status_code < 500
    error = answer.json()["error"]
    assert error["code"] == code
    assert "\n" not in error["problem"] + error["advice"]
    assert page.client.get("/api/audit").json()["sheets"] == []


def test_too_large_a_photograph_is_refused_whether_it_says_so_or_not(near, monkeypatch):
    _, phone = near
    monkeypatch.setattr(lan_app, "PHOTO_BYTES", 20_000)
    photo = a_photo()
    assert len(photo) > 20_000
    honest = bring(phone, photo)
    silent = bring(phone, (photo[n : n + 5000] for n in range(0, len(photo), 5000)))
    for answer in (honest, silent):
        assert answer.status_code == 413, answer.text
        assert answer.json()["error"]["code"] == "too-large"
    with speaking(phone) as line:
        line.sendall(post(phone, 10**12) + photo[:1000])
        assert line.recv(65536).startswith(b"HTTP/1.1 413 ")


@contextlib.contextmanager
def speaking(phone):
    """A bare line, for what a well-behaved client would not send."""
    host, port = phone.host.split(":")
    with socket.create_connection((host, int(port)), timeout=PATIENCE_S) as line:
        yield line


def post(phone, length, more=""):
    path = f"{phone.url}photo".removeprefix(f"http://{phone.host}")
    head = f"POST {path} HTTP/1.1\r\nHost: {phone.host}\r\nContent-Length: {length}\r\n"
    return f"{head}{more}\r\n".encode()


def begin(line, phone, photo):
    """Send the head, and the first bytes once the server says that it is taking the picture."""
    line.sendall(post(phone, len(photo), "Expect: 100-continue\r\n"))
    assert line.recv(65536).startswith(b"HTTP/1.1 100 ")
    line.sendall(photo[:1000])


def test_one_photograph_at_a_time(near):
    _, phone = near
    photo = a_photo()
    with speaking(phone) as slow:
        begin(slow, phone, photo)
        assert bring(phone, photo).json()["error"]["code"] == "busy"
        slow.sendall(photo[1000:])
        assert slow.recv(65536).startswith(b"HTTP/1.1 201 ")
    assert bring(phone, a_photo()).status_code == 201


def test_a_photograph_on_its_way_when_the_code_ends_stays_out(near):
    page, phone = near
    photo = a_photo()
    with speaking(phone) as line:
        begin(line, phone, photo)
        page.client.delete("/api/phone")
        line.sendall(photo[1000:])
        assert line.recv(65536).startswith(b"HTTP/1.1 410 ")
    assert page.client.get("/api/audit").json()["sheets"] == []


def test_a_line_that_breaks_off_frees_the_way_for_the_next(near):
    _, phone = near
    with speaking(phone) as line:
        begin(line, phone, a_photo())
    for _ in range(600):  # until the server has noticed
        answer = bring(phone, a_photo())
        if answer.status_code != 409:
            break
    assert answer.status_code == 201, answer.text


def test_without_lan_there_is_no_code(server):
    assert server.client.get("/api/phone").json()["listens"] is False
    for call in (server.client.post, server.client.delete):
        error = call("/api/phone").json()["error"]
        assert error["code"] == "bad-usage"
        assert "--lan" in error["advice"]


def test_every_answer_there_carries_the_policy(near):
    _, phone = near
    for route in (phone.url, f"{phone.url}phone.js", f"http://{phone.host}/"):
        headers = get(route).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["cache-control"] == "no-store"
        assert headers["referrer-policy"] == "no-referrer"


def drawn(rows):
    dark = np.array([[int(c) for c in row] for row in rows], np.uint8)
    return np.kron(255 * (1 - dark), np.ones((8, 8), np.uint8))


def test_the_symbol_says_the_address_to_another_reader():
    url = "http://192.168.178.123:45678/abcdefghijkl-_mnopqrstuv/"
    said, _, _ = cv2.QRCodeDetector().detectAndDecode(drawn(draw_code(url)))
    assert said == url


def test_the_terminals_symbol_is_the_same_one():
    url = "http://192.168.178.123:45678/abcdefghijkl-_mnopqrstuv/"
    plain = re.sub(r"\x1b\[[0-9;]*m", "", write_code(url))
    halves = {"█": "00", "▀": "01", "▄": "10", " ": "11"}
    rows = []
    for line in plain.splitlines():
        rows += ["".join(halves[c][0] for c in line), "".join(halves[c][1] for c in line)]
    assert tuple(rows[: len(draw_code(url))]) == draw_code(url)


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        ("8.8.8.8", "from outside"),
        ("0.0.0.0", "no single address"),
        ("224.0.0.1", "no single address"),
        ("my-machine", "no address"),
        ("::1", "no address"),
    ],
)
def test_only_an_address_of_the_local_network_is_listened_on(wanted, says):
    with pytest.raises(BadUsage, match=says):
        find_address(wanted)


def test_who_comes_before_the_server_runs_waits_and_is_not_sent_away():
    with listen(0) as listener:
        socket.create_connection(listener.getsockname(), timeout=PATIENCE_S).close()


def test_an_address_of_another_machine_is_one_line():
    with pytest.raises(BadUsage, match="not an address of this machine"):
        listen(0, "10.254.254.1")


def test_near_and_far_addresses():
    """RFC 1918, 3927 and 6598 ranges; the far ones are documentation-free public addresses."""
    near = ("10.1.2.3", "172.16.0.1", "192.168.0.9", "169.254.1.1", "100.64.1.1", "127.0.0.1")
    far = ("8.8.8.8", "172.32.0.1", "100.128.0.1", "193.168.0.1", "")
    assert all(is_near(host) for host in near)
    assert not any(is_near(host) for host in far)


def test_the_phones_page_writes_text_only_and_calls_its_own_server_only():
    for path in lan_app.PAGES.iterdir():
        text = path.read_text("utf-8")
        assert not re.search(r"innerHTML|outerHTML|document\.write|eval\(|https?://", text)
    assert re.findall(r"fetch\('([^']*)'", (lan_app.PAGES / "phone.js").read_text()) == ["photo"]


def test_a_sheet_drawn_by_the_tests_can_be_photographed_too(near, tmp_path):
    page, phone = near
    answer = bring(phone, draw_sheet(tmp_path / "x.png").read_bytes())
    assert answer.status_code == 201, answer.text
    assert page.client.get("/api/sheets/1").json()["width"] == 1200
