"""The plans inside an audit file, opened again."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from audit.errors import NotReadable
from audit.records import Audit, Sheet
from audit.sheets import LoadedPlan, load_plan
from audit.store import AuditFile


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedAudit:
    """An audit with its plans open.

    `opened` are the sheets as the plan has them, by the number of the sheet in the audit.
    """

    audit: Audit
    plan: LoadedPlan
    opened: dict[int, Sheet]

    def sheet(self, number: int) -> Sheet:
        """Return a sheet of the audit as the plan has it.

        Raises
        ------
        NotReadable
            If its plan is not inside.
        """
        if number not in self.opened:
            problem = f"the plan of sheet {number} is not in this audit"
            raise NotReadable(problem, advice="check it again with its plan")
        return self.opened[number]


def unpack_plans(file: AuditFile, folder: Path) -> list[Path]:
    """Write the plans inside an audit file into a folder, under names of our own."""
    plans = []
    for number, source in enumerate(file.list_sources()):
        suffix = Path(source.name).suffix.lower()
        place = folder / f"{number}{suffix if suffix.isascii() else ''}"
        plans.append(file.read_source(source.digest, place))
    return plans


@contextmanager
def open_plans_of(file: AuditFile) -> Iterator[OpenedAudit]:
    """Open the plans inside an audit file.

    Parameters
    ----------
    file : AuditFile

    Yields
    ------
    OpenedAudit

    Raises
    ------
    NotReadable
        If no plan is inside.
    """
    audit = file.load()
    with tempfile.TemporaryDirectory(prefix="plan-audit-") as folder:
        plans = unpack_plans(file, Path(folder))
        if not plans:
            raise NotReadable("no plan is in this audit", advice="check it again with its plan")
        with load_plan(plans) as plan:
            opened = {
                sheet.id: there
                for sheet in audit.sheets
                for there in plan.sheets
                if (there.digest, there.page) == (sheet.digest, sheet.page)
            }
            yield OpenedAudit(audit=audit, plan=plan, opened=opened)
