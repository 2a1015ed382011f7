"""What a person does through the page, as HTTP calls on a drawn sheet whose truth is known."""

from __future__ import annotations

import json
import threading

import httpx
import pytest

from audit.store import open_audit
from audit.web.acts import safe_name, safe_suffix
from audit.web.desk import Desk
from tests.web.conftest import running

BOX = [[100, 300], [700, 300]]  # clicks on the two sides of a box drawn 3 in wide


def place(server, points=BOX, kind="distance", **more):
    body = {"revision": server.revision, "sheet": 1, "kind": kind, "points": points, **more}
    answer = server.client.post("/api/dimensions", json=body)
    assert answer.status_code == 201, answer.text
    return answer.json()


def put(server, route, **body):
    answer = server.client.put(route, json={"revision": server.revision, **body})
    assert answer.status_code == 200, answer.text
    return answer.json()["row"]


def row_of(server, key):
    rows = server.client.get("/api/sheets/1").json()["rows"]
    return next((row for row in rows if row["key"] == key), None)


def test_two_clicks_off_the_lines_measure_between_the_lines(loaded):
    row = place(loaded, [[103, 297], [696, 306]], text="3")["row"]
    assert row["verdict"] == "agrees"
    assert row["scaled"]["value"] == pytest.approx(3.0, abs=0.01)
    assert abs(row["scaled"]["value"] - 3.0) <= row["scaled"]["uncertainty"]


def test_who_asks_why_is_told_the_tolerance_as_a_fraction_and_each_kind_of_end_once(loaded):
    evidence = place(loaded, text="3")["row"]["evidence"]
    assert "Tolerance: 1/64 in" in evidence
    assert "Stands on: an outline at each end" in evidence


def test_a_length_between_the_lines_of_a_printed_one_is_told_to_be_that_one(loaded):
    printed = place(loaded, text="3")["row"]["number"]
    beside = place(loaded, [[100, 420], [700, 421]])
    assert f"Between these lines 3 is printed (dimension {printed})" in beside["says"]
    assert place(loaded, [[100, 300], [100, 500]])["says"] == ""


def test_a_wrong_printed_size_disagrees_and_nothing_is_chosen(loaded):
    row = place(loaded, text="2 7/8")["row"]
    assert row["verdict"] == "disagrees"
    assert row["says"] == "1/8 short"
    assert row["preselected"] is None
    assert row["options"][0] == {"basis": "printed", "value": "2 7/8", "needs_reason": False}
    assert {"basis": "scaled", "value": "3", "needs_reason": True} in row["options"]


def test_where_print_and_drawing_agree_printed_stands_picked(loaded):
    assert place(loaded, text="3")["row"]["preselected"] == "printed"


def test_suspended_snapping_leaves_the_point_where_it_was_put(loaded):
    row = place(loaded, [[120.5, 300.25], [700, 300]], free=[0])["row"]
    assert row["ends"][0]["point"] == [120.5, 300.25]
    assert row["ends"][0]["kind"] == "free"
    assert row["ends"][1]["kind"] != "free"


def test_radius_and_diameter_of_the_drawn_circle(loaded):
    radius = place(loaded, [[951, 299], [1049, 301]], kind="radius", text="R 1/2")["row"]
    across = place(loaded, [[850, 300], [1050, 300]], kind="diameter", text="Ø 1")["row"]
    assert radius["scaled"]["value"] == pytest.approx(0.5, abs=0.01)
    assert across["scaled"]["value"] == pytest.approx(1.0, abs=0.01)


def test_a_right_angle_is_ninety_degrees(loaded):
    row = place(loaded, [[100, 100], [400, 100], [100, 300]], kind="angle", text="90°")["row"]
    assert row["scaled"]["value"] == pytest.approx(90.0, abs=0.6)


def test_placing_the_same_dimension_again_only_names_it(loaded):
    first = place(loaded, text="3")
    again = place(loaded, [[101, 301], [699, 301]])
    assert again["key"] == first["key"]
    assert again["revision"] == first["revision"]


def test_retyping_judges_anew_and_undo_and_redo_follow(loaded):
    key = place(loaded, text="2 7/8")["key"]
    number = int(key[1:])
    row = put(loaded, f"/api/dimensions/{number}/reading", text="3")
    assert (row["verdict"], row["printed"]["confirmed"]) == ("agrees", True)
    for route, verdict in (("undo", "disagrees"), ("redo", "agrees")):
        answer = loaded.client.post(f"/api/{route}", json={"revision": loaded.revision})
        assert answer.status_code == 200, answer.text
        assert row_of(loaded, key)["verdict"] == verdict


def test_nothing_printed_after_all(loaded):
    number = int(place(loaded, text="3")["key"][1:])
    row = put(loaded, f"/api/dimensions/{number}/reading", text=None)
    assert row["verdict"] == "not-printed"
    assert row["scaled"]["nearest"] == "3"


def test_a_scaled_value_needs_a_reason(loaded):
    number = int(place(loaded, text="2 7/8")["key"][1:])
    body = {"revision": loaded.revision, "basis": "scaled", "value": "3"}
    refused = loaded.client.put(f"/api/dimensions/{number}/decision", json=body)
    assert refused.status_code == 422
    assert "reason" in refused.json()["error"]["problem"]
    row = put(
        loaded, f"/api/dimensions/{number}/decision", basis="scaled", value="3", reason="fits"
    )
    assert row["decision"] == {"basis": "scaled", "value": "3", "reason": "fits", "hold": False}
    assert not row["needs_you"]


