"""Rings of letters, which are no circles of the part: the sign of ``Ø 55``, a zero, a six."""

from __future__ import annotations

from collections.abc import Sequence

from audit.dimensions.texts import SizeText
from audit.records import Arc

RING = 1.4  # letter heights: the ring of a sign may be larger than its figures
FEWEST = 2  # characters of a text; a lone ring that is read as 0 or O may be a hole


def without_letter_arcs(arcs: Sequence[Arc], texts: Sequence[SizeText]) -> tuple[Arc, ...]:
    """Leave out arcs that stand in a text and are no larger than its letters.

    Parameters
    ----------
    arcs : sequence of Arc
    texts : sequence of SizeText
        In the frame of the arcs.

    Returns
    -------
    tuple of Arc
    """
    lettered = [t for t in texts if len(t.line.text.replace(" ", "")) >= FEWEST]
    return tuple(a for a in arcs if not any(_is_letter(a, text) for text in lettered))


def _is_letter(arc: Arc, text: SizeText) -> bool:
    small = 2 * arc.radius < RING * text.line.height
    return small and text.line.box.contains(arc.centre)
