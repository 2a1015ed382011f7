"""Views, paper, known sizes, settings, laid pieces, counts: HTTP calls on the drawn sheet."""

from __future__ import annotations

import math

import pytest

from tests.web.test_acts import BOX, place, row_of
from tests.web.test_sums import put, undo


def sheet(server):
    return server.client.get("/api/sheets/1").json()


def lay(server, **body):
    answer = server.client.post("/api/sheets/1/piece", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def edges(laid):
    return {edge["side"]: edge for edge in laid["edges"]}


def test_a_piece_of_the_drawn_size_is_flush_at_every_edge(loaded):
    """The box is drawn 600 × 400 px at 200 dpi: 3 × 2 in between the middles of its lines."""
    laid = lay(loaded, size="3 x 2", centre=[400, 300])
    assert laid["size"] == "3 x 2 in"
    assert [edge["state"] for edge in laid["edges"]] == ["flush"] * 4
    for edge in laid["edges"]:
        assert abs(edge["over"]) <= edge["uncertainty"] < 0.05


def test_overhang_is_told_at_each_edge_with_its_side(loaded):
    """Laid 10 px to the right and 1/8 in too high: worked by hand from the drawn corners."""
    laid = edges(lay(loaded, size="3 x 2 1/8", centre=[410, 300]))
    assert laid["right"]["over"] == pytest.approx(10 / 200, abs=0.01)
    assert laid["left"]["over"] == pytest.approx(-10 / 200, abs=0.01)
    assert laid["top"]["over"] == pytest.approx(1 / 16, abs=0.01)
    assert laid["bottom"]["over"] == pytest.approx(1 / 16, abs=0.01)
    assert laid["top"]["says"].startswith("1/16 over ±")
    assert laid["left"]["state"] == "short"


def test_a_turned_piece_keeps_its_sides_as_seen(loaded):
    laid = lay(loaded, size="2 x 3", centre=[400, 300], angle=90)
    assert [edge["state"] for edge in laid["edges"]] == ["flush"] * 4
    xs, ys = zip(*laid["outline"], strict=True)
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((600, 400), abs=3)
    skew = lay(loaded, size="3 x 2", centre=[400, 300], angle=2)
    a, b = skew["outline"][:2]
    assert math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) == pytest.approx(2, abs=0.1)


def test_a_disc_is_laid_on_the_drawn_circle(loaded):
    """Drawn with radius 100 px: Ø 1 in at 200 dpi."""
    laid = lay(loaded, shape="circle", size="Ø 1", centre=[950, 300])
    assert [edge["state"] for edge in laid["edges"]] == ["flush"] * 4
    large = edges(lay(loaded, shape="circle", size="1 1/8", centre=[950, 300]))
    for edge in large.values():
        assert edge["over"] == pytest.approx(1 / 16, abs=0.01)


@pytest.mark.parametrize("size", ["", "3", "3 x", "3 x 2 x 1", "-1 x 2", "90° x 2", "x x x"])
def test_what_is_no_size_of_a_piece_is_refused(loaded, size):
    body = {"size": size, "centre": [400, 300]}
    assert loaded.client.post("/api/sheets/1/piece", json=body).status_code == 422


def test_without_a_scale_no_piece_is_laid(loaded):
    gone = loaded.client.delete("/api/known-sizes/0", params={"revision": loaded.revision})
    assert gone.status_code == 200
    answer = loaded.client.post(
        "/api/sheets/1/piece", json={"size": "3 in x 2 in", "centre": [400, 300]}
    )
    assert answer.status_code == 422
    assert "no scale" in answer.json()["error"]["problem"]


def test_a_piece_is_kept_and_taken_away(loaded):
    body = {"size": "3 x 2", "centre": [400, 300], "angle": 5}
    assert put(loaded, "/api/sheets/1/pieces", name="first cut", **body).status_code == 200
    (piece,) = sheet(loaded)["pieces"]
    assert (piece["name"], piece["size"], len(piece["outline"])) == ("first cut", "3 x 2 in", 4)
    undo(loaded)
    assert sheet(loaded)["pieces"] == []
    undo(loaded, "redo")
    params = {"name": "first cut", "revision": loaded.revision}
    assert loaded.client.delete("/api/pieces", params=params).status_code == 200
    assert sheet(loaded)["pieces"] == []


def test_a_count_is_kept_as_a_note(loaded):
    body = {"box": [840, 190, 1060, 410], "places": [[950, 300]], "printed": 2}
    assert put(loaded, "/api/sheets/1/counts", name="holes", **body).status_code == 200
    (count,) = sheet(loaded)["drawn_counts"]
    assert count["says"] == "1 seen, 1 fewer than the 2 printed"
    (note,) = [r for r in sheet(loaded)["rows"] if r["code"] == "P107"]
    assert note["severity"] == "note"
    undo(loaded)
    assert sheet(loaded)["drawn_counts"] == []


