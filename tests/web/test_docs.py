"""docs/api.md names every call there is, and its script runs."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import textwrap
from pathlib import Path

import httpx
import pytest

ROOT = Path(__file__).parents[2]
DOC = (ROOT / "docs" / "api.md").read_text("utf-8")


def test_every_acting_call_is_in_the_docs(server):
    paths = server.client.get("/openapi.json").json()["paths"]
    assert len(paths) > 20
    for path in paths:
        shown = re.sub(r"\{\w+\}", "N", path).removesuffix("/N/N/N")
        assert shown in DOC or f"{shown}/" in DOC or shown in {"/api/sheets/N/crop"}, shown


def test_the_script_of_the_docs_audits_the_sample_scan(server, tmp_path, monkeypatch, capsys):
    script = textwrap.dedent(
        "\n".join(line for line in DOC.splitlines() if line.startswith("    "))
    )
    script = script.replace("http://127.0.0.1:PORT", server.address)
    script = script.replace("TOKEN", server.door.token)
    sample = ROOT / "sample_scans" / "marble-lift-2.png"
    (tmp_path / "scan.png").write_bytes(sample.read_bytes())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(httpx, "Client", lambda client=httpx.Client, **kw: client(**kw, timeout=60))
    names: dict[str, httpx.Client] = {}
    exec(compile(script, "docs/api.md", "exec"), names)
    names["page"].close()
    assert capsys.readouterr().out == "disagrees 1/8 short\n"
    assert (tmp_path / "marked.pdf").read_bytes().startswith(b"%PDF")


def run_script(folder, cache, *names):
    """Run docs/audit_over_http.py as its first lines say."""
    done = subprocess.run(
        [sys.executable, str(ROOT / "docs" / "audit_over_http.py"), str(folder), *names],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
        env={**os.environ, "PLAN_AUDIT_CACHE": str(cache)},
        timeout=1200,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert (folder / "marked.pdf").read_bytes().startswith(b"%PDF")
    return done.stdout


def test_the_longer_script_audits_a_sample_sheet_over_http(tmp_path, cache):
    said = run_script(tmp_path, cache, "marble-lift-1.pdf")
    assert re.search(r"sheet 1: \d\d of 47 checked", said)
    assert "3 9/32: 3/32 short" in said  # the mistake that is planted there
    assert "3 9/32" in (tmp_path / "table.csv").read_text("utf-8")


@pytest.mark.hard
def test_the_longer_script_audits_all_sample_sheets_over_http(tmp_path, cache):
    said = run_script(tmp_path, cache)
    assert "3 9/32: 3/32 short" in said
    assert "2 7/8: 1/8 short" in said
    assert "sheet 3: " in said
