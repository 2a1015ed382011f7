"""Errata as two owners of one plan use them: written, loaded onto another scan, cut, taken back."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from audit.cli.main import run_command
from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.records import Audit, Cut, Decision, Severity, View, ViewKind
from audit.sheets import load_plan
from audit.store import Decide, create_audit, open_audit
from tests.cli.test_pattern import refusal, texts_of
from tests.report.builders import make_scale
from tests.report.plan_with_parts import dimension, finding

pytestmark = pytest.mark.usefixtures("lent_workers")

SAMPLE = Path(__file__).parents[2] / "sample_scans" / "marble-lift-1.pdf"
VIEW = Box(82.0, 57.0, 591.0, 512.0)
ENDS = ((189.0, 118.0), (432.0, 118.0))  # of 3 9/32 on the side plate, roughly; sheet pt
TURN = np.deg2rad(1.3)


def audit_of(plan, ends, box) -> Audit:
    """What a check would come to, in short: one view, one size, one finding."""
    with load_plan([plan]) as loaded:
        [sheet] = loaded.sheets
    view = View(id=1, sheet=1, kind=ViewKind.TRUE, box=box, title="SIDE PLATE",
                scale=make_scale(1.0))  # fmt: skip
    one = dimension(1, "3 9/32", 1, ends, scaled=3.375)
    wrong = finding(9, "C101", "3 9/32 in does not close its chain.", 1,
                    severity=Severity.ERROR, suggestion="3 3/8")  # fmt: skip
    return Audit(name="lift", sheets=(sheet,), views=(view,), dimensions=(one,), findings=(wrong,))


def keep(folder, plan, audit, *, decide=False):
    path = folder / f"{plan.stem}.audit"
    with create_audit(path, name=audit.name) as file:
        file.add_source(plan, plan.name)
        file.add_run(audit, revision=file.revision)
        if decide:
            number = file.load().dimensions[0].id
            value = Length(Fraction(27, 8), Unit.IN)
            decision = Decision(dimension=number, value=value, reason="the chain asks for it")
            file.record(Decide(decision=decision), revision=file.revision)
    return path


@pytest.fixture(scope="module")
def ours(tmp_path_factory):
    """The PDF's owner: decided, and cut."""
    folder = tmp_path_factory.mktemp("ours")
    path = keep(folder, SAMPLE, audit_of(SAMPLE, ENDS, VIEW), decide=True)
    assert run_command(["errata", str(path), "--cut", "1=fits: dry run"]) == 0
    return path


@pytest.fixture(scope="module")
def written(ours):
    assert run_command(["errata", str(ours)]) == 0
    return ours.with_name(f"{ours.stem}-errata.json")


def scan_of(folder):
    """Another owner's scan of the same print, askew and stretched; and the map onto it."""
    with load_plan([SAMPLE]) as plan:
        image = plan.gray(plan.sheets[0], dpi=120)
        pixels = np.array(image.pixels)
        from_frame = image.to_frame.inverse().matrix

    c, s = np.cos(TURN), np.sin(TURN)
    askew = np.array([[0.985 * c, -s, 60.0], [s, 1.004 * c, 25.0], [0, 0, 1.0]])
    size = (pixels.shape[1] + 80, pixels.shape[0] + 80)
    seen = cv2.warpPerspective(pixels, askew, size, borderValue=240).astype(float)
    noise = np.random.default_rng(5).normal(0, 6, seen.shape)
    path = folder / "scan.png"
    Image.fromarray(np.clip(seen * 0.95 + noise, 0, 255).astype(np.uint8)).save(
        path, dpi=(120, 120)
    )
    return path, askew @ from_frame


def through(matrix, points):
    mapped = [matrix @ np.array([*p, 1.0]) for p in points]
    return tuple((float(p[0] / p[2]), float(p[1] / p[2])) for p in mapped)


@pytest.fixture(scope="module")
def theirs(tmp_path_factory):
    """The scan's owner, who has the same size found at its own pixels."""
    folder = tmp_path_factory.mktemp("theirs")
    plan, matrix = scan_of(folder)
    box = Box.around([Point(*p) for p in through(matrix, VIEW.corners)])
    return keep(folder, plan, audit_of(plan, through(matrix, ENDS), box))


