"""What a person counted on a drawing, beside the number that is printed.

A drawn count alone never stands above a note: hidden, mirrored and other-hand copies are not drawn.
"""

from __future__ import annotations

from audit.geometry import Box
from audit.records import Audit, DrawnCount, Finding, Place
from audit.scale.findings import say


def check_drawn_counts(audit: Audit) -> tuple[Finding, ...]:
    """Tell of each count on a drawing, and of the number printed for it.

    Parameters
    ----------
    audit : Audit
        With what was counted.

    Returns
    -------
    tuple[Finding, ...]
        P107, always a note.
    """
    sheets = {sheet.id for sheet in audit.sheets}
    return tuple(_tell(count) for count in audit.drawn_counts if count.sheet in sheets)


def _tell(count: DrawnCount) -> Finding:
    seen = len(count.places)
    text = f"{count.name}: {seen} seen on this sheet"
    if count.printed is None:
        text += "; no number is printed for them."
    elif count.printed == seen:
        text += ", as many as are printed."
    else:
        text += (
            f", but {count.printed} printed. Some may be hidden, mirrored or drawn once for both "
            "hands: look before you believe either."
        )
    box = Box.around([*count.example.corners, *count.places])
    return say("P107", text, places=[Place(sheet=count.sheet, box=box)])
