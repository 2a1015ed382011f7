"""Silence is no approval: what was not judged is said first, in words, in the PDF and in JSON."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pymupdf
import pypdf
import pytest
from PIL import Image

from audit.cli.main import run_command

pytestmark = pytest.mark.usefixtures("lent_workers")

SAMPLE = Path(__file__).parents[2] / "sample_scans" / "marble-lift-1.pdf"
# Three that ask for checking; a stated scale is told by its own findings, not counted.
ASKING = ("ALL PARTS 1/4 THICK UNLESS NOTED", "MAKE 6", "STOCK: 3/4 BIRCH PLYWOOD")
STATEMENTS = (*ASKING, "SCALE 1:2")


def write_pdf(path: Path, *pages: tuple[str, ...]) -> Path:
    document = pymupdf.open()
    for texts in pages:
        page = document.new_page(width=612, height=792)
        for k, text in enumerate(texts):
            page.insert_text((72, 100 + 40 * k), text, fontsize=11)
    document.save(path)
    return path


def check(plan: Path, *more: Path) -> tuple[int, dict]:
    out = plan.parent / "out"
    plans = [str(plan), *map(str, more)]
    code = run_command(["check", *plans, "--out", str(out), "--json", str(out / "r.json")])
    return code, json.loads((out / "r.json").read_text("utf-8"))


def told_in_pdf(plan: Path) -> str:
    """All that the marked-up PDF says, pages first to last, as another library reads it."""
    reader = pypdf.PdfReader(plan.parent / "out" / f"{plan.stem}-marked.pdf")
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def first_line(capsys) -> str:
    return capsys.readouterr().out.splitlines()[0]


@pytest.fixture(scope="module")
def statements_only(tmp_path_factory) -> tuple[Path, int, dict]:
    plan = write_pdf(tmp_path_factory.mktemp("notes") / "notes.pdf", STATEMENTS)
    return (plan, *check(plan))


def test_sheet_with_only_statements_exits_4_and_says_so_first(statements_only, capsys):
    plan, code, _ = statements_only
    assert code == 4
    run_command(["check", str(plan), "--out", str(plan.parent / "again")])
    said = first_line(capsys)
    assert said.startswith("sheet 1: nothing could be judged; ")
    assert "3 sizes and notes were found" in said


def test_json_accounts_for_every_statement_with_a_reason(statements_only):
    _, _, result = statements_only
    assert result["coverage"] == {"checked": 0, "texts": 3}
    texts = result["sheets"][0]["texts"]
    assert {t["text"] for t in texts} == set(ASKING)
    assert {t["state"] for t in texts} == {"not-checked"}
    assert all(t["why"] for t in texts)


def test_marked_pdf_opens_its_findings_with_it(statements_only):
    plan, _, _ = statements_only
    said = told_in_pdf(plan)
    assert "nothing could be judged" in said
    assert said.index("nothing could be judged") < said.index("Printed dimensions govern")


@pytest.fixture
def bare_photo(tmp_path) -> Path:
    """A photograph of a table: light falling off, grain, nothing drawn."""
    rng = np.random.default_rng(5)
    y, x = np.mgrid[0:900, 0:1200]
    light = 190 - 40 * np.hypot(x - 500, y - 300) / 1500
    grain = np.clip(light + rng.normal(0, 4, light.shape), 0, 255).astype(np.uint8)
    path = tmp_path / "table.jpg"
    Image.fromarray(grain).save(path, quality=88)
    return path


def test_photo_without_anything_exits_4_and_says_so_first(bare_photo, capsys):
    code, result = check(bare_photo)
    assert code == 4
    said = "sheet 1: nothing could be judged; no sizes or notes were found (table.jpg)"
    assert first_line(capsys) == said
    assert result["coverage"] == {"checked": 0, "texts": 0}
    assert result["sheets"][0]["dimensions"] == []
    assert "nothing could be judged" in told_in_pdf(bare_photo)


def test_a_blank_sheet_among_good_ones_is_told_first(tmp_path, capsys):
    blank = write_pdf(tmp_path / "blank.pdf", ())
    plan = tmp_path / "plan.pdf"
    plan.write_bytes(SAMPLE.read_bytes())
    code, result = check(plan, blank)
    assert code == 1  # the other sheet has mistakes
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("sheet 2: nothing could be judged")
    assert lines[1].startswith("sheet 1: ")
    assert [s["coverage"]["texts"] for s in result["sheets"]][1] == 0


def test_counts_of_the_three_places_are_one_count(tmp_path, capsys):
    """What terminal and PDF say is what the list of texts in the JSON adds up to."""
    plan = tmp_path / "plan.pdf"
    plan.write_bytes(SAMPLE.read_bytes())
    _, result = check(plan)
    texts = [t for s in result["sheets"] for t in s["texts"]]
    checked = [t for t in texts if t["state"] != "not-checked"]
    assert result["coverage"] == {"checked": len(checked), "texts": len(texts)}
    assert 0 < len(checked) < len(texts)
    said = f"{len(checked)} of {len(texts)}"
    assert said in first_line(capsys)
    assert said in told_in_pdf(plan)
    assert all(t["why"] for t in texts if t["state"] == "not-checked")