def test_a_value_that_was_not_offered_is_refused(loaded):
    number = int(place(loaded, text="2 7/8")["key"][1:])
    body = {"revision": loaded.revision, "basis": "scaled", "value": "7", "reason": "because"}
    assert loaded.client.put(f"/api/dimensions/{number}/decision", json=body).status_code == 422


def test_another_value_and_hold_and_withdraw(loaded):
    number = int(place(loaded, text="2 7/8")["key"][1:])
    route = f"/api/dimensions/{number}/decision"
    assert put(loaded, route, basis="another", value="2 15/16")["decision"]["value"] == "2 15/16"
    assert put(loaded, route, basis="hold")["decision"]["hold"] is True
    gone = loaded.client.delete(route, params={"revision": loaded.revision}).json()["row"]
    assert gone["decision"] is None


def test_moving_a_point_measures_anew(loaded):
    number = int(place(loaded, text="3")["key"][1:])
    row = put(loaded, f"/api/dimensions/{number}/points", points=[[100, 300], [660, 300]], free=[1])
    assert row["scaled"]["value"] == pytest.approx(2.8, abs=0.02)
    assert row["verdict"] == "disagrees"


def test_set_aside_and_judged_again(loaded):
    number = int(place(loaded, text="2 7/8")["key"][1:])
    route = f"/api/dimensions/{number}/standing"
    assert put(loaded, route, standing="not-critical")["verdict"] == "not-critical"
    assert put(loaded, route, standing="judged")["verdict"] == "disagrees"


def test_a_wide_tolerance_settles_it(loaded):
    number = int(place(loaded, text="2 7/8")["key"][1:])
    row = put(loaded, f"/api/dimensions/{number}/tolerance", tolerance="1/4")
    assert row["verdict"] == "agrees"
    assert row["tolerance"] == "1/4 in"


def test_without_the_known_size_nothing_is_scaled(loaded):
    key = place(loaded, text="3")["key"]
    gone = loaded.client.delete("/api/known-sizes/0", params={"revision": loaded.revision})
    assert gone.status_code == 200
    assert row_of(loaded, key)["verdict"] == "not-scaled"


def test_two_pages_do_not_overwrite_each_other(loaded):
    seen = loaded.revision
    place(loaded, text="3")
    late = loaded.client.post(
        "/api/dimensions",
        json={"revision": seen, "sheet": 1, "kind": "distance", "points": [[100, 100], [100, 500]]},
    )
    assert late.status_code == 409
    assert len(loaded.client.get("/api/sheets/1").json()["rows"]) >= 1


def test_what_was_confirmed_is_there_after_a_restart_and_can_be_undone(loaded):
    key = place(loaded, text="2 7/8")["key"]
    desk = Desk(open_audit(loaded.desk.file.path))
    try:
        with running(desk) as again:
            assert row_of(again, key)["verdict"] == "disagrees"
            undone = again.client.post("/api/undo", json={"revision": again.revision})
            assert undone.status_code == 200
            assert row_of(again, key) is None
    finally:
        desk.close()


def test_every_open_page_hears_of_a_new_revision(loaded):
    heard: list[int] = []
    listening = threading.Event()

    def listen() -> None:
        headers = {"Authorization": f"Bearer {loaded.door.token}"}
        with httpx.stream(
            "GET", f"{loaded.address}/api/events", headers=headers, timeout=60
        ) as stream:
            event = ""
            for line in stream.iter_lines():
                if line.startswith("event:"):
                    event = line.partition(":")[2].strip()
                    if event == "hello":
                        listening.set()
                elif line.startswith("data:") and event == "revision":
                    heard.append(json.loads(line.partition(":")[2])["revision"])
                    return

    thread = threading.Thread(target=listen, daemon=True)
    thread.start()
    assert listening.wait(60)
    done = place(loaded, text="3")
    thread.join(60)
    assert heard == [done["revision"]]


def test_the_same_plan_is_not_taken_in_twice(loaded, tmp_path):
    data = (tmp_path / "scan.png").read_bytes()
    answer = loaded.client.post("/api/plans", params={"name": "copy.png"}, content=data)
    assert answer.status_code == 422
    assert "already" in answer.json()["error"]["problem"]


def test_downloads_carry_the_audits_own_numbers(loaded):
    key = place(loaded, text="2 7/8")["key"]
    pdf = loaded.client.get("/api/marked-up.pdf")
    assert pdf.content.startswith(b"%PDF")
    assert 'filename="job-marked.pdf"' in pdf.headers["content-disposition"]
    assert "2 7/8" in loaded.client.get("/api/table.csv").text
    result = loaded.client.get("/api/result.json").json()
    assert result["version"] == 1
    assert result["sheets"][0]["dimensions"][0]["id"] == int(key[1:])


def test_a_hostile_callout_comes_back_as_plain_text(loaded):
    number = int(place(loaded, text="3")["key"][1:])
    hostile = "<img src=x onerror=alert(1)>"
    answer = loaded.client.put(
        f"/api/dimensions/{number}/reading", json={"revision": loaded.revision, "text": hostile}
    )
    assert answer.headers["content-type"].startswith("application/json")


@pytest.mark.parametrize(
    ("name", "label", "suffix"),
    [
        ("plan.PDF", "plan.PDF", ".pdf"),
        ("../../x.png", "x.png", ".png"),
        ("C:\\a\\b.tif", "b.tif", ".tif"),
        ("..", "plan", ""),
        ("a\x00b\n.png", "a b .png", ".png"),
        ("evil.p/d", "d", ""),
        ("x.verylongsuffix", "x.verylongsuffix", ""),
    ],
)
def test_client_names_become_labels(name, label, suffix):
    assert safe_name(name) == label
    assert safe_suffix(label) == suffix
