"""What letters that were read off a picture are doubted for, by the lines and texts about them."""

from __future__ import annotations

from collections.abc import Sequence

from audit.pipeline.abutting import doubt_abutting
from audit.pipeline.bare_stacks import doubt_bare_stacks
from audit.pipeline.parted_texts import doubt_joint_texts
from audit.pipeline.shared_lines import doubt_shared_lines
from audit.pipeline.stepped_holes import doubt_stepped_holes
from audit.pipeline.struck_texts import doubt_lone_denominators, doubt_struck_ones
from audit.reading import TextLine
from audit.reading.near import Gray
from audit.records import Dimension


def doubt_seen(
    dimensions: Sequence[Dimension], leftover: Sequence[TextLine], gray: Gray | None = None
) -> tuple[Dimension, ...]:
    """Doubt readings of a picture, or of outlined letters, that may be more or less than a size.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one sheet, boxes in the frame of `leftover`.
    leftover : sequence of TextLine
        Texts of the sheet that no dimension took.
    gray : (h, w) uint8 array, optional
        The picture, where there is one and boxes are in its px.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    apart = doubt_shared_lines(doubt_joint_texts(dimensions), leftover)
    whole = doubt_bare_stacks(doubt_abutting(apart, leftover), leftover)
    return doubt_stepped_holes(doubt_lone_denominators(doubt_struck_ones(whole, gray)), leftover)
