"""A plan that opens and then cannot be read: told in one line, and the rest of the job is done."""

from __future__ import annotations

import pikepdf
import pytest
from PIL import Image

from audit.cli.main import run_command
from audit.errors import CannotWrite
from audit.pipeline import marking
from tests.fuzz.corpus import drawn_pdf, saved

HALF = 0.5


def cut_jpeg():
    whole = saved(format="JPEG", quality=80, dpi=(100, 100))
    return whole[: int(len(whole) * HALF)]


def spoilt_tiff():
    """A TIFF whose header is whole and whose strips are noise."""
    data = bytearray(saved(format="TIFF", compression="tiff_lzw", dpi=(100, 100)))
    data[8:2000] = bytes(range(1, 250)) * 8
    return bytes(data)


def lines_of(capsys):
    told = capsys.readouterr()
    return told.out, [x for x in told.err.splitlines() if x.startswith("plan-audit: ")]


@pytest.mark.parametrize(("name", "make"), [("a.jpg", cut_jpeg), ("a.tif", spoilt_tiff)])
def test_a_picture_that_cannot_be_decoded_is_one_line_and_still_marked(
    tmp_path, capsys, name, make
):
    plan = tmp_path / name
    plan.write_bytes(make())
    assert run_command(["check", str(plan)]) == 2
    out, said = lines_of(capsys)
    assert len(said) == 1
    assert name in said[0]
    assert "copy or scan it again" in said[0]
    assert "nothing could be judged" in out
    with pikepdf.open(tmp_path / "a-marked.pdf") as marked:
        assert len(marked.pages) >= 2  # findings, and the sheet as far as it can be shown
    assert (tmp_path / "a.audit").is_file()


def test_a_damaged_picture_does_not_keep_the_good_sheet_from_being_marked(tmp_path, capsys):
    good, bad = tmp_path / "good.pdf", tmp_path / "bad.tif"
    good.write_bytes(drawn_pdf())
    bad.write_bytes(spoilt_tiff())
    assert run_command(["check", str(good), str(bad)]) == 2
    out, said = lines_of(capsys)
    assert [line for line in said if "bad.tif" in line] == said
    assert "good.pdf" in out
    marked = (tmp_path / "good-marked.pdf").read_bytes()
    assert marked.startswith(b"%PDF")
    assert b"/Annots" in marked


def test_what_was_found_is_told_when_no_copy_can_be_written(tmp_path, capsys, monkeypatch):
    plan = tmp_path / "a.pdf"
    plan.write_bytes(drawn_pdf())

    def full(*_, **__):
        raise CannotWrite("a-marked.pdf cannot be written", advice="free some space")

    monkeypatch.setattr("audit.cli.checking.mark_up_audit", full)
    assert run_command(["check", str(plan)]) == 2
    out, said = lines_of(capsys)
    assert said == [
        "plan-audit: no marked-up PDF was written: a-marked.pdf cannot be written: free some space"
    ]
    assert "agrees 2" in out
    assert (tmp_path / "a.audit").is_file()


def test_ink_that_cannot_be_seen_costs_only_the_place_of_the_marks(tmp_path, monkeypatch):
    """Where marks lie depends on what is drawn; whether there are marks does not."""
    plan, blind = tmp_path / "a.png", CannotWrite("no", advice="no")
    Image.new("L", (300, 200), 255).save(plan)

    def fail(*_, **__):
        raise blind

    monkeypatch.setattr(marking, "see_ink", fail)
    run_command(["check", str(plan)])
    assert (tmp_path / "a-marked.pdf").is_file()
