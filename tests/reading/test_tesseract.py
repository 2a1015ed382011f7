"""Tesseract asked about many texts in one run, against pytesseract asking one by one."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytesseract
import pytest

from audit.reading import TesseractReader, tesseract
from audit.reading.tesseract import MOST_SURE, _prepare, _tidy
from audit.records import ReadBy
from tests.snapping.drawn import new_page, render

pytestmark = pytest.mark.skipif(
    shutil.which("tesseract") is None, reason="Tesseract is not installed; the job works without"
)
TEXTS = ("12.375", "MAKE 8", "R 3/8", "CAM ROD", "~", "7/16")


@pytest.fixture(scope="module")
def crops():
    page = new_page()
    for row, text in enumerate(TEXTS):
        page.insert_text((40, 40 + 28 * row), text, fontsize=14)
    gray = render(page, 200).gray
    tops = [int((22 + 28 * row) * 200 / 72) for row in range(len(TEXTS))]
    return [np.full((40, 90), 250, np.uint8), *(gray[top : top + 66, 90:300] for top in tops)]


def read_alone(crop):
    """What pytesseract makes of one crop: text and confidence, by its own reading of the table."""
    if np.ptp(crop) < 30:
        return ()
    data = pytesseract.image_to_data(
        _prepare(crop), config="--psm 7 --oem 1", output_type=pytesseract.Output.DICT
    )
    words = [(t.strip(), c) for t, c in zip(data["text"], data["conf"], strict=True) if t.strip()]
    words = [(t, c) for t, c in words if c >= 0]
    text = _tidy(" ".join(t for t, _ in words))
    return ((text, min(c for _, c in words) / 100 * MOST_SURE),) if text else ()


def told(crops):
    return [tuple((c.text, c.confidence) for c in said) for said in TesseractReader().read(crops)]


def test_many_texts_in_one_run_read_as_they_do_one_by_one(crops):
    together = told(crops)
    assert together == [read_alone(crop) for crop in crops]
    assert [said[0][0] for said in together[1:3]] == ["12.375", "MAKE 8"]
    assert all(c.by is ReadBy.TESSERACT for said in TesseractReader().read(crops) for c in said)


def with_program(folder, monkeypatch, lines):
    """Put a program called tesseract before the real one."""
    program = folder / "tesseract"
    program.write_text("\n".join(("#!/bin/sh", *lines, "")))
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.environ['PATH']}")


def test_a_run_that_fails_costs_only_the_text_it_fails_on(crops, tmp_path, monkeypatch):
    expected, real = told(crops[:4]), shutil.which("tesseract")
    asked = tmp_path / "asked"
    # fails on several at once, and on the second text also alone
    lines = (
        f'n=$(wc -l < "$1"); echo $n >> {asked}',
        '[ "$n" -gt 1 ] && exit 1',
        f'[ "$(grep -c . {asked})" -eq 4 ] && exit 1',
        f'exec {real} "$@"',
    )
    with_program(tmp_path, monkeypatch, lines)
    assert told(crops[:4]) == [expected[0], expected[1], (), expected[3]]
    assert asked.read_text().split() == ["3", "1", "2", "1", "1"]


def test_a_program_that_hangs_is_asked_once_for_each_group(crops, monkeypatch):
    asked = []

    def hang(command, **settings):
        asked.append(len(Path(command[1]).read_text("utf-8").splitlines()))
        raise subprocess.TimeoutExpired(command, settings["timeout"])

    monkeypatch.setattr(tesseract, "TOGETHER", 4)
    monkeypatch.setattr(tesseract.subprocess, "run", hang)
    assert told(crops) == [()] * len(crops)
    assert asked == [3, 3]  # shared out evenly


# whoever starts the tests in the background may have told all of them not to hear interrupts
DIE_OF_INTERRUPT = (
    f"exec {sys.executable} -c 'import os, signal; "
    "signal.signal(signal.SIGINT, signal.SIG_DFL); os.kill(os.getpid(), signal.SIGINT)'"
)


def test_an_interrupted_program_is_not_asked_again(crops, tmp_path, monkeypatch):
    runs = tmp_path / "runs"
    with_program(tmp_path, monkeypatch, [f"echo >> {runs}", DIE_OF_INTERRUPT])
    monkeypatch.setattr(tesseract, "cores", lambda: 1)
    reader = TesseractReader()
    assert reader.read(crops) == ((),) * len(crops)
    assert runs.read_text() == "\n"
    assert reader.unheard == len(TEXTS)


def test_groups_of_texts_keep_their_order(crops, monkeypatch):
    expected = told(crops)
    monkeypatch.setattr(tesseract, "TOGETHER", 2)
    assert told(crops) == expected


def test_a_program_that_says_nothing_reads_nothing(crops, tmp_path, monkeypatch):
    with_program(tmp_path, monkeypatch, ("exit 0",))
    assert told(crops) == [()] * len(crops)
