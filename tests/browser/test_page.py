"""One person at the page, with mouse and keyboard, in Chromium."""

from __future__ import annotations

import pytest

from audit.web.desk import Desk
from tests.browser.conftest import (
    TABLET_SIZE,
    click_map,
    entry,
    on_screen,
    opened,
    place,
    retype,
    until,
    wait_prompt,
    wait_shown,
    wait_verdict,
)
from tests.web.conftest import draw_sheet, running


def test_a_distance_is_placed_retyped_decided_and_undone(page, job):
    place(page, job, (103, 300), (697, 305))
    retype(page, "2 7/8")
    wait_verdict(page, "◆")
    assert "short" in page.locator("tr.picked .says").inner_text()
    assert page.locator(".build input:checked").count() == 0

    revision = job.revision
    page.keyboard.press("Enter")
    page.wait_for_selector(".notice:has-text('Pick what to build to')")
    assert job.revision == revision

    page.locator(".option:has-text('scaled') input").first.check()
    page.locator("[data-focus=decide]").click(force=True)  # it waits, and says for what
    page.wait_for_selector(".notice:has-text('needs a reason')")
    assert job.revision == revision
    page.keyboard.type("the box is drawn so")
    page.keyboard.press("Enter")
    page.wait_for_selector("tr .built:has-text('build')")
    assert page.locator("tr .built").inner_text().replace("\n", "") == "build 3"

    page.keyboard.press("u")
    page.wait_for_selector("tr .built", state="detached")
    page.keyboard.press("Shift+U")
    page.wait_for_selector("tr .built")


def test_the_whole_list_by_keyboard_alone(page, job):
    place(page, job, (100, 300), (700, 300))
    retype(page, "3")
    wait_verdict(page, "○")
    place(page, job, (400, 100), (400, 500))
    retype(page, "2")
    wait_verdict(page, "○")
    wait_shown(page, job)
    keys = page.eval_on_selector_all("tbody tr[data-key]", "rows => rows.map(r => r.dataset.key)")
    assert len([key for key in keys if key.startswith("d")]) == 2  # and what was found about them
    while page.locator("tr.picked").get_attribute("data-key") != keys[0]:
        page.keyboard.press("k")
    decided = 0
    for key in keys:
        page.wait_for_selector(f"tr.picked[data-key='{key}']")  # it goes on by itself
        page.keyboard.press("Enter")
        decided += key.startswith("d")
        page.wait_for_function(
            "(n) => document.querySelectorAll('tr .built').length === n", arg=decided
        )
    rows = job.client.get("/api/sheets/1").json()["rows"]
    assert [r["decision"]["basis"] for r in rows if r["kind"]] == ["printed", "printed"]


def test_enter_pressed_twice_decides_once(page, job):
    for points, text in ((((100, 300), (700, 300)), "3"), (((400, 100), (400, 500)), "2")):
        place(page, job, *points)
        retype(page, text)
        wait_verdict(page, "○")
    wait_shown(page, job)
    sent: list[str] = []
    page.on("request", lambda r: sent.append(r.url) if r.url.endswith("/decision") else None)
    page.locator("tbody tr[data-key^='d']").first.click()
    page.evaluate(
        """() => { for (let n = 0; n < 2; n += 1)
          document.body.dispatchEvent(new KeyboardEvent('keydown', {key: 'Enter', bubbles: true}));
        }"""
    )
    page.wait_for_selector("tr .built")
    page.wait_for_selector("tr.picked[data-key^='d']:not(:has(.built))")  # it went on
    assert len(sent) == 1
    assert page.locator(".notice.error").count() == 0


def test_actions_that_come_fast_wait_for_each_other(page, job):
    """Each starts from the revision that the one before left; none is refused as too late."""
    place(page, job, (100, 300), (700, 300))
    page.keyboard.press("3")
    page.wait_for_selector(".retype:focus")
    page.evaluate(
        """() => { const field = document.querySelector('.tolerance');
          document.querySelector('.retype-form').requestSubmit();
          field.value = '1/16';
          field.dispatchEvent(new KeyboardEvent('keydown', {key: 'Enter', bubbles: true})); }"""
    )

    def row():
        rows = job.client.get("/api/sheets/1").json()["rows"]
        return next(r for r in rows if r["kind"])

    until(lambda: row()["tolerance"] == "1/16 in", page)
    wait_shown(page, job)
    assert row()["printed"]["text"] == "3"
    assert page.locator(".notice.error").count() == 0