def test_a_second_known_size_has_a_residual_and_can_be_put_right(loaded):
    body = {"revision": loaded.revision, "sheet": 1, "points": BOX, "length": "3 1/4"}
    assert loaded.client.post("/api/known-sizes", json=body).status_code == 201
    first, second = sheet(loaded)["known_sizes"]
    assert second["fits"] is False or first["fits"] is False
    assert "1/4 shorter" in second["residual"]
    assert put(loaded, "/api/known-sizes/1", length="3").status_code == 200
    good = sheet(loaded)["known_sizes"][1]
    assert (good["length"], good["fits"]) == ("3 in", True)
    assert good["residual"].startswith("fits the others ±")
    undo(loaded)
    assert sheet(loaded)["known_sizes"][1]["length"] == "3 1/4 in"
    assert put(loaded, "/api/known-sizes/7", length="3").status_code == 422


def test_four_corners_make_the_sheet_flat(loaded):
    corners = [[100, 100], [700, 100], [700, 500], [100, 500]]
    done = put(loaded, "/api/sheets/1/paper", corners=corners, width="3 in", height="2 in")
    assert done.status_code == 200, done.text
    assert sheet(loaded)["paper_by_hand"]
    key = place(loaded, [[850, 300], [1050, 300]], kind="diameter", text="Ø 1")["key"]
    assert row_of(loaded, key)["scaled"]["value"] == pytest.approx(1.0, abs=0.03)
    crossed = [corners[0], corners[2], corners[1], corners[3]]
    bad = put(loaded, "/api/sheets/1/paper", corners=crossed, width="3", height="2")
    assert bad.status_code == 422
    undo(loaded)
    undo(loaded)
    assert not sheet(loaded)["paper_by_hand"]


def test_a_view_is_renamed_split_joined_and_set_not_to_scale(loaded):
    (whole,) = sheet(loaded)["views"]
    number = int(place(loaded, text="2 7/8")["key"][1:])
    made = loaded.client.post(
        "/api/views",
        json={"revision": loaded.revision, "sheet": 1, "box": [60, 60, 760, 560], "title": "plate"},
    )
    assert made.status_code == 201, made.text
    views = {v["name"]: v for v in sheet(loaded)["views"]}
    assert views["plate"]["dimensions"] == 1
    plate = views["plate"]["number"]
    assert put(loaded, f"/api/views/{plate}", kind="not to scale").status_code == 200
    assert row_of(loaded, f"d{number}")["verdict"] == "not-scaled"
    undo(loaded)
    assert row_of(loaded, f"d{number}")["verdict"] == "disagrees"
    joined = loaded.client.post(
        f"/api/views/{plate}/join", json={"revision": loaded.revision, "into": whole["number"]}
    )
    assert joined.status_code == 200, joined.text
    assert len(sheet(loaded)["views"]) == 1
    assert put(loaded, f"/api/views/{plate}", title="x").status_code == 422
    assert put(loaded, f"/api/views/{whole['number']}", box=[1, 1, 2, 2]).status_code == 422


def test_a_dimension_goes_to_the_view_a_person_says(loaded):
    number = int(place(loaded, text="3")["key"][1:])
    box = [800, 100, 1100, 500]
    body = {"revision": loaded.revision, "sheet": 1, "box": box, "title": "ring"}
    assert loaded.client.post("/api/views", json=body).status_code == 201
    ring = next(v["number"] for v in sheet(loaded)["views"] if v["title"] == "ring")
    assert put(loaded, f"/api/dimensions/{number}/view", view=ring).status_code == 200
    assert row_of(loaded, f"d{number}")["view"] == "ring"
    wide = put(loaded, f"/api/views/{ring}/tolerance", tolerance="1/4")
    assert wide.status_code == 200
    assert next(v for v in sheet(loaded)["views"] if v["number"] == ring)["tolerance"] == "1/4 in"


def test_settings_change_one_side_and_leave_the_others(loaded):
    number = int(place(loaded, text="2 7/8")["key"][1:])
    assert put(loaded, "/api/settings", tolerance="1/4").status_code == 200
    assert row_of(loaded, f"d{number}")["verdict"] == "agrees"
    for body in ({"finest": "1/16"}, {"thickness": "3/4"}, {"angle_tolerance": "2°"}):
        assert put(loaded, "/api/settings", **body).status_code == 200
    seen = loaded.client.get("/api/audit").json()
    assert (seen["tolerance"], seen["finest"], seen["thickness"]) == ("1/4 in", "1/16", "3/4 in")
    assert seen["angle_tolerance"] == "2°"
    assert put(loaded, "/api/settings", name="marble lift").status_code == 200
    assert loaded.client.get("/api/audit").json()["name"] == "marble lift"
    assert put(loaded, "/api/settings", tolerance="1°").status_code == 422
    assert put(loaded, "/api/settings", drafting="hand", unit="in").status_code == 200


