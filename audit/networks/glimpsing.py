"""What crops seem to say at one look of one network: whether it is worth to read them with care."""

from __future__ import annotations

from collections.abc import Sequence

from audit.networks import reader
from audit.networks.crops import Gray, prepare
from audit.networks.decoding import NetCandidate


def glimpse(crops: Sequence[Gray]) -> tuple[tuple[NetCandidate, ...], ...]:
    """Look at crops once, by one network and as they were cut.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays
        Dark on light or light on dark; cut near the text.

    Returns
    -------
    tuple of tuple of NetCandidate
        For each its candidates, best first. What is read with all care may be more or less sure.

    Examples
    --------
    >>> import numpy as np
    >>> glimpse([np.full((40, 60), 255, np.uint8), np.zeros((2, 9), np.uint8)])
    ((), ())
    """
    least = reader.LEAST_CROP_PX
    prepared = [prepare(c) if min(c.shape, default=0) >= least else None for c in crops]
    return tuple(reader.FIRST.read(prepared))
