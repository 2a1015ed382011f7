"""Creases seen on scans and flat photos, proposed as folds; nothing is changed by them."""

from __future__ import annotations

import math

import numpy as np

from audit.geometry import Box, Point, Transform
from audit.isolation import GrayImage
from audit.records import Finding, Frame, PageKind, Place, Sheet
from audit.scale import run_over
from audit.scale.findings import say
from audit.sheets import LoadedPlan
from audit.sheets.creases import WORK_PX, Crease, find_creases
from audit.sheets.flat import resample

RIM_MM = 2.0  # of a photographed paper's edge, which is a shadow too
MARKED_SHARE = 0.02  # of the sheet's diagonal: a marked fold so near is the crease


def propose_folds(plan: LoadedPlan, sheet: Sheet) -> tuple[Finding, ...]:
    """Propose the creases of a sheet as folds (S112).

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
        As it lies.

    Returns
    -------
    tuple of Finding
        One a crease that nobody marked; none for drawn pages and for what may be a photo that is
        not flat: a picture that states no resolution to be believed.
    """
    image = _paper_of(plan, sheet)
    if image is None:
        return ()
    told = []
    for crease in find_creases(image.pixels):
        a, b = (_on_sheet(image.to_frame.apply(p), sheet) for p in (crease.a, crease.b))
        box = Box.around([a, b])
        if not _is_marked(box, sheet):
            told.append(_tell(crease, a, b, sheet))
    return tuple(told)


def still_holds(finding: Finding, sheet: Sheet) -> bool:
    """Whether a finding still holds: a crease that was marked as a fold is no proposal any more."""
    return finding.code != "S112" or not any(_is_marked(p.box, sheet) for p in finding.places)


def _paper_of(plan: LoadedPlan, sheet: Sheet) -> GrayImage | None:
    """Return the paper as a picture: a scan itself, a photo made flat and small."""
    if sheet.kind is not PageKind.SCAN:
        return None
    if sheet.to_paper.is_affine:
        may_be_photo = sheet.frame is Frame.PX and not sheet.paper_known
        return None if may_be_photo else plan.gray(sheet)
    if sheet.paper_box is None:
        return None
    image = plan.gray(sheet)
    area = sheet.paper_box.grown(-RIM_MM)
    per_mm = WORK_PX / max(area.width, area.height)
    size = (max(1, round(area.width * per_mm)), max(1, round(area.height * per_mm)))
    back = Transform(
        ((1 / per_mm, 0.0, area.x0), (0.0, 1 / per_mm, area.y0), (0.0, 0.0, 1.0))
    ).then(image.to_frame.then(sheet.to_paper).inverse())
    pixels = np.asarray(resample(image.pixels, back, size), np.uint8)
    return GrayImage(pixels=pixels, to_frame=back.then(image.to_frame))


def _on_sheet(place: Point, sheet: Sheet) -> Point:
    return Point(min(max(place.x, 0.0), sheet.width), min(max(place.y, 0.0), sheet.height))


def _is_marked(box: Box, sheet: Sheet) -> bool:
    near = MARKED_SHARE * math.hypot(sheet.width, sheet.height)
    marked = (Box.around(run_over(fold, sheet)) for fold in sheet.folds)
    return any(
        max(abs(here - there) for here, there in zip(box, other, strict=True)) < near
        for other in marked
    )


def _tell(crease: Crease, a: Point, b: Point, sheet: Sheet) -> Finding:
    shade = "dark" if crease.levels > 0 else "bright"
    place = f"{a.x:.0f},{a.y:.0f} {b.x:.0f},{b.y:.0f}"
    text = (
        f"A faint {shade} line runs over print and margin of {sheet.name}, through {place}, as a "
        "fold or a taped joint leaves it, or a streak of the scanner. If the paper is shifted "
        f'there, mark it (T on the page, or --fold "{sheet.id}:{place}"). Nothing was changed.'
    )
    return say("S112", text, places=[Place(sheet=sheet.id, box=Box.around([a, b]))])
