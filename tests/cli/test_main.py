"""The commands as a user types them: exit codes, one clear line, whole files or none."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
import typer

from audit.cli.main import app, register_all, run_command

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_scans"


@pytest.fixture(scope="module")
def checked(tmp_path_factory):
    """One check of the vector sample, shared by the tests that look at its results."""
    out = tmp_path_factory.mktemp("out")
    code = run_command(
        [
            "check",
            str(SAMPLES / "marble-lift-1.pdf"),
            "--out",
            str(out),
            "--json",
            str(out / "r.json"),
        ]
    )
    return code, out


def one_line(capsys) -> str:
    captured = capsys.readouterr()
    lines = [x for x in captured.err.splitlines() if x and not x.startswith("…")]
    assert len(lines) == 1, captured.err
    assert "Traceback" not in captured.err
    return lines[0]


def test_check_of_a_plan_with_mistakes_exits_1_and_writes_audit_and_marked_pdf(checked):
    code, out = checked
    assert code == 1
    assert sorted(p.name for p in out.iterdir()) == [
        "marble-lift-1-marked.pdf",
        "marble-lift-1.audit",
        "r.json",
    ]


def test_json_result_follows_the_committed_schema(checked):
    _, out = checked
    schema = json.loads((ROOT / "docs" / "result.schema.json").read_text("utf-8"))
    result = json.loads((out / "r.json").read_text("utf-8"))
    jsonschema.validate(result, schema)
    assert result["version"] == 1
    wrong = [d for s in result["sheets"] for d in s["dimensions"] if d["verdict"] == "disagrees"]
    assert sorted(d["text"] for d in wrong) == ["1 5/8", "3 9/32"]
    short = next(d for d in wrong if d["text"] == "3 9/32")
    assert short["printed"]["value"] == "105/32"
    assert short["scaled"]["nearest"] == "3 3/8"
    assert short["difference"] == pytest.approx(-0.09375, abs=1e-3)


def test_reports_are_made_again_from_the_audit_file_alone(checked, tmp_path):
    _, out = checked
    audit = str(out / "marble-lift-1.audit")
    for name in ("again.pdf", "again.csv", "again.md", "again.json"):
        command = "markup" if name.endswith(".pdf") else "table"
        assert run_command([command, audit, "-o", str(tmp_path / name)]) == 0
        assert (tmp_path / name).stat().st_size > 500


def test_check_again_adds_a_run_and_keeps_the_numbers(checked, tmp_path):
    _, out = checked
    before = json.loads((out / "r.json").read_text("utf-8"))
    copy = tmp_path / "marble-lift-1.audit"
    copy.write_bytes((out / "marble-lift-1.audit").read_bytes())
    plan = str(SAMPLES / "marble-lift-1.pdf")
    run_command(["check", plan, "--out", str(tmp_path), "--json", str(tmp_path / "r.json")])
    after = json.loads((tmp_path / "r.json").read_text("utf-8"))
    numbers = [[d["id"] for s in r["sheets"] for d in s["dimensions"]] for r in (before, after)]
    assert numbers[0] == numbers[1]


def test_json_on_stdout_is_json_alone(tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", "from audit.cli.main import run; run()", "check",
         str(SAMPLES / "marble-lift-1.pdf"), "--out", str(tmp_path), "--json", "-"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert json.loads(done.stdout)["coverage"]["texts"] > 20
    assert "checked" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["check", "no-such.pdf"], "does not exist"),
        (["check", str(ROOT / "README.md")], "neither a PDF nor a picture"),
        (["check", str(SAMPLES / "marble-lift-1.pdf"), "--tolerance", "banana"], "no length"),
        (["check", str(SAMPLES / "marble-lift-1.pdf"), "--unit", "furlong"], "no unit"),
        (["check", str(SAMPLES / "marble-lift-1.pdf"), "--known", "4 in @ 7:1,2 3,4"], "sheet 7"),
        (["check", str(SAMPLES / "marble-lift-1.pdf"), "--known", "4 in @ 1:1,2"], "1 place"),
        (
            ["check", str(SAMPLES / "marble-lift-1.pdf"), "--known", "4 in @ 1:1,2 9999,4"],
            "outside",
        ),
        (["check", str(SAMPLES / "marble-lift-1.pdf"), "--points", "none.csv"], "does not exist"),
        (["check"], "see plan-audit check --help"),
        (["check", "--wrong"], "No such option"),
        (["frobnicate"], "No such command 'frobnicate'"),
        (["frobnicate"], ": see plan-audit --help"),
        (["table", str(ROOT / "README.md"), "-o", "x.csv"], "README.md"),
        (["markup", "none.audit", "-o", "x.pdf"], "none.audit"),
        (["markup", "none.audit", "-o", "x.doc"], "no PDF name"),
    ],
)
def test_bad_usage_gets_one_line_and_exit_code_2(arguments, says, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run_command(arguments) == 2
    assert says in one_line(capsys)
    assert list(tmp_path.iterdir()) == []


def test_fault_of_the_program_comes_out_as_3_not_as_findings(monkeypatch, capsys, tmp_path):
    def fail(*_, **__):
        raise ZeroDivisionError("planted")

    monkeypatch.setattr("audit.cli.checking.check", fail)
    plan = str(SAMPLES / "marble-lift-1.pdf")
    assert run_command(["check", plan, "--out", str(tmp_path)]) == 3
    assert "internal error (ZeroDivisionError: planted)" in one_line(capsys)


def test_one_broken_plan_among_good_ones_is_named_and_the_others_are_done(tmp_path, capsys):
    broken = tmp_path / "broken.png"
    broken.write_bytes((SAMPLES / "marble-lift-2.png").read_bytes()[:40_000])
    plan = str(SAMPLES / "marble-lift-1.pdf")
    assert run_command(["check", plan, str(broken), "--out", str(tmp_path / "o")]) == 2
    assert "broken.png" in one_line(capsys)
    assert (tmp_path / "o" / "marble-lift-1-marked.pdf").exists()


def test_plan_with_nothing_printed_is_not_called_clean(tmp_path, capsys):
    import pymupdf

    document = pymupdf.open()
    document.new_page()
    document.save(tmp_path / "blank.pdf")
    assert run_command(["check", str(tmp_path / "blank.pdf")]) == 4
    assert capsys.readouterr().out.startswith("sheet 1: nothing could be judged")


def test_interrupt_exits_130(monkeypatch, tmp_path, capsys):
    def stop(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("audit.cli.checking.check", stop)
    assert run_command(["check", str(SAMPLES / "marble-lift-1.pdf"), "--out", str(tmp_path)]) == 130
    assert capsys.readouterr().err.endswith("plan-audit: stopped: nothing confirmed is lost\n")


def test_another_plan_of_the_same_name_gets_its_own_audit(tmp_path, capsys):
    from PIL import Image

    picture = Image.new("L", (300, 200), 255)
    for suffix in ("png", "tif"):
        picture.save(tmp_path / f"plan.{suffix}")
        assert run_command(["check", str(tmp_path / f"plan.{suffix}")]) == 4
    assert "plan.audit holds another plan and is left alone" in capsys.readouterr().err
    assert (tmp_path / "plan-2.audit").exists()
    assert (tmp_path / "plan-2-marked.pdf").exists()


def test_very_wide_picture_is_checked_like_any_other(tmp_path):
    from PIL import Image

    Image.new("1", (2_000_000, 20), 1).save(tmp_path / "wide.png")
    assert run_command(["check", str(tmp_path / "wide.png")]) == 4


def test_every_command_that_writes_takes_the_same_names_for_where_to():
    """Long or short, file or folder: nobody has to remember which command wants which."""
    register_all()
    commands = typer.main.get_command(app).commands
    outputs = {
        name: {opt for p in command.params for opt in p.opts}
        for name, command in commands.items()
        if any(p.name in ("out", "output") for p in command.params)
    }
    assert {"check", "batch", "markup", "table", "shop", "errata", "pattern", "bars"} <= set(
        outputs
    )
    assert all({"--out", "-o"} <= names for names in outputs.values()), outputs
