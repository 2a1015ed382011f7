"""Tesseract as one reader among others: a general engine, good at inline text, blind to stacks.

Its own confidence is no probability: on dimension text it is often sure and wrong (it drops a
stacked fraction whole). So what it says is believed only as far as the form of the text allows.
"""

from __future__ import annotations

import logging
import math
import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry.levels import level_at
from audit.networks.at_once import cores, each_at_once
from audit.records import Candidate, ReadBy

log = logging.getLogger(__name__)

Gray = NDArray[np.uint8]
Words = list[tuple[str, int]]  # each with Tesseract's confidence, whole percents

CAP_HEIGHT_PX = 34.0  # Tesseract reads best at capitals of 30 to 40 px; common practice, no source
MARGIN_PX = 16
MIN_RANGE = 30  # grey levels between paper and ink: less is no text
START_S, EACH_S = 10.0, 0.5  # most seconds for the program to start, and for each text
TOGETHER = 64  # texts read in one run; where one hangs, these go unread
WORTH_A_RUN = 8  # texts: to read fewer takes no longer than the program takes to start
MOST_SURE = 0.85  # under the limit of being believed alone: see the module's first lines
ONE_LINE, LSTM = ("--psm", "7"), ("--oem", "1")
AS_TABLE = ("-c", "tessedit_create_tsv=1")
PAGE, CONFIDENCE, TEXT, COLUMNS = 1, 10, 11, 12  # columns of that table


class TesseractReader:
    """Reads crops through the installed program: all in one run, as it starts slowly.

    Attributes
    ----------
    unheard : int
        Texts it was asked about in vain, because the program failed or took too long.
    """

    def __init__(self) -> None:
        self.unheard = 0

    @property
    def name(self) -> ReadBy:
        """Who votes."""
        return ReadBy.TESSERACT

    def is_available(self) -> bool:
        """Whether the program is installed."""
        return shutil.which("tesseract") is not None

    def read(self, crops: Sequence[Gray]) -> tuple[tuple[Candidate, ...], ...]:
        """Read each crop; an empty tuple where nothing was read or the program failed."""
        inked = [k for k, crop in enumerate(crops) if crop.size and int(np.ptp(crop)) >= MIN_RANGE]
        groups = _share_out(inked)
        heard = each_at_once(lambda g: _read_together([_prepare(crops[k]) for k in g]), groups)
        found: dict[int, Words] = {}
        for group, said in zip(groups, heard, strict=True):
            found.update((k, words) for k, words in zip(group, said, strict=True) if words)
            self.unheard += sum(words is None for words in said)
        return tuple(_as_candidates(found.get(k, [])) for k in range(len(crops)))


def count_unheard(readers: Sequence[object]) -> int:
    """Count the texts that Tesseract, where it is among some readers, was asked about in vain."""
    return sum(reader.unheard for reader in readers if isinstance(reader, TesseractReader))


def _share_out(texts: Sequence[int]) -> list[Sequence[int]]:
    """Share texts out to runs that go on side by side; a run for a few gains nothing."""
    runs = max(min(cores(), len(texts) // WORTH_A_RUN), math.ceil(len(texts) / TOGETHER), 1)
    each = math.ceil(len(texts) / runs)
    return [texts[k : k + each] for k in range(0, len(texts), max(each, 1))]


def _as_candidates(words: Words) -> tuple[Candidate, ...]:
    text = _tidy(" ".join(word for word, _ in words))
    if not text:
        return ()
    confidence = min(percent for _, percent in words) / 100.0 * MOST_SURE
    return (Candidate(text=text, confidence=confidence, by=ReadBy.TESSERACT),)


def _read_together(pictures: Sequence[Gray]) -> list[Words | None]:
    """Read pictures in one run; where that fails, in halves, so that one costs no other.

    Where it hangs they stay unread (`None`): to try again would double the wait, and again. So
    where it was interrupted, as our program was: its threads are waited for.
    """
    try:
        return list(_run(pictures))
    except (OSError, subprocess.SubprocessError) as error:
        hung = isinstance(error, subprocess.TimeoutExpired)
        interrupted = getattr(error, "returncode", 0) == -signal.SIGINT
        if len(pictures) == 1 or hung or interrupted:
            log.warning("Tesseract gave up on %d of the texts: %s", len(pictures), error)
            return [None] * len(pictures)
    half = len(pictures) // 2
    return _read_together(pictures[:half]) + _read_together(pictures[half:])


def _run(pictures: Sequence[Gray]) -> list[Words]:
    """Run the program over a list of pictures, each a page of its own to it."""
    with tempfile.TemporaryDirectory(prefix="plan-audit-") as folder:
        paths = [Path(folder, f"{k}.png") for k in range(len(pictures))]
        for path, picture in zip(paths, pictures, strict=True):
            path.write_bytes(cv2.imencode(".png", picture)[1].tobytes())
        listed = Path(folder, "list.txt")
        listed.write_text("".join(f"{path}\n" for path in paths), encoding="utf-8")
        told = subprocess.run(
            ["tesseract", str(listed), "stdout", *ONE_LINE, *LSTM, *AS_TABLE],
            env={**os.environ, "OMP_THREAD_LIMIT": "1"},  # its threads wait for each other
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=START_S + EACH_S * len(pictures),
            check=True,
        )
    return _words_of(told.stdout.decode("utf-8", "replace"), len(pictures))


def _words_of(table: str, pages: int) -> list[Words]:
    """Words by page out of the program's table."""
    words: list[Words] = [[] for _ in range(pages)]
    for line in table.split("\n")[1:]:
        cells = line.split("\t")
        if len(cells) != COLUMNS or not cells[TEXT].strip():
            continue
        page, percent = int(cells[PAGE]), int(float(cells[CONFIDENCE]))
        if percent >= 0:
            words[page - 1].append((cells[TEXT].strip(), percent))
    return words


def _prepare(crop: Gray) -> Gray:
    """Enlarge to the letter height Tesseract likes and add white around."""
    dark = crop < (int(crop.min()) + int(crop.max())) / 2
    rows = np.flatnonzero(dark.any(axis=1))
    height = float(rows[-1] - rows[0] + 1) if len(rows) else float(crop.shape[0])
    factor = float(np.clip(CAP_HEIGHT_PX / max(height, 1.0), 0.3, 4.0))
    interpolation = cv2.INTER_CUBIC if factor > 1 else cv2.INTER_AREA
    scaled = cv2.resize(crop, None, fx=factor, fy=factor, interpolation=interpolation)
    paper = int(level_at(np.asarray(scaled, np.uint8), 90))
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
