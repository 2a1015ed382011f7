"""The modes with controls of their own, with mouse and keyboard, in Chromium."""

from __future__ import annotations

import pytest

from audit.store import create_audit
from audit.web.desk import Desk
from tests.browser.conftest import (
    DESK_SIZE,
    TABLET_SIZE,
    click_map,
    entry,
    on_screen,
    opened,
    until,
    wait_prompt,
    wait_shown,
)
from tests.browser.test_access import grave_faults
from tests.web.conftest import running


def add(page, job, points, text="", kind="distance"):
    """Place a dimension over HTTP, and wait until the page has it."""
    body = {"revision": job.revision, "sheet": 1, "kind": kind, "points": points, "text": text}
    answer = job.client.post("/api/dimensions", json=body)
    assert answer.status_code == 201, answer.text
    wait_shown(page, job)
    page.wait_for_selector(f"tr[data-key='{answer.json()['key']}']")
    return answer.json()["key"]


def sheet(job):
    return job.client.get("/api/sheets/1").json()


def undo(page, job):
    revision = job.revision
    page.keyboard.press("u")
    until(lambda: job.revision > revision, page)
    wait_shown(page, job)


def test_a_chain_is_picked_in_the_list_with_legs_alike_and_its_overall(page, job):
    half = add(page, job, [[100, 100], [400, 100]], "1 1/2")
    whole = add(page, job, [[100, 300], [700, 300]], "3")
    page.keyboard.press("h")
    wait_prompt(page, "Click the sizes")
    page.locator(f"tr[data-key='{half}']").click()
    page.wait_for_selector("#strip .total:has-text('1')")
    page.keyboard.press("2")
    page.wait_for_selector("#strip .leg-box.alike")
    page.keyboard.press("=")
    wait_prompt(page, "they should come to")
    page.locator(f"tr[data-key='{whole}']").click()
    page.wait_for_selector("#strip .gap.agrees:has-text('closes exactly')")
    assert page.locator("#sheet .summed").count() == 2

    page.keyboard.press("Enter")
    page.wait_for_selector("#strip .chip:has-text('sum 1')")
    (kept,) = job.client.get("/api/chains").json()["sums"]
    assert kept["sum"]["sentence"] == "2 × 1 1/2 = 3"
    page.keyboard.press("Escape")
    page.wait_for_selector("tbody .title:has-text('Sum made by hand')")
    undo(page, job)
    assert job.client.get("/api/chains").json()["sums"] == []


def test_a_sum_that_stands_against_a_decision_says_so_at_once(page, job):
    half = add(page, job, [[100, 100], [400, 100]], "1 1/2")
    whole = add(page, job, [[100, 300], [700, 300]], "3")
    job.client.put(
        f"/api/dimensions/{whole[1:]}/decision",
        json={"revision": job.revision, "basis": "another", "value": "3 1/8"},
    )
    wait_shown(page, job)
    page.keyboard.press("h")
    field = page.locator("[data-focus='field-or type']")
    field.fill(f"2X #{half[1:]} = #{whole[1:]}")
    field.press("Enter")
    page.wait_for_selector("#strip .decided.disagrees:has-text('Stands against')")


def test_a_sum_is_typed_on_the_empty_page(chromium, tmp_path, monkeypatch, still, cache):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    desk = Desk(create_audit(tmp_path / "new.audit", name="new"))
    try:
        with running(desk) as run, opened(chromium, entry(run)) as page:
            page.wait_for_selector(".drop")
            page.locator(".sum-field").fill("3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/2")
            page.wait_for_selector(".sum-answer.disagrees:has-text('short')")
            page.locator(".sum-field").fill("3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/4")
            page.wait_for_selector(".sum-answer.agrees:has-text('closes exactly')")
            page.locator(".typed-sum button:has-text('Keep it')").click()
            page.wait_for_selector(".kept-line:has-text('sum 1')")
            assert len(run.client.get("/api/chains").json()["sums"]) == 1
            page.locator("#top button:text-is('Undo')").click()
            page.wait_for_selector(".kept-line", state="detached")
            page.locator("#top button:text-is('Redo')").click()
            page.wait_for_selector(".kept-line:has-text('sum 1')")
    finally:
        desk.close()


