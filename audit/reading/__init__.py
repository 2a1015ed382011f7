"""Reading printed text: the text layer of PDF pages, and pictures of text."""

from __future__ import annotations

from audit.reading.available import available_readers
from audit.reading.near import TextSpot, find_text_near
from audit.reading.pdf_text import TextLine, join_texts
from audit.reading.readers import Reader, hear_readers, normalise_vote, read_typed, vote
from audit.reading.tesseract import TesseractReader
from audit.reading.upright import UprightCrop, bring_upright

__all__ = [
    "Reader",
    "TesseractReader",
    "TextLine",
    "TextSpot",
    "UprightCrop",
    "available_readers",
    "bring_upright",
    "find_text_near",
    "hear_readers",
    "join_texts",
    "normalise_vote",
    "read_typed",
    "vote",
]
