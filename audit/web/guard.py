"""Who may speak to the server: this machine's own browser, with this run's token.

The port is open to every program and every web page on the machine. A page of another site can
make the browser send requests here; a name server under its control can even make them look as
if they came from the same site. So every request is checked for its Host (DNS rebinding), its
Origin (cross-site posts) and the token of this run.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
SAFE_METHODS = frozenset({"GET", "HEAD"})
LOCKED = """<!doctype html><html lang="en"><meta charset="utf-8"><title>plan-audit</title>
<p>This page is locked. Open the whole address that <code>plan-audit open</code> printed in the
terminal; it ends in <code>?token=</code> and a long word.</p></html>"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """What must be shown at the door.

    Attributes
    ----------
    hosts : frozenset of str
        Names, with port, under which the server may be spoken to.
    token : str
    cookie : str
        Name of the cookie that holds the token; it carries the port, which cookies ignore.
    """

    hosts: frozenset[str]
    cookie: str
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))

    @classmethod
    def at(cls, port: int, *, more_hosts: Iterable[str] = ()) -> Door:
        """Make the door of a server on this machine's own address."""
        names = ("127.0.0.1", "localhost", "[::1]", *more_hosts)
        hosts = frozenset(f"{name}:{port}" for name in names)
        return cls(hosts=hosts, cookie=f"audit_{port}")


class Guard:
    """Refuses what should not come in, and puts the safety headers on what goes out."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app = app
        self.door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request, or refuse it."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":  # nothing here speaks over web sockets
            return
        headers = read_headers(scope)
        refusal = self._refuse(scope, headers)
        brings_token = scope["path"] == "/" and self._token_in_address(scope)

        async def send_safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                extra = list(HEADERS)
                if not _has(message, b"cache-control"):
                    extra.append((b"cache-control", b"no-store"))
                if brings_token and refusal is None:
                    extra.append((b"set-cookie", self._set_cookie()))
                message = {**message, "headers": [*message.get("headers", ()), *extra]}
            await send(message)

        await (refusal or self.app)(scope, receive, send_safely)

    def _refuse(self, scope: Scope, headers: dict[str, str]) -> Response | None:
        if headers.get("host", "").lower() not in self.door.hosts:
            advice = "open the address that plan-audit printed"
            return refuse(400, "foreign-host", "this server is not known by that name", advice)
        if not self._is_own_origin(scope, headers):
            advice = "use the page itself, or send no Origin"
            return refuse(403, "foreign-origin", "another site may not act here", advice)
        if not self._has_token(scope, headers):
            if scope["path"] == "/" and scope["method"] in SAFE_METHODS:
                return HTMLResponse(LOCKED, status_code=401)
            advice = "open the address that plan-audit printed, or send its token as a bearer"
            return refuse(401, "no-token", "the token of this run is missing", advice)
        return None

    def _is_own_origin(self, scope: Scope, headers: dict[str, str]) -> bool:
        origin = headers.get("origin", "").lower()
        if origin and origin not in {f"http://{host}" for host in self.door.hosts}:
            return False
        foreign = headers.get("sec-fetch-site") == "cross-site"
        return not foreign or scope["method"] in SAFE_METHODS

    def _has_token(self, scope: Scope, headers: dict[str, str]) -> bool:
        shown = [_cookie(headers.get("cookie", ""), self.door.cookie)]
        kind, _, bearer = headers.get("authorization", "").partition(" ")
        if kind.lower() == "bearer":
            shown.append(bearer.strip())
        if any(self._is_token(text) for text in shown):
            return True
        return scope["path"] == "/" and self._token_in_address(scope)

    def _token_in_address(self, scope: Scope) -> bool:
        query = parse_qs(scope.get("query_string", b"").decode("latin-1"))
        return any(self._is_token(text) for text in query.get("token", ()))

    def _is_token(self, text: str) -> bool:
        return hmac.compare_digest(text.encode(), self.door.token.encode())

    def _set_cookie(self) -> bytes:
        value = f"{self.door.cookie}={self.door.token}; Path=/; HttpOnly; SameSite=Strict"
        return value.encode()


def refuse(status: int, code: str, problem: str, advice: str) -> JSONResponse:
    """Make an answer in the one error shape."""
    body = {"error": {"code": code, "problem": problem, "advice": advice}}
    return JSONResponse(body, status_code=status)


def read_headers(scope: Scope) -> dict[str, str]:
    """Read the headers of a request, names in small letters; of one given twice, all values."""
    found: dict[str, str] = {}
    for key, value in scope["headers"]:
        name, text = key.decode("latin-1").lower(), value.decode("latin-1")
        found[name] = f"{found[name]}, {text}" if name in found else text
    return found


def _has(message: Message, name: bytes) -> bool:
    return any(key.lower() == name for key, _ in message.get("headers", ()))


def _cookie(header: str, name: str) -> str:
    try:
        morsel = SimpleCookie(header).get(name)
    except CookieError:
        return ""
    return str(morsel.value) if morsel else ""
