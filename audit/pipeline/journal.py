"""The journal of a batch: a line for each plan that is through, so that a batch can go on."""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from pathlib import Path
from types import TracebackType
from typing import BinaryIO

from pydantic import TypeAdapter, ValidationError

from audit.errors import BadUsage, CannotWrite
from audit.records.batch import PlanOutcome

JOURNAL = "batch.jsonl"
_OUTCOMES = TypeAdapter(PlanOutcome)


class Journal:
    """Outcomes on the disk, the newest of each plan; one batch writes at a time.

    Parameters
    ----------
    folder : Path
        Of the results; must exist.

    Raises
    ------
    BadUsage
        If another batch writes there.
    CannotWrite
        If the journal cannot be opened or written.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / JOURNAL
        try:
            self._stream: BinaryIO = self.path.open("a+b")
        except OSError as error:
            raise self._not_written(error) from error
        try:
            _lock(self._stream)
        except OSError as error:
            self._stream.close()
            raise BadUsage(
                f"another batch writes to {folder}", advice="wait for it, or choose another --out"
            ) from error
        self.outcomes: dict[str, PlanOutcome] = {}
        self._read()

    def __enter__(self) -> Journal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._stream.close()

    def add(self, outcome: PlanOutcome) -> None:
        """Write one outcome so that a power cut does not lose it.

        Raises
        ------
        CannotWrite
            If the disk is full or the folder gone.
        """
        self.outcomes[outcome.name] = outcome
        line = json.dumps(asdict(outcome), ensure_ascii=False).encode() + b"\n"
        try:
            self._stream.write(line)
            self._stream.flush()
            os.fsync(self._stream.fileno())
        except OSError as error:
            raise self._not_written(error) from error

    def _read(self) -> None:
        """Read what is there; a line that was cut off is as good as none."""
        self._stream.seek(0)
        data = self._stream.read()
        for line in data.split(b"\n"):
            try:
                outcome = _OUTCOMES.validate_json(line)
            except ValidationError:
                continue
            self.outcomes[outcome.name] = outcome
        if data and not data.endswith(b"\n"):
            self._stream.write(b"\n")  # the next line must not hang on to the cut one

    def _not_written(self, error: OSError) -> CannotWrite:
        problem = f"{self.path.name} cannot be written ({error.strerror or error})"
        return CannotWrite(problem, advice="choose another folder with --out, or free some space")


def _lock(stream: BinaryIO) -> None:
    try:
        import fcntl  # noqa: PLC0415  # not on every system; there nobody watches
    except ImportError:
        return
    fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
