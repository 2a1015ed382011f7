"""A printed squared grid whose squares a note gives: a known size in both directions."""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.lengths import Length, Style, spell
from audit.pipeline.placing import SnapGround
from audit.records import (
    Finding,
    KnownSize,
    Place,
    Sheet,
    Statement,
    StatementKind,
)
from audit.scale.findings import say
from audit.sheets.grid import Comb, find_grid

LEAST_END_PX = 0.05  # a line is found no better


def stated_square(sheet: Sheet, statements: Sequence[Statement]) -> Length | None:
    """Return the side of a square that a sheet states, where it states one.

    Parameters
    ----------
    sheet : Sheet
    statements : sequence of Statement

    Returns
    -------
    Length or None
    """
    values = {
        s.value
        for s in statements
        if s.sheet == sheet.id and s.kind is StatementKind.GRID and s.value is not None
    }
    return values.pop() if len(values) == 1 else None


def measure_grid(
    ground: SnapGround, sheet: Sheet, square: Length
) -> tuple[tuple[KnownSize, ...], tuple[Finding, ...]]:
    """Measure the printed grid of a sheet.

    Parameters
    ----------
    ground : SnapGround
    sheet : Sheet
    square : Length
        Side of one square, as stated.

    Returns
    -------
    known : tuple of KnownSize
        Across and down; empty where no grid is found.
    findings : tuple of Finding
        S110, where one was.
    """
    combs = find_grid(ground.image.pixels)
    if combs is None:
        return (), ()
    known = tuple(_known(ground, sheet, comb, square) for comb in combs)
    across, down = combs
    off = max(comb.rms / comb.square_px for comb in combs)
    text = (
        f"The printed grid of {sheet.name} is measured: {across.squares} squares across and "
        f"{down.squares} down, {spell(square, style=Style.PLAIN)} {square.unit.value} each as "
        f"stated, taken as known sizes in both directions for what is drawn on it and for views "
        f"whose sizes fit. Its lines stand off even spacing by "
        f"{off:.1%} of a square (rms); squares print {across.square_px / down.square_px:.4f} times "
        "as wide as they are high."
    )
    return known, (say("S110", text, places=[Place(sheet=sheet.id, box=sheet.box)]),)


def _known(ground: SnapGround, sheet: Sheet, comb: Comb, square: Length) -> KnownSize:
    to_frame = ground.image.to_frame
    a, b = to_frame.apply(comb.first), to_frame.apply(comb.last)
    per_px = a.distance(b) / comb.first.distance(comb.last)
    end_px = max(2 * comb.rms / math.sqrt(comb.squares), LEAST_END_PX)
    return KnownSize(
        sheet=sheet.id,
        a=a,
        b=b,
        length=Length(square.value * comb.squares, square.unit),
        u_ends=end_px * per_px,
        by_tool=True,
    )
