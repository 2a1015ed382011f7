"""A first, cheap look at crops: whether there is anything in them worth reading with care."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from audit.networks.at_once import in_halves
from audit.networks.crops import Gray
from audit.networks.glimpsing import glimpse


def glance_at(crops: Sequence[Gray]) -> tuple[float, ...]:
    """Look at crops once, by one network and as they were cut.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays
        Dark on light or light on dark; cut near the text.

    Returns
    -------
    tuple of float
        For each the probability of its likeliest text, 0 where there is none. What is read with
        all care may be more or less sure.

    Examples
    --------
    >>> import numpy as np
    >>> glance_at([np.full((40, 60), 255, np.uint8), np.zeros((2, 9), np.uint8)])
    (0.0, 0.0)
    """
    return tuple(in_halves(_glance_at, crops, size=np.size))


def _glance_at(crops: Sequence[Gray]) -> list[float]:
    return [said[0].confidence if said else 0.0 for said in glimpse(crops)]
