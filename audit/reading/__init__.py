"""Reading printed text: the text layer of PDF pages, and pictures of text."""

from __future__ import annotations

from audit.reading.pdf_text import TextLine, join_texts

__all__ = ["TextLine", "join_texts"]
