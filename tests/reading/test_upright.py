"""Crops that lie any way; the text is MuPDF's, turned by numpy."""

from __future__ import annotations

import numpy as np

from audit.reading import bring_upright
from audit.reading.network import NetworkReader
from tests.networks.test_turns import crop_of


def test_turned_crops_come_back_upright_with_the_direction_they_ran_in():
    level = crop_of("3 5/32")
    first, second = bring_upright([level, np.rot90(level).copy()])
    assert first.picture is level
    assert (first.angle, second.angle) == (0.0, 90.0)
    assert np.array_equal(second.picture, level)


def test_what_a_text_says_upside_down_is_handed_on():
    (both,) = bring_upright([crop_of("68")])
    assert "89" in [c.text for c in both.others]


def test_without_the_network_crops_stay_as_they_are(monkeypatch):
    monkeypatch.setattr(NetworkReader, "is_available", lambda _: False)
    turned = np.rot90(crop_of("3 5/32")).copy()
    (one,) = bring_upright([turned])
    assert one.picture is turned
    assert (one.angle, one.others) == (0.0, ())
