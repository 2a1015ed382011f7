"""Which readers of pictures can run here."""

from __future__ import annotations

from audit.reading.network import NetworkReader
from audit.reading.readers import Reader
from audit.reading.tesseract import TesseractReader


def available_readers() -> tuple[Reader, ...]:
    """Return the readers that can run here, the surest first; none when nothing is installed."""
    known: tuple[Reader, ...] = (NetworkReader(), TesseractReader())
    return tuple(reader for reader in known if reader.is_available())
