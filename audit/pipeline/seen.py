"""A picture that was looked at, as the stages after it need it."""

from __future__ import annotations

from dataclasses import dataclass

from audit.dimensions.raster_page import TracedPage
from audit.networks.page import PageMaps
from audit.pipeline.placing import SnapGround
from audit.reading import Reader, TextSpot
from audit.reading.tesseract import count_unheard
from audit.records import Candidate


@dataclass(frozen=True, slots=True, eq=False)
class SeenPicture:
    """A picture that was looked at: the network's maps, texts and what the readers say of them.

    `upright` is the direction level text runs in the ground's pixels, degrees; `px_per_mm` the
    fineness it was looked at with, a guess by its lettering where the paper's size is not known;
    `readers` are those that were asked; `traced` are its strokes and arcs, traced once for all.
    """

    ground: SnapGround
    maps: PageMaps
    spots: tuple[TextSpot, ...]
    votes: tuple[tuple[Candidate, ...], ...]
    upright: float
    px_per_mm: float
    readers: tuple[Reader, ...] = ()
    traced: TracedPage | None = None

    @property
    def unheard(self) -> int:
        """Texts that the second reader was asked about in vain."""
        return count_unheard(self.readers)
