"""What a phone on the local network gets to see: one page, and one call that takes a picture."""

from __future__ import annotations

import asyncio
import logging
import tempfile
from collections.abc import Awaitable, Callable
from pathlib import Path

import anyio
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from audit.errors import AuditError, TooLarge, WrongKind
from audit.web.desk import Desk
from audit.web.guard import HEADERS, SAFE_METHODS, read_headers, refuse
from audit.web.lan import Phone, is_near

log = logging.getLogger(__name__)

PAGES = Path(__file__).parent / "static" / "phone"
SERVED = {"": "phone.html", "phone.js": "phone.js", "phone.css": "phone.css"}
PHOTO_BYTES = 40 << 20  # a 50-megapixel photograph as JPEG is some 25 MiB
RECEIVE_S = 120.0  # over a weak radio link
HEAD = 12
PICTURES = {"jpg": (0, b"\xff\xd8\xff"), "png": (0, b"\x89PNG\r\n\x1a\n"), "webp": (8, b"WEBP")}
RUN_OUT = """<!doctype html><html lang="en"><meta charset="utf-8"><title>plan-audit</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<p>This code has run out. Press <b>New code</b> on the computer, and scan that one.</p></html>"""


class PhoneApp:
    """The application behind the listener on the local network. Nothing of the desk's is in it."""

    def __init__(self, desk: Desk, phone: Phone) -> None:
        self._desk = desk
        self._phone = phone
        self._taking = asyncio.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request, or refuse it."""
        if scope["type"] != "http":  # nothing here speaks over web sockets
            return

        async def send_safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                extra = (*HEADERS, (b"cache-control", b"no-store"))
                kept = [h for h in message.get("headers", ()) if h[0].lower() != b"cache-control"]
                message = {**message, "headers": [*kept, *extra]}
            await send(message)

        answer = await self._answer(Request(scope, receive))
        await answer(scope, receive, send_safely)

    async def _answer(self, request: Request) -> ASGIApp:
        refusal = self._refuse(request)
        if refusal is not None:
            return refusal
        code, _, rest = request.scope["path"].removeprefix("/").partition("/")
        if not self._phone.accepts(code):
            return self._say_no_code(request, code)
        if rest in SERVED and request.method in SAFE_METHODS:
            return FileResponse(PAGES / SERVED[rest])
        if rest == "photo" and request.method == "POST":
            return await _guarded(lambda: self._take(request, code))
        return refuse(404, "not-found", "there is nothing at this address", "scan the code again")

    def _refuse(self, request: Request) -> Response | None:
        headers = read_headers(request.scope)
        client = request.client
        if headers.get("host", "").lower() != self._phone.host:
            advice = "scan the code again"
            return refuse(400, "foreign-host", "this server is not known by that name", advice)
        if client is None or not is_near(client.host):
            return refuse(403, "from-outside", "only the local network may come in", "")
        origin = headers.get("origin", "").lower()
        foreign = headers.get("sec-fetch-site", "") == "cross-site"
        if (origin and origin != f"http://{self._phone.host}") or (
            foreign and request.method not in SAFE_METHODS
        ):
            return refuse(403, "foreign-origin", "another site may not act here", "")
        return None

    def _say_no_code(self, request: Request, code: str) -> Response:
        if not self._phone.knew(code):
            return refuse(401, "no-code", "a code is missing here", "scan the one on the computer")
        if request.method == "GET":
            return HTMLResponse(RUN_OUT, status_code=410)
        advice = "make a new one on the computer, and scan that"
        return refuse(410, "run-out", "this code has run out", advice)

    async def _take(self, request: Request, code: str) -> Response:
        if self._taking.locked():
            return refuse(409, "busy", "another photograph is on its way", "wait for it")
        async with self._taking:
            with tempfile.TemporaryDirectory(prefix="plan-audit-") as folder:
                place = await _receive_picture(request, Path(folder))
                if not self._phone.accepts(code):  # it ran out while the picture was on its way
                    return self._say_no_code(request, code)
                name = await anyio.to_thread.run_sync(self._name, place.suffix)
                sheets = await anyio.to_thread.run_sync(self._desk.add_plan, place, name)
        self._phone.photos += 1
        return JSONResponse({"name": name, "sheets": list(sheets)}, status_code=201)

    def _name(self, suffix: str) -> str:
        """Name a photograph ourselves: a phone's names are no use, and may be hostile."""
        taken = {source.name for source in self._desk.file.list_sources()}
        number = 1
        while f"photo {number}{suffix}" in taken:
            number += 1
        return f"photo {number}{suffix}"


async def _guarded(take: Callable[[], Awaitable[Response]]) -> ASGIApp:
    try:
        return await take()
    except AuditError as error:
        return JSONResponse(error.as_json(), status_code=error.http_status)
    except TimeoutError:
        return refuse(408, "too-slow", "the photograph took too long", "come nearer, try again")
    except ClientDisconnect:
        return refuse(400, "broken-off", "the line broke off", "try again")
    except Exception as error:
        log.exception("a photograph could not be taken in")
        problem = f"a fault of the program ({type(error).__name__})"
        return refuse(500, "internal", problem, "what was confirmed is kept")


async def _receive_picture(request: Request, folder: Path) -> Path:
    """Write the body of a request to a file; refuse what is too large or no picture at all."""
    if int_or_none(request.headers.get("content-length", "0")) not in range(PHOTO_BYTES + 1):
        raise _too_large()
    place = folder / "picture"
    got, head = 0, b""
    with anyio.fail_after(RECEIVE_S):
        async with await anyio.open_file(place, "wb") as stream:
            async for chunk in request.stream():
                got += len(chunk)
                if got > PHOTO_BYTES:
                    raise _too_large()
                if len(head) < HEAD:
                    head = (head + chunk)[:HEAD]
                    if len(head) == HEAD:
                        tell_kind(head)
                await stream.write(chunk)
    return place.rename(place.with_suffix(f".{tell_kind(head)}"))


def tell_kind(head: bytes) -> str:
    r"""Tell the kind of a picture from its first bytes; the worker looks at the rest.

    Parameters
    ----------
    head : bytes

    Returns
    -------
    str
        The suffix: ``jpg``, ``png`` or ``webp``.

    Raises
    ------
    WrongKind
        If it is none of these.

    Examples
    --------
    >>> tell_kind(b"\xff\xd8\xff\xe0 and so on")
    'jpg'
    >>> tell_kind(b"%PDF-1.7")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    audit.errors.WrongKind: ...
    """
    for suffix, (at, mark) in PICTURES.items():
        if head[at : at + len(mark)] == mark:
            return suffix
    raise WrongKind("that is no photograph", advice="send a JPEG, PNG or WebP picture")


def int_or_none(text: str) -> int | None:
    """Read a count; `None` where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None


def _too_large() -> TooLarge:
    problem = f"the photograph is larger than {PHOTO_BYTES >> 20} MiB"
    return TooLarge(problem, advice="take it at a lower resolution")
