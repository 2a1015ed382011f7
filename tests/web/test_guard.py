"""Who may come in: DNS rebinding and cross-site posts, as OWASP describes them (from memory)."""

from __future__ import annotations

import httpx
import pytest

from audit.web.guard import POLICY

ROUTES = ("/", "/api/audit", "/openapi.json", "/static/js/main.js", "/api/sheets/1/tiles/0/0/0")


@pytest.mark.parametrize("route", ROUTES)
def test_nothing_is_reachable_without_the_token(server, route):
    with server.bare() as stranger:
        answer = stranger.get(route)
    assert answer.status_code == 401
    if route != "/":
        assert answer.json()["error"]["code"] == "no-token"


def test_a_wrong_token_opens_nothing(server):
    with server.bare(Authorization="Bearer wrong") as stranger:
        assert stranger.get("/api/audit").status_code == 401
        assert stranger.get("/", params={"token": "wrong"}).status_code == 401


def test_the_first_address_sets_a_strict_cookie_named_for_its_port_and_works_again(server):
    with server.bare() as browser:
        for _ in range(2):
            first = browser.get("/", params={"token": server.door.token})
            assert first.status_code == 200
        cookie = first.headers["set-cookie"]
        assert cookie.startswith(f"audit_{server.port}=")
        assert "SameSite=Strict" in cookie
        assert "HttpOnly" in cookie
        assert browser.get("/api/audit").status_code == 200


def test_the_token_in_the_address_opens_the_page_only(server):
    with server.bare() as stranger:
        answer = stranger.get("/api/audit", params={"token": server.door.token})
    assert answer.status_code == 401


@pytest.mark.parametrize(
    "host", ["plans.example", "127.0.0.1", "127.0.0.1:1", "localhost.example:80"]
)
def test_a_foreign_host_name_is_refused_even_with_the_token(server, host):
    answer = server.client.get("/api/audit", headers={"Host": host})
    assert answer.status_code == 400
    assert answer.json()["error"]["code"] == "foreign-host"


@pytest.mark.parametrize("origin", ["https://plans.example", "null", "http://127.0.0.1:1"])
def test_a_foreign_origin_is_refused_even_with_the_token(server, origin):
    answer = server.client.post("/api/undo", json={"revision": 1}, headers={"Origin": origin})
    assert answer.status_code == 403
    assert answer.json()["error"]["code"] == "foreign-origin"


def test_a_cross_site_post_without_origin_is_refused(server):
    headers = {"Sec-Fetch-Site": "cross-site"}
    assert server.client.post("/api/undo", json={"revision": 1}, headers=headers).status_code == 403


def test_the_own_origin_may_act(server):
    headers = {"Origin": server.address}
    answer = server.client.post("/api/undo", json={"revision": 1}, headers=headers)
    assert answer.status_code == 422  # there is nothing to undo: it got that far


def test_every_answer_carries_a_policy_without_inline_script_or_outside_hosts(server):
    for route in ("/", "/api/audit", "/static/js/main.js", "/nothing"):
        policy = server.client.get(route).headers["content-security-policy"]
        assert policy == POLICY
        assert "unsafe" not in policy
        assert "http" not in policy


def test_the_page_loads_nothing_from_outside(server):
    page = server.client.get("/").text
    assert "http://" not in page
    assert "https://" not in page
    assert "<script>" not in page


def test_a_script_may_come_with_the_token_as_bearer(server):
    bearer = {"Authorization": f"Bearer {server.door.token}"}
    answer = httpx.get(f"{server.address}/api/audit", headers=bearer, timeout=60)
    assert answer.status_code == 200
