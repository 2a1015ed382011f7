"""A worker gone bad: what it does is the name of the file it is asked to open."""

from __future__ import annotations

import os
import sys
import time

from audit.isolation.wire import HEADER, read_frame, write_frame

REPLIES = {
    b"lies": b'["ok",["pdf",[[1,"wide",792]],false,[]]]',
    b"babbles": b"\x80\x04\x95cos\nsystem\n",
    b"fails": b'["failed","KeyError","x"]',
    b"lacks": b'["failed","ModuleNotFoundError","No module named \'pymupdf\'"]',
    b"scolds": b'["error","SystemExit","a","b"]',
}


def misbehave(body: bytes) -> None:
    if b"sleeps" in body:
        time.sleep(60)
    elif b"spins" in body:
        while True:
            pass
    elif b"eats" in body:
        kept = []
        while True:
            kept.append(bytearray(os.urandom(1)) * 20_000_000)
            time.sleep(0.01)
    elif b"ends" in body:
        os._exit(7)
    elif b"boasts" in body:  # a message longer than any
        sys.stdout.buffer.write(HEADER.pack(1 << 60))
        sys.stdout.buffer.flush()
        time.sleep(60)


def main() -> None:
    while (body := read_frame(sys.stdin.buffer)) is not None:
        misbehave(body)
        for word, reply in REPLIES.items():
            if word in body:
                write_frame(sys.stdout.buffer, reply)


if __name__ == "__main__":
    main()