def test_two_dimensions_are_said_to_be_one_feature_and_taken_back(page, job):
    first = add(page, job, [[100, 300], [700, 300]], "3")
    second = add(page, job, [[100, 690], [900, 690]], "4")
    page.keyboard.press("e")
    wait_prompt(page, "Click a dimension")
    page.locator(f"tr[data-key='{first}']").click()
    wait_prompt(page, "the same as")
    page.locator(f"tr[data-key='{second}']").click()
    page.wait_for_selector("#strip .disagrees:has-text('Said to be one feature')")
    assert [x["state"] for x in job.client.get("/api/links").json()["links"]] == ["same"]
    page.locator("#strip button:has-text('Take back')").click()
    page.wait_for_selector("#strip:has-text('no two are linked')")
    assert job.client.get("/api/links").json()["links"] == []


def test_a_part_is_named_and_its_view_clicked_on_the_sheet(page, job):
    key = add(page, job, [[100, 300], [700, 300]], "3")
    page.keyboard.press("p")
    wait_prompt(page, "Name a part")
    page.locator("[data-focus='field-name']").fill("side plate")
    page.locator("[data-focus='field-name']").press("Escape")
    page.mouse.click(*on_screen(page, 500, 600))
    page.wait_for_selector(".view-box.picked")
    page.keyboard.press("Enter")
    page.wait_for_selector(f"tr[data-key='{key}'] .feature:has-text('side plate')")
    (part,) = job.client.get("/api/parts").json()["parts"]
    assert (part["name"], len(part["views"])) == ("side plate", 1)


def test_a_piece_is_laid_slid_turned_and_kept(page, job):
    page.keyboard.press("l")
    page.locator("[data-focus='field-size']").fill("3 x 2")
    page.locator("[data-focus='field-size']").press("Enter")
    page.mouse.click(*on_screen(page, 405, 300))
    page.wait_for_selector("#strip .edge:has-text('left'):has-text('short')")
    for _ in range(5):
        page.keyboard.press("ArrowLeft")  # 1 px of the sheet each
    page.wait_for_selector("#strip .edge:has-text('left'):has-text('flush')")
    page.keyboard.press(">")
    page.wait_for_selector(".knob[aria-valuenow='1']")
    page.keyboard.press("<")
    page.wait_for_selector(".knob[aria-valuenow='0']")
    page.mouse.move(*on_screen(page, 400, 380))
    page.mouse.down()
    page.mouse.move(*on_screen(page, 440, 380), steps=5)
    page.mouse.up()
    page.wait_for_selector("#strip .edge:has-text('right'):has-text('over')")
    page.keyboard.press("Enter")
    until(lambda: len(sheet(job)["pieces"]) == 1, page)
    (piece,) = sheet(job)["pieces"]
    assert piece["size"] == "3 x 2 in"
    assert piece["centre"] == pytest.approx([440, 300], abs=3)
    wait_shown(page, job)
    page.keyboard.press("Escape")
    page.wait_for_selector("polygon.piece.kept")
    undo(page, job)
    page.wait_for_selector("polygon.piece.kept", state="detached")


def test_alike_things_are_found_counted_and_kept(page, job):
    page.keyboard.press("c")
    wait_prompt(page, "Draw a box")
    page.mouse.move(*on_screen(page, 835, 185))
    page.mouse.down()
    page.mouse.move(*on_screen(page, 900, 300), steps=4)
    page.mouse.move(*on_screen(page, 1065, 415), steps=4)
    page.mouse.up()
    page.wait_for_selector("#strip .total:has-text('1 seen')")
    page.mouse.click(*on_screen(page, 400, 620))
    page.wait_for_selector("#strip .total:has-text('2 seen')")
    page.locator(".counted").nth(1).click()  # added by hand: it goes
    page.wait_for_selector("#strip .total:has-text('1 seen')")
    page.locator("[data-focus='field-printed']").fill("2")
    page.locator("[data-focus='field-printed']").press("Enter")
    page.wait_for_selector("#strip .close:has-text('1 fewer than are printed')")
    page.locator("#strip button:text-is('Keep')").click()
    until(lambda: len(sheet(job)["drawn_counts"]) == 1, page)
    assert sheet(job)["drawn_counts"][0]["printed"] == 2


