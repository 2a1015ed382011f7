"""`plan-audit read`: the printed text of pictures, in the order given."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from PIL import Image

from audit.cli.main import run_command
from audit.reading import available_readers
from tests.snapping.drawn import new_page, render

SAMPLES = Path(__file__).parents[2] / "sample_scans"
pytestmark = pytest.mark.skipif(not available_readers(), reason="no reader of pictures here")


def crop(path: Path, text: str) -> Path:
    page = new_page()
    page.insert_text((40, 60), text, fontsize=14)
    gray = render(page, 300).gray[180:270, 150 : 200 + 40 * len(text)]
    Image.fromarray(gray).save(path)
    return path


def read_json(*arguments: str, capsys) -> tuple[int, list[dict]]:
    code = run_command(["read", *arguments, "--json", "-"])
    result = json.loads(capsys.readouterr().out)
    assert result["version"] == 1
    return code, result["readings"]


def test_readings_come_in_the_order_of_the_pictures(tmp_path, capsys):
    names = [str(crop(tmp_path / f"{i}.png", t)) for i, t in enumerate(["12.375", "7.5", "R 2.25"])]
    code, readings = read_json(*names, capsys=capsys)
    assert code == 0
    assert [r["source"] for r in readings] == names
    assert readings[0]["text"] == "12.375"
    assert all(isinstance(r["text"], str) for r in readings)
    assert "box" not in readings[0]


def test_unreadable_picture_is_named_and_the_others_are_read(tmp_path, capsys):
    good = str(crop(tmp_path / "good.png", "12.375"))
    (tmp_path / "bad.png").write_bytes(b"")
    code = run_command(["read", str(tmp_path / "bad.png"), good, "--json", "-"])
    captured = capsys.readouterr()
    assert code == 2
    assert [r["source"] for r in json.loads(captured.out)["readings"]] == [good]
    assert "bad.png" in captured.err
    assert len(captured.err.splitlines()) == 1


def test_blank_picture_reads_as_nothing_and_is_not_sure(tmp_path, capsys):
    Image.new("L", (120, 40), 255).save(tmp_path / "blank.png")
    code, readings = read_json(str(tmp_path / "blank.png"), capsys=capsys)
    assert code == 0
    assert (readings[0]["text"], readings[0]["value"], readings[0]["sure"]) == ("", None, False)


def test_sheet_reads_every_text_with_its_place(capsys):
    code, readings = read_json(str(SAMPLES / "marble-lift-1.pdf"), "--sheet", capsys=capsys)
    assert code == 0
    by_text = {r["text"]: r for r in readings}
    assert by_text["3 9/32"]["value"] == "105/32"
    assert by_text["3 9/32"]["unit"] == "in"
    assert len(by_text["3 9/32"]["box"]) == 4
    assert {r["angle"] for r in readings} >= {0.0, 90.0}


def test_readings_can_be_kept_in_a_file(tmp_path):
    shutil.copy(SAMPLES / "marble-lift-1.pdf", tmp_path)
    out = tmp_path / "r.json"
    code = run_command(["read", "--sheet", str(tmp_path / "marble-lift-1.pdf"), "--json", str(out)])
    assert code == 0
    assert json.loads(out.read_text("utf-8"))["version"] == 1
