"""Write ``files/version-<n>.audit``: a small audit as this version stores it.

Run once for each version of the tables, before the next one: ``python -m tests.store.make_stored``.
A stored copy is never remade; it stands for the files that people have.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from audit.records import Decision, Verdict
from audit.store import AddDimension, Decide, SetVerdict, create_audit
from audit.store.migrations import MIGRATIONS
from tests.store.builders import by_hand, inches, judge, make_dimension, make_found
from tests.store.scripted import act

FOLDER = Path(__file__).parent / "files"
START = datetime(2026, 1, 2, 3, 4, 5, tzinfo=UTC)


def main() -> None:
    minutes = count()
    path = FOLDER / f"version-{len(MIGRATIONS)}.audit"
    with create_audit(
        path, name="marble lift", clock=lambda: START + timedelta(minutes=next(minutes))
    ) as file:
        file.add_source(b"%PDF-1.7 not really", "lift.pdf")
        file.add_run(make_found(count=3), revision=file.revision, judge=judge)
        for word in (
            "read",
            "move",
            "aside",
            "known",
            "paper",
            "part",
            "chain",
            "link",
            "edit-view",
        ):
            act(file, word, 2)
        new = by_hand(make_dimension(0, at=(700, 300)))
        file.record(AddDimension(dimension=new), revision=file.revision)
        decision = Decision(dimension=2, value=inches("7/2"), reason="measured")
        file.record(Decide(decision=decision), revision=file.revision)
        entry = SetVerdict(dimension=3, verdict=Verdict.NOT_CRITICAL, reason="trim to fit")
        file.record(entry, revision=file.revision)
        file.undo(revision=file.revision, judge=judge)


if __name__ == "__main__":
    main()
