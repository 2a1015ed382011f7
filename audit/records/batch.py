"""A catalogue of plans: what is to be audited, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path


class PlanState(StrEnum):
    """What became of one plan of a batch."""

    DONE = "done"
    FAILED = "failed"
    TOO_SLOW = "too slow"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTask:
    """One plan of a batch.

    Attributes
    ----------
    name : str
        Unique in the batch; its folder below the results, with forward slashes.
    files : tuple of Path
        Its sheets, in order; absolute.
    folder : Path
        Where its results go; absolute.
    options : tuple of str
        Of `check`, as typed.
    limit_s : float
        Wall-clock seconds it may take.
    threads : int
        Threads the number libraries may use.
    """

    name: str
    files: tuple[Path, ...]
    folder: Path
    options: tuple[str, ...]
    limit_s: float
    threads: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOutcome:
    """What came of one plan.

    Attributes
    ----------
    digest : str
        Of its files' contents, the options and the program's version, hex: while it is the same,
        the plan need not be audited again.
    code : int
        Exit code of its `check`.
    problem : str
        One line when it could not be audited, or not all of it.
    seconds : float
        Wall-clock time it took.
    worst : str
        The first finding's sentence, empty when nothing was found.
    """

    name: str
    sources: tuple[str, ...]
    state: PlanState
    code: int
    digest: str
    problem: str = ""
    seconds: float = 0.0
    sheets: int = 0
    checked: int = 0
    texts: int = 0
    errors: int = 0
    warnings: int = 0
    notes: int = 0
    worst: str = ""
