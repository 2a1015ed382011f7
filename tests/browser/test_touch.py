"""A tablet held upright: points by finger, pinch, the card at hand, targets large enough."""

from __future__ import annotations

import pytest

from tests.browser.conftest import (
    TABLET_SIZE,
    count_rows,
    entry,
    on_screen,
    opened,
    place,
    retype,
    wait_prompt,
    wait_shown,
    wait_verdict,
)

LEAST = 40  # px, the side of the smallest target


class Fingers:
    """Fingers on the glass, by the browser's own protocol; each event is waited for."""

    def __init__(self, page):
        self.line = page.context.new_cdp_session(page)

    def put(self, kind, *places):
        points = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(places)]
        self.line.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def down(self, *places):
        self.put("touchStart", *places)

    def move(self, *places):
        self.put("touchMove", *places)

    def up(self):
        self.put("touchEnd")


@pytest.fixture
def tablet(chromium, job):
    with opened(chromium, entry(job), viewport=TABLET_SIZE, has_touch=True, is_mobile=True) as page:
        page.wait_for_selector("body.painted")
        yield page


def box_of(page, selector):
    return page.locator(selector).bounding_box()


def test_a_distance_is_placed_by_finger_with_the_magnifier_off_the_finger(tablet, job):
    fingers = Fingers(tablet)
    tablet.locator(".mode:has-text('Distance')").tap()
    wait_prompt(tablet, "first end")
    for place_on_map, then in (((110, 290), "other end"), ((690, 310), None)):
        start = on_screen(tablet, place_on_map[0] + 60, place_on_map[1] + 80)
        end = on_screen(tablet, *place_on_map)
        fingers.down(start)
        tablet.wait_for_selector(".loupe:not([hidden])")
        fingers.move(end)
        tablet.wait_for_selector(".loupe-says:has-text('line')")
        loupe = box_of(tablet, ".loupe")
        gap = max(loupe["y"] - end[1], end[1] - loupe["y"] - loupe["height"])
        aside = max(loupe["x"] - end[0], end[0] - loupe["x"] - loupe["width"])
        assert max(gap, aside) >= 40  # a fingertip hides some 40 px around it
        fingers.up()
        if then:
            wait_prompt(tablet, then)
    tablet.wait_for_selector("tr.picked")
    wait_shown(tablet, job)
    row = job.client.get("/api/sheets/1").json()["rows"][0]
    assert row["scaled"]["value"] == pytest.approx(3.0, abs=0.02)


def test_two_fingers_zoom_and_put_no_point(tablet, job):
    fingers = Fingers(tablet)
    tablet.locator(".mode:has-text('Distance')").tap()
    wait_prompt(tablet, "first end")
    x, y = on_screen(tablet, 500, 400)
    before = box_of(tablet, "path.paper")["width"]
    fingers.down((x - 30, y))
    fingers.down((x - 30, y), (x + 30, y))
    for spread in (50, 80, 110, 140):
        fingers.move((x - spread, y), (x + spread, y))
    tablet.wait_for_function(
        "(before) => document.querySelector('path.paper').getBoundingClientRect().width"
        " > 2 * before",
        arg=before,
    )
    fingers.up()
    assert "first end" in tablet.locator(".prompt").inner_text()
    assert tablet.locator(".loupe").is_hidden()
    middle = tablet.locator("#sheet").bounding_box()
    tablet.touchscreen.tap(middle["x"] + middle["width"] / 2, middle["y"] + middle["height"] / 2)
    assert count_rows(tablet) == 0


def test_one_finger_pans_while_nothing_is_placed(tablet):
    fingers = Fingers(tablet)
    before = box_of(tablet, "path.paper")
    x, y = on_screen(tablet, 500, 650)
    fingers.down((x, y))
    for by in (10, 30, 60):
        fingers.move((x + by, y + by / 2))
    tablet.wait_for_function(
        "(left) => document.querySelector('path.paper').getBoundingClientRect().left > left + 30",
        arg=before["x"],
    )
    fingers.up()


def test_the_card_is_at_hand_and_a_decision_is_made_by_finger(tablet, job):
    place(tablet, job, (100, 300), (700, 300))
    retype(tablet, "3")
    wait_verdict(tablet, "○")
    wait_shown(tablet, job)
    for selector in (".card", ".card [data-focus=decide]", ".card .retype", "#sheet"):
        found = box_of(tablet, selector)
        assert found["y"] >= 0
        assert found["y"] + found["height"] <= TABLET_SIZE["height"] + 1, selector
        assert found["x"] + found["width"] <= TABLET_SIZE["width"] + 1, selector
    assert box_of(tablet, "#sheet")["height"] >= TABLET_SIZE["height"] * 0.35
    tablet.locator(".card [data-focus=decide]").tap()
    tablet.wait_for_selector("tr .built")


SMALL = """(least) => {
  const wanted = 'button, a[href], summary, select, label.option, tr[data-key],'
    + 'input:not([type=radio]):not([type=file])';
  const small = [];
  for (const node of document.querySelectorAll(wanted)) {
    if (!node.offsetParent || node.closest('.leaflet-control')) continue;
    const {width, height} = node.getBoundingClientRect();
    if (width < least || height < least)
      small.push(`${node.className} ${node.textContent}: ${width}x${height}`);
  }
  for (const node of document.querySelectorAll('.mark .hit, .end .hit')) {
    const {width, height} = node.getBoundingClientRect();
    if (width < least || height < least) small.push(`hit ${width}x${height}`);
  }
  return small;
}"""


def test_every_target_is_large_enough_for_a_finger(tablet, job):
    place(tablet, job, (100, 300), (700, 300))
    retype(tablet, "2 7/8")
    wait_verdict(tablet, "◆")
    wait_shown(tablet, job)
    assert tablet.evaluate(SMALL, LEAST) == []
    tablet.locator("summary").tap()
    assert tablet.evaluate(SMALL, LEAST) == []
    tablet.locator(".phone-opener:visible").tap()
    tablet.wait_for_selector("dialog.phone[open]")
    assert tablet.evaluate(SMALL, LEAST) == []
