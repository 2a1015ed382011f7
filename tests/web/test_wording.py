"""Views in the words of the page, which the guide repeats."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from audit.records import NoScale, ScaleFrom
from audit.web.wording import say_view
from tests.report.builders import make_audit

GUIDE = Path(__file__).parents[2] / "docs" / "guide.md"


@pytest.mark.parametrize(
    ("source", "says"),
    [(ScaleFrom.CONSENSUS, "by its own sizes"), (ScaleFrom.KNOWN, "by a known size")],
)
def test_a_view_says_what_gave_its_scale_as_the_guide_has_it(source, says):
    audit = make_audit()
    view = next(v for v in audit.views if not isinstance(v.scale, NoScale))
    told = say_view(replace(view, scale=replace(view.scale, source=source)), audit)
    assert told.split(" · ")[0].endswith(says)
    assert f"**{says}**" in GUIDE.read_text("utf-8")


def test_a_view_without_scale_says_so_as_the_guide_has_it():
    audit = make_audit()
    told = say_view(replace(audit.views[0], scale=NoScale(reason="too few")), audit)
    assert told.startswith("no scale: ")
    assert "**no scale**" in GUIDE.read_text("utf-8")
