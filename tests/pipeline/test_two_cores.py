"""The whole result of a scan is the same on one core, on two, and once more."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from audit.networks import at_once, reader
from audit.pipeline import CheckRequest, check
from audit.pipeline import sheet as looking
from audit.reading import tesseract
from audit.records import Settings
from audit.report import to_result, write_json

SCAN = Path(__file__).parents[2] / "sample_scans" / "marble-lift-2.png"


@pytest.mark.parametrize("share", [0.62, pytest.param(1.0, marks=pytest.mark.hard)])
def test_a_scan_is_judged_the_same_on_one_core_and_on_two(tmp_path, monkeypatch, share):
    """The short version looks at the upper part of the sheet, with three of its views."""
    with Image.open(SCAN) as whole:
        upper = whole.crop((0, 0, whole.width, round(share * whole.height)))
        upper.save(tmp_path / SCAN.name, dpi=whole.info["dpi"])
    told = []
    for cores in (1, 2, 2):
        for module in (at_once, tesseract):
            monkeypatch.setattr(module, "cores", lambda cores=cores: cores)
        reader.forget_readings()
        checked = check(CheckRequest(plans=(tmp_path / SCAN.name,), settings=Settings()))
        told.append(write_json(to_result(checked.audit)))
    assert len(checked.audit.dimensions) > 8
    assert told[0] == told[1] == told[2]


def test_a_picture_is_opened_where_an_interrupt_comes(tmp_path, monkeypatch):
    """Ctrl-C reaches the main thread: waiting there, it stops a worker that hangs."""
    Image.fromarray(np.full((90, 120), 200, np.uint8)).save(tmp_path / "plan.png")
    asked = []

    def prepare(*given):
        asked.append(threading.current_thread())
        return prepared(*given)

    prepared = looking.prepare_ground
    monkeypatch.setattr(looking, "prepare_ground", prepare)
    monkeypatch.setattr(at_once, "cores", lambda: 2)
    check(CheckRequest(plans=(tmp_path / "plan.png",), settings=Settings()))
    assert asked == [threading.main_thread()]
