"""A phone photographs a sheet straight into the open audit: two pages, two listeners."""

from __future__ import annotations

import io

import cv2
import numpy as np
import pytest
from PIL import Image

from audit.store import create_audit
from audit.web.desk import Desk
from audit.web.serving import listening_nearby
from tests.browser.conftest import entry, opened
from tests.web.conftest import draw_sheet, running
from tests.web.test_lan import OTHER

PHONE = {"viewport": {"width": 390, "height": 780}, "has_touch": True, "is_mobile": True}


@pytest.fixture
def both(tmp_path, monkeypatch, still, cache):
    monkeypatch.setenv("PLAN_AUDIT_CACHE", str(cache))
    desk = Desk(create_audit(tmp_path / "new.audit", name="new"))
    try:
        with listening_nearby(desk, OTHER) as phone, running(desk, phone) as run:
            yield run, phone
    finally:
        desk.close()


def scanned(page):
    """What the symbol on the page says, to OpenCV's reader."""
    picture = Image.open(io.BytesIO(page.locator("svg.code").screenshot())).convert("L")
    said, _, _ = cv2.QRCodeDetector().detectAndDecode(np.asarray(picture.resize((600, 600))))
    return said


def test_a_phone_scans_the_code_and_its_photograph_appears_on_the_page(chromium, both, tmp_path):
    run, phone = both
    sheet = draw_sheet(tmp_path / "sheet.png")
    with opened(chromium, entry(run)) as page:
        page.get_by_role("button", name="local network").click()
        page.wait_for_selector("dialog.phone[open] svg.code")
        assert "Plain HTTP" in page.locator("dialog.phone").inner_text()
        url = scanned(page)
        assert url == phone.url
        with opened(chromium, url, **PHONE) as handset:
            handset.wait_for_selector("#camera", state="attached")
            handset.set_input_files("#camera", str(sheet))
            handset.wait_for_selector("#says.good:has-text('photo 1.png')")
            handset.set_input_files("#camera", str(sheet))
            handset.wait_for_selector("#says.bad:has-text('already')")
        page.wait_for_selector("dialog.phone:has-text('1 taken in')")
        page.keyboard.press("Escape")
        page.wait_for_selector("body.painted")
        assert page.locator(".tab[data-id='1']").get_attribute("title").startswith("photo 1.png")


def test_a_new_code_is_made_on_the_page_and_the_old_one_says_that_it_has_run_out(chromium, both):
    run, phone = both
    with opened(chromium, entry(run)) as page:
        page.get_by_role("button", name="Photograph with a phone").click()
        page.wait_for_selector("dialog.phone[open] svg.code")
        old = phone.url
        page.get_by_role("button", name="New code").click()
        page.wait_for_function(
            "(old) => document.querySelector('dialog.phone code').textContent !== old", arg=old
        )
        assert scanned(page) == phone.url != old
        with opened(chromium, old, **PHONE) as handset:
            assert "run out" in handset.locator("body").inner_text()
        page.get_by_role("button", name="Take the code away").click()
        page.wait_for_selector("dialog.phone svg.code", state="detached")
        assert phone.url is None


def test_without_lan_the_page_says_how_to_start_it(page):
    assert page.get_by_role("button", name="local network").is_hidden()
    page.locator("summary").click()
    page.get_by_role("button", name="Photograph with a phone").click()
    page.wait_for_selector("dialog.phone[open]:has-text('plan-audit open --lan')")
    page.get_by_role("button", name="Close", exact=True).click()
    page.wait_for_selector("dialog.phone", state="hidden")


def test_the_notices_of_what_is_shipped_can_be_reached(page, job):
    page.locator("summary").click()
    address = page.get_by_role("link", name="Licences").get_attribute("href")
    text = job.client.get(address).text
    library = job.client.get("/static/leaflet/leaflet-src.esm.js").text[:300]
    for line in ("(c) 2010-2022 Vladimir Agafonkin", "(c) 2010-2011 CloudMade"):
        assert line in library
        assert line.replace("2 V", "2, V").replace("1 C", "1, C") in text
    assert "BSD 2-Clause" in text
