"""Pieces laid on the drawing, in words: how large, and how far over each drawn edge."""

from __future__ import annotations

from audit.lengths import MM_PER_INCH, Unit
from audit.records import LaidPiece
from audit.report.phrases import spell_gap, spell_length, spell_uncertainty, with_unit

FLUSH, OVER, SHORT, UNSEEN = "flush", "over", "short", "unseen"


def spell_piece(piece: LaidPiece) -> str:
    """Spell the size of a piece as it could be typed."""
    width = with_unit(spell_length(piece.width), piece.width.unit)
    if piece.height is None:
        return f"Ø {width}"
    if piece.width.unit is piece.height.unit:
        width = spell_length(piece.width)
    height = with_unit(spell_length(piece.height), piece.height.unit)
    return f"{width} x {height}"


def say_edge(
    over: float | None, expanded: float | None, unit: Unit, *, across_fold: bool = False
) -> tuple[str, str]:
    """Say how far a piece reaches over a drawn edge.

    Parameters
    ----------
    over : float or None
        Real mm, less than 0 where it ends before; `None`: no line is seen near.
    expanded : float or None
        U of it, k = 2, real mm.
    unit : Unit
        To say it in.
    across_fold : bool
        Its line lies across a fold of unknown step.

    Returns
    -------
    state : str
        ``flush``, ``over``, ``short`` or ``unseen``.
    says : str

    Examples
    --------
    >>> say_edge(3.175, 0.2, Unit.IN)
    ('over', '1/8 over ± 0.0079')
    >>> say_edge(None, None, Unit.MM)
    ('unseen', 'no line near')
    """
    if across_fold:
        return UNSEEN, "across a fold of unknown step"
    if over is None or expanded is None:
        return UNSEEN, "no line near"
    per = float(MM_PER_INCH) if unit is Unit.IN else 1.0
    state = FLUSH if abs(over) <= expanded else OVER if over > 0 else SHORT
    size = FLUSH if state == FLUSH else f"{spell_gap(over / per, unit)} {state}"
    return state, f"{size} ± {spell_uncertainty(expanded / per, unit)}"
