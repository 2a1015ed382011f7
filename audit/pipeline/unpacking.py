"""The plans inside an audit file, opened again."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from audit.errors import NotReadable
from audit.records import Audit, Sheet
from audit.sheets import LoadedPlan, load_plan
from audit.store import AuditFile

LONGEST = 200  # bytes of a file's name: most file systems take 255


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
    """Write the plans inside an audit file into a folder, each into one of its own.

    They keep their names, which messages will tell, where these are harmless.
    """
    plans = []
    for number, source in enumerate(file.list_sources()):
        place = folder / str(number) / harmless_name(source.name, number)
        place.parent.mkdir()
        plans.append(file.read_source(source.digest, place))
    return plans


def harmless_name(name: str, number: int) -> str:
    r"""Return a name that a file may have anywhere: its own, or one of ours with its suffix.

    Parameters
    ----------
    name : str
        As an audit file has it, which may come from a stranger.
    number : int
        For a name of ours.

    Examples
    --------
    >>> [harmless_name(name, 3) for name in ("Lift, sheet 2.pdf", "../../etc/passwd", ".a\nb.PNG")]
    ['Lift, sheet 2.pdf', '3', '3.png']
    """
    if len(name.encode("utf-8", "replace")) <= LONGEST and _HARMLESS.fullmatch(name):
        return name
    suffix = Path(name).suffix.lower()
    return f"{number}{suffix if _HARMLESS.fullmatch('0' + suffix) else ''}"


# no path, no hidden file, no option, no line's end; nobody's shell sees these names
_HARMLESS = re.compile(r"[\w(\[{](?:[\w .,;()\[\]{}+&'#=@%$!~^-]*[\w)\]}!~])?")


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
