"""Whether a JPEG is whole: decoders fill what is missing with gray and only mutter about it.

Runs in the worker process only. Pillow refuses a file that just stops; one that was closed
properly after half its data passes every decoder. libjpeg, as OpenCV carries it, writes a line to
standard error then: that line is caught here.
"""

from __future__ import annotations

import os
import re
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO

import cv2
import numpy as np

# libjpeg's own words (jerror.h: JWRN_HIT_MARKER, JWRN_JPEG_EOF, JWRN_HUFF_BAD_CODE,
# JWRN_ARITH_BAD_CODE, JWRN_MUST_RESYNC, JWRN_EXTRANEOUS_DATA). Stray bytes before the end marker
# (0xd9) are a habit of some scanners and harmless.
_BROKEN = re.compile(
    rb"premature end|bad Huffman|bad arithmetic|resync|"
    rb"extraneous bytes before marker (?!0xd9)",
    re.IGNORECASE,
)


def is_cut_off(data: bytes | memoryview) -> bool:
    """Tell whether part of a JPEG's picture is missing or garbled.

    An eighth of the resolution is decoded: all of the data is read, little memory is used.
    """
    with _caught_standard_error() as muttered:
        picture = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_REDUCED_GRAYSCALE_8)
        muttered.seek(0)
        return picture is None or _BROKEN.search(muttered.read()) is not None


@contextmanager
def _caught_standard_error() -> Iterator[IO[bytes]]:
    """Turn the process's standard error (C libraries included) into a file for a while."""
    sys.stderr.flush()
    kept = os.dup(2)
    try:
        with tempfile.TemporaryFile() as stream:
            os.dup2(stream.fileno(), 2)
            yield stream
    finally:
        os.dup2(kept, 2)
        os.close(kept)