def test_what_is_being_typed_stays_when_the_card_is_drawn_anew(page, job):
    place(page, job, (100, 300), (700, 300))
    row = job.client.get("/api/sheets/1").json()["rows"][0]
    page.keyboard.press("2")
    page.wait_for_selector(".retype:focus")
    page.keyboard.type(" 7/")
    done = job.client.put(  # another page changes what the card shows
        f"/api/dimensions/{row['number']}/tolerance",
        json={"revision": job.revision, "tolerance": "1/4 in"},
    )
    assert done.status_code == 200, done.text
    page.wait_for_function("() => document.querySelector('.tolerance').value === '1/4 in'")
    assert page.locator(".retype:focus").input_value() == "2 7/"
    page.keyboard.type("8")
    page.keyboard.press("Enter")
    wait_verdict(page, "○")  # 1/8 short, which that tolerance allows


def test_the_magnifier_names_what_a_point_snaps_to_and_shift_suspends_it(page):
    page.keyboard.press("d")
    page.mouse.move(*on_screen(page, 102, 102))
    page.wait_for_selector(".loupe-says:has-text('corner')")
    assert "±" in page.locator(".loupe-says").inner_text()
    page.keyboard.down("Shift")
    page.wait_for_selector(".loupe-says:has-text('as you put it')")
    page.keyboard.up("Shift")
    page.wait_for_selector(".loupe-says:has-text('corner')")


def test_a_point_is_nudged_by_a_tenth_of_a_pixel(page, job):
    place(page, job, (100, 300), (700, 300))
    before = job.client.get("/api/sheets/1").json()["rows"][0]["ends"][1]["point"]
    page.locator(".end").nth(1).focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")

    def point():
        return job.client.get("/api/sheets/1").json()["rows"][0]["ends"][1]["point"]

    until(lambda: point()[0] - before[0] > 0.15, page)  # both presses are kept
    after = point()
    assert after[0] - before[0] == pytest.approx(0.2, abs=1e-6)
    assert after[1] == pytest.approx(before[1], abs=1e-6)


def test_the_sheet_is_moved_by_arrow_keys_while_nothing_else_wants_them(page):
    left = "() => document.querySelector('.leaflet-map-pane').getBoundingClientRect().x"
    page.keyboard.press("+")
    before = page.evaluate(left)
    page.keyboard.press("ArrowRight")
    moved = before - page.evaluate(left)
    assert moved > 20
    page.keyboard.press("Shift+ArrowLeft")
    assert page.evaluate(left) > before + 2 * moved


def test_a_dragged_point_is_judged_anew_and_nothing_stays_picked(page, job):
    place(page, job, (100, 300), (700, 300))
    retype(page, "3")
    wait_verdict(page, "○")
    handle = page.locator(".end").nth(0).bounding_box()
    x, y = handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    assert page.locator(".build input:checked").count() == 1
    page.mouse.move(*on_screen(page, 130, 300), steps=6)
    page.mouse.up()
    wait_verdict(page, "◆")
    assert page.locator(".build input:checked").count() == 0  # it agrees no more


def test_escape_ends_the_mode_while_the_measurement_is_still_under_way(page):
    page.evaluate(
        """() => { const real = window.fetch; window.fetch = async (...given) => {
          const answer = await real(...given);
          if (given[1]?.method === 'POST') await new Promise((go) => { window.release = go; });
          return answer; }; }"""
    )
    page.keyboard.press("d")
    click_map(page, 100, 300)
    wait_prompt(page, "other end")
    click_map(page, 700, 300)
    wait_prompt(page, "Measuring")
    page.keyboard.press("Escape")
    page.wait_for_selector(".prompt", state="hidden")
    page.wait_for_function("() => window.release")
    page.evaluate("() => window.release()")
    page.wait_for_selector("tbody tr[data-key]")
    assert page.locator(".prompt").is_hidden()


