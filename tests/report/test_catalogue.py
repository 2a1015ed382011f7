"""A batch's summary: nothing foreign becomes markup or a formula."""

from __future__ import annotations

import csv
import io
import json
from html.parser import HTMLParser

from audit.records.batch import PlanOutcome, PlanState
from audit.report.catalogue import batch_csv, batch_json, batch_page, order_outcomes, say_batch

EVIL = "<img src=x onerror=alert(1)>\"'&"


def outcome(name, **fields):
    plain = {"sources": ("a.pdf",), "state": PlanState.DONE, "code": 0, "digest": "d"}
    return PlanOutcome(name=name, **(plain | fields))


class Reader(HTMLParser):
    """Collects tags with their attributes, and the text."""

    def __init__(self):
        super().__init__()
        self.tags, self.text = [], ""

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text += data


def read(page):
    reader = Reader()
    reader.feed(page)
    return reader


def test_names_and_sentences_stay_text_on_the_page():
    one = outcome(EVIL, sources=(EVIL,), worst=EVIL, problem=EVIL, state=PlanState.FAILED)
    reader = read(batch_page([one], title=EVIL, pictures=frozenset({EVIL})))
    assert not any("onerror" in attrs for _, attrs in reader.tags)
    assert reader.text.count(EVIL) >= 4
    (picture,) = [attrs for tag, attrs in reader.tags if tag == "img"]
    assert picture["src"].endswith("/sheet.png")
    assert "<" not in picture["src"]
    assert "script" not in {tag for tag, _ in reader.tags}
    assert any("default-src 'none'" in (a.get("content") or "") for _, a in reader.tags)


def test_a_name_cannot_point_out_of_the_folder_by_its_scheme():
    reader = read(batch_page([outcome("javascript:alert(1)")], title="t", pictures=frozenset()))
    (link,) = [attrs["href"] for tag, attrs in reader.tags if tag == "a"]
    assert ":" not in link


def test_errors_come_first_then_what_failed_then_warnings():
    given = [
        outcome("clean"), outcome("warned", warnings=3), outcome("failed", state=PlanState.FAILED),
        outcome("one", errors=1), outcome("two", errors=2),
    ]  # fmt: skip
    assert [o.name for o in order_outcomes(given)] == ["two", "one", "failed", "warned", "clean"]
    assert say_batch(given) == (
        "5 plans: 2 with errors, 1 with warnings only, 1 with neither, 1 not audited."
    )


def test_csv_and_json_hold_the_same_plans():
    given = [outcome("=cmd()", errors=2, seconds=1.25, worst='a, "b"\nc'), outcome("b")]
    rows = list(csv.reader(io.StringIO(batch_csv(given))))
    assert [row[0] for row in rows[1:]] == ["'=cmd()", "b"]
    assert rows[1][10] == 'a, "b" c'
    told = json.loads(batch_json(given))
    assert [plan["errors"] for plan in told["plans"]] == [2, 0]
