"""Every text of a whole sheet, read, in the sheet's frame."""

from __future__ import annotations

from dataclasses import replace

from audit.geometry import Box
from audit.lengths import Unit
from audit.pipeline.looking import readings_of
from audit.pipeline.page_kinds import is_outlined, is_picture_page
from audit.pipeline.pictures import look_at_picture
from audit.pipeline.texts import PDF_CONFIDENCE, UNTRUSTED_CONFIDENCE
from audit.pipeline.witnessing import WitnessedPage, witness_texts
from audit.reading import TextLine, join_texts, vote
from audit.records import Candidate, PageKind, ReadBy, Reading, Sheet
from audit.sheets import LoadedPlan


def read_sheet_texts(
    plan: LoadedPlan, sheet: Sheet, *, unit: Unit | None
) -> tuple[Reading | None, ...]:
    """Find and read every text of a sheet, from the top down.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    tuple of Reading
        Boxes in the sheet's frame; from the text layer of a drawn page, from the pixels of a
        picture or of a page whose letters are drawn as lines.
    """
    if sheet.kind in (PageKind.VECTOR, PageKind.BOTH):
        page = plan.vector_page(sheet)
        if not is_picture_page(sheet, page) and not is_outlined(page):
            written = witness_texts(plan, sheet, join_texts(page))
            return tuple(_of_line(t, written, unit) for t in written.lines if t.visible)
    if sheet.kind is PageKind.EMPTY:
        return ()
    seen = look_at_picture(plan, sheet)
    to_frame = seen.ground.image.to_frame
    return tuple(
        replace(r, box=Box.around([to_frame.apply(c) for c in r.box.corners]))
        for r in readings_of(seen, unit=unit)
    )


def _of_line(line: TextLine, page: WitnessedPage, unit: Unit | None) -> Reading | None:
    confidence = PDF_CONFIDENCE if line.trusted else UNTRUSTED_CONFIDENCE
    said = Candidate(text=line.text, confidence=confidence, by=ReadBy.PDF)
    reading = vote([said], box=line.box, angle=line.angle, unit=unit)
    return None if reading is None else page.settle(reading, unit=unit)