def test_a_view_is_set_not_to_scale_and_one_drawn_by_hand(page, job):
    key = add(page, job, [[100, 300], [700, 300]], "2 7/8")
    page.keyboard.press("w")
    wait_prompt(page, "Click a view")
    page.keyboard.press("n")
    wait_prompt(page, "Draw a box")
    page.mouse.move(*on_screen(page, 60, 60))
    page.mouse.down()
    page.mouse.move(*on_screen(page, 400, 400), steps=4)
    page.mouse.move(*on_screen(page, 760, 560), steps=4)
    page.mouse.up()
    until(lambda: len(sheet(job)["views"]) == 2, page)
    drawn = next(v for v in sheet(job)["views"] if v["by_hand"])
    assert drawn["box"] == pytest.approx([60, 60, 760, 560], abs=3)
    page.wait_for_selector(f"#strip .chip[data-focus='view-{drawn['number']}'][aria-pressed=true]")
    page.locator("[data-focus='corner-0']").focus()
    page.keyboard.press("Shift+ArrowLeft")
    page.keyboard.press("ArrowUp")
    until(lambda: sheet(job)["views"][1]["box"][0] < drawn["box"][0] - 5, page)
    assert sheet(job)["views"][1]["box"][2:] == pytest.approx(drawn["box"][2:], abs=0.1)
    wait_shown(page, job)
    page.locator("[data-focus='choice-kind']").select_option("not to scale")
    page.wait_for_selector(f"tr[data-key='{key}'] .says:has-text('not scaled')")
    undo(page, job)
    page.wait_for_selector(f"tr[data-key='{key}'] .says:has-text('short')")


def test_known_sizes_are_listed_with_what_the_others_make_of_them(page, job):
    body = {"revision": job.revision, "sheet": 1, "points": [[100, 300], [700, 300]]}
    assert job.client.post("/api/known-sizes", json={**body, "length": "3 1/4"}).status_code == 201
    wait_shown(page, job)
    page.keyboard.press("s")
    page.wait_for_selector("#strip .known-row .disagrees:has-text('shorter')")
    field = page.locator("#strip .known-row input").nth(1)
    field.fill("3")
    field.press("Enter")
    page.wait_for_selector("#strip .known-row .agrees:has-text('fits the others')")
    page.locator("#strip .known-row button").nth(1).click()
    until(lambda: len(sheet(job)["known_sizes"]) == 1, page)


def test_four_corners_and_a_size_make_the_sheet_flat(page, job):
    page.keyboard.press("q")
    wait_prompt(page, "the first corner")
    said = ("the next corner", "the third corner", "the last corner", "How large")
    for corner, then in zip([(100, 100), (700, 500), (700, 100), (100, 500)], said, strict=True):
        click_map(page, *corner)
        wait_prompt(page, then)
    page.keyboard.type("3 x 2 in")
    page.keyboard.press("Enter")
    until(lambda: sheet(job)["paper_by_hand"], page)


def test_a_fold_is_marked_by_two_clicks_and_a_step(page, job):
    key = add(page, job, [[100, 300], [700, 300]], "3")
    page.keyboard.press("t")
    wait_prompt(page, "a place on a fold")
    click_map(page, 400, 40)
    wait_prompt(page, "another place on it")
    click_map(page, 402, 560)
    wait_prompt(page, "How far may its two sides be shifted?")
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    page.wait_for_selector("#strip :text('1 across')")
    row = page.locator(f"tr[data-key='{key}']")
    row.locator(":text('not scaled')").wait_for()
    page.wait_for_selector("svg.overlay line.fold", state="attached")
    page.locator("#strip input").fill("1/32 in")
    page.locator("#strip input").press("Enter")
    until(lambda: sheet(job)["folds"][0]["step"] == "1/32 in", page)
    page.locator("#strip button:text-is('Remove')").click()
    until(lambda: sheet(job)["folds"] == [], page)