def test_everything_is_written_beside_the_audit(ours, written):
    names = {p.name for p in ours.parent.iterdir()}
    stem = f"{ours.stem}-errata"
    assert {f"{stem}.pdf", f"{stem}.md", f"{stem}-pin-up.pdf", f"{stem}.json"} <= names
    letter = texts_of(ours.with_name(f"{stem}.pdf"))
    assert "To the publisher of this plan" in letter
    assert "Cut: it fits. dry run" in letter
    assert "Mind these sizes" in texts_of(ours.with_name(f"{stem}-pin-up.pdf"))
    assert json.loads(written.read_text("utf-8"))["errata"][0]["cut"] == "fits"


def test_errata_land_on_the_same_size_of_another_scan_and_decide_nothing(written, theirs, capsys):
    assert run_command(["errata", str(theirs), "--load", str(written)]) == 0
    assert "their sheet 1 is sheet 1" in capsys.readouterr().out
    with open_audit(theirs, read_only=True) as file:
        audit = file.load()
    [taken] = audit.outside
    [proposal] = taken.proposals
    assert proposal.dimension == audit.dimensions[0].id
    assert (proposal.cut, proposal.decided) == (Cut.FITS, Length(Fraction(27, 8), Unit.IN))
    assert audit.decisions == ()
    assert audit.dimensions[0].build_to is None


def test_loading_twice_keeps_one_and_undo_takes_it_back(written, theirs):
    for _ in range(2):
        assert run_command(["errata", str(theirs), "--load", str(written)]) == 0
    with open_audit(theirs) as file:
        assert len(file.load().outside) == 1
    assert run_command(["errata", str(theirs), "--drop"]) == 0
    with open_audit(theirs) as file:
        assert file.load().outside == ()
        file.undo(revision=file.revision)
        assert len(file.load().outside) == 1


def test_the_shop_sheet_tells_what_others_report(written, theirs, tmp_path):
    assert run_command(["errata", str(theirs), "--load", str(written)]) == 0
    out = tmp_path / "shop.pdf"
    assert run_command(["shop", str(theirs), "-o", str(out)]) == 0
    assert "Other owners report" in texts_of(out)


def test_errata_of_another_plan_are_refused_in_one_line(written, tmp_path, capsys):
    rng = np.random.default_rng(2)
    plan = tmp_path / "other.png"
    noise = np.where(rng.random((60, 80)) < 0.1, 0, 255).astype(np.uint8)
    Image.fromarray(np.kron(noise, np.ones((12, 12), np.uint8))).save(plan, dpi=(100, 100))
    with load_plan([plan]) as loaded:
        audit = Audit(name="other", sheets=loaded.sheets)
    path = keep(tmp_path, plan, audit)
    before = hashlib.sha256(path.read_bytes()).digest()
    capsys.readouterr()
    assert run_command(["errata", str(path), "--load", str(written)]) == 2
    assert "another plan" in refusal(capsys)
    assert hashlib.sha256(path.read_bytes()).digest() == before


def test_cut_marks_need_a_decision_and_can_be_taken_back(ours, theirs, capsys):
    capsys.readouterr()
    assert run_command(["errata", str(theirs), "--cut", "1=fits"]) == 2
    assert "nothing was decided" in refusal(capsys)
    assert run_command(["errata", str(ours), "--cut", "1=no: too tight"]) == 0
    with open_audit(ours) as file:
        assert file.load().decisions[0].cut is Cut.DOES_NOT_FIT
        file.undo(revision=file.revision)
        assert file.load().decisions[0].cut is Cut.FITS


def test_a_new_decision_is_not_cut_yet(ours, tmp_path):
    copy = tmp_path / "copy.audit"
    copy.write_bytes(ours.read_bytes())
    with open_audit(copy) as file:
        decision = file.load().decisions[0]
        assert decision.cut is Cut.FITS
        file.record(
            Decide(decision=replace(decision, cut=None, cut_note="")), revision=file.revision
        )
        assert file.load().decisions[0].cut is None


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--load", "nowhere.json"], "cannot be read"),
        (["--cut", "fits"], "does not say what came of a cut"),
        (["--cut", "99=fits"], "there is no dimension 99"),
        (["--drop"], "nothing to drop"),
        (["-o", "x.docx"], "cannot be written as x.docx"),
        (["-o", "x.md", "--pin-up"], "a sheet to pin up cannot be written as x.md"),
    ],
)
def test_bad_options_get_one_line(ours, capsys, arguments, says):
    capsys.readouterr()
    assert run_command(["errata", str(ours), *arguments]) == 2
    assert says in refusal(capsys)
