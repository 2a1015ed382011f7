"""The shop sheet as a user makes it: three kinds of file, whole or not at all."""

from __future__ import annotations

import json
from fractions import Fraction

import pypdf
import pytest

from audit.cli.main import run_command
from audit.lengths import Length, Unit
from tests.cli.test_pattern import keep, refusal, texts_of

pytestmark = pytest.mark.usefixtures("lent_workers")


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    return keep(tmp_path_factory.mktemp("shop"), build=Length(Fraction(7, 2), Unit.IN))


def test_the_sheet_opens_with_coverage_and_holds_and_ends_with_crops_to_look_at(kept):
    assert run_command(["shop", str(kept)]) == 0
    out = kept.with_name("plan-shop.pdf")
    text = texts_of(out)
    order = [text.index(word) for word in ("Do not cut yet", "Cut list", "All parts accounted for",
                                           "Cautions", "Look again")]  # fmt: skip
    assert order == sorted(order)
    last = pypdf.PdfReader(str(out)).pages[-1]
    assert len(last.images) >= 1
    assert "Hold small parts safely" in text


def test_paper_can_be_chosen(kept, tmp_path):
    out = tmp_path / "s.pdf"
    assert run_command(["shop", str(kept), "-o", str(out), "--paper", "a4"]) == 0
    assert float(pypdf.PdfReader(str(out)).pages[0].mediabox.width) == pytest.approx(
        595.28, abs=0.1
    )


def test_table_and_data_are_written_by_their_suffix(kept, tmp_path):
    for name in ("s.csv", "s.json"):
        assert run_command(["shop", str(kept), "--out", str(tmp_path / name)]) == 0
    assert json.loads((tmp_path / "s.json").read_text("utf-8"))["version"] == 1
    assert (tmp_path / "s.csv").read_bytes().startswith(b'"item","part"')


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["-o", "x.docx"], "cannot be written as .docx"),
        (["--allowance", "much"], "much"),
        (["--allowance", "9in"], "no allowance"),
        (["--allowance", "-1in"], "-1in"),
        (["--paper", "b5"], "no paper is called b5"),
        (["-o", "missing/folder/x.csv"], "cannot be written"),
    ],
)
def test_bad_options_get_one_line_and_write_nothing(kept, capsys, arguments, says):
    before = sorted(kept.parent.iterdir())
    assert run_command(["shop", str(kept), *arguments]) == 2
    assert says in refusal(capsys)
    assert sorted(kept.parent.iterdir()) == before