def test_settings_judge_anew(page, job):
    key = add(page, job, [[100, 300], [700, 300]], "2 7/8")
    page.keyboard.press(",")
    page.wait_for_selector("dialog[open]")
    page.locator("dialog input[name=tolerance]").fill("1/4 in")
    page.locator("dialog button[type=submit]").click()
    page.wait_for_selector("dialog[open]", state="detached")
    page.wait_for_selector(f"tr[data-key='{key}'] .says:has-text('agrees')")
    assert job.client.get("/api/audit").json()["tolerance"] == "1/4 in"


CUT_OFF = """() => {
  const out = [];
  for (const n of document.querySelectorAll('#strip, #strip *, #modes > *, .prompt, .prompt *')) {
    const r = n.getBoundingClientRect();
    if (!n.checkVisibility() || !r.width || n.closest('.hidden-text') || n.localName === 'option')
      continue;
    if (r.right > innerWidth + 1 || r.left < -1) out.push(`${n.className} leaves`);
    if (n.localName === 'button' && n.scrollWidth > n.clientWidth + 2)
      out.push(`cut off: ${n.textContent}`);
  }
  if (document.documentElement.scrollWidth > innerWidth) out.push('scrolls sideways');
  return out;
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    "size",
    [DESK_SIZE, {"width": 1024, "height": 768}, TABLET_SIZE],
    ids=["desk", "small", "tablet"],
)
def test_no_mode_is_cut_off_or_hard_to_use(chromium, job, size, scheme):
    with opened(chromium, entry(job), viewport=size, color_scheme=scheme) as page:
        page.wait_for_selector("body.painted")
        key = add(page, job, [[100, 300], [700, 300]], "3")
        for mode, ready in (
            ("s", ".known-row"),
            ("q", ".known-row"),
            ("h", "[data-focus='field-or type']"),
            ("e", "#strip:has-text('no two are linked')"),
            ("p", "[data-focus='field-name']"),
            ("w", "[data-focus='choice-kind']"),
            ("c", "#strip:has-text('only a note')"),
            ("l", "[data-focus='field-size']"),
        ):
            page.keyboard.press(mode)
            page.wait_for_selector(ready)
            if mode == "h":
                page.locator(f"tr[data-key='{key}']").click()
                page.wait_for_selector("#strip .total")
            if mode == "l":
                page.locator("[data-focus='field-size']").fill("3 x 2")
                page.keyboard.press("Enter")
                page.wait_for_selector("#strip .edge")
            assert page.evaluate(CUT_OFF) == [], mode
            if size != DESK_SIZE:  # colours and names are the same there
                continue
            assert grave_faults(page) == [], mode


def test_a_piece_and_a_chain_by_touch_on_a_tablet(chromium, job):
    with opened(chromium, entry(job), viewport=TABLET_SIZE, has_touch=True) as page:
        page.wait_for_selector("body.painted")
        key = add(page, job, [[100, 300], [700, 300]], "3")
        page.locator(".mode:has-text('Lay a piece')").tap()
        page.locator("[data-focus='field-size']").fill("3 x 2")
        page.locator("[data-focus='field-size']").press("Enter")
        page.wait_for_selector("#strip .edge")
        page.touchscreen.tap(*on_screen(page, 60, 650))  # beside the piece: it comes here
        page.wait_for_selector("#strip .edge:has-text('no line near')")
        page.touchscreen.tap(*on_screen(page, 400, 300))
        page.wait_for_selector("#strip .edge:has-text('left'):has-text('flush')")
        page.locator("#strip button:text-is('Keep')").tap()
        until(lambda: len(sheet(job)["pieces"]) == 1, page)
        page.locator(".mode:has-text('Chain')").tap()
        page.locator(f"tr[data-key='{key}']").tap()
        page.wait_for_selector("#strip .total:has-text('3')")