def test_what_looks_like_one_example_is_found_where_it_is(loaded):
    """The drawn ring is there once; its middle is (950, 300)."""
    answer = loaded.client.post("/api/sheets/1/alike", json={"box": [838, 188, 1062, 412]})
    assert answer.status_code == 200, answer.text
    (hit,) = answer.json()["hits"]
    assert hit["centre"] == pytest.approx((950, 300), abs=3)
    assert (answer.json()["printed"], answer.json()["printed_text"]) == (None, "")
    place(loaded, [[850, 300], [1050, 300]], kind="diameter", text="6X Ø 1")
    again = loaded.client.post("/api/sheets/1/alike", json={"box": [838, 188, 1062, 412]}).json()
    assert (again["printed"], again["printed_text"]) == (6, "6X Ø 1")
    empty = loaded.client.post("/api/sheets/1/alike", json={"box": [1100, 600, 1180, 680]})
    assert empty.status_code == 422
    outside = loaded.client.post("/api/sheets/1/alike", json={"box": [-500, 0, -100, 100]})
    assert outside.status_code == 422


def test_a_fold_between_two_ends_takes_the_size_out_until_its_step_is_said(loaded):
    """The box is 3 in wide; a fold runs down between its left and right side."""
    key = place(loaded, BOX, text="3")["key"]
    assert row_of(loaded, key)["verdict"] == "agrees"
    body = {"revision": loaded.revision, "points": [[400, 20], [402, 580]]}
    marked = loaded.client.post("/api/sheets/1/folds", json=body)
    assert marked.status_code == 201, marked.text
    row = row_of(loaded, key)
    assert (row["verdict"], row["scaled"]) == ("not-scaled", None)
    assert "across a fold" in row["why"]
    (fold,) = sheet(loaded)["folds"]
    assert (fold["step"], fold["across"]) == ("", 1)
    assert "not known" in fold["says"]
    assert fold["a"][1] == 0 or fold["b"][1] == 0  # runs from edge to edge
    assert any(r["code"] == "S111" for r in sheet(loaded)["rows"])
    assert put(loaded, "/api/sheets/1/folds/0", step="1/16 in").status_code == 200
    row = row_of(loaded, key)
    assert row["verdict"] != "not-scaled"
    assert row["scaled"]["uncertainty"] >= 2 / 16 / math.sqrt(3)  # a limit, taken as rectangular
    gone = loaded.client.delete("/api/sheets/1/folds/0", params={"revision": loaded.revision})
    assert gone.status_code == 200
    assert row_of(loaded, key)["scaled"]["uncertainty"] < 0.05
    undo(loaded)
    assert sheet(loaded)["folds"][0]["step"] == "1/16 in"


def test_a_fold_clicked_just_beyond_the_edge_is_taken_to_it(loaded):
    body = {"revision": loaded.revision, "points": [[400, -2.5], [402, 580]], "step": "1 mm"}
    assert loaded.client.post("/api/sheets/1/folds", json=body).status_code == 201
    assert sheet(loaded)["folds"][0]["step"] == "1 mm"


def test_a_fold_marked_again_is_the_same_fold_and_keeps_its_step(loaded):
    body = {"revision": loaded.revision, "points": [[400, 0], [402, 580]], "step": "1 mm"}
    assert loaded.client.post("/api/sheets/1/folds", json=body).status_code == 201
    again = {"revision": loaded.revision, "points": [[402.2, 580], [400, 0.3]]}
    assert loaded.client.post("/api/sheets/1/folds", json=again).status_code == 201
    assert [fold["step"] for fold in sheet(loaded)["folds"]] == ["1 mm"]


@pytest.mark.parametrize(
    "bad",
    [
        {"points": [[5, 5], [5, 5]]},
        {"points": [[5, -900], [5, 5]]},
        {"step": "30°"},
        {"step": "-1 mm"},
        {"step": "long"},
    ],
)
def test_what_is_no_fold_is_refused(loaded, bad):
    body = {"revision": loaded.revision, "points": [[400, 20], [402, 580]], **bad}
    assert loaded.client.post("/api/sheets/1/folds", json=body).status_code == 422
    assert put(loaded, "/api/sheets/1/folds/3", step="1 mm").status_code == 422


def test_corners_on_the_page_go_the_way_of_the_command_line(loaded):
    """The sides of the drawn box are followed, so lens and what is left are told with it."""
    corners = [[100, 100], [700, 100], [700, 500], [100, 500]]
    done = put(loaded, "/api/sheets/1/paper", corners=corners, width="3 in", height="2 in")
    assert "Along the sides" in done.json()["says"]
    flatness = sheet(loaded)["flatness"]
    assert "the sides of the given rectangle" in flatness["says"]
    assert len(flatness["arrows"]) > 40


def test_a_known_size_across_a_fold_measures_it_and_is_no_misfit(loaded):
    """The box is 3 in wide; the known size across the fold says 1/4 in more."""
    body = {"revision": loaded.revision, "sheet": 1, "points": BOX, "length": "3 1/4"}
    assert loaded.client.post("/api/known-sizes", json=body).status_code == 201
    assert False in [k["fits"] for k in sheet(loaded)["known_sizes"]]
    marked = {"revision": loaded.revision, "points": [[400, 20], [402, 580]]}
    assert loaded.client.post("/api/sheets/1/folds", json=marked).status_code == 201
    across = sheet(loaded)["known_sizes"][-1]
    assert (across["across_fold"], across["fits"], across["residual"]) == (True, None, "")
