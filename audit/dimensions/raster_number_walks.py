"""The lines that numbers stand on, each walked along once."""

from __future__ import annotations

import numpy as np

from audit.dimensions.ink import Ink
from audit.dimensions.raster_bare_numbers import Stand
from audit.dimensions.raster_ink import darkness
from audit.dimensions.raster_ink_walks import Walk, walk
from audit.dimensions.raster_stations import own_strokes
from audit.dimensions.text_places import line_of_text
from audit.dimensions.texts import SizeText
from audit.networks.page import PageMaps

INKED, LIKE_NUMBER = 95, 0.5  # percentile of a number's darkness; of that, how dark its line is


class NumberWalks:
    """Walks along the lines of one sheet; `px_per_pt` are px of its raster to a pt."""

    def __init__(self, ink: Ink, maps: PageMaps, px_per_pt: float) -> None:
        self.ink, self.maps, self.scale = ink, maps, px_per_pt * maps.factor
        self._known: list[tuple[frozenset[int], Walk]] = []

    def along(self, stand: Stand, text: SizeText) -> tuple[Walk, frozenset[int]] | None:
        """Walk along the line that a number stands on; second: the line's strokes.

        Parameters
        ----------
        stand : Stand
        text : SizeText
            The number: its line is drawn with the same pen, more or less.

        Returns
        -------
        tuple of (Walk, frozenset of int) or None
        """
        for strokes, walked in self._known:
            if strokes.issuperset(stand.strokes):
                return walked, strokes
        pieces = [(self.ink.line_of(i), float(self.ink.lengths[i])) for i in stand.strokes]
        least = LIKE_NUMBER * self._darkness_of(text)
        found = walk(pieces, stand.starts, self.maps, self.scale, least=least)
        if found is None:
            return None
        strokes = frozenset(stand.strokes) | own_strokes(self.ink, found)
        self._known.append((strokes, found))
        return found, strokes

    def _darkness_of(self, text: SizeText) -> float:
        """How dark the ink of a number is, of 255."""
        along = np.arange(-0.5, 0.5, 0.02) * text.line.length
        across = np.arange(-0.5, 0.5, 0.05)[:, None] * text.line.height
        dark = darkness(line_of_text(text), along, across, self.maps, self.scale)
        return float(np.percentile(dark, INKED))
