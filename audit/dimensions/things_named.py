"""Notes that say what several things are: ``5 PEGS 1/2``, ``3/8 BOLTS``.

Such a note tells the size of each of them and stands where there is room, as often as not past
the end of a line whose own number stands in its gap.
"""

from __future__ import annotations

import re
from functools import lru_cache

from audit.dimensions.texts import is_remark

# of the usual remarks these name things; the others say where a size holds, or how often
_ROUND_THINGS = frozenset(("HOLES", "PEGS", "PINS", "DOWELS", "RODS", "AXLES", "SHAFTS", "FILLETS"))
# how far things stand apart is measured along a line
_SPACED = re.compile(r"[@=]|\b(?:EQ|EQUAL|EQUALLY|SP|SPACED|APART|CENT(?:RE|ER)S)\b", re.IGNORECASE)
_SINGULAR = ("SS", "US", "IS")  # GLASS, PLUS, AXIS
_PLURAL = re.compile(r"[A-Za-z]{3,}[Ss]\b")


@lru_cache(maxsize=1024)
def names_several(text: str) -> bool:
    """Whether a text with a number names things of which there are several.

    Examples
    --------
    >>> names_several("5 PEGS 1/2"), names_several("3/8 BOLTS"), names_several("3 1/2 BOTH SIDES")
    (True, True, False)
    >>> names_several("14 RISERS @ 7 1/2"), names_several("2 X 4 GLASS")
    (False, False)
    >>> names_several("3 1/2 TO AXIS"), names_several("5 1/2 ACROSS FLATS")
    (False, False)
    """
    if _SPACED.search(text):
        return False
    words = [w for w in _PLURAL.findall(text.upper()) if not w.endswith(_SINGULAR)]
    return any(w in _ROUND_THINGS or not (is_remark(w) or is_remark(w[:-1])) for w in words)
