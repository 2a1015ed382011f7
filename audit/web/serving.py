"""Starting and ending the server."""

from __future__ import annotations

import logging
import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from types import FrameType

import uvicorn

from audit.errors import BadUsage
from audit.web.app import create_app
from audit.web.desk import Desk
from audit.web.guard import Door

log = logging.getLogger(__name__)

LOOPBACK = "127.0.0.1"
GRACE_S = 3  # an answer under way may end; after that the server stops


@dataclass(frozen=True, slots=True, kw_only=True)
class Serving:
    """How to serve: `port` 0 takes any free one."""

    port: int = 0
    open_browser: bool = True


def serve(desk: Desk, serving: Serving, *, tell: Callable[[str], None]) -> None:
    """Serve the page of an open audit until Ctrl-C.

    Parameters
    ----------
    desk : Desk
    serving : Serving
    tell : callable
        Told the address, once the server listens.
    """
    listener = listen(serving.port)
    port = listener.getsockname()[1]
    door = Door.at(port)
    config = uvicorn.Config(
        create_app(desk, door),
        log_level="error",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=GRACE_S,
        lifespan="off",
        ws="none",
    )
    server = _Server(config, desk)
    address = f"http://{LOOPBACK}:{port}/?token={door.token}"
    tell(address)
    if serving.open_browser:
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
    server.run(sockets=[listener])


class _Server(uvicorn.Server):
    """Ends the streams of events first: they would hold the server up."""

    def __init__(self, config: uvicorn.Config, desk: Desk) -> None:
        super().__init__(config)
        self._desk = desk

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Stop at Ctrl-C or when the system asks."""
        self._desk.bell.close()
        super().handle_exit(sig, frame)


def listen(port: int) -> socket.socket:
    """Take a port on this machine's own address.

    Parameters
    ----------
    port : int
        0: any free one.

    Returns
    -------
    socket

    Raises
    ------
    BadUsage
        If the port is taken.
    """
    # With the protocol named, asyncio sends small answers at once (TCP_NODELAY); 40 ms a tile.
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
    except OSError as error:
        listener.close()
        problem = f"port {port} cannot be used ({error.strerror or error})"
        raise BadUsage(problem, advice="leave --port out, or give another") from error
    return listener