def test_a_known_size_is_asked_for_its_length(page, job):
    page.keyboard.press("s")
    click_map(page, 100, 500)
    wait_prompt(page, "other end")
    click_map(page, 100, 100)
    page.wait_for_selector(".prompt form:not([hidden])")
    page.keyboard.type("two")
    page.keyboard.press("Enter")
    page.wait_for_selector(".notice.error")
    page.keyboard.press("Control+A")
    page.keyboard.type("2 in")
    page.keyboard.press("Enter")
    page.wait_for_selector(".notice:has-text('scale is set')")
    assert len(job.client.get("/api/sheets/1").json()["known_sizes"]) == 2


def test_hostile_names_and_readings_stay_text(page, job, tmp_path):
    page.evaluate("() => { window.hit = 0; }")
    name = "<img src=x onerror='window.hit=1'>.png"
    path = draw_sheet(tmp_path / "other.png")
    data = path.read_bytes() + b" "
    assert job.client.post("/api/plans", params={"name": name}, content=data).status_code == 201
    page.wait_for_selector(".tab[data-id='2']")
    page.locator(".tab[data-id='2']").click()
    page.wait_for_selector("body[data-sheet='2']:not(.opening)")
    page.wait_for_selector("[title*='onerror'], [aria-label*='onerror']")  # shown, as text
    assert page.evaluate("() => window.hit") == 0
    assert page.locator("img[src='x']").count() == 0


def test_a_second_page_follows_the_first(page, chromium, job):
    with opened(chromium, entry(job), viewport=TABLET_SIZE) as other:
        other.wait_for_selector("body.painted")
        place(page, job, (100, 300), (700, 300))
        other.wait_for_selector("tbody tr[data-key]")


def test_files_are_dropped_on_the_empty_page(chromium, tmp_path, monkeypatch, still, cache):
    from audit.store import create_audit

    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    path = draw_sheet(tmp_path / "sheet.png")
    desk = Desk(create_audit(tmp_path / "new.audit", name="new"))
    try:
        with running(desk) as run, opened(chromium, entry(run)) as page:
            page.wait_for_selector(".drop h1")
            page.set_input_files("input[type=file]", str(path))
            page.wait_for_selector("body.painted")
            tab = page.locator(".tab[data-id='1']")
            assert tab.get_attribute("title") == "sheet.png: not begun"
            assert "token" not in page.url
    finally:
        desk.close()


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1024, 768), (820, 1180)])
def test_nothing_overlaps_or_is_cut_off(chromium, job, width, height):
    with opened(chromium, entry(job), viewport={"width": width, "height": height}) as page:
        page.wait_for_selector("body.painted")
        place(page, job, (100, 300), (700, 300))
        retype(page, "2 7/8")
        wait_verdict(page, "◆")
        wait_shown(page, job)
        faults = page.evaluate(OVERLAPS)
    assert faults == []


OVERLAPS = """() => {
          const out = [];
          const boxes = [...document.querySelectorAll('#top > *, #modes > button')]
            .filter((n) => n.offsetParent && !n.classList.contains('space'))
            .map((n) => [n, n.getBoundingClientRect()]);
          for (const [n, r] of boxes) {
            if (r.right > innerWidth + 1 || r.left < -1) out.push(`${n.className} leaves`);
            for (const [m, s] of boxes) if (m !== n && r.left < s.right - 1
              && s.left < r.right - 1 && r.top < s.bottom - 1 && s.top < r.bottom - 1)
              out.push(`${n.className} meets ${m.className}`);
          }
          for (const n of document.querySelectorAll('button, .coverage span, .chip, td, .option'))
            if (n.offsetParent && n.scrollWidth > n.clientWidth + 2
              && getComputedStyle(n).display !== 'inline')
              out.push(`cut off: ${n.className} ${n.textContent}`);
          if (document.documentElement.scrollWidth > innerWidth) out.push('scrolls sideways');
          return out;
        }"""


def test_every_control_has_a_name(page, job):
    place(page, job, (100, 300), (700, 300))
    nameless = page.evaluate(
        """() => [...document.querySelectorAll('button, input, a, [role=button]')]
          .filter((n) => n.offsetParent && !(n.textContent.trim() || n.getAttribute('aria-label')
            || n.labels?.length || n.title)).map((n) => n.outerHTML.slice(0, 90))"""
    )
    assert nameless == []
