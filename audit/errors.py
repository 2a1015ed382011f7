"""One tree of errors, with exit codes and advice.

::

    AuditError                  exit 3, something inside went wrong
    ├── BadUsage                exit 2, the call itself makes no sense
    │   ├── BadPlace            a point, box or rectangle that cannot be used
    │   └── NotALength          text that is no length (from `audit.lengths`)
    ├── BadInput                exit 2, a file that cannot be used
    │   ├── NotReadable         missing, empty, a folder, no permission
    │   ├── WrongKind           not a PDF or picture we know
    │   ├── Encrypted           needs a password
    │   ├── Damaged             truncated or broken
    │   ├── TooLarge            over a limit on pixels, pages, bytes or memory
    │   └── BadAudit            an audit file that is none, damaged, or from a newer version
    ├── WorkerStopped           exit 2, the worker that reads foreign files was stopped
    ├── CannotWrite             exit 2, disk full, read-only folder
    └── StaleRevision           exit 2, HTTP 409, somebody else changed the audit meanwhile

Every message is one line: what is wrong, then what to do (`advice`).
"""

from __future__ import annotations

from typing import ClassVar

__all__ = [
    "AuditError",
    "BadAudit",
    "BadInput",
    "BadPlace",
    "BadUsage",
    "CannotWrite",
    "Damaged",
    "Encrypted",
    "NotALength",
    "NotReadable",
    "StaleRevision",
    "TooLarge",
    "WorkerStopped",
    "WrongKind",
    "known_errors",
]

EXIT_CLEAN = 0
EXIT_FINDINGS = 1
EXIT_BAD_INPUT = 2
EXIT_INTERNAL = 3
EXIT_UNCHECKED = 4
EXIT_INTERRUPTED = 130


class AuditError(Exception):
    """Root of every error the tool raises on purpose.

    Parameters
    ----------
    problem : str
        What is wrong, in one line, without a full stop.
    advice : str
        What the user can do about it, in one line.
    """

    code: ClassVar[str] = "internal"
    exit_code: ClassVar[int] = EXIT_INTERNAL
    http_status: ClassVar[int] = 500

    def __init__(self, problem: str, *, advice: str = "") -> None:
        super().__init__(problem, advice)
        self.problem = one_line(problem)
        self.advice = one_line(advice)

    def __str__(self) -> str:
        return f"{self.problem}: {self.advice}" if self.advice else self.problem

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild, (type(self), self.problem, self.advice))

    def as_json(self) -> dict[str, dict[str, str]]:
        """Return the one JSON shape of an error, for the command line and for HTTP alike."""
        return {"error": {"code": self.code, "problem": self.problem, "advice": self.advice}}


def _rebuild(kind: type[AuditError], problem: str, advice: str) -> AuditError:
    return kind(problem, advice=advice)


def one_line(text: str) -> str:
    """Fold any text into one printable line (hostile names may carry control characters)."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


class BadUsage(AuditError):
    """The call itself makes no sense."""

    code = "bad-usage"
    exit_code = EXIT_BAD_INPUT
    http_status = 422


class BadPlace(BadUsage):
    """A point, box or rectangle that cannot be used."""

    code = "bad-place"


class NotALength(BadUsage):
    """Text that is no length."""

    code = "not-a-length"


class BadInput(AuditError):
    """A file that cannot be used."""

    code = "bad-input"
    exit_code = EXIT_BAD_INPUT
    http_status = 422


class NotReadable(BadInput):
    """Missing, empty, a folder, or no permission."""

    code = "not-readable"


class WrongKind(BadInput):
    """Not a PDF or picture we know."""

    code = "wrong-kind"


class Encrypted(BadInput):
    """A file that needs a password."""

    code = "encrypted"


class Damaged(BadInput):
    """A truncated or broken file."""

    code = "damaged"


class TooLarge(BadInput):
    """Over a limit on pixels, pages, bytes or memory."""

    code = "too-large"
    http_status = 413


class WorkerStopped(AuditError):
    """The worker that reads foreign files was stopped (deadline, memory, crash)."""

    code = "worker-stopped"
    exit_code = EXIT_BAD_INPUT
    http_status = 422


class CannotWrite(AuditError):
    """Disk full, read-only folder, file locked."""

    code = "cannot-write"
    exit_code = EXIT_BAD_INPUT
    http_status = 507


class StaleRevision(AuditError):
    """Somebody else changed the audit since this change was begun."""

    code = "stale-revision"
    exit_code = EXIT_BAD_INPUT
    http_status = 409


class BadAudit(BadInput):
    """An audit file that is none, is damaged, or comes from a newer version."""

    code = "bad-audit"


def known_errors() -> dict[str, type[AuditError]]:
    """Return every class of the tree by its code."""
    found: dict[str, type[AuditError]] = {}
    waiting: list[type[AuditError]] = [AuditError]
    while waiting:
        kind = waiting.pop()
        found[kind.code] = kind
        waiting += kind.__subclasses__()
    return found
