"""Pictures of text that may lie any way, brought upright for the readers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.reading.network import NetworkReader
from audit.records import Candidate, ReadBy

Gray = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class UprightCrop:
    """A crop brought upright.

    `angle` is the direction its text ran in, degrees, counter-clockwise as seen; `others` is what
    it may say as well, the other way up.
    """

    picture: Gray
    angle: float
    others: tuple[Candidate, ...]


def bring_upright(crops: Sequence[Gray]) -> tuple[UprightCrop, ...]:
    """Turn crops so that their text runs level, as far as the network can tell.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays

    Returns
    -------
    tuple of UprightCrop
        In the same order; as they are where the network is not there.
    """
    if not NetworkReader().is_available():
        return tuple(UprightCrop(crop, 0.0, ()) for crop in crops)
    from audit.networks.turns import read_any_turn  # noqa: PLC0415  # OpenCV, not at start-up

    return tuple(
        UprightCrop(
            one.picture,
            one.angle,
            tuple(
                Candidate(text=c.text, confidence=c.confidence, by=ReadBy.NET)
                for c in one.candidates[1:]
            ),
        )
        for one in read_any_turn(crops)
    )
