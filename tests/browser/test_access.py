"""The page for everybody: axe-core finds nothing serious, focus shows, contrast holds.

axe-core (Deque, MPL-2.0) comes inside the test-only package axe-playwright-python; its rules follow
WCAG 2.2. Contrast is also computed here by the formula of WCAG 2.2 ("relative luminance").
"""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe

from audit.store import create_audit
from audit.web.desk import Desk
from audit.web.lan import Phone
from tests.browser.conftest import (
    DESK_SIZE,
    TABLET_SIZE,
    entry,
    opened,
    place,
    retype,
    wait_shown,
    wait_verdict,
)
from tests.web.conftest import running

GRAVE = {"serious", "critical"}


def grave_faults(page):
    found = Axe().run(page).response["violations"]
    return [
        f"{fault['id']}: {node['target']} {node['failureSummary'][:300]}"
        for fault in found
        if fault["impact"] in GRAVE
        for node in fault["nodes"]
    ]


def bring_up(page, job):
    """A sheet with one size that disagrees, its card open."""
    page.wait_for_selector("body.painted")
    place(page, job, (100, 300), (700, 300))
    retype(page, "2 7/8")
    wait_verdict(page, "◆")
    wait_shown(page, job)


SCREENS = [
    pytest.param("light", DESK_SIZE, id="light-desk"),
    pytest.param("dark", TABLET_SIZE, id="dark-tablet"),
    pytest.param("dark", DESK_SIZE, id="dark-desk", marks=pytest.mark.hard),
    pytest.param("light", TABLET_SIZE, id="light-tablet", marks=pytest.mark.hard),
]


@pytest.mark.parametrize(("scheme", "size"), SCREENS)
def test_nothing_grave_on_a_sheet_with_its_card_open(chromium, job, scheme, size):
    with opened(chromium, entry(job), color_scheme=scheme, viewport=size) as page:
        bring_up(page, job)
        assert grave_faults(page) == []
        assert page.evaluate(CONTRAST) == []
        page.locator(".why button, button.why").first.click()
        page.locator("summary").click()  # the menu
        assert grave_faults(page) == []
        page.keyboard.press("Escape")
        page.keyboard.press("d")
        page.wait_for_selector("#sheet.placing")
        assert grave_faults(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_grave_on_the_empty_page_and_in_the_phones_dialog(  # noqa: PLR0917
    chromium, tmp_path, monkeypatch, still, cache, scheme
):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    desk = Desk(create_audit(tmp_path / "new.audit", name="new"))
    phone = Phone("127.0.0.2", 4000)
    phone.renew()
    try:
        with (
            running(desk, phone) as run,
            opened(chromium, entry(run), color_scheme=scheme) as page,
        ):
            page.wait_for_selector(".drop h1")
            assert grave_faults(page) == []
            page.get_by_role("button", name="Photograph with a phone").click()
            page.wait_for_selector("dialog.phone[open] svg.code")
            assert grave_faults(page) == []
    finally:
        desk.close()


FOCUS = """() => {
  const node = document.activeElement;
  if (!node || node === document.body) return null;
  const style = getComputedStyle(node);
  const box = node.getBoundingClientRect();
  const shown = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  const inside = node.querySelector?.('.end-shape');
  const ringed = inside && parseFloat(getComputedStyle(inside).strokeWidth) >= 4;
  const name = node.getAttribute('aria-label') || node.textContent.trim()
    || node.labels?.[0]?.textContent || node.title || '';
  return {what: `${node.tagName} ${node.className.baseVal ?? node.className}`, name,
    shown: Boolean(shown || ringed), visible: box.width > 0 && box.height > 0};
}"""


@pytest.mark.parametrize("scheme", ["light", pytest.param("dark", marks=pytest.mark.hard)])
def test_every_stop_of_the_tab_key_shows_its_focus_and_has_a_name(chromium, job, scheme):
    with opened(chromium, entry(job), color_scheme=scheme) as page:
        bring_up(page, job)
        page.evaluate("() => document.querySelector('#top .tab').focus()")
        stops = []
        for _ in range(120):
            page.keyboard.press("Tab")
            stop = page.evaluate(FOCUS)
            if stop is None:
                break
            stops.append(stop)
        assert len(stops) > 20
        assert [s for s in stops if not (s["shown"] and s["name"] and s["visible"])] == []


CONTRAST = """() => {
  const light = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((v) => v / 255)
      .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const pen = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
  const colour = (text) => {
    pen.clearRect(0, 0, 1, 1);
    pen.fillStyle = text;
    pen.fillRect(0, 0, 1, 1);
    return [...pen.getImageData(0, 0, 1, 1).data];
  };
  const under = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const c = colour(getComputedStyle(at).backgroundColor);
      if (c[3] === 255) return c;
    }
    return [255, 255, 255, 255];
  };
  const faults = [];
  const FREE = 'svg, canvas, .hidden-text, [disabled], [aria-disabled=true]';
  for (const node of document.querySelectorAll('body *')) {
    if (!node.offsetParent || node.closest(FREE)) continue;
    const own = [...node.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own) continue;
    const [a, b] = [light(colour(getComputedStyle(node).color)), light(under(node))];
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) faults.push(`${ratio.toFixed(2)} ${node.className} ${node.textContent}`);
  }
  return faults;
}"""
