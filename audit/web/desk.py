"""The open audit behind the page: its file, its plans, and the search that is going on."""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass, replace
from pathlib import Path

from audit.errors import AuditError, BadUsage, NotReadable, StaleRevision
from audit.pipeline.keeping import tell_versions
from audit.pipeline.lookup import find_sheet
from audit.pipeline.rejudging import rejudge
from audit.pipeline.viewing import NO_SCALE_YET
from audit.records import Audit, Finding, Sheet, View
from audit.sheets import load_plan
from audit.store import AuditFile, Snapshot, UserEntry
from audit.web.events import Bell
from audit.web.plans import Plans
from audit.web.searching import Search

log = logging.getLogger(__name__)

TRIES = 5  # a run is stored under whatever a person did meanwhile


@dataclass(frozen=True, slots=True, kw_only=True)
class Busy:
    """What is being looked for just now; `left` more files wait."""

    name: str
    says: str
    left: int = 0


class Desk:
    """One open audit. Safe to use from several threads."""

    def __init__(self, file: AuditFile) -> None:
        self.file = file
        self.bell = Bell()
        self.plans = Plans(file)
        self._lock = threading.RLock()
        self._queue: list[tuple[str, str]] = []
        self._search: Search | None = None
        self._worker: threading.Thread | None = None
        self._busy: Busy | None = None
        self._closed = False
        self._pages: dict[int, Sheet] = {}

    def close(self) -> None:
        """Stop looking, end the workers, close the file."""
        with self._lock:
            self._closed = True
            self._queue.clear()
            worker = self._worker
            if self._search is not None:
                self._search.stop()
        self.bell.close()
        if worker is not None:
            worker.join(10)
        self.plans.close()
        self.file.close()

    @property
    def busy(self) -> Busy | None:
        """What is being looked for, if anything."""
        return self._busy

    def snapshot(self) -> Snapshot:
        """Return the audit as it is now."""
        return self.file.snapshot()

    def sheet(self, number: int) -> Sheet:
        """Return a sheet of the audit as it is now."""
        return find_sheet(self.file.load(), number)

    def page(self, number: int) -> Sheet:
        """Return a sheet as far as it never changes: its file, page and turn. Tiles ask this."""
        if number not in self._pages:
            self._pages = {s.id: s for s in self.file.load().sheets}
        return self._pages.get(number) or self.sheet(number)

    def at(self, revision: int) -> Audit:
        """Return the audit, if it still is at the revision the page saw.

        Raises
        ------
        StaleRevision
            If it changed meanwhile.
        """
        snapshot = self.file.snapshot()
        if snapshot.revision != revision:
            raise StaleRevision(
                f"the audit changed meanwhile (revision {snapshot.revision}, you saw {revision})",
                advice="look at it as it is now and try again",
            )
        return snapshot.audit

    def record(self, entry: UserEntry, *, revision: int) -> int:
        """Write down what a person did, judge anew, and tell all pages."""
        return self._told(self.file.record(entry, revision=revision, judge=rejudge))

    def undo(self, *, revision: int) -> int:
        """Take back the last thing a person did."""
        return self._told(self.file.undo(revision=revision, judge=rejudge))

    def redo(self, *, revision: int) -> int:
        """Do again what was undone last."""
        return self._told(self.file.redo(revision=revision, judge=rejudge))

    def _told(self, revision: int) -> int:
        self.bell.ring("revision", revision=revision)
        return revision

    def add_plan(self, source: Path, name: str) -> tuple[int, ...]:
        """Take a plan file in: its sheets are there at once, what is on them is looked for after.

        Parameters
        ----------
        source : Path
            A copy that may be read until this returns.
        name : str
            As the person knows the file.

        Returns
        -------
        tuple of int
            Numbers of its sheets.

        Raises
        ------
        BadUsage
            If the audit has the same file already.
        """
        with load_plan([source]) as plan:
            sheets = plan.sheets
        digest = sheets[0].digest
        before = self.file.load()
        if any(s.digest == digest for s in before.sheets):
            raise BadUsage(f"{name} is in this audit already", advice="choose another file")
        sheets = tuple(_rename(sheet, source.name, name) for sheet in sheets)
        self.file.add_source(source, name)
        views = tuple(_whole(sheet, number) for number, sheet in enumerate(sheets, start=1))
        first = Audit(name=before.name, settings=before.settings, sheets=sheets, views=views)
        self._add_run(first)
        self.look_for(digest, name)
        return tuple(s.id for s in self.file.load().sheets if s.digest == digest)

    def look_for(self, digest: str, name: str) -> None:
        """Put a plan file in the queue of those to be looked through."""
        with self._lock:
            if self._closed:
                return
            self._queue.append((digest, name))
            if self._worker is None or not self._worker.is_alive():
                self._worker = threading.Thread(target=self._work, name="search", daemon=True)
                self._worker.start()

    def stop_looking(self) -> None:
        """Drop the search that is going on and those that wait."""
        with self._lock:
            self._queue.clear()
            if self._search is not None:
                self._search.stop()

    def _work(self) -> None:
        while True:
            with self._lock:
                if not self._queue or self._closed:
                    self._busy, self._worker = None, None
                    self.bell.ring("progress", says="", name="", left=0)
                    return
                digest, name = self._queue.pop(0)
            try:
                self._look(digest, name)
            except AuditError as error:
                self.bell.ring("trouble", **error.as_json()["error"])
            except Exception:  # a thread that dies silently would leave the page waiting
                log.exception("looking through %s failed", name)
                self.bell.ring("trouble", problem=f"{name} could not be looked through", advice="")

    def _look(self, digest: str, name: str) -> None:
        self._tell(name, "looking for dimensions")
        audit = self.file.load()
        path = self.plans.path_of(digest)
        with self._lock:
            if self._closed:
                return
            search = self._search = Search((path,), audit.settings)
        try:
            found = search.wait(lambda text: self._tell(name, text.replace(path.name, name)))
        finally:
            with self._lock:
                self._search = None
        if found.error is not None:
            raise found.error
        if found.audit is not None and not self._closed:
            sheets = tuple(_rename(s, path.name, name) for s in found.audit.sheets)
            findings = tuple(_say_name(f, path.name, name) for f in found.audit.findings)
            self._add_run(replace(found.audit, sheets=sheets, findings=findings))

    def _tell(self, name: str, says: str) -> None:
        busy = Busy(name=name, says=says, left=len(self._queue))
        self._busy = busy
        self.bell.ring("progress", name=busy.name, says=busy.says, left=busy.left)

    def _add_run(self, found: Audit) -> None:
        for _ in range(TRIES):
            try:
                revision = self.file.add_run(
                    found,
                    revision=self.file.revision,
                    options=(("by", "page"),),
                    versions=tell_versions(),
                    judge=rejudge,
                )
            except StaleRevision:
                continue
            self._told(revision)
            return
        raise NotReadable("the audit is being changed by others", advice="look again later")


def _whole(sheet: Sheet, number: int) -> View:
    """Make one view of a sheet on which none were looked for yet, so that it can be measured."""
    return View(id=number, sheet=sheet.id, box=sheet.box, scale=NO_SCALE_YET)


def _rename(sheet: Sheet, written: str, name: str) -> Sheet:
    """Call a sheet by the file the person knows, not by the copy that was read."""
    return replace(sheet, name=sheet.name.replace(written, name), source=name)


def _say_name(finding: Finding, written: str, name: str) -> Finding:
    return replace(finding, text=finding.text.replace(written, name))
