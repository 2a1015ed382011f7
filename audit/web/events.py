"""Telling every open page what happened: new revisions, progress, trouble."""

from __future__ import annotations

import asyncio
import json
import threading
from collections.abc import AsyncIterator
from dataclasses import dataclass, field

WAITING = 200  # messages a page that is asleep may fall behind before it has to look again
END = None


@dataclass(frozen=True, slots=True)
class Message:
    """One event: its name and what is said, as JSON."""

    event: str
    data: str


@dataclass(frozen=True, slots=True, eq=False)
class _Listener:
    loop: asyncio.AbstractEventLoop
    queue: asyncio.Queue[Message | None] = field(default_factory=lambda: asyncio.Queue(WAITING))


class Bell:
    """Rings at every page that listens. Safe to ring from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._listeners: list[_Listener] = []
        self._closed = False

    def ring(self, event: str, **data: object) -> None:
        """Tell all pages."""
        message = Message(event, json.dumps(data, ensure_ascii=False))
        with self._lock:
            listeners = list(self._listeners)
        for listener in listeners:
            _post(listener, message)

    def close(self) -> None:
        """End all streams, so that the server can stop."""
        with self._lock:
            self._closed = True
            listeners = list(self._listeners)
        for listener in listeners:
            _post(listener, END)

    async def listen(self) -> AsyncIterator[Message]:
        """Yield messages until the bell is closed or the page goes away."""
        listener = _Listener(asyncio.get_running_loop())
        with self._lock:
            if self._closed:
                return
            self._listeners.append(listener)
        try:
            while (message := await listener.queue.get()) is not END:
                yield message
        finally:
            with self._lock:
                self._listeners.remove(listener)


def _post(listener: _Listener, message: Message | None) -> None:
    def put() -> None:
        if listener.queue.full():  # the page looks at the audit anew with the next message
            listener.queue.get_nowait()
        listener.queue.put_nowait(message)

    try:
        listener.loop.call_soon_threadsafe(put)
    except RuntimeError:  # its loop has ended meanwhile
        return
