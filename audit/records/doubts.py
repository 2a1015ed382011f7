"""Doubts of a reading that the drawing can settle."""

from __future__ import annotations

from audit.lengths.around import BESIDE_LETTER, LOST_BRACKET

NEARLY_TOUCHES = "nearly touches it"  # after what does
MAY_BE_PART = "stands beside it and may be part of it"
SECOND_SIZE = "the hole has a second size beside this one, and its leader may point to that circle"
LIKE_A_ONE = "a line through it may look like a 1"
CUT_OTHERWISE = "cut a little otherwise it says "  # before what it says
# Doubts whether more belongs to a size, or which of two it is: what was read, and is measured just
# so, is the size.
MEASURED_AWAY = (
    LOST_BRACKET, BESIDE_LETTER, SECOND_SIZE, NEARLY_TOUCHES, MAY_BE_PART, LIKE_A_ONE,
)  # fmt: skip


def is_measured_away(doubt: str) -> bool:
    """Tell whether a doubt is nothing where the drawing measures what was read.

    Where another cut of a text says another size, that one must not fit the drawing as well.

    Examples
    --------
    >>> is_measured_away(f"“t” {MAY_BE_PART}"), is_measured_away("this is no size we know")
    (True, False)
    """
    return doubt.endswith(MEASURED_AWAY) or doubt.startswith(CUT_OTHERWISE)
