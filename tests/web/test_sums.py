"""Sums by hand, links and parts, as HTTP calls."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from tests.web.test_acts import BOX, place, row_of


def put(server, route, **body):
    return server.client.put(route, json={"revision": server.revision, **body})


def listed(server, what):
    return server.client.get(f"/api/{what}").json()


def undo(server, way="undo"):
    answer = server.client.post(f"/api/{way}", json={"revision": server.revision})
    assert answer.status_code == 200, answer.text


def test_a_sum_is_typed_with_no_sheet_at_all(server):
    body = {"text": "3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/4"}
    asked = server.client.post("/api/sums", json=body).json()
    assert (asked["total"], asked["closes"], asked["gap"]) == ("10 1/4", True, "closes exactly")
    assert [leg["says"] for leg in asked["legs"]] == ["3 1/2", "2 1/4", "4 × 1 1/8"]
    open_one = server.client.post("/api/sums", json={"text": "3 1/2 + 2 1/4 = 5 7/8"}).json()
    assert (open_one["gap"], open_one["closes"]) == ("1/8 short", False)
    assert open_one["rounding"] == "rounding explains none of it"


@pytest.mark.parametrize(
    "text", ["", "=", "3 +", "3 + + 4", "1 = 2 = 3", "x", "0X 3", "1 + 45°", "#99 + 1", "3 1/0"]
)
def test_what_is_no_sum_is_refused_in_one_line(server, text):
    answer = server.client.post("/api/sums", json={"text": text})
    assert answer.status_code == 422, answer.text
    assert "\n" not in answer.json()["error"]["problem"]


def test_a_kept_sum_stands_in_the_list_the_findings_and_undo_takes_it_away(server):
    kept = put(server, "/api/chains", text="3 1/2 + 2 1/4 = 5 7/8", reason="base")
    assert kept.status_code == 200, kept.text
    (one,) = listed(server, "chains")["sums"]
    assert (one["name"], one["sum"]["gap"]) == ("sum 1", "1/8 short")
    result = server.client.get("/api/result.json").json()
    assert [f["code"] for f in result["findings"]] == ["C102"]
    undo(server)
    assert listed(server, "chains")["sums"] == []
    undo(server, "redo")
    assert listed(server, "chains")["sums"][0]["typed"] == "3 1/2 + 2 1/4 = 5 7/8"
    gone = server.client.delete(
        "/api/chains", params={"name": "sum 1", "revision": server.revision}
    )
    assert gone.status_code == 200
    assert listed(server, "chains")["sums"] == []


def test_a_typed_sum_stands_in_the_ledger_of_every_sheet(loaded):
    assert put(loaded, "/api/chains", text="3 1/2 + 2 1/4 = 5 7/8").status_code == 200
    (row,) = loaded.client.get("/api/sheets/1").json()["rows"]
    assert (row["code"], row["needs_you"], row["boxes"]) == ("C102", True, [])


def test_the_marked_up_pdf_tells_of_a_typed_sum(loaded):
    assert put(loaded, "/api/chains", text="3 1/2 + 2 1/4 = 5 7/8").status_code == 200
    pdf = loaded.client.get("/api/marked-up.pdf")
    assert pdf.status_code == 200
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf.content)).pages)
    assert "sum 1" in text


def test_picked_legs_meet_the_picked_overall_and_a_decision_against_it_is_told(loaded):
    whole = place(loaded, BOX, text="3")
    number = int(whole["key"][1:])
    legs = [{"text": "1 1/2", "count": 2}]
    body = {"legs": legs, "overall": {"dimension": number}}
    asked = loaded.client.post("/api/sums", json=body).json()
    assert (asked["sentence"], asked["closes"]) == ("2 × 1 1/2 = 3", True)
    assert asked["decided"] == ""
    assert put(loaded, "/api/chains", name="halves", **body).status_code == 200
    decided = put(loaded, f"/api/dimensions/{number}/decision", basis="another", value="3 1/8")
    assert decided.json()["says"].startswith("halves: with what was decided for “3” it is open")
    asked = loaded.client.post("/api/sums", json=body).json()
    assert asked["decided_closes"] is False
    assert asked["decided"] == "2 × 1 1/2 = 3, not 3 1/8: 1/8 short"
    codes = [f["code"] for f in loaded.client.get("/api/result.json").json()["findings"]]
    assert "C106" in codes


def test_two_dimensions_are_linked_judged_undone_and_kept_apart(loaded):
    first = int(place(loaded, BOX, text="3")["key"][1:])
    second = int(place(loaded, [[100, 690], [900, 690]], text="4")["key"][1:])
    done = put(loaded, "/api/links", first=first, second=second, reason="one plate")
    assert done.status_code == 200, done.text
    (link,) = listed(loaded, "links")["links"]
    assert (link["state"], link["agrees"]) == ("same", False)
    assert "3 in and 4 in are printed" in link["says"]
    codes = [r["code"] for r in loaded.client.get("/api/sheets/1").json()["rows"]]
    assert "C107" in codes
    undo(loaded)
    assert listed(loaded, "links")["links"] == []
    undo(loaded, "redo")
    apart = put(loaded, "/api/links", first=first, second=second, same=False)
    assert apart.status_code == 200
    assert [x["state"] for x in listed(loaded, "links")["links"]] == ["different"]
    codes = [r["code"] for r in loaded.client.get("/api/sheets/1").json()["rows"]]
    assert "C107" not in codes
    params = {"first": first, "second": second, "revision": loaded.revision}
    assert loaded.client.delete("/api/links", params=params).status_code == 200
    assert listed(loaded, "links")["links"] == []


def test_the_same_size_in_two_views_of_a_part_is_proposed_until_it_is_refused(loaded):
    first = int(place(loaded, BOX, text="3")["key"][1:])
    second = int(place(loaded, [[100, 690], [900, 690]], text="3")["key"][1:])
    box = {"sheet": 1, "box": [50, 640, 1000, 780], "title": "rule", "kind": "true"}
    body = {"revision": loaded.revision, **box}
    assert loaded.client.post("/api/views", json=body).status_code == 201
    views = [v["number"] for v in loaded.client.get("/api/sheets/1").json()["views"]]
    assert put(loaded, "/api/parts", name="plate", views=views).status_code == 200
    (link,) = listed(loaded, "links")["links"]
    assert (link["state"], link["agrees"]) == ("proposed", True)
    assert {link["first"]["dimension"], link["second"]["dimension"]} == {first, second}
    assert put(loaded, "/api/links", first=first, second=second, same=False).status_code == 200
    assert [x["state"] for x in listed(loaded, "links")["links"]] == ["different"]


def test_a_radius_and_a_length_are_never_one_feature(loaded):
    first = int(place(loaded, BOX, text="3")["key"][1:])
    second = place(loaded, [[951, 299], [1049, 301]], kind="radius", text="R 1/2")["key"]
    answer = put(loaded, "/api/links", first=first, second=int(second[1:]))
    assert answer.status_code == 422


def test_a_part_has_a_name_views_and_dimensions_and_names_its_rows(loaded):
    number = int(place(loaded, BOX, text="3")["key"][1:])
    view = loaded.client.get("/api/sheets/1").json()["views"][0]["number"]
    body = {"name": "side plate", "views": [view], "dimensions": [number], "nominal": "3/4"}
    assert put(loaded, "/api/parts", **body).status_code == 200
    (part,) = [p for p in listed(loaded, "parts")["parts"] if not p["proposed"]]
    assert (part["name"], part["views"], part["nominal"]) == ("side plate", [view], "3/4 in")
    assert row_of(loaded, f"d{number}")["view"].startswith("side plate")
    renamed = put(loaded, "/api/parts", **{**body, "name": "plate", "replaces": "side plate"})
    assert renamed.status_code == 200
    assert [p["name"] for p in listed(loaded, "parts")["parts"]] == ["plate"]
    undo(loaded)
    assert [p["name"] for p in listed(loaded, "parts")["parts"]] == ["side plate"]
    wrong = put(loaded, "/api/parts", name="x", views=[99])
    assert wrong.status_code == 422
