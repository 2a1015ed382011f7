"""The picture of what is left after a photo was made flat: arrows where and how they should be."""

from __future__ import annotations

from dataclasses import replace

import pymupdf
import pytest

from audit.geometry import Point, Transform
from audit.isolation.findings_pages import set_findings_pages
from audit.records import Aside, Audit, Flatness, Frame, PageKind, Sheet
from audit.report import plan_markup
from audit.report.flat_picture import list_flat_pictures

FLAT = Flatness(
    by="the edge of the paper", lens_before=1.4, lens_after=0.06, k1=0.02, rms_mm=0.12,
    largest_mm=0.3, curled=True,
    asides=(Aside(Point(100, 200), 0.2, 0.0), Aside(Point(300, 400), 0.0, -0.1)),
)  # fmt: skip
PHOTO = Sheet(
    id=1, name="photo.jpg", source="photo.jpg", digest="0" * 64, page=1, frame=Frame.PX,
    kind=PageKind.SCAN, width=800.0, height=600.0, to_paper=Transform.scaling(0.25), flatness=FLAT,
)  # fmt: skip


@pytest.mark.parametrize(("turn", "first", "second"), [(0, (1, 0), (0, -1)), (90, (0, 1), (1, 0))])
def test_arrows_point_where_places_lie_aside_as_the_photo_is_seen(turn, first, second):
    """A quarter turn clockwise takes right to down, and up to right."""
    (picture,) = list_flat_pictures(Audit(name="a", sheets=(replace(PHOTO, turn=turn),)))
    ways = [(b.x - a.x, b.y - a.y) for a, b in picture.arrows]
    assert picture.scale_says == "0.2 mm"
    assert ways[0] == pytest.approx([picture.scale_length * v for v in first], abs=1e-9)
    assert ways[1] == pytest.approx([picture.scale_length / 2 * v for v in second], abs=1e-9)


def test_a_sheet_that_no_sides_made_flat_has_no_picture():
    assert list_flat_pictures(Audit(name="a", sheets=(replace(PHOTO, flatness=None),))) == ()


def test_the_report_shows_it_with_its_scale_and_rms():
    pages = set_findings_pages(plan_markup(Audit(name="a", sheets=(PHOTO,))))
    with pymupdf.open(stream=pages.data) as document:
        text = " ".join(" ".join(page.get_text().split()) for page in document)
    for said in ("How flat the photos lie", "0.12 mm rms", "0.2 mm", "does not lie flat"):
        assert said in text
