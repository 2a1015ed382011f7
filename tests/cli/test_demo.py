"""The demo is the truth test of the whole job."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from audit.cli import demo
from audit.cli.main import run_command

SAMPLES = Path(__file__).parents[2] / "sample_scans"


@pytest.fixture(scope="module")
def demo_run(tmp_path_factory):
    """Exit code, folder, and what the check came to, which knows nothing of the truth."""
    out, came_to = tmp_path_factory.mktemp("demo"), []

    def check(*given, **more):
        came_to.append(checked(*given, **more))
        return came_to[-1]

    checked = demo.check
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(demo, "check", check)
        code = run_command(["demo", "--samples", str(SAMPLES), "--out", str(out)])
    return code, out, came_to[0]


def test_demo_finds_every_planted_mistake_it_can_and_nothing_false(demo_run):
    code, out, _ = demo_run
    assert code == 0
    assert {p.suffix for p in out.iterdir()} == {".audit", ".pdf", ".json", ".csv", ".md"}


def test_demo_fails_when_the_truth_says_otherwise(demo_run, tmp_path, monkeypatch):
    monkeypatch.setattr(demo, "check", lambda *_, **__: demo_run[2])  # of the same plans
    samples = tmp_path / "samples"
    shutil.copytree(SAMPLES, samples, ignore=shutil.ignore_patterns("drawing", "__pycache__"))
    truth = json.loads((samples / "truth.json").read_text("utf-8"))
    for sheet in truth["sheets"]:
        for dimension in sheet["dimensions"]:
            dimension["right"] = True
    (samples / "truth.json").write_text(json.dumps(truth), "utf-8")
    assert run_command(["demo", "--samples", str(samples), "--out", str(tmp_path / "o")]) == 1


def test_demo_without_samples_says_what_to_do(tmp_path, capsys):
    assert run_command(["demo", "--samples", str(tmp_path), "--out", str(tmp_path / "o")]) == 2
    assert "--samples" in capsys.readouterr().err
