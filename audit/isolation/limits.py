"""How much of time, memory, pixels and pages a foreign file may take."""

from __future__ import annotations

from dataclasses import dataclass

MEBIBYTE = 1024 * 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What one foreign file may cost.

    Attributes
    ----------
    pixels : int
        Most pixels of one picture or rendered page. An honest 36 × 24 in sheet at 600 dpi has
        311 million.
    file_bytes : int
        Largest file that is opened at all.
    pages : int
        Most pages of one file; pages are read on demand.
    items : int
        Most things drawn on one page: to list a million of them takes longer than a page may.
    memory_bytes : int
        Resident memory at which the worker is stopped.
    open_seconds : float
        CPU time for opening a file, and for the first look at a page.
    page_seconds : float
        CPU time for each heavier operation on a page.
    patience : float
        Wall-clock time allowed for each second of CPU time: a busy machine is no fault of the
        file, a worker that sleeps is.
    """

    pixels: int = 500_000_000
    file_bytes: int = 2048 * MEBIBYTE
    pages: int = 2000
    items: int = 400_000
    memory_bytes: int = 2048 * MEBIBYTE
    open_seconds: float = 10.0
    page_seconds: float = 10.0
    patience: float = 4.0
