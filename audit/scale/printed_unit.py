"""The unit that a sheet or a plan is printed in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from audit.lengths import Unit
from audit.records import Dimension


def plan_unit(dimensions: Sequence[Dimension]) -> Unit | None:
    """Return the unit most printed lengths are in.

    Parameters
    ----------
    dimensions : Sequence[Dimension]
        Of a sheet or a plan.

    Returns
    -------
    Unit | None
        `None` when no length is printed.
    """
    units = Counter(
        d.printed.unit
        for d in dimensions
        if d.printed is not None and d.printed.unit is not Unit.DEG
    )
    return units.most_common(1)[0][0] if units else None
