"""The one shape of an error, route by route: ``{"error": {"code", "problem", "advice"}}``."""

from __future__ import annotations

import pytest

REFUSED = [
    ("GET", "/api/nothing", None, 404, "not-found"),
    ("GET", "/static/nothing.js", None, 404, "not-found"),
    ("GET", "/static/../app.py", None, 404, "not-found"),
    ("PATCH", "/api/audit", None, 405, "not-allowed"),
    ("GET", "/api/sheets/9", None, 422, "bad-place"),
    ("GET", "/api/sheets/x", None, 422, "bad-usage"),
    ("GET", "/api/sheets/1/tiles/1/0/0", None, 422, "bad-place"),
    ("GET", "/api/sheets/1/tiles/0/99/0", None, 422, "bad-place"),
    ("GET", "/api/sheets/1/tiles/0/-1/0", None, 422, "bad-place"),
    ("GET", "/api/sheets/1/tiles/-99/0/0", None, 422, "bad-place"),
    ("GET", "/api/sheets/1/snap?x=nan&y=1", None, 422, "bad-usage"),
    ("GET", "/api/sheets/1/snap?x=-900&y=1", None, 422, "bad-place"),
    ("GET", "/api/sheets/1/crop?x0=1&y0=1&x1=1&y1=9", None, 422, "bad-place"),
    ("GET", "/api/sheets/1/crop?x0=1e9&y0=1&x1=1e9&y1=9", None, 422, "bad-place"),
    ("POST", "/api/undo", {}, 422, "bad-usage"),
    ("POST", "/api/undo", {"revision": 1}, 409, "stale-revision"),
    ("POST", "/api/redo", {"revision": -1}, 422, "bad-usage"),
    (
        "POST",
        "/api/known-sizes",
        {"length": "soon", "points": [[1, 1], [9, 9]]},
        422,
        "not-a-length",
    ),
    ("POST", "/api/known-sizes", {"length": "0 in", "points": [[1, 1], [9, 9]]}, 422, "bad-usage"),
    ("POST", "/api/known-sizes", {"length": "4 in", "points": [[1, 1], [1, 1]]}, 422, "bad-place"),
    ("POST", "/api/known-sizes", {"length": "4 in", "points": [[-9, 1], [1, 1]]}, 422, "bad-place"),
    ("DELETE", "/api/known-sizes/7?revision=REVISION", None, 422, "bad-usage"),
    ("POST", "/api/dimensions", {"kind": "distance", "points": [[1, 1]]}, 422, "bad-usage"),
    ("POST", "/api/dimensions", {"kind": "angle", "points": [[1, 1], [9, 9]]}, 422, "bad-usage"),
    ("POST", "/api/dimensions", {"kind": "thread", "points": [[1, 1], [9, 9]]}, 422, "bad-usage"),
    ("POST", "/api/dimensions", {"kind": "wish", "points": [[1, 1], [9, 9]]}, 422, "bad-usage"),
    ("PUT", "/api/dimensions/99/reading", {"text": "1"}, 422, "bad-usage"),
    ("PUT", "/api/dimensions/99/decision", {"basis": "printed"}, 422, "bad-usage"),
    ("PUT", "/api/dimensions/99/decision", {"basis": "guess"}, 422, "bad-usage"),
    ("PUT", "/api/dimensions/99/standing", {"standing": "not-critical"}, 422, "bad-usage"),
    ("PUT", "/api/dimensions/99/tolerance", {"tolerance": "1/64 in"}, 422, "bad-usage"),
    ("PUT", "/api/dimensions/99/points", {"points": [[1, 1], [9, 9]]}, 422, "bad-usage"),
    ("DELETE", "/api/dimensions/99?revision=REVISION", None, 422, "bad-usage"),
    ("DELETE", "/api/dimensions/99/decision?revision=REVISION", None, 422, "bad-usage"),
    ("PUT", "/api/texts/aside", {"box": [1, 1, 9, 9], "text": "a", "why": " "}, 422, "bad-usage"),
    ("PUT", "/api/settings", {"unit": "furlong"}, 422, "bad-usage"),
    ("PUT", "/api/settings", {"tolerance": "5°"}, 422, "bad-usage"),
    ("POST", "/api/plans?name=a.pdf", b"", 422, "not-readable"),
    ("POST", "/api/plans?name=a.pdf", b"no plan at all", 422, "wrong-kind"),
    ("POST", "/api/plans?name=a.png", b"\x89PNG\r\n\x1a\n cut off", 422, "damaged"),
    ("POST", "/api/plans", b"%PDF", 422, "bad-usage"),
]


def ask(server, method, route, body):
    revision = server.revision
    route = route.replace("REVISION", str(revision))
    if isinstance(body, dict):
        body = {
            "revision": revision,
            **({"sheet": 1} if "points" in body or "box" in body else {}),
            **body,
        }
        if "/points" in route:
            del body["sheet"]
        if route in {"/api/undo"} and body == {"revision": revision}:
            del body["revision"]
        return server.client.request(method, route, json=body)
    return server.client.request(method, route, content=body)


def test_every_refusal_has_the_one_shape(loaded):
    """One server for all: every case leaves the audit as it was."""
    before = loaded.revision
    for method, route, body, status, code in REFUSED:
        answer = ask(loaded, method, route, body)
        where = f"{method} {route} {body!r}: {answer.text[:200]}"
        assert answer.status_code == status, where
        assert set(answer.json()) == {"error"}, where
        error = answer.json()["error"]
        assert set(error) == {"code", "problem", "advice"}, where
        assert error["code"] == code, where
        assert error["problem"], where
        assert "\n" not in error["problem"] + error["advice"], where
        assert "Traceback" not in answer.text, where
    assert loaded.revision == before


def test_a_fault_of_the_program_tells_no_stack_trace(loaded, monkeypatch):
    def fail(*_, **__):
        raise ZeroDivisionError("secret inner words")

    monkeypatch.setattr("audit.web.looks.show_overview", fail)
    answer = loaded.client.get("/api/audit")
    assert answer.status_code == 500
    assert answer.json()["error"]["code"] == "internal"
    assert "secret" not in answer.text


@pytest.mark.parametrize(
    "name", ["../../etc/passwd.png", "C:\\plans\\a.png", "..", "a" * 300 + ".png"]
)
def test_a_clients_path_names_no_file_here(server, tmp_path, name):
    from tests.web.conftest import draw_sheet

    data = draw_sheet(tmp_path / "x.png").read_bytes()
    answer = server.client.post("/api/plans", params={"name": name}, content=data)
    assert answer.status_code == 201, answer.text
    shown = server.client.get("/api/audit").json()["sheets"][0]["name"]
    assert "/" not in shown
    assert "\\" not in shown
    assert len(shown) <= 140
