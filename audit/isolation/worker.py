"""The worker process: reads requests from its parent, touches the foreign file, answers.

Started as ``python -m audit.isolation.worker``. It ends when its parent goes. Nothing in here is
imported by the parent.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import pickle
import sys
from pathlib import Path
from typing import IO, Any

from audit.errors import AuditError, BadUsage, TooLarge
from audit.isolation.info import Done, SourceKind
from audit.isolation.limits import Limits
from audit.isolation.requests import (
    Compose,
    DecodePicture,
    LookAtPage,
    MarkUp,
    OpenFile,
    ReadVectors,
    RenderPage,
    Request,
)
from audit.isolation.wire import encode, read_frame, write_frame

ADDRESS_FACTOR, ADDRESS_EXTRA = 2, 1 << 30  # address space is always more than what is resident
MAX_WRITTEN_BYTES = 4 << 30  # largest file the worker may write
CPU_BACKSTOP = 10.0  # s beyond the parent's own limit: ends a worker whose parent has died


def serve(requests: IO[bytes], replies: IO[bytes]) -> None:
    """Answer requests until the parent closes its end."""
    state = _State()
    while (body := read_frame(requests)) is not None:
        try:
            request: Request = pickle.loads(body)
            _limit_cpu(state.limits)
            answer: tuple[object, ...] = ("ok", state.answer(request))
            reply = encode(answer)
        except AuditError as error:
            reply = encode(("error", error.code, error.problem, error.advice))
        except MemoryError:
            too_large = TooLarge("the file needs more memory than allowed", advice="scan it again")
            reply = encode(("error", too_large.code, too_large.problem, too_large.advice))
        except Exception as error:  # the parent decides what to tell the user
            reply = encode(("failed", type(error).__name__, str(error)[:2000]))
        write_frame(replies, reply)


class _State:
    """The one file this worker serves."""

    def __init__(self) -> None:
        self.limits = Limits()
        self.path = Path()
        self.file: Any = None

    def answer(self, request: Request) -> object:
        if isinstance(request, OpenFile):
            return self._open(request)
        if isinstance(request, Compose):
            return self._compose(request)
        if self.file is None:
            raise BadUsage("no file is open")
        return self._serve(request)

    def _open(self, request: OpenFile) -> object:
        self.limits, self.path = request.limits, request.path
        _limit_resources(request.limits)
        if request.kind is SourceKind.PDF:
            from audit.isolation.pdf import OpenPdf  # noqa: PLC0415  # only what the file needs

            self.file = OpenPdf(request.path, limits=request.limits)
        else:
            from audit.isolation.picture import OpenPicture  # noqa: PLC0415

            self.file = OpenPicture(request.path, limits=request.limits)
        return self.file.describe()

    def _compose(self, request: Compose) -> object:
        from audit.isolation.booklet_pages import set_booklet  # noqa: PLC0415
        from audit.isolation.print_pages import set_print_pages  # noqa: PLC0415
        from audit.records import PrintPlan  # noqa: PLC0415

        _limit_resources(self.limits)
        plan = request.plan
        data = set_print_pages(plan) if isinstance(plan, PrintPlan) else set_booklet(plan)
        request.target.write_bytes(data)
        return Done()

    def _serve(self, request: Request) -> object:
        match request:
            case LookAtPage():
                return self.file.look(request)
            case RenderPage():
                return self.file.render(request)
            case DecodePicture():
                return self.file.decode(request)
            case ReadVectors():
                from audit.isolation.vector import extract_page  # noqa: PLC0415

                self.file.load(request.page)
                return extract_page(self.file.document, request.page - 1)
            case MarkUp():
                from audit.isolation.marking import apply_markup  # noqa: PLC0415
                from audit.records import SourceFile  # noqa: PLC0415

                sources = request.sources or (SourceFile(digest="", path=self.path),)
                return Done(remarks=apply_markup(sources, request.plan, request.target))
            case _:
                raise BadUsage("unknown request")


def _limit_resources(limits: Limits) -> None:
    try:
        import resource  # noqa: PLC0415  # not on Windows
    except ImportError:
        return
    wanted = {
        resource.RLIMIT_AS: ADDRESS_FACTOR * limits.memory_bytes + ADDRESS_EXTRA,
        resource.RLIMIT_CORE: 0,
        resource.RLIMIT_FSIZE: MAX_WRITTEN_BYTES,
    }
    for which, most in wanted.items():
        _, hard = resource.getrlimit(which)
        least = most if hard == resource.RLIM_INFINITY else min(most, hard)
        try:
            resource.setrlimit(which, (least, least))
        except (OSError, ValueError):  # macOS refuses some; the parent still watches
            continue


def _limit_cpu(limits: Limits) -> None:
    """Let the kernel end this process if its parent is no longer there to do it."""
    try:
        import resource  # noqa: PLC0415
    except ImportError:
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    spent = used.ru_utime + used.ru_stime
    allowed = int(spent + max(limits.page_seconds, limits.open_seconds) + CPU_BACKSTOP) + 1
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    if hard == resource.RLIM_INFINITY or allowed < hard:
        resource.setrlimit(resource.RLIMIT_CPU, (allowed, hard))


def main() -> None:
    """Serve on standard input and output; whatever libraries print goes to standard error."""
    replies = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    for needed in sys.argv[1:]:
        with contextlib.suppress(ImportError):  # opening the file will say so
            importlib.import_module(needed)
    serve(sys.stdin.buffer, replies)


if __name__ == "__main__":
    main()
