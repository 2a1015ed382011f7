"""`plan-audit batch` as typed: one result each, resumable, failures passed over."""

from __future__ import annotations

import csv
import json
import os
import shutil
import signal
import threading

import pytest

from audit.cli.main import run_command
from audit.pipeline.batch import RESULT
from tests.web.conftest import draw_sheet


def read_rows(out):
    return list(csv.DictReader((out / "summary.csv").read_text("utf-8").splitlines()))


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory):
    """A folder of one good and one bad plan, audited once."""
    folder = tmp_path_factory.mktemp("catalogue") / "plans"
    (folder / "deep").mkdir(parents=True)
    draw_sheet(folder / "deep" / "sheet.png")
    (folder / "bad.pdf").write_bytes(b"nonsense")
    code = run_command(["batch", str(folder), "--jobs", "2"])
    return folder, folder.with_name("plans-audits"), code


def test_every_plan_has_its_result_and_the_summary_names_all(catalogue):
    _, out, code = catalogue
    assert code == 2  # one plan could not be read
    assert (out / "deep" / "sheet" / RESULT).is_file()
    assert (out / "deep" / "sheet" / "sheet-marked.pdf").is_file()
    assert (out / "deep" / "sheet" / "sheet.png").read_bytes().startswith(b"\x89PNG")
    rows = read_rows(out)
    assert {row["plan"]: row["state"] for row in rows} == {"bad": "failed", "deep/sheet": "done"}
    told = {p["name"]: p for p in json.loads((out / "summary.json").read_text())["plans"]}
    assert "neither a PDF nor a picture" in told["bad"]["problem"]
    assert told["deep/sheet"]["sheets"] == 1
    assert 'src="deep/sheet/sheet.png"' in (out / "index.html").read_text()


def test_run_again_it_goes_on_where_it_stopped(catalogue, tmp_path, capfd):
    folder, out, code = catalogue
    again = tmp_path / "again"
    shutil.copytree(out, again)
    before = (again / "deep" / "sheet" / RESULT).stat().st_mtime_ns
    assert run_command(["batch", str(folder), "--out", str(again)]) == code
    assert "2 of 2 plans were audited before" in capfd.readouterr().err
    assert (again / "deep" / "sheet" / RESULT).stat().st_mtime_ns == before
    (folder / "new.pdf").write_bytes(b"more nonsense")
    run_command(["batch", str(folder), "--out", str(again)])
    said = capfd.readouterr()
    assert "1 of 1  new: failed" in said.err
    assert said.out.startswith("3 plans:")
    (folder / "new.pdf").unlink()


@pytest.mark.parametrize(
    ("options", "problem"),
    [
        (["--tolerance", "wide"], "wide"),
        (["--unit", "yard"], "no unit"),
        (["--limit", "0"], "too short"),
        (["--dask", "tcp://127.0.0.1:9"], "no Dask scheduler answers"),
    ],
)
def test_a_wrong_option_is_told_once_and_nothing_is_run(
    catalogue, tmp_path, capfd, options, problem
):
    folder, _, _ = catalogue
    assert run_command(["batch", str(folder), "--out", str(tmp_path / "o"), *options]) == 2
    said = capfd.readouterr().err
    assert said.count("\n") == 1
    assert problem in said


@pytest.mark.hard
def test_a_dask_worker_killed_in_the_run_loses_no_plan(tmp_path):
    from distributed import LocalCluster

    folder, out = tmp_path / "plans", tmp_path / "out"
    folder.mkdir()
    for number in range(6):
        draw_sheet(folder / f"sheet{number}.png")
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        pids = [worker.pid for worker in cluster.workers.values()]
        codes = []
        run = threading.Thread(
            target=lambda: codes.append(
                run_command(
                    ["batch", str(folder), "--out", str(out), "--dask", cluster.scheduler_address]
                )
            )
        )
        run.start()
        journal = out / "batch.jsonl"
        while not (journal.exists() and journal.read_bytes()):
            run.join(0.1)
            assert run.is_alive()
        os.kill(pids[0], signal.SIGKILL)
        run.join(300)
    assert codes[0] in (0, 1, 4)
    rows = read_rows(out)
    assert [row["state"] for row in rows] == ["done"] * 6
