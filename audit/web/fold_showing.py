"""Folds of a sheet, and what is left of a photo made flat, as the page shows them."""

from __future__ import annotations

import math

from audit.pipeline.laying_flat import say_flatness
from audit.records import Audit, Fold, Sheet
from audit.report.flat_picture import step_on_sheet
from audit.scale import measure_folds, run_over
from audit.web import models as m
from audit.web.wording import say_typed

ARROW_SHARE = 0.05  # of the picture's diagonal: the longest arrow


def list_folds(audit: Audit, sheet: Sheet) -> tuple[m.FoldJson, ...]:
    """List the folds of a sheet, with what is known of their steps."""
    measured = measure_folds(sheet, audit.known_sizes)
    return tuple(_fold(n, fold, audit, sheet) for n, fold in enumerate(measured.folds))


def _fold(number: int, fold: Fold, audit: Audit, sheet: Sheet) -> m.FoldJson:
    a, b = run_over(fold, sheet)
    across = sum(
        d.sheet == sheet.id and fold.parts(*(e.point for e in d.ends)) for d in audit.dimensions
    )
    if fold.step is not None:
        says = "sizes across it carry its step"
    elif fold.measured is not None:
        says = f"step {2 * fold.measured:.2f} mm on the paper (k = 2), by known sizes across it"
    else:
        says = "step not known: sizes across it are not scaled"
    return m.FoldJson(number=number, a=a, b=b, step=say_typed(fold.step), across=across, says=says)


def show_flatness(sheet: Sheet) -> m.FlatnessJson | None:
    """Show what is left of a photo made flat as arrows, drawn long enough to be seen."""
    flatness = sheet.flatness
    if flatness is None:
        return None
    arrows = []
    times = _times(sheet)
    for aside in flatness.asides:
        step = step_on_sheet(sheet, aside)
        if step is not None:
            tip = aside.place.moved(step.x * times, step.y * times)
            arrows.append(m.ArrowJson(at=aside.place, tip=tip))
    return m.FlatnessJson(
        says=f"Made flat by {flatness.by}. {say_flatness(flatness)}",
        longest=f"{flatness.largest_mm:.2f} mm",
        arrows=tuple(arrows),
    )


def _times(sheet: Sheet) -> float:
    """How many times as long as they are arrows must be drawn, the longest as is set here."""
    flatness = sheet.flatness
    largest = flatness.largest_mm if flatness else 0.0
    per_px = math.sqrt(abs(_area(sheet)))
    if largest <= 0.0 or per_px <= 0.0:
        return 1.0
    return ARROW_SHARE * math.hypot(sheet.width, sheet.height) * per_px / largest


def _area(sheet: Sheet) -> float:
    mm = sheet.to_paper.jacobian(sheet.box.centre)
    return float(mm[0, 0] * mm[1, 1] - mm[0, 1] * mm[1, 0])
