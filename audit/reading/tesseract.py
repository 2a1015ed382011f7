"""Tesseract as one reader among others: a general engine, good at inline text, blind to stacks.

Its own confidence is no probability: on dimension text it is often sure and wrong (it drops a
stacked fraction whole). So what it says is believed only as far as the form of the text allows.
"""

from __future__ import annotations

import logging
import re
import shutil
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.records import Candidate, ReadBy

log = logging.getLogger(__name__)

Gray = NDArray[np.uint8]

CAP_HEIGHT_PX = 34.0  # Tesseract reads best at capitals of 30 to 40 px; common practice, no source
MARGIN_PX = 16
TIMEOUT_S = 10.0
MOST_SURE = 0.85  # under the limit of being believed alone: see the module's first lines


class TesseractReader:
    """Reads crops one at a time through the installed program."""

    @property
    def name(self) -> ReadBy:
        """Who votes."""
        return ReadBy.TESSERACT

    def is_available(self) -> bool:
        """Whether the program is installed."""
        return shutil.which("tesseract") is not None

    def read(self, crops: Sequence[Gray]) -> tuple[tuple[Candidate, ...], ...]:
        """Read each crop; an empty tuple where nothing was read or the program failed."""
        return tuple(self._read_one(crop) for crop in crops)

    def _read_one(self, crop: Gray) -> tuple[Candidate, ...]:
        import pytesseract  # noqa: PLC0415  # loads pandas when it is there: not at start-up

        if crop.size == 0 or int(np.ptp(crop)) < 30:
            return ()
        try:
            data = pytesseract.image_to_data(
                _prepare(crop),
                config="--psm 7 --oem 1",
                output_type=pytesseract.Output.DICT,
                timeout=TIMEOUT_S,
            )
        except (pytesseract.TesseractError, pytesseract.TesseractNotFoundError, RuntimeError) as e:
            log.warning("Tesseract gave up on a text: %s", e)
            return ()
        words = [
            (str(text).strip(), float(conf))
            for text, conf in zip(data["text"], data["conf"], strict=True)
            if str(text).strip() and float(conf) >= 0
        ]
        if not words:
            return ()
        text = _tidy(" ".join(word for word, _ in words))
        confidence = min(conf for _, conf in words) / 100.0 * MOST_SURE
        return (Candidate(text=text, confidence=confidence, by=ReadBy.TESSERACT),) if text else ()


def _prepare(crop: Gray) -> Gray:
    """Enlarge to the letter height Tesseract likes and add white around."""
    dark = crop < (int(crop.min()) + int(crop.max())) / 2
    rows = np.flatnonzero(dark.any(axis=1))
    height = float(rows[-1] - rows[0] + 1) if len(rows) else float(crop.shape[0])
    factor = float(np.clip(CAP_HEIGHT_PX / max(height, 1.0), 0.3, 4.0))
    interpolation = cv2.INTER_CUBIC if factor > 1 else cv2.INTER_AREA
    scaled = cv2.resize(crop, None, fx=factor, fy=factor, interpolation=interpolation)
    paper = int(np.percentile(scaled, 90))
    padded = cv2.copyMakeBorder(
        scaled, MARGIN_PX, MARGIN_PX, MARGIN_PX, MARGIN_PX, cv2.BORDER_CONSTANT, value=(paper,)
    )
    return np.asarray(padded, np.uint8)


def _tidy(text: str) -> str:
    """Undo the spellings Tesseract uses for signs of this trade, and nothing else."""
    text = re.sub(r"[‘’`´]", "'", text)
    text = re.sub(r"[“”„]", '"', text)
    text = re.sub(r"[—–]", "-", text)
    text = text.replace("''", '"').replace("@", "Ø") if re.match(r"^[@0-9]", text) else text
    return " ".join(text.split()).strip("_|~ ")
