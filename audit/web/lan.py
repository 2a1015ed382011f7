"""Photographs from a phone on the local network: an explicit choice, with a code of its own.

The page itself is never served there. What is: one small page and one call that takes one picture,
both only under a code that runs out after ten minutes. It is plain HTTP: who listens on the
network can see the picture and use the code while it lasts, but reaches nothing else.
"""

from __future__ import annotations

import hmac
import ipaddress
import secrets
import socket
import threading
import time
from collections.abc import Callable

import segno

from audit.errors import BadUsage

CODE_LASTS_S = 600.0
CODE_BYTES = 18  # 144 bits; as Base64 the address still fits a small QR symbol
OLD_CODES = 20  # remembered, to say "run out" instead of "wrong"
QUIET = 4  # modules of white around a QR symbol (ISO/IEC 18004)
NOWHERE = ("192.0.2.1", 9)  # a documentation address (RFC 5737); nothing is sent there
# Home and office networks, and carriers' shared space (RFC 1918, 3927, 6598).
SHARED = ipaddress.ip_network("100.64.0.0/10")


class Phone:
    """Who may bring photographs: the code, until when, and under which address.

    Safe to use from several threads.
    """

    def __init__(
        self, address: str, port: int, *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.host = f"{address}:{port}"
        self.photos = 0
        self._clock = clock
        self._lock = threading.Lock()
        self._code = ""
        self._ends = 0.0
        self._old: list[str] = []

    def renew(self) -> None:
        """Make a new code; the one before is worth nothing from now on."""
        with self._lock:
            self._drop()
            self._code = secrets.token_urlsafe(CODE_BYTES)
            self._ends = self._clock() + CODE_LASTS_S

    def end(self) -> None:
        """Take the code away: no phone may bring anything until there is a new one."""
        with self._lock:
            self._drop()

    def _drop(self) -> None:
        if self._code:
            self._old = [*self._old, self._code][-OLD_CODES:]
        self._code = ""

    @property
    def seconds_left(self) -> float:
        """How long the code lasts."""
        with self._lock:
            return max(0.0, self._ends - self._clock()) if self._code else 0.0

    @property
    def url(self) -> str | None:
        """What the QR symbol says; `None` when the code has run out."""
        with self._lock:
            lasts = self._code and self._clock() < self._ends
            return f"http://{self.host}/{self._code}/" if lasts else None

    def accepts(self, code: str) -> bool:
        """Whether a code is the one that lasts now."""
        with self._lock:
            same = hmac.compare_digest(code.encode(), self._code.encode())
            return bool(self._code) and same and self._clock() < self._ends

    def knew(self, code: str) -> bool:
        """Whether a code was good once."""
        with self._lock:
            return any(hmac.compare_digest(code.encode(), old.encode()) for old in self._all())

    def _all(self) -> list[str]:
        return [*self._old, self._code] if self._code else self._old


def find_address(wanted: str | None = None) -> str:
    """Find the address of this machine on the local network.

    Parameters
    ----------
    wanted : str or None
        One of this machine's addresses; `None`: the one that leads out.

    Returns
    -------
    str
        IPv4, dotted.

    Raises
    ------
    BadUsage
        If there is none, or it is open to the whole world.

    Examples
    --------
    >>> find_address("192.168.7.20")
    '192.168.7.20'
    >>> find_address("8.8.8.8")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    audit.errors.BadUsage: ...
    """
    found = wanted if wanted is not None else _address_that_leads_out()
    try:
        address = ipaddress.IPv4Address(found)
    except ValueError as error:
        advice = "give one of this machine's IPv4 addresses, such as 192.168.1.20"
        raise BadUsage(f"'{found}' is no address", advice=advice) from error
    if address.is_unspecified or address.is_multicast or address.is_reserved:
        raise BadUsage(f"{address} is no single address", advice="give this machine's own")
    if not is_near(str(address)):
        advice = "connect to a local network, or name such an address with --lan-address"
        raise BadUsage(f"{address} can be reached from outside the local network", advice=advice)
    return str(address)


def is_near(host: str) -> bool:
    """Whether an address belongs to a local network.

    Examples
    --------
    >>> is_near("10.0.0.7"), is_near("93.184.216.34"), is_near("no address")
    (True, False, False)
    """
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return False
    return address.is_private or address.is_link_local or address in SHARED


def _address_that_leads_out() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(NOWHERE)
            return str(probe.getsockname()[0])
        except OSError as error:
            advice = "connect this machine to one, or leave --lan out"
            raise BadUsage("this machine is on no network", advice=advice) from error


def draw_code(url: str) -> tuple[str, ...]:
    """Draw the QR symbol of an address.

    Parameters
    ----------
    url : str

    Returns
    -------
    tuple of str
        One row each, ``1`` a dark module, with the white margin the standard asks for.

    Examples
    --------
    >>> rows = draw_code("http://192.168.7.20:8000/a/")
    >>> len(rows) == len(rows[0]), rows[4][:12]
    (True, '000011111110')
    """
    rows = segno.make_qr(url, error="m").matrix_iter(border=QUIET)
    return tuple("".join("1" if module else "0" for module in row) for row in rows)


def write_code(url: str) -> str:
    """Write the QR symbol of an address for a terminal: two rows of modules on each line.

    White on black by escape sequences, so that it can be read on light terminals too.
    """
    rows = draw_code(url)
    blank = "0" * len(rows[0])
    pairs = zip(rows[::2], (*rows[1::2], blank), strict=False)
    lines = ("".join(HALVES[a + b] for a, b in zip(*pair, strict=True)) for pair in pairs)
    return "\n".join(f"\x1b[97;40m{line}\x1b[0m" for line in lines)


# Upper and lower module; light ones are drawn, in white.
HALVES = {"00": "█", "01": "▀", "10": "▄", "11": " "}
