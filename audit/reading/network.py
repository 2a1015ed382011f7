"""Our own network as one reader among others: the first to be asked about a picture of text."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from audit.networks.decoding import NetCandidate
from audit.records import Candidate, ReadBy

Gray = NDArray[np.uint8]


class NetworkReader:
    """Reads crops in batches through `audit.networks`."""

    @property
    def name(self) -> ReadBy:
        """Who votes."""
        return ReadBy.NET

    def is_available(self) -> bool:
        """Whether the weights are there."""
        weights = resources.files("audit.networks").joinpath("weights")
        return all(weights.joinpath(f"reader{k}.npz").is_file() for k in ("", "-second", "-third"))

    def read(self, crops: Sequence[Gray]) -> tuple[tuple[Candidate, ...], ...]:
        """Read each crop; an empty tuple where nothing is printed."""
        from audit.networks.crops import shrink_huge  # noqa: PLC0415  # OpenCV, not at start-up
        from audit.networks.reader import read_crops  # noqa: PLC0415

        return _as_votes(read_crops([shrink_huge(crop) for crop in crops]))

    def glimpse(self, crops: Sequence[Gray]) -> tuple[tuple[Candidate, ...], ...]:
        """Look at each crop once; what it says at a glance."""
        from audit.networks.crops import shrink_huge  # noqa: PLC0415  # as above
        from audit.networks.glimpsing import glimpse  # noqa: PLC0415

        return _as_votes(glimpse([shrink_huge(crop) for crop in crops]))

    def glance(self, crops: Sequence[Gray]) -> tuple[float, ...]:
        """Look at each crop once; how likely the likeliest text in it is."""
        from audit.networks.crops import shrink_huge  # noqa: PLC0415  # as above
        from audit.networks.glancing import glance_at  # noqa: PLC0415

        return glance_at([shrink_huge(crop) for crop in crops])


def _as_votes(said: Sequence[Sequence[NetCandidate]]) -> tuple[tuple[Candidate, ...], ...]:
    return tuple(
        tuple(Candidate(text=c.text, confidence=c.confidence, by=ReadBy.NET) for c in candidates)
        for candidates in said
    )
