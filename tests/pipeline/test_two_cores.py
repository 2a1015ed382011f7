"""The whole result of a scan is the same on one core, on two, and once more."""

from __future__ import annotations

from pathlib import Path

from audit.networks import at_once, reader
from audit.networks.memory import Memory
from audit.pipeline import CheckRequest, check
from audit.records import Settings
from audit.report import to_result, write_json

SCAN = Path(__file__).parents[2] / "sample_scans" / "marble-lift-2.png"


def test_a_scan_is_judged_the_same_on_one_core_and_on_two(monkeypatch):
    told = []
    for cores in (1, 2, 2):
        monkeypatch.setattr(at_once, "cores", lambda cores=cores: cores)
        monkeypatch.setattr(reader, "_known", Memory())
        checked = check(CheckRequest(plans=(SCAN,), settings=Settings()))
        told.append(write_json(to_result(checked.audit)))
    assert told[0] == told[1] == told[2]
