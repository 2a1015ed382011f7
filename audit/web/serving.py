"""Starting and ending the server."""

from __future__ import annotations

import contextlib
import errno
import logging
import socket
import threading
import webbrowser
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import uvicorn

from audit.errors import BadUsage
from audit.web.app import create_app
from audit.web.desk import Desk
from audit.web.guard import Door
from audit.web.lan import Phone, find_address
from audit.web.lan_app import PhoneApp

log = logging.getLogger(__name__)

LOOPBACK = "127.0.0.1"
PHONES_AT_ONCE = 16  # connections; one picture is taken at a time
FIRST_PORT, PORTS = 20_000, 12_000  # RFC 6335 user ports; Linux gives ports away from 32768 on
WAITING = 128  # connections, until the server takes them
GRACE_S = 3  # an answer under way may end; after that the server stops


@dataclass(frozen=True, slots=True, kw_only=True)
class Serving:
    """How to serve: `port` 0 takes the audit's usual one, or any free one.

    `lan`: also listen on the local network, for photographs from a phone; `lan_address` says on
    which of this machine's addresses, if it has several.
    """

    port: int = 0
    open_browser: bool = True
    lan: bool = False
    lan_address: str | None = None


def serve(
    desk: Desk,
    serving: Serving,
    *,
    tell: Callable[[str], None],
    tell_phone: Callable[[Phone], None] | None = None,
) -> None:
    """Serve the page of an open audit until Ctrl-C.

    Parameters
    ----------
    desk : Desk
    serving : Serving
    tell : callable
        Told the address, once the server listens.
    tell_phone : callable
        Told about the code for phones, if the local network is listened on.
    """
    with contextlib.ExitStack() as ending:
        phone = None
        if serving.lan:
            phone = ending.enter_context(listening_nearby(desk, find_address(serving.lan_address)))
        listener = take_port(serving.port, desk.file.path)
        server, address = _make_server(desk, listener, phone)
        tell(address)
        if phone is not None and tell_phone is not None:
            tell_phone(phone)
        if serving.open_browser:
            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
        server.run(sockets=[listener])


def _make_server(
    desk: Desk, listener: socket.socket, phone: Phone | None
) -> tuple[uvicorn.Server, str]:
    port = listener.getsockname()[1]
    door = Door.at(port)
    config = uvicorn.Config(
        create_app(desk, door, phone),
        log_level="error",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=GRACE_S,
        lifespan="off",
        ws="none",
    )
    return _Server(config, desk), f"http://{LOOPBACK}:{port}/?token={door.token}"


@contextlib.contextmanager
def listening_nearby(desk: Desk, address: str) -> Iterator[Phone]:
    """Listen on the local network for photographs, with a server of its own, until left.

    Parameters
    ----------
    desk : Desk
    address : str
        Of this machine, on the local network.

    Yields
    ------
    Phone
        With a code that lasts.
    """
    listener = listen(0, address)
    phone = Phone(address, listener.getsockname()[1])
    phone.renew()
    config = uvicorn.Config(
        PhoneApp(desk, phone),
        log_level="error",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=GRACE_S,
        limit_concurrency=PHONES_AT_ONCE,
        lifespan="off",
        ws="none",
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(
        target=server.run, kwargs={"sockets": [listener]}, name="lan", daemon=True
    )
    thread.start()
    try:
        yield phone
    finally:
        phone.end()
        server.should_exit = True
        thread.join(2 * GRACE_S)
        listener.close()


class _Server(uvicorn.Server):
    """Ends the streams of events first: they would hold the server up."""

    def __init__(self, config: uvicorn.Config, desk: Desk) -> None:
        super().__init__(config)
        self._desk = desk

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Stop at Ctrl-C or when the system asks."""
        self._desk.bell.close()
        super().handle_exit(sig, frame)


def take_port(wanted: int, audit: Path) -> socket.socket:
    """Take the wanted port; for 0 the one this audit usually has, or any when that is taken.

    A page that was left open finds the server again under the same address.

    Parameters
    ----------
    wanted : int
    audit : Path

    Returns
    -------
    socket

    Raises
    ------
    BadUsage
        If the wanted port is taken; for 0, if none is to be had.
    """
    if wanted:
        return listen(wanted)
    try:
        return listen(usual_port(audit))
    except BadUsage:
        return listen(0)


def usual_port(audit: Path) -> int:
    """Work out the port of an audit from where it lies, below those that systems give away."""
    return FIRST_PORT + zlib.crc32(str(audit.resolve()).encode(errors="replace")) % PORTS


def listen(port: int, address: str = LOOPBACK) -> socket.socket:
    """Take a port on an address of this machine.

    Parameters
    ----------
    port : int
        0: any free one.
    address : str

    Returns
    -------
    socket

    Raises
    ------
    BadUsage
        If the port is taken, or the address is not this machine's.
    """
    # With the protocol named, asyncio sends small answers at once (TCP_NODELAY); 40 ms a tile.
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address, port))
        listener.listen(WAITING)  # who comes before the server runs waits, and is not sent away
    except OSError as error:
        listener.close()
        if error.errno == errno.EADDRNOTAVAIL:
            problem = f"{address} is not an address of this machine"
            raise BadUsage(problem, advice="leave --lan-address out, or give another") from error
        problem = f"port {port} cannot be used ({error.strerror or error})"
        raise BadUsage(problem, advice="leave --port out, or give another") from error
    return listener
