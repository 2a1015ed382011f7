"""What is left after photos were made flat, as arrows over the photo as it is seen."""

from __future__ import annotations

import math

from audit.geometry import Point
from audit.records import Aside, Audit, Flatness, FlatPicture, Sheet
from audit.report.seen import see_page

ARROW_SHARE = 0.09  # of the photo's shorter side: the arrow that the scale names
NICE_MM = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)


def list_flat_pictures(audit: Audit) -> tuple[FlatPicture, ...]:
    """Return a picture of what is left for every photo that was made flat by its sides.

    Parameters
    ----------
    audit : Audit

    Returns
    -------
    tuple of FlatPicture
    """
    return tuple(
        _picture(sheet, sheet.flatness)
        for sheet in audit.sheets
        if sheet.flatness is not None and sheet.flatness.asides
    )


def _picture(sheet: Sheet, flatness: Flatness) -> FlatPicture:
    page = see_page(sheet)
    scale_mm = max((v for v in NICE_MM if v <= flatness.largest_mm), default=NICE_MM[0])
    length = (
        ARROW_SHARE * min(page.width, page.height) * scale_mm / max(flatness.largest_mm, scale_mm)
    )
    arrows = []
    for aside in flatness.asides:
        start = page.place(aside.place)
        way = _seen_way(sheet, aside)
        if way is None:
            continue
        size = math.hypot(aside.dx, aside.dy) / scale_mm * length
        arrows.append((start, start.moved(way[0] * size, way[1] * size)))
    return FlatPicture(
        sheet=sheet.id,
        says=_say(flatness),
        width=page.width,
        height=page.height,
        arrows=tuple(arrows),
        scale_length=length,
        scale_says=f"{scale_mm:g} mm",
    )


def step_on_sheet(sheet: Sheet, aside: Aside) -> Point | None:
    """Return by how much a place lies aside, in the sheet's frame.

    Parameters
    ----------
    sheet : Sheet
    aside : Aside

    Returns
    -------
    Point or None
        The step; `None` where it leads nowhere (beyond the horizon).
    """
    (a, b), (c, d) = sheet.to_paper.jacobian(aside.place)
    det = float(a * d - b * c)
    if not math.isfinite(det) or det == 0.0:
        return None
    return Point(float(d * aside.dx - b * aside.dy) / det, float(a * aside.dy - c * aside.dx) / det)


def _seen_way(sheet: Sheet, aside: Aside) -> tuple[float, float] | None:
    """Direction, on the photo as seen, of a step on the paper; `None` where there is none."""
    step, page = step_on_sheet(sheet, aside), see_page(sheet)
    if step is None:
        return None
    here, there = page.place(aside.place), page.place(aside.place.moved(step.x, step.y))
    size = here.distance(there)
    return ((there.x - here.x) / size, (there.y - here.y) / size) if size > 0 else None


def _say(flatness: Flatness) -> str:
    lens = (
        f"The lens was corrected: lines bent by {flatness.lens_before:.2f} px are straight to "
        f"{flatness.lens_after:.2f} px. "
        if flatness.k1 or flatness.k2
        else "The lens bends no line measurably. "
    )
    curl = " The paper does not lie flat." if flatness.curled else ""
    return (
        f"Made flat by {flatness.by}. {lens}What is left along the sides: "
        f"{flatness.rms_mm:.2f} mm rms, {flatness.largest_mm:.2f} mm at most.{curl}"
    )
