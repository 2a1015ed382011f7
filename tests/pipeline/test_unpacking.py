"""Plans out of an audit file keep the names their owner knows, where these are harmless."""

from __future__ import annotations

import numpy as np
import pikepdf
import pytest
from PIL import Image

from audit.cli.main import run_command
from audit.pipeline.unpacking import harmless_name, unpack_plans
from audit.store import open_audit
from tests.fuzz.hostile import scripted


@pytest.mark.parametrize(
    "name",
    ["", "..", "../a.pdf", "a/b.pdf", "a\\b.pdf", "a\n.pdf", "C:x.pdf", "-rf", "x" * 201, " a.pdf"],
)
def test_a_name_that_could_do_harm_is_not_taken(name, tmp_path):
    ours = harmless_name(name, 7)
    assert ours.startswith("7")
    assert (tmp_path / ours).parent == tmp_path


@pytest.mark.parametrize(
    "name",
    [
        "Lift (2).pdf",
        "Pläne, Blatt 1.tif",
        "図面.png",
        "a",
        "[1] 50% of A~1; {new}!.pdf",
        "図" * 60,
    ],
)
def test_a_usual_name_stays(name):
    assert harmless_name(name, 7) == name


def test_what_is_told_of_a_plan_names_the_user_s_file(tmp_path, capsys):
    plan = tmp_path / "engine.pdf"
    plan.write_bytes(scripted())
    run_command(["check", str(plan)])
    plan.unlink()
    again = tmp_path / "again.pdf"
    capsys.readouterr()
    run_command(["markup", str(tmp_path / "engine.audit"), "-o", str(again)])
    told = capsys.readouterr()
    assert "engine.pdf carried" in told.out + told.err
    with pikepdf.open(again) as copy:
        assert len(copy.pages) >= 2


def test_two_plans_of_one_name_are_both_unpacked(tmp_path):
    for folder, gray in (("a", 200), ("b", 220)):
        (tmp_path / folder).mkdir()
        Image.fromarray(np.full((90, 120), gray, np.uint8)).save(tmp_path / folder / "plan.png")
    run_command(["check", *(str(tmp_path / f / "plan.png") for f in "ab"), "--out", str(tmp_path)])
    (tmp_path / "out").mkdir()
    with open_audit(tmp_path / "plan.audit", read_only=True) as file:
        places = unpack_plans(file, tmp_path / "out")
    assert [place.name for place in places] == ["plan.png", "plan.png"]
    assert len({place.read_bytes() for place in places}) == 2


def test_a_strip_of_a_picture_gets_a_page_that_can_be_shown(tmp_path):
    """MuPDF makes another page of one that is under 1 pt high."""
    strip = np.full((2, 200_000), 255, np.uint8)
    strip[:, ::50] = 0
    plan = tmp_path / "strip.png"
    Image.fromarray(strip).save(plan)
    assert run_command(["check", str(plan)]) == 4
    with pikepdf.open(tmp_path / "strip-marked.pdf") as marked:
        _, _, wide, high = map(float, marked.pages[-1].MediaBox)
    assert min(wide, high) >= 36
