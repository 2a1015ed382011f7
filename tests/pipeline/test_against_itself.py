"""The sample plan, all sheets as drawn pages: every planted mistake, and none when it is right."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import pytest

from audit.pipeline import CheckRequest, check
from audit.records import Settings, Severity, TextState

SAMPLES = Path(__file__).parents[2] / "sample_scans"
pytestmark = pytest.mark.xdist_group("sample-plan")


@pytest.fixture(scope="module")
def drawing():
    sys.path.insert(0, str(SAMPLES))
    from drawing import sheet_1, sheet_2, sheet_3

    return sheet_1, sheet_2, sheet_3


def audit_of(sheets, folder):
    from drawing.pdf import pdf_of

    plans = []
    for k, sheet in enumerate(sheets, start=1):
        path = folder / f"plan-{k}.pdf"
        path.write_bytes(pdf_of(sheet.draw()))
        plans.append(path)
    return check(CheckRequest(plans=tuple(plans), settings=Settings())).audit


def told(audit, groups="CPFM"):
    return {(f.code, f.suggestion) for f in audit.findings if f.code[0] in groups}


def test_every_mistake_planted_in_sums_list_counts_fits_and_notes_is_found(drawing, tmp_path):
    audit = audit_of(drawing, tmp_path)
    assert told(audit) - {("F102", None), ("P109", None)} == {
        ("C101", "3 3/8"),
        ("P101", "6 1/2"),
        ("P103", "8"),
        ("F101", None),
        ("M101", "1/4"),
        ("M102", None),
    }
    [step] = [f for f in audit.findings if f.code == "P103"]
    assert {p.sheet for p in step.places} == {1, 2}
    [chain] = [f for f in audit.findings if f.code == "C101"]
    assert chain.grade == "drawing+chain"
    assert chain.dimensions[0] not in {
        n for f in audit.findings if f.code == "A101" for n in f.dimensions
    }
    rows = [t for t in audit.texts if t.text.endswith(("PLYWOOD", "HARDWOOD", "DOWEL"))]
    assert len(rows) == 12
    assert all(t.state is TextState.COMPARED for t in rows)


def test_the_same_plan_without_its_mistakes_yields_notes_at_most(drawing, tmp_path, monkeypatch):
    one, two, three = drawing
    monkeypatch.setattr(one, "PRINTED_RAIL_TO_ROD", Fraction(27, 8))
    monkeypatch.setattr(one, "PRINTED_HOLES_UP", Fraction(3, 2))
    rows = [list(row) for row in one.LIST]
    rows[1][3], rows[1][5] = "1/2", "6 1/2"
    rows[3][2] = "8"
    rows[10][5] = "1 3/8"
    monkeypatch.setattr(one, "LIST", tuple(tuple(r) for r in rows))
    monkeypatch.setattr(two, "PRINTED_STEP_LOW", Fraction(3))
    monkeypatch.setattr(two, "PRINTED_STEP_COUNT", 8)
    monkeypatch.setattr(two.p, "CAM_BORE", Fraction(9, 32))
    monkeypatch.setattr(three, "PRINTED_KNOB_LENGTH", Fraction(11, 8))
    audit = audit_of(drawing, tmp_path)
    serious = [f for f in audit.findings if f.severity is not Severity.NOTE]
    assert [f.text for f in serious if f.code[0] in "CPFM"] == []
